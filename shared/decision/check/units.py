"""Units, what they are inspected for, and what was found."""

from collections.abc import Mapping

from shared.assemblies.model import Characteristic, Position
from shared.condition.model import Finding, Unit, UnitKind
from shared.decision.check.assembly import MOST_POSITIONS
from shared.decision.check.interchange import check_number_of_turns, given_positions
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.quantities import Quantity, convert, kind_of, same_dimension
from shared.sourcing.calendar import local_time
from shared.sourcing.lead_time import check_quotes

MOST_READINGS = 100


def check_units(snapshot: Snapshot) -> None:
    """Refuse donors without terms or not released, and hours that run backwards."""
    today = local_time(snapshot.as_of, snapshot.settings.calendar).date()
    for index, unit in enumerate(snapshot.units):
        at = f"/units/{index}"
        low, high = unit.lower_hours, unit.upper_hours
        if low is not None and high is not None and high < low:
            raise InvalidInput(f"{at}/upper_hours", f"{high} is less than {low}.", "Swap the two.")
        if unit.ratio is not None:
            check_number_of_turns(f"{at}/ratio", unit.ratio)
        if unit.kind is UnitKind.DONOR:
            _check_donor(at, unit)
            check_part_worths(f"{at}/donor/part_worths", unit, snapshot)
            if unit.released_on is None or unit.released_on > today:
                raise InvalidInput(
                    f"{at}/released_on",
                    f"Donor {unit.id} is not released on {today}.",
                    "A unit is no donor until it is bought or released in writing: give the date, "
                    "or leave the unit out.",
                    "donor-not-released",
                )


def _check_donor(at: str, unit: Unit) -> None:
    terms = unit.donor
    if terms is None:
        raise InvalidInput(
            f"{at}/donor", "A donor has no terms.", "Give its price, or its worth if it is owned."
        )
    if not terms.is_owned and terms.price is None:
        raise InvalidInput(
            f"{at}/donor/price", "A donor to be bought has no price.", "Give its price."
        )
    if terms.strip_p90_hours < terms.strip_p50_hours:
        raise InvalidInput(
            f"{at}/donor/strip_p90_hours",
            f"{terms.strip_p90_hours} h is less than the P50 of {terms.strip_p50_hours} h.",
            "The P90 is the longer of the two.",
        )
    try:
        check_quotes(terms.p50_days, terms.p90_days)
    except InvalidInput as error:
        raise error.below(f"{at}/donor") from None


def check_part_worths(at: str, unit: Unit, snapshot: Snapshot) -> None:
    """Refuse worths of what is no position, told twice, or more in all than the rest is worth."""
    terms = unit.donor
    if terms is None or not terms.part_worths:
        return
    own = unit.assembly_id == snapshot.assembly.id
    seen: set[str] = set()
    for place, one in enumerate(terms.part_worths):
        if own:
            require(f"{at}/{place}/position_id", one.position_id, snapshot.positions, "position")
        if one.position_id in seen:
            raise InvalidInput(
                f"{at}/{place}/position_id",
                f"The worth of {one.position_id} is told twice.",
                "Give each position's worth once.",
                "duplicate",
            )
        seen.add(one.position_id)
    parts = sum(one.worth.minor for one in terms.part_worths)
    rest = terms.remainder_worth.minor if terms.remainder_worth else 0
    if parts > rest:
        raise InvalidInput(
            at,
            f"Its parts are worth more than its complete rest, unit {unit.id}.",
            "Give as worth of a part what the rest loses without it: together at most "
            "remainder_worth.",
            "worth-beyond-rest",
        )


def check_characteristics(snapshot: Snapshot) -> None:
    """Refuse limits of several kinds of quantity."""
    elsewhere = given_positions(snapshot)
    for index, one in enumerate(snapshot.characteristics):
        at = f"/characteristics/{index}"
        if one.position_id not in elsewhere:
            require(f"{at}/position_id", one.position_id, snapshot.positions, "position")
        kinds = {kind_of(limit.unit) for limit in limits_of(one)}
        if kinds and one.unit is not None:
            kinds.add(kind_of(one.unit))
        if len(kinds) > 1:
            raise InvalidInput(
                at,
                f"Its limits are of different kinds: {', '.join(sorted(kinds))}.",
                "Give all limits of a characteristic in units of one kind.",
                "unit-wrong-dimension",
            )


def limits_of(characteristic: Characteristic) -> tuple[Quantity, ...]:
    """The limits that a characteristic has."""
    limits = (
        characteristic.new_lower,
        characteristic.new_upper,
        characteristic.service_lower,
        characteristic.service_upper,
    )
    return tuple(limit for limit in limits if limit is not None)


def check_findings(snapshot: Snapshot) -> None:
    """Refuse findings for what is not there, of the wrong kind, or that say nothing."""
    characteristics = {c.id: c for c in snapshot.characteristics}
    positions = {p.id: p for p in snapshot.positions}
    elsewhere = given_positions(snapshot)
    held = {position.id: position.quantity for position in snapshot.positions}
    for index, finding in enumerate(snapshot.findings):
        at = f"/findings/{index}"
        require(f"{at}/unit_id", finding.unit_id, snapshot.units, "unit")
        if finding.position_id not in elsewhere:
            require(f"{at}/position_id", finding.position_id, snapshot.positions, "position")
        characteristic = characteristics.get(finding.characteristic_id)
        if characteristic is None or characteristic.position_id != finding.position_id:
            raise InvalidInput(
                f"{at}/characteristic_id",
                f"Characteristic {finding.characteristic_id} is not one of position "
                f"{finding.position_id} of this assembly.",
                "Name a characteristic of the position that was inspected.",
                "reference-unknown",
            )
        require(f"{at}/gauge_id", finding.gauge_id, snapshot.gauges, "gauge")
        _check_piece(at, finding, (elsewhere | held).get(finding.position_id))
        _check_said(at, finding, characteristic)
    _check_superseded(snapshot)
    _check_pieces_told_apart(snapshot, positions)


