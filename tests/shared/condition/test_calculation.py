"""A size asked for by itself: units of the answer, and what it takes."""

from decimal import Decimal

import pytest

from shared.condition.calculation import SizeQuestion, judge_size
from shared.condition.derived_asked import MeasureQuestion, MeasureTerm, judge_measure
from shared.condition.form_asked import FormQuestion, judge_form
from shared.condition.model import Reading, Verdict
from shared.quantities import Quantity


def bar(value, u=None):
    return Quantity(Decimal(value), "bar", None if u is None else Decimal(u))


LIMIT = Quantity(Decimal("0.15"), "MPa")
"""A stress by its unit, as a pressure is written too: 150 kPa."""


@pytest.mark.parametrize("limits", [{"lower": LIMIT}, {"new_lower": LIMIT}])
def test_a_pressure_is_told_in_kilopascals_whatever_its_limit_is_written_in(limits):
    told = judge_size(SizeQuestion(measured=bar("2", "0.01"), **limits))
    assert (told.value, told.u, told.unit) == (200.0, 1.0, "kPa")
    assert told.acceptance_limits.lower == pytest.approx(151.645, abs=1e-3)


def test_a_settling_gauge_is_told_in_the_unit_of_the_answer():
    near = judge_size(SizeQuestion(measured=bar("1.51", "0.01"), lower=LIMIT))
    assert near.verdict is Verdict.INDETERMINATE
    assert (near.settling.unit, near.unit) == ("kPa", "kPa")
    assert near.settling.u_at_most == pytest.approx(1 / 1.644854, rel=1e-6)


def test_measures_and_forms_of_pressures_too():
    told = judge_measure(MeasureQuestion((MeasureTerm("a", bar("2", "0.01")),), lower=LIMIT))
    assert told.judged.figures.value == told.value == 200.0
    readings = tuple(Reading(bar(size, "0.01"), "a", way) for way, size in (("x", "2"), ("y", "3")))
    form = judge_form(FormQuestion(readings, out_of_round_limit=LIMIT))
    assert (form.unit, form.out_of_round.value) == ("kPa", 100.0)
