"""Checks that all families share: each fails where its fact is missing, and at its own bound."""

from math import inf, nan

import pytest

from shared.designations.model import Hand
from shared.fasteners.faces import face_of
from shared.fasteners.joint import Joint, TappedHole
from shared.fasteners.limits import limits_of
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction, ToolUse
from shared.fasteners.strength import screw_strength
from shared.fasteners.substitutes.common import (
    clearance_hole,
    count_check,
    face_allows,
    friction_in_hole,
    friction_of,
    head_check,
    hole_parts,
    missing,
    part_checks,
    ratio,
    room_check,
    strength_of_piece,
    symmetry_check,
    thread_check,
    thread_length_of,
    use_check,
    wall_check,
    wall_factor,
)
from shared.fasteners.substitutes.model import Check
from shared.fasteners.substitutes.screw_work import jacking_arms, screw_allows, work_of
from shared.standards.hole_materials import hole_materials
from shared.standards.threads import thread_named
from tests.shared.fasteners.substitutes.bench import (
    OILED,
    metal,
    need,
    piece,
    requirement,
    screw,
    without,
)

ANY = ToolFunction.SEPARATE


def work(**members):
    sizes = members.pop("sizes", {"wall": 10})
    return requirement(ANY, members.pop("thread", "M8x1.25"), 2, sizes, **members)


def test_a_missing_kind_of_feature_is_named_as_the_requirement_names_it():
    assert missing("x", "clear-height", "").missing == "features/clear-height"
    assert missing("x", "uses", "").missing == "uses"


@pytest.mark.parametrize(
    ("allowed", "asked", "passes"),
    [(2, 2, True), (1.9, 2, False), (inf, 2, True), (2, 0, False), (2, nan, False), (nan, 2, False),
     (2, inf, False), (-1, 2, False), (2, -1, False)],
)  # fmt: skip
def test_a_ratio_passes_only_for_numbers_that_are_some(allowed, asked, passes):
    assert ratio("x", allowed, asked, "", "").passes is passes


def test_use_passes_only_where_somebody_said_that_nothing_hangs_on_it():
    assert use_check(work()).passes
    assert use_check(work(uses=None)).missing == "uses"
    for use in set(ToolUse) - {ToolUse.STORED_ENERGY}:
        assert not use_check(work(uses=frozenset({use}))).passes


@pytest.mark.parametrize(
    ("sizes", "is_free", "passes", "lacks"),
    [
        ({}, True, True, None),
        ({}, False, False, "in_the_way"),
        ({"clear_height": 20.0}, False, True, None),
        ({"clear_height": 19.9}, False, False, None),
        ({"clear_height": 19.9}, True, False, None),
    ],
)
def test_room_is_stated_or_said_to_be_free(sizes, is_free, passes, lacks):
    found = room_check(work(sizes=sizes, nothing_in_the_way=is_free), 20.0)
    assert (found.passes, found.missing) == (passes, lacks)


def test_room_across_is_asked_for_where_a_family_needs_it():
    narrow = work(sizes={"clear_height": 99, "clear_diameter": 29}, nothing_in_the_way=False)
    assert room_check(narrow, 20).passes
    assert not room_check(narrow, 20, 30).passes
    assert room_check(without(narrow, "clear_diameter"), 20, 30).missing == "in_the_way"


def test_symmetry_and_count():
    assert [symmetry_check(work(is_symmetric=even)).passes for even in (True, False, None)] == [
        True, False, False,
    ]  # fmt: skip
    assert symmetry_check(work(is_symmetric=None)).missing == "is_symmetric"
    assert [count_check(screw("M8", quantity=there), 3).passes for there in (0, 2, 3)] == [
        False, False, True,
    ]  # fmt: skip
    # Enough is enough: three of three is no narrow margin.
    assert count_check(screw("M8", quantity=3), 3).margin is None
    assert count_check(screw("M8", quantity=2), 3).margin == pytest.approx(2 / 3)


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("5/16-18 UNC x 1 1/2", "starts but binds"),
        ("M8x1 x 40", "M8x1 is not"),
        ("M8x40 LH", "left-hand"),
        ("M8 nut", "is a nut"),
        ("M8x40 stud", "no head"),
        ("M8x40 hollow", "hollow"),
        ("M8x40 set screw", "without a head"),
        ("Rp 1/8", "Rp"),
    ],
)
def test_another_thread_or_hand_is_refused_and_says_what_comes_of_it(written, says):
    found = thread_check(work(), screw(written))
    assert not found.passes
    assert says in found.detail


