"""Laws of the way from snapshot to case: order of records, the past, what nobody asks for."""

from dataclasses import fields, replace
from random import Random

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.snapshot import Asked, Snapshot
from tests.shared.decision.test_from_checks import sound
from tests.snapshots import eur, exchange_rate, money


def rich():
    """Something of everything, with a supplier abroad and goods that may prove bad."""
    members = sound()
    members["suppliers"][1]["freight"] = money("3", "USD")
    for offer in members["offers"][1:]:
        offer["price"] = money(offer["price"]["amount"], "USD")
        offer["reject_probability"] = "0.1"
    members["offers"][1]["core"]["deposit"] = money("9", "USD")
    members["exchange_rates"].append(exchange_rate("USD", "0.7", "2031-01-01"))
    members["job"]["replacement_cost"] = eur("500")
    return from_builtins(members, Snapshot)


def shuffled(snapshot, seed):
    """The same snapshot with every list of records in another order."""
    random = Random(seed)
    changed = {}
    for field in fields(snapshot):
        value = getattr(snapshot, field.name)
        if isinstance(value, tuple):
            changed[field.name] = tuple(random.sample(value, len(value)))
    return replace(snapshot, **changed)


@pytest.mark.parametrize("seed", range(4))
def test_the_order_of_records_changes_nothing(seed):
    plain, other = build(rich()), build(shuffled(rich(), seed))
    assert other.case == plain.case
    assert other.draft.facts == plain.draft.facts
    assert other.draft.all_assumptions() == plain.draft.all_assumptions()
    assert set(other.draft.exclusions) == set(plain.draft.exclusions)


def test_every_charge_and_item_that_a_source_names_is_in_the_case():
    case = build(rich()).case
    charges = {charge.id for charge in case.charges}
    assert {key for source in case.sources for key in source.charges} <= charges
    assert {key for charge in case.charges for key in charge.requires} <= charges
    named = {key for source in case.sources for key, _ in source.goods_values}
    named |= {key for charge in case.charges for key, _ in charge.goods_values}
    named |= {item.order_charge for item in case.items if item.order_charge}
    with_terms = {charge.id for charge in case.charges if charge.order is not None}
    assert named <= with_terms
    assert {key for s in case.sources for key, _ in s.purchases} == {i.id for i in case.items}


def test_how_much_is_asked_for_changes_no_case():
    asked = replace(rich(), asked=Asked(alternatives=1, break_evens=0))
    assert build(asked).case == build(rich()).case


def test_terms_that_ask_nothing_change_no_plan():
    """A minimum of nothing, free freight from nothing at no freight, packs of one."""
    snapshot = rich()
    neutral = replace(
        snapshot,
        suppliers=tuple(replace(s, minimum_order=None) for s in snapshot.suppliers),
        offers=tuple(
            replace(
                o,
                price_breaks=(),
                pack_quantity=1,
                minimum_quantity=1,
                available_quantity=None,
            )
            for o in snapshot.offers
        ),
    )
    pooled = replace(
        neutral,
        offers=tuple(
            replace(o, available_quantity=1000) if o.kind == "goods" else o for o in neutral.offers
        ),
    )
    plain, by_item = build(neutral), build(pooled)
    assert not plain.case.items
    assert by_item.case.items
    plans = [solve(b.case, Query(b.confidence, b.deadline)).plan for b in (plain, by_item)]
    assert plans[0] is not None
    assert plans[1] is not None
    assert plans[0].objective == plans[1].objective
    assert plans[0].source_ids == plans[1].source_ids
