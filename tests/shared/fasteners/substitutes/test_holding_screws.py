"""Screws that hold a part on the bench: what they bear beside their own snugness."""

from dataclasses import replace
from math import pi

import pytest

from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.families.holding_screws import candidates
from shared.fasteners.substitutes.search import find_substitutes
from tests.shared.fasteners.substitutes.bench import (
    check_of,
    drawer,
    failing,
    metal,
    need,
    requirement,
    screw,
    washer,
    with_sizes,
    without,
)

SIZES = {"depth": 12.0, "plate_thickness": 8.0, "wall": 8.0}
COVER = requirement(
    ToolFunction.RETAIN,
    "M6",
    4,
    SIZES,
    force=8000,
    workpiece="EN AC-46000",
    pushed="EN AC-46000",
    name="cover",
)
SCREWS = screw("M6x16 8.8")


def only(work=COVER, *pieces):
    (found,) = candidates(work, drawer(*(pieces or (SCREWS,))))
    return found


def test_the_seat_governs_and_a_third_is_left_for_the_snugness():
    found = only()
    assert found.is_accepted
    seat = pi / 4 * (8.88**2 - 6.6**2) * 200 / 1.25
    assert found.force_least == pytest.approx(4 * 0.7 * seat, rel=0.01)
    assert check_of(found, "force").margin == pytest.approx(found.force_least / 8000)
    # Half the yield of M6 8.8: 20.1 mm2 at 640 MPa.
    screws = check_of(found, "screw strength").margin
    assert screws == pytest.approx(4 * 0.5 * 640 * 20.12 / 8000, rel=1e-3)
    assert found.torque_steps == (found.torque,)
    assert 0.5 < found.torque < 2


@pytest.mark.parametrize(
    ("change", "fails"),
    [
        ({"force": None}, {"force"}),
        ({"force": need(12500)}, {"force", "head seat"}),
        ({"is_symmetric": None}, {"symmetry"}),
        ({"uses": None}, {"use"}),
        ({"nothing_in_the_way": False}, {"room"}),
        ({"workpiece": None}, {"force", "hole thread"}),
        ({"pushed": None}, {"force", "head seat"}),
        ({"friction": None, "lubrication": "honey"}, {"friction"}),
    ],
)
def test_what_is_not_stated_or_not_enough_fails_by_its_name(change, fails):
    assert failing(only(replace(COVER, **change))) == fails


@pytest.mark.parametrize("feature", [*SIZES, "thread"])
def test_a_feature_left_out_fails_and_is_named(feature):
    found = only(without(COVER, feature))
    assert "features/" + feature.replace("_", "-") in {check.missing for check in found.checks}


@pytest.mark.parametrize(
    ("piece", "sizes", "fails"),
    [
        ("M6x14 8.8", {}, set()),
        ("M6x14 8.8", {"plate_thickness": 8.01}, {"length"}),
        ("M6x20 8.8", {"depth": 12.5}, set()),
        ("M6x20 8.8", {"depth": 12.49}, {"length"}),
        # With a shank, 18 mm of thread.
        ("M6x26 hex bolt 8.8", {"depth": 30.0}, set()),
        ("M6x26 hex bolt 8.8", {"depth": 30.0, "plate_thickness": 7.9}, {"length"}),
        ("M6x16 8.8", {"clear_height": 20.8}, set()),
        ("M6x16 8.8", {"clear_height": 20.7}, {"room"}),
        ("M6x16 countersunk 8.8", {}, {"head"}),
        ("M6x0.75x16 8.8", {}, {"thread"}),
        ("M6 8.8", {}, {"length"}),
    ],
)
def test_lengths_and_heads_at_their_bounds(piece, sizes, fails):
    work = replace(with_sizes(COVER, **sizes), force=need(100))
    assert failing(only(work, screw(piece))) == fails


def test_a_washer_shortens_what_is_a_little_too_long():
    long = screw("M6x20 8.8")
    assert failing(only(COVER, long)) == {"length"}
    found = only(COVER, long, washer("M6", 1.6))
    assert found.is_accepted
    assert [one.count for one in found.parts] == [4, 4]
    assert failing(only(COVER, long, washer("M6", 1.6, quantity=3))) == {"washers"}


def test_washers_of_which_there_are_enough_come_before_lower_ones():
    few, enough = washer("M6", 1.5, quantity=3), washer("M6", 1.6)
    found = only(COVER, screw("M6x20 8.8"), few, enough)
    assert found.is_accepted
    assert found.parts[1].piece is enough


def test_it_comes_out_again():
    text = " ".join((*only().steps, *only().cautions))
    assert "Take the screws out" in text
    assert "comes out again" in text


def test_screws_of_two_classes_hold_together_as_the_weaker_does():
    strong, weak = screw("M6x16 10.9", quantity=2), screw("M6x16 4.6", quantity=2)
    work = replace(COVER, force=need(6000), pushed=metal("C45"), workpiece=metal("C45"))
    (both, *_) = find_substitutes(work, drawer(strong, weak)).candidates
    assert both.is_accepted
    assert [part.count for part in both.parts] == [2, 2]
    alone = only(work, replace(weak, quantity=4))
    assert both.force_least == pytest.approx(alone.force_least)
