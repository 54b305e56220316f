"""Which parts may take a place, by which path, how sure; which were refused, and why."""

from collections import defaultdict
from collections.abc import Iterator
from functools import partial
from math import ceil, floor
from typing import Final

from shared.interchange.conditions import not_accepted
from shared.interchange.equals import Equal
from shared.interchange.found import (
    Candidate,
    Catalogue,
    Found,
    Holds,
    Path,
    Place,
    Refused,
    Standing,
    StepKind,
)
from shared.interchange.graph import Graph
from shared.interchange.here import MOST_LOOKED_AT, Here, Hop
from shared.interchange.loops import loops_among
from shared.interchange.model import Part, PartLine
from shared.interchange.rules import MOST_PIECES
from shared.interchange.trails import Trail, Trails
from shared.interchange.walk import Reached, surest_paths
from shared.money import Money

__all__ = [
    "Candidate",
    "Catalogue",
    "Found",
    "Graph",
    "Path",
    "Place",
    "Refused",
    "candidates",
    "candidates_in",
]

_Open = tuple[bool, frozenset[Holds]]
"""Whether only accepted evidence counts, and how a step must hold to be walked."""

_Paths = dict[str, tuple[_Open, Reached]]
"""The surest path to every part, and by which walk it was found."""

_SURE: Final = frozenset({Holds.YES})
_UNSURE: Final = frozenset({Holds.YES, Holds.CANNOT_BE_TOLD})
_WALKS: Final[tuple[_Open, ...]] = (
    (True, _SURE),
    (False, _SURE),
    (True, _UNSURE),
    (False, _UNSURE),
)
"""A part stands by the first walk that comes to it."""

_ROUNDING: Final = 1e-9
"""What the product of a path may lose against the figure that the shop wrote."""
_MOST_TOLD: Final = 3
_NOT_ITS_OWN: Final = frozenset({StepKind.CLAIM, StepKind.SUPERSESSION_BACK})
"""Steps that lead to a part other than by the maker's newer number or a standard."""


def candidates(place: Place, catalogue: Catalogue) -> Found:
    """Parts that may take a place, in a catalogue that is looked at this once."""
    return candidates_in(place, Graph.of(catalogue))


def candidates_in(place: Place, graph: Graph) -> Found:
    """Parts that may take a place: the part called for first, then the surest.

    A part is usable where a path of steps that all hold, by evidence that the shop accepts, is as
    sure as the shop asks. Nothing is usable by a step of which it cannot be told whether it holds.
    Nothing is found where the part called for is not in the catalogue.
    """
    if place.part_id not in graph.parts:
        return Found((), stopped=_stopped(Here(graph, place)))
    here = Here(graph, place)
    paths = _paths(here)
    others = _other_paths(here, paths)
    trails = Trails()
    found = [
        _candidate(here, walk, reached, trails.to(reached), others.get(part_id, 0))
        for part_id, (walk, reached) in paths.items()
    ]
    found.sort(key=lambda one: _order(one, place.part_id))
    return Found(
        tuple(found),
        (*here.refused(), *_differing(here, paths)),
        (*(hop.step for hop in here.hops), *here.said_no),
        loops_among(here.standing_rules()),
        _stopped(here),
    )


def _paths(here: Here) -> _Paths:
    paths: _Paths = {}
    walked: list[_Open] = []
    for walk in _WALKS:
        if any(_opens_no_more(here, walk, before) for before in walked):
            continue
        for part_id, reached in surest_paths(here, partial(_is_open, walk)).items():
            paths.setdefault(part_id, (walk, reached))
        walked.append(walk)
    return paths


def _is_open(walk: _Open, hop: Hop) -> bool:
    needs_accepted, outcomes = walk
    return hop.step.holds in outcomes and (hop.edge.is_accepted or not needs_accepted)


def _opens_no_more(here: Here, walk: _Open, before: _Open) -> bool:
    """Whether a walk would meet the steps of an earlier one alone."""
    return not any(_is_open(walk, hop) and not _is_open(before, hop) for hop in here.hops)


def _candidate(here: Here, walk: _Open, reached: Reached, trail: Trail, others: int) -> Candidate:
    is_itself = reached.hop is None
    standing = _standing(here, walk, reached)
    doubts = () if is_itself else here.doubts(here.place.part_id).get(reached.part_id, ())
    alike = () if is_itself else here.like_denied(reached.part_id)
    too_unsure = _too_unsure(here, reached) if standing is not Standing.USABLE else ()
    return Candidate(
        here.graph.parts[reached.part_id],
        _path(trail),
        trail.steps,
        standing,
        reached.confidence,
        trail.ratio,
        tuple(
            PartLine(part_id, ceil(quantity))
            for part_id, quantity in sorted(trail.companions.items())
        ),
        trail.p50_hours,
        trail.p90_hours,
        tuple(Money.of_minor(minor, code) for code, minor in sorted(trail.rework_minor.items())),
        trail.rework_notes,
        trail.form,
        trail.fit,
        trail.function,
        trail.differences,
        trail.to_check,
        (*trail.notes, *_rounded_up(trail), *(_called_for_notes(here) if is_itself else ())),
        tuple(dict.fromkeys((*trail.cautions, *doubts, *alike, *too_unsure))),
        trail.questions,
        others,
    )


