"""ISO 228-1 and ASME B1.20.1: sizes of pipe threads as public tables print them.

G threads in mm (one seller's table prints 44.854 and 53.764 for two sizes: digits swapped). NPT in
inches: pitch diameters at the small end (E0) and at the gauge plane (E1), two public tables.
"""

import pytest

from shared.standards.reader import rows
from shared.standards.thread_geometry import npt_diameters
from shared.standards.thread_sizes import NptSize
from shared.standards.threads import hole_limits, screw_limits, thread_named

INCH = 25.4

# Major, pitch and minor diameter, tolerance of the pitch diameter, of the hole's minor diameter.
G = """
1/16 7.723 7.142 6.561 0.107 0.282
1/8 9.728 9.147 8.566 0.107 0.282
1/4 13.157 12.301 11.445 0.125 0.445
3/8 16.662 15.806 14.950 0.125 0.445
1/2 20.955 19.793 18.631 0.142 0.541
5/8 22.911 21.749 20.587 0.142 0.541
3/4 26.441 25.279 24.117 0.142 0.541
7/8 30.201 29.039 27.877 0.142 0.541
1 33.249 31.770 30.291 0.180 0.640
1_1/8 37.897 36.418 34.939 0.180 0.640
1_1/4 41.910 40.431 38.952 0.180 0.640
1_1/2 47.803 46.324 44.845 0.180 0.640
1_3/4 53.746 52.267 50.788 0.180 0.640
2 59.614 58.135 56.656 0.180 0.640
"""

NPT = """
1/16-27 .27118 .28118
1/8-27 .36351 .37360
1/4-18 .47739 .49163
3/8-18 .61201 .62701
1/2-14 .75843 .77843
3/4-14 .96768 .98887
1-11.5 1.21363 1.23863
1_1/4-11.5 1.55713 1.58338
1_1/2-11.5 1.79609 1.82234
2-11.5 2.26902 2.29627
"""


@pytest.mark.parametrize("line", G.strip().splitlines())
def test_g(line):
    size, *printed = line.split()
    thread = thread_named(f"G {size.replace('_', ' ')}")
    major, pitch, minor, tolerance, bore = map(float, printed)

    assert thread.major == major
    assert thread.pitch_diameter == pytest.approx(pitch, abs=0.0011)
    assert thread.minor_internal == pytest.approx(minor, abs=0.0011)
    assert thread.stress_area is None
    hole, loose = hole_limits(thread), screw_limits(thread, "B")
    assert hole.pitch_most - hole.pitch_least == pytest.approx(tolerance)
    assert hole.minor_most - hole.minor_least == pytest.approx(bore)
    assert loose.pitch_most - loose.pitch_least == pytest.approx(2 * tolerance)


@pytest.mark.parametrize("line", NPT.strip().splitlines())
def test_npt(line):
    name, small_end, gauge_plane = line.replace("_", " ").rsplit(maxsplit=2)
    thread = thread_named(f"{name} NPT")
    (row,) = (
        one
        for one in rows("threads_npt", NptSize, "nominal")
        if one.nominal == name.rsplit("-", 1)[0]
    )
    sizes = npt_diameters(
        row.pipe_outside_inches * INCH, thread.pitch, row.hand_tight_inches * INCH
    )

    assert thread.pitch_diameter / INCH == pytest.approx(float(gauge_plane), abs=1.1e-5)
    assert sizes.pitch_small_end / INCH == pytest.approx(float(small_end), abs=1.1e-5)
    assert thread.is_taper
    assert screw_limits(thread) is None
    assert hole_limits(thread) is None
