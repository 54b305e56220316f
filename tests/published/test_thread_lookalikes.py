"""Thirty pairs of threads that are taken for each other: dimensions, turns, what the trade saw.

``data/thread_lookalikes.csv`` has a source per row: dimensions recomputed from ISO 68-1, ASME B1.1
and ISO 228-1; ``practice`` from public trade pages and forums. ``turns_before_bind_a_in_b`` is the
axial play of the basic pitch diameters over the difference of the pitches. The pitch diameters of
taper threads stand there at the small end, as the table's note says; their outside diameters, from
memory there, are those near the gauge plane. The public pages' misprints that are known stand at
the end, as what must not come out.
"""

import csv
import re
from pathlib import Path

import pytest

from shared.fasteners.look_alike_model import Outcome, Starts, StoppedBy
from shared.fasteners.look_alikes import look_alikes, turns_at_basic_size, would_run
from shared.standards.thread_model import ThreadSeries
from shared.standards.threads import thread_named, threads_of

with (Path(__file__).parent / "data" / "thread_lookalikes.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

THIRD_PLACE = 0.0006
FIRST_PLACE = 0.051
# Gauge length L1 of NPT, inches: ASME B1.20.1 (from memory). A taper of 1 in 16 leads from the
# gauge plane to the small end.
GAUGE_LENGTHS = {"1/8": 0.1615, "1/4": 0.2278, "1/2": 0.3200, "1": 0.4000}
FROM_MEMORY = 0.05


def thread_of(written):
    name = written.removesuffix(".0")
    if name.startswith("NPT"):
        (found,) = [t for t in threads_of(ThreadSeries.NPT) if t.nominal == name[3:]]
        return found
    thread = thread_named(re.sub(r"^G", "G ", name))
    assert thread is not None, written
    return thread


def name_of(row):
    return f"{row['screw_a']} in {row['nut_b']}"


PAIRS = [(row, thread_of(row["screw_a"]), thread_of(row["nut_b"])) for row in ROWS]
IDS = [name_of(row) for row in ROWS]


def small_end(thread):
    shift = GAUGE_LENGTHS[thread.nominal] * 25.4 / 16 if thread.is_taper else 0.0
    return thread.pitch_diameter - shift


def test_every_row_of_the_table_is_checked_here():
    assert len(ROWS) == 30
    assert sum(bool(row["practice"]) for row in ROWS) == len(PRACTICE)


@pytest.mark.parametrize(("row", "a", "b"), PAIRS, ids=IDS)
def test_dimensions_of_a_pair(row, a, b):
    for thread, end in ((a, "a"), (b, "b")):
        assert thread.pitch == pytest.approx(float(row[f"pitch_{end}_mm"]), abs=0.00006)
        assert 25.4 / thread.pitch == pytest.approx(float(row[f"tpi_{end}"]), abs=0.0006)
        assert thread.flank_angle == float(row[f"angle_{end}"])
        printed = float(row[f"pitch_dia_{end}_mm"])
        assert small_end(thread) == pytest.approx(printed, abs=THIRD_PLACE)
        tolerance = FROM_MEMORY if thread.is_taper else THIRD_PLACE
        assert thread.major == pytest.approx(float(row[f"major_{end}_mm"]), abs=tolerance)
    pair = would_run(a, b)
    tolerance = FROM_MEMORY if a.is_taper or b.is_taper else 2 * THIRD_PLACE
    assert pair.diameter_error == pytest.approx(float(row["major_diff_mm"]), abs=tolerance)
    assert pair.pitch_error == pytest.approx(float(row["pitch_diff_mm"]), abs=0.00006)
    assert 100 * pair.relative_pitch_error == pytest.approx(float(row["pitch_diff_pct"]), abs=0.006)
    room = (small_end(b) - small_end(a)) / 2
    assert room == pytest.approx(float(row["radial_room_mm"]), abs=THIRD_PLACE)
    if row["flank_overlap_pct"] and not a.is_taper:
        assert 100 * pair.overlap == pytest.approx(float(row["flank_overlap_pct"]), abs=0.51)


@pytest.mark.parametrize(("row", "a", "b"), PAIRS, ids=IDS)
def test_turns_at_basic_size_both_ways(row, a, b):
    both = ((a, b, row["turns_before_bind_a_in_b"]), (b, a, row["reverse_b_in_a"]))
    for screw, hole, printed in both:
        turns = turns_at_basic_size(screw, hole)
        if printed.startswith("blocked"):
            assert turns is None
            (larger,) = re.findall(r"by (\d\.\d+) mm", printed)
            difference = screw.pitch_diameter - hole.pitch_diameter
            assert difference == pytest.approx(float(larger), abs=2 * THIRD_PLACE)
        elif printed.startswith("line to line"):
            assert abs(screw.pitch_diameter - hole.pitch_diameter) < 0.02
        elif printed and "no lead error" not in printed:
            assert turns == pytest.approx(float(printed), abs=FIRST_PLACE)


@pytest.mark.parametrize(("row", "a", "b"), PAIRS, ids=IDS)
def test_real_parts_agree_with_the_basic_size(row, a, b):
    for screw, hole in ((a, b), (b, a)):
        pair = would_run(screw, hole)
        basic = turns_at_basic_size(screw, hole)
        if screw.is_taper or hole.is_taper:
            if pair.starts is Starts.NEVER:
                continue
            assert (pair.outcome, pair.turns_most) == (Outcome.BINDS, None)
            assert "leaks" in pair.note
        elif basic is None:
            assert pair.starts is not Starts.ALWAYS or pair.turns_least < 1
        else:
            assert pair.starts is not Starts.NEVER
            assert pair.turns_most is None or pair.turns_most >= basic
        assert pair.outcome is not Outcome.RUNS_HOLDS


# What starts and comes of each pair of which a practice is told.
ALWAYS, SOMETIMES = Starts.ALWAYS, Starts.SOMETIMES
BINDS, POORLY = Outcome.BINDS, Outcome.RUNS_POORLY
PRACTICE = {
    "5/16-18 UNC in M8x1.25": (ALWAYS, BINDS),
    "3/8-16 UNC in M10x1.5": (ALWAYS, BINDS),
    "10-32 UNF in M5x0.8": (ALWAYS, POORLY),
    "8-36 UNF in M4x0.7": (SOMETIMES, BINDS),
    "5-44 UNF in M3x0.5": (SOMETIMES, BINDS),
    "6-32 UNC in M3.5x0.6": (SOMETIMES, BINDS),
    "M10x1.25 in M10x1.5": (SOMETIMES, BINDS),
    "M10x1.0 in M10x1.25": (SOMETIMES, BINDS),
    "M12x1.25 in M12x1.5": (SOMETIMES, BINDS),
    "M12x1.5 in M12x1.75": (SOMETIMES, BINDS),
    "1/4-20 BSW in 1/4-20 UNC": (SOMETIMES, POORLY),
    "1/2-12 BSW in 1/2-13 UNC": (SOMETIMES, BINDS),
    "G1/8 in M10x1.0": (ALWAYS, BINDS),
    "G1/8 in NPT1/8": (ALWAYS, BINDS),
    "G1/4 in NPT1/4": (SOMETIMES, BINDS),
    "G1/2 in NPT1/2": (SOMETIMES, BINDS),
    # At the gauge plane the hole is 0.31 mm smaller: the pair that starts and binds is the reverse.
    "G1 in NPT1": (Starts.NEVER, Outcome.BLOCKED),
}


@pytest.mark.parametrize(
    ("row", "a", "b"),
    [pair for pair in PAIRS if pair[0]["practice"]],
    ids=[name_of(row) for row in ROWS if row["practice"]],
)
def test_what_the_trade_saw_comes_out(row, a, b):
    pair = would_run(a, b)
    assert (pair.starts, pair.outcome) == PRACTICE[name_of(row)]


def test_one_or_two_turns_of_a_5_16_18_screw_in_m8():
    pair = would_run(thread_of("5/16-18 UNC"), thread_of("M8x1.25"))
    assert pair.turns_least < 1 < pair.turns_most < 2.5


def test_a_1_inch_american_taper_starts_in_a_g_1_hole_and_binds():
    pair = would_run(thread_of("NPT1"), thread_of("G1"))
    assert (pair.outcome, pair.stopped_by) == (Outcome.BINDS, StoppedBy.TAPER)


def test_only_small_m5_screws_go_into_10_32_nuts():
    pair = would_run(thread_of("M5x0.8"), thread_of("10-32 UNF"))
    assert (pair.starts, pair.turns_least) == (Starts.SOMETIMES, 0)
    assert would_run(thread_of("10-32 UNF"), thread_of("M5x0.8")).is_one_way


@pytest.mark.parametrize(("row", "a", "b"), PAIRS, ids=IDS)
def test_a_pair_that_starts_is_found_from_either_side(row, a, b):
    if would_run(a, b).starts is Starts.NEVER:
        a, b = b, a
    for thread in (a, b):
        found = {(pair.screw, pair.hole) for pair in look_alikes(thread)}
        assert (a.designation, b.designation) in found


def test_a_unified_thread_never_has_55_degrees():
    for series in (ThreadSeries.UNC, ThreadSeries.UNF):
        assert {thread.flank_angle for thread in threads_of(series)} == {60.0}


def test_coarse_m8_has_no_pitch_of_one_millimetre_and_coarse_5_16_no_24_turns():
    metric = [t for t in threads_of(ThreadSeries.METRIC_COARSE) if t.nominal == "M8"]
    unified = [t for t in threads_of(ThreadSeries.UNC) if t.nominal == "5/16"]
    assert [thread.pitch for thread in metric] == [1.25]
    assert [thread.turns_per_inch for thread in unified] == [18.0]


def test_two_figures_of_g_threads_with_swapped_digits_do_not_come_out():
    assert thread_of("G1 1/2").minor_internal == pytest.approx(44.845, abs=0.0015)
    assert thread_of("G1 3/4").major == pytest.approx(53.746, abs=THIRD_PLACE)


@pytest.mark.parametrize(
    ("screw", "hole", "printed"),
    [
        ("1/4-20 UNC", "M6x1", 0.27),
        ("5/16-18 UNC", "M8x1.25", 0.16),
        ("3/8-16 UNC", "M10x1.5", 0.09),
    ],
)
def test_near_matches_that_fail_as_another_public_page_prints_them(screw, hole, printed):
    """A public page on thread systems: pitch off per turn, to two places."""
    pair = would_run(thread_of(screw), thread_of(hole))
    assert pair.pitch_error == pytest.approx(printed, abs=0.005)
    assert pair.outcome in {Outcome.BINDS, Outcome.BLOCKED}


def test_cycle_threads_and_their_twins_as_an_encyclopaedia_entry_tells_them():
    """1/4 cycle and BSF: both 26 to the inch, go together; M8x1 in 5/16-26: not back and forth."""
    cycle, fine = thread_of("1/4-26 BSC"), thread_of("1/4-26 BSF")
    for screw, hole in ((cycle, fine), (fine, cycle)):
        pair = would_run(screw, hole)
        assert (pair.pitch_error, pair.diameter_error, pair.turns_most) == (0, 0, None)
        assert pair.starts is not Starts.NEVER
    for size in ("5/16-22", "3/8-20", "1/2-16"):
        (other,) = [
            thread
            for thread in threads_of(ThreadSeries.CYCLE)
            if thread.designation == f"{size.split('-')[0]}-26 BSC"
        ]
        assert would_run(thread_of(f"{size} BSF"), other).outcome is not Outcome.RUNS_HOLDS
        assert would_run(thread_of(f"{size} BSF"), other).pitch_error != 0
    assert would_run(thread_of("M8x1"), thread_of("5/16-26 BSC")).is_one_way
