"""BS 84, BS 93, BS 811, BS 1157: British threads as public tables print them.

A chart of Whitworth threads (inches; its depth of 5/16 is a slip and not used), the BA table of BS
93:1951 with effective and minor diameters in mm, a table of cycle threads with the diameter at the
bottom (inches; its row for 1 3/8 contradicts itself and is left out), a motorcycle restorers' list
of cycle and fine threads with the diameter at the bottom, called drill there (inches), and for rare
sizes a distributor's and two other lists.
"""

import pytest

from shared.standards.threads import hole_limits, screw_limits, tap_drill_named, thread_named

INCH = 25.4
PRINTED = 0.00016  # in; the table rounds the depth first

# Turns per inch, core and effective diameter in inches, tap drill in inches.
WHITWORTH = """
1/8-40 .0930 .1090 .1004
3/16-24 .1341 .1608 .1457
1/4-20 .1860 .2180 .2008
5/16-18 .2414 .2769 .2559
3/8-16 .2950 .3350 .3125
7/16-14 .3460 .3918 .3642
1/2-12 .3933 .4466 .4134
9/16-12 .4558 .5091 .4764
5/8-11 .5086 .5668 .5315
3/4-10 .6219 .6860 .6406
7/8-9 .7327 .8039 .7579
1-8 .8399 .9200 .8661
1_1/8-7 .9420 1.0335 .9744
1_1/4-7 1.0670 1.1585 1.0938
1_1/2-6 1.2866 1.3933 1.3189
1_3/4-5 1.4939 1.6219 1.5354
2-4.5 1.7154 1.8577 1.7520
"""
NEAR_DRILL = 0.003  # in: the chart takes inch drills where they are nearest
# Sizes that the chart leaves out, as two public lists have them: effective diameter, core, inches.
RARE_WHITWORTH = """
1/16-60 .0518 .0413
3/32-48 .0804 .0670
5/32-32 .1362 .1162
7/32-24 .1920 .1654
11/16-11 .6293 .5711
1_3/8-6 1.2683 1.1616
1_5/8-5 1.4970 1.3689
1_7/8-4.5 1.7328 1.5905
"""

BA = """
0 6.00 1.00 5.400 4.80
1 5.30 0.90 4.760 4.22
2 4.70 0.81 4.215 3.73
3 4.10 0.73 3.660 3.22
4 3.60 0.66 3.205 2.81
5 3.20 0.59 2.845 2.49
6 2.80 0.53 2.480 2.16
7 2.50 0.48 2.210 1.92
8 2.20 0.43 1.940 1.68
9 1.90 0.39 1.665 1.43
10 1.70 0.35 1.490 1.28
11 1.50 0.31 1.315 1.13
12 1.30 0.28 1.130 0.96
13 1.20 0.25 1.050 0.90
14 1.00 0.23 0.860 0.72
15 0.90 0.21 0.775 0.65
16 0.79 0.19 0.675 0.56
"""
BA_ROUNDED = 0.0051  # the depth of thread is rounded to 0.005 mm

CYCLE = """
1/4 .209
5/16 .272
3/8 .334
7/16 .397
1/2 .459
9/16 .522
5/8 .584
11/16 .647
3/4 .709
1 .959
"""

# Of the restorers' list: sizes that the table of cycle threads above does not have, and BSF.
RESTORED = """
1/8-40 BSC .098
5/32-32 BSC .123
3/16-32 BSC .154
7/16-20 BSC .384
1/2-20 BSC .447
9/16-20 BSC .509
5/8-20 BSC .572
3/4-20 BSC .697
3/16-32 BSF .148
7/32-28 BSF .173
1/4-26 BSF .201
5/16-22 BSF .254
3/8-20 BSF .311
7/16-18 BSF .366
1/2-16 BSF .420
9/16-16 BSF .483
5/8-14 BSF .534
3/4-12 BSF .643
7/8-11 BSF .759
"""


