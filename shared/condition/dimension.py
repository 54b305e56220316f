"""Judging a measured finding: limits that work upwards, downwards or both, with doubt.

The limit is the service limit for a part that is kept, the limits when new for a new or reworked
one. A limit that is not on record is never invented.
"""

from dataclasses import dataclass

from shared.assemblies.model import Characteristic
from shared.condition.conformity import (
    ConformityResult,
    Distribution,
    conformity_probability,
    is_within,
    judge_conformity,
)
from shared.condition.gauges import usual_gauge
from shared.condition.judgement import Judged
from shared.condition.model import ConformityRule, Finding, Verdict, Zone
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit, kind_of, standard_uncertainty

REFERENCE_TEMPERATURE_C = 20.0
"""Temperature for which sizes are given. Source: ISO 1 (from memory)."""

TEMPERATURE_LEEWAY_K = 5.0
"""Beyond this the temperature is worth a word. Common practice, no source."""

MOST_EXPANSION_PER_K = 27e-6
"""Linear expansion of magnesium, the most of the usual metals. From memory, no source."""

_NO_GAUGE = "no uncertainty stated: say which gauge, or what its uncertainty is"


@dataclass(frozen=True, slots=True)
class LimitPair:
    """Limits as recorded, and in the canonical unit of their kind; either end may be missing."""

    lower_text: Quantity | None
    upper_text: Quantity | None
    lower: float | None
    upper: float | None
    when: str

    @property
    def is_given(self) -> bool:
        """Whether there is any limit at all."""
        return self.lower is not None or self.upper is not None

    def holds(self, value: float) -> bool:
        """Whether a value lies within, doubt left aside."""
        return self.is_given and is_within(value, self.lower, self.upper)

    def __str__(self) -> str:
        if self.lower_text is None:
            return f"at most {as_entered(self.upper_text)} {self.when}"
        if self.upper_text is None:
            return f"at least {as_entered(self.lower_text)} {self.when}"
        return f"{as_entered(self.lower_text)} to {as_entered(self.upper_text)} {self.when}"


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard uncertainty in the canonical unit, how it is distributed, where it comes from."""

    u: float
    distribution: Distribution
    note: str | None = None


def judge_dimension(
    finding: Finding,
    characteristic: Characteristic,
    rule: ConformityRule,
    acceptance_probability: float,
    *,
    is_kept: bool,
) -> Judged:
    """Judge a reading against the limits of its characteristic.

    ``finding.measured`` must be there. No limit, or no known doubt, gives ``indeterminate``, never
    ``conforming``. Raises WrongDimension where the reading is of another kind than the limits, and
    InvalidInput for limits upside down.
    """
    reading = finding.measured
    assert reading is not None
    kind = _kind(characteristic, reading)
    new, service = _limits(characteristic, kind)
    value = canonical(reading, kind)
    zone = _zone(value, new, service)
    limits = service if is_kept and service.is_given else new
    doubt = _doubt(finding, reading, kind)
    size = _size(reading, kind)
    if not limits.is_given:
        missing = "no limit on record" if zone is Zone.NO_LIMIT else "no limit when new on record"
        return _undecided(zone, f"{size}: indeterminate, {missing}")
    if doubt is None:
        return _undecided(zone, f"{size}, {limits}: indeterminate, {_NO_GAUGE}")

    def judge(size: float) -> ConformityResult:
        return judge_conformity(
            size,
            doubt.u,
            limits.lower,
            limits.upper,
            rule=rule,
            acceptance_probability=acceptance_probability,
            distribution=doubt.distribution,
        )

    result = judge(value)
    against = _against_conforming(finding, value, doubt, (limits, new), acceptance_probability)
    at_rest = _size_at_reference(finding, value, kind)
    if at_rest is not None and judge(at_rest).verdict is not Verdict.CONFORMING:
        against.append(f"at 20 °C it may be {at_rest:.6g} mm: measure again at room temperature")
    verdict = result.verdict
    if against and verdict is Verdict.CONFORMING:
        verdict = Verdict.INDETERMINATE
    notes = [doubt.note, *against, _temperature_note(finding, kind), _rule_note(result, verdict)]
    text = (
        f"{size}, {limits}: {verdict}, probability {_chance(result.probability, doubt.u)}"
        f" (u = {doubt.u:.3g} {_difference_unit(kind)})"
    )
    return Judged(verdict, zone, result.probability, "; ".join([text, *filter(None, notes)]))


def _undecided(zone: Zone, text: str) -> Judged:
    return Judged(Verdict.INDETERMINATE, zone, None, text)


def _rule_note(result: ConformityResult, verdict: Verdict) -> str | None:
    if result.rule is ConformityRule.SIMPLE_ACCEPTANCE:
        return "by simple acceptance"
    if result.acceptance_limits is None:
        return "the gauge is too coarse for these limits"
    if result.verdict is verdict is Verdict.INDETERMINATE:
        return "measure again, or with a finer gauge"
    return None


def as_entered(quantity: Quantity | None) -> str:
    """Return a quantity as it was written, without its doubt."""
    return "" if quantity is None else f"{quantity.value:f} {quantity.unit}"


def _kind(characteristic: Characteristic, reading: Quantity) -> str:
    """Kind of quantity, by the limits where there are any: they say what the characteristic is."""
    limits = (
        characteristic.service_lower,
        characteristic.service_upper,
        characteristic.new_lower,
        characteristic.new_upper,
    )
    unit = next((limit.unit for limit in limits if limit is not None), reading.unit)
    return kind_of(unit)


def _limits(characteristic: Characteristic, kind: str) -> tuple[LimitPair, LimitPair]:
    def pair(lower: Quantity | None, upper: Quantity | None, when: str) -> LimitPair:
        return LimitPair(
            lower,
            upper,
            None if lower is None else canonical(lower, kind),
            None if upper is None else canonical(upper, kind),
            when,
        )

    return (
        pair(characteristic.new_lower, characteristic.new_upper, "when new"),
        pair(characteristic.service_lower, characteristic.service_upper, "in service"),
    )


def _zone(value: float, new: LimitPair, service: LimitPair) -> Zone:
    if not new.is_given and not service.is_given:
        return Zone.NO_LIMIT
    if new.holds(value):
        return Zone.WITHIN_NEW
    return Zone.WITHIN_SERVICE if service.holds(value) else Zone.BEYOND


def _doubt(finding: Finding, reading: Quantity, kind: str) -> Doubt | None:
    """Doubt as stated with the reading, else that of the usual gauge, else None."""
    u = standard_uncertainty(reading, kind)
    if u is not None:
        is_rectangular = reading.plus_minus is not None
        return Doubt(u, Distribution.RECTANGULAR if is_rectangular else Distribution.NORMAL)
    gauge = usual_gauge(finding.gauge)
    if gauge is None or kind != "length":
        return None
    return Doubt(gauge.u_mm, Distribution.NORMAL, f"u as usual for {gauge.name}, none stated")


def _against_conforming(
    finding: Finding,
    value: float,
    doubt: Doubt,
    limits_and_new: tuple[LimitPair, LimitPair],
    acceptance_probability: float,
) -> list[str]:
    """Return what keeps a good-looking reading from counting as good."""
    reasons = []
    if finding.is_cleaned is False:
        reasons.append("not cleaned: clean the part and measure again")
    limits, new = limits_and_new
    for side, bound, text in (
        ("below", (new.lower, None), new.lower_text),
        ("above", (None, new.upper), new.upper_text),
    ):
        is_bounded = (limits.lower if side == "below" else limits.upper) is not None
        if text is None or is_bounded:
            continue
        # Wear moves a size one way; the service limit stands there. Clearly past the new limit on
        # the other side the part is a wrong one, or the reading is.
        chance = conformity_probability(value, doubt.u, *bound, distribution=doubt.distribution)
        if chance <= 1 - acceptance_probability:
            reasons.append(
                f"{side} {as_entered(text)}, the limit when new on the side that does not wear:"
                " check the reading and the part"
            )
    return reasons


def _kelvin_away(finding: Finding, kind: str) -> float | None:
    """How far a part measured for length was from 20 °C, where that is worth a word."""
    temperature = finding.part_temperature
    if temperature is None or kind != "length":
        return None
    away = canonical(temperature, "temperature") - REFERENCE_TEMPERATURE_C
    return away if abs(away) > TEMPERATURE_LEEWAY_K else None


def _size_at_reference(finding: Finding, value: float, kind: str) -> float | None:
    """Size in mm at 20 °C of a part that moves as much as metal can; None: no matter."""
    away = _kelvin_away(finding, kind)
    return None if away is None else value * (1 - MOST_EXPANSION_PER_K * away)


def _temperature_note(finding: Finding, kind: str) -> str | None:
    if _kelvin_away(finding, kind) is None:
        return None
    return f"part at {as_entered(finding.part_temperature)}, sizes hold at 20 °C: not corrected"


def _size(reading: Quantity, kind: str) -> str:
    unit = canonical_unit(kind)
    if reading.unit == unit:
        return as_entered(reading)
    return f"{as_entered(reading)} ({canonical(reading, kind):.6g} {unit})"


def _difference_unit(kind: str) -> str:
    return "K" if kind == "temperature" else canonical_unit(kind)


def _chance(probability: float, u: float) -> str:
    """Four places, and never rounded to certainty: only a reading without doubt is certain."""
    if u == 0:
        return f"{probability:.0f}"
    if probability > 0.9999:
        return "above 0.9999"
    return "below 0.0001" if probability < 0.0001 else f"{probability:.4f}"
