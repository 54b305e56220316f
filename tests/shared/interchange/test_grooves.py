"""O-rings in grooves."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.interchange.grooves import (
    Groove,
    GrooveVerdict,
    Limits,
    Sized,
    checked_limits,
    cord_sized,
    judge_groove,
    sized,
)
from shared.quantities import Quantity

FITS, MARGINAL, NO = GrooveVerdict
DEPTH = Sized(0.077 * 25.4)


@pytest.mark.parametrize(
    ("cord", "squeeze", "verdict"), [(2.62, 25.4, FITS), (2.5, 21.8, MARGINAL), (2.4, 18.5, NO)]
)
def test_a_cord_is_judged_by_its_squeeze(cord, squeeze, verdict):
    answer = judge_groove(Sized(cord, 0.08), Groove(DEPTH))
    assert 100 * answer.squeeze.nominal == pytest.approx(squeeze, abs=0.05)
    assert answer.verdict is verdict
    assert answer.cords == (2.62, 2.65)


@pytest.mark.parametrize(("inside", "stretch", "verdict"), [(24.99, 4.0, FITS), (24.0, 8.3, NO)])
def test_a_ring_is_judged_by_its_stretch(inside, stretch, verdict):
    groove = Groove(DEPTH, diameter=Sized(26.0))
    answer = judge_groove(Sized(2.62, 0.08), groove, inside=Sized(inside))
    assert 100 * answer.stretch.nominal == pytest.approx(stretch, abs=0.05)
    assert answer.verdict is verdict


def test_a_ring_whose_tolerance_takes_it_over_the_limit_is_marginal():
    groove = Groove(DEPTH, diameter=Sized(26.0))
    answer = judge_groove(Sized(2.62, 0.08), groove, inside=Sized(24.99, 0.25))
    assert answer.stretch.verdict is MARGINAL


def test_a_stretched_ring_is_thinner_and_squeezed_less():
    loose = judge_groove(Sized(2.62), Groove(DEPTH))
    groove = Groove(DEPTH, diameter=Sized(26.0))
    stretched = judge_groove(Sized(2.62), groove, inside=Sized(24.99))
    assert stretched.installed_squeeze < loose.squeeze.nominal
    # The volume stays: section times length, over the middle of the ring.
    section = DEPTH.value / (1 - stretched.installed_squeeze)
    assert section**2 * (26.0 + 2.62) == pytest.approx(2.62**2 * (24.99 + 2.62), rel=1e-9)


def test_an_overfull_groove_does_not_fit():
    answer = judge_groove(Sized(2.62), Groove(DEPTH, width=Sized(2.7)))
    assert answer.fill.nominal > 1
    assert answer.verdict is NO


def test_what_was_not_judged_is_said():
    cautions = " ".join(judge_groove(Sized(2.62), Groove(DEPTH)).cautions)
    assert "Stretch was not judged" in cautions
    assert "Fill was not judged" in cautions


@settings(max_examples=150, deadline=None)
@given(st.floats(0.5, 8), st.floats(0, 0.1), st.floats(0.3, 8), st.floats(0, 0.1), st.floats(5, 50))
def test_more_doubt_never_makes_a_better_verdict(cord, doubt, depth, more, inside):
    order = list(GrooveVerdict)
    groove = Groove(Sized(depth), diameter=Sized(inside * 1.03))
    sure = judge_groove(Sized(cord, doubt), groove, inside=Sized(inside))
    unsure = judge_groove(Sized(cord, doubt + more), groove, inside=Sized(inside, more))
    assert order.index(unsure.verdict) >= order.index(sure.verdict)
    assert sure.squeeze.least <= sure.squeeze.nominal <= sure.squeeze.most


def test_a_cord_without_a_stated_tolerance_takes_its_lists():
    assert cord_sized(Quantity(Decimal("2.62"), "mm"), "/cord") == Sized(2.62, 0.08)
    assert cord_sized(Quantity(Decimal("2.5"), "mm"), "/cord") == Sized(2.5, 0.09)


@pytest.mark.parametrize(
    ("value", "unit", "more"),
    [
        ("0.05", "mm", {}),
        ("6000", "mm", {}),
        ("2", "mm", {"plus_minus": Decimal(1)}),
        ("2", "N", {}),
    ],
)
def test_a_size_that_is_none_is_refused(value, unit, more):
    with pytest.raises(InvalidInput) as refused:
        sized(Quantity(Decimal(value), unit, **more), "/cord")
    assert refused.value.pointer.startswith("/cord")


def test_limits_upside_down_are_refused():
    assert checked_limits(0.1, 0.2, "/x") == Limits(0.1, 0.2)
    for least, most in ((0.3, 0.2), (-0.1, 0.2), (0.1, 1.2)):
        with pytest.raises(InvalidInput):
            checked_limits(least, most, "/x")


def test_no_section_is_offered_that_overfills_the_groove():
    wide = judge_groove(Sized(2.62), Groove(DEPTH, width=Sized(3.9)))
    narrow = judge_groove(Sized(2.62), Groove(DEPTH, width=Sized(2.7)))
    assert 2.62 in wide.cords
    assert narrow.verdict is NO
    assert narrow.cords == ()
