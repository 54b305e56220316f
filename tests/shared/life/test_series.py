"""Laws of the series system."""

from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import OutOfRange
from shared.life.series import expected_hours, series_expected_hours, series_survival
from shared.life.weibull import LifeSpec

specs = st.builds(
    lambda shape, scale, age, spread: LifeSpec(shape, scale, age, age + spread),
    st.floats(0.5, 5),
    st.floats(100, 1e4),
    st.floats(0, 2000),
    st.floats(0, 500),
)


@settings(deadline=None, max_examples=30)
@given(st.lists(specs, max_size=4), specs, st.floats(1, 5000))
def test_one_more_part_never_helps(parts, another, hours):
    assert series_survival([*parts, another], hours) <= series_survival(parts, hours)
    with_it = series_expected_hours([*parts, another], hours)
    assert with_it <= series_expected_hours(parts, hours) + 1e-6 * hours


def test_no_parts_last_for_certain():
    assert series_survival([], 1000.0) == 1
    assert series_expected_hours([], 1000.0) == pytest.approx(1000.0)


def test_constant_hazards_add_up():
    parts = [LifeSpec(1.0, 1000.0), LifeSpec(1.0, 500.0)]
    rate = 1 / 1000 + 1 / 500
    assert series_survival(parts, 300.0) == pytest.approx(exp(-300 * rate))
    assert series_expected_hours(parts, 900.0) == pytest.approx((1 - exp(-900 * rate)) / rate)


def test_a_part_that_is_over_early_is_not_missed_by_a_wide_horizon():
    assert series_expected_hours([LifeSpec(1.0, 2.0)], 1e6) == pytest.approx(2.0, rel=1e-3)


def test_a_negative_horizon_is_refused():
    with pytest.raises(OutOfRange):
        expected_hours(lambda hours: 1.0, -1.0)
