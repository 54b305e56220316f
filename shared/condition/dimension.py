"""Judging a measured finding: limits that work upwards, downwards or both, with doubt.

The limit is the service limit for a part that is kept, the limits when new for a new or reworked
one. A limit that is not on record is never invented.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from shared.assemblies.model import Characteristic, ReadingsCount
from shared.condition.conformity import (
    ConformityResult,
    conformity_probability,
    judge_conformity,
)
from shared.condition.doubt import NO_GAUGES, Doubt, feel_of, why_gauge_does_not_count
from shared.condition.intervals import IntervalResult, judge_interval
from shared.condition.judgement import VERDICTS_WORST_LAST, Figures, Judged
from shared.condition.limits import (
    ZONES_WORST_LAST,
    Limits,
    as_entered,
    kind_of_characteristic,
    limits_of,
)
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Finding, Gauge, Verdict, Zone
from shared.condition.readings import Point, counted_points, points_of
from shared.condition.settling import Settling, settling
from shared.condition.temperature import change_to_reference
from shared.condition.told import (
    chance_text,
    difference_unit_of,
    interval_text,
    missing_limit,
    points_text,
    temperature_note,
    when_cold,
)
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit

_NO_GAUGE = "no uncertainty stated: say which gauge, or what its uncertainty is"


@dataclass(frozen=True, slots=True)
class _Case:
    """One finding in front of its limits."""

    finding: Finding
    characteristic: Characteristic
    kind: str
    limits: Limits
    rule: ConformityRule
    acceptance_probability: float
    gauges: Mapping[str, Gauge]


def judge_dimension(
    finding: Finding,
    characteristic: Characteristic,
    rule: ConformityRule,
    acceptance_probability: float,
    *,
    is_kept: bool,
    gauges: Mapping[str, Gauge] = NO_GAUGES,
) -> Judged:
    """Judge a reading, several of them or an interval against the limits of its characteristic.

    No limit, or no known doubt, gives ``indeterminate``, never ``conforming``; so do fewer readings
    than are asked for, and a gauge out of calibration. ``gauges`` by id. Of several readings the
    one that counts is judged, or both extremes where nothing says which; the worst verdict counts.
    Raises WrongDimension where the reading is of another kind than the limits, and InvalidInput for
    limits or an interval upside down.
    """
    kind = kind_of_characteristic(characteristic, first_size(finding))
    case = _Case(
        finding,
        characteristic,
        kind,
        limits_of(characteristic, kind, is_kept=is_kept),
        rule,
        acceptance_probability,
        gauges,
    )
    if finding.measured is None and not finding.readings:
        return _judge_interval(case)
    return _judge_points(case)


def first_size(finding: Finding) -> Quantity | None:
    """Return any size that a finding tells; None: it tells none."""
    if finding.readings:
        return finding.readings[0].size
    return finding.measured or finding.at_least or finding.at_most


def _judge_points(case: _Case) -> Judged:
    rule_for_readings = case.characteristic.counted_by
    points = points_of(case.finding, case.kind, case.gauges, rule_for_readings)
    counted = counted_points(points, rule_for_readings)
    size = points_text(case.finding, case.kind, points, counted)
    zone = max((case.limits.zone(point.value) for point in counted), key=ZONES_WORST_LAST.index)
    if not case.limits.judged.is_given:
        return _undecided(zone, f"{size}: indeterminate, {missing_limit(zone)}")
    judged = [_judge_point(case, point, zone, size) for point in counted if point.doubt is not None]
    if len(judged) < len(counted):
        judged.append(_of_unknown_doubt(case, counted, zone, size))
    worst = max(
        judged, key=lambda one: (VERDICTS_WORST_LAST.index(one.verdict), -(one.probability or 0.0))
    )
    if worst.verdict is Verdict.CONFORMING:
        return _unless_less_sure(case, worst, [one for one in points if one not in counted])
    return worst


def _of_unknown_doubt(case: _Case, counted: Sequence[Point], zone: Zone, size: str) -> Judged:
    settle = _settling_of(case, counted[0].value, None) if len(counted) == 1 else None
    parts = [f"{size}, {case.limits.judged}: indeterminate, {_NO_GAUGE}"]
    parts += [] if settle is None else [settle.text]
    parts += [] if case.finding.note is None or not _is_derived(case) else [case.finding.note]
    return Judged(Verdict.INDETERMINATE, zone, None, "; ".join(parts), settle)


def _unless_less_sure(case: _Case, good: Judged, rivals: Sequence[Point]) -> Judged:
    """Hold back a good verdict where a place that does not count by its value leaves it open."""
    open_ones = [judged for judged in (_rival(case, one) for one in rivals) if judged is not None]
    if not open_ones:
        return good
    worst = min(open_ones, key=lambda one: -1.0 if one.probability is None else one.probability)
    return replace(worst, zone=good.zone)


def _rival(case: _Case, point: Point) -> Judged | None:
    """Return a place judged that may yet be the extreme one, less sure as it is; None: it is good.

    Where the greatest counts it may be greater still, which matters at the upper limit alone; where
    the least counts, at the lower.
    """
    limits, rule = case.limits.judged, case.characteristic.counted_by
    lower = None if rule is ReadingsCount.GREATEST else limits.lower
    upper = None if rule is ReadingsCount.LEAST else limits.upper
    if rule is ReadingsCount.MEAN or (lower is None and upper is None):
        return None
    size = (
        f"what counts is good, and another reading, {point.value:.6g}"
        f" {canonical_unit(case.kind)}, is less sure"
    )
    zone = case.limits.zone(point.value)
    if point.doubt is None:
        return _of_unknown_doubt(case, (point,), zone, size)
    judge = _judge_by(case, point.doubt, lower, upper)
    result = judge(point.value)
    warm = _against_warm(case, point.value, result.verdict, judge)
    if result.verdict is Verdict.CONFORMING and not warm:
        return None
    chance = chance_text(result.probability, point.doubt.u)
    text = f"{size}, {limits}: {Verdict.INDETERMINATE}, probability {chance}"
    text += f" (u = {point.doubt.u:.3g} {difference_unit_of(case.kind)})"
    return Judged(Verdict.INDETERMINATE, zone, result.probability, "; ".join([text, *warm]))


def _judge_by(
    case: _Case, doubt: Doubt, lower: float | None, upper: float | None
) -> Callable[[float], ConformityResult]:
    """Return how a size of this doubt is judged by limits."""
    return lambda value: judge_conformity(
        value,
        doubt.u,
        lower,
        upper,
        rule=case.rule,
        acceptance_probability=case.acceptance_probability,
        distribution=doubt.distribution,
    )


def _judge_point(case: _Case, point: Point, zone: Zone, size: str) -> Judged:
    doubt, limits = point.doubt, case.limits.judged
    assert doubt is not None
    judge = _judge_by(case, doubt, limits.lower, limits.upper)
    result = judge(point.value)
    verdict = result.verdict
    warm = _against_warm(case, point.value, verdict, judge)
    probability = result.probability
    if warm:
        cold = [judge(size).probability for size in _cold(case, point.value)]
        probability = min(probability, *cold)
    against = [*_against_good(case), *_past_the_other_side(case, point.value, doubt), *warm]
    if warm or (against and verdict is Verdict.CONFORMING):
        verdict = Verdict.INDETERMINATE
    settle = None
    if result.verdict is Verdict.INDETERMINATE:
        settle = _settling_of(case, point.value, point)
    text = (
        f"{size}, {limits}: {verdict}, probability {chance_text(probability, doubt.u)}"
        f" (u = {doubt.u:.3g} {difference_unit_of(case.kind)})"
    )
    notes = [
        doubt.note,
        case.finding.note if _is_derived(case) else None,
        *against,
        temperature_note(case.finding, case.kind),
        _rule_note(result, verdict, settle),
    ]
    detail = "; ".join([text, *filter(None, notes)])
    figures = Figures(point.value, doubt, result)
    return Judged(verdict, zone, probability, detail, settle, figures)


def _judge_interval(case: _Case) -> Judged:
    finding, limits = case.finding, case.limits.judged
    ends = [
        None if end is None else canonical(end, case.kind)
        for end in (finding.at_least, finding.at_most)
    ]
    at_least, at_most = ends
    zones = [case.limits.zone(end) for end in ends if end is not None]
    if None in ends and zones and case.limits.zone(_open_end(at_least)) is not Zone.NO_LIMIT:
        zones.append(case.limits.zone(_open_end(at_least)))
    zone = max(zones, key=ZONES_WORST_LAST.index)
    size = interval_text(finding, case.kind)
    if not limits.is_given:
        return _undecided(zone, f"{size}: indeterminate, {missing_limit(zone)}")
    feel = feel_of(finding, case.kind, case.gauges)

    def judge(least: float | None, most: float | None) -> IntervalResult:
        return judge_interval(
            least,
            most,
            feel,
            limits.lower,
            limits.upper,
            rule=case.rule,
            acceptance_probability=case.acceptance_probability,
        )

    result = judge(at_least, at_most)
    verdict = result.verdict
    cold = [
        None if end is None else end + change_to_reference(finding, end, case.kind) for end in ends
    ]
    warm = []
    if verdict is not Verdict.INDETERMINATE and judge(*cold).verdict is not verdict:
        warm = [when_cold(end) for end in cold if end is not None]
    against = [*_against_good(case), *warm]
    for end in (end for end in ends if end is not None):
        against += _past_the_other_side(case, end, Doubt(feel))
    if warm or (against and verdict is Verdict.CONFORMING):
        verdict = Verdict.INDETERMINATE
    chance = (
        ""
        if result.probability is None
        else f", probability {chance_text(result.probability, feel or 1.0)}"
    )
    unit = difference_unit_of(case.kind)
    feel_text = f" (each end off by u = {feel:.3g} {unit})" if feel else ""
    notes = [*dict.fromkeys(against), temperature_note(finding, case.kind)]
    if case.rule is ConformityRule.SIMPLE_ACCEPTANCE:
        notes.append("by simple acceptance")
    elif result.verdict is Verdict.INDETERMINATE:
        notes.append("the limit may lie within it: measure the size itself")
    text = f"{size}, {limits}: {verdict}{chance}{feel_text}"
    detail = "; ".join([text, *filter(None, notes)])
    return Judged(verdict, zone, result.probability, detail)


def _open_end(at_least: float | None) -> float:
    """Return a size at the open end of an interval: without bound on the side that is open."""
    return float("-inf") if at_least is None else float("inf")


def _undecided(zone: Zone, text: str) -> Judged:
    return Judged(Verdict.INDETERMINATE, zone, None, text)


def _is_derived(case: _Case) -> bool:
    return isinstance(case.finding, DerivedFinding)


def _settling_of(case: _Case, value: float, point: Point | None) -> Settling | None:
    """Return what would settle a reading; ``point`` None: nothing is known of its doubt."""
    if case.rule is ConformityRule.SIMPLE_ACCEPTANCE:
        return None
    doubt = None if point is None else point.doubt
    repeatability = None if doubt is None or point is None else doubt.repeatability
    if repeatability is not None and point is not None and point.readings > 1:
        # The doubt is that of a mean: one reading alone varies more.
        repeatability *= point.readings**0.5
    limits = case.limits.judged
    extra = {} if doubt is None else {"distribution": doubt.distribution, "common": doubt.common}
    return settling(
        value,
        (limits.lower, limits.upper),
        case.acceptance_probability,
        difference_unit_of(case.kind),
        repeatability=repeatability,
        what="a measure" if _is_derived(case) else "a gauge",
        **extra,  # type: ignore[arg-type]
    )


def _rule_note(result: ConformityResult, verdict: Verdict, settle: Settling | None) -> str | None:
    if result.rule is ConformityRule.SIMPLE_ACCEPTANCE:
        return "by simple acceptance"
    line = "" if settle is None else f": {settle.text}"
    if result.acceptance_limits is None:
        return f"the gauge is too coarse for these limits{line}"
    if result.verdict is verdict is Verdict.INDETERMINATE:
        return f"measure again, or with a finer gauge{line}"
    return None


def _against_good(case: _Case) -> list[str]:
    """Return what keeps any good-looking size of this finding from counting as good."""
    finding, reasons = case.finding, []
    if finding.is_cleaned is False:
        reasons.append("not cleaned: clean the part and measure again")
    gauge = why_gauge_does_not_count(finding, case.gauges)
    if gauge is not None:
        reasons.append(gauge)
    if isinstance(finding, DerivedFinding):
        return [*reasons, *finding.why_not_good]
    few = why_too_few(finding, case.characteristic)
    return [*reasons, few] if few is not None else reasons


def why_too_few(finding: Finding, characteristic: Characteristic) -> str | None:
    """Say that a finding has fewer readings than its characteristic asks for; None: it has not."""
    wanted, number = characteristic.minimum_readings, max(1, len(finding.readings))
    if number >= wanted:
        return None
    return f"{number} of at least {wanted} readings"


def _past_the_other_side(case: _Case, value: float, doubt: Doubt) -> list[str]:
    """Question a size clearly past the limit when new on the side that does not wear.

    Wear moves a size one way; the service limit stands there. On the other side the part is a wrong
    one, or the reading is.
    """
    reasons = []
    limits, new = case.limits.judged, case.limits.new
    for side, bound, text in (
        ("below", (new.lower, None), new.lower_text),
        ("above", (None, new.upper), new.upper_text),
    ):
        is_bounded = (limits.lower if side == "below" else limits.upper) is not None
        if text is None or is_bounded:
            continue
        chance = conformity_probability(value, doubt.u, *bound, distribution=doubt.distribution)
        if chance <= 1 - case.acceptance_probability:
            reasons.append(
                f"{side} {as_entered(text)}, the limit when new on the side that does not wear:"
                " check the reading and the part"
            )
    return reasons


def _against_warm(
    case: _Case, value: float, verdict: Verdict, judge: Callable[[float], ConformityResult]
) -> list[str]:
    """Question a verdict that may be another at 20 °C, the part moving as much as metal can."""
    other = [size for size in _cold(case, value) if judge(size).verdict is not verdict]
    return [when_cold(other[0])] if other and verdict is not Verdict.INDETERMINATE else []


def _cold(case: _Case, value: float) -> tuple[float, ...]:
    """Return the sizes at 20 °C that are farthest from what was read; none: it was read near it."""
    finding = case.finding
    if isinstance(finding, DerivedFinding):
        return finding.at_reference or ()
    change = change_to_reference(finding, value, case.kind)
    return (value + change,) if change else ()
