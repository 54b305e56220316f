"""Laws of the life of one part."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from shared.errors import OutOfRange
from shared.life.weibull import LifeSpec, WeibullLife

shapes = st.floats(0.3, 8)
scales = st.floats(1, 1e5)
parts_of_scale = st.floats(0, 3)


@given(scales, parts_of_scale, parts_of_scale)
def test_shape_one_has_no_memory(scale, age, interval):
    life = WeibullLife(1.0, scale)
    fresh = life.chance_to_last(0.0, interval * scale)
    assert life.chance_to_last(age * scale, interval * scale) == pytest.approx(fresh)
    assert life.mean_residual_hours(age * scale) == pytest.approx(scale)


@given(shapes, scales, parts_of_scale, parts_of_scale)
def test_lasting_twice_is_lasting_on_and_on(shape, scale, first, second):
    life = WeibullLife(shape, scale)
    a, b = first * scale, second * scale
    together = life.reliability(a) * life.chance_to_last(a, b)
    assert together == pytest.approx(life.reliability(a + b), abs=1e-12)


@given(shapes, scales, parts_of_scale, parts_of_scale, parts_of_scale)
def test_a_longer_interval_is_never_likelier(shape, scale, age, shorter, more):
    life = WeibullLife(shape, scale)
    short = life.chance_to_last(age * scale, shorter * scale)
    long = life.chance_to_last(age * scale, (shorter + more) * scale)
    assert 0 <= long <= short <= 1


@given(st.floats(1, 8), scales, parts_of_scale, parts_of_scale, parts_of_scale)
def test_a_part_that_wears_is_never_better_older(shape, scale, age, older, interval):
    life = WeibullLife(shape, scale)
    young = life.chance_to_last(age * scale, interval * scale)
    old = life.chance_to_last((age + older) * scale, interval * scale)
    assert old <= young + 1e-12


@given(shapes, scales, parts_of_scale, st.floats(0, 5))
def test_expected_service_never_exceeds_horizon_or_mean_residual(shape, scale, age, horizon):
    life = WeibullLife(shape, scale)
    hours = life.expected_service_hours(horizon * scale, age * scale)
    assert 0 <= hours <= horizon * scale * (1 + 1e-9)
    assert hours <= life.mean_residual_hours(age * scale) * (1 + 1e-9)


@pytest.mark.parametrize(
    ("shape", "age", "horizon"),
    [
        *[(0.5, 300.0, 900.0), (1.3, 0.0, 0.5), (2.0, 1500.0, 700.0), (3.5, 2500.0, 400.0)],
        *[(8.0, 2500.0, 1.0), (0.3, 50.0, 1e4)],
    ],
)
def test_expected_service_is_the_area_under_the_survival(shape, age, horizon):
    life = WeibullLife(shape, 1000.0)
    area, _ = quad(lambda t: life.chance_to_last(age, t), 0, horizon, limit=200, epsabs=1e-12)
    assert life.expected_service_hours(horizon, age) == pytest.approx(area, rel=1e-7)


@pytest.mark.parametrize(("shape", "age"), [(2.0, 30_000.0), (8.0, 2500.0), (3.0, 1e5)])
def test_far_beyond_its_scale_a_part_still_has_a_residual_life(shape, age):
    life = WeibullLife(shape, 1000.0)
    hazard_rate = shape / 1000.0 * (age / 1000.0) ** (shape - 1)
    assert life.mean_residual_hours(age) == pytest.approx(1 / hazard_rate, rel=0.01)


def test_a_hopeless_age_is_worth_nothing_and_breaks_nothing():
    life = WeibullLife(100.0, 1e-3)
    assert life.chance_to_last(1e9, 1.0) == 0
    assert life.expected_service_hours(100.0, 1e9) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("shape", "scale"), [(0.0, 1.0), (-1.0, 1.0), (101.0, 1.0), (float("nan"), 1.0), (2.0, 0.0)]
)
def test_a_life_that_cannot_be_is_refused(shape, scale):
    with pytest.raises(OutOfRange):
        WeibullLife(shape, scale)
    with pytest.raises(OutOfRange):
        LifeSpec(shape, scale)


def test_negative_hours_are_refused():
    life = WeibullLife(2.0, 1000.0)
    for call in (
        lambda: life.chance_to_last(-1.0, 5.0),
        lambda: life.chance_to_last(1.0, -5.0),
        lambda: life.expected_service_hours(-1.0),
        lambda: LifeSpec(2.0, 1000.0, -1.0, 5.0),
        lambda: LifeSpec(2.0, 1000.0, 6.0, 5.0),
    ):
        with pytest.raises(OutOfRange):
            call()


def test_a_known_age_is_a_range_of_no_width():
    spec = LifeSpec(2.0, 1000.0, 500.0, 500.0)
    assert spec.survival(300.0) == WeibullLife(2.0, 1000.0).chance_to_last(500.0, 300.0)


def test_a_range_of_ages_is_averaged():
    life, spec = WeibullLife(2.0, 1000.0), LifeSpec(2.0, 1000.0, 200.0, 1400.0)
    mean, _ = quad(lambda age: life.chance_to_last(age, 300.0) / 1200.0, 200.0, 1400.0)
    assert spec.survival(300.0) == pytest.approx(mean, abs=1e-9)
    hours, _ = quad(lambda age: life.expected_service_hours(300.0, age) / 1200.0, 200.0, 1400.0)
    assert spec.expected_service_hours(300.0) == pytest.approx(hours, abs=1e-6)


@given(st.floats(0.001, 0.999), st.floats(1, 1e4), st.floats(0.1, 10))
def test_a_warranty_chance_is_carried_at_constant_hazard(probability, warranty, times):
    spec = LifeSpec.from_warranty_chance(probability, warranty)
    assert spec.survival(warranty) == pytest.approx(1 - probability)
    assert spec.survival(times * warranty) == pytest.approx((1 - probability) ** times)


@pytest.mark.parametrize("probability", [0.0, 1.0, -0.1, float("nan")])
def test_a_certain_warranty_chance_is_refused(probability):
    with pytest.raises(OutOfRange):
        LifeSpec.from_warranty_chance(probability, 500.0)


def test_a_scale_is_the_time_that_37_percent_outlive():
    assert WeibullLife(3.3, 700.0).reliability(700.0) == pytest.approx(exp(-1))