def _standing(here: Here, walk: _Open, reached: Reached) -> Standing:
    needs_accepted, outcomes = walk
    if Holds.CANNOT_BE_TOLD in outcomes:
        return Standing.CANNOT_BE_TOLD
    is_sure = not _is_too_unsure(here, reached)
    return Standing.USABLE if needs_accepted and is_sure else Standing.BELOW_THRESHOLD


def _is_too_unsure(here: Here, reached: Reached) -> bool:
    return reached.confidence < float(here.graph.rules.least_confidence) - _ROUNDING


def _too_unsure(here: Here, reached: Reached) -> tuple[str, ...]:
    if not _is_too_unsure(here, reached):
        return ()
    percent = floor(reached.confidence * 1000 + _ROUNDING) / 10
    least = here.graph.rules.least_confidence * 100
    return (f"the path is sure to {percent:g} %; the shop asks for {least.normalize():f} %",)


def _path(trail: Trail) -> Path:
    kinds = {step.kind for step in trail.steps}
    if kinds & _NOT_ITS_OWN:
        return Path.INTERCHANGE
    if StepKind.GENERIC in kinds:
        return Path.GENERIC
    return Path.SUPERSESSION if kinds else Path.ITSELF


def _order(one: Candidate, called_for: str) -> tuple[bool, int, float, int, str]:
    return (
        one.part.id != called_for,
        list(Standing).index(one.standing),
        -round(one.confidence, 12),
        len(one.steps),
        one.part.id,
    )


def _rounded_up(trail: Trail) -> tuple[str, ...]:
    if all(quantity.denominator == 1 for quantity in trail.companions.values()):
        return ()
    return (f"what goes in with it is rounded up to whole pieces ({trail.ratio} for one piece)",)


def _called_for_notes(here: Here) -> Iterator[str]:
    """What the maker's later numbers mean for the part called for itself."""
    part_id = here.place.part_id
    rules = here.rules(part_id)
    standing = [rule for rule in rules.records if rules.may_hold(rule)]
    for rule in standing[:_MOST_TOLD]:
        outcome, reason = rules.here[rule.id]
        later = ", ".join(here.number(line.part_id) for line in rule.later_lines)
        told = f"superseded by {later}" if later else "ended by its maker without a later number"
        if not rules.counts(rule):
            yield f"perhaps {told} (supersession '{rule.id}'): {not_accepted(rule)}"
        elif outcome is Holds.YES:
            yield f"{told} (supersession '{rule.id}')"
        else:
            yield f"perhaps {told} (supersession '{rule.id}'): {reason}"
    if len(standing) > _MOST_TOLD:
        yield f"{len(standing) - _MOST_TOLD} more supersessions of it hold or may hold here"


def _other_paths(here: Here, paths: _Paths) -> dict[str, int]:
    """By part, further steps that lead to it as its own walk goes, not through itself."""
    leading: dict[str, list[Hop]] = defaultdict(list)
    for hop in here.hops:
        if hop.edge.to_part_id in paths and hop.edge.from_part_id in paths:
            leading[hop.edge.to_part_id].append(hop)
    return {
        part_id: sum(_leads(hop, paths) for hop in hops if hop is not paths[part_id][1].hop)
        for part_id, hops in leading.items()
        if part_id != here.place.part_id
    }


def _leads(hop: Hop, paths: _Paths) -> bool:
    walk, _ = paths[hop.edge.to_part_id]
    before, reached = paths[hop.edge.from_part_id]
    is_reached = before[1] <= walk[1] and before[0] >= walk[0]
    return _is_open(walk, hop) and is_reached and not reached.passes(hop.edge.to_part_id)


def _differing(here: Here, paths: _Paths) -> Iterator[Refused]:
    """Parts of the size of one that was reached, which nothing allows."""
    for part_id, (start, equal) in sorted(here.differing.items()):
        if part_id not in paths:
            parts = here.graph.parts
            yield Refused(part_id, _differs(parts[start], parts[part_id], equal))


def _differs(wanted: Part, part: Part, equal: Equal) -> str:
    told = "; ".join(note.rstrip(".") for note in equal.notes) or "whether it serves cannot be told"
    return (
        f"{part.generic_designation} is of the size of {wanted.generic_designation}, which is "
        f"not enough: {told}. Where it serves all the same, record an interchange claim that says "
        "why"
    )


def _stopped(here: Here) -> str | None:
    told = []
    if here.is_cut:
        told.append(f"more than {MOST_LOOKED_AT} steps lead on from here: the rest was left out")
    if here.is_beyond_measure:
        told.append(f"a path of more than {MOST_PIECES:,} pieces for one was not followed")
    if here.graph.left_out:
        told.append(f"{here.graph.left_out} records were not read, for their number")
    return "; ".join(told) or None
