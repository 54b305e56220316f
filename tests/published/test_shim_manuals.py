"""Shims chosen as public service manuals work it out, and one set constructed for exactness.

The manuals' makers are not named. Readings and ranges are as printed; where a figure is filled in
on the manual's rule, it is said.
"""

from decimal import Decimal
from itertools import pairwise

import pytest

from shared.condition.model import ShimEffect
from shared.condition.shim_place import RoundingStep, ShimRounding, ShimRule, ShimSize
from shared.condition.shims.asked import (
    DepthMark,
    DepthSum,
    DepthTerm,
    MarkCounts,
    ShimPackAsked,
    StockShim,
)
from shared.condition.shims.calculation import shim_pack
from shared.condition.shims.found import ShimAdvice
from shared.quantities import Quantity

DIGITS = ShimRule(
    digits=(RoundingStep(0, 2, 0), RoundingStep(3, 7, 5), RoundingStep(8, 9, 10)),
    digits_unit=Quantity(Decimal("0.01"), "mm"),
)


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{name: Decimal(text) for name, text in doubt.items()})


def sizes(*values):
    return tuple(ShimSize(mm(value)) for value in values)


def depths(*lengths, marks=()):
    """Lengths that are added, or taken off where a minus stands before them."""
    terms = tuple(
        DepthTerm(f"length {place}", mm(text.lstrip("-")), Decimal(-1 if text[0] == "-" else 1))
        for place, text in enumerate(lengths)
    )
    return DepthSum(terms, None, marks)


def made(pack):
    return [line.thickness.value for line in pack.shims for _ in range(line.quantity)]


def test_a_gap_less_the_clearance_is_the_range_of_the_pack():
    # Off-road vehicle manual: 0.47 mm without shims, 0.06 to 0.11 wanted: 0.36 to 0.41.
    needed = shim_pack(
        ShimPackAsked(
            measured_gap=mm("0.47"), clearance_lower=mm("0.06"), clearance_upper=mm("0.11")
        )
    ).needed
    assert (needed.lower, needed.upper) == (mm("0.36"), mm("0.41"))


def test_a_gap_below_the_least_clearance_is_measured_again():
    # The same: below the least clearance without any shims it is read again, bearings seated.
    found = shim_pack(
        ShimPackAsked(
            measured_gap=mm("0.05"),
            clearance_lower=mm("0.06"),
            clearance_upper=mm("0.11"),
            sizes=sizes("0.10"),
        )
    )
    assert found.advice is ShimAdvice.MEASURE_AGAIN and not found.packs
    assert "turning the shaft both ways" in found.to_measure[0]


@pytest.mark.parametrize(
    ("lengths", "thickness", "rounded"),
    [
        (("75.01", "-4.48", "-15.0", "-55"), "0.53", "0.55"),
        (("7.52", "64.98", "-17", "-55"), "0.50", "0.50"),
        (("45.53", "1.05", "-34.95", "-11.00"), "0.63", "0.65"),
    ],
)
def test_a_depth_sum_rounded_by_the_manuals_table(lengths, thickness, rounded):
    # Hundredths 0-2 become 0, 3-7 become 5, 8-9 become 10.
    stock = sizes("0.10", "0.15", "0.20", "0.30", "0.40", "0.50")
    found = shim_pack(ShimPackAsked(depth_sum=depths(*lengths), rule=DIGITS, sizes=stock))
    assert found.needed.value.value == Decimal(thickness)
    assert found.needed.rounded.value == Decimal(rounded)
    assert found.packs[0].total.value == Decimal(rounded)
    if rounded == "0.55":
        assert len(made(found.packs[0])) == 2
        assert [Decimal("0.15"), Decimal("0.40")] in [made(pack) for pack in found.packs]


@pytest.mark.parametrize(
    ("mark", "thickness", "pack"),
    [("5", "0.35", None), ("-3", "0.43", ["0.10", "0.15", "0.18"])],
)
def test_a_mark_in_hundredths_is_taken_off(mark, thickness, pack):
    # Outboard gearcase manual: 11.70 - 11.30 - mark / 100.
    stamped = DepthMark("pinion", Decimal(mark), mm("0.01"), MarkCounts.SUBTRACTS)
    found = shim_pack(
        ShimPackAsked(
            depth_sum=depths("11.70", "-11.30", marks=(stamped,)),
            sizes=sizes("0.10", "0.12", "0.15", "0.18", "0.30", "0.40", "0.50"),
        )
    )
    assert found.needed.value.value == Decimal(thickness)
    if pack is not None:
        assert made(found.packs[0]) == [Decimal(size) for size in pack]


def test_the_nearest_shim_to_the_middle_of_the_clearance():
    # Automatic transmission manual: 1.93 measured, 0.11 to 0.17 wanted, shims in steps of 0.05.
    rule = ShimRule(step=mm("0.05"), rounding=ShimRounding.NEAREST, most_shims=1)
    found = shim_pack(
        ShimPackAsked(
            measured_gap=mm("1.93"),
            clearance_lower=mm("0.11"),
            clearance_upper=mm("0.17"),
            sizes=sizes(*(f"{1.5 + 0.05 * step:.2f}" for step in range(12))),
            rule=rule,
        )
    )
    assert found.needed.value.value == Decimal("1.79")
    assert found.packs[0].total.value == Decimal("1.80")
    assert found.packs[0].comes_to.value == Decimal("0.13")


def test_a_clearance_over_the_old_shim_gives_the_new_one():
    # 2.95 fitted, 0.47 measured, shims in steps of 0.05: 3.15. The wanted clearance is filled in:
    # 0.22 to 0.32, whose middle makes 2.95 + 0.47 - 0.27.
    found = shim_pack(
        ShimPackAsked(
            old_total=mm("2.95"),
            measured=mm("0.47"),
            clearance_lower=mm("0.22"),
            clearance_upper=mm("0.32"),
            effect=ShimEffect.MORE_SHIMS_DECREASE,
            rule=ShimRule(step=mm("0.05"), rounding=ShimRounding.NEAREST, most_shims=1),
            sizes=sizes(*(f"{2 + 0.05 * step:.2f}" for step in range(31))),
        )
    )
    assert made(found.packs[0]) == [Decimal("3.15")]


def test_a_constructed_stock_in_whole_micrometres():
    # Enumeration and a constraint solver agree: three shims, 900; floating sums go astray.
    counts = {"50": 4, "75": 4, "100": 4, "125": 4, "200": 4, "500": 2, "1000": 1}
    stock = tuple(StockShim(Quantity(Decimal(size), "µm"), n) for size, n in counts.items())
    asked = ShimPackAsked(
        pack_lower=Quantity(Decimal(861), "µm"), pack_upper=Quantity(Decimal(900), "µm"),
        stock=stock, most_packs=20,
    )  # fmt: skip
    packs = shim_pack(asked).packs
    assert len(made(packs[0])) == 3 and packs[0].total.value == Decimal(900)
    assert all(len(made(a)) <= len(made(b)) for a, b in pairwise(packs))
    assert all(pack.from_stock for pack in packs)
