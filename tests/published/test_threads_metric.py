"""ISO 724, DIN 13-1, ISO 965-1, ISO 898-1 and ISO 2306: sizes of metric threads M2.5 to M36.

``data/threads_metric.csv`` has a source per row; its figures are printed to 0.001 mm and 1 mm2 or
three digits. ISO 2306's drills are in it: some public tables print 10.3 for M12, 12.1 for M14 and
18.5 for M22 (the last lies outside the limits of the hole).

Sizes and pitches older than ISO 261: figures of a public table of tap limits (diameters of M5x0.9,
6H tolerances of the pitch diameter) and the drills of the package bd_warehouse 0.4.0.
"""

import csv
from math import isclose
from pathlib import Path

import pytest

from shared.standards.threads import hole_limits, tap_drill_named, thread_named

with (Path(__file__).parent / "data" / "threads_metric.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

PRINTED = 0.0006  # half of the last digit, and a tenth
THREE_DIGITS = 5.5e-3


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_a_row_of_the_table(row):
    thread = thread_named(row["designation"])

    assert thread.series.value == f"metric {row['series']}"
    assert (thread.major, thread.pitch) == (float(row["major_d_mm"]), float(row["pitch_mm"]))
    assert abs(thread.pitch_diameter - float(row["pitch_dia_d2_mm"])) <= PRINTED
    assert abs(thread.root_external - float(row["minor_d3_mm"])) <= PRINTED
    assert abs(thread.minor_internal - float(row["minor_D1_mm"])) <= PRINTED
    assert abs(hole_limits(thread, "6H").minor_most - float(row["D1_max_6H_mm"])) <= PRINTED
    assert isclose(thread.stress_area, float(row["stress_area_mm2"]), rel_tol=THREE_DIGITS)
    assert abs(thread.stress_area - float(row["stress_area_calc_mm2"])) <= PRINTED
    assert thread.tap_drill == float(row["tap_drill_mm"])
    assert tap_drill_named(thread).name == row["tap_drill_mm"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_the_drill_lies_inside_the_limits_of_the_hole(row):
    thread = thread_named(row["designation"])
    limits = hole_limits(thread, "6H")

    assert row["tap_drill_inside_6H"] == "yes"
    assert limits.minor_least <= thread.tap_drill <= limits.minor_most


@pytest.mark.parametrize(
    ("name", "printed", "is_inside"),
    [("M12x1.75", 10.3, True), ("M14x2", 12.1, True), ("M22x2.5", 18.5, False)],
)
def test_other_drills_printed_for_the_size(name, printed, is_inside):
    limits = hole_limits(thread_named(name))

    assert (limits.minor_least <= printed <= limits.minor_most) is is_inside


@pytest.mark.parametrize(
    ("name", "pitch_tolerance_6h", "drill"),
    [
        ("M1.7x0.35", 0.085, None),
        ("M2.3x0.4", 0.090, None),
        ("M2.6x0.45", 0.095, None),
        ("M3x0.6", None, 2.4),
        ("M4x0.75", None, 3.25),
        ("M5x0.9", None, 4.1),
    ],
)
def test_older_sizes_and_pitches(name, pitch_tolerance_6h, drill):
    thread, limits = thread_named(name), hole_limits(thread_named(name), "6H")

    assert thread.series.value == "metric older"
    assert drill in {None, thread.tap_drill}
    width = limits.pitch_most - limits.pitch_least
    assert pitch_tolerance_6h is None or abs(width - pitch_tolerance_6h) <= 1e-6


def test_diameters_of_an_older_pitch():
    thread = thread_named("M5x0.9")

    assert abs(thread.pitch_diameter - 4.415) <= PRINTED
    assert abs(thread.minor_internal - 4.026) <= PRINTED
