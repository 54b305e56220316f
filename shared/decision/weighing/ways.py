"""What a person would call another way of filling a position."""

from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.building.planned import WHOLE
from shared.decision.settings import SourceKind

_UNUSED_GOODS = (SourceKind.NEW, SourceKind.OLD_STOCK, SourceKind.GENERIC, SourceKind.KIT)
_BY_KIND = (SourceKind.KEEP, SourceKind.INTERCHANGE, SourceKind.USED)


def ways(built: Built) -> dict[str, str]:
    """The way of each source that fills a position.

    Keeping is one way, whether it is looked at or left where it is; so are goods never used,
    whoever sells them and singly or in a kit, goods for another number, and used goods. Work on the
    part is a way by the offer, a salvaged part by its donor, a whole unit by the offer.
    """
    return {
        source.id: _way(
            built.draft.facts[source.id],
            is_whole=source.position_id == WHOLE,
            is_unused=source.is_unused,
        )
        for source in built.case.sources
        if not source.resolves_children
    }


def _way(facts: SourceFacts, *, is_whole: bool, is_unused: bool) -> str:
    if facts.kind in _UNUSED_GOODS and not is_whole:
        return "goods never used" if is_unused else str(SourceKind.USED)
    if facts.kind in _BY_KIND and not is_whole:
        return str(facts.kind)
    from_where = facts.donor_unit_id or facts.offer_id or " ".join(facts.salvaged_part_ids)
    return f"{facts.kind}: {from_where}"
