from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.standards.reader import Basis
from shared.standards.tap_drills import tap_drills
from shared.standards.threads import (
    ThreadSeries,
    hole_limits,
    metric_pitches,
    screw_limits,
    tap_drill_named,
    thread_named,
    threads,
    threads_of,
)

ALL = threads()
SERIES = list(ThreadSeries)
CLASSES = [None, "6g", "6h", "6e", "4h", "5g6g", "1A", "2A", "3A", "close", "medium", "free"]
CLASSES += ["normal", "A", "B", "6H", "6G", "5H", "4H5H", "1B", "2B", "3B"]
# Handbook drills that lie just above the limit of class 2B.
ABOVE_2B = {"9/16-18 UNF", "5/8-18 UNF"}


def test_every_thread_has_its_own_name_and_is_found_by_it():
    assert len({one.designation for one in ALL}) == len(ALL)
    assert all(thread_named(one.designation) is one for one in ALL)
    assert thread_named("M8") is None


INCH_SERIES = {
    ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN,
    ThreadSeries.BSW, ThreadSeries.BSF, ThreadSeries.CYCLE,
}  # fmt: skip
CONSTANT_PITCHES = {4, 6, 8, 12, 16, 20, 28, 32}
"""Turns per inch of the constant-pitch series of ASME B1.1."""


def test_sizes_are_what_their_names_say():
    for one in ALL:
        if one.is_metric:
            assert one.designation == f"M{one.major:g}x{one.pitch:g}"
        elif one.series in INCH_SERIES:
            is_number = one.nominal.isdigit() and one.nominal not in {"1", "2", "3"}
            is_number = is_number or (one.nominal in {"1", "2", "3"} and one.major < 3)
            inches = (
                0.060 + 0.013 * int(one.nominal)  # ASME B1.1
                if is_number
                else sum(float(Fraction(part)) for part in one.nominal.split())
            )
            assert one.major == pytest.approx(25.4 * inches, abs=1e-9), one
            assert f"-{one.turns_per_inch:g} " in one.designation
            assert one.pitch == pytest.approx(25.4 / one.turns_per_inch, abs=1e-9)
        if one.designation.endswith(" UN"):
            assert one.turns_per_inch in CONSTANT_PITCHES


def test_every_series_is_there_from_small_to_large():
    for series in SERIES:
        found = threads_of(series)
        sizes = [(one.major, -one.pitch) for one in found]
        assert sizes
        assert sizes == sorted(sizes)
    assert sum(len(threads_of(series)) for series in SERIES) == len(ALL)


def test_diameters_lie_one_inside_the_other():
    for one in ALL:
        assert one.major > one.pitch_diameter > one.minor_internal >= one.root_external > 0
        assert one.stress_area is None or one.stress_area > 0
        assert 0 < one.commonness <= 1
        assert one.standard
        assert one.edition
        assert one.basis in Basis


def test_a_finer_pitch_of_one_diameter_leaves_more_core():
    for one in ALL:
        pitches = metric_pitches(one.major) if one.is_metric else ()
        areas = [each.stress_area for each in pitches]
        assert areas == sorted(areas)


@pytest.mark.parametrize(
    ("series", "nominals"),
    [
        (
            ThreadSeries.METRIC_COARSE,
            "M1.6 M1.8 M2 M2.2 M2.5 M3 M3.5 M4 M4.5 M5 M6 M7 M8 M9 M10 M11 M12 M14 M16 M18 M20 M22 "
            "M24 M27 M30 M33 M36 M39 M42 M45 M48 M52 M56 M60 M64",
        ),
        (ThreadSeries.METRIC_OLDER, "M1.7 M2.3 M2.6 M3 M4 M5"),
        (ThreadSeries.UNC, "1 2 3 4 5 6 8 10 12 1/4 5/16 3/8 7/16 1/2 9/16 5/8 3/4 7/8"),
        (ThreadSeries.UNF, "0 1 2 3 4 5 6 8 10 12 1/4 5/16 3/8 7/16 1/2 9/16 5/8 3/4 7/8"),
        (ThreadSeries.BSW, "1/8 5/32 3/16 1/4 5/16 3/8 7/16 1/2 9/16 5/8 3/4 7/8 1 2"),
        (ThreadSeries.BSF, "3/16 7/32 1/4 9/32 5/16 3/8 7/16 1/2 9/16 5/8 11/16 3/4 7/8 1 2"),
        (ThreadSeries.PIPE_PARALLEL, "1/16 1/8 1/4 3/8 1/2 5/8 3/4 7/8 1 2"),
        (ThreadSeries.NPT, "1/16 1/8 1/4 3/8 1/2 3/4 1 2"),
    ],
)
def test_the_sizes_a_workshop_meets(series, nominals):
    assert set(nominals.split()) <= {one.nominal for one in threads_of(series)}


def test_pitches_of_a_metric_diameter_coarse_first():
    assert [one.pitch for one in metric_pitches(14.0)] == [2.0, 1.5, 1.25, 1.0]
    assert [one.pitch for one in metric_pitches(25.0)] == [2.0, 1.5, 1.0]
    assert [one.pitch for one in metric_pitches(5.0)] == [0.8, 0.5]  # 0.9 is older than ISO 261
    assert metric_pitches(13.0) == ()
    assert metric_pitches(float("nan")) == ()


