"""Screws in holes that are not theirs: rules that hold for every pair of the house."""

import math

import numpy as np
import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.look_alike_model import Outcome, Starts, StoppedBy
from shared.fasteners.look_alike_profiles import (
    can_be_hole,
    can_be_screw,
    hole_side,
    loose,
    screw_side,
    tight,
)
from shared.fasteners.look_alikes import (
    INCOMPLETE_TURNS,
    MOST_PITCH_ERROR,
    is_own,
    look_alikes,
    turns_at_basic_size,
    would_run,
)
from shared.fasteners.thread_pairs import thread_pair
from shared.standards.thread_model import ThreadSeries
from shared.standards.threads import thread_named, threads, threads_of

DANGER = [Outcome.RUNS_POORLY, Outcome.BINDS, Outcome.RUNS_HOLDS]
RUNS = {Outcome.RUNS_POORLY, Outcome.RUNS_HOLDS}


def pair(screw, hole, engagement=None):
    return would_run(thread_named(screw), thread_named(hole), engagement)


@pytest.fixture(scope="module")
def lists():
    return {thread: look_alikes(thread) for thread in threads()}


def test_every_thread_holds_in_its_own_hole():
    for thread in threads():
        if can_be_screw(thread) and can_be_hole(thread):
            found = would_run(thread, thread)
            assert (found.outcome, found.starts) == (Outcome.RUNS_HOLDS, Starts.ALWAYS)
            assert found.strip_share is None if thread.is_taper else found.strip_share == 1


def test_nothing_but_the_same_thread_is_said_to_hold(lists):
    for found in lists.values():
        for one in found:
            if one.outcome is Outcome.RUNS_HOLDS:
                a, b = thread_named(one.screw), thread_named(one.hole)
                assert is_own(a, b)
                assert (a.flanks, a.pitch) == (b.flanks, b.pitch)
                assert a.major == pytest.approx(b.major, abs=0.02 * a.pitch)


def test_dangerous_ones_come_first_and_all_start(lists):
    for thread, found in lists.items():
        ranks = [DANGER.index(one.outcome) for one in found]
        assert ranks == sorted(ranks)
        assert len({(one.screw, one.hole) for one in found}) == len(found) <= 200
        for one in found:
            assert thread.designation in {one.screw, one.hole}
            assert one.screw != one.hole
            assert one.starts is not Starts.NEVER
            assert len(one.note) <= 2000
            assert 2 <= len(one.tell_apart) <= 6


def test_figures_of_every_pair_make_sense(lists):
    for found in lists.values():
        for one in found:
            if one.turns_most is not None:
                assert 0 <= one.turns_least <= one.turns_most
                assert (one.outcome is Outcome.RUNS_POORLY) == (
                    one.turns_most >= one.turns_available
                )
            if one.stopped_by is StoppedBy.NOTHING:
                assert one.pitch_error == 0
                assert one.turns_to_half_pitch is None
            assert abs(one.relative_pitch_error) <= MOST_PITCH_ERROR / (1 - MOST_PITCH_ERROR)
            assert 0 <= one.overlap_least <= one.overlap <= 1
            assert one.strip_share is None or 0 <= one.strip_share <= 1


def test_a_pair_stands_in_the_list_of_both_its_threads(lists):
    by_name = {
        thread.designation: {(one.screw, one.hole) for one in found}
        for thread, found in lists.items()
    }
    for found in list(lists.values())[::7]:
        for one in found:
            assert (one.screw, one.hole) in by_name[one.screw] & by_name[one.hole]


def test_screw_and_hole_exchanged_are_the_reverse(lists):
    for found in list(lists.values())[::11]:
        for one in found:
            a, b = thread_named(one.screw), thread_named(one.hole)
            if one.reverse is None:
                assert not (can_be_screw(b) and can_be_hole(a))
            else:
                back = would_run(b, a)
                assert (back.outcome, back.starts) == (one.reverse, one.reverse_starts)


def test_longer_engagement_turns_running_into_binding_and_never_back(lists):
    for found in list(lists.values())[::11]:
        for one in found:
            a, b = thread_named(one.screw), thread_named(one.hole)
            outcomes = [would_run(a, b, length).outcome for length in (0.5, 3.0, 12.0, 200.0)]
            runs = [outcome in RUNS for outcome in outcomes]
            assert runs == sorted(runs, reverse=True)


