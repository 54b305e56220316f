"""A bar across screws: depth met exactly by washers, the bar's bending, what each fact is for."""

from dataclasses import replace
from math import log, pi

import pytest

from shared.fasteners.model import ItemForm, TightRing, ToolFunction
from shared.fasteners.substitutes.families.bar_across_screws import candidates
from shared.fasteners.substitutes.families.bars import place_of, worth_trying
from shared.standards.hole_materials import hole_material_of
from tests.shared.fasteners.substitutes.bench import (
    accepted,
    bar,
    check_of,
    drawer,
    failing,
    need,
    requirement,
    screw,
    washer,
    with_sizes,
    without,
)

INCH = 25.4
SIZES = {
    "spacing": 50.0,
    "depth": 20.0,
    "reach": 2.0,
    "travel": 1.0,
    "outside_diameter": 20.0,
    "wall": 8.0,
}
HUB = requirement(
    ToolFunction.PULL,
    "M8x1.25",
    2,
    SIZES,
    force=6000,
    workpiece="S355",
    pushed="C45",
    name="hub",
)
SCREWS = screw("M8x30 ISO 4017 8.8")
FLAT = bar(80, 30, 12, "C45")


def only(work, *pieces):
    (found,) = candidates(work, drawer(*pieces))
    return found


def plate(side, thickness=12.7, **told):
    name = f"plate {side:g} x {thickness:g}"
    return bar(side, side, thickness, "C45", form=ItemForm.PLATE, name=name, **told)


# Three holes 1/4-20 in a steel hub, engagement 7/16 in at the deepest, a plate of 1/2 in. The hub
# comes by 0.5 mm, all the way that it has; half a pitch is left free below.
FLYWHEEL = requirement(
    ToolFunction.PULL,
    "1/4-20 UNC",
    3,
    {
        "pin_circle": 50.0,
        "depth": 7 / 16 * INCH + INCH / 40 + 0.001,
        "reach": 0.5,
        "travel": 0.5,
        "outside_diameter": 20.0,
        "wall": 8.0,
    },
    force=9000,
    workpiece="S355",
    pushed="C45",
    name="flywheel",
)
STOCK = tuple(
    screw(f"1/4-20 UNC x {length} fully threaded SAE 8") for length in ("3/4", "1", "1 1/4")
)


def test_an_inch_screw_with_one_washer_is_neither_too_short_nor_too_deep():
    (found,) = accepted(
        candidates(FLYWHEEL, drawer(*STOCK, plate(80), washer("1/4-20 UNC", INCH / 16)))
    )
    used = [(one.piece.name.split(" fully")[0], one.count) for one in found.parts]
    assert used == [("1/4-20 UNC x 1", 3), ("plate 80 x 12.7", 1), ("1/4-20 UNC washer 1.5875", 3)]
    assert check_of(found, "length").margin == pytest.approx(1.0, abs=1e-3)
    assert "1 washer under each head" in " ".join(found.steps)


def test_the_shorter_the_longer_and_the_bare_screw_are_refused_on_length():
    found = list(candidates(FLYWHEEL, drawer(*STOCK, plate(80))))
    assert [failing(one) for one in found] == [{"length"}] * 3
    few = drawer(STOCK[1], plate(80), washer("1/4-20 UNC", INCH / 16, quantity=2))
    assert failing(only(FLYWHEEL, *few.pieces)) == {"washers"}


def test_more_washers_serve_where_they_really_fit():
    # 1 1/4 in less 1/2 in, less three washers of 1/8 in: 3/8 in; two would stand too deep.
    (found,) = accepted(
        candidates(FLYWHEEL, drawer(STOCK[2], plate(80), washer("1/4-20 UNC", INCH / 8)))
    )
    assert found.parts[2].count == 9


def test_washers_of_which_there_are_enough_come_before_thinner_ones():
    few = washer("1/4-20 UNC", 1.587, quantity=2)
    found = only(FLYWHEEL, STOCK[1], plate(80), few, washer("1/4-20 UNC", INCH / 16))
    assert found.is_accepted
    assert found.parts[2].piece.quantity == 12


@pytest.mark.parametrize(("pushed", "metal"), [("EN AW-6060-T5", "C45"), ("C45", "EN AW-6060-T5")])
def test_the_softer_of_bar_and_shaft_bears_the_push(pushed, metal):
    found = only(replace(HUB, pushed=hole_material_of(pushed)), SCREWS, bar(80, 30, 12, metal))
    assert "120 MPa" in check_of(found, "bar on shaft").basis


