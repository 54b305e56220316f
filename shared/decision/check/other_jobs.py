"""What other jobs call for, and what is held for them, is of this assembly and told once."""

from shared.decision.check.numbers import check_whole
from shared.decision.check.offers import MOST_PIECES
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput


def check_other_jobs(snapshot: Snapshot) -> None:
    """Refuse demands for unknown parts, of no piece, or twice, and holds for unknown positions."""
    seen: set[str] = set()
    for index, demand in enumerate(snapshot.demands):
        at = f"/demands/{index}"
        require(f"{at}/part_id", demand.part_id, snapshot.parts, "part")
        check_whole(f"{at}/quantity", demand.quantity, 1, MOST_PIECES)
        check_whole(f"{at}/jobs", demand.jobs, 1, MOST_PIECES)
        if demand.part_id in seen:
            raise InvalidInput(
                f"{at}/part_id",
                f"The demand for part {demand.part_id} is told twice.",
                "Give one demand for each part, with the pieces of all jobs.",
                "duplicate",
            )
        seen.add(demand.part_id)
    shelved = {part.id for part in snapshot.salvaged_parts}
    known: set[tuple[str, str]] = set()
    for index, held in enumerate(snapshot.held_parts):
        at = f"/held_parts/{index}"
        require(f"{at}/position_id", held.position_id, snapshot.positions, "position")
        if held.id in shelved or (held.id, held.position_id) in known:
            raise InvalidInput(
                f"{at}/id",
                f"Part {held.id} is told twice: as free and held, or as held here.",
                "Tell of each part once: either it is held for another job or it is free.",
                "duplicate",
            )
        known.add((held.id, held.position_id))