def test_its_own_thread_passes_on_a_screw_and_on_a_rod():
    assert thread_check(work(), screw("M8x40")).passes
    rod = piece(ItemForm.THREADED_ROD, "rod", fastener=screw("M8 threaded rod").fastener, length=99)
    assert thread_check(work(), rod).passes
    assert not thread_check(work(), piece(ItemForm.BAR, "bar", fastener=rod.fastener)).passes
    assert not thread_check(work(), piece(ItemForm.SCREW, "unread")).passes
    assert thread_check(work(thread=None), screw("M8x40")).missing == "features/thread"
    left = work(thread="M8 LH")
    assert thread_check(left, screw("M8x40 LH")).passes
    assert not thread_check(left, screw("M8x40")).passes


@pytest.mark.parametrize("word", ["countersunk", "button", "slotted", "pan", "low"])
def test_a_head_that_does_not_seat_or_cannot_be_turned_hard_fails(word):
    assert not head_check(screw(f"M8x40 {word} head")).passes
    assert head_check(screw("M8x40 hex head")).passes
    assert head_check(screw("M8x40 socket cap screw")).passes


@pytest.mark.parametrize(
    ("written", "stated", "threaded"),
    [
        ("M8x40 ISO 4017", None, 36.25),
        ("M8x40 hex bolt fully threaded", None, 36.25),
        ("M8x40 hex bolt", None, 22.0),
        ("M8x40 ISO 4014 partly threaded", None, 22.0),
        ("M8x20 hex bolt", None, 16.25),
        ("M8x130", None, 28.0),
        ("M8x260", None, 41.0),
        ("M8x40 ISO 4017", 18.0, 18.0),
        ("M8x40", 60.0, 40.0),
        ("1/4-20 UNC x 3", None, 2 * 6.35 + 6.35),
        ("1/4-20 UNC x 6 1/2", None, 2 * 6.35 + 12.7),
        ("M8", None, None),
    ],
)
def test_thread_on_a_screw_is_the_least_of_its_standard(written, stated, threaded):
    told = {} if stated is None else {"thread_length": stated}
    found = thread_length_of(screw(written, **told))
    assert found == (None if threaded is None else pytest.approx(threaded))


def test_a_rod_is_threaded_all_along():
    rod = piece(ItemForm.THREADED_ROD, "rod", fastener=screw("M8 threaded rod").fastener, length=99)
    assert thread_length_of(rod) == 99


@pytest.mark.parametrize(
    ("wall", "across", "factor"),
    [(1.59, False, 0.0), (1.6, True, 0.75), (2.4, True, 0.91), (3.61, True, 1.0), (9, True, 1.0)],
)
def test_a_thin_wall_counts_less_and_a_thinner_nothing(wall, across, factor):
    # s/d 1.4, 1.6, 1.9: 3.8 s/d - (s/d)^2 - 2.61 gives 0.75, 0.91, 1.
    held = work(sizes={"wall": wall})
    assert wall_check(held).passes is across
    assert wall_factor(held) == pytest.approx(factor)


def test_an_unknown_wall_leaves_nothing():
    assert wall_check(work(sizes={})).missing == "features/wall"
    assert wall_factor(work(sizes={})) == 0.0


def test_strength_and_friction_that_cannot_be_told_fail():
    assert isinstance(strength_of_piece(screw("M8x40 brass")), Check)
    assert isinstance(strength_of_piece(screw("G 1/8")), Check)
    steel = screw_strength(screw("M8x40").fastener)
    assert isinstance(
        friction_of(work(friction=None, lubrication="honey"), screw("M8x40"), steel), Check
    )
    assert friction_of(work(), screw("M8x40"), steel) is OILED
    unknown = friction_of(work(friction=None), screw("M8x40"), steel)
    assert not isinstance(unknown, Check)
    assert unknown.least < OILED.least < OILED.most < unknown.most


@pytest.mark.parametrize("hole", ["1.4301", None])
def test_steel_in_a_hole_of_stainless_or_of_nobody_knows_what_rubs_as_stainless_too(hole):
    oiled = {"friction": None, "lubrication": "oiled"}
    steel = screw_strength(screw("M8x40").fastener)
    told = friction_in_hole(work(workpiece="S235", **oiled), screw("M8x40"), steel)
    wide = friction_in_hole(work(workpiece=hole, **oiled), screw("M8x40"), steel)
    assert (told.least, told.most) == (0.08, 0.16)
    assert (wide.least, wide.most) == (0.08, 0.35)
    assert friction_in_hole(work(workpiece=hole), screw("M8x40"), steel) is OILED