def test_limits_are_in_order_and_a_screw_enters_its_hole():
    for one in ALL:
        screw, hole = screw_limits(one), hole_limits(one)
        for limits in (screw, hole):
            if limits is None:
                continue
            assert limits.pitch_least < limits.pitch_most
            assert limits.major_most is None or limits.major_least < limits.major_most
            assert limits.minor_least is None or 0 < limits.minor_least < limits.minor_most
        if screw and hole:
            assert screw.pitch_most <= hole.pitch_least
            assert screw.major_most <= hole.major_least
            assert screw.minor_most <= hole.minor_least + 1e-9


def test_which_series_have_limits():
    known = {one.series for one in ALL if screw_limits(one)}
    assert known == set(SERIES) - {
        ThreadSeries.CYCLE,
        ThreadSeries.PIPE_TAPER_EXTERNAL,
        ThreadSeries.PIPE_TAPER_INTERNAL,
        ThreadSeries.PIPE_PARALLEL_INTERNAL,
        ThreadSeries.NPT,
    }
    for series in known:
        assert all(screw_limits(one) and hole_limits(one) for one in threads_of(series))


def test_a_finer_grade_is_a_narrower_one():
    thread = thread_named("M10x1.5")
    widths = [
        limits.pitch_most - limits.pitch_least
        for limits in (screw_limits(thread, f"{grade}g6g") for grade in range(3, 10))
    ]
    assert widths == sorted(widths)
    assert screw_limits(thread, "6e").pitch_most < screw_limits(thread, "6g").pitch_most
    assert screw_limits(thread, "6h").major_most == 10.0
    assert hole_limits(thread, "6G").pitch_least == pytest.approx(9.026 + 0.032, abs=1e-3)
    first = thread_named("1/4-20 UNC")
    assert screw_limits(first, "1A").major_least < screw_limits(first, "2A").major_least


def test_a_class_of_the_other_side_or_family_is_unknown():
    metric, unified = thread_named("M10x1.5"), thread_named("1/4-20 UNC")
    for thread, wrong in [(metric, "6H"), (metric, "2A"), (metric, "5g"), (unified, "6g")]:
        assert screw_limits(thread, wrong) is None
    for thread, wrong in [(metric, "6g"), (metric, "3H"), (unified, "2A"), (unified, "close")]:
        assert hole_limits(thread, wrong) is None
    assert screw_limits(thread_named("12 BA"), "close") is None


@given(st.sampled_from(ALL), st.one_of(st.sampled_from(CLASSES), st.text(max_size=9)))
def test_any_text_as_a_class_gives_limits_or_nothing(thread, text):
    for limits in (screw_limits(thread, text), hole_limits(thread, text)):
        assert limits is None or limits.pitch_least < limits.pitch_most


def test_drills_belong_to_threads_and_lie_inside_the_hole():
    for drill in tap_drills():
        thread = thread_named(drill.designation)
        assert thread is not None, drill.designation
        assert thread.tap_drill == drill.diameter
        assert thread.is_taper or thread.root_external < drill.diameter < thread.major
        limits = hole_limits(thread)
        if limits and drill.designation not in ABOVE_2B:
            assert limits.minor_least - 1e-3 <= drill.diameter <= limits.minor_most + 1e-3, drill


def test_a_drills_name_is_its_diameter():
    """Millimetres, fractions of an inch; numbers and letters shrink and grow in their order."""
    by_name = {}
    for drill in tap_drills():
        name = drill.name.rstrip('"')
        if "/" in name:
            whole = sum(Fraction(part) for part in name.replace("-", " ").split())
            assert drill.diameter == pytest.approx(25.4 * float(whole), abs=0.006), drill
        elif not name.startswith("#") and not name.isalpha():
            assert drill.diameter == float(name), drill
        assert by_name.setdefault(drill.name, drill.diameter) == drill.diameter, drill
    numbers = sorted((int(name[1:]), size) for name, size in by_name.items() if name[0] == "#")
    letters = sorted((name, size) for name, size in by_name.items() if name.isalpha())
    assert [size for _, size in numbers] == sorted((size for _, size in numbers), reverse=True)
    assert [size for _, size in letters] == sorted(size for _, size in letters)
    assert numbers and letters


def test_without_a_listed_drill_the_rule_stands_only_inside_the_limits():
    listed = thread_named("M8x1.25")
    by_rule = thread_named("1 1/8-8 UN")
    assert tap_drill_named(listed).name == "6.8"
    assert tap_drill_named(by_rule) is None
    assert by_rule.tap_drill == pytest.approx(by_rule.major - by_rule.pitch)
    assert thread_named("1 7/8-4.5 BSW").tap_drill is None
    assert thread_named("R 1/8").tap_drill is None
    for series in (ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE):
        assert all(tap_drill_named(one) for one in threads_of(series))
    for series in (ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UN, ThreadSeries.BA):
        assert all(one.tap_drill for one in threads_of(series))
