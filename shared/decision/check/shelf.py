"""Parts on the shelf: they are of this assembly, out of a donor, inspected, and told once."""

from datetime import date

from shared.assemblies.model import Position
from shared.condition.model import Unit, UnitKind
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.salvage.model import ShelvedPart
from shared.sourcing.calendar import local_time


def check_shelf(snapshot: Snapshot) -> None:
    """Refuse parts from nowhere, for nothing here, there twice, or that their donor still has."""
    today = local_time(snapshot.as_of, snapshot.settings.calendar).date()
    positions = {position.id: position for position in snapshot.positions}
    seen: set[tuple[str, str, int]] = set()
    for index, part in enumerate(snapshot.salvaged_parts):
        at = f"/salvaged_parts/{index}"
        require(f"{at}/donor_unit_id", part.donor_unit_id, snapshot.units, "unit")
        donor = next(unit for unit in snapshot.units if unit.id == part.donor_unit_id)
        _check_donor(at, part, donor, today)
        _check_place(at, part, snapshot)
        _check_numbers(at, part, positions.get(part.position_id), today)
        _check_findings(at, part, snapshot)
        whence = (part.donor_unit_id, part.position_id, part.piece)
        if whence in seen:
            raise InvalidInput(
                f"{at}/piece",
                f"Piece {part.piece} of {part.position_id} left donor {donor.id} twice.",
                "Each piece of a position leaves a donor once: tell the pieces apart.",
                "duplicate",
            )
        seen.add(whence)


def _check_donor(at: str, part: ShelvedPart, donor: Unit, today: date) -> None:
    is_released = donor.released_on is not None and donor.released_on <= today
    if donor.kind is UnitKind.CUSTOMER or not is_released:
        raise InvalidInput(
            f"{at}/donor_unit_id",
            f"Unit {donor.id} is a customer's, or not released on {today}: nothing comes from it.",
            "Name a donor or stock unit with the date on which it was bought or released.",
            "donor-not-released",
        )
    if part.position_id not in donor.taken_position_ids:
        raise InvalidInput(
            f"{at}/position_id",
            f"Unit {donor.id} does not say that a piece of {part.position_id} has left it.",
            "Name the position among taken_position_ids of the unit, or it would give it twice.",
            "not-taken",
        )


def _check_place(at: str, part: ShelvedPart, snapshot: Snapshot) -> None:
    """A part sat in a position of this assembly, or is one that may be fitted here."""
    sat_here = any(position.id == part.position_id for position in snapshot.positions)
    donor = next(unit for unit in snapshot.units if unit.id == part.donor_unit_id)
    if sat_here and donor.assembly_id != snapshot.assembly.id:
        raise InvalidInput(
            f"{at}/position_id",
            f"Position {part.position_id} is not one of donor {donor.id}'s assembly.",
            "Name the position of the donor that it was taken from.",
            "other-assembly",
        )
    known = {one.id for one in snapshot.parts}
    if not sat_here and part.part_id not in known:
        raise InvalidInput(
            f"{at}/position_id",
            "It is neither of a position here nor recorded as a part of the snapshot.",
            "Leave out parts that this assembly has no place for.",
            "reference-unknown",
        )


def _check_numbers(at: str, part: ShelvedPart, position: Position | None, today: date) -> None:
    low, high = part.lower_hours, part.upper_hours
    if low is not None and high is not None and high < low:
        raise InvalidInput(f"{at}/upper_hours", f"{high} is less than {low}.", "Swap the two.")
    most = position.quantity if position is not None else part.piece
    if not 1 <= part.piece <= most:
        raise InvalidInput(
            f"{at}/piece",
            f"piece is {part.piece}; it counts from 1 to what the position holds.",
            "Count the pieces from 1 to what the position holds.",
            "out-of-range",
        )
    if part.inspected_on > today:
        raise InvalidInput(
            f"{at}/inspected_on",
            f"{part.inspected_on} is a day to come, seen from {today}.",
            "Leave the part out until it is inspected.",
            "out-of-range",
        )


def _check_findings(at: str, part: ShelvedPart, snapshot: Snapshot) -> None:
    """What a part of this assembly names was found on its donor, at its position or inside it."""
    parents = {position.id: position.parent_id for position in snapshot.positions}
    if part.position_id not in parents:
        return  # Findings of another assembly's position are not part of this snapshot.
    by_id = {finding.id: finding for finding in snapshot.findings}
    for place, finding_id in enumerate(part.finding_ids):
        pointer = f"{at}/finding_ids/{place}"
        require(pointer, finding_id, snapshot.findings, "finding")
        finding = by_id[finding_id]
        above: str | None = finding.position_id
        while above is not None and above != part.position_id:
            above = parents[above]
        is_same = finding.position_id == part.position_id
        of_other_piece = is_same and finding.piece not in (None, part.piece)
        if finding.unit_id != part.donor_unit_id or above is None or of_other_piece:
            raise InvalidInput(
                pointer,
                f"The finding '{finding_id}' is of another unit, position or piece.",
                "Name findings of the donor, at this position or inside it, of this piece.",
                "other-unit",
            )
