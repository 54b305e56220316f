"""The source that parts from the shelf make: worth given up, work, how long it lasts, words.

Source: planning method of this project.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import prod

from shared.condition.judgement import PositionJudgement
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.draft import (
    Along,
    Draft,
    Origin,
    SourceFacts,
    Subject,
    minutes,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.goods import (
    choices_along,
    companion_lines,
    goods_along,
    note_rejects,
    notes_along,
    residual_along,
    with_along,
)
from shared.decision.building.path_notes import path_notes
from shared.decision.building.planned import Bench, PlannedPosition
from shared.decision.building.position_facts import (
    failure_of,
    fitting_operations,
    hours_range,
    is_in_set,
    note_outlook,
    replacement,
)
from shared.decision.building.risk import Prospect, doubted, failure_lines
from shared.decision.building.stand_ins import (
    adaptation,
    is_stand_in,
    kinds_taken,
    worst_outlook,
)
from shared.decision.planning.case import AmountLine, Source
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate
from shared.life.weibull import LifeSpec
from shared.salvage.model import ShelvedPart
from shared.sourcing.model import WarrantyCover


@dataclass(frozen=True, slots=True)
class Usable:
    """A part that may go into a position, and how it is judged there."""

    part: ShelvedPart
    judgement: PositionJudgement
    candidate: Candidate | None = None
    """With its path, where it stands in for the part that is called for."""


def shelf_subject(position_name: str, parts: Sequence[ShelvedPart]) -> Subject:
    """How a person is told of parts on the shelf for a position."""
    labels = ", ".join(part.label for part in parts)
    origin = Origin(salvaged_part_ids=tuple(part.id for part in parts))
    return Subject(f"{position_name} from the shelf, label {labels}", origin)


def add_choice(draft: Draft, planned: PlannedPosition, chosen: Sequence[Usable]) -> None:
    """Parts for all pieces of a position: a source for each choice of what goes in along."""
    candidates = [found.candidate for found in chosen if found.candidate is not None]
    needed = companion_lines([line for one in candidates for line in one.companions], 1)
    subject = shelf_subject(planned.name, [found.part for found in chosen])
    for along in choices_along(draft, planned, needed, subject):
        _add_source(draft, planned, chosen, candidates, along)


def _add_source(
    draft: Draft,
    planned: PlannedPosition,
    chosen: Sequence[Usable],
    candidates: Sequence[Candidate],
    along: tuple[Along, ...],
) -> None:
    bench, position = draft.bench, planned.position
    parts = [found.part for found in chosen]
    fitting = fitting_operations(draft, planned)
    adapted = [adaptation(draft, one, 1, planned.name) for one in candidates]
    adapting_work = tuple(span for _, work in adapted for span in work)
    goods, along = goods_along(draft, planned, along)
    outlook = _outlook(draft, planned, chosen)
    note_outlook(draft, planned, SourceKind.SALVAGED, outlook)
    failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
    source_id = with_along(f"{planned.id}:shelf:{'+'.join(part.id for part in parts)}", along)
    draft.add(
        Source(
            id=source_id,
            position_id=planned.id,
            kind=SourceKind.SALVAGED,
            lines=(
                *(line for part in parts for line in _worth_lines(draft, planned, part)),
                *goods.lines,
                *(line for lines, _ in adapted for line in lines),
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *residual_along(along),
                *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            ),
            charges=(
                *goods.deliveries,
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
            ),
            bench_minutes=p90_minutes(fitting) + sum(minutes(p90) for _, p90 in adapting_work),
            fits_another_part=True,
            matched_unit=f"shelf:{parts[0].donor_unit_id}" if is_in_set(draft, planned) else None,
            physical_parts=tuple(sorted(f"shelf:{part.id}" for part in parts)),
            purchases=goods.purchases,
            goods_values=goods.order_values,
        ),
        _facts(draft, planned, chosen, along, outlook.spec),
        (*spans(fitting), *adapting_work),
    )
    note_rejects(draft, source_id, along)


def _facts(
    draft: Draft,
    planned: PlannedPosition,
    chosen: Sequence[Usable],
    along: tuple[Along, ...],
    spec: LifeSpec | None,
) -> SourceFacts:
    parts = [found.part for found in chosen]
    donors = {part.donor_unit_id for part in parts}
    candidates = [found.candidate for found in chosen if found.candidate is not None]
    paths = [path_notes(draft.bench, one, planned.position.name) for one in candidates]
    return SourceFacts(
        kind=SourceKind.SALVAGED,
        description="from the shelf, " + "; ".join(_told(draft.bench, part) for part in parts),
        disposition="renew",
        position_name=planned.name,
        piece=planned.piece,
        donor_unit_id=donors.pop() if len(donors) == 1 else None,
        salvaged_part_ids=tuple(part.id for part in parts),
        verdict=_worst(chosen),
        spec=spec,
        notes=(
            *(note for found in chosen for note in _notes(found)),
            *dict.fromkeys(note for notes in paths for note in notes),
            *notes_along(draft, planned, along),
        ),
        is_stand_in=any(is_stand_in(one) for one in candidates),
        candidate=candidates[0] if len(chosen) == 1 and candidates else None,
        along=along,
    )


def _worst(chosen: Sequence[Usable]) -> Verdict:
    verdicts = {found.judgement.verdict for found in chosen}
    for verdict in (Verdict.INDETERMINATE, Verdict.NOT_INSPECTED):
        if verdict in verdicts:
            return verdict
    return Verdict.CONFORMING


def _outlook(draft: Draft, planned: PlannedPosition, chosen: Sequence[Usable]) -> Prospect:
    """How the parts are expected to last: several as long as one of the greatest age among them."""
    snapshot = draft.bench.snapshot
    ages = [hours_range(found.part.lower_hours, found.part.upper_hours) for found in chosen]
    known = [age for age in ages if age is not None]
    age = None
    if len(known) == len(ages):
        age = (max(low for low, _ in known), max(high for _, high in known))
    candidates = [found.candidate for found in chosen if found.candidate is not None]
    part_kind = draft.bench.part_kind(planned.position)
    base = worst_outlook(draft, kinds_taken(candidates), part_kind, age)
    if _worst(chosen) is Verdict.CONFORMING:
        return base
    read = [found.judgement.probability for found in chosen]
    chances = [chance for chance in read if chance is not None]
    warranty = float(snapshot.settings.warranty.warranty_hours)
    return doubted(base, prod(chances) if chances else None, warranty)


def _worth_lines(
    draft: Draft, planned: PlannedPosition, part: ShelvedPart
) -> tuple[AmountLine, ...]:
    """What is given up by fitting a part, marked up as any part of its kind."""
    if part.worth is None:
        draft.assume(
            f"Salvaged part {part.label}: no worth on record, so nothing is given up by fitting it."
        )
        return ()
    if part.worth.minor == 0:
        return ()
    label = f"salvaged part {part.label} ({planned.name}), worth given up"
    kind = draft.bench.part_kind(planned.position)
    return (draft.pricing.part(label, part.worth.minor, 1, kind),)


def _told(bench: Bench, part: ShelvedPart) -> str:
    donor = bench.units[part.donor_unit_id]
    return (
        f"label {part.label}, out of donor {donor.serial_number or donor.id}, "
        f"{_hours(part.lower_hours, part.upper_hours)}"
    )


def _hours(lower: Decimal | None, upper: Decimal | None) -> str:
    if lower is None and upper is None:
        return "hours not on record"
    if lower is None or upper is None:
        return f"at least {lower:f} h" if lower is not None else f"at most {upper:f} h"
    return f"{lower:f} h" if lower == upper else f"{lower:f} to {upper:f} h"


def _notes(found: Usable) -> Iterator[str]:
    part, judgement = found.part, found.judgement
    yield f"{part.label}: inspected by {part.inspected_by} on {part.inspected_on}"
    if judgement.verdict is Verdict.INDETERMINATE:
        yield f"{part.label}: indeterminate: the readings do not settle it"
    if judgement.verdict is not Verdict.CONFORMING:
        missing = ", ".join(dict.fromkeys(judgement.not_inspected))
        if missing or not judgement.findings:
            yield f"{part.label}: no finding on record of: {missing or 'anything'}"
