"""A bar across two tapped holes against a stop, and what lies under it: side loads and bars."""

from dataclasses import replace
from math import gamma, inf, nan

import pytest

from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.families.counterhold_bar import candidates
from shared.fasteners.substitutes.model import Candidate, Need, Piece, Range, Requirement
from shared.fasteners.substitutes.side_load import drilled_modulus, flat_bar_checks, hold, needed_of
from shared.standards.hole_materials import hole_material_of

from .bench import bar, check_of, drawer, failing, kind, requirement, screw, with_sizes, without

SIZES = {"spacing": 40, "depth": 18, "wall": 6, "reach": 0.01}
WORK = requirement(ToolFunction.HOLD_ROTATION, "M8x1.25", 2, SIZES, torque=60, workpiece="steel")
BAR = bar(300, 30, 8)
SCREW = screw("M8x25 ISO 4017 8.8")
EVERY = {
    "use", "wall", "shaft end", "room", "thread", "head", "count", "material", "bar length",
    "bar width", "bar holes", "bar count", "bar bending", "bar sideways", "bar edge", "gap",
    "length", "screw strength", "bar side", "hole side", "edge of the hole",
}  # fmt: skip


def the_one(work: Requirement = WORK, flat: Piece = BAR, bolt: Piece = SCREW) -> Candidate:
    """The one candidate of a bar and a kind of screw."""
    found = list(candidates(work, drawer(flat, bolt)))
    return next((one for one in found if one.is_accepted), found[0])


def test_a_bar_that_holds_with_what_it_was_computed_from() -> None:
    found = the_one()
    assert found.is_accepted
    assert {check.name for check in found.checks} == EVERY
    # 60 N·m over 40 mm, and half of what the stop bears 256 mm from the axis.
    assert "1.62 kN" in check_of(found, "hole side").detail
    # 8 (30^3 - 9.6^3) / (6 * 30) * 340 / 3 = 131.5 N·m
    assert check_of(found, "bar bending").margin == pytest.approx(131.54 / 60, rel=1e-3)
    # arm 0.01 + 1.25 + 0.30; bending 1617 (1.56 + 0.30) / 26.5 mm3; 172.8 of pull; shear 49.2
    assert check_of(found, "screw strength").margin == pytest.approx(1.4286, rel=1e-3)
    assert check_of(found, "edge of the hole").margin == pytest.approx(
        2 * 6 * hold(1.5609, 14.49) * 204 / 2.5 / 1617.19, rel=1e-3
    )
    assert found.force_least is None
    assert found.torque_steps == (found.torque,)
    assert 4 < (found.torque or 0) < 6
    assert any("234 N" in step for step in found.steps)
    assert "Drill two holes of 9 mm, 40 mm apart" in str(found.parts[1].preparation)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"torque": None}, "torque"),
        ({"uses": None}, "use"),
        ({"nothing_in_the_way": False}, "room"),
        ({"workpiece": None}, "hole side"),
        ({"workpiece": "cast aluminium", "torque": 250.0}, "hole side"),
        ({"torque": 80.0}, None),
        ({"torque": 500.0}, "screw strength"),
    ],
)
def test_what_is_known_of_the_work(change: dict[str, object], told: str | None) -> None:
    torque = change.get("torque")
    if isinstance(torque, float):
        change = {**change, "torque": Need(Range(torque, torque), "as stated", False)}
    if isinstance(change.get("workpiece"), str):
        change = {**change, "workpiece": hole_material_of(str(change["workpiece"]))}
    found = the_one(replace(WORK, **change), bar(300, 60, 8, "42CrMo4+QT"))  # type: ignore[arg-type]
    assert (told in failing(found)) if told else found.is_accepted
    assert found.is_accepted or not found.steps


@pytest.mark.parametrize("name", [*SIZES, "thread"])
def test_each_feature_is_needed(name: str) -> None:
    found = the_one(without(WORK, name))
    assert not found.is_accepted
    assert f"features/{name}" in {check.missing for check in found.checks}


@pytest.mark.parametrize(
    ("sizes", "told"),
    [
        ({"reach": 8.1}, "gap"),
        ({"reach": 2}, None),
        # 25 - 8 - 0.01 = 16.99 deep, half a pitch off the depth.
        ({"depth": 17.616}, None),
        ({"depth": 17.614}, "length"),
        ({"spacing": 92}, None),
        ({"spacing": 92.1}, "bar length"),
        ({"wall": 1.59}, "wall"),
        ({"wall": 1.7}, "edge of the hole"),
        ({"chamfer": 15}, "hole side"),
        ({"chamfer": 18}, "engagement"),
        ({"clear_height": 32}, "room"),
        # 300 mm long, 12 mm before a hole that is 20 mm from the axis.
        ({"clear_diameter": 536}, None),
        ({"clear_diameter": 535.9}, "room"),
    ],
)
def test_sizes_at_the_edge(sizes: dict[str, float], told: str | None) -> None:
    found = the_one(with_sizes(WORK, **sizes))
    assert (told in failing(found)) if told else found.is_accepted, failing(found)


