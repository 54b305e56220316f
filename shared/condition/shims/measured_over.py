"""What was measured over a pack of shims: the finding that counts, its size, how sure it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from shared.assemblies.model import Characteristic
from shared.condition.case import first_size, why_too_few
from shared.condition.derived import derived_findings, why_not_derived
from shared.condition.doubt import doubt_of, feel_of, why_gauge_does_not_count
from shared.condition.measured import DerivedFinding
from shared.condition.model import Finding, Gauge
from shared.condition.readings import counted_points, points_of
from shared.condition.standing import current_findings
from shared.quantities import Quantity, canonical, convert


@dataclass(frozen=True, slots=True)
class Over:
    """The size in question; None: it cannot be told, ``missing`` says why.

    It states no uncertainty where that is not known, or where the reading may not count as good.
    """

    value: Quantity | None
    finding_id: str | None = None
    found_at: datetime | None = None
    missing: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def measured_over(
    sets: Characteristic,
    characteristics: Sequence[Characteristic],
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge],
) -> Over:
    """Return the size of what shims set, by the finding that counts today; derived ones too.

    A finding of its own goes before a derived one. Several that count are not chosen between, nor
    are several readings that differ where nothing says which of them counts.
    """
    own = [
        one
        for one in current_findings(findings)
        if one.characteristic_id == sets.id and first_size(one) is not None
    ]
    if not own and sets.derivation is not None:
        derived = derived_findings(characteristics, findings, gauges)
        own = [one for one in derived if one.characteristic_id == sets.id]
    if not own:
        why = why_not_derived(characteristics, findings, gauges).get(sets.id)
        text = f"{sets.name} is not measured" + (f" ({why})" if why else "")
        return Over(None, missing=(text,))
    if len(own) > 1:
        why = f"{sets.name} has several findings that count: supersede those that do not"
        return Over(None, missing=(why,))
    return _size(sets, own[0], gauges)


def _size(sets: Characteristic, finding: Finding, gauges: Mapping[str, Gauge]) -> Over:
    against = _against(sets, finding, gauges)
    if finding.measured is not None:
        doubt = doubt_of(finding, finding.measured, "length", gauges)
        u = None if doubt is None else doubt.u
        size = convert(finding.measured.value, finding.measured.unit, "mm")
    elif finding.readings:
        points = counted_points(
            points_of(finding, "length", gauges, sets.counted_by), sets.counted_by
        )
        if len(points) > 1:
            why = f"the readings of {sets.name} differ, and nothing says which of them counts"
            return Over(None, finding.id, missing=(why,))
        size, u = _decimal(points[0].value), points[0].u
    elif finding.at_least is not None and finding.at_most is not None:
        low, high = canonical(finding.at_least, "length"), canonical(finding.at_most, "length")
        size = _decimal((low + high) / 2)
        u = ((high - low) ** 2 / 12 + feel_of(finding, "length", gauges) ** 2) ** 0.5
    else:
        why = f"{sets.name} is known from one side only: measure it"
        return Over(None, finding.id, missing=(why,))
    told = None if against or not u else _decimal_up(u)
    unit = _unit(finding)
    value = Quantity(convert(size, "mm", unit), unit)
    if told is not None:
        value = Quantity(value.value, unit, standard_uncertainty=convert(told, "mm", unit))
    return Over(value, finding.id, finding.found_at, cautions=against)


def _unit(finding: Finding) -> str:
    size = first_size(finding)
    return "mm" if size is None else size.unit


def _against(
    sets: Characteristic, finding: Finding, gauges: Mapping[str, Gauge]
) -> tuple[str, ...]:
    """Return what keeps a reading from counting as sure, whatever its doubt."""
    if isinstance(finding, DerivedFinding):
        warm = () if finding.at_reference is None else ("parts were measured far from 20 °C",)
        return (*finding.why_not_good, *warm)
    found = [why_gauge_does_not_count(finding, gauges), why_too_few(finding, sets)]
    if finding.is_cleaned is False:
        found.append("it was measured before it was cleaned: wash, then measure again")
    return tuple(text for text in found if text is not None)


def _decimal(size: float) -> Decimal:
    return Decimal(f"{size:.9f}")


def _decimal_up(u: float) -> Decimal:
    """Return an uncertainty to the millionth of a micrometre, never less than it is."""
    return _decimal(u) + Decimal("1E-9")
