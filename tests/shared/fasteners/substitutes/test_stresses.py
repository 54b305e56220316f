"""What bars, plates, tubes, pins may bear, and what they may be made of."""

from math import inf, nan

import pytest

from shared.errors import OutOfRange
from shared.fasteners.model import ItemForm
from shared.fasteners.substitutes.model import Piece
from shared.fasteners.substitutes.stresses import (
    allowed_bending,
    allowed_compression,
    allowed_shear,
    column_force,
    column_yield,
    tool_material_check,
)
from shared.standards.hole_materials import MaterialKind, hole_material_of, hole_materials


def test_a_tool_bears_a_third_in_bending_and_a_fifth_in_shear():
    steel = hole_material_of("S235")
    assert allowed_bending(steel) == allowed_compression(steel) == pytest.approx(340 / 3)
    assert allowed_shear(steel) == pytest.approx(68)
    assert column_yield(steel) == pytest.approx(170)


def test_a_longer_thinner_softer_column_bears_less():
    forces = [column_force(20, 1.2, length, 640) for length in range(0, 400, 5)]
    assert forces == sorted(forces, reverse=True)
    assert forces[0] == pytest.approx(20 * 640 * 3 / 5)
    assert forces[-1] > 0
    assert column_force(20, 1.1, 60, 640) < column_force(20, 1.2, 60, 640)
    yields = [column_force(20, 1.2, 40, stress) for stress in range(200, 1200, 20)]
    assert yields == sorted(yields)
    assert column_force(20, 1.2, 200, 640, 70_000) < column_force(20, 1.2, 200, 640) / 2
    assert column_force(20, 1e-200, 1e200, 640) == 0


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("area", (0, 1, 10, 640)),
        ("gyration", (20, -1, 10, 640)),
        ("length", (20, 1, -1, 640)),
        ("length", (20, 1, inf, 640)),
        ("yield_stress", (20, 1, 10, nan)),
        ("modulus", (20, 1, 10, 640, 0)),
    ],
)
def test_what_is_no_column_is_refused(field, given):
    with pytest.raises(OutOfRange) as refused:
        column_force(*given)
    assert refused.value.pointer == f"/{field}"


def piece(words):
    material = None if words is None else hole_material_of(words)
    return Piece("bar", "Flat bar", ItemForm.BAR, 1, material=material)


@pytest.mark.parametrize(
    ("words", "bends", "presses"),
    [
        ("S235", True, True),
        ("EN AW-6082-T6", True, True),
        ("CuZn39Pb3", True, True),
        ("grey iron", False, True),
        ("ductile iron", False, True),
        ("die-cast aluminium", False, True),
        ("magnesium", False, True),
        ("pot metal", False, True),
        ("cast brass", False, True),
        ("gunmetal", False, True),
        ("tin bronze", False, True),
        ("nylon", False, False),
        (None, False, False),
    ],
)
def test_what_is_brittle_is_no_bar_and_what_is_plastic_or_unknown_is_no_tool(words, bends, presses):
    bent, pressed = (tool_material_check(piece(words), bends=one) for one in (True, False))
    assert (bent.passes, pressed.passes) == (bends, presses)
    assert (bent.missing, pressed.missing) == (
        (None, None) if words is not None else ("material", "material")
    )


def test_every_material_has_figures_that_a_metal_can_have():
    for one in hole_materials():
        is_plastic = one.kind is MaterialKind.PLASTIC
        assert is_plastic or 40_000 <= one.elastic_modulus <= 210_000
        assert 0.2 < one.poisson_ratio < 0.45
        assert one.is_steel is (one.kind is MaterialKind.STEEL)
    assert [one.material for one in hole_materials() if one.is_steel] == [
        "S235", "S355", "C45", "42CrMo4+A", "C45+QT", "42CrMo4+QT",
    ]  # fmt: skip
