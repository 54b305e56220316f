"""Which number sits in another unit of the same design, where its makers changed it on the way.

The same place of two units may hold two numbers: a supersession that begins or ends with a serial
number or a day of build says so. What came with such a unit goes over only where the number that it
may hold could be put in here as it is.
Source: planning method of this project.
"""

from shared.assemblies.model import Position
from shared.assemblies.traits import Traits
from shared.decision.building.draft import Draft
from shared.decision.building.position_facts import usable_candidate
from shared.interchange.conditions import holds
from shared.interchange.found import Candidate, Holds, Place
from shared.interchange.model import Supersession


def why_built_otherwise(draft: Draft, position: Position, traits: Traits) -> str | None:
    """Why a unit of these traits may hold another number in a place, or inside it, than fits here.

    None where nothing on record says so. Only evidence that the shop accepts counts.
    """
    for one in (position, *draft.bench.inside(position)):
        why_not = _why_at(draft, one, traits)
        if why_not is not None:
            return why_not
    return None


def _why_at(draft: Draft, position: Position, traits: Traits) -> str | None:
    graph = draft.bench.graph
    waiting = [position.part_id or ""]
    seen = set(waiting)
    while waiting:
        for rule in graph.supersessions.get(waiting.pop(), ()):
            if rule.evidence_kind not in graph.accepted or not rule.later_lines:
                continue
            there, reason = holds(rule, _place(draft, position, traits))
            if there is Holds.NO:
                continue
            later = rule.later_lines[0].part_id
            if _is_by_unit(rule) and not _goes_over(draft, position, rule, later):
                return _told(draft, rule, later, reason)
            if later not in seen:
                seen.add(later)
                waiting.append(later)
    return None


def _place(draft: Draft, position: Position, traits: Traits) -> Place:
    bench = draft.bench
    return Place(
        position.part_id or "", bench.today, bench.snapshot.assembly.id, position.id, traits
    )


def _is_by_unit(rule: Supersession) -> bool:
    return any(
        one is not None
        for one in (rule.serial_from, rule.serial_to, rule.built_from_on, rule.built_to_on)
    )


def _goes_over(draft: Draft, position: Position, rule: Supersession, later: str) -> bool:
    """Whether the later number goes in here as it is: by the same rule, or as a candidate."""
    here, _ = holds(rule, _place(draft, position, draft.bench.unit.traits))
    candidate = usable_candidate(draft, position, later)
    return here is Holds.YES or (candidate is not None and _is_plain(candidate))


def _is_plain(candidate: Candidate) -> bool:
    return (
        candidate.ratio == 1
        and not candidate.companions
        and not candidate.rework_p90_hours
        and not candidate.rework_costs
        and not candidate.rework_notes
    )


def _told(draft: Draft, rule: Supersession, later: str, reason: str | None) -> str:
    number = draft.bench.number_of(later)
    unfit = f"{number}, which is not planned with here as it is (supersession '{rule.id}')"
    if reason is None:
        return f"that unit was built with another number: {unfit}"
    return f"that unit may have been built with another number: {unfit}; {reason}"
