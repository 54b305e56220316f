"""Laws of the rating life of bearings, and of the life that a duty gives."""

from decimal import Decimal

import pytest

from shared.assemblies.model import BearingDuty, RollingKind
from shared.errors import InvalidInput, OutOfRange
from shared.life.bearing_rating import (
    A1_BY_RELIABILITY,
    cautions_of,
    equivalent_load_n,
    hours_of,
    life_of_duty,
    mrev_of,
    rating_life_mrev,
    reliability_factor,
    required_rating_n,
    weibull_of_rating,
)
from shared.quantities import Quantity

BALL, ROLLER = RollingKind.BALL, RollingKind.ROLLER


def duty(rating="29.1", load="2500", speed="900", rolling=BALL):
    return BearingDuty(
        rolling,
        Quantity(Decimal(rating), "kN"),
        Quantity(Decimal(load), "N"),
        Quantity(Decimal(speed), "1/min"),
        "the maker's table",
    )


@pytest.mark.parametrize(("rolling", "times"), [(BALL, 8.0), (ROLLER, 2 ** (10 / 3))])
def test_half_the_load_is_eight_times_the_life_and_more_for_rollers(rolling, times):
    ratio = rating_life_mrev(10.0, 1.0, rolling) / rating_life_mrev(10.0, 2.0, rolling)
    assert ratio == pytest.approx(times)


@pytest.mark.parametrize("rolling", RollingKind)
def test_the_rating_needed_gives_back_the_life_wanted(rolling):
    rating = required_rating_n(3000.0, 500.0, rolling, factor=0.32)
    assert 0.32 * rating_life_mrev(rating, 3000.0, rolling) == pytest.approx(500.0)


def test_a_short_life_still_needs_twice_the_load():
    assert required_rating_n(3000.0, 1.0, BALL) == 6000


def test_one_in_ten_fails_by_the_rating_life():
    for rolling, slope in ((BALL, 10 / 9), (ROLLER, 9 / 8)):
        life = weibull_of_rating(8000.0, rolling)
        assert life.shape == slope
        assert life.reliability(8000.0) == pytest.approx(0.9)


def test_hours_and_revolutions_go_both_ways():
    assert mrev_of(hours_of(343.0, 650.0), 650.0) == pytest.approx(343.0)


def test_the_load_is_never_below_the_radial_one():
    assert equivalent_load_n(2500.0, 100.0, 0.56, 1.67) == 2500
    assert equivalent_load_n(0.0, 100.0, 0.56, 1.0) == 100


def test_a_reliability_between_rows_takes_the_harder_one():
    assert reliability_factor(Decimal("0.951")) == (Decimal("0.96"), 0.55)
    factors = [a1 for _, a1 in A1_BY_RELIABILITY]
    assert factors == sorted(factors, reverse=True)


def test_a_duty_gives_a_life_with_its_basis():
    found = life_of_duty(duty())
    assert found.life.reliability(29_205.5) == pytest.approx(0.9, abs=1e-5)
    assert "29206 h" in found.basis or "29205 h" in found.basis
    assert "the maker's table" in found.basis


def test_a_load_beyond_half_the_rating_gives_no_life():
    found = life_of_duty(duty(rating="4"))
    assert found.life is None
    assert "above half its rating" in found.basis


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"rating": "0"}, "/dynamic_rating"),
        ({"load": "-1"}, "/equivalent_load"),
        ({"speed": "0"}, "/speed"),
    ],
)
def test_a_duty_that_cannot_be_is_refused(change, pointer):
    with pytest.raises(OutOfRange) as refused:
        life_of_duty(duty(**change))
    assert refused.value.pointer == pointer


def test_a_duty_in_another_dimension_is_refused():
    wrong = BearingDuty(
        BALL, Quantity(Decimal(3), "mm"), Quantity(Decimal(3), "N"), Quantity(Decimal(1), "1/s"), ""
    )
    with pytest.raises(InvalidInput) as refused:
        life_of_duty(wrong)
    assert refused.value.pointer == "/dynamic_rating/unit"


def test_a_light_load_is_warned_of_earlier_for_rollers():
    assert len(cautions_of(1000.0, 15.0, ROLLER)) == len(cautions_of(1000.0, 15.0, BALL)) + 1


@pytest.mark.parametrize(
    "call",
    [
        lambda: rating_life_mrev(1000.0, 501.0, BALL),
        lambda: rating_life_mrev(0.0, 1.0, BALL),
        lambda: equivalent_load_n(-1.0, 0.0, 1.0, 0.0),
        lambda: equivalent_load_n(1.0, 1.0, float("nan"), 0.0),
        lambda: hours_of(1.0, 0.0),
        lambda: required_rating_n(1.0, 0.0, BALL),
        lambda: reliability_factor(Decimal("0.8")),
        lambda: weibull_of_rating(0.0, BALL),
    ],
)
def test_figures_that_cannot_be_are_refused(call):
    with pytest.raises(OutOfRange):
        call()
