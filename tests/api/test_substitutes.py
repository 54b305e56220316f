"""GET /v1/special-tools/{id}/substitutes and POST /v1/calculations/substitutes."""

from decimal import Decimal
from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, mm, money

ASK = "/calculations/substitutes"
TORQUE = {"value": "60", "unit": "N·m"}
AS_OF = "2031-03-04T09:15:00Z"
FEATURES = [
    {"kind": "thread", "designation": "M8x1.25", "count": 2},
    {"kind": "plate-thickness", "size": mm("14")},
    {"kind": "reach", "size": mm("16")},
    {"kind": "travel", "size": mm("9")},
    {"kind": "wall", "size": mm("6")},
]
WORK: dict[str, Any] = {
    "function": "separate",
    "name": "Cover puller",
    "features": FEATURES,
    "force": {"value": "3.5", "unit": "kN"},
    "force_highest": {"value": "4.5", "unit": "kN"},
    "workpiece_material": "cast aluminium",
    "pushed_material": "S355",
    "is_symmetric": True,
    "uses": [],
    "in_the_way": "nothing",
    "lubrication": "oiled",
}
SCREWS: dict[str, Any] = {
    "name": "Hexagon screw",
    "kind": "screw",
    "quantity": 4,
    "designation": "M8x1.25x60",
    "property_class": "8.8",
    "form": "screw",
    "features": [{"kind": "thread-length", "size": mm("56")}],
    "tip": "flat",
    "worth": money("0.45"),
}