def test_a_washer_of_another_size_or_of_unknown_metal_does_not_help():
    other = only(FLYWHEEL, STOCK[1], plate(80), washer("5/16-18 UNC", INCH / 16))
    assert failing(other) == {"length"}
    unknown = only(FLYWHEEL, STOCK[1], plate(80), washer("1/4-20 UNC", INCH / 16, material=None))
    assert failing(unknown) == {"head seat", "force"}


def test_figures_by_hand():
    found = only(HUB, SCREWS, FLAT)
    assert found.is_accepted
    shares = {check.name: check.margin for check in found.checks if check.margin is not None}
    # One flat of 30 x 12 over 50 mm, 560 / 3 MPa; 2 screws. All by the same arms, so as ratios.
    bending = 560 / 3 * 30 * 12**2 / 6 / (50 / 4)
    shaft = 0.5 * pi / 4 * 20**2 * 630 / 1.25
    seat = 2 * pi / 4 * (11.63**2 - 9.0**2) * 630 / 1.25
    assert shares["bar bending"] / shares["bar on shaft"] == pytest.approx(bending / shaft)
    assert shares["bar bending"] / shares["head seat"] == pytest.approx(bending / seat)
    assert found.force_most == pytest.approx(min(bending, shaft, seat))
    assert shares["length"] == pytest.approx((20 - 0.625) / (30 - 12 - 2 + 1))
    assert found.parts[1].preparation == "drill 2 holes of 9 mm 50 mm apart, the load in the middle"


def test_a_plate_counts_as_beam_and_as_round_plate_and_no_wider_than_its_points():
    three = replace(FLYWHEEL, force=need(100))
    thin = plate(80, 6.0)
    short = screw("1/4-20 UNC x 3/4 fully threaded SAE 8")
    wide = plate(300, 6.0)
    deep = with_sizes(three, depth=20.0)
    found = only(deep, short, thin)
    least = min(
        560 / 3 * 50 * 36 / 6 / (0.354 * 25),
        560 / 3 * 36 * 2 * pi / 3 / (1 + 1.3 * log(50 / 20)),
    )
    assert found.force_most == pytest.approx(least, rel=2e-3)
    assert only(deep, short, wide).force_most == found.force_most


@pytest.mark.parametrize(
    ("piece", "fails"),
    [
        (bar(73, 30, 12, "C45"), {"bar length"}),
        (bar(80, 23, 12, "C45"), {"bar width"}),
        (bar(80, 30, 12, None), {"material"}),
        (bar(80, 30, 12, "cast iron"), {"material"}),
        (bar(80, 30, 12, "PA66"), {"material"}),
        (bar(80, 30, 12, "C45", bore=9.0), {"bar"}),
        (bar(80, 30, 12, "C45", quantity=0), {"bar count"}),
        (bar(80, 30, 12, "C45", bore=9.0, spacing=52.0), {"bar"}),
    ],
)
def test_a_bar_that_will_not_do_comes_alone_and_leaves_the_screws_without(piece, fails):
    alone, screws = candidates(HUB, drawer(piece, SCREWS))
    assert failing(alone) == fails
    assert failing(screws) == {"bar"}


def test_a_bar_of_unknown_thickness_fails_and_drilled_holes_spare_the_drilling():
    odd = replace(FLAT, sizes=FLAT.sizes[:2])
    assert failing(next(candidates(HUB, drawer(odd)))) == {"bar thickness"}
    drilled = bar(80, 30, 12, "C45", bore=9.0, spacing=50.5)
    assert only(HUB, SCREWS, drilled).parts[1].preparation is None


@pytest.mark.parametrize(
    ("sizes", "is_free", "fails"),
    [
        # Cut to 74 mm, 30 mm wide: 79.85 mm over the corners.
        ({"clear_diameter": 79.9}, True, set()),
        ({"clear_diameter": 79.8}, True, {"room"}),
        ({"clear_diameter": 79.8, "clear_height": 99}, False, {"room"}),
        ({"clear_diameter": 79.9, "clear_height": 99}, False, set()),
        # Something stands there, and nobody said how far off.
        ({"clear_height": 99}, False, {"room"}),
    ],
)
def test_a_bar_has_room_round_the_axis_cut_short(sizes, is_free, fails):
    work = replace(with_sizes(HUB, **sizes), nothing_in_the_way=is_free)
    first = next(candidates(work, drawer(SCREWS, bar(300, 30, 12, "C45"))))
    assert failing(first) == fails
    assert fails or str(first.parts[1].preparation).startswith("cut it to 74 mm, and drill 2")


