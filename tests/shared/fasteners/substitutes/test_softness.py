"""Whether what wedges between finished surfaces is surely softer than they are."""

import pytest

from shared.fasteners.model import ItemForm, ToolFunction
from shared.fasteners.substitutes.model import Hardness, Piece, Requirement
from shared.fasteners.substitutes.softness import softness_check
from shared.standards.hardness import HardnessScale, convert_hardness
from shared.standards.hole_materials import hole_material_of

HV, HBW, HRB, HRC = HardnessScale.HV, HardnessScale.HBW, HardnessScale.HRB, HardnessScale.HRC
STEEL, BRASS, STAINLESS = map(hole_material_of, ("S235", "brass rod", "stainless"))


def check(tool, work, material=BRASS, workpiece=STEEL):
    piece = Piece(
        "s", "Strip", ItemForm.STRIP, 1, material=material, hardness=tool and Hardness(*tool)
    )
    return softness_check(
        piece,
        Requirement(
            ToolFunction.HOLD_ROTATION,
            workpiece=workpiece,
            workpiece_hardness=work and Hardness(*work),
        ),
    )


@pytest.mark.parametrize(
    ("tool", "work", "margin"),
    [
        ((100, HV), (125, HV), 1.0),
        ((100, HBW), (124, HBW), 0.992),
        ((50, HRB), (70, HRB), 1.0),
        ((51, HRB), (70, HRB), 0.95),
        ((30, HRC), (38, HRC), 1.0),
        ((31, HRC), (38, HRC), 0.875),
        ((38, HRC), (30, HRC), -1.0),
        ((25, HV), (600, HV), 19.2),
    ],
)
def test_on_one_scale_the_readings_are_compared_as_they_are(tool, work, margin):
    found = check(tool, work, material=None, workpiece=None)
    assert found.margin == pytest.approx(margin)
    assert found.passes is (margin >= 1)


def test_steel_is_converted_with_its_band_against_the_tool():
    low = convert_hardness(58, HRC, HV).least
    found = check((180, HV), (58, HRC))
    assert found.margin == pytest.approx(low / 180 / 1.25)
    assert found.passes
    high = convert_hardness(180, HV, HRB).most
    assert check((180, HV), (95, HRB), STEEL, STAINLESS).margin == pytest.approx((95 - high) / 20)
    # Both are steel: the worse of the two ways counts.
    both = check((180, HV), (95, HRB), STEEL, STEEL).margin
    one_way = [
        check((180, HV), (95, HRB), *pair).margin for pair in ((STEEL, BRASS), (BRASS, STEEL))
    ]
    assert both == min(one_way)
    assert one_way[0] != pytest.approx(one_way[1])


@pytest.mark.parametrize(
    ("tool", "work", "material", "workpiece"),
    [
        ((120, HV), (58, HRC), BRASS, STAINLESS),  # no conversion is sourced for either
        ((120, HV), (90, HRB), STAINLESS, BRASS),
        ((60, HRB), (58, HRC), BRASS, STEEL),  # the scales never stand side by side there
        ((300, HardnessScale.TENSILE), (58, HRC), STEEL, STEEL),
        ((120, HV), (900, HardnessScale.TENSILE), STEEL, STEEL),
        ((19, HRC), (58, HRC), STEEL, STEEL),
        ((30, HRC), (71, HRC), STEEL, STEEL),
        ((60, HRB), (130, HRB), STEEL, STEEL),
        ((0, HV), (500, HV), STEEL, STEEL),
        ((float("nan"), HV), (500, HV), STEEL, STEEL),
        ((100, HV), (float("inf"), HV), STEEL, STEEL),
    ],
)  # fmt: skip
def test_what_cannot_be_compared_is_refused(tool, work, material, workpiece):
    found = check(tool, work, material, workpiece)
    assert not found.passes
    assert found.margin is None
    assert found.missing is None


def test_a_missing_fact_never_helps():
    whole = {"tool": (180, HV), "work": (58, HRC), "material": BRASS, "workpiece": STEEL}
    assert check(**whole).passes
    told = {
        "tool": "hardness",
        "work": "workpiece_hardness",
        "material": "material",
        "workpiece": "workpiece",
    }
    for fact, member in told.items():
        found = check(**(whole | {fact: None}))
        assert (found.passes, found.missing) == (False, member)


def test_a_harder_tool_or_a_softer_work_is_never_better():
    grades = [check((value, HV), (58, HRC)).margin for value in range(60, 700, 20)]
    assert grades == sorted(grades, reverse=True)
    works = [check((180, HV), (value, HRC)).margin for value in range(21, 68)]
    assert works == sorted(works)
