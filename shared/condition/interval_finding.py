"""Judging a finding that tells between what a size lies: its ends, the feel, warmth."""

from shared.condition.case import (
    Case,
    against_good,
    is_across,
    past_the_other_side,
    undecided,
)
from shared.condition.doubt import Doubt, feel_of
from shared.condition.intervals import IntervalResult, judge_interval
from shared.condition.judgement import Judged
from shared.condition.limits import ZONES_WORST_LAST
from shared.condition.model import ConformityRule, Verdict, Zone
from shared.condition.temperature import change_to_reference
from shared.condition.told import (
    chance_text,
    difference_unit_of,
    interval_text,
    missing_limit,
    temperature_note,
    when_cold,
)
from shared.quantities.units import canonical


def judge_interval_finding(case: Case) -> Judged:
    """Judge the ends of an interval by the limits of its case, as ``judge_dimension`` tells."""
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
        return undecided(zone, f"{size}: indeterminate, {missing_limit(zone)}")
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
    known = [end for end in (*ends, *cold) if end is not None]
    is_other = judge(*cold).verdict is not verdict or is_across(limits, *known)
    if cold != ends and verdict is not Verdict.INDETERMINATE and is_other:
        warm = [when_cold(end) for end in cold if end is not None]
    against = [*against_good(case), *warm]
    for end in (end for end in ends if end is not None):
        against += past_the_other_side(case, end, Doubt(feel))
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
