"""One measured finding in front of its limits, and what keeps its verdict from counting."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from shared.assemblies.model import Characteristic
from shared.condition.conformity import ConformityResult, conformity_probability
from shared.condition.doubt import Doubt, why_gauge_does_not_count
from shared.condition.judgement import Judged
from shared.condition.limits import LimitPair, Limits, as_entered
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Finding, Gauge, Verdict, Zone
from shared.condition.temperature import change_to_reference
from shared.condition.told import when_cold
from shared.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Case:
    """One finding in front of its limits."""

    finding: Finding
    characteristic: Characteristic
    kind: str
    limits: Limits
    rule: ConformityRule
    acceptance_probability: float
    gauges: Mapping[str, Gauge]


def first_size(finding: Finding) -> Quantity | None:
    """Return any size that a finding tells; None: it tells none."""
    if finding.readings:
        return finding.readings[0].size
    return finding.measured or finding.at_least or finding.at_most


def why_too_few(finding: Finding, characteristic: Characteristic) -> str | None:
    """Say that a finding has fewer readings than its characteristic asks for; None: it has not."""
    wanted, number = characteristic.minimum_readings, max(1, len(finding.readings))
    if number >= wanted:
        return None
    return f"{number} of at least {wanted} readings"


def undecided(zone: Zone, text: str) -> Judged:
    """Return that nothing is decided, and why."""
    return Judged(Verdict.INDETERMINATE, zone, None, text)


def against_good(case: Case) -> list[str]:
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


def past_the_other_side(case: Case, value: float, doubt: Doubt) -> list[str]:
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


def against_warm(
    case: Case, value: float, verdict: Verdict, judge: Callable[[float], ConformityResult]
) -> list[str]:
    """Question a verdict that may be another at 20 °C, the part moving as much as metal can."""
    if verdict is Verdict.INDETERMINATE:
        return []
    cold = sizes_when_cold(case, value)
    other = [size for size in cold if judge(size).verdict is not verdict]
    if not other and is_across(case.limits.judged, value, *cold):
        other = list(cold)
    return [when_cold(other[0])] if other else []


def is_across(limits: LimitPair, *sizes: float) -> bool:
    """Whether sizes lie beyond both limits: then what is between them may lie within."""
    if limits.lower is None or limits.upper is None:
        return False
    return min(sizes) < limits.lower and max(sizes) > limits.upper


def sizes_when_cold(case: Case, value: float) -> tuple[float, ...]:
    """Return the sizes at 20 °C that are farthest from what was read; none: it was read near it."""
    finding = case.finding
    if isinstance(finding, DerivedFinding):
        return finding.at_reference or ()
    change = change_to_reference(finding, value, case.kind)
    return (value + change,) if change else ()