@pytest.mark.parametrize(
    "written",
    [
        "DIN 835 M8x40 8.8",
        "DIN 976 M8x40 8.8",
        "ISO 4015 M8x40 8.8",
        "DIN 609 M8x40 8.8",
        "M8x40 12.9 shoulder",
        "M8x40 8.8 fit bolt",
        "M8x40 8.8 captive",
    ],
)
def test_a_stud_a_thicker_shank_and_a_standard_nobody_knows_are_no_screws(written):
    assert not thread_check(work(), screw(written)).passes
    assert thread_check(work(), screw("ISO 4762 M8x40 8.8")).passes


def test_a_hand_stated_against_the_holes_thread_fails():
    assert thread_check(work(hand=Hand.RIGHT), screw("M8x40 8.8")).passes
    assert "thread-hand" in thread_check(work(hand=Hand.LEFT), screw("M8x40 8.8")).detail


def test_a_hole_bears_what_the_same_joint_bears_and_less_beside_an_edge():
    fastener = screw("M8x40 8.8").fastener
    hole = TappedHole(metal("cast aluminium"), 12.0)
    whole = Joint(fastener, OILED, face_of(fastener), hole=hole)
    limits = limits_of(whole, screw_strength(fastener))
    expected = [limit.force for limit in limits if "thread" in limit.part]
    assert len(expected) == 2
    held = work(workpiece="cast aluminium")
    found = hole_parts(held, fastener, screw_strength(fastener), 12.0)
    assert sorted(part.force for part in found) == pytest.approx(sorted(expected))
    thin = hole_parts(
        work(workpiece="cast aluminium", sizes={"wall": 1.6}), fastener,
        screw_strength(fastener), 12.0,
    )  # fmt: skip
    assert thin[0].force == pytest.approx(0.75 * found[0].force)
    assert thin[1].force == found[1].force


def test_an_unknown_material_counts_as_the_weakest_of_the_table_and_says_so():
    fastener = screw("M8x40 8.8").fastener
    strength = screw_strength(fastener)
    unknown = hole_parts(work(), fastener, strength, 12.0)
    for row in hole_materials():
        known = hole_parts(work(workpiece=row), fastener, strength, 12.0)
        assert unknown[0].force <= known[0].force
        assert face_allows("x", 10.0, None).force <= face_allows("x", 10.0, row).force
    assert "unknown" in unknown[0].basis
    assert "unknown" in face_allows("x", 10.0, None).basis


@pytest.mark.parametrize("deep", [0.0, -3.0, 1.25, nan, inf])
def test_an_engagement_that_carries_nothing_fails(deep):
    fastener = screw("M8x40 8.8").fastener
    found = hole_parts(work(), fastener, screw_strength(fastener), deep)
    assert isinstance(found, Check)
    assert not found.passes


def test_the_least_margin_of_the_parts_is_that_of_the_force():
    fastener = screw("M8x40 8.8").fastener
    strength = screw_strength(fastener)
    arms = jacking_arms(fastener.thread, OILED)
    parts = (face_allows("face", 20.0, metal("S235")), face_allows("wide", 60.0, metal("S235")))
    done = work_of(screw_allows(fastener.thread, strength, OILED, arms, twists=True), arms, parts)
    *by_part, force = part_checks(done, 2, need(9000))
    assert {check.name for check in by_part} == {"screw strength", "face", "wide"}
    assert force.margin == pytest.approx(min(check.margin for check in by_part))
    assert force.margin == pytest.approx(2 * done.force_least / 9000)
    *parts_unasked, unasked = part_checks(done, 2, None)
    assert (unasked.passes, unasked.missing) == (False, "force")
    assert all(check.passes and check.margin is None for check in parts_unasked)
    assert not part_checks(done, 2, need(0))[-1].passes


def test_holes_to_drill_are_the_medium_ones():
    # ISO 273, medium: M8 9 mm. A size that no table has counts 1.1 d.
    assert clearance_hole(thread_named("M8x1.25")) == 9.0
    odd = thread_named("G 1/8")
    assert clearance_hole(odd) == pytest.approx(1.1 * odd.major)


def test_kinds_of_feature_are_all_named():
    assert all(missing("x", one.value, "").missing.startswith("features/") for one in FeatureKind)
