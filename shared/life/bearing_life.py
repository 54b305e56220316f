"""Rating life of a bearing from quantities: question and answer, on ``bearing_rating``."""

from dataclasses import dataclass
from decimal import Decimal

from shared.assemblies.model import RollingKind
from shared.errors import InvalidInput, OutOfRange
from shared.life.bearing_rating import (
    A1_BY_RELIABILITY,
    ALWAYS_SAID,
    GREATEST_LIFE_FACTOR,
    GREATEST_LOAD_RATIO,
    LEAST_LIFE_FACTOR,
    cautions_of,
    equivalent_load_n,
    hours_of,
    mrev_of,
    rating_life_mrev,
    reliability_factor,
    required_rating_n,
    weibull_of_rating,
)
from shared.life.calculation import MOST_HOURS
from shared.life.weibull import WeibullLife
from shared.quantities import Quantity
from shared.quantities.units import canonical_without_doubt

MOST_FORCE_N, MOST_SPEED = 1e9, 1e6
LEAST_RATIO = 0.001
"""P / C below which no life is told: nothing there is loaded enough to tire. Our own choice."""

_WITHOUT_DOUBT = {
    "detail": "An uncertainty is stated, which is not taken into account.",
    "fix": "Leave it out; ask twice to see what it makes.",
}


@dataclass(frozen=True, slots=True)
class BearingQuestion:
    """A bearing and its duty: load as P, or as Fr and Fa with X and Y.

    ``life_factor`` is aISO with its basis; ``wanted`` the hours to reach at ``reliability``.
    """

    rolling: RollingKind
    speed: Quantity
    dynamic_rating: Quantity | None = None
    equivalent_load: Quantity | None = None
    radial_load: Quantity | None = None
    axial_load: Quantity | None = None
    x: float | None = None
    y: float | None = None
    reliability: Decimal = Decimal("0.90")
    life_factor: float | None = None
    life_factor_basis: str | None = None
    wanted: Quantity | None = None


@dataclass(frozen=True, slots=True)
class BearingAnswer:
    """Lives in million revolutions and hours, forces in N.

    ``life``: the Weibull life with aISO in it. Lives are None without a rating, and where ISO 281
    does not hold: ``reason`` then says why. ``a1_reliability`` is the row of the table used.
    ``chance``: that a new one reaches the wanted hours. ``is_enough``: whether Lnm does.
    """

    equivalent_load_n: float
    load_ratio: float | None
    l10_mrev: float | None
    l10_hours: float | None
    a1: float
    a1_reliability: Decimal
    lnm_mrev: float | None
    lnm_hours: float | None
    life: WeibullLife | None
    chance: float | None
    required_rating_n: float | None
    is_enough: bool | None
    reason: str | None
    cautions: tuple[str, ...]


def bearing_life(question: BearingQuestion) -> BearingAnswer:
    """L10, life at a reliability, its Weibull life, and the rating that the wanted hours need.

    Raises InvalidInput at the member: neither rating nor wanted hours, the load given twice, half
    or not at all, aISO without its basis, wrong dimensions, doubts; OutOfRange for figures outside
    what a machine has, a reliability outside 0.90 to 0.9995, aISO outside 0.1 to 50.
    """
    speed = _within(question.speed, "rotational-speed", "speed", MOST_SPEED)
    load = _load(question)
    at, a1 = reliability_factor(question.reliability)
    life_factor = _life_factor(question)
    if question.dynamic_rating is None and question.wanted is None:
        raise InvalidInput(
            "/dynamic_rating",
            "Neither dynamic_rating nor wanted is given, so there is nothing to compute.",
            "Give the rating for a life, the wanted hours for a rating, or both.",
        )
    wanted = None if question.wanted is None else _within(question.wanted, "time", "wanted")
    needed = None
    if wanted is not None:
        mrev = mrev_of(wanted, speed)
        needed = required_rating_n(load, mrev, question.rolling, a1 * life_factor)
    told = _Told(question.rolling, load, speed, a1 * life_factor, life_factor)
    rating = question.dynamic_rating
    lives = told.lives(
        None if rating is None else _within(rating, "force", "dynamic_rating", MOST_FORCE_N)
    )
    life = lives.life
    chance = None if life is None or wanted is None else life.reliability(wanted)
    on_table = _on_reliability(question.reliability, at, has_chance=chance is not None)
    return BearingAnswer(
        load,
        lives.ratio,
        lives.l10_mrev,
        lives.l10_hours,
        a1,
        at,
        lives.lnm_mrev,
        lives.lnm_hours,
        life,
        chance,
        needed,
        None if lives.lnm_hours is None or wanted is None else lives.lnm_hours >= wanted,
        lives.reason,
        (*lives.cautions, *on_table),
    )


