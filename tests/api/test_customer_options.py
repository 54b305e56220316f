"""What a customer may see of the options: no cost, no margin, no supplier, wherever one looks."""

import re
from collections.abc import Iterator
from typing import Any

import pytest

from api.app import Api
from api.demo.load import load_scenario
from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh
from tests.api.conftest import make_shop

AS_OF = "2031-03-04T09:15:00Z"
FORBIDDEN = re.compile("cost|margin|supplier|mark-?up|offer_id|donor|risk|expected|amounts")
"""Members that are the shop's alone to see."""


@pytest.fixture(scope="module")
def yard(app: Api, client: Any) -> Shop:
    shop = make_shop(app, client, fresh("Invented timber yard"))
    client.headers.update(shop.headers)
    try:
        load_scenario(client)
    finally:
        client.headers.pop("Authorization")
    return shop


@pytest.fixture(scope="module")
def job_id(yard: Shop) -> str:
    return str(yard.get("/jobs").json()["items"][1]["id"])


@pytest.fixture(scope="module")
def options(yard: Shop, job_id: str) -> dict[str, Any]:
    answer = yard.get(
        f"/jobs/{job_id}/options", as_of=AS_OF, break_evens="0", settlings="0", effort="5"
    )
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


@pytest.fixture(scope="module")
def told(yard: Shop, job_id: str) -> dict[str, Any]:
    answer = yard.get(f"/jobs/{job_id}/customer-options", as_of=AS_OF)
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def members(value: Any, way: str = "") -> Iterator[tuple[str, Any]]:
    """Every member below a value, with the way there."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield f"{way}/{name}", item
            yield from members(item, f"{way}/{name}")
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from members(item, f"{way}/{index}")


def test_every_plan_in_time_is_told_the_recommended_one_first(
    told: dict[str, Any], options: dict[str, Any]
) -> None:
    plans = {plan["id"]: plan for plan in options["plans"]}
    assert told["items"]
    assert told["items"][0]["plan_id"] == options["recommended"]
    assert [item["is_recommended"] for item in told["items"]].count(True) == 1
    for item in told["items"]:
        plan = plans[item["plan_id"]]
        assert plan["meets_required_by"] is True
        assert item["route"] == plan["route"]
        assert item["plan"] == plan["customer"]
        assert item["plan"]["to_pay"] == plan["to_pay"]
        assert item["plan"]["promise_on"] == plan["readiness"]["promise_on"]
    for_the_shop = [one for one in options["cautions"] if one not in told["cautions"]]
    assert [one["text"][:17] for one in for_the_shop] == ["Tell the customer"]
    assert told["required_by_on"] == options["required_by_on"]


def test_prices_hold_as_long_as_the_first_offer_of_a_plan(told: dict[str, Any]) -> None:
    assert {item["holds_until"] for item in told["items"]} <= {"2031-04-30", None}
    assert any(item["holds_until"] == "2031-04-30" for item in told["items"])


def test_no_member_is_the_shops_alone(told: dict[str, Any]) -> None:
    for way, _ in members(told):
        assert not FORBIDDEN.search(way.rsplit("/", 1)[1]), way


def test_no_text_names_a_supplier_a_cost_or_a_margin(
    yard: Shop, told: dict[str, Any], options: dict[str, Any]
) -> None:
    names = {one["name"] for one in yard.get("/suppliers", limit="200").json()["items"]}
    # What the customer pays may by chance be what something costs: such figures prove nothing.
    shown = {
        plan[name]["amount"]
        for plan in options["plans"]
        for name in ("price", "net_total", "tax", "to_pay", "inspection")
    } | {item["plan"]["deposit"]["amount"] for item in told["items"]}
    secret = {
        value["amount"]
        for way, value in members(options["plans"])
        if way.rsplit("/", 1)[1] in ("cost", "margin")
    } - shown
    secret = {amount for amount in secret if abs(float(amount)) >= 1}
    assert names
    assert secret
    texts = [(way, value) for way, value in members(told) if isinstance(value, str)]
    for way, text in texts:
        assert not [name for name in names if name.lower() in text.lower()], (way, text)
        figures = set(re.findall(r"\d+(?:\.\d+)?", text.replace(",", "")))
        assert not figures & secret, (way, text, figures & secret)
        assert not re.search(r"\b(margin|mark-?up)\b", text, re.IGNORECASE), (way, text)


def test_the_question_takes_a_moment_and_an_aim_alone(yard: Shop, job_id: str, shop: Shop) -> None:
    where = f"/jobs/{job_id}/customer-options"
    assert error_of(yard.get(where, as_of="2031-03-04"), "/as_of")
    answer = yard.get(where, as_of=AS_OF, effort="5")
    assert answer.json()["type"] == "/problems/unknown-parameter"
    assert shop.get(where, as_of=AS_OF).status_code == 404


@pytest.mark.parametrize("way", ["options", "customer-options"])
def test_a_shop_without_settings_is_told_so_as_the_document_says(
    app: Api, client: Any, way: str
) -> None:
    newcomer = make_shop(app, client, fresh("Workshop without settings"))
    assembly_id = newcomer.make("/assemblies", bodies.assembly())
    unit_id = newcomer.make("/units", {"assembly_id": assembly_id, "kind": "customer"})
    job_id = newcomer.make("/jobs", {"unit_id": unit_id, "complaint": "Noisy."})
    answer = newcomer.get(f"/jobs/{job_id}/{way}")
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/state-conflict")
    assert "settings" in answer.json()["fix"]
    document = client.get("/openapi.json").json()
    assert "409" in document["paths"][f"/v1/jobs/{{job_id}}/{way}"]["get"]["responses"]