def test_three_screws_want_a_plate_with_all_its_holes_in_it():
    alone, _ = candidates(FLYWHEEL, drawer(bar(80, 80, 12.7, "C45"), STOCK[0]))
    assert failing(alone) == {"bar"}
    narrow = replace(plate(80), sizes=bar(80, 60, 12.7).sizes)
    alone, _ = candidates(FLYWHEEL, drawer(narrow, STOCK[0]))
    assert failing(alone) == {"bar width"}


@pytest.mark.parametrize(
    ("change", "fails"),
    [
        ({"force": None}, {"force"}),
        ({"is_symmetric": None}, {"symmetry"}),
        ({"uses": None}, {"use"}),
        ({"nothing_in_the_way": False}, {"room"}),
        ({"workpiece": None}, {"hole thread", "force"}),
        ({"pushed": None}, {"bar on shaft", "force"}),
        ({"tight_ring": TightRing.OUTER}, set()),
        ({"tight_ring": TightRing.INNER}, {"tight ring"}),
        ({"tight_ring": TightRing.BOTH}, {"tight ring"}),
        ({"friction": None, "lubrication": "honey"}, {"friction"}),
    ],
)
def test_what_is_not_stated_fails_by_its_name(change, fails):
    assert failing(only(replace(HUB, **change), SCREWS, FLAT)) == fails


@pytest.mark.parametrize("feature", [*SIZES, "thread"])
def test_a_feature_left_out_fails_and_is_named(feature):
    found = list(candidates(without(HUB, feature), drawer(SCREWS, FLAT)))
    assert not accepted(found)
    member = "features/" + feature.replace("_", "-")
    assert member in {check.missing for one in found for check in one.checks}


@pytest.mark.parametrize(
    ("sizes", "fails"),
    [
        # The hub meets the bar before it has come its way.
        ({"reach": 0.99}, {"travel"}),
        ({"reach": 1.0}, set()),
        ({"spacing": 27.9}, {"spacing"}),
        # 16 mm in the hole, 17 at the end, half a pitch free.
        ({"depth": 17.625}, set()),
        ({"depth": 17.62}, {"length"}),
        ({"reach": 10.0}, set()),
        ({"reach": 10.01}, {"length"}),
        ({"clear_height": 37.9}, {"room"}),
    ],
)
def test_lengths_at_their_bounds(sizes, fails):
    assert failing(only(replace(with_sizes(HUB, **sizes), force=need(100)), SCREWS, FLAT)) == fails


@pytest.mark.parametrize(
    ("piece", "fails"),
    [
        (screw("M8x30 ISO 4017 8.8", quantity=1), {"count"}),
        (screw("M8x1x30 8.8"), {"thread"}),
        (screw("M8x30 countersunk fully threaded 8.8"), {"head"}),
        (screw("M8x30 hex head 8.8", thread_length=16.9), {"length"}),
        (screw("M8x30 fully threaded brass"), {"screw strength"}),
        (screw("M8x30 ISO 4017"), {"force", "screw strength"}),
    ],
)
def test_a_screw_that_will_not_do_fails_by_its_name(piece, fails):
    work = replace(HUB, force=need(14000)) if "force" in fails else HUB
    assert failing(only(work, piece, bar(80, 50, 12, "42CrMo4+QT"))) == fails


def test_one_screw_cannot_pull_evenly():
    one = replace(HUB, features=tuple(replace(feature, count=1) for feature in HUB.features))
    found = list(candidates(one, drawer(SCREWS, FLAT)))
    assert not accepted(found)
    assert "points" in failing(found[-1])


def test_of_many_bars_the_one_that_holds_is_found_and_those_on_hand_are_told():
    bars = [bar(80, 25 + 5 * (h % 3), h, "S235") for h in (4, 5, 6, 8, 10)]
    bought = replace(bar(80, 30, 10, "42CrMo4+QT"), is_on_hand=False)
    found = list(candidates(HUB, drawer(SCREWS, *bars, bought)))
    each = [one for piece in (*bars, bought) for one in candidates(HUB, drawer(SCREWS, piece))]
    assert max(one.force_least for one in found) == max(one.force_least for one in each)
    best_on_hand = max(one.force_least for one in each if one.is_on_hand)
    assert max(one.force_least for one in found if one.is_on_hand) == best_on_hand


def test_a_wide_hole_in_the_bar_leaves_less_under_the_heads():
    close, loose = (
        only(HUB, SCREWS, bar(80, 30, 12, "S235", bore=hole, spacing=50)) for hole in (9.0, 9.6)
    )
    seats = [check_of(one, "head seat").margin for one in (close, loose)]
    assert seats[1] < 0.85 * seats[0]
    bars = [bar(80, 31, 12, "S235", bore=9.6, spacing=50), bar(80, 30, 12, "S235")]
    assert len(worth_trying(bars, HUB.thread, place_of(HUB))) == 2
