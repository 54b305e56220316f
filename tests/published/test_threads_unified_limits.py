"""ASME B1.1 and B1.13M: limits of unified (2A/2B, 3A/3B) and metric (6g/6H) threads.

All sizes of the package screw_thread_lib 0.0.6 (values of ASME B1.1-2019 and B1.13M-2005), rows of
two public tables of the unified standard series, the UNF rows of a public table of tapped holes in
mm, and a drill and tap chart with the diameter at the bottom of the thread. The standard rounds to
0.0001 in, the minor diameter of a hole of class 2B to 0.001 in.
"""

import pytest
from screw_thread_lib.data.ASME import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from shared.standards.threads import hole_limits, screw_limits, thread_named, threads

INCH = 25.4
PRINTED = 0.00016  # rounded sizes less rounded tolerances
COARSELY_PRINTED = 0.00055
IN_FIVE_PLACES = 0.00003
# The package gives M12-1.75 a least pitch diameter of 0.42023 in; its own root diameter (less by
# 0.616025 P) and ISO 965-2 (10.679 mm) ask for 0.42043: digits slipped.
SLIPPED = {"M12-1.75": {"d2min": 0.42043}}

# Screw: major most and least, pitch most and least. Hole: minor most and least, pitch most.
STANDARD_SERIES = """
0-80 UNF 2 .0595 .0563 .0514 .0496 .0514 .0465 .0542
0-80 UNF 3 .0600 .0568 .0519 .0506 .0514 .0465 .0536
1-64 UNC 2 .0724 .0686 .0623 .0603 .0623 .0561 .0655
1-64 UNC 3 .0730 .0692 .0629 .0614 .0623 .0561 .0648
1-72 UNF 2 .0724 .0689 .0634 .0615 .0635 .0580 .0665
1-72 UNF 3 .0730 .0695 .0640 .0626 .0635 .0580 .0659
2-56 UNC 2 .0854 .0813 .0738 .0717 .0737 .0667 .0772
2-56 UNC 3 .0860 .0819 .0744 .0728 .0737 .0667 .0765
2-64 UNF 2 .0854 .0816 .0753 .0733 .0753 .0691 .0786
2-64 UNF 3 .0860 .0822 .0759 .0744 .0753 .0691 .0779
15/16-12 UN 2 .9358 .9244 .8817 .8760 .8650 .8470 .8908
15/16-12 UN 3 .9375 .9261 .8834 .8793 .8575 .8470 .8889
15/16-16 UN 2 .9360 .9266 .8954 .8904 .8840 .8700 .9034
15/16-16 UN 3 .9375 .9281 .8969 .8932 .8783 .8700 .9018
15/16-20 UNEF 2 .9361 .9280 .9036 .8991 .8950 .8830 .9109
"""

# mm: pitch, minor D1, root d3, greatest pitch diameter 2B and 3B.
TAPPED_UNF = """
0-80 1.318 1.181 1.135 1.377 1.361
1-72 1.626 1.473 1.422 1.689 1.674
2-64 1.928 1.755 1.697 1.996 1.979
3-56 2.220 2.024 1.958 2.291 2.273
4-48 2.502 2.271 2.195 2.581 2.560
5-44 2.799 2.550 2.466 2.880 2.860
6-40 3.094 2.817 2.725 3.180 3.157
8-36 3.708 3.401 3.299 3.800 3.777
10-32 4.310 3.967 3.853 4.409 4.384
12-28 4.897 4.503 4.374 5.004 4.976
1/4-28 5.761 5.367 5.237 5.870 5.842
5/16-24 7.249 6.792 6.640 7.371 7.341
3/8-24 8.837 8.379 8.227 8.961 8.931
7/16-20 10.287 9.738 9.555 10.424 10.391
1/2-20 11.874 11.326 11.143 12.017 11.981
9/16-18 13.371 12.761 12.555 13.520 13.482
5/8-18 14.958 14.348 14.143 15.110 15.072
3/4-16 18.019 17.330 17.102 18.184 18.143
"""

# Screw 2A: major most and least. Hole 2B: minor least and most. 10-36 is printed .166 there; the
# formula gives .1669, which bears less.
FINER_THAN_UNF = """
10-28 UNS .1890 .1825 .151 .160
10-36 UNS .1891 .1836 .160 .1669
10-40 UNS .1891 .1840 .163 .169
12-32 UNEF .2151 .2091 .182 .190
"""

# Turns per inch of each size with the diameter at the bottom of the screw's thread, inches.
TURNS_BY_SIZE = """
1/4: 20 .1887, 28 .2062, 32 .2117
5/16: 18 .2443, 24 .2614, 32 .2742
3/8: 16 .2983, 24 .3239, 32 .3367
7/16: 14 .3499, 20 .3762, 28 .3937
1/2: 13 .4056, 20 .4387, 28 .4562
9/16: 12 .4603, 18 .4943, 24 .5114
"""

