"""What is told of a fitted life, and what of its doubts."""

import pytest

from shared.errors import InvalidInput
from shared.life.bounds import Bounds
from shared.life.fitted import FitMethod, fitted_life
from shared.life.observed import Alike, Observed

ML, ASSUMED, RANKS = FitMethod
MANY = Observed.of([float(hours) for hours in range(400, 1400, 100)])


def test_ten_failures_are_told_without_other_shapes():
    found = fitted_life(MANY, ML, None, 0.9)
    assert found.at_shapes == ()
    assert found.warnings == ()
    assert found.basis == "maximum likelihood, 10 failed of 10"
    few = fitted_life(Observed(MANY.failures[:9]), ML, None, 0.9)
    assert [one.shape for one in few.at_shapes] == [1.0, 1.5, 2.0, 2.5]


def test_a_falling_hazard_is_warned_of():
    found = fitted_life(Observed.of([1, 2, 5, 20, 90, 400, 900, 3000, 9000, 20000]), ML, None, 0.9)
    assert found.shape < 1
    assert any("below 1" in said for said in found.warnings)


def test_an_assumed_shape_is_not_shown_by_the_record():
    found = fitted_life(MANY, ASSUMED, 2.0, 0.9, [500.0])
    assert found.shape_bounds == Bounds(None, None)
    assert any("nothing here shows" in said for said in found.warnings)
    at = found.at_hours[0]
    assert at.bounds.lower < at.reliability < at.bounds.upper
    assert found.b10_bounds.lower < found.b10_hours < found.b10_bounds.upper


def test_without_failures_no_life_is_told_but_a_floor_under_it():
    found = fitted_life(Observed((), (Alike(1000.0, 5),)), ASSUMED, 2.0, 0.9, [500.0])
    assert found.life is None
    assert found.at_hours[0].reliability is None
    assert 0.5 < found.at_hours[0].bounds.lower < 1
    assert found.at_hours[0].bounds.upper == 1
    assert found.b10_hours is None


def test_beyond_what_was_observed_is_said():
    assert not any("longer" in said for said in fitted_life(MANY, ML, None, 0.9, [1300.0]).warnings)
    assert any("longer" in said for said in fitted_life(MANY, ML, None, 0.9, [1301.0]).warnings)


def test_bounds_beyond_any_machine_are_told_as_none():
    found = fitted_life(Observed.of([1.0, 1000.0]), ML, None, 0.999)
    assert found.scale_bounds.upper is None
    assert found.scale_bounds.lower < 1


@pytest.mark.parametrize(
    ("method", "shape", "confidence", "hours", "pointer"),
    [
        (ASSUMED, None, 0.9, (), "/shape"),
        (ML, 2.0, 0.9, (), "/shape"),
        (RANKS, 2.0, 0.9, (), "/shape"),
        (ML, None, 0.49, (), "/confidence"),
        (ML, None, 0.9995, (), "/confidence"),
        (ML, None, 0.9, (-1.0,), "/at_hours/0"),
        (ML, None, 0.9, (1e10,), "/at_hours/0"),
        (ML, None, 0.9, (5.0,) * 51, "/at_hours"),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused(method, shape, confidence, hours, pointer):
    with pytest.raises(InvalidInput) as refused:
        fitted_life(MANY, method, shape, confidence, hours)
    assert refused.value.pointer == pointer


def test_a_scale_beyond_any_machine_is_refused():
    record = Observed((Alike(1.0),), (Alike(1e6, 1_000_000),))
    with pytest.raises(InvalidInput) as refused:
        fitted_life(record, ASSUMED, 0.2, 0.9)
    assert refused.value.code == "scale-out-of-range"
