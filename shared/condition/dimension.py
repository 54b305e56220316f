"""Judging a measured finding: limits that work upwards, downwards or both, with doubt.

The limit is the service limit for a part that is kept, the limits when new for a new or reworked
one. A limit that is not on record is never invented.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from shared.assemblies.model import Characteristic, ReadingsCount
from shared.condition.case import (
    Case,
    against_good,
    against_warm,
    first_size,
    past_the_other_side,
    sizes_when_cold,
    undecided,
)
from shared.condition.conformity import ConformityResult, judge_conformity
from shared.condition.doubt import NO_GAUGES, Doubt
from shared.condition.interval_finding import judge_interval_finding
from shared.condition.judgement import VERDICTS_WORST_LAST, Figures, Judged
from shared.condition.limits import ZONES_WORST_LAST, kind_of_characteristic, limits_of
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Finding, Gauge, Verdict, Zone
from shared.condition.readings import Point, counted_points, points_of
from shared.condition.settling import Settling, settling
from shared.condition.told import (
    chance_text,
    difference_unit_of,
    missing_limit,
    points_text,
    temperature_note,
)
from shared.quantities.units import canonical_unit

_NO_GAUGE = "no uncertainty stated: say which gauge, or what its uncertainty is"


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
    case = Case(
        finding,
        characteristic,
        kind,
        limits_of(characteristic, kind, is_kept=is_kept),
        rule,
        acceptance_probability,
        gauges,
    )
    if finding.measured is None and not finding.readings:
        return judge_interval_finding(case)
    return _judge_points(case)


def _judge_points(case: Case) -> Judged:
    rule_for_readings = case.characteristic.counted_by
    points = points_of(case.finding, case.kind, case.gauges, rule_for_readings)
    counted = counted_points(points, rule_for_readings)
    size = points_text(case.finding, case.kind, points, counted)
    zone = max((case.limits.zone(point.value) for point in counted), key=ZONES_WORST_LAST.index)
    if not case.limits.judged.is_given:
        return undecided(zone, f"{size}: indeterminate, {missing_limit(zone)}")
    judged = [_judge_point(case, point, zone, size) for point in counted if point.doubt is not None]
    if len(judged) < len(counted):
        judged.append(_of_unknown_doubt(case, counted, zone, size))
    worst = max(
        judged, key=lambda one: (VERDICTS_WORST_LAST.index(one.verdict), -(one.probability or 0.0))
    )
    if worst.verdict is Verdict.CONFORMING:
        return _unless_less_sure(case, worst, [one for one in points if one not in counted])
    return worst


def _of_unknown_doubt(case: Case, counted: Sequence[Point], zone: Zone, size: str) -> Judged:
    settle = _settling_of(case, counted[0].value, None) if len(counted) == 1 else None
    parts = [f"{size}, {case.limits.judged}: indeterminate, {_NO_GAUGE}"]
    parts += [] if settle is None else [settle.text]
    parts += [] if case.finding.note is None or not _is_derived(case) else [case.finding.note]
    return Judged(Verdict.INDETERMINATE, zone, None, "; ".join(parts), settle)


def _unless_less_sure(case: Case, good: Judged, rivals: Sequence[Point]) -> Judged:
    """Hold back a good verdict where a place that does not count by its value leaves it open."""
    open_ones = [judged for judged in (_rival(case, one) for one in rivals) if judged is not None]
    if not open_ones:
        return good
    worst = min(open_ones, key=lambda one: -1.0 if one.probability is None else one.probability)
    return replace(worst, zone=good.zone)


def _rival(case: Case, point: Point) -> Judged | None:
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
    warm = against_warm(case, point.value, result.verdict, judge)
    if result.verdict is Verdict.CONFORMING and not warm:
        return None
    chance = chance_text(result.probability, point.doubt.u)
    text = f"{size}, {limits}: {Verdict.INDETERMINATE}, probability {chance}"
    text += f" (u = {point.doubt.u:.3g} {difference_unit_of(case.kind)})"
    return Judged(Verdict.INDETERMINATE, zone, result.probability, "; ".join([text, *warm]))


def _judge_by(
    case: Case, doubt: Doubt, lower: float | None, upper: float | None
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


def _judge_point(case: Case, point: Point, zone: Zone, size: str) -> Judged:
    doubt, limits = point.doubt, case.limits.judged
    assert doubt is not None
    judge = _judge_by(case, doubt, limits.lower, limits.upper)
    result = judge(point.value)
    verdict = result.verdict
    warm = against_warm(case, point.value, verdict, judge)
    probability = result.probability
    if warm:
        cold = [judge(size).probability for size in sizes_when_cold(case, point.value)]
        probability = min(probability, *cold)
    against = [*against_good(case), *past_the_other_side(case, point.value, doubt), *warm]
    if warm or (against and verdict is Verdict.CONFORMING):
        verdict = Verdict.INDETERMINATE
    settle = None
    if result.verdict is Verdict.INDETERMINATE:
        settle = _settling_of(case, point.value, point)
        if settle is not None and against:
            settle = replace(settle, text=f"{settle.text}, once nothing else stands against it")
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


def _is_derived(case: Case) -> bool:
    return isinstance(case.finding, DerivedFinding)


def _settling_of(case: Case, value: float, point: Point | None) -> Settling | None:
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