def ask(shop: Shop, work: dict[str, Any], *items: dict[str, Any], **more: Any) -> Any:
    body = {"requirement": work, "items": items, "include_standard_items": False, **more}
    answer = shop.call("POST", ASK, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def stored(shop: Shop, tool_id: str, **query: str) -> Any:
    query = {"as_of": AS_OF, "include_standard_items": "false", **query}
    answer = shop.get(f"/special-tools/{tool_id}/substitutes", **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def drawer_of(answer: Any) -> list[str]:
    return [item["key"] for one in answer["candidates"] for item in one["items"]]


def test_a_yes_has_its_pieces_torque_steps_cautions_and_margin(shop: Shop) -> None:
    answer = ask(shop, WORK, SCREWS, jobs_to_come=3)
    assert (answer["accepted_count"], answer["refused_count"]) == (1, 0)
    assert answer["families"] == ["jacking screws"]
    assert answer["force"]["most"] == {"value": "4500.00000", "unit": "N"}
    assert answer["force"]["is_estimate"] is False
    (found,) = answer["candidates"]
    (item,) = found["items"]
    assert found["accepted"] is True and found["reasons"] == []
    assert (item["key"], item["count"], item["is_on_hand"]) == ("items/0", 2, True)
    assert "dog point" in item["preparation"]
    assert found["cost"] == {"amount": "0.90", "currency": "EUR"}
    torques = [float(step["value"]) for step in found["torque_per_step"]]
    assert torques == sorted(torques) and torques[-1] == float(found["torque"]["value"])
    assert float(found["force_least"]["value"]) >= 4500
    assert found["steps"] and found["cautions"]
    margins = [float(one["margin"]) for one in found["checks"] if one["margin"] is not None]
    assert min(margins) == float(found["margin"]) >= 1
    assert found["governing_check"] in [one["name"] for one in found["checks"]]
    assert all(one["passes"] and one["basis"] for one in found["checks"])


def test_figures_to_set_are_rounded_to_the_safe_side_and_pieces_are_prepared_first(
    shop: Shop,
) -> None:
    (found,) = ask(shop, WORK, SCREWS)["candidates"]
    surely, most = (Decimal(found[name]["value"]) for name in ("force_least", "force_most"))
    set_to = [Decimal(step["value"]) for step in found["torque_per_step"]]
    for figure in (surely, most, *set_to):
        assert len(figure.normalize().as_tuple().digits) <= 3
    (force,) = [one for one in found["checks"] if one["name"] == "force"]
    exact = Decimal(force["margin"]) * 4500
    assert exact * Decimal("0.99") < surely <= exact < most
    assert f"{set_to[-1]} N·m" in " ".join(found["steps"])
    assert found["steps"][0].startswith("Before, of 2 x Hexagon screw: grind a dog point")


def test_missing_facts_are_named_as_they_are_sent(shop: Shop) -> None:
    unsaid = ("workpiece_material", "pushed_material", "lubrication")
    work = {name: value for name, value in WORK.items() if name not in unsaid}
    answer = ask(shop, work, SCREWS)
    assert sorted(one["member"] for one in answer["missing"]) == sorted(unsaid)
    turn = {"function": "turn", "uses": [], "in_the_way": "nothing", "torque": TORQUE}
    hook = {"name": "Hook", "form": "hook-spanner", "features": []}
    asked = ask(shop, turn, hook)["missing"]
    assert "thread_hand" in [one["member"] for one in asked]


def test_a_no_names_what_fails_and_carries_neither_torque_nor_steps(shop: Shop) -> None:
    short = {**SCREWS, "designation": "M8x1.25x20", "features": []}
    inch = {**SCREWS, "designation": "5/16-18 UNC x 2", "property_class": None, "features": []}
    answer = ask(shop, WORK, short, inch)
    assert answer["accepted_count"] == 0
    assert answer["refused_count"] == len(answer["candidates"]) == 2
    for one in answer["candidates"]:
        assert one["accepted"] is False and one["reasons"]
        assert (one["torque"], one["torque_per_step"], one["steps"]) == (None, [], [])
    reasons = {one["items"][0]["key"]: " ".join(one["reasons"]) for one in answer["candidates"]}
    assert "length" in reasons["items/0"]
    assert "binds" in reasons["items/1"]


def test_what_is_missing_is_asked_for_and_a_spring_is_refused_whatever_it_is(shop: Shop) -> None:
    unsaid = {name: value for name, value in WORK.items() if name != "uses"}
    answer = ask(shop, unsaid, SCREWS)
    assert answer["accepted_count"] == 0
    assert [one["member"] for one in answer["missing"]] == ["uses"]
    travel = [{"kind": "travel", "size": mm("22")}]
    spring = {"function": "compress", "features": travel, "force": WORK["force"], "uses": []}
    answer = ask(shop, spring, SCREWS)
    assert answer["candidates"] == []
    assert [one["code"] for one in answer["refused_whatever"]] == ["stored-energy"]
    answer = ask(shop, {**WORK, "uses": ["lifting"]}, SCREWS)
    assert (answer["accepted_count"], answer["candidates"]) == (0, [])
    assert [one["code"] for one in answer["refused_whatever"]] == ["lifting"]


def test_ways_are_compared_over_the_jobs_to_come(shop: Shop) -> None:
    offers = [
        {"kind": "hire", "name": "Puller for a day", "price": money("38.00")},
        {"kind": "buy", "name": "Puller", "price": money("148.00")},
    ]
    answer = ask(shop, WORK, SCREWS, offers=offers, jobs_to_come=5)["comparison"]
    assert answer["jobs"] == 5
    totals = {way["kind"]: way["total"]["amount"] for way in answer["ways"]}
    assert totals == {"substitute": "0.90", "hire": "190.00", "buy": "148.00"}
    assert answer["cheapest"]["kind"] == "substitute"
    assert answer["buying_pays_from"] == 4


def test_standard_items_are_tried_too_and_told_as_not_on_hand(shop: Shop) -> None:
    answer = ask(shop, WORK, include_standard_items=True, limit=1)
    assert answer["accepted_count"] > 1
    assert [one["accepted"] for one in answer["candidates"]].count(True) == 1
    best = answer["candidates"][0]
    assert best["accepted"] and not best["is_on_hand"]
    assert best["items"][0]["key"].startswith("standard/")
    assert best["cost"] is None and best["cost_note"]
    assert answer["unread"] == [] and any("ask a dealer" in note for note in answer["notes"])


def test_a_stored_tool_is_answered_from_the_shops_own_stock_and_offers(
    shop: Shop, other_shop: Shop
) -> None:
    part = shop.make("/parts", bodies.part(kind="special-tool"))
    tool = shop.make("/special-tools", {**WORK, "part_id": part})
    screws = shop.make("/stock-items", {**SCREWS, "kind": "screw"})
    gone = shop.make("/stock-items", {**SCREWS, "quantity": 0})
    odd = shop.make("/stock-items", {"name": "Odd thing", "kind": "thing", "quantity": 1})
    supplier = shop.make("/suppliers", bodies.supplier())
    for price, more in (
        ("148.00", {}),
        ("90.00", {"valid_until": "2031-03-03"}),
        ("80.00", {"valid_from": "2031-03-05"}),
        (
            "70.00",
            {
                "minimum_quantity": 2,
                "price_breaks": [{"from_quantity": 2, "price": money("60.00")}],
            },
        ),
        ("50.00", {"available_quantity": 0}),
    ):
        priced = {"price": money(price), "valid_from": None, "valid_until": None, **more}
        shop.make("/offers", bodies.offer(supplier, part_id=part, **priced))
    answer = stored(shop, tool, jobs_to_come="2")
    assert (answer["special_tool_id"], answer["as_of"]) == (tool, AS_OF)
    assert answer["stock_left_out"] == 0
    assert drawer_of(answer) == [screws] and gone not in str(answer)
    assert answer["accepted_count"] == 1
    assert [one["key"] for one in answer["unread"]] == [odd]
    ways = answer["comparison"]["ways"]
    bought = sorted(way["total"]["amount"] for way in ways if way["kind"] == "buy")
    assert bought == ["120.00", "148.00"]
    # The tool is the catalogue's; stock and offers are not.
    theirs = stored(other_shop, tool)
    assert theirs["candidates"] == [] and theirs["comparison"] is None
    own = other_shop.make("/stock-items", SCREWS)
    assert drawer_of(stored(other_shop, tool)) == [own]
    assert shop.get("/special-tools/stl_none/substitutes").status_code == 404


def test_what_a_stored_tool_says_badly_counts_as_not_said(shop: Shop) -> None:
    odd = {"kind": "thread", "designation": "whatever", "count": 2}
    twice = {"kind": "reach", "size": mm("17")}
    features = [odd, *FEATURES[1:], twice]
    tool = shop.make("/special-tools", {**WORK, "features": features})
    shop.make("/stock-items", SCREWS)
    answer = stored(shop, tool)
    assert answer["accepted_count"] == 0 and answer["notes"]
    # Sent, the same is refused.
    body = {"requirement": {**WORK, "features": features}}
    error_of(shop.call("POST", ASK, json=body), "/requirement/features/0/designation")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"features": [*FEATURES, FEATURES[1]]}, "/requirement/features/1/kind"),
        ({"features": [{"kind": "hole", "size": mm("1")}]}, "/requirement/features/0/kind"),
        ({"features": [{"kind": "reach", "size": mm("0")}]}, "/requirement/features/0/size"),
        (
            {"features": [{"kind": "reach", "size": {"value": "1", "unit": "N"}}]},
            "/requirement/features/0/size/unit",
        ),
        ({"workpiece_hardness": "hard"}, "/requirement/workpiece_hardness"),
        ({"force": {"value": "1", "unit": "kg"}}, "/requirement/force/unit"),
        ({"force": {"value": "0", "unit": "N"}}, "/requirement/force"),
        ({"force_highest": {"value": "1", "unit": "N"}}, "/requirement/force_highest"),
        ({"uses": ["towing"]}, "/requirement/uses/0"),
        ({"uses": ["impact", "impact"]}, "/requirement/uses/1"),
        ({"lubrication": "spit"}, "/requirement/lubrication"),
        ({"function": "hit"}, "/requirement/function"),
        ({"hardness": "58 HRC"}, "/requirement/hardness"),
    ],
)
def test_what_cannot_be_meant_is_refused_where_it_stands(
    shop: Shop, change: dict[str, Any], pointer: str
) -> None:
    body = {"requirement": {**WORK, **change}, "items": [SCREWS]}
    error_of(shop.call("POST", ASK, json=body), pointer)