def _check_piece(at: str, finding: Finding, held: int | None) -> None:
    """Refuse a finding for a piece that is not there: it would be judged nowhere.

    ``held``: pieces that its position holds, where that is on record.
    """
    if finding.piece is None:
        return
    if finding.piece < 1 or (held is not None and finding.piece > held):
        raise InvalidInput(
            f"{at}/piece",
            f"piece is {finding.piece}; position {finding.position_id} holds {held}.",
            "Count the pieces from 1 to what the position holds.",
            "out-of-range",
        )


def _check_superseded(snapshot: Snapshot) -> None:
    """Refuse a finding that does away with what it does not speak of, or with itself.

    A finding that is superseded counts no more: what takes its place must judge the same thing, and
    the last of a chain must be one that stands.
    """
    by_id = {finding.id: finding for finding in snapshot.findings}
    for index, finding in enumerate(snapshot.findings):
        at = f"/findings/{index}/supersedes_id"
        require(at, finding.supersedes_id, snapshot.findings, "finding")
        earlier = by_id.get(finding.supersedes_id or "")
        if earlier is None:
            continue
        same_unit = earlier.unit_id == finding.unit_id
        if not same_unit or earlier.characteristic_id != finding.characteristic_id:
            raise InvalidInput(
                at,
                f"Finding {earlier.id} is of another unit or characteristic.",
                "Supersede a finding of the same characteristic of the same unit.",
                "other-unit",
            )
        _check_chain(at, finding, by_id)


def _check_chain(at: str, finding: Finding, by_id: Mapping[str, Finding]) -> None:
    """Walk back along what is superseded: it must end."""
    seen = {finding.id}
    earlier = finding.supersedes_id
    while earlier is not None:
        if earlier in seen:
            raise InvalidInput(
                at,
                f"Finding {finding.id} supersedes itself, by way of {earlier}.",
                "Break the circle: a finding supersedes an earlier one.",
                "cycle",
            )
        seen.add(earlier)
        earlier = by_id[earlier].supersedes_id if earlier in by_id else None


def _check_pieces_told_apart(snapshot: Snapshot, positions: Mapping[str, Position]) -> None:
    """Refuse more pieces with findings of their own than can be planned: each is a position."""
    apart = {f.position_id for f in snapshot.findings if f.piece is not None} & positions.keys()
    pieces = sum(positions[position_id].quantity for position_id in apart)
    if len(snapshot.positions) - len(apart) + pieces > MOST_POSITIONS:
        raise InvalidInput(
            "/findings",
            f"Findings tell {pieces} pieces apart, each planned as a position of its own.",
            f"Give findings without piece, or at most {MOST_POSITIONS} positions and pieces in "
            "all.",
            "too-many-pieces",
        )


def _check_said(at: str, finding: Finding, characteristic: Characteristic) -> None:
    """Refuse a finding that says nothing, or several things, or a size of another kind."""
    ways = {
        "measured": finding.measured is not None,
        "readings": bool(finding.readings),
        "at_least": finding.at_least is not None or finding.at_most is not None,
        "grade": finding.grade is not None,
    }
    said = [name for name, is_said in ways.items() if is_said]
    if len(said) != 1:
        raise InvalidInput(
            f"{at}/{said[1] if said else 'measured'}",
            "A finding gives one of a measured quantity, readings, an interval and a grade.",
            "Give one of them.",
            "measured-or-graded",
        )
    if len(finding.readings) > MOST_READINGS:
        raise InvalidInput(
            f"{at}/readings",
            f"There are {len(finding.readings)} readings.",
            f"Give at most {MOST_READINGS}.",
            "too-many",
        )
    units = [limit.unit for limit in limits_of(characteristic)]
    units += [unit for unit in (characteristic.unit,) if unit is not None]
    sizes = _sizes_of(at, finding)
    wanted = next((unit for unit in units), sizes[0][1].unit if sizes else "")
    for pointer, size in sizes:
        if not same_dimension(kind_of(size.unit), kind_of(wanted)):
            raise InvalidInput(
                f"{pointer}/unit",
                f"{size.unit} is a unit of {kind_of(size.unit)}; '{characteristic.name}' is a "
                f"{kind_of(wanted)}.",
                f"Give the reading in a unit of {kind_of(wanted)}, such as {wanted}.",
                "unit-wrong-dimension",
            )
    _check_interval(at, finding)


def _sizes_of(at: str, finding: Finding) -> list[tuple[str, Quantity]]:
    """Every size that a finding states, with where it stands."""
    members = ("measured", "at_least", "at_most")
    found = [(f"{at}/{name}", getattr(finding, name)) for name in members]
    found += [
        (f"{at}/readings/{place}/size", one.size) for place, one in enumerate(finding.readings)
    ]
    return [(pointer, size) for pointer, size in found if size is not None]


def _check_interval(at: str, finding: Finding) -> None:
    low, high = finding.at_least, finding.at_most
    if low is None or high is None or convert(low.value, low.unit, high.unit) < high.value:
        return
    raise InvalidInput(
        f"{at}/at_most",
        f"at_most {high.value} {high.unit} is not above at_least {low.value} {low.unit}.",
        "Swap the two ends, or give the ends that the gauge tells.",
        "range-reversed",
    )
