"""Repair or replace, as real shops met it: EC-01, EC-03 and EC-05, through the API.

Sources: EC-01 public: boat forum thread; EC-03 public: marine technician's forum post;
EC-05 public: outboard forum thread. Figures as found there.
"""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.snapshots import (
    Members,
    eur,
    goods,
    group,
    job,
    looks,
    part,
    position,
    service,
    settings,
    snapshot,
    supplier,
    work,
)


def decision(client: TestClient[Any], headers: dict[str, str], members: Members) -> Members:
    answer = client.post("/v1/calculations/decision", json=members, headers=headers)
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def plan(result: Members, route: str) -> Members:
    plan_id = next(r["plan_id"] for r in result["routes"] if r["route"] == route)
    return next(p for p in result["plans"] if p["id"] == plan_id)


def amount(money: Members) -> Decimal:
    return Decimal(money["amount"])


def drive_with_a_failed_lower_half(freight: str) -> Members:
    """EC-01: rebuilt 995 + deposit 1000, of which 200 comes back; or a new lower half at 695."""
    core = {"deposit": eur(1000), "refund": eur(200), "acceptance_probability": "1"}
    return snapshot(
        parts=[part("upper"), part("lower")],
        positions=[position("upper"), position("lower")],
        suppliers=[supplier("rebuilder"), supplier("seller", freight)],
        offers=[
            goods(
                "rebuilt_drive",
                "rebuilder",
                "995",
                assembly_id="asm_1",
                condition="rebuilt",
                core=core,
            ),
            goods("lower", "seller", "695"),
        ],
        **looks(upper="none", lower="heavy"),
    )


@pytest.mark.parametrize(("freight", "route"), [("1099", "rebuild"), ("1101", "exchange")])
def test_ec_01_a_deposit_is_not_a_refund_and_freight_decides(client, headers, freight, route):
    result = decision(client, headers, drive_with_a_failed_lower_half(freight))
    exchange = plan(result, "exchange")
    assert amount(exchange["expected_total"]) == 1795
    assert amount(exchange["price"]) == 1995, "cash out at purchase"
    assert plan(result, route)["id"] == result["recommended"]


def opened_drive(**grades: str) -> Members:
    """EC-03: plate overhaul 5 h, two senders 3 h (1 added), water pump 2 h (1 added); rate 90."""
    return snapshot(
        settings=settings(rate="90", cost_rate="40"),
        parts=[part("plate"), part("senders"), part("pump")],
        access_groups=[group("outer"), group("inner", "outer")],
        positions=[
            position("plate", access_group_id="grp_inner"),
            position("senders", access_group_id="grp_inner"),
            position("pump", access_group_id="grp_outer"),
        ],
        operations=[
            work("outer", "open", "1", access_group_id="grp_outer"),
            work("inner", "open", "1", access_group_id="grp_inner"),
            work("plate", "renew", "3", position_id="pos_plate"),
            work("senders", "renew", "1", position_id="pos_senders"),
            work("pump", "renew", "1", position_id="pos_pump"),
        ],
        suppliers=[supplier("a")],
        offers=[
            goods("plate", "a", "500"),
            goods("senders", "a", "0"),
            goods("pump", "a", "35"),
        ],
        **looks(**{"plate": "none", "senders": "none", "pump": "none", **grades}),
    )


def labour(result: Members) -> Decimal:
    best = next(p for p in result["plans"] if p["id"] == result["recommended"])
    classes = ("labour", "opening")
    return sum(
        (amount(a["price"]) for a in best["amounts"] if a["cost_class"] in classes), Decimal(0)
    )


@pytest.mark.parametrize(
    ("grades", "hours"),
    [
        ({"plate": "heavy"}, 5),
        ({"senders": "heavy"}, 3),
        ({"pump": "heavy"}, 2),
        ({"plate": "heavy", "senders": "heavy", "pump": "heavy"}, 7),
    ],
)
def test_ec_03_what_one_opening_gives_reach_to_is_paid_once(client, headers, grades, hours):
    assert labour(decision(client, headers, opened_drive(**grades))) == 90 * hours


def test_ec_03_the_total_with_the_parts_that_have_a_price(client, headers):
    members = opened_drive(plate="heavy", senders="heavy", pump="heavy")
    result = decision(client, headers, members)
    best = next(p for p in result["plans"] if p["id"] == result["recommended"])
    assert amount(best["price"]) == 1165


def test_ec_05_a_spent_fee_is_the_same_in_every_branch(client, headers):
    members = snapshot(
        job=job(inspection_price=eur(55)),
        suppliers=[supplier("a"), supplier("b")],
        offers=[
            service("repair", "a", "2000", assembly_id="asm_1"),
            goods("used_unit", "b", "100", assembly_id="asm_1", condition="used"),
        ],
    )
    result = decision(client, headers, members)
    used, repair = plan(result, "used"), plan(result, "send-out")
    assert used["id"] == result["recommended"]
    assert amount(repair["expected_total"]) - amount(used["expected_total"]) == 1900
    assert [amount(p["expected_total"]) for p in (used, repair)] == [100, 2000]
    assert [amount(p["inspection"]) for p in (used, repair)] == [55, 55]
    assert [amount(p["net_total"]) for p in (used, repair)] == [155, 2055]
