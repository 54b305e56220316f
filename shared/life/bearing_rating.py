"""Rating life of a rolling bearing that was never run: fatigue alone, by ISO 281.

Symbols: C dynamic load rating and P equivalent load (N), Fr and Fa radial and axial load (N), X and
Y factors from the bearing's table, n speed (1/min); L10 = (C / P)^p in million revolutions, p = 3
for balls and 10/3 for rollers; L10h = L10 10^6 / (60 n) hours; Lnm = a1 aISO L10.
Source: ISO 281:2007 (from memory: the formulas, the limit P <= C / 2, table of a1, slopes 10/9 and
9/8 of the Weibull life). The older values of a1, which follow a slope of 1.5, are not used.

aISO depends on the oil, its cleanliness and the bearing's fatigue limit: it is the caller's figure
with its basis, never guessed here. A bearing that has run is no matter of this rating: what it has
been through, dirt, water, standing still under load, is not in it.
"""

from dataclasses import dataclass
from decimal import Decimal
from math import isfinite, log
from types import MappingProxyType
from typing import Final

from shared.assemblies.model import BearingDuty, RollingKind
from shared.errors import OutOfRange
from shared.life.weibull import WeibullLife
from shared.quantities import Quantity, canonical, check_quantity

EXPONENT: Final = MappingProxyType({RollingKind.BALL: 3.0, RollingKind.ROLLER: 10 / 3})
SLOPE: Final = MappingProxyType({RollingKind.BALL: 10 / 9, RollingKind.ROLLER: 9 / 8})

A1_BY_RELIABILITY: Final = tuple(
    (Decimal(reliability), float(a1))
    for reliability, a1 in (
        *(("0.90", "1"), ("0.95", "0.64"), ("0.96", "0.55"), ("0.97", "0.47"), ("0.98", "0.37")),
        *(("0.99", "0.25"), ("0.992", "0.22"), ("0.994", "0.19"), ("0.996", "0.16")),
        *(("0.998", "0.12"), ("0.999", "0.093"), ("0.9992", "0.087"), ("0.9994", "0.080")),
        ("0.9995", "0.077"),
    )
)
"""Reliability and a1, rising. Source: ISO 281:2007, table of a1 (from memory)."""

LEAST_LIFE_FACTOR, GREATEST_LIFE_FACTOR = 0.1, 50.0
GREATEST_LOAD_RATIO: Final = 0.5
"""P / C beyond which the formula does not hold. Source: ISO 281:2007 (from memory)."""

LEAST_LOAD_RATIO: Final = MappingProxyType({RollingKind.BALL: 0.01, RollingKind.ROLLER: 0.02})
"""P / C below which rolling elements may slide. Common practice, no source."""

ALWAYS_SAID: Final = (
    "Fatigue of a new bearing alone: clean oil that suits the speed, right fit, clearance and"
    " alignment. Dirt, water, wear, seizure and standing still under load are not in it.",
    "Not for a bearing that has run: what it went through is not in the rating.",
)


@dataclass(frozen=True, slots=True)
class DutyLife:
    """Life of a bearing that was never run, by its duty; ``life`` None: the rating says nothing."""

    life: WeibullLife | None
    basis: str


def equivalent_load_n(radial_n: float, axial_n: float, x: float, y: float) -> float:
    """P = X Fr + Y Fa in N; never less than Fr.

    X and Y hold above a ratio of Fa to Fr that the bearing's table names; below it P is Fr, so the
    greater of the two is on the safe side. Raises OutOfRange for a negative load or factor.

    >>> equivalent_load_n(2500.0, 1000.0, 0.56, 1.67)
    3070.0
    """
    for field, value in (("radial", radial_n), ("axial", axial_n), ("x", x), ("y", y)):
        if not (isfinite(value) and value >= 0):
            raise OutOfRange(field, value, "0 or more")
    return max(radial_n, x * radial_n + y * axial_n)


def rating_life_mrev(rating_n: float, load_n: float, rolling: RollingKind) -> float:
    """L10 in million revolutions: nine of ten such bearings reach it without fatigue.

    Raises OutOfRange for a rating or load that is not above 0, and for P above C / 2.

    >>> round(rating_life_mrev(14_000.0, 2000.0, RollingKind.BALL), 9)
    343.0
    """
    _require_above_zero("dynamic_rating", rating_n)
    _require_above_zero("equivalent_load", load_n)
    if load_n > GREATEST_LOAD_RATIO * rating_n:
        raise OutOfRange(
            "equivalent_load", f"{load_n:g} N", f"at most half the rating of {rating_n:g} N"
        )
    return float((rating_n / load_n) ** EXPONENT[rolling])


