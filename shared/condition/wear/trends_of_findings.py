"""The trend of one characteristic of one unit, from what was found on it over its hours.

Standing findings count: a correction takes the place of what it corrects, an earlier reading stays
as history. The size when new, at 0 hours, is the middle of the limits when new.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt

from shared.assemblies.model import Characteristic, ReadingsCount
from shared.condition.doubt import NO_GAUGES, Doubt, feel_of, why_gauge_does_not_count
from shared.condition.limits import LimitPair, kind_of_characteristic, limits_of
from shared.condition.model import Finding, Gauge
from shared.condition.readings import Point, counted_points, points_of
from shared.condition.standing import standing_findings
from shared.condition.temperature import change_to_reference, kelvin_away
from shared.condition.wear.model import NoTrend, NoTrendReason, Side, Trend, WearPoint
from shared.condition.wear.remaining import remaining
from shared.condition.wear.trend import DEFAULT_CONFIDENCE, trend_through
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit


@dataclass(frozen=True, slots=True)
class PieceTrend:
    """The trend of one piece; ``piece`` None: findings that name none."""

    piece: int | None
    trend: Trend | NoTrend


def trends_of(
    characteristic: Characteristic,
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge] = NO_GAUGES,
    hours_now: float | None = None,
    *,
    confidence: float = DEFAULT_CONFIDENCE,
) -> tuple[PieceTrend, ...]:
    """Return the trend of a characteristic for each piece that has a finding, at least one.

    ``findings`` of one unit, of other characteristics too: those are left out. Counted are sizes
    with ``unit_hours``. ``hours_now``: the unit's; None, or less than the latest finding's: that
    one's. Raises OutOfRange for a confidence that is not above 0.5 and below 1; what findings and
    limits lack is an answer (``NoTrend``), never an error.
    """
    own = [
        finding
        for finding in standing_findings(findings)
        if finding.characteristic_id == characteristic.id
        and finding.unit_hours is not None
        and finding.grade is None
    ]
    pieces = sorted({finding.piece for finding in own}, key=lambda piece: piece or 0) or [None]
    return tuple(
        PieceTrend(
            piece,
            _trend(
                characteristic,
                [finding for finding in own if finding.piece == piece],
                gauges,
                hours_now,
                confidence,
            ),
        )
        for piece in pieces
    )


@dataclass(frozen=True, slots=True)
class _Sized:
    """One size at its hours, the part of its doubt that its gauge's readings share."""

    point: WearPoint
    common: float | None


def _trend(
    characteristic: Characteristic,
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge],
    hours_now: float | None,
    confidence: float,
) -> Trend | NoTrend:
    if not findings:
        text = "No size was recorded with the hours that the unit had run."
        return NoTrend(NoTrendReason.TOO_FEW_POINTS, text)
    ordered = sorted(findings, key=lambda one: (one.found_at, one.unit_hours or 0))
    hours = [float(one.unit_hours or 0) for one in ordered]
    if hours != sorted(hours):
        text = (
            "A later finding states fewer running hours than an earlier one: the counter was"
            " changed, or one is a slip. Correct the finding."
        )
        return NoTrend(NoTrendReason.HOURS_BACKWARDS, text)
    kind = kind_of_characteristic(characteristic, _some_size(ordered[0]))
    if kind == "temperature":
        return NoTrend(NoTrendReason.NO_LIMIT, "A temperature is no size that wears.")
    limits = limits_of(characteristic, kind, is_kept=True)
    if not limits.judged.is_given:
        text = "No limit is on record: ask the maker's data for the limit in service."
        return NoTrend(NoTrendReason.NO_LIMIT, text)
    new, notes = _when_new(limits.new)
    found: list[Trend | NoTrend] = []
    for side, limit in _sides(limits.judged):
        sized, left_out = _sizes(characteristic, ordered, kind, gauges, side)
        points = _merged(sized, side)
        if new is not None and points and points[0].hours > 0:
            points = [new, *points]
        latest = points[-1].hours if points else 0.0
        trend = trend_through(
            points,
            side,
            limit,
            unit=canonical_unit(kind),
            common_u=_shared(sized),
            now_hours=latest if hours_now is None else max(hours_now, latest),
            confidence=confidence,
        )
        said = (*_kind_of_limit(characteristic, limits.judged, limits.new), *notes, *left_out)
        found.append(replace(trend, warnings=(*trend.warnings, *said)))
    return min(found, key=_most_telling)


def _most_telling(trend: Trend | NoTrend) -> tuple[float, float]:
    """With limits on both sides: that towards which the size moves; beyond one comes first."""
    if trend.is_beyond:
        return (0.0, 0.0)
    if isinstance(trend, Trend):
        return (1.0, remaining(trend).lower)
    return (3.0 if trend.reason is NoTrendReason.WRONG_WAY else 2.0, 0.0)


