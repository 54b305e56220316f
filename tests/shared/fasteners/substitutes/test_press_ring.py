"""A ring, socket or tube under a press: what it bears on, and how hard it may be pressed."""

from dataclasses import replace
from math import pi

import pytest

from shared.fasteners.model import ItemForm, TightRing, ToolFunction, ToolUse
from shared.fasteners.substitutes.families.press_ring import candidates
from shared.fasteners.substitutes.model import Candidate, Piece, Requirement
from tests.shared.fasteners.substitutes import bench
from tests.shared.fasteners.substitutes.bench import check_of, drawer, failing, piece

BEARING = {"bore": 62, "face_inside": 54, "face_outside": 61, "travel": 16}


def work(force: float = 20_000, **members: object) -> Requirement:
    told = {"tight_ring": TightRing.OUTER, "workpiece": "C45", **members}
    return bench.requirement(ToolFunction.PRESS_IN, sizes=BEARING, force=force, **told)


def ring(
    inside: float | None = 55,
    outside: float | None = 60.5,
    length: float | None = 25,
    material: str | None = "S355",
    form: ItemForm = ItemForm.RING,
) -> Piece:
    sizes = {"bore": inside, "outside_diameter": outside, "length": length}
    known = {name: size for name, size in sizes.items() if size is not None}
    return piece(form, "a ring", material=material, quantity=1, **known)


def pressed(requirement: Requirement, own: Piece) -> Candidate:
    (found,) = candidates(requirement, drawer(own))
    return found


@pytest.mark.parametrize("form", [ItemForm.RING, ItemForm.SOCKET, ItemForm.TUBE])
def test_it_holds_and_the_gauge_is_told(form: ItemForm) -> None:
    found = pressed(work(), ring(form=form))
    assert found.is_accepted, failing(found)
    assert found.torque is None
    assert found.force_least is None
    assert any("stop at 20000 N" in step for step in found.steps)
    assert found.cautions


def test_what_the_parts_bear_is_as_computed_by_hand() -> None:
    found = pressed(work(), ring())
    area = pi / 4 * (60.5**2 - 55**2)
    # The face by S355 (560 MPa over 1.25), weaker than C45; the ring by a third of 470 MPa.
    assert check_of(found, "ring face").margin == pytest.approx(area * 560 / 1.25 / 20_000)
    assert check_of(found, "ring compression").margin == pytest.approx(area * 470 / 3 / 20_000)
    short = pressed(work(), ring(length=22))
    assert check_of(short, "ring column").margin > check_of(found, "ring column").margin


@pytest.mark.parametrize(
    ("own", "why"),
    [
        (ring(53.9), "press ring"),
        (ring(outside=61.1), "press ring"),
        (ring(61, 60.5), "press ring"),
        (ring(None), "press ring"),
        (ring(outside=None), "press ring"),
        (ring(length=None), "length"),
        (ring(length=20.9), "length"),
        (ring(material=None), "material"),
        (ring(material="polyamide"), "material"),
        (ring(59.9, material="S235"), "ring compression"),
        (ring(length=2000), "ring column"),
    ],
)
def test_a_ring_that_does_not_do_is_refused(own: Piece, why: str) -> None:
    found = pressed(work(), own)
    assert why in failing(found)


@pytest.mark.parametrize(
    ("requirement", "why"),
    [
        (work(tight_ring=TightRing.BOTH), "tight ring"),
        (work(is_symmetric=False), "symmetry"),
        (work(uses=frozenset({ToolUse.WORK_UNDER_LOAD})), "use"),
        (work(force=80_000), "force"),
        (work(workpiece=None, force=21_000), "ring face"),
        (bench.with_sizes(work(), bore=60.6), "press ring"),
        (bench.with_sizes(work(), face_inside=61), "press ring"),
        (work(nothing_in_the_way=False), "room"),
    ],
)
def test_work_that_it_cannot_do_is_refused(requirement: Requirement, why: str) -> None:
    found = pressed(requirement, ring())
    assert why in failing(found)
    if why in {"force", "ring face"}:
        assert not found.steps


@pytest.mark.parametrize("name", BEARING)
def test_every_size_has_to_be_stated(name: str) -> None:
    found = pressed(bench.without(work(), name), ring())
    missed = {check.missing for check in found.checks if not check.passes}
    assert f"features/{name.replace('_', '-')}" in missed


@pytest.mark.parametrize("member", ["force", "tight_ring", "uses", "is_symmetric"])
def test_every_fact_has_to_be_stated(member: str) -> None:
    found = pressed(replace(work(), **{member: None}), ring())
    assert member in {check.missing for check in found.checks if not check.passes}


def test_no_bearing_may_be_pressed_on_part_of_its_face() -> None:
    own = ring(50)
    assert "press ring" in failing(pressed(work(), own))
    found = pressed(work(tight_ring=TightRing.NO_BEARING), own)
    assert found.is_accepted
    area = pi / 4 * (60.5**2 - 54**2)
    assert check_of(found, "ring face").margin == pytest.approx(area * 560 / 1.25 / 20_000)


@pytest.mark.parametrize(("strong", "weak"), [("S355", "S235"), ("C45", "EN AW-6060-T5")])
def test_weaker_metal_bears_less(strong: str, weak: str) -> None:
    for name in ("ring face", "ring compression", "ring column"):
        better, worse = (
            check_of(pressed(work(), ring(material=one)), name).margin for one in (strong, weak)
        )
        assert better is not None
        assert worse is not None
        assert worse < better


def test_a_disc_that_reaches_over_its_face_bends() -> None:
    asked = bench.with_sizes(work(tight_ring=TightRing.NO_BEARING), travel=1)
    assert "ring bending" in failing(pressed(asked, ring(10, length=6)))
    assert pressed(asked, ring(10, length=20)).is_accepted
    assert "material" in failing(pressed(asked, ring(10, length=20, material="EN-GJL-250")))


@pytest.mark.parametrize(
    ("tight", "outside", "holds"),
    [
        (TightRing.OUTER, 61, True),
        (TightRing.OUTER, 54.5, False),
        (TightRing.INNER, 54.5, True),
        (TightRing.INNER, 61, False),
        (TightRing.NO_BEARING, 61, True),
        (TightRing.NO_BEARING, 54.5, True),
    ],
)
def test_the_face_is_that_of_the_ring_that_sits_tight(
    tight: TightRing, outside: float, holds: bool
) -> None:
    asked = bench.with_sizes(work(tight_ring=tight), face_inside=40, face_outside=outside)
    found = pressed(asked, ring(41, outside - 0.5))
    assert found.is_accepted is holds
    assert failing(found) >= (set() if holds else {"tight ring"})


def test_what_goes_on_a_shaft_is_not_held_by_the_housing() -> None:
    asked = bench.with_sizes(work(tight_ring=TightRing.INNER), face_inside=40, face_outside=50)
    on_shaft, in_bore = pressed(asked, ring(41, 49.5)), pressed(work(), ring())
    assert on_shaft.is_accepted
    assert "never the housing" in on_shaft.steps[0]
    assert in_bore.steps[0].startswith("Support the housing")
    assert "shaft" in on_shaft.notes[1] and "housing" in in_bore.notes[1]


def test_a_socket_is_cautioned() -> None:
    said = [pressed(work(), ring(form=form)).cautions for form in (ItemForm.SOCKET, ItemForm.RING)]
    assert len(said[0]) == len(said[1]) + 1
    assert "splinters" in said[0][-1]
