"""Which thread a measured screw or hole may be."""

import math

import pytest

from shared.errors import OutOfRange
from shared.interchange.identification.engine import identify
from shared.interchange.identification.model import Change, Doubt, Measured, PartState
from shared.interchange.identification.threads import (
    DIMENSIONS,
    advise,
    pitch_from_leaf,
    pitch_from_length,
    pitch_from_turns_per_inch,
    sizes,
)
from shared.standards.thread_model import ThreadSeries
from shared.standards.threads import screw_limits, thread_named, threads


def ranked(state=PartState.UNKNOWN, internal=False, **measured):
    found = identify(measured, sizes(state, internal))
    return {item.designation: item.probability for item in found.items}


def near(value, width=0.02):
    return Measured(value, width, Doubt.RECTANGULAR)


def test_every_thread_is_a_size_of_the_side_it_has():
    screws = {size.designation for size in sizes(PartState.NEW)}
    holes = {size.designation for size in sizes(PartState.NEW, internal=True)}
    for thread in threads():
        only_hole = thread.series in {
            ThreadSeries.PIPE_TAPER_INTERNAL,
            ThreadSeries.PIPE_PARALLEL_INTERNAL,
        }
        only_screw = thread.series is ThreadSeries.PIPE_TAPER_EXTERNAL
        assert (thread.designation in screws) is not only_hole
        assert (thread.designation in holes) is not only_screw


@pytest.mark.parametrize("state", PartState)
@pytest.mark.parametrize("internal", [False, True])
def test_sizes_are_made_between_sensible_limits(state, internal):
    for size in sizes(state, internal):
        assert set(size.made) < set(DIMENSIONS)
        assert size.commonness > 0
        for name, made in size.made.items():
            assert 0 < made.least <= made.most
            assert name == "pitch" or made.least <= size.nominal[name] <= made.most
            assert (made.change is Change.NONE) == (made.typical_change == 0)
            if name == "pitch":
                assert made.least < size.nominal[name] < made.most


def test_a_new_screw_is_made_from_its_lower_limit_to_its_nominal_diameter():
    (size,) = [size for size in sizes(PartState.NEW) if size.designation == "M8x1.25"]
    made = size.made["major"]
    assert (made.least, made.most) == (screw_limits(thread_named("M8x1.25")).major_least, 8.0)
    assert made.change is Change.NONE


def test_no_screw_is_larger_than_its_nominal_diameter():
    for thread in threads():
        if thread.is_taper:
            continue
        over = ranked(major=near(thread.major + 0.05), pitch=near(thread.pitch, 0.001))
        assert thread.designation not in over


def test_6_30_mm_and_a_leaf_of_1_mm_is_a_quarter_inch_of_26_turns():
    found = ranked(major=near(6.30), pitch=pitch_from_leaf(1.0))
    assert set(list(found)[:2]) == {"1/4-26 BSF", "1/4-26 BSC"}
    assert sum(list(found.values())[:2]) > 0.99
    assert "M6x1" not in found


@pytest.mark.parametrize(
    ("major", "pitch", "older"),
    [(2.97, 0.6, "M3x0.6"), (3.95, 0.75, "M4x0.75"), (4.95, 0.9, "M5x0.9"), (2.57, 0.45, "M2.6")],
)
def test_a_screw_of_an_old_vehicle_is_not_taken_for_a_neighbour(major, pitch, older):
    first = next(iter(ranked(major=near(major), pitch=near(pitch, 0.01))))
    assert first.startswith(older)


def test_notes_name_the_everyday_look_alike_of_the_other_family():
    for screw, other in (
        ("M8x1.25", "5/16-18 UNC"),
        ("M10x1.5", "3/8-16 UNC"),
        ("1/4-28 UNF", "M6x1"),
        ("M12x1.75", "1/2-13 UNC"),
    ):
        (size,) = [size for size in sizes(PartState.USED) if size.designation == screw]
        assert any(f"Looks like {other}" in note for note in size.notes), size.notes


def test_m5_and_10_32_are_told_by_the_diameter():
    pitch = near(0.8, 0.02)
    assert next(iter(ranked(major=near(4.92), pitch=pitch))) == "M5x0.8"
    assert next(iter(ranked(major=near(4.77), pitch=pitch))) == "10-32 UNF"


def test_a_worn_screw_may_lie_below_its_lower_limit_a_new_one_not():
    least = screw_limits(thread_named("M10x1.5")).major_least
    measured = {"major": near(least - 0.05, 0.01), "pitch": near(1.5, 0.005)}
    assert next(iter(ranked(PartState.USED, **measured))) == "M10x1.5"
    assert "M10x1.5" not in ranked(PartState.NEW, **measured)


def test_a_hole_is_told_by_its_bore():
    found = ranked(internal=True, minor=near(6.75), pitch=pitch_from_leaf(1.25))
    assert next(iter(found)) == "M8x1.25"


def test_look_alikes_of_other_families_are_named():
    notes = {size.designation: " ".join(size.notes) for size in sizes(PartState.USED)}
    assert "10-32 UNF (Unified)" in notes["M5x0.8"]
    assert "M5x0.8 (metric)" in notes["10-32 UNF"]
    assert "1/4-26 BSF (Whitworth)" in notes["1/4-26 BSC"]
    assert "0 BA" in notes["M6x1"]
    assert "taper" in notes["1/8-27 NPT"]


def test_a_pitch_is_reached_from_turns_per_inch_a_length_and_a_leaf():
    counted = pitch_from_turns_per_inch(Measured(20.0, 0.5))
    assert counted.value == pytest.approx(1.27)
    assert counted.value + counted.width == pytest.approx(25.4 / 19.5)
    over_ten = pitch_from_length(Measured(12.5, 0.1), 10)
    assert (over_ten.value, over_ten.width) == (1.25, pytest.approx(0.01))
    assert pitch_from_leaf(1.0, turns=20).width == pytest.approx(0.01)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, 1e308])
def test_a_count_that_is_none_is_refused(value):
    with pytest.raises(OutOfRange):
        pitch_from_turns_per_inch(Measured(value, 0.5))
    if value != 1e308:
        with pytest.raises(OutOfRange):
            pitch_from_length(Measured(value, 0.1), 10)
        with pytest.raises(OutOfRange):
            pitch_from_leaf(value)
    with pytest.raises(OutOfRange):
        pitch_from_leaf(1.0, turns=0)
    with pytest.raises(OutOfRange):
        pitch_from_length(Measured(12.5, 0.1), 0)
    with pytest.raises(OutOfRange):
        pitch_from_turns_per_inch(Measured(20.0, 20.0))


def test_advice_says_what_to_trust_and_what_is_missing():
    said = " ".join(advise({"major": near(6.3)}, PartState.USED))
    for words in ("larger than its nominal", "lay a pitch gauge", "Worn crests", "helix"):
        assert words in said
    both = advise({"major": near(6.3), "pitch": near(1.0, 0.025)}, PartState.NEW)
    assert any("ten turns" in line for line in both)