def _sides(limits: LimitPair) -> list[tuple[Side, float]]:
    both = ((Side.LOWER, limits.lower), (Side.UPPER, limits.upper))
    return [(side, limit) for side, limit in both if limit is not None]


def _some_size(finding: Finding) -> Quantity | None:
    if finding.readings:
        return finding.readings[0].size
    return finding.measured or finding.at_least or finding.at_most


def _when_new(new: LimitPair) -> tuple[WearPoint | None, list[str]]:
    if new.lower is None or new.upper is None:
        said = "The size when new is not known on both sides: it is no point of the trend."
        return None, [said]
    middle, half = (new.lower + new.upper) / 2, (new.upper - new.lower) / 2
    told = f"The size when new is taken as anywhere within its limits ({new})."
    return WearPoint(0.0, middle, half / sqrt(3), is_new=True), [told]


def _sizes(
    characteristic: Characteristic,
    findings: Iterable[Finding],
    kind: str,
    gauges: Mapping[str, Gauge],
    side: Side,
) -> tuple[list[_Sized], list[str]]:
    sized: list[_Sized] = []
    told: list[str] = []
    for finding in findings:
        hours = float(finding.unit_hours or 0)
        if finding.is_cleaned is False:
            told.append(f"The reading at {hours:g} h was taken before cleaning: left out.")
            continue
        try:
            point = _size(characteristic, finding, kind, gauges, side)
        except InvalidInput:
            point = None
        if point is None:
            told.append(f"The finding at {hours:g} h gives no size: left out.")
            continue
        common = None if point.doubt is None else point.doubt.common
        sized.append(_Sized(_at_reference(finding, point, hours, kind), common))
        told.extend(_about_the_reading(finding, hours, kind, gauges))
    return sized, told


def _at_reference(finding: Finding, point: Point, hours: float, kind: str) -> WearPoint:
    """Carry a size to 20 °C where the part was warmer or colder: by half of what metal can at most.

    The true change lies anywhere from none to the most, which is doubt besides.
    """
    half = change_to_reference(finding, point.value, kind) / 2
    u = None if point.u is None else hypot(point.u, half / sqrt(3))
    return WearPoint(hours, point.value + half, u)


def _about_the_reading(
    finding: Finding, hours: float, kind: str, gauges: Mapping[str, Gauge]
) -> list[str]:
    told = []
    if kelvin_away(finding, kind) is not None:
        told.append(f"The reading at {hours:g} h was not taken near 20 °C: its doubt is widened.")
    lapsed = why_gauge_does_not_count(finding, gauges)
    if lapsed is not None:
        told.append(f"The reading at {hours:g} h: {lapsed}.")
    return told


def _size(
    characteristic: Characteristic,
    finding: Finding,
    kind: str,
    gauges: Mapping[str, Gauge],
    side: Side,
) -> Point | None:
    """Return the size that counts: of several readings by the rule, else the most worn."""
    if finding.measured is None and not finding.readings:
        return _middle(finding, kind, gauges)
    worn = ReadingsCount.GREATEST if side is Side.UPPER else ReadingsCount.LEAST
    counted_by = characteristic.counted_by or worn
    return counted_points(points_of(finding, kind, gauges, counted_by), counted_by)[0]


def _middle(finding: Finding, kind: str, gauges: Mapping[str, Gauge]) -> Point | None:
    """Return the middle of an interval with both ends; one with an open end is no size."""
    if finding.at_least is None or finding.at_most is None:
        return None
    lower, upper = canonical(finding.at_least, kind), canonical(finding.at_most, kind)
    feel = feel_of(finding, kind, gauges)
    return Point((lower + upper) / 2, Doubt(sqrt((upper - lower) ** 2 / 12 + feel * feel)))


def _merged(sized: Sequence[_Sized], side: Side) -> list[WearPoint]:
    """Of several sizes at the same hours the most worn counts, as it does for the verdict."""
    by_hours: dict[float, list[WearPoint]] = {}
    for one in sized:
        by_hours.setdefault(one.point.hours, []).append(one.point)
    return [
        max(points, key=lambda point: (side.sign * point.size, point.u or 0.0))
        for _, points in sorted(by_hours.items())
    ]


def _shared(sized: Sequence[_Sized]) -> float | None:
    """Return the part of doubt that all readings may share: the greatest; None: not known."""
    commons = [one.common for one in sized]
    known = [common for common in commons if common is not None]
    return max(known) if known and len(known) == len(commons) else None


def _kind_of_limit(characteristic: Characteristic, judged: LimitPair, new: LimitPair) -> list[str]:
    if judged is new or judged == new:
        return ["No limit in service is on record: the limit when new counts."]
    if characteristic.service_limit_is is None:
        return ["Whether the limit is one of service or of discard is not recorded."]
    return [f"The limit is a {characteristic.service_limit_is} limit."]
