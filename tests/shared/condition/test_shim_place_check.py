"""What a place for shims may say."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from shared.condition.model import ShimEffect
from shared.condition.shim_place import (
    AssortmentLine,
    RoundingStep,
    ShimPlace,
    ShimRounding,
    ShimRule,
    ShimSize,
)
from shared.condition.shim_place_check import check_shim_place
from shared.errors import InvalidInput
from shared.quantities import Quantity

PLAIN = ShimPlace("spl_1", "pos_1", "pinion depth", ShimEffect.MORE_SHIMS_INCREASE)


def mm(value: str) -> Quantity:
    return Quantity(Decimal(value), "mm")


def sizes(*thicknesses: Quantity) -> dict[str, Any]:
    return {"sizes": tuple(ShimSize(one) for one in thicknesses)}


def table(*rows: tuple[int, int, int]) -> dict[str, Any]:
    digits = tuple(RoundingStep(*row) for row in rows)
    return {"rule": ShimRule(digits=digits, digits_unit=mm("0.01"))}


def rule(**members: Any) -> dict[str, Any]:
    return {"rule": ShimRule(**members)}


@pytest.mark.parametrize(
    "members",
    [
        {},
        {"factor": Decimal("0.5")},
        sizes(mm("0.05"), mm("50")),
        table((0, 2, 0), (3, 7, 5), (8, 9, 10)),
        rule(step=mm("0.05"), rounding=ShimRounding.UP, most_shims=1),
        rule(thicker_by=mm("0.05"), thicker_at_most=mm("0.05")),
        {"assortment": (AssortmentLine("prt_1"), AssortmentLine("prt_2", 1000))},
        {"disturbed_by_position_ids": ("pos_1", "pos_2")},
    ],
)
def test_what_holds_together_is_taken(members: dict[str, Any]) -> None:
    check_shim_place(replace(PLAIN, **members))


@pytest.mark.parametrize(
    ("members", "pointer", "code"),
    [
        ({"factor": Decimal(0)}, "/factor", "out-of-range"),
        ({"factor": Decimal("NaN")}, "/factor", "out-of-range"),
        ({"factor": Decimal(1001)}, "/factor", "out-of-range"),
        (sizes(mm("0")), "/sizes/0/thickness/value", "out-of-range"),
        (sizes(mm("0.1"), mm("50.001")), "/sizes/1/thickness/value", "out-of-range"),
        # 0.1 in are 2.54 mm, by definition: the same shim in another unit.
        (
            sizes(mm("2.54"), Quantity(Decimal("0.1"), "in")),
            "/sizes/1/thickness",
            "duplicate-item",
        ),
        (sizes(*(mm(f"0.{n:03d}") for n in range(1, 202))), "/sizes", "too-many"),
        (sizes(Quantity(Decimal(1), "N")), "/sizes/0/thickness/unit", "unit-wrong-dimension"),
        (table((0, 2, 0), (4, 9, 5)), "/rule/digits/1/first", "rounding-table"),
        (table((0, 4, 0), (4, 9, 5)), "/rule/digits/1/first", "rounding-table"),
        (table((1, 9, 0)), "/rule/digits/0/first", "rounding-table"),
        (table((0, 8, 0)), "/rule/digits/0/last", "rounding-table"),
        (table((0, 10, 0)), "/rule/digits/0/last", "rounding-table"),
        (table((0, 9, 11)), "/rule/digits/0/to", "out-of-range"),
        (rule(digits_unit=mm("0.01")), "/rule/digits", "rule-incomplete"),
        (rule(digits=(RoundingStep(0, 9, 0),)), "/rule/digits_unit", "rule-incomplete"),
        (rule(step=mm("0.05")), "/rule/rounding", "rule-incomplete"),
        (rule(rounding=ShimRounding.UP), "/rule/step", "rule-incomplete"),
        (rule(thicker_by=mm("0.05")), "/rule/thicker_at_most", "rule-incomplete"),
        (
            rule(thicker_by=mm("0.05"), thicker_at_most=mm("0.04")),
            "/rule/thicker_at_most/value",
            "range-reversed",
        ),
        (
            rule(step=mm("0"), rounding=ShimRounding.UP),
            "/rule/step/value",
            "out-of-range",
        ),
        (rule(most_shims=0), "/rule/most_shims", "out-of-range"),
        (
            rule(
                step=mm("0.05"),
                rounding=ShimRounding.UP,
                digits=(RoundingStep(0, 9, 0),),
                digits_unit=mm("0.01"),
            ),
            "/rule/digits",
            "rule-incomplete",
        ),
        (
            rule(mean_cut_to=Quantity(Decimal("0.01"), "mm", plus_minus=Decimal("0.001"))),
            "/rule/mean_cut_to/plus_minus",
            "uncertainty-misplaced",
        ),
        (
            {"assortment": (AssortmentLine("prt_1"), AssortmentLine("prt_1"))},
            "/assortment/1/part_id",
            "duplicate-item",
        ),
        ({"assortment": (AssortmentLine("prt_1", 0),)}, "/assortment/0/quantity", "out-of-range"),
        (
            {"disturbed_by_position_ids": ("pos_1", "pos_1")},
            "/disturbed_by_position_ids/1",
            "duplicate-item",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(
    members: dict[str, Any], pointer: str, code: str
) -> None:
    with pytest.raises(InvalidInput) as caught:
        check_shim_place(replace(PLAIN, **members))
    assert (caught.value.pointer, caught.value.code) == (pointer, code)
    assert caught.value.fix
