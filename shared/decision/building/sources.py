"""The ways to fill one position without a donor, gathered. Donors: harvest.py; shelf: shelf.py."""

from shared.assemblies.model import SetKind
from shared.decision.building.bought import add_goods
from shared.decision.building.draft import Draft
from shared.decision.building.kept import add_keep, add_part_by_part
from shared.decision.building.kits import add_kits
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import candidates_for, valid_offers
from shared.decision.building.rework import add_reworks
from shared.decision.result import ReasonCode


def add_position_sources(draft: Draft, planned: PlannedPosition) -> None:
    """All sources of a position that need no donor, or why there are none of a kind."""
    add_part_by_part(draft, planned)
    add_keep(draft, planned)
    add_reworks(draft, planned)
    found, refused = candidates_for(draft, planned)
    for one in refused:
        number = draft.bench.number_of(one.part_id)
        draft.bar(f"{number} in place of {planned.name}", planned.id, one.reason)
    for candidate in found:
        for offer in valid_offers(draft, part_id=candidate.part.id):
            add_goods(draft, planned, candidate, offer)
    add_kits(draft, planned, found)


def complete_matched_sets(draft: Draft) -> None:
    """Drop sources of a matched set's unit that does not give every member, with that reason."""
    for matched in draft.bench.sets(SetKind.MATCHED):
        decided = draft.bench.members(matched)
        if len(decided) < 2:
            continue
        members = [p for p in draft.bench.planned if p.position.id in decided]
        wanted = {p.id for p in members}
        by_unit: dict[str, set[str]] = {}
        for source in draft.sources.values():
            if source.position_id in wanted and source.matched_unit:
                by_unit.setdefault(source.matched_unit, set()).add(source.position_id)
        for unit, filled in sorted(by_unit.items()):
            if filled == wanted:
                continue
            for source in [s for s in draft.sources.values() if s.matched_unit == unit]:
                if source.position_id not in wanted:
                    continue
                facts = draft.facts.pop(source.id)
                del draft.sources[source.id]
                missing = ", ".join(sorted(p.name for p in members if p.id not in filled))
                draft.bar(
                    facts.subject(f"{facts.description} ({facts.position_name})"),
                    source.position_id,
                    f"matched set '{matched.name}' incomplete: no {missing} from the same unit",
                    ReasonCode.SET_INCOMPLETE,
                )
