"""Parts on the shelf, out of donors taken apart before: sources that are there on day 0.

Nothing is opened, stripped or waited for: the part's worth is given up, and it is fitted. A
position of several pieces takes as many parts; each part is one thing, used once in a plan.
Source: planning method of this project.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import comb

from shared.condition.model import Verdict
from shared.decision.building.draft import Draft, Origin, Subject
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import is_allowed, is_in_set
from shared.decision.building.shelf_rules import is_for, judged, stands_in, why_not_used
from shared.decision.building.shelf_source import Usable, add_choice, shelf_subject
from shared.decision.building.stand_ins import kinds_taken
from shared.decision.result import ReasonCode
from shared.salvage.model import ShelvedPart
from shared.sourcing.calendar import local_time

CHOICES_AT_MOST = 24
"""Choices among shelved parts that are weighed for one position; more only slow the answer."""
_BEST_FIRST = (Verdict.CONFORMING, Verdict.INDETERMINATE, Verdict.NOT_INSPECTED)


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
) -> Iterator[Usable]:
    for part in shelf:
        if not is_for(draft, part, planned.position):
            continue
        subject = shelf_subject(planned.name, [part])
        candidate = stands_in(draft, part, planned.position)
        kinds = kinds_taken([candidate] if candidate is not None else [])
        if not all(is_allowed(draft, planned, kind, subject) for kind in kinds):
            continue
        judgement = judged(draft.bench, part, planned.position)
        why_not = why_not_used(draft, planned, part, judgement)
        if why_not is None:
            yield Usable(part, judgement, candidate)
        else:
            draft.bar(subject, planned.id, why_not)


def _bar_what_is_not_decided(draft: Draft, shelf: Sequence[ShelvedPart]) -> None:
    """Tell of parts that lie inside something which, in this unit, is dealt with whole."""
    decided = {planned.position.id for planned in draft.bench.planned}
    for position in sorted(draft.bench.snapshot.positions, key=lambda p: p.id):
        if position.id in decided:
            continue
        for part in shelf:
            if is_for(draft, part, position):
                draft.bar(
                    shelf_subject(position.name, [part]),
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
            Subject(
                f"{position.name} from the shelf, part {held.id}",
                Origin(salvaged_part_ids=(held.id,)),
            ),
            (planned or [position.id])[0],
            f"held for another job{until}",
            ReasonCode.TAKEN,
        )


def _add_choices(draft: Draft, planned: PlannedPosition, group: Sequence[Usable]) -> None:
    """Sources of one position: every choice of as many parts as it has pieces, within a limit."""
    pieces = planned.quantity
    if len(group) < pieces:
        draft.bar(
            shelf_subject(planned.name, [found.part for found in group]),
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
        add_choice(draft, planned, sorted(chosen, key=lambda found: found.part.id))


def _weighed(group: Sequence[Usable], pieces: int) -> Sequence[Usable]:
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
