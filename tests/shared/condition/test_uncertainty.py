"""Laws of combined uncertainty."""

from math import inf

import pytest

from shared.condition.uncertainty import (
    Contribution,
    combined_uncertainty,
    coverage_factor,
    effective_degrees_of_freedom,
    resolution_uncertainty,
)
from shared.errors import OutOfRange


def test_one_part_alone_keeps_its_degrees_of_freedom():
    assert effective_degrees_of_freedom([Contribution(0.3, 7)]) == pytest.approx(7)


def test_parts_known_for_certain_leave_no_limit_to_the_degrees_of_freedom():
    assert effective_degrees_of_freedom([Contribution(0.3), Contribution(0.1)]) == inf


def test_without_parts_there_is_no_uncertainty():
    assert combined_uncertainty([]) == 0


def test_many_degrees_of_freedom_come_near_the_normal_factor():
    assert coverage_factor(0.95, inf) == pytest.approx(1.959964, abs=1e-6)
    assert coverage_factor(0.95, 1e7) == pytest.approx(1.959964, abs=1e-5)


def test_impossible_inputs_are_refused():
    with pytest.raises(OutOfRange):
        effective_degrees_of_freedom([Contribution(0.3, 0)])
    with pytest.raises(OutOfRange):
        coverage_factor(1.0, 5)
    with pytest.raises(OutOfRange):
        coverage_factor(0.95, 0)
    with pytest.raises(OutOfRange):
        resolution_uncertainty(-0.01)
