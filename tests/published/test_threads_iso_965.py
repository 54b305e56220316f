"""ISO 965-1, -2, -4: limits of metric threads, from public tables and (M8 to M12) from memory.

A page of coarse-thread limits by ISO 965, a table of class 6H pitch diameters, a chart of the 4H,
5H and 6H tolerances, and the screws of ISO 965-4, whose tolerances are those of 6g. In mm.
"""

import pytest

from shared.standards.thread_tolerances_metric import R40, diameter_tolerances, pitch_tolerances
from shared.standards.threads import hole_limits, screw_limits, thread_named

PRINTED = 0.0011  # the tables add rounded sizes and rounded tolerances

SCREWS = """
M1x0.25 6h 1.000 0.933 0.838 0.785
M1.2x0.25 6h 1.200 1.133 1.038 0.985
M1.4x0.3 6h 1.400 1.325 1.205 1.149
M1.6x0.35 6g 1.581 1.496 1.354 1.291
M1.8x0.35 6g 1.781 1.696 1.554 1.491
M2x0.4 6g 1.981 1.886 1.721 1.654
M2.5x0.45 6g 2.480 2.380 2.188 2.117
M3x0.5 6g 2.980 2.874 2.655 2.580
M3.5x0.6 6g 3.479 3.354 3.089 3.004
M4x0.7 6g 3.978 3.838 3.523 3.433
M5x0.8 6g 4.976 4.826 4.456 4.361
M6x1 6g 5.974 5.794 5.324 5.212
M8x1.25 6g 7.972 7.760 7.160 7.042
M10x1.5 6g 9.968 9.732 8.994 8.862
M12x1.75 6g 11.966 11.701 10.829 10.679
"""

# d2, d3, D1, greatest pitch diameter 6H.
HOLES = """
M1.6x0.35 1.373 1.171 1.221 1.458
M1.8x0.35 1.573 1.371 1.421 1.658
M2x0.4 1.740 1.509 1.567 1.830
M2.2x0.45 1.908 1.648 1.713 2.003
M2.5x0.45 2.208 1.948 2.013 2.303
M3x0.5 2.675 2.387 2.459 2.775
M3.5x0.6 3.110 2.764 2.850 3.222
M4x0.7 3.545 3.141 3.242 3.663
M4.5x0.75 4.013 3.580 3.688 4.131
M5x0.8 4.480 4.019 4.134 4.605
M6x1 5.350 4.773 4.917 5.500
M7x1 6.350 5.773 5.917 6.500
M8x1.25 7.188 6.466 6.647 7.348
M9x1.25 8.188 7.466 7.647 8.348
M10x1.5 9.026 8.160 8.376 9.206
M11x1.5 10.026 9.160 9.376 10.206
M12x1.75 10.863 9.853 10.106 11.063
M14x2 12.701 11.546 11.835 12.913
M16x2 14.701 13.546 13.835 14.913
M18x2.5 16.376 14.933 15.294 16.600
"""

# Tolerance of the hole's pitch diameter in classes 4H, 5H, 6H, micrometres.
GRADES = """
M1.4x0.3 48 60 75
M1.6x0.35 53 67 85
M2x0.4 56 71 90
M2.5x0.45 60 75 95
M3x0.5 63 80 100
M3.5x0.6 71 90 112
M4x0.7 75 95 118
M5x0.8 80 100 125
M6x1 95 118 150
M8x1.25 100 125 160
"""

# Tolerances of the screw's pitch and major diameter, micrometres.
LARGE = """
M10x1.5 132 236
M12x1.75 150 265
M14x2 160 280
M16x2 160 280
M18x2.5 170 335
M20x2.5 170 335
M22x2.5 170 335
M24x3 200 375
M27x3 200 375
M30x3.5 212 425
M33x3.5 212 425
M36x4 224 475
M39x4 224 475
M42x4.5 236 500
M45x4.5 236 500
M48x5 250 530
M52x5 250 530
M56x5.5 265 560
M60x5.5 265 560
M64x6 280 600
"""


def table(text):
    rows = [line.split() for line in text.strip().splitlines()]
    return [pytest.param(*row, id=row[0]) for row in rows]


def near(value, printed):
    return abs(value - float(printed)) <= PRINTED


@pytest.mark.parametrize(("name", "of_class", "major", "least", "pitch", "smallest"), table(SCREWS))
def test_limits_of_screws(name, of_class, major, least, pitch, smallest):
    limits = screw_limits(thread_named(name))

    assert limits.tolerance_class == of_class
    assert near(limits.major_most, major)
    assert near(limits.major_least, least)
    assert near(limits.pitch_most, pitch)
    assert near(limits.pitch_least, smallest)


@pytest.mark.parametrize(("name", "pitch", "root", "minor", "most"), table(HOLES))
def test_limits_of_holes(name, pitch, root, minor, most):
    thread = thread_named(name)
    limits = hole_limits(thread)

    assert limits.tolerance_class == "6H"
    assert near(thread.root_external, root)
    assert near(limits.pitch_least, pitch)
    assert near(limits.minor_least, minor)
    assert near(limits.pitch_most, most)


@pytest.mark.parametrize(("name", "fine", "medium", "six"), table(GRADES))
def test_grades_of_the_hole(name, fine, medium, six):
    for of_class, printed in (("4H", fine), ("5H", medium), ("6H", six)):
        limits = hole_limits(thread_named(name), of_class)
        assert round(1000 * (limits.pitch_most - limits.pitch_least)) == int(printed)


@pytest.mark.parametrize(("name", "pitch", "major"), table(LARGE))
def test_tolerances_of_larger_screws(name, pitch, major):
    limits = screw_limits(thread_named(name))

    assert round(1000 * (limits.pitch_most - limits.pitch_least)) == int(pitch)
    assert round(1000 * (limits.major_most - limits.major_least)) == int(major)


def steps_apart(table_value, formula):
    nearest = min(R40, key=lambda one: abs(one - formula))
    return abs(R40.index(table_value) - R40.index(nearest))


def test_the_tables_follow_the_formulas_of_the_standard():
    """The standard rounds to the preferred numbers, and departs from them by a step at most."""
    for row in pitch_tolerances():
        pitch = row.pitch
        small = 433 * pitch - 190 * pitch**1.22
        assert steps_apart(row.major_external_6, 180 * pitch ** (2 / 3) - 3.15 / pitch**0.5) <= 1
        assert steps_apart(row.minor_internal_6, small if pitch < 1 else 230 * pitch**0.7) <= 1
        assert abs(row.deviation_g - (15 + 11 * pitch)) <= 1.6
        assert row.deviation_e is None or abs(row.deviation_e - (50 + 11 * pitch)) <= 6
    for one in diameter_tolerances():
        middle = (max(one.over, 1.0) * one.up_to) ** 0.5
        assert steps_apart(one.pitch_external_6, 90 * one.pitch**0.4 * middle**0.1) <= 1