@pytest.mark.parametrize(
    ("flat", "bolt", "told"),
    [
        (bar(300, 24, 8), SCREW, None),
        (bar(300, 23.9, 8), SCREW, "bar width"),
        (bar(300, 30, 8, None), SCREW, "material"),
        (bar(300, 30, 8, "grey cast iron"), SCREW, "material"),
        (bar(300, 30, 8, "polyamide"), SCREW, "material"),
        (bar(300, 30, 8, "pure aluminium, soft"), SCREW, "bar bending"),
        # On edge it would do in bending and buckles.
        (bar(900, 120, 0.9, "42CrMo4+QT"), screw("M8x16 ISO 4017 8.8"), "bar sideways"),
        (bar(300, 30, 8, bore=9.6, spacing=40.9), SCREW, None),
        (bar(300, 30, 8, bore=9.7), SCREW, "bar holes"),
        (BAR, screw("M8x1x25 ISO 4017 8.8"), "thread"),
        (BAR, screw("M8x25 LH ISO 4017 8.8"), "thread"),
        (BAR, screw("M8x25 csk 8.8"), "head"),
        (BAR, screw("M8x25 grub 8.8"), "thread"),
        (BAR, screw("M8 ISO 4017 8.8"), "length"),
        (BAR, screw("M8x25 ISO 4017 8.8", quantity=1), "count"),
        (BAR, screw("M8x25 ISO 4017 8.8", thread_length=16), "length"),
        (BAR, screw("M8x12 ISO 4017 8.8"), "length"),
        (BAR, screw("M8x6 ISO 4017 8.8"), "length"),
        (BAR, screw("M8x25 ISO 4017"), "screw strength"),
    ],
)
def test_pieces_at_the_edge(flat: Piece, bolt: Piece, told: str | None) -> None:
    every = list(candidates(WORK, drawer(flat, bolt)))
    if told is None:
        assert any(one.is_accepted for one in every), [failing(one) for one in every]
    else:
        assert not any(one.is_accepted for one in every)
        assert any(told in failing(one) for one in every), [failing(one) for one in every]


def test_a_screw_without_a_bar_is_told_so_and_one_hole_is_no_hold() -> None:
    (found,) = candidates(WORK, drawer(SCREW))
    assert failing(found) == {"bar"}
    one = requirement(ToolFunction.HOLD_ROTATION, "M8x1.25", 1, SIZES, torque=60)
    (found,) = candidates(one, drawer(BAR, SCREW))
    assert "thread" in failing(found)


@pytest.mark.parametrize("arm", [0.0, 0.7, 5.0, 40.0])
def test_hold_agrees_with_a_search_for_the_point_of_rotation(arm: float) -> None:
    depth, step = 10.0, 1e-4
    # Even pressure in front down to x and behind below it: moments about the line of the push.
    x = next(
        i * step
        for i in range(int(depth / step) + 1)
        if (front := i * step) * (arm + front / 2) >= (depth - front) * (arm + (depth + front) / 2)
    )
    assert hold(arm, depth) == pytest.approx(2 * x - depth, abs=1e-3)


def test_a_bar_on_edge_buckles_where_the_cantilever_of_the_textbooks_does() -> None:
    # The load is 2 z sqrt(E Iy G J) / L^2, z the first zero of the Bessel function J(-1/4).
    def bessel(z: float) -> float:
        return float(
            sum(
                (-1) ** m / (gamma(m + 1) * gamma(m + 0.75)) * (z / 2) ** (2 * m - 0.25)
                for m in range(40)
            )
        )

    low, high = 1.0, 3.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if bessel(middle) > 0 else (low, middle)
    steel = hole_material_of("S235")
    shear = steel.elastic_modulus / (2 * (1 + steel.poisson_ratio))
    load = (
        2 * low * (steel.elastic_modulus * 40 * 2**3 / 12 * shear * 40 * 2**3 / 3) ** 0.5 / 500**2
    )
    flat = bar(500, 40, 2)
    size, lacking = needed_of(flat, [kind("length"), kind("width"), kind("thickness")])
    _, sideways, _ = flat_bar_checks(flat, "bar", size, 1000.0, 8.0, 10.0)
    assert not lacking
    assert sideways.margin == pytest.approx(load * 500 / 3 / 1000, rel=2e-4)


def test_the_modulus_of_a_drilled_bar_by_adding_strips() -> None:
    strips = 20_000
    wide, thick, hole = 30.0, 8.0, 9.6
    middle = (((i + 0.5) / strips - 0.5) * wide for i in range(strips))
    inertia = sum(thick * wide / strips * y * y for y in middle if abs(y) > hole / 2)
    assert drilled_modulus(wide, thick, hole) == pytest.approx(inertia / (wide / 2), rel=1e-3)
    assert drilled_modulus(9, thick, hole) == 0


@pytest.mark.parametrize("size", [nan, inf, 0.0, -3.0])
def test_what_is_no_length_is_not_stated(size: float) -> None:
    _, lacking = needed_of(bar(size, 30, 8), [kind("length")])
    assert [check.missing for check in lacking] == ["features/length"]