def test_a_larger_pitch_error_binds_sooner():
    turns = [pair(name, "M10x1.5").turns_most for name in ("3/8-18 UNS", "3/8-20 UN", "3/8-24 UNF")]
    assert turns == sorted(turns, reverse=True)


@pytest.mark.parametrize(
    ("screw", "hole"),
    [
        ("5/16-18 UNC", "M8x1.25"),
        ("10-32 UNF", "M5x0.8"),
        ("3/8-16 UNC", "M10x1.5"),
        ("2 BA", "10-32 UNF"),
        ("G 1/8", "M10x1"),
    ],
)
def test_turns_are_those_of_two_profiles_laid_into_each_other(screw, hole):
    """Ridge against space, diameter by diameter, turn by turn, at every axial shift."""
    a, b = thread_named(screw), thread_named(hole)
    found = would_run(a, b)
    for side, turns in ((tight, found.turns_least), (loose, found.turns_most - INCOMPLETE_TURNS)):
        s, h = side(screw_side(a)), side(hole_side(b))
        x = np.linspace(h.minor, max(h.minor, s.major - 2 * screw_side(a).rounding), 41)
        ridge = a.pitch / 2 - (x - s.pitch_diameter) * math.tan(math.radians(a.flank_angle / 2))
        space = b.pitch / 2 - (x - h.pitch_diameter) * math.tan(math.radians(b.flank_angle / 2))
        shifts = np.linspace(-a.pitch / 2, a.pitch / 2, 4001)

        def goes(count, ridge=ridge, space=space, shifts=shifts):
            drift = np.linspace(0, count, 25) * (a.pitch - b.pitch)
            centre = shifts[:, None] + drift[None, :]
            clear = (space - ridge)[None, None, :] / 2 - np.abs(centre)[:, :, None]
            return (clear >= 0).all(axis=(1, 2)).any()

        assert goes(turns - 0.05) and not goes(turns + 0.05)


def test_10_32_in_m5_runs_and_back_only_small_screws():
    there, back = pair("10-32 UNF", "M5x0.8"), pair("M5x0.8", "10-32 UNF")
    assert there.outcome is Outcome.RUNS_POORLY
    assert there.strip_share < 0.8
    assert "Dangerous" in there.note
    assert there.is_one_way
    assert (back.starts, back.is_one_way) == (Starts.SOMETIMES, False)


def test_equal_pitch_and_other_flanks_run_fully_and_hold_poorly():
    for screw, hole in (
        ("M6x1", "0 BA"),
        ("0 BA", "M6x1"),
        ("1/4-20 UNC", "1/4-20 BSW"),
        ("1/4-26 BSF", "1/4-26 BSC"),
        ("1/4-26 BSC", "1/4-26 BSF"),
    ):
        found = pair(screw, hole)
        assert (found.outcome, found.stopped_by) == (Outcome.RUNS_POORLY, StoppedBy.NOTHING)
        assert "flank angles differ" in found.note
        assert any("Flank angle" in how for how in found.tell_apart)


def test_m8x1_and_the_cycle_thread_of_5_16_go_together_one_way_only():
    loose, tight = pair("M8x1", "5/16-26 BSC"), pair("5/16-26 BSC", "M8x1")
    assert loose.outcome is Outcome.RUNS_POORLY
    assert loose.is_one_way
    assert tight.outcome is Outcome.BINDS
    assert turns_at_basic_size(thread_named("5/16-26 BSC"), thread_named("M8x1")) is None
    assert "estimated" in loose.note


def test_a_thread_under_two_names_is_one_thread():
    twins = [
        (a, b)
        for a in threads_of(ThreadSeries.UN)
        for b in threads_of(ThreadSeries.UNC)
        if (a.major, a.pitch) == (b.major, b.pitch)
    ]
    for a, b in twins:
        assert would_run(a, b).outcome is Outcome.RUNS_HOLDS
    assert pair("R 1/8", "Rc 1/8").outcome is Outcome.RUNS_HOLDS
    assert pair("R 1/8", "Rp 1/8").outcome is Outcome.RUNS_HOLDS
    assert pair("R 1/4", "Rc 1/8").outcome is Outcome.BLOCKED
    below_basic = pair("G 1/8", "Rp 1/8")
    assert (below_basic.outcome, below_basic.starts) == (Outcome.RUNS_HOLDS, Starts.SOMETIMES)
    assert "does not enter" in below_basic.note


