"""Gear ratios counted by turns and teeth, and what agrees with them."""

from decimal import Decimal

import pytest

from shared.assemblies.ratio_counts import Held, ToothPair, TurnsCounted
from shared.assemblies.ratios import (
    Agreement,
    output_speed_change,
    ratio_by_teeth,
    ratio_by_turns,
    speed_change_told,
)
from shared.errors import InvalidInput

AXLES = tuple(Decimal(text) for text in ("3.07", "3.55", "3.73", "4.10"))


def turns(read="1.86", held=Held.OTHER_WHEEL, output="1", plus_minus=None):
    doubt = None if plus_minus is None else Decimal(plus_minus)
    return TurnsCounted(Decimal(read), Decimal(output), held, doubt)


def agreeing(found):
    return [one.ratio for one in found.candidates if one.agrees]


def test_one_raised_wheel_reads_half():
    """Public pages on axles give the turns; the factor is that of an open differential."""
    found = ratio_by_turns(turns(), AXLES)
    assert (found.ratio, found.lower, found.upper) == (
        Decimal("3.72"),
        Decimal("3.71"),
        Decimal("3.73"),
    )
    assert (found.if_nothing_held, found.if_other_wheel_held) == (Decimal("1.86"), Decimal("3.72"))
    assert found.agreement is Agreement.ONE
    assert agreeing(found) == [Decimal("3.73")]
    assert round(found.candidates[0].deviation_percent, 2) == Decimal("-0.27")
    assert len(found.candidates) == 4


def test_the_reading_as_if_nothing_was_held_agrees_with_nothing_and_says_what_would():
    found = ratio_by_turns(turns(held=Held.NONE), AXLES)
    assert found.ratio == Decimal("1.86")
    assert found.agreement is Agreement.NONE
    assert agreeing(found) == []
    assert any("3.72, with which 3.73 agrees" in note for note in found.notes)


def test_a_coarse_reading_does_not_tell_ratios_apart():
    found = ratio_by_turns(turns("3.6", Held.NONE, plus_minus="0.2"), AXLES)
    assert found.agreement is Agreement.SEVERAL
    assert agreeing(found) == [Decimal("3.55"), Decimal("3.73")]
    finer = ratio_by_turns(turns("36", Held.NONE, output="10"), (Decimal("3.55"), Decimal("3.73")))
    assert (finer.lower, finer.upper) == (Decimal("3.55"), Decimal("3.65"))
    assert finer.agreement is Agreement.ONE


def test_near_is_not_the_same():
    """1.84 is not 1.98, whatever the tolerance in percent: the output turns 7.6 % faster."""
    found = ratio_by_turns(turns("1.84", Held.NONE), (Decimal("1.98"),), needed=Decimal("1.98"))
    assert found.agreement is Agreement.NONE
    assert found.needed is not None and not found.needed.agrees
    assert round(output_speed_change(Decimal("1.98"), Decimal("1.84")), 1) == Decimal("7.6")
    assert speed_change_told(Decimal("1.84"), Decimal("1.98")) == "turns the output 7.1 % slower"
    assert "as fast" in speed_change_told(Decimal("3.73"), Decimal("3.731"))


def test_each_stated_ratio_tells_its_output_speed_beside_the_needed_one():
    found = ratio_by_turns(turns(), AXLES, needed=Decimal("4.10"))
    speeds = {one.ratio: one.output_speed_percent for one in found.candidates}
    assert round(speeds[Decimal("3.73")], 2) == Decimal("9.92")  # 4.10 / 3.73
    assert speeds[Decimal("4.10")] == 0


def test_teeth_are_exact():
    """41 over 11 teeth is sold as 3.73; a double reduction multiplies. By definition."""
    found = ratio_by_teeth([ToothPair(11, 41)], AXLES)
    assert found.teeth is not None and (found.teeth.numerator, found.teeth.denominator) == (41, 11)
    assert found.lower == found.upper == found.ratio
    assert agreeing(found) == [Decimal("3.73")]
    chain = ratio_by_teeth([ToothPair(20, 30), ToothPair(12, 36)])
    assert (chain.ratio, chain.agreement) == (Decimal("4.5"), Agreement.NOTHING_STATED)
    assert chain.if_other_wheel_held is None


def test_an_overdrive_and_a_doubtful_reading_keep_their_bounds():
    assert ratio_by_teeth([ToothPair(40, 20)]).ratio == Decimal("0.5")
    rough = ratio_by_turns(turns("1", Held.NONE, plus_minus="0.9"))
    assert (rough.lower, rough.upper) == (Decimal("0.1"), Decimal("1.9"))


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        (lambda: ratio_by_turns(turns("0")), "/turns/input_turns"),
        (lambda: ratio_by_turns(turns("1", output="0")), "/turns/output_turns"),
        (lambda: ratio_by_turns(turns("NaN")), "/turns/input_turns"),
        (lambda: ratio_by_turns(turns("1E+9")), "/turns/input_turns"),
        (lambda: ratio_by_turns(turns(plus_minus="-1")), "/turns/plus_minus"),
        (lambda: ratio_by_turns(turns(plus_minus="1.86")), "/turns/plus_minus"),
        (lambda: ratio_by_turns(turns(), (Decimal(3), Decimal(0))), "/candidates/1"),
        (lambda: ratio_by_turns(turns(), (Decimal(3), Decimal("3.0"))), "/candidates/1"),
        (lambda: ratio_by_turns(turns(), [Decimal(n + 1) for n in range(101)]), "/candidates"),
        (lambda: ratio_by_turns(turns(), needed=Decimal(-1)), "/needed"),
        (lambda: ratio_by_teeth([]), "/pairs"),
        (lambda: ratio_by_teeth([ToothPair(1, 10_000)] * 2), "/pairs"),
        (lambda: ratio_by_teeth([ToothPair(1, 2)] * 21), "/pairs"),
        (lambda: ratio_by_teeth([ToothPair(0, 2)]), "/pairs/0/driving"),
        (lambda: ratio_by_teeth([ToothPair(1, 10_001)]), "/pairs/0/driven"),
        (lambda: output_speed_change(Decimal(0), Decimal(1)), "/needed"),
    ],
)
def test_what_cannot_be_a_ratio_is_refused(asked, pointer):
    with pytest.raises(InvalidInput) as refused:
        asked()
    assert refused.value.pointer == pointer