# Turns per inch of the extra fine series as an encyclopaedia entry lists them (11/16 and every name
# of 5/8 in: a public table of limits).
EXTRA_FINE = {"12": 32, "1/4": 32, "5/16": 32, "3/8": 32, "7/16": 28, "1/2": 28, "9/16": 24,
              "5/8": 24, "3/4": 20, "7/8": 20, "1": 20, "11/16": 24}  # fmt: skip
OF_FIVE_EIGHTHS = ("11 UNC", "12 UN", "14 UNS", "16 UN", "18 UNF", "20 UN", "24 UNEF", "27 UNS",
                   "28 UN", "32 UN")  # fmt: skip


def compared(name, given, within, minor_within, classes=(None, None)):
    screw = screw_limits(thread_named(name), classes[0])
    hole = hole_limits(thread_named(name), classes[1])
    pairs = [
        (screw.major_most, "dmax", within),
        (screw.major_least, "dmin", within),
        (screw.pitch_most, "d2max", within),
        (screw.pitch_least, "d2min", within),
        (screw.minor_most, "d1max", within),
        (screw.minor_least, "d1min", 2 * within),
        (hole.minor_least, "D1min", minor_within),
        (hole.minor_most, "D1max", minor_within),
        (hole.pitch_least, "D2min", within),
        (hole.pitch_most, "D2max", within),
    ]
    for ours, key, tolerance in pairs:
        assert abs(ours / INCH - given[key]) <= tolerance, (name, key, ours / INCH, given[key])


@pytest.mark.parametrize("name", sorted(ASME_UN_2A2B_dict))
def test_unified_sizes_of_the_package(name):
    given = ASME_UN_2A2B_dict[name]

    compared(f"{name} {given['series']}", given, PRINTED, COARSELY_PRINTED)


@pytest.mark.parametrize("name", sorted(ASME_M_6g6H_dict))
def test_metric_sizes_of_the_package(name):
    given = ASME_M_6g6H_dict[name] | SLIPPED.get(name, {})

    compared(name.replace("-", "x"), given, IN_FIVE_PLACES, IN_FIVE_PLACES)


@pytest.mark.parametrize("line", STANDARD_SERIES.strip().splitlines())
def test_unified_standard_series(line):
    size, series, number, *printed = line.split()
    thread = thread_named(f"{size} {series}")
    screw, hole = screw_limits(thread, f"{number}A"), hole_limits(thread, f"{number}B")
    is_large = thread.major / INCH > 0.138

    ours = (
        screw.major_most,
        screw.major_least,
        screw.pitch_most,
        screw.pitch_least,
        hole.minor_most,
        hole.minor_least,
        hole.pitch_most,
    )
    minor = COARSELY_PRINTED if is_large else PRINTED
    within = (PRINTED, PRINTED, PRINTED, PRINTED, minor, minor, PRINTED)
    for one, given, tolerance in zip(ours, printed, within, strict=True):
        assert abs(one / INCH - float(given)) <= tolerance, (line, one / INCH, given)


@pytest.mark.parametrize("line", TAPPED_UNF.strip().splitlines())
def test_tapped_holes_in_millimetres(line):
    size, *printed = line.split()
    thread = thread_named(f"{size} UNF")

    ours = (
        thread.pitch_diameter,
        thread.minor_internal,
        thread.root_external,
        hole_limits(thread, "2B").pitch_most,
        hole_limits(thread, "3B").pitch_most,
    )
    for one, given in zip(ours, printed, strict=True):
        assert abs(one - float(given)) <= PRINTED * INCH, (line, one, given)


@pytest.mark.parametrize("line", FINER_THAN_UNF.strip().splitlines())
def test_threads_finer_than_the_fine_series(line):
    name, *printed = line.rsplit(maxsplit=4)
    thread = thread_named(name)
    screw, hole = screw_limits(thread, "2A"), hole_limits(thread, "2B")

    ours = (screw.major_most, screw.major_least, hole.minor_least, hole.minor_most)
    for one, given, tolerance in zip(
        ours, printed, (PRINTED, PRINTED, COARSELY_PRINTED, COARSELY_PRINTED), strict=True
    ):
        assert abs(one / INCH - float(given)) <= tolerance, (line, one / INCH, given)


@pytest.mark.parametrize("line", TURNS_BY_SIZE.strip().splitlines())
def test_turns_per_inch_of_the_three_series_by_size(line):
    size, _, threads = line.partition(": ")
    for series, text in zip(("UNC", "UNF", "UNEF"), threads.split(", "), strict=True):
        turns, root = text.split()
        thread = thread_named(f"{size}-{turns} {series}")
        assert abs(thread.root_external / INCH - float(root)) <= PRINTED, (thread, root)


def test_extra_fine_threads_and_all_of_one_size():
    for size, turns in EXTRA_FINE.items():
        assert thread_named(f"{size}-{turns} UNEF").turns_per_inch == turns
    ours = {one.designation for one in threads() if one.nominal == "5/8" and one.flank_angle == 60}
    assert {f"5/8-{name}" for name in OF_FIVE_EIGHTHS} <= ours
