"""Words for sizes, doubts and chances in a line that tells a verdict."""

from collections.abc import Sequence

from shared.condition.limits import as_entered
from shared.condition.model import Finding, Zone
from shared.condition.readings import Point, spread_of
from shared.condition.temperature import kelvin_away
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit


def points_text(
    finding: Finding, kind: str, points: Sequence[Point], counted: Sequence[Point]
) -> str:
    """Return what a finding reads: its one size, or its readings summed up and what counts."""
    if finding.measured is not None:
        return size_text(finding.measured, kind)
    spread = spread_of([canonical(reading.size, kind) for reading in finding.readings])
    unit = canonical_unit(kind)
    readings = "1 reading" if spread.number == 1 else f"{spread.number} readings"
    told = [readings, f"mean {spread.mean:.6g} {unit}"]
    if spread.deviation is not None:
        told.append(f"s = {spread.deviation:.3g} {difference_unit_of(kind)}")
        told.append(f"{spread.least:.6g} to {spread.greatest:.6g} {unit}")
    if len(points) > 1:
        told.append(f"{len(points)} places")
    values = " and ".join(f"{point.value:.6g}" for point in counted)
    return f"{', '.join(told)}: {values} {unit} counted"


def interval_text(finding: Finding, kind: str) -> str:
    """Return between what a size lies, by the ends that are known."""
    least, most = finding.at_least, finding.at_most
    if least is None:
        assert most is not None
        return f"at most {size_text(most, kind)}"
    if most is None:
        return f"at least {size_text(least, kind)}"
    return f"between {size_text(least, kind)} and {size_text(most, kind)}"


def size_text(reading: Quantity, kind: str) -> str:
    """Return a size as entered, with the canonical unit beside it where that is another."""
    unit = canonical_unit(kind)
    if reading.unit == unit:
        return as_entered(reading)
    return f"{as_entered(reading)} ({canonical(reading, kind):.6g} {unit})"


def difference_unit_of(kind: str) -> str:
    """Return the unit of a difference of two sizes of a kind."""
    return "K" if kind == "temperature" else canonical_unit(kind)


def chance_text(probability: float, u: float) -> str:
    """Four places, and never rounded to certainty: only a reading without doubt is certain."""
    if u == 0:
        return f"{probability:.0f}"
    if probability > 0.9999:
        return "above 0.9999"
    return "below 0.0001" if probability < 0.0001 else f"{probability:.4f}"


def temperature_note(finding: Finding, kind: str) -> str | None:
    """Say that a part was measured far from 20 °C; None: it was not, or nobody knows."""
    if kelvin_away(finding, kind) is None:
        return None
    return f"part at {as_entered(finding.part_temperature)}, sizes hold at 20 °C: not corrected"


def when_cold(size: float) -> str:
    """Say what a size in mm may be at 20 °C."""
    return f"at 20 °C it may be {size:.6g} mm: measure again at room temperature"


def missing_limit(zone: Zone) -> str:
    """Say which limit is missing, by where a size lies."""
    if zone is Zone.NO_LIMIT:
        return "no limit on record: ask for the limit"
    return "no limit when new on record"