def test_an_own_thread_of_few_turns_is_not_said_to_hold_unasked():
    assert "Only 1.6 turns engage" in pair("M8x1.25", "M8x1.25", 2.0).note
    assert "Only" not in pair("M8x1.25", "M8x1.25", 6.5).note


def test_notes_tell_where_nothing_binds_in_time():
    never, thin = pair("7/16-14 UNC", "M12x1.75"), pair("3/8-24 UNF", "M10x1")
    assert never.turns_least > never.turns_available
    assert "nothing warns" in never.note
    assert (thin.outcome, pair("3/8-24 UNF", "M10x1", 8.0).outcome) == (
        Outcome.BINDS,
        Outcome.RUNS_POORLY,
    )
    assert "Where less than 8.3 mm engage" in thin.note


def test_tapers_have_no_turns():
    for screw, hole in (("1/8-27 NPT", "Rc 1/8"), ("R 1/8", "G 1/8"), ("1/8-27 NPT", "M10x1")):
        found = pair(screw, hole)
        assert (found.outcome, found.stopped_by) == (Outcome.BINDS, StoppedBy.TAPER)
        assert (found.turns_least, found.turns_most, found.strip_share) == (None, None, None)
        assert "leaks" in found.note


def test_a_taper_screw_in_the_parallel_hole_of_its_size_is_no_standard_joint():
    assert "no standard joint" in pair("R 1/2", "G 1/2").note
    assert "no standard joint" not in pair("R 1/2", "G 5/8").note


def test_a_screw_smaller_than_the_thread_of_the_hole_slips_through():
    for screw, hole in (("M6x1", "M8x1.25"), ("R 1/8", "Rc 1/4"), ("1/4-20 UNC", "M10x1.5")):
        found = pair(screw, hole)
        assert found.outcome is Outcome.SLIPS
        assert found.overlap == 0
        assert found.strip_share in {0.0, None}


def test_what_does_not_start_says_why():
    assert "outside diameter" in pair("M8x1.25", "M6x1").note
    assert "no room" in pair("M10x1.5", "3/8-16 UNC").note


@pytest.mark.parametrize(("screw", "hole"), [("Rc 1/8", "G 1/8"), ("G 1/8", "R 1/8")])
def test_a_series_without_that_side_is_refused(screw, hole):
    with pytest.raises(InvalidInput) as refused:
        pair(screw, hole)
    assert refused.value.code == "no-such-side"


@pytest.mark.parametrize("engagement", [0.0, -1.0, 1000.1, math.inf, math.nan])
def test_an_engagement_that_is_none_is_refused(engagement):
    with pytest.raises(OutOfRange):
        pair("M8x1.25", "M8x1.25", engagement)
    with pytest.raises(OutOfRange):
        look_alikes(thread_named("M8x1.25"), engagement)


@pytest.mark.parametrize(
    ("screw", "hole", "told"),
    [
        ("M10 hot-dip galvanised", "M10 nut 8", "tapped over size"),
        ("M8x1 tapered", "M8x1", "jams"),
        ("M8 used", "M8", "used"),
    ],
)
def test_words_that_say_otherwise_are_no_fit(screw, hole, told):
    found = thread_pair(screw, hole)
    assert not found.fits
    assert any(told in one for one in (found.pair.note, *found.cautions))


@pytest.mark.parametrize(
    ("screw", "hole", "pointer"),
    [
        ("M8 nut 8", "M8", "/screw"),
        ("M8-6H", "M8", "/screw"),
        ("M8", "M8x40 8.8", "/hole"),
        ("1/4-20 UNC", "1/4-20 UNC-2A", "/hole"),
    ],
)
def test_a_screw_takes_no_screw_and_a_nut_enters_none(screw, hole, pointer):
    with pytest.raises(InvalidInput) as caught:
        thread_pair(screw, hole)
    assert caught.value.pointer == pointer


def test_threads_made_for_each_other_still_fit():
    for screw, hole in (
        ("M8-6g", "M8-6H"),
        ("R 1/4", "Rc 1/4"),
        ("1/2-14 NPT", "1/2-14 NPT"),
        ("G 1/4 A", "G 1/4"),
        ("1/4-20 UNC-2A", "1/4-20 UNC-2B"),
        ("M8x40 8.8 zinc plated", "M8 nut 8 zinc plated"),
    ):
        assert thread_pair(screw, hole).fits
