"""In what two plans differ, position by position, in words."""

from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.building.planned import WHOLE
from shared.decision.planning.case import Plan

NOTHING = "nothing meets what is asked"


def differences(was: tuple[Built, Plan], becomes: tuple[Built, Plan | None]) -> tuple[str, ...]:
    """Each position that is dealt with otherwise, "name: from -> to"; the order is the plan's.

    Where the whole unit is dealt with otherwise that is said once, with what is then done inside
    it. Two offers in the same words are told by their ids. A plan None: nothing; no lines: the two
    plans are one.
    """
    other_built, other = becomes
    if other is None:
        return (NOTHING,)
    before, after = _by_position(*was), _by_position(other_built, other)
    if WHOLE in before and WHOLE not in after:
        inside = (f"{facts.position_name}: {way(facts)}" for facts in after.values())
        return (_line(before[WHOLE], None), *inside)
    if WHOLE in after and WHOLE not in before:
        return (_line(None, after[WHOLE]),)
    keys = [*before, *(key for key in after if key not in before)]
    return tuple(
        _line(before.get(key), after.get(key))
        for key in keys
        if _identity(before.get(key)) != _identity(after.get(key))
    )


def way(facts: SourceFacts) -> str:
    """What is done there, and from whom."""
    by = f" from {facts.supplier_name}" if facts.supplier_name else ""
    return f"{facts.description}{by}"


def _by_position(built: Built, plan: Plan) -> dict[str, SourceFacts]:
    """What is done at each position that is dealt with whole, in the order of the positions."""
    order = {planned.id: place for place, planned in enumerate(built.bench.planned)}
    sources = {source.id: source for source in built.case.sources}
    chosen = [sources[source_id] for source_id in plan.source_ids]
    return {
        source.position_id: built.draft.facts[source.id]
        for source in sorted(chosen, key=lambda s: (order.get(s.position_id, -1), s.id))
        if not source.resolves_children
    }


def _told(facts: SourceFacts | None) -> str:
    return "a repair part by part" if facts is None else way(facts)


def _identity(facts: SourceFacts | None) -> tuple[str, ...]:
    """What makes a way of dealing with a position another: its words, or what it is taken of."""
    return () if facts is None else (way(facts), _taken_of(facts))


def _taken_of(facts: SourceFacts) -> str:
    """Ids of the offer, the parts on the shelf or the donor that it is taken of."""
    return facts.offer_id or ", ".join(facts.salvaged_part_ids) or facts.donor_unit_id or ""


def _line(was: SourceFacts | None, becomes: SourceFacts | None) -> str:
    facts = becomes or was
    name = facts.position_name if facts is not None else ""
    before, after = _told(was), _told(becomes)
    if before == after and was is not None and becomes is not None:
        before, after = (f"{before} ({_taken_of(one)})" for one in (was, becomes))
    return f"{name}: {before} -> {after}"
