"""How a plan is likely to last: comebacks, survival to the horizon, hours of service.

The parts of a plan are a series system; the original cause is one more factor. A position without
anything on record is named and left out: what is told is then a bound.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import exp

from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.building.risk import cause_curve, common_cause, horizon_hours
from shared.decision.planning.case import Plan
from shared.decision.result import HoursChance, Risk
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Snapshot
from shared.decision.telling.figures import chance_number, number
from shared.life.quadrature import integrate
from shared.life.series import expected_hours
from shared.life.weibull import LifeSpec

CURVE_POINTS = 20
"""Even steps of the survival curve that is handed out to be drawn."""
_TOLERANCE = 1e-7


@dataclass(frozen=True)
class Series:
    """Survival of parts in series, equal ones and those of constant hazard put together.

    Parts of constant hazard (shape 1) fail as one whose rate (per hour) is the sum of theirs.
    """

    rate_per_hour: float
    others: tuple[tuple[LifeSpec, int], ...]

    @classmethod
    def of(cls, specs: Iterable[LifeSpec]) -> "Series":
        """The parts of a plan, in whatever order."""
        listed = sorted(
            specs, key=lambda s: (s.shape, s.scale_hours, s.lower_age_hours, s.upper_age_hours)
        )
        counts = Counter(spec for spec in listed if spec.shape != 1)
        rate = sum(1 / spec.scale_hours for spec in listed if spec.shape == 1)
        return cls(rate, tuple(counts.items()))

    def survival(self, hours: float) -> float:
        """Chance that all last so many running hours from now."""
        chance = exp(-self.rate_per_hour * hours)
        for spec, count in self.others:
            chance *= _survival(spec, hours) ** count
        return chance


@lru_cache(maxsize=32_768)
def _survival(spec: LifeSpec, hours: float) -> float:
    """Kept, since the plans of one answer hold much the same parts."""
    return spec.survival(hours) if hours > 0 else 1.0


def risk_of(built: Built, plan: Plan) -> Risk:
    """What may go wrong afterwards, as far as it is on record."""
    snapshot = built.bench.snapshot
    real = _parts(built, plan)
    specs = [facts.spec for facts in real if facts.spec is not None]
    warranty = snapshot.settings.warranty.warranty_hours
    horizon = horizon_hours(snapshot)
    comeback = survival = service = None
    if specs:
        series = Series.of(specs)
        survives = _curve(snapshot, series)
        comeback = chance_number(1 - survives(float(warranty)))
        survival = chance_number(survives(horizon))
        service = number(_service_hours(snapshot, series, horizon))
    return Risk(
        comeback_probability=comeback,
        warranty_hours=warranty,
        survival_to_horizon=survival,
        horizon_hours=number(horizon),
        expected_service_hours=service,
        common_cause=common_cause(snapshot),
        not_counted=not_counted(built, plan),
    )


def not_counted(built: Built, plan: Plan) -> tuple[str, ...]:
    """Positions of a plan without experience or life on record.

    Also those that stay around what is dealt with part by part, where they can wear themselves.
    """
    chosen = (built.draft.facts[source_id] for source_id in plan.source_ids)
    return tuple(
        facts.position_name
        for facts in chosen
        if facts.spec is None
        and (facts.kind is not SourceKind.PART_BY_PART or facts.verdict is not None)
    )


def survival_curve(built: Built, plan: Plan) -> tuple[HoursChance, ...]:
    """Chance that nothing has failed, in even steps to the horizon, and at the warranty's end.

    Empty where nothing is on record; an upper bound where ``Risk.not_counted`` names anything.
    """
    snapshot = built.bench.snapshot
    specs = [facts.spec for facts in _parts(built, plan) if facts.spec is not None]
    horizon = horizon_hours(snapshot)
    if not specs or horizon <= 0:
        return ()
    series = Series.of(specs)
    warranty = float(snapshot.settings.warranty.warranty_hours)
    steps = {horizon * step / CURVE_POINTS for step in range(CURVE_POINTS + 1)}
    drawn = sorted(steps | {warranty})
    survives = _curve(snapshot, series)
    return tuple(HoursChance(number(hours), chance_number(survives(hours))) for hours in drawn)


def _parts(built: Built, plan: Plan) -> list[SourceFacts]:
    chosen = [built.draft.facts[source_id] for source_id in plan.source_ids]
    return [facts for facts in chosen if facts.kind is not SourceKind.PART_BY_PART]


def _curve(snapshot: Snapshot, series: Series) -> Callable[[float], float]:
    """Chance that neither the first cause nor a part has failed by so many hours."""
    spared = cause_curve(snapshot)

    def survives(hours: float) -> float:
        return spared(hours) * series.survival(hours)

    return survives


def _service_hours(snapshot: Snapshot, series: Series, horizon: float) -> float:
    """Hours expected to be run before the first failure, good to 10^-7 of the horizon.

    In two pieces: at the end of the warranty the original cause ceases to count, a kink.
    """
    warranty = float(snapshot.settings.warranty.warranty_hours)
    kink = min(warranty, horizon) if common_cause(snapshot) else horizon
    survives = _curve(snapshot, series)
    return expected_hours(survives, kink, _TOLERANCE) + integrate(
        survives, kink, horizon, _TOLERANCE
    )
