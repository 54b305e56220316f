"""Laws of strength, stripping and torque that hold for every size."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.designations.model import Fastener, FastenerForm, Hand
from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.cautions import ONCE_ONLY
from shared.fasteners.charts import ChartRow, RowVerdict, judge_rows
from shared.fasteners.engagement import engagement_needed
from shared.fasteners.faces import face_of, stated_face
from shared.fasteners.friction import stated_friction
from shared.fasteners.joint import TappedHole
from shared.fasteners.limits import HEAD_SEAT, HOLE_THREAD
from shared.fasteners.lookup import look_up
from shared.fasteners.nut import nut_used
from shared.fasteners.strength import largest_preload, screw_strength
from shared.fasteners.stripping import effective_engagement, hole_strip_load
from shared.fasteners.tightening import tighten_by_angle
from shared.standards.hole_materials import hole_material_of, hole_materials
from shared.standards.thread_model import ThreadSeries
from shared.standards.threads import thread_named, threads_of
from tests.shared.fasteners.joints import permitted, screw

METRIC = [
    thread
    for series in (ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE)
    for thread in threads_of(series)
    if 3 <= thread.major <= 24
]
CLASSES = ("4.6", "5.6", "8.8", "10.9", "12.9")


@given(
    st.sampled_from(METRIC),
    st.sampled_from(hole_materials()),
    st.floats(2.5, 60),
    st.floats(2.5, 60),
)
@settings(max_examples=150, deadline=None)
def test_longer_engagement_never_strips_sooner(thread, material, one, other):
    shorter, longer = sorted((one, other))
    try:
        short = effective_engagement(thread, shorter).counted
    except InvalidInput as error:
        assert error.code == "engagement-too-short"
        return
    long = effective_engagement(thread, longer).counted
    assert hole_strip_load(thread, long, material) >= hole_strip_load(thread, short, material)


SAE_CLASSES = ("SAE 1", "SAE 2", "SAE 5", "SAE 8")
INCH = [
    thread
    for series in (ThreadSeries.UNC, ThreadSeries.UNF)
    for thread in threads_of(series)
    if 6 <= thread.major <= 19.1
]


@given(
    st.sampled_from(METRIC + INCH),
    st.sampled_from(hole_materials()),
    st.floats(0.6, 3),
    st.floats(0.04, 0.3),
    st.floats(1, 2),
)
@settings(max_examples=150, deadline=None)
def test_a_higher_class_never_lowers_the_ceiling(thread, material, diameters, mu, spread):
    friction = stated_friction(mu, mu * spread)
    hole = TappedHole(material, max(diameters * thread.major, 4 * thread.pitch))
    found = [
        permitted(screw(thread, name), friction, hole=hole, seat=material)
        for name in (CLASSES if thread.is_metric else SAE_CLASSES)
    ]
    for lower, higher in pairwise(found):
        assert higher.ceiling >= lower.ceiling
        if lower.governed_by in {HOLE_THREAD, HEAD_SEAT}:
            assert higher.ceiling == lower.ceiling
            assert higher.governed_by == lower.governed_by


@pytest.mark.parametrize(
    ("thread", "names"), [("M8x1.25", CLASSES), ("5/16-18 UNC", SAE_CLASSES)], ids=str
)
def test_from_a_class_on_the_hole_or_the_seat_governs_and_nothing_is_gained(thread, names):
    soft = hole_material_of("EN AC-46000")
    for more, governs in (
        ({"hole": TappedHole(soft, 7), "seat": hole_material_of("C45")}, HOLE_THREAD),
        ({"seat": hole_material_of("EN AW-1050A")}, HEAD_SEAT),
    ):
        found = [permitted(screw(thread, name), **more) for name in names]
        governed = [one.governed_by for one in found]
        assert governs in governed[1:]
        held = [one.ceiling for one in found if one.governed_by == governs]
        assert len(set(held)) == 1
        assert found[-1].governed_by == governs
        # The screw alone would bear more: that is what must not be turned to.
        assert permitted(screw(thread, names[-1])).ceiling > held[-1]


@given(
    st.sampled_from(METRIC + INCH),
    st.sampled_from(hole_materials()),
    st.floats(0.4, 3),
    st.floats(1, 2),
)
@settings(max_examples=60, deadline=None)
def test_longer_engagement_never_lowers_the_ceiling(thread, material, diameters, longer):
    engagement = max(diameters * thread.major, 4 * thread.pitch)
    name = "10.9" if thread.is_metric else "SAE 8"
    short, long = (
        permitted(screw(thread, name), hole=TappedHole(material, length), seat=material)
        for length in (engagement, engagement * longer)
    )
    assert long.ceiling >= short.ceiling
    assert long.preload_least >= short.preload_least * (1 - 1e-12)


@given(st.sampled_from(METRIC), st.sampled_from(CLASSES), st.floats(0.04, 0.2), st.floats(1, 3))
@settings(max_examples=100, deadline=None)
def test_more_doubt_of_friction_never_raises_what_is_promised(thread, name, mu, spread):
    sure = permitted(screw(thread, name), stated_friction(mu, mu))
    unsure = permitted(screw(thread, name), stated_friction(mu, mu * spread))
    assert unsure.ceiling <= sure.ceiling * (1 + 1e-12)
    assert unsure.preload_least <= sure.preload_least * (1 + 1e-12)
    assert unsure.preload_least < unsure.preload_most


def test_nothing_within_the_range_of_friction_overloads_the_screw():
    fastener = screw("M10x1.5", "8.8")
    found = permitted(fastener, stated_friction(0.08, 0.24))
    limit = screw_strength(fastener).strength.yield_least
    for mu in (0.08, 0.12, 0.16, 0.2, 0.24):
        allowed = largest_preload(fastener.thread, limit, mu)
        from_it = permitted(fastener, stated_friction(mu, mu)).ceiling
        assert found.ceiling <= from_it
        assert allowed <= screw_strength(fastener).proof_load


def test_an_unmarked_screw_counts_as_the_lowest_class():
    found = permitted(screw("M8x1.25"))
    assert found.counted_class == "4.6"
    assert found.ceiling == permitted(screw("M8x1.25", "4.6")).ceiling
    assert any("Unmarked" in caution for caution in found.cautions)
    assert permitted(screw("3/8-16 UNC")).counted_class == "SAE 1"
    # No standard of classes has the number sizes or the British ones: the figures stand in.
    for name in ("10-24 UNC", "1/4-20 BSW", "2 BA"):
        found = permitted(screw(name))
        assert any("stand in" in note for note in found.notes)


def test_a_class_beyond_its_sizes_is_refused():
    with pytest.raises(InvalidInput) as refused:
        permitted(screw("M42x4.5", "8.8"))
    assert refused.value.code == "class-size"


def test_a_stronger_screw_keeps_the_joints_torque():
    hole = TappedHole(hole_material_of("S355"), 12)
    stronger = permitted(screw("M8x1.25", "12.9"), hole=hole, replaces=screw("M8x1.25", "8.8"))
    own = permitted(screw("M8x1.25", "8.8"), hole=hole)
    assert stronger.torque == own.torque
    assert any("keeps the torque" in note for note in stronger.notes)
    weaker = permitted(screw("M8x1.25", "5.6"), hole=hole, replaces=screw("M8x1.25", "8.8"))
    assert weaker.torque < own.torque
    assert any("no stand-in" in note for note in weaker.notes)
    with pytest.raises(InvalidInput) as refused:
        permitted(screw("M8x1.25", "8.8"), replaces=screw("M8x1", "8.8"))
    assert refused.value.pointer == "/replaces"


def test_a_stated_torque_stands_within_the_ceiling_only():
    within = permitted(screw("M8x1.25", "8.8"), stated_torque=15.0)
    assert (within.torque, within.is_stated_within) == (15.0, True)
    beyond = permitted(screw("M8x1.25", "8.8"), stated_torque=40.0)
    assert beyond.is_stated_within is False
    assert beyond.torque < beyond.ceiling < 40
    # One that the screw replaced could not bear is not within, whatever the stronger one bears.
    replacing = permitted(
        screw("M8x1.25", "12.9"), replaces=screw("M8x1.25", "8.8"), stated_torque=30.0
    )
    assert replacing.is_stated_within is False
    assert replacing.ceiling > 30


def test_a_nut_of_a_lower_class_governs():
    fastener = screw("M8x1.25", "12.9")
    found = permitted(fastener, nut=nut_used(fastener, "5"))
    assert found.governed_by == "nut"
    assert any("strip first" in note for note in found.notes)
    own = nut_used(screw("M8x1.25", "8.8"), "8", is_older=False)
    unknown = nut_used(screw("M8x1.25", "8.8"), "8")
    assert unknown.proof_load < own.proof_load
    for thread, name in (
        ("M8x1.25", "99"),
        ("1/4-20 UNC", "12"),
        ("M8x1.25", "||"),
        ("M8x1.25", "SAE 5"),
        ("1/4-20 BSW", "8"),
    ):
        with pytest.raises(InvalidInput):
            nut_used(screw(thread), name)
    inch = screw("1/4-20 UNC", "SAE 5")
    assert nut_used(inch, "5") == nut_used(inch, "SAE 5")
    older = nut_used(screw("M8x1.25", "8.8"), "|8|")
    assert older.proof_load == nut_used(screw("M8x1.25", "8.8"), "8", is_older=True).proof_load


def test_what_is_not_checked_is_named_and_never_called_whole():
    fastener = screw("M8x1.25", "8.8")
    bare = permitted(fastener)
    assert not bare.is_whole
    assert {limit.part for limit in bare.limits if not limit.is_checked} == {
        "hole thread", "screw thread", "nut", "head seat",
    }  # fmt: skip
    steel = hole_material_of("S355")
    assert permitted(fastener, hole=TappedHole(steel, 14), seat=steel).is_whole
    assert not permitted(fastener, hole=TappedHole(steel, 14)).is_whole


def test_a_hole_and_a_nut_for_one_screw_are_refused():
    fastener = screw("M8x1.25", "8.8")
    with pytest.raises(InvalidInput) as refused:
        permitted(
            fastener,
            hole=TappedHole(hole_material_of("S355"), 14),
            nut=nut_used(fastener, "8"),
        )
    assert refused.value.code == "hole-and-nut"


def test_a_stated_torque_leaves_room_for_the_wrench():
    ceiling = permitted(screw("M8x1.25", "8.8")).ceiling
    near = permitted(screw("M8x1.25", "8.8"), stated_torque=0.99 * ceiling)
    assert near.is_stated_within is False
    assert 1.06 * near.torque <= ceiling * (1 + 1e-9)


def test_engagement_for_full_strength_breaks_the_screw_and_not_the_hole():
    material = hole_material_of("C45")
    needed = engagement_needed(screw("M10x1.5", "8.8"), material).full_strength
    at_it = engagement_needed(screw("M10x1.5", "8.8"), material, needed * 1.001)
    assert at_it.gives_first == "screw"
    assert at_it.hole_strip_load >= 1.2 * at_it.tensile_load * (1 - 1e-9)
    less = engagement_needed(screw("M10x1.5", "8.8"), material, needed / 2)
    assert less.gives_first != "screw"
    unmarked = engagement_needed(screw("M10x1.5"), material)
    assert (unmarked.full_strength, unmarked.weaker_hole_factor) == (None, None)
    soft = engagement_needed(screw("M10x1.5", "12.9"), hole_material_of("polyamide"))
    assert soft.full_strength is None


def test_a_row_far_over_its_class_is_out_of_line_by_itself():
    verdicts = [
        judge_rows([ChartRow(screw("M8x1.25", name), torque)])[0].verdict
        for name, torque in (("8.8", 25.0), ("8.8", 60.0), ("12.9", 60.0), (None, 80.0))
    ]
    assert verdicts == [
        RowVerdict.PLAUSIBLE, RowVerdict.ODD, RowVerdict.PLAUSIBLE, RowVerdict.ODD,
    ]  # fmt: skip


def test_an_angle_beyond_yield_is_for_screws_made_for_it():
    fastener = screw("M10x1.5", "10.9")
    friction = stated_friction(0.1, 0.16)
    gentle = tighten_by_angle(fastener, friction, face_of(fastener), 20, 20, 60)
    assert not gentle.goes_beyond_yield
    assert gentle.preload_least < gentle.preload_most < gentle.preload_allowed
    harder = tighten_by_angle(fastener, friction, face_of(fastener), 30, 180, 60)
    assert harder.goes_beyond_yield
    assert ONCE_ONLY in harder.cautions
    assert harder.preload_most <= 1.2 * screw_strength(fastener).tensile_load
    unmarked = tighten_by_angle(screw("M10x1.5"), friction, face_of(fastener), 30, 180, 60)
    assert unmarked.preload_most > harder.preload_most
    for figures in ((0, 90, 60), (20, 0, 60), (20, 90, float("nan")), (20, 400, 60)):
        with pytest.raises(InvalidInput):
            tighten_by_angle(fastener, friction, face_of(fastener), *figures)


@pytest.mark.parametrize("engagement", [0, -3, 1.0, float("nan"), float("inf"), 1e9])
def test_an_engagement_that_is_none_is_refused(engagement):
    with pytest.raises(InvalidInput):
        effective_engagement(thread_named("M8x1.25"), engagement)


def test_friction_and_faces_that_are_none_are_refused():
    for least, most in ((0.0, 0.1), (0.2, 0.1), (0.1, 5), (float("nan"), 0.1)):
        with pytest.raises(InvalidInput):
            stated_friction(least, most)
    fastener = screw("M8x1.25", "8.8")
    for outside, inside in ((8, 9), (12, 7), (float("inf"), 9), (24, 9)):
        with pytest.raises(InvalidInput):
            stated_face(outside, inside, fastener)
    with pytest.raises(OutOfRange):
        largest_preload(fastener.thread, 640, 0.1, share=1.5)
    nut = Fastener("a nut", thread_named("M8x1.25"), FastenerForm.NUT, property_class="8")
    with pytest.raises(InvalidInput) as refused:
        permitted(nut)
    assert refused.value.code == "not-a-screw"
    assert look_up(nut).tightening == ()


def test_a_stated_torque_of_another_unit_does_not_stand_unasked():
    found = permitted(screw("M8x1.25", "8.8"), stated_torque=2.5)
    assert found.is_stated_within
    assert any("far below" in one for one in found.notes)
    usual = permitted(screw("M8x1.25", "8.8"), stated_torque=15.0)
    assert not any("far below" in one for one in usual.notes)


def test_a_screw_of_the_other_hand_is_not_replaced():
    with pytest.raises(InvalidInput) as caught:
        permitted(screw("M8x1.25", "8.8"), replaces=screw("M8x1.25", "8.8", hand=Hand.LEFT))
    assert caught.value.pointer == "/replaces"


def test_a_used_screw_is_told_of():
    assert any("stretched" in one for one in permitted(screw("M8x1.25", "8.8", "used")).cautions)