def test_the_rest_of_the_question_is_held_to_its_bounds(shop: Shop) -> None:
    def refused(pointer: str, **body: Any) -> None:
        error_of(shop.call("POST", ASK, json={"requirement": WORK, **body}), pointer)

    refused("/items/1/id", items=[{**SCREWS, "id": "a"}, {**SCREWS, "id": "a"}])
    refused("/items", items=[{"name": "x"}] * 5001)
    refused("/jobs_to_come", jobs_to_come=0)
    refused("/limit", limit=21)
    refused("/offers/0/price/amount", offers=[{"kind": "buy", "name": "x", "price": money("-1")}])
    tool = shop.make("/special-tools", WORK)
    for name, value in (
        ("limit", "0"),
        ("jobs_to_come", "1001"),
        ("include_standard_items", "yes"),
        ("as_of", "today"),
    ):
        error_of(shop.get(f"/special-tools/{tool}/substitutes", **{name: value}), f"/{name}")


def test_five_thousand_absurd_items_are_told_and_not_counted(shop: Shop) -> None:
    absurd = {
        "name": "Something",
        "kind": "screw",
        "designation": "M999999x0.0001x999999999",
        "features": [{"kind": "length", "size": {"value": "999999999999999", "unit": "km"}}],
        "hardness": "about 9",
    }
    answer = ask(shop, WORK, *([absurd] * 5000))
    assert answer["accepted_count"] == answer["refused_count"] == 0
    assert answer["unread_count"] == 5000 and len(answer["unread"]) == 100
