"""Situations from the trade: shim packs that are not known, not in the list, or printed wrongly.

In some situations the figures are filled in on the source's rule; each says so.
"""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.bodies import Shop, mm

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


@pytest.fixture
def shop(client: TestClient[Any], headers: dict[str, str]) -> Shop:
    return Shop(client, headers["Authorization"].removeprefix("Bearer "))


def inch(value: str, **more: str) -> dict[str, str]:
    return {"value": value, "unit": "in", **more}


def pack(shop: Shop, **body: Any) -> Any:
    answer = shop.call("POST", "/calculations/shim-pack", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def size(quantity: Any, unit: str = "mm") -> Decimal:
    assert quantity["unit"] == unit
    return Decimal(quantity["value"])


def shims_of(one: Any) -> list[Decimal]:
    return sorted(
        Decimal(line["thickness"]["value"])
        for line in one["shims"]
        for _ in range(line["quantity"])
    )


# --- broken shims measured with a caliper ---------------------------------------------------------

LISTED = [
    {"thickness": inch("0.002"), "is_discontinued": True},
    *({"thickness": inch(one)} for one in ("0.003", "0.004", "0.005")),
]


def broken(first: str, second: str, **doubt: str) -> list[dict[str, Any]]:
    return [
        {"thickness": inch(one, **doubt), "quantity": 1, "is_broken": True}
        for one in (first, second)
    ]


def test_two_broken_shims_are_not_ordered_by_what_a_caliper_says(shop: Shop) -> None:
    """Source: public: boat-engine forum thread. The caliper may be off by 0.001 in each time."""
    found = pack(shop, old_pack=broken("0.002", "0.001", plus_minus="0.001"), sizes=LISTED)
    assert found["advice"] == "measure-first"
    old = found["old_pack"]
    assert [size(old[end], "in") for end in ("lower", "total", "upper")] == [
        Decimal("0.001"),
        Decimal("0.003"),
        Decimal("0.005"),
    ]
    assert [size(one, "in") for one in old["listed_within"]] == [
        Decimal("0.003"),
        Decimal("0.004"),
        Decimal("0.005"),
    ]
    assert old["is_certain"] is False
    told = " ".join([found["reason"], *found["to_measure"], *found["cautions"]])
    assert "micrometer" in told
    assert "0.001 in" in told  # it is not in the list: the reading is suspect
    assert not any(one["is_likely_enough"] for one in found["packs"])


def test_a_broken_shim_that_states_no_doubt_is_no_better_known(shop: Shop) -> None:
    found = pack(shop, old_pack=broken("0.002", "0.001"), sizes=LISTED)
    assert found["advice"] == "measure-first"
    assert found["old_pack"]["is_certain"] is False


# --- stacks from seven thicknesses ----------------------------------------------------------------

SEVEN = [{"thickness": mm(one)} for one in ("0.10", "0.12", "0.15", "0.18", "0.30", "0.40", "0.50")]
THICKER = {"thicker_by": mm("0.01"), "thicker_at_most": mm("0.05")}


@pytest.mark.parametrize(
    ("target", "use", "pieces"),
    [
        ("0.92", "0.92", 3),
        ("0.13", "0.15", 1),
        ("0.37", "0.37", 3),
        ("0.58", "0.58", 2),
        ("0.23", "0.24", 2),
    ],
)
def test_fewest_shims_and_thicker_where_no_stack_fits(
    shop: Shop, target: str, use: str, pieces: int
) -> None:
    """Source: public: outboard service manual pages; figures filled in on their rule."""
    change = f"{Decimal(target) - Decimal('1.12')}"
    found = pack(shop, old_total=mm("1.12"), change=mm(change), stock=SEVEN, rule=THICKER)
    assert size(found["needed"]["value"]) == Decimal(target)
    best = found["packs"][0]
    assert size(best["total"]) == Decimal(use)
    assert len(shims_of(best)) == pieces and sum(shims_of(best)) == Decimal(use)
    known = {one["thickness"]["value"] for one in SEVEN}
    assert {f"{one:.2f}" for one in shims_of(best)} <= known  # no thickness is invented


def test_a_mean_backlash_is_cut_off_and_not_rounded(shop: Shop) -> None:
    """Source: public: outboard service manual pages; figures filled in on their rule."""
    found = pack(
        shop,
        old_total=mm("1.12"),
        readings=[mm(one) for one in ("0.77", "0.78", "0.78", "0.785")],
        clearance_lower=mm("0.55"),
        clearance_upper=mm("0.60"),
        effect="more-shims-increase",
        uncertainty=mm("0.004"),
        stock=SEVEN,
        rule={**THICKER, "mean_cut_to": mm("0.01")},
    )
    assert size(found["needed"]["mean"]) == Decimal("0.77875")
    assert size(found["needed"]["measured"]) == Decimal("0.77")


# --- a printed example that subtracts wrongly -----------------------------------------------------


def ring(shop: Shop, new: str, **more: Any) -> Any:
    change = {
        "old": mm("30.802"),
        "new": mm(new),
        "larger_part": "thinner",
        "threshold": mm("0.025"),
    }
    return pack(shop, old_total=mm("2.10"), part_change=change, **more)


def test_a_larger_ring_wants_a_shim_thinner_by_the_difference(shop: Shop) -> None:
    """Source: public: car gearbox workshop manual. The page prints 2.028, which is a slip."""
    found = ring(shop, "30.83")
    assert size(found["needed"]["value"]) == Decimal("2.072")
    assert found["advice"] == "nothing-to-choose-from" and found["packs"] == []
    with_shims = ring(shop, "30.83", stock=[{"thickness": mm("2.028")}, {"thickness": mm("2.072")}])
    assert shims_of(with_shims["packs"][0]) == [Decimal("2.072")]


def test_up_to_the_threshold_the_shims_stay(shop: Shop) -> None:
    assert ring(shop, "30.827")["advice"] == "old-pack-stays"
    assert ring(shop, "30.828")["advice"] != "old-pack-stays"