@pytest.mark.parametrize("line", RESTORED.strip().splitlines())
def test_cycle_and_fine_threads_of_a_restorers_list(line):
    name, core = line.rsplit(maxsplit=1)
    thread = thread_named(name)

    assert thread.root_external / INCH == pytest.approx(float(core), abs=0.0011)
    assert thread.flank_angle == (60 if name.endswith("BSC") else 55)


@pytest.mark.parametrize("line", WHITWORTH.strip().splitlines())
def test_whitworth(line):
    size, core, effective, drill = line.replace("_", " ").rsplit(maxsplit=3)
    thread = thread_named(f"{size} BSW")

    assert abs(thread.minor_internal / INCH - float(core)) <= PRINTED
    assert thread.root_external == thread.minor_internal
    assert abs(thread.pitch_diameter / INCH - float(effective)) <= PRINTED
    assert abs(tap_drill_named(thread).diameter / INCH - float(drill)) <= NEAR_DRILL


@pytest.mark.parametrize("line", RARE_WHITWORTH.strip().splitlines())
def test_whitworth_of_rare_sizes(line):
    size, effective, core = line.replace("_", " ").rsplit(maxsplit=2)
    thread = thread_named(f"{size} BSW")

    assert abs(thread.pitch_diameter / INCH - float(effective)) <= PRINTED
    assert abs(thread.root_external / INCH - float(core)) <= PRINTED


def test_two_rare_fine_sizes_have_the_turns_of_a_public_list():
    for name in ("11/16-14 BSF", "13/16-12 BSF"):
        assert thread_named(name) is not None


@pytest.mark.parametrize("line", BA.strip().splitlines())
def test_ba(line):
    number, major, pitch, effective, minor = line.split()
    thread = thread_named(f"{number} BA")

    assert (thread.major, thread.pitch) == (float(major), float(pitch))
    assert abs(thread.pitch_diameter - float(effective)) <= BA_ROUNDED
    assert abs(thread.minor_internal - float(minor)) <= 2 * BA_ROUNDED
    # The law of the series: each pitch 0.9 of the one before, diameter 6 p^1.2, two digits each.
    by_law = 0.9 ** int(number)
    assert thread.pitch == pytest.approx(by_law, abs=0.0051)
    assert thread.major == pytest.approx(6 * by_law**1.2, abs=0.051)


def test_ba_tolerances():
    """BS 93 by a public page: 0.2p, 0.1p + 0.025, 0.2p + 0.05 under an allowance of 0.025 mm."""
    screw = screw_limits(thread_named("0 BA"))
    hole = hole_limits(thread_named("0 BA"))

    assert screw.major_most == pytest.approx(5.975)
    assert screw.major_least == pytest.approx(5.775)
    assert screw.pitch_least == pytest.approx(5.375 - 0.125)
    assert hole.pitch_most == pytest.approx(5.4 + 0.15)
    assert hole.minor_most == pytest.approx(4.8 + 0.375)


def test_whitworth_tolerances():
    """BS 84, 1/4-20: T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 p^(1/2) = 0.0039 in."""
    thread = thread_named("1/4-20 BSW")
    medium = screw_limits(thread, "medium")
    close = screw_limits(thread, "close")

    assert (medium.pitch_most - medium.pitch_least) / INCH == pytest.approx(0.0039, abs=5e-5)
    assert close.pitch_most == thread.pitch_diameter
    assert (close.pitch_most - close.pitch_least) / INCH == pytest.approx(0.0026, abs=5e-5)
    hole = hole_limits(thread, "medium")
    assert hole.minor_most / INCH == pytest.approx(0.1860 + 0.2 / 20 + 0.007, abs=1e-4)


@pytest.mark.parametrize("line", CYCLE.strip().splitlines())
def test_cycle(line):
    size, core = line.split()
    thread = thread_named(f"{size}-26 BSC")

    assert thread.root_external / INCH == pytest.approx(float(core), abs=0.00055)
    assert thread.flank_angle == 60
