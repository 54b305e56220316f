"""Parts on the shelf, out of donors taken apart before: sources that are there on day 0.

Nothing is opened, stripped or waited for: the part's worth is given up, and it is fitted. A
position of several pieces takes as many parts; each part is one thing, used once in a plan.
Source: planning method of this project.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from math import comb, prod

from shared.condition.judgement import PositionJudgement
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.draft import Draft, SourceFacts, p50_hours, p90_minutes, spans
from shared.decision.building.planned import Bench, PlannedPosition
from shared.decision.building.position_facts import (
    failure_of,
    fitting_operations,
    hours_range,
    is_allowed,
    is_in_set,
    note_outlook,
    replacement,
)
from shared.decision.building.risk import Prospect, doubted, failure_lines, prospect
from shared.decision.building.shelf_rules import is_for, judged, why_not_used
from shared.decision.planning.case import AmountLine, Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.salvage.model import ShelvedPart
from shared.sourcing.calendar import local_time
from shared.sourcing.model import WarrantyCover

CHOICES_AT_MOST = 24
"""Choices among shelved parts that are weighed for one position; more only slow the answer."""
_BEST_FIRST = (Verdict.CONFORMING, Verdict.INDETERMINATE, Verdict.NOT_INSPECTED)


@dataclass(frozen=True, slots=True)
class _Found:
    """A part that may go into a position, and how it is judged there."""

    part: ShelvedPart
    judgement: PositionJudgement


def add_shelf(draft: Draft) -> None:
    """A source for each position and each choice of shelved parts that fills it, or why none."""
    shelf = sorted(draft.bench.snapshot.salvaged_parts, key=lambda part: part.id)
    for planned in draft.bench.planned:
        usable = list(_usable(draft, planned, shelf))
        if is_in_set(draft, planned):
            donors = sorted({found.part.donor_unit_id for found in usable})
            groups = [[f for f in usable if f.part.donor_unit_id == donor] for donor in donors]
        else:
            groups = [usable] if usable else []
        for group in groups:
            _add_choices(draft, planned, group)
    _bar_what_is_not_decided(draft, shelf)
    _bar_what_is_held(draft)


def _usable(
    draft: Draft, planned: PlannedPosition, shelf: Sequence[ShelvedPart]
) -> Iterator[_Found]:
    for part in shelf:
        if not is_for(part, planned.position):
            continue
        subject = f"{planned.name} from the shelf, label {part.label}"
        if not is_allowed(draft, planned, SourceKind.SALVAGED, subject):
            continue
        judgement = judged(draft.bench, part, planned.position)
        why_not = why_not_used(draft, planned, part, judgement)
        if why_not is None:
            yield _Found(part, judgement)
        else:
            draft.bar(subject, planned.id, why_not)


def _bar_what_is_not_decided(draft: Draft, shelf: Sequence[ShelvedPart]) -> None:
    """Tell of parts that lie inside something which, in this unit, is dealt with whole."""
    decided = {planned.position.id for planned in draft.bench.planned}
    for position in sorted(draft.bench.snapshot.positions, key=lambda p: p.id):
        if position.id in decided:
            continue
        for part in shelf:
            if is_for(part, position):
                draft.bar(
                    f"{position.name} from the shelf, label {part.label}",
                    position.id,
                    "it lies inside something whose ruling renews no inner part",
                )


def _bar_what_is_held(draft: Draft) -> None:
    """Tell of parts on the shelf that are promised to another job."""
    for held in sorted(draft.bench.snapshot.held_parts, key=lambda one: one.id):
        position = draft.bench.positions[held.position_id]
        until = ""
        if held.held_until is not None:
            on = local_time(held.held_until, draft.bench.settings.calendar)
            until = f" until {on:%Y-%m-%d %H:%M}"
        planned = [p.id for p in draft.bench.planned if p.position.id == position.id]
        draft.bar(
            f"{position.name} from the shelf, part {held.id}",
            (planned or [position.id])[0],
            f"held for another job{until}",
            ReasonCode.TAKEN,
        )


def _add_choices(draft: Draft, planned: PlannedPosition, group: Sequence[_Found]) -> None:
    """Sources of one position: every choice of as many parts as it has pieces, within a limit."""
    pieces = planned.quantity
    if len(group) < pieces:
        labels = ", ".join(found.part.label for found in group)
        draft.bar(
            f"{planned.name} from the shelf, label {labels}",
            planned.id,
            f"too few pieces: {pieces} are needed, {len(group)} will do",
            ReasonCode.SET_INCOMPLETE if is_in_set(draft, planned) else ReasonCode.BARRED,
        )
        return
    weighed = _weighed(group, pieces)
    if len(weighed) < len(group):
        draft.assume(
            f"Of {len(group)} parts on the shelf that would do for '{planned.name}' only "
            f"{len(weighed)} are weighed: those proved good before others, then of least worth."
        )
    for chosen in combinations(weighed, pieces):
        _add_source(draft, planned, sorted(chosen, key=lambda found: found.part.id))


def _weighed(group: Sequence[_Found], pieces: int) -> Sequence[_Found]:
    """The best of a group: no more of them than give a number of choices that can be weighed."""
    if comb(len(group), pieces) <= CHOICES_AT_MOST:
        return group
    ranked = sorted(
        group,
        key=lambda found: (
            _BEST_FIRST.index(found.judgement.verdict),
            _worth(found.part),
            found.part.id,
        ),
    )
    most = max(n for n in range(pieces, len(group) + 1) if comb(n, pieces) <= CHOICES_AT_MOST)
    return ranked[:most]


def _worth(part: ShelvedPart) -> int:
    return part.worth.minor if part.worth else 0


def _add_source(draft: Draft, planned: PlannedPosition, chosen: Sequence[_Found]) -> None:
    bench, position = draft.bench, planned.position
    parts = [found.part for found in chosen]
    fitting = fitting_operations(draft, planned)
    outlook = _outlook(draft, planned, chosen)
    note_outlook(draft, planned, SourceKind.SALVAGED, outlook)
    failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
    donors = {part.donor_unit_id for part in parts}
    draft.add(
        Source(
            id=f"{planned.id}:shelf:{'+'.join(part.id for part in parts)}",
            position_id=planned.id,
            kind=SourceKind.SALVAGED,
            lines=(
                *(line for part in parts for line in _worth_lines(draft, planned, part)),
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            ),
            charges=(
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
            ),
            bench_minutes=p90_minutes(fitting),
            fits_another_part=True,
            matched_unit=f"shelf:{parts[0].donor_unit_id}" if is_in_set(draft, planned) else None,
            physical_parts=tuple(sorted(f"shelf:{part.id}" for part in parts)),
        ),
        SourceFacts(
            kind=SourceKind.SALVAGED,
            description="from the shelf, " + "; ".join(_told(bench, part) for part in parts),
            disposition="renew",
            position_name=planned.name,
            piece=planned.piece,
            donor_unit_id=donors.pop() if len(donors) == 1 else None,
            salvaged_part_ids=tuple(part.id for part in parts),
            verdict=_worst(chosen),
            spec=outlook.spec,
            notes=tuple(note for found in chosen for note in _notes(found)),
        ),
        spans(fitting),
    )


def _worst(chosen: Sequence[_Found]) -> Verdict:
    verdicts = {found.judgement.verdict for found in chosen}
    for verdict in (Verdict.INDETERMINATE, Verdict.NOT_INSPECTED):
        if verdict in verdicts:
            return verdict
    return Verdict.CONFORMING


def _outlook(draft: Draft, planned: PlannedPosition, chosen: Sequence[_Found]) -> Prospect:
    """How the parts are expected to last: several as long as one of the greatest age among them."""
    snapshot = draft.bench.snapshot
    ages = [hours_range(found.part.lower_hours, found.part.upper_hours) for found in chosen]
    known = [age for age in ages if age is not None]
    age = None
    if len(known) == len(ages):
        age = (max(low for low, _ in known), max(high for _, high in known))
    base = prospect(snapshot, SourceKind.SALVAGED, draft.bench.part_kind(planned.position), age)
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


def _notes(found: _Found) -> Iterator[str]:
    part, judgement = found.part, found.judgement
    yield f"{part.label}: inspected by {part.inspected_by} on {part.inspected_on}"
    if judgement.verdict is Verdict.INDETERMINATE:
        yield f"{part.label}: indeterminate: the readings do not settle it"
    if judgement.verdict is not Verdict.CONFORMING:
        missing = ", ".join(judgement.not_inspected)
        if missing or not judgement.findings:
            yield f"{part.label}: no finding on record of: {missing or 'anything'}"