def hours_of(mrev: float, speed_per_min: float) -> float:
    """Running hours of so many million revolutions; raises OutOfRange unless the speed is above 0.

    >>> round(hours_of(343.0, 650.0))
    8795
    """
    _require_above_zero("speed", speed_per_min)
    return mrev * 1e6 / (60 * speed_per_min)


def mrev_of(hours: float, speed_per_min: float) -> float:
    """Million revolutions of so many running hours; raises OutOfRange for a speed not above 0."""
    _require_above_zero("speed", speed_per_min)
    return hours * 60 * speed_per_min / 1e6


def reliability_factor(reliability: Decimal) -> tuple[Decimal, float]:
    """The row of the table that covers a reliability, and its a1: the next higher, not between.

    Raises OutOfRange outside 0.90 to 0.9995: the table ends there.

    >>> reliability_factor(Decimal("0.985"))
    (Decimal('0.99'), 0.25)
    """
    least, most = A1_BY_RELIABILITY[0][0], A1_BY_RELIABILITY[-1][0]
    if not least <= reliability <= most:
        raise OutOfRange("reliability", reliability, f"from {least} to {most}")
    return next(row for row in A1_BY_RELIABILITY if row[0] >= reliability)


def required_rating_n(
    load_n: float, life_mrev: float, rolling: RollingKind, factor: float = 1.0
) -> float:
    """C in N for which ``factor`` times L10 reaches ``life_mrev``; at least twice the load.

    ``factor`` is a1 aISO. Raises OutOfRange for anything not above 0.
    """
    for field, value in (("equivalent_load", load_n), ("wanted", life_mrev), ("factor", factor)):
        _require_above_zero(field, value)
    by_life = load_n * (life_mrev / factor) ** (1 / EXPONENT[rolling])
    return float(max(by_life, load_n / GREATEST_LOAD_RATIO))


def weibull_of_rating(l10_hours: float, rolling: RollingKind) -> WeibullLife:
    """The Weibull life of which one bearing in ten fails by L10h.

    eta = L10h / (-ln 0.9)^(1 / slope); slope 10/9 for balls, 9/8 for rollers.
    """
    _require_above_zero("l10", l10_hours)
    slope = SLOPE[rolling]
    return WeibullLife(slope, l10_hours / (-log(0.9)) ** (1 / slope))


def life_of_duty(duty: BearingDuty) -> DutyLife:
    """Life of a bearing never run, at the duty that a position states.

    Without aISO: that is the caller's figure, and a duty has none. Where P is above C / 2 no life
    is told. Raises InvalidInput (wrong dimension) and OutOfRange (not above 0), pointers below the
    duty.
    """
    rating = above_zero(duty.dynamic_rating, "force", "dynamic_rating")
    load = above_zero(duty.equivalent_load, "force", "equivalent_load")
    speed = above_zero(duty.speed, "rotational-speed", "speed")
    if load > GREATEST_LOAD_RATIO * rating:
        told = f"its load of {load:g} N is above half its rating of {rating:g} N"
        return DutyLife(None, f"no rating life by ISO 281: {told}")
    hours = hours_of(rating_life_mrev(rating, load, duty.rolling), speed)
    basis = f"rating life by ISO 281, L10h {hours:.0f} h ({duty.basis}), fatigue alone"
    return DutyLife(weibull_of_rating(hours, duty.rolling), basis)


def cautions_of(rating_n: float, load_n: float, rolling: RollingKind) -> tuple[str, ...]:
    """What to bear in mind of a life computed for this rating and load."""
    least = LEAST_LOAD_RATIO[rolling]
    if load_n >= least * rating_n:
        return ALWAYS_SAID
    light = (
        f"The load is below {least:g} of the rating: the {rolling}s may slide and wear before they"
        " tire; the maker states a least load. The life computed then says little."
    )
    return (*ALWAYS_SAID, light)


def above_zero(quantity: Quantity, kind: str, member: str) -> float:
    """Value above 0 in the canonical unit of ``kind``; a doubt stated with it is left aside.

    Raises InvalidInput as ``check_quantity`` does, at "/member", OutOfRange unless it is above 0.
    """
    check_quantity(quantity, kind, f"/{member}")
    value = canonical(quantity, kind)
    _require_above_zero(member, value)
    return value


def _require_above_zero(field: str, value: float) -> None:
    if not (isfinite(value) and value > 0):
        raise OutOfRange(field, value, "above 0")
