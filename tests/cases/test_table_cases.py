"""Situations from the trade: end play by a table, the wear of the washers taken out first."""

from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.bodies import Shop

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def inch(value: str, **doubt: str) -> dict[str, str]:
    return {"value": value, "unit": "in", **doubt}


ROWS = [
    {"says": "standard", "upper": inch("0.016"), "is_upper_excluded": True},
    {"says": "0.005 over", "lower": inch("0.017"), "upper": inch("0.026")},
    {"says": "0.010 over", "lower": inch("0.027"), "upper": inch("0.036")},
    {"says": "replace crankshaft", "lower": inch("0.036"), "is_lower_excluded": True},
]
WASHERS = {
    "what": "bottom washers",
    "measured": [inch("0.117"), inch("0.116")],
    "new": inch("0.244"),
}


@pytest.fixture
def shop(client: TestClient[Any], headers: dict[str, str]) -> Shop:
    return Shop(client, headers["Authorization"].removeprefix("Bearer "))


def choose(shop: Shop, **body: Any) -> Any:
    answer = shop.call("POST", "/calculations/table-choice", json={"rows": ROWS, **body})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_wear_of_the_washers_comes_out_before_the_table(shop: Shop) -> None:
    """Source: public: army technical manual page; figures filled in on its rule."""
    found = choose(shop, measured=inch("0.034"), corrections=[WASHERS])
    assert found["wear"] == inch("0.011")
    assert found["corrected"] == inch("0.023")
    assert found["row"]["says"] == "0.005 over"
    assert found["raw_row"]["says"] == "0.010 over"
    assert found["is_changed_by_wear"] is True


def test_a_value_between_two_rows_is_said_to_be_so(shop: Shop) -> None:
    """Source: public: army technical manual page; figures filled in on its rule."""
    found = choose(shop, measured=inch("0.0165"))
    assert (found["choice"], found["row"]) == ("between-rows", None)
    assert "0.0165 in falls between two rows" in found["notes"][0]
    itself = choose(shop, measured=inch("0.016"))  # "below 0.016" does not hold 0.016
    assert (itself["choice"], itself["row"]) == ("between-rows", None)


def test_a_row_is_chosen_only_where_the_doubt_reaches_no_other(shop: Shop) -> None:
    """Source: public: army technical manual page; the doubt is ours."""
    unsure = {
        **WASHERS,
        "measured": [inch(one["value"], plus_minus="0.002") for one in WASHERS["measured"]],
    }
    found = choose(shop, measured=inch("0.034", plus_minus="0.003"), corrections=[unsure])
    assert (found["choice"], found["row"]) == ("doubtful", None)
    assert {one["row"] and one["row"]["says"] for one in found["chances"]} >= {
        "0.005 over",
        "0.010 over",
    }
    near = choose(shop, measured=inch("0.0262", plus_minus="0.0005"))
    assert near["row"] is None
    clear = choose(shop, measured=inch("0.0220", plus_minus="0.0005"))
    assert clear["row"]["says"] == "0.005 over"
