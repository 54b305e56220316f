"""Situations from the trade: stacks of shims, broken ones, a printed example that is wrong."""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.bodies import Shop, mm

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


@pytest.fixture
def shop(client: TestClient[Any], headers: dict[str, str]) -> Shop:
    return Shop(client, headers["Authorization"].removeprefix("Bearer "))


def packed(shop: Shop, **body: Any) -> Any:
    answer = shop.call("POST", "/calculations/shim-pack", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def inch(value: str, **doubt: str) -> dict[str, str]:
    return {"value": value, "unit": "in", **doubt}


def values(quantities: Any) -> list[Decimal]:
    return [Decimal(one["value"]) for one in quantities]


def pieces(pack: Any) -> list[Decimal]:
    return [
        Decimal(line["thickness"]["value"])
        for line in pack["shims"]
        for _ in range(line["quantity"])
    ]


def test_broken_shims_read_with_a_caliper_are_not_ordered_yet(shop: Shop) -> None:
    """Source: public: boat-engine forum thread; input as found."""
    broken = {"quantity": 1, "is_broken": True}
    asked = {
        "old_pack": [
            {"thickness": inch("0.002", plus_minus="0.001"), **broken},
            {"thickness": inch("0.001", plus_minus="0.001"), **broken},
        ],
        "sizes": [
            {"thickness": inch("0.002"), "is_discontinued": True},
            *({"thickness": inch(size)} for size in ("0.003", "0.004", "0.005")),
        ],
    }
    answer = packed(shop, **asked)
    assert answer["advice"] == "measure-first" and "do not order yet" in answer["reason"]
    assert answer["packs"] == []  # not 0.003 with confidence
    old = answer["old_pack"]
    assert (old["total"], old["lower"], old["upper"]) == (
        inch("0.003"),
        inch("0.001"),
        inch("0.005"),
    )
    assert values(old["listed_within"]) == [Decimal(size) for size in ("0.003", "0.004", "0.005")]
    assert any("micrometer" in text for text in answer["to_measure"])
    assert any("0.001 in is not in the list: suspect" in text for text in answer["cautions"])


STACKS = {
    "0.92": ("0.92", 3, ["0.12", "0.3", "0.5"]),
    "0.13": ("0.15", 1, ["0.15"]),
    "0.37": ("0.37", 3, ["0.1", "0.12", "0.15"]),
    "0.58": ("0.58", 2, ["0.18", "0.4"]),
    "0.23": ("0.24", 2, ["0.12", "0.12"]),
}
MANUAL = {"thicker_by": mm("0.01"), "thicker_at_most": mm("0.10"), "mean_cut_to": mm("0.01")}
SIZES = [
    {"thickness": mm(size)} for size in ("0.10", "0.12", "0.15", "0.18", "0.30", "0.40", "0.50")
]


@pytest.mark.parametrize("target", STACKS)
def test_the_fewest_pieces_make_the_stack_or_the_next_thicker_one(shop: Shop, target: str) -> None:
    """Source: public: outboard service manual pages; figures filled in on their rule."""
    use, number, one_choice = STACKS[target]
    change = Decimal(target) - Decimal("1.12")
    answer = packed(
        shop, old_total=mm("1.12"), change=mm(f"{change:f}"), sizes=SIZES, rule=MANUAL,
        most_packs=20,
    )  # fmt: skip
    assert Decimal(answer["needed"]["value"]["value"]) == Decimal(target)
    first = answer["packs"][0]
    assert Decimal(first["total"]["value"]) == Decimal(use)
    assert len(pieces(first)) == number
    assert [Decimal(size) for size in one_choice] in [pieces(pack) for pack in answer["packs"]]


def test_a_mean_is_cut_off_where_the_manual_cuts_it(shop: Shop) -> None:
    """The wanted backlash and the old pack are filled in."""
    answer = packed(
        shop,
        readings=[mm(size) for size in ("0.77", "0.78", "0.78", "0.785")],
        old_total=mm("1.12"),
        clearance_lower=mm("0.50"),
        clearance_upper=mm("0.60"),
        effect="more-shims-decrease",
        rule=MANUAL,
    )
    assert answer["needed"]["mean"] == mm("0.77875")
    assert answer["needed"]["measured"] == mm("0.77")  # rounded it would be 0.78


def test_a_printed_example_that_subtracts_wrongly_is_reckoned_anew(shop: Shop) -> None:
    """Source: public: car gearbox workshop manual; input as found. It prints 2.028."""
    change = {
        "old": mm("30.802"),
        "new": mm("30.83"),
        "larger_part": "thinner",
        "threshold": mm("0.025"),
    }
    answer = packed(shop, old_pack=[{"thickness": mm("2.1")}], part_change=change)
    assert answer["needed"]["value"] == mm("2.072")
    assert "0.028 mm larger" in answer["needed"]["how"]
    small = packed(
        shop, old_pack=[{"thickness": mm("2.1")}], part_change={**change, "new": mm("30.827")}
    )
    assert small["advice"] == "old-pack-stays"
