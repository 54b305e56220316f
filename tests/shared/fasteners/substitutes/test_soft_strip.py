"""A strip of soft metal in the mesh of two gears."""

from dataclasses import replace

import pytest

from shared.fasteners.model import ItemForm, ToolFunction
from shared.fasteners.substitutes.families.soft_strip import candidates
from shared.fasteners.substitutes.model import Candidate, Hardness, Piece, Requirement
from shared.standards.hardness import HardnessScale
from shared.standards.hole_materials import hole_material_of

from .bench import check_of, drawer, failing, need, piece, requirement, with_sizes, without

SIZES = {"tooth_space": 4, "pitch_diameter": 80, "width": 15}
WORK = requirement(
    ToolFunction.HOLD_ROTATION,
    sizes=SIZES,
    torque=40,
    workpiece="C45",
    workpiece_hardness=Hardness(600, HardnessScale.HV),
)


def strip(
    material: str | None = "free-cutting brass", hardness: float | None = 120, **told: float
) -> Piece:
    sizes = {"length": 60.0, "width": 20.0, "thickness": 2.0, **told}
    read = None if hardness is None else Hardness(hardness, HardnessScale.HV)
    left = {name: size for name, size in sizes.items() if size}
    return piece(ItemForm.STRIP, "strip", material=material, hardness=read, **left)


def the_one(work: Requirement = WORK, soft: Piece | None = None) -> Candidate:
    (found,) = candidates(work, drawer(soft or strip()))
    return found


def test_a_strip_that_holds() -> None:
    found = the_one()
    assert found.is_accepted
    # 2 * 40 N·m over 80 mm is 1 kN at the teeth, over the 15 mm that both are wide.
    margins = {name: check_of(found, name).margin for name in ("crushing", "shear", "tooth")}
    assert margins == pytest.approx(
        {
            "crushing": 15 * 2 * 280 / 1.25 / 1000,
            "shear": 15 * 2 * 216 / 2.5 / 1000,
            "tooth": 15 * 2.54648 * 0.25 * 560 / 3 / 1000,
        },
        rel=1e-4,
    )
    assert {check.name for check in found.checks} == {
        "use", "softness", "material", "count", "room", "thickness", "strip length", "crushing",
        "shear", "tooth",
    }  # fmt: skip
    assert found.torque is None
    assert any("71.2 N·m" in note or "71.3 N·m" in note for note in found.notes)
    assert any("count" in step for step in found.steps)
    assert any("no hammer" in caution for caution in found.cautions)


@pytest.mark.parametrize(
    ("soft", "told"),
    [
        (strip(hardness=480), None),
        (strip(hardness=481), "softness"),
        (strip(hardness=None), "softness"),
        (strip(None), "material"),
        (strip("cast brass"), "material"),
        (strip("S235"), "material"),
        # So soft a strip is safe for the teeth and shears.
        (strip("polyamide", 10), "shear"),
        (strip("polyamide", 10, thickness=3.6), "shear"),
        (strip(thickness=1.2), None),
        (strip(thickness=1.19), "thickness"),
        (strip(thickness=3.6), None),
        (strip(thickness=3.61), "thickness"),
        (strip(length=30), None),
        (strip(length=29.9), "strip length"),
        (strip(width=3), "shear"),
        (strip(width=0), "width"),
        (strip(thickness=0), "thickness"),
    ],
)
def test_strips_at_the_edge(soft: Piece, told: str | None) -> None:
    found = the_one(soft=soft)
    if told is None:
        # 1.2 mm thick 20 mm wide: 15 * 1.2 * 216 / 2.5 = 1.56 kN
        assert found.is_accepted, failing(found)
    else:
        assert not found.is_accepted
        assert told in failing(found)
        assert not found.steps


def test_polyamide_holds_a_light_gear() -> None:
    light = replace(WORK, torque=need(4))
    assert the_one(light, strip("polyamide", 10, thickness=3)).is_accepted


@pytest.mark.parametrize(
    ("work", "lacks"),
    [
        *((without(WORK, name), f"features/{name.replace('_', '-')}") for name in SIZES),
        (replace(WORK, torque=None), "torque"),
        (replace(WORK, workpiece=None), "workpiece"),
        (replace(WORK, workpiece_hardness=None), "workpiece_hardness"),
        (replace(WORK, uses=None), "uses"),
        (replace(WORK, nothing_in_the_way=False), "in_the_way"),
    ],
)
def test_a_fact_that_is_not_stated_is_named(work: Requirement, lacks: str) -> None:
    found = the_one(work)
    assert not found.is_accepted
    assert lacks in {check.missing for check in found.checks}


@pytest.mark.parametrize(
    ("work", "told"),
    [
        (replace(WORK, torque=need(71.2)), None),
        (replace(WORK, torque=need(71.4)), "tooth"),
        (replace(WORK, workpiece=hole_material_of("grey iron")), "tooth"),
        (with_sizes(WORK, tooth_space=10.1, clear_height=30), "room"),
        (with_sizes(WORK, tooth_space=3, clear_height=30), None),
    ],
)
def test_work_at_the_edge(work: Requirement, told: str | None) -> None:
    found = the_one(work)
    assert (told in failing(found)) if told else found.is_accepted, failing(found)
