"""The whole snapshot that README sends along: worked with a pencil."""

import json
from decimal import Decimal

from api.demo.records import seed_folder
from tests.snapshots import answer, chosen, recommended


def test_the_small_pump_is_rebuilt_for_the_price_a_pencil_gives():
    result = answer(json.loads((seed_folder() / "whole-snapshot.json").read_text("utf-8")))
    plan = recommended(result)
    assert chosen(plan) == {"Shaft seal": "new", "Bearing": "new", "Shaft": "keep"}
    # Goods 10.00 and 15.00, + 40 % each; 1 h to open and close at 60.00; freight 9.00.
    assert plan.price.amount == Decimal("14.00") + Decimal("21.00") + 60 + 9
    # With the inspection of 55.00, and 20 % tax.
    assert plan.to_pay.amount == Decimal("190.80")
    # The bearing is there on day 4 with 90 % (Friday 7 March); 1.6 h of work on the next, Monday.
    assert str(plan.readiness.promise_on) == "2031-03-10"


def test_its_exchange_counts_what_of_the_deposit_is_expected_back():
    result = answer(json.loads((seed_folder() / "whole-snapshot.json").read_text("utf-8")))
    exchange = next(plan for plan in result.plans if plan.route == "exchange")
    assert exchange.price.amount == Decimal("180.00") + 24 + 60
    credit = [a.price.amount for a in exchange.amounts if a.cost_class == "core-credit"]
    assert credit == [-(Decimal("0.9") * 60 - 14)]
