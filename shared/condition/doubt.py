"""How far a reading may be off: where its uncertainty comes from, and whether the gauge counts.

The first that applies: stated with the reading; what the shop knows of the gauge itself; usual for
its kind; usual for the word that the finding names. Else the doubt is not known.
"""

from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, date
from decimal import Decimal
from math import sqrt
from types import MappingProxyType
from typing import Final

from shared.condition.conformity import Distribution
from shared.condition.gauges import UsualGauge, usual_gauge
from shared.condition.model import Finding, Gauge
from shared.quantities import Quantity
from shared.quantities.units import CANONICAL_UNITS, kind_of, same_dimension, standard_uncertainty

NO_GAUGES: Final[Mapping[str, Gauge]] = MappingProxyType({})
"""No gauge on record."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard uncertainty in the canonical unit, how it is distributed, where it comes from.

    ``common``: the part of it that all readings with this gauge share; None: not known.
    """

    u: float
    distribution: Distribution = Distribution.NORMAL
    note: str | None = None
    common: float | None = None

    @property
    def repeatability(self) -> float | None:
        """Standard deviation of repeated readings, where the common part is known."""
        if self.common is None:
            return None
        return sqrt(max(0.0, self.u**2 - self.common**2))


def doubt_of(
    finding: Finding, reading: Quantity, kind: str, gauges: Mapping[str, Gauge] = NO_GAUGES
) -> Doubt | None:
    """Return the doubt of one reading of a finding, in the canonical unit of ``kind``; or None.

    ``gauges`` by id. The common part is never more than the whole. A usual uncertainty is of
    lengths alone. Raises as ``check_quantity`` does for a reading of another kind.
    """
    gauge = gauge_of(finding, gauges)
    common = None if gauge is None else _difference(gauge.common_uncertainty, kind)
    stated = standard_uncertainty(reading, kind)
    if stated is not None:
        is_rectangular = reading.plus_minus is not None
        shape = Distribution.RECTANGULAR if is_rectangular else Distribution.NORMAL
        return Doubt(stated, shape, None, _at_most(common, stated))
    return _doubt_of_gauge(finding, gauge, kind)


def feel_of(finding: Finding, kind: str, gauges: Mapping[str, Gauge] = NO_GAUGES) -> float:
    """Return by how much (u) each end of an interval may be off; 0 where nothing is known of it.

    As stated with either end, else as known of the gauge: the greatest. Of the usual feeler blades
    the feel alone: how far they lie apart is the interval itself.
    """
    ends = (end for end in (finding.at_least, finding.at_most) if end is not None)
    stated = [u for u in (standard_uncertainty(end, kind) for end in ends) if u is not None]
    if stated:
        return max(stated)
    gauge = gauge_of(finding, gauges)
    known = None if gauge is None else _difference(gauge.standard_uncertainty, kind)
    if known is not None:
        return known
    usual = _usual_of(finding, gauge, kind)
    if usual is None:
        return 0.0
    return usual.u_mm if usual.feel_mm is None else usual.feel_mm


def gauge_of(finding: Finding, gauges: Mapping[str, Gauge] = NO_GAUGES) -> Gauge | None:
    """Return the gauge on record with which it was found; None: none is named, or it is gone."""
    return None if finding.gauge_id is None else gauges.get(finding.gauge_id)


def why_gauge_does_not_count(
    finding: Finding, gauges: Mapping[str, Gauge] = NO_GAUGES
) -> str | None:
    """Say why a reading may not count as good for its gauge's calibration; None: it may.

    Only where the gauge has a term. A calibration later than the reading says nothing of the day on
    which it was read.
    """
    gauge = gauge_of(finding, gauges)
    if gauge is None or gauge.calibration_months is None:
        return None
    found_on = finding.found_at.date()
    calibrated_on = finding.gauge_calibrated_on or gauge.calibrated_on
    if calibrated_on is None:
        return f"no calibration on record of {gauge.name}: check it, then measure again"
    if calibrated_on > found_on:
        return (
            f"{gauge.name} was calibrated on {calibrated_on}, after the reading of {found_on}:"
            " measure again"
        )
    ends_on = months_after(calibrated_on, gauge.calibration_months)
    if found_on > ends_on:
        return f"the calibration of {gauge.name} ran out on {ends_on}: calibrate, measure again"
    return None


def months_after(day: date, months: int) -> date:
    """Return the same day so many months on, or the last of that month; never past the year 9999.

    >>> str(months_after(date(2031, 1, 31), 1)), str(months_after(date(2031, 3, 4), 12))
    ('2031-02-28', '2032-03-04')
    """
    whole = day.year * 12 + day.month - 1 + months
    year, month = divmod(whole, 12)
    if year > MAXYEAR:
        return date.max
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def _doubt_of_gauge(finding: Finding, gauge: Gauge | None, kind: str) -> Doubt | None:
    common = None if gauge is None else _difference(gauge.common_uncertainty, kind)
    known = None if gauge is None else _difference(gauge.standard_uncertainty, kind)
    if gauge is not None and known is not None:
        return Doubt(known, Distribution.NORMAL, f"u of {gauge.name}", _at_most(common, known))
    usual = _usual_of(finding, gauge, kind)
    if usual is None:
        return None
    note = f"u as usual for {usual.name}, none stated"
    return Doubt(usual.u_mm, Distribution.NORMAL, note, _at_most(common, usual.u_mm))


def _usual_of(finding: Finding, gauge: Gauge | None, kind: str) -> UsualGauge | None:
    """Return the usual gauge of a record's kind, else of the word of the finding; lengths alone."""
    if kind != "length":
        return None
    of_record = None if gauge is None else usual_gauge(gauge.kind)
    return usual_gauge(finding.gauge) if of_record is None else of_record


def _difference(amount: Quantity | None, kind: str) -> float | None:
    """Return an uncertainty of a gauge in the canonical unit; None: none, or of another kind."""
    if amount is None:
        return None
    own = kind_of(amount.unit)
    if own == "temperature-difference" and kind == "temperature":
        own_kind, unit = own, amount.unit
    elif same_dimension(own, kind):
        own_kind, unit = kind, amount.unit
    else:
        return None
    zero = Quantity(Decimal(0), unit, standard_uncertainty=amount.value)
    assert own_kind in CANONICAL_UNITS
    return standard_uncertainty(zero, own_kind)


def _at_most(common: float | None, u: float) -> float | None:
    return None if common is None else min(common, u)