@dataclass(frozen=True, slots=True)
class _Lives:
    ratio: float | None = None
    l10_mrev: float | None = None
    l10_hours: float | None = None
    lnm_mrev: float | None = None
    lnm_hours: float | None = None
    life: WeibullLife | None = None
    reason: str | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Told:
    rolling: RollingKind
    load_n: float
    speed: float
    factor: float
    life_factor: float

    def lives(self, rating_n: float | None) -> _Lives:
        if rating_n is None:
            return _Lives(cautions=ALWAYS_SAID)
        ratio = self.load_n / rating_n
        cautions = cautions_of(rating_n, self.load_n, self.rolling)
        if ratio > GREATEST_LOAD_RATIO:
            reason = (
                f"The load of {self.load_n:.6g} N is above half the rating of {rating_n:.6g} N:"
                " ISO 281 does not hold there, ask the bearing's maker."
            )
            return _Lives(ratio, reason=reason, cautions=cautions)
        if ratio < LEAST_RATIO:
            reason = f"The load is below {LEAST_RATIO:g} of the rating: no life by fatigue is told."
            return _Lives(ratio, reason=reason, cautions=cautions)
        l10 = rating_life_mrev(rating_n, self.load_n, self.rolling)
        l10_hours = hours_of(l10, self.speed)
        return _Lives(
            ratio,
            l10,
            l10_hours,
            self.factor * l10,
            self.factor * l10_hours,
            weibull_of_rating(self.life_factor * l10_hours, self.rolling),
            None,
            cautions,
        )


def _load(question: BearingQuestion) -> float:
    """P in N, as stated or from its parts."""
    parts = ("radial_load", "axial_load", "x", "y")
    given = [name for name in parts if getattr(question, name) is not None]
    if question.equivalent_load is not None:
        if given:
            raise InvalidInput(
                f"/{given[0]}",
                f"Both equivalent_load and {given[0]} are given.",
                "Give the equivalent load, or its parts with x and y.",
            )
        return _within(question.equivalent_load, "force", "equivalent_load", MOST_FORCE_N)
    missing = [name for name in parts if name not in given]
    if missing:
        raise InvalidInput(
            f"/{missing[0] if given else 'equivalent_load'}",
            f"The load is not complete without {' and '.join(missing)}."
            if given
            else "There is no load.",
            "Give equivalent_load, or radial_load, axial_load, x and y (x 1, y 0 for a pure radial"
            " load).",
        )
    assert question.radial_load is not None
    assert question.axial_load is not None
    assert question.x is not None
    assert question.y is not None
    radial = _within(question.radial_load, "force", "radial_load", MOST_FORCE_N, may_be_zero=True)
    axial = _within(question.axial_load, "force", "axial_load", MOST_FORCE_N, may_be_zero=True)
    load = equivalent_load_n(radial, axial, question.x, question.y)
    if load <= 0:
        raise OutOfRange("radial_load", f"{radial:g} N", "a load above 0")
    return load


def _life_factor(question: BearingQuestion) -> float:
    factor = question.life_factor
    if factor is None:
        if question.life_factor_basis is not None:
            raise InvalidInput(
                "/life_factor", "A basis is given for no life factor.", "Give life_factor too."
            )
        return 1.0
    if not LEAST_LIFE_FACTOR <= factor <= GREATEST_LIFE_FACTOR:
        wanted = f"from {LEAST_LIFE_FACTOR} to {GREATEST_LIFE_FACTOR:g}"
        raise OutOfRange("life_factor", factor, wanted)
    if question.life_factor_basis is None:
        raise InvalidInput(
            "/life_factor_basis",
            "A life factor without its basis is a guess.",
            "Say where it comes from: which oil, how clean, which fatigue limit.",
        )
    return factor


def _on_reliability(asked: Decimal, at: Decimal, *, has_chance: bool) -> tuple[str, ...]:
    said = []
    if asked != at:
        said.append(f"The table has no row for {asked}: the one for {at} counts, the safe side.")
    if has_chance and asked > A1_BY_RELIABILITY[0][0]:
        said.append(
            "Above 90 % the Weibull life is more cautious than the table of a1: the chance told may"
            " fall short of a reliability that the table grants."
        )
    return tuple(said)


def _within(
    quantity: Quantity,
    kind: str,
    member: str,
    most: float = MOST_HOURS,
    *,
    may_be_zero: bool = False,
) -> float:
    value = canonical_without_doubt(quantity, kind, f"/{member}", **_WITHOUT_DOUBT)
    if not 0 <= value <= most or (value == 0 and not may_be_zero):
        least = "from 0" if may_be_zero else "above 0"
        raise OutOfRange(member, f"{value:g}", f"{least}, at most {most:g}")
    return value
