"""Parting a unit out: worked by hand, and every choice tried on small random units."""

from decimal import Decimal
from itertools import chain, combinations
from random import Random
from typing import Any

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.result import PartOut, YieldLine
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.part_out import part_out
from tests.snapshots import (
    Members,
    eur,
    goods,
    group,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
    work,
)


def pump(**members: Any) -> Members:
    """An hour costs the shop 30. Shaft 200 and seal 40 behind one group (1 h), housing 80 outside.

    One shaft is wanted elsewhere; all else counts a quarter for the shelf.
    """
    base: Members = {
        "settings": settings(policy={"shelf_worth_percent": "25"}, pricing={"disposal": eur(12)}),
        "parts": [part("shaft"), part("seal"), part("housing")],
        "access_groups": [group("inside")],
        "positions": [
            position("shaft", access_group_id="grp_inside"),
            position("seal", access_group_id="grp_inside"),
            position("housing"),
        ],
        "operations": [
            work("inside", "open", "1", access_group_id="grp_inside"),
            work("shaft", "harvest", "0.5", position_id="pos_shaft"),
            work("seal", "harvest", "0.5", position_id="pos_seal"),
            work("housing", "harvest", "0.5", position_id="pos_housing"),
        ],
        "suppliers": [supplier("a"), supplier("b")],
        "offers": [
            goods("shaft", "a", "220"),
            goods("shaft_b", "b", "200", part_id="prt_shaft"),
            goods("seal", "a", "40"),
            goods("housing", "a", "80"),
        ],
        "demands": [{"part_id": "prt_shaft", "quantity": 1, "jobs": 1}],
        **looks(shaft="none", seal="none", housing="none"),
    }
    return snapshot(**{**base, **members})


def yielded(members: Members) -> PartOut:
    found = part_out(build(from_builtins(members, Snapshot)))
    assert found is not None
    return found


def line(found: PartOut, name: str) -> YieldLine:
    return next(one for one in found.lines if one.position_name == name)


def test_what_is_kept_pays_for_its_hours_and_for_the_opening():
    found = yielded(pump())
    # Shaft 200 - 15, opened for 30; seal 10 - 15 is left; housing 20 - 15; disposal 12.
    kept = {one.position_name: one.is_kept for one in found.lines}
    assert kept == {"shaft": True, "seal": False, "housing": True}
    assert (found.worth.amount, found.labour.amount, found.disposal.amount) == (220, 60, 12)
    assert (found.open_hours, found.take_hours) == (1, 1)
    assert found.yielded.amount == 148
    assert found.is_worthwhile
    assert line(found, "shaft").wanted == 1
    assert line(found, "seal").net.amount == -5
    assert "not worth the hours" in line(found, "seal").detail


def test_a_group_that_nothing_pays_for_stays_closed():
    found = yielded(pump(demands=[]))
    # The shaft counts 50 now: 35 after its hours, with the group's 30 still 5 above nothing.
    assert line(found, "shaft").is_kept
    dearer = pump(demands=[])
    dearer["operations"][0]["p50_hours"] = dearer["operations"][0]["p90_hours"] = "1.5"
    found = yielded(dearer)
    assert not line(found, "shaft").is_kept
    assert "opened" in line(found, "shaft").detail
    assert found.yielded.amount == 20 - 15 - 12
    assert not found.is_worthwhile


def test_what_the_inspection_left_open_is_not_paid_again():
    members = pump(demands=[])
    members["job"]["opened_group_ids"] = ["grp_inside"]
    assert yielded(members).open_hours == 0


def test_a_customers_unit_is_only_taken_apart_with_consent():
    assert any("released in writing" in note for note in yielded(pump()).notes)
    own = pump(units=[own_unit(released_on="2031-02-01")])
    assert not any("released in writing" in note for note in yielded(own).notes)


def test_what_nobody_looked_at_counts_with_its_chance_or_not_at_all():
    members = pump(**looks(shaft=None, seal="none", housing="none"))
    found = line(yielded(members), "shaft")
    assert (found.is_kept, found.chance_good, found.worth.amount) == (False, None, 0)
    assert "not counted" in found.detail
    members["settings"]["inspection_experience"] = [{"prior_mean": "0.6", "prior_weight": "5"}]
    found = line(yielded(members), "shaft")
    assert (found.is_kept, found.chance_good, found.worth.amount) == (True, Decimal("0.6"), 120)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"renewal_rule": "always"}, "renewed always"),
        ({"renewal_rule": "select-fit"}, "chosen by measuring"),
        ({"is_safety_critical": True}, "safety-critical"),
        ({"part_id": None}, "no part is on record"),
    ],
)
def test_some_parts_are_kept_whatever_they_would_fetch_never(change, told):
    members = pump()
    members["positions"][0] |= change
    found = line(yielded(members), "shaft")
    assert (found.is_kept, found.worth.amount) == (False, 0)
    assert told in found.detail


def test_nothing_is_kept_of_what_failed_or_burned_or_is_gone():
    worn = yielded(pump(**looks(shaft="heavy", seal="none", housing="none")))
    assert "nonconforming" in line(worn, "shaft").detail
    burned = yielded(pump(units=[own_unit(reason_retired="fire")]))
    assert not any(one.is_kept for one in burned.lines)
    gone = yielded(pump(units=[own_unit(taken_position_ids=["pos_shaft"])]))
    assert "taken already" in line(gone, "shaft").detail


def test_without_an_offer_a_part_counts_nothing():
    members = pump()
    members["offers"] = members["offers"][2:]
    assert "no offer" in line(yielded(members), "shaft").detail


def test_a_verdict_is_told_as_such_and_not_as_a_chance_of_all():
    told = line(yielded(pump()), "shaft").detail
    assert told.endswith("conforms")
    assert "100%" not in told


def test_what_may_stand_in_tells_its_worth_and_a_pack_counts_by_the_piece():
    # No shaft is on offer, its twin by an accepted claim at 200 for a pack of 4: 50 each.
    members = pump()
    claim = {
        "id": "clm_1",
        "part_id": "prt_shaft",
        "stand_in_part_id": "prt_twin",
        "evidence_kind": "fitted-and-run",
        "evidence": "run for a season",
    }
    members |= {"claims": [claim], "parts": [*members["parts"], part("twin")]}
    twin = goods("twin", "a", "50", pack_quantity=4)
    members["offers"] = [*members["offers"][2:], twin]
    found = line(yielded(members), "shaft")
    assert (found.worth.amount, found.is_kept) == (50, True)
    # Not what cannot be had: three at hand make no pack.
    members["offers"][-1] = {**twin, "available_quantity": 3}
    assert "no offer" in line(yielded(members), "shaft").detail


def test_a_standard_designation_tells_the_worth_too():
    members = pump()
    for one in members["parts"]:
        if one["id"] == "prt_shaft":
            one["generic_designation"] = "6204"
    members["parts"].append(part("economy", generic_designation="6204"))
    members["offers"].append(goods("economy", "a", "150"))
    assert line(yielded(members), "shaft").worth.amount == 150


def matched(**grades: str | None) -> Members:
    members = pump(
        position_sets=[
            {
                "id": "set_pair",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": ["pos_seal", "pos_shaft"],
            }
        ],
        **looks(**{"shaft": "none", "seal": "none", "housing": "none", **grades}),
    )
    members["demands"] = [
        {"part_id": "prt_shaft", "quantity": 1, "jobs": 1},
        {"part_id": "prt_seal", "quantity": 1, "jobs": 1},
    ]
    return members


def test_a_matched_set_is_taken_whole_or_not_at_all():
    whole = yielded(matched())
    assert line(whole, "shaft").is_kept
    assert line(whole, "seal").is_kept
    broken = yielded(matched(seal="heavy"))
    assert not line(broken, "shaft").is_kept
    assert "matched set is not whole" in line(broken, "shaft").detail


def test_the_doubt_of_one_member_is_the_doubt_of_the_set():
    members = matched(seal=None)
    members["settings"]["inspection_experience"] = [{"prior_mean": "0.5", "prior_weight": "5"}]
    found = yielded(members)
    assert line(found, "shaft").worth.amount == 100
    assert line(found, "seal").worth.amount == 20


def test_a_set_that_is_sold_as_a_kit_counts_as_that_kit():
    members = matched()
    kit = part("kit", kit_lines=[{"part_id": p, "quantity": 1} for p in ("prt_shaft", "prt_seal")])
    members["parts"].append(kit)
    members["offers"] = [members["offers"][3], goods("kit", "a", "150")]
    found = yielded(members)
    assert line(found, "seal").worth.amount + line(found, "shaft").worth.amount == 150
    assert line(found, "shaft").is_kept


def test_a_kit_that_is_cheaper_than_its_members_is_what_the_set_counts():
    members = matched()
    kit = part("kit", kit_lines=[{"part_id": p, "quantity": 1} for p in ("prt_shaft", "prt_seal")])
    members["parts"].append(kit)
    members["offers"].append(goods("kit", "a", "150"))
    found = yielded(members)
    assert line(found, "seal").worth.amount + line(found, "shaft").worth.amount == 150


def test_pieces_wanted_by_others_are_counted_once():
    # Two shafts at two places, one wanted: one counts 200, the other a quarter of it.
    members = pump()
    members["positions"].append(position("spare", part_id="prt_shaft"))
    members["characteristics"] += looks(spare="none")["characteristics"]
    members["findings"] += looks(spare="none")["findings"]
    found = yielded(members)
    worths = sorted(line(found, name).worth.amount for name in ("shaft", "spare"))
    assert worths == [50, 200]


def test_a_sub_assembly_goes_whole_where_that_is_worth_more():
    members = pump()
    members["parts"].append(part("rotor"))
    members["positions"].append(position("rotor"))
    members["positions"][0] |= {"parent_id": "pos_rotor", "access_group_id": None}
    members["offers"].append(goods("rotor", "a", "2000"))
    found = yielded(members)
    assert line(found, "rotor").is_kept
    assert "goes with rotor" in line(found, "shaft").detail
    members["offers"][-1]["price"] = eur(300)
    found = yielded(members)
    assert not line(found, "rotor").is_kept
    assert line(found, "shaft").is_kept


def test_an_assembly_without_positions_has_nothing_to_part_out():
    assert part_out(build(from_builtins(snapshot(), Snapshot))) is None


# --- every choice tried ---------------------------------------------------------------------------


def random_unit(seed: int) -> tuple[Members, Any]:
    """Up to six positions behind nested groups, some alike, some in a set; and its figures."""
    random = Random(seed)
    keys = [f"p{i}" for i in range(random.randint(3, 6))]
    outer = {"g0": None, "g1": "g0", "g2": random.choice(["g0", None])}
    hours = {g: random.choice([0, 1, 2, 3]) for g in outer}
    kinds = {key: random.choice(["x", "y", key]) for key in keys}
    prices = {kind: random.randint(10, 200) for kind in kinds.values()}
    at = {key: random.choice([None, *outer]) for key in keys}
    take = {key: random.choice([0, 1]) for key in keys}
    demand = {kind: random.choice([0, 1, 1]) for kind in sorted(set(kinds.values()))}
    pair = tuple(sorted(keys)[:2]) if random.random() < 0.5 else ()
    members = snapshot(
        settings=settings(policy={"shelf_worth_percent": "30"}),
        parts=[part(kind) for kind in sorted(prices)],
        access_groups=[group(g, o) for g, o in outer.items()],
        positions=[
            position(k, part_id=f"prt_{kinds[k]}", access_group_id=at[k] and f"grp_{at[k]}")
            for k in keys
        ],
        operations=[
            *(work(g, "open", str(h), access_group_id=f"grp_{g}") for g, h in hours.items()),
            *(work(k, "harvest", str(h), position_id=f"pos_{k}") for k, h in take.items()),
        ],
        suppliers=[supplier("a")],
        offers=[goods(kind, "a", str(price)) for kind, price in sorted(prices.items())],
        demands=[
            {"part_id": f"prt_{kind}", "quantity": n, "jobs": 1} for kind, n in demand.items() if n
        ],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": [f"pos_{k}" for k in pair],
            }
        ]
        if pair
        else [],
        **looks(**dict.fromkeys(keys, "none")),
    )
    return members, (keys, outer, hours, kinds, prices, at, take, demand, pair)


def best_by_trying(figures: Any) -> Decimal:
    """Every set of positions, the wanted pieces given to any of them; an hour costs 30."""
    keys, outer, hours, kinds, prices, at, take, demand, pair = figures
    best = Decimal(0)
    for chosen in chain.from_iterable(combinations(keys, n) for n in range(len(keys) + 1)):
        if pair and len(set(pair) & set(chosen)) == 1:
            continue
        opened = set()
        for key in chosen:
            at_group = at[key]
            while at_group is not None:
                opened.add(at_group)
                at_group = outer[at_group]
        worth = Decimal(0)
        for kind, price in prices.items():
            pieces = sum(kinds[key] == kind for key in chosen)
            wanted = min(pieces, demand[kind])
            worth += price * (wanted + Decimal("0.3") * (pieces - wanted))
        spent = 30 * (sum(hours[g] for g in opened) + sum(take[key] for key in chosen))
        best = max(best, worth - spent)
    return best


@pytest.mark.parametrize("seeds", [range(0, 20), range(20, 40)])
def test_nothing_yields_more_than_what_is_chosen(seeds):
    for seed in seeds:
        members, figures = random_unit(seed)
        found = yielded(members)
        assert found.yielded.amount == best_by_trying(figures), seed
        kept = [one for one in found.lines if one.is_kept]
        assert sum((one.worth.amount for one in kept), Decimal(0)) == found.worth.amount
        assert found.labour.amount == 30 * (found.open_hours + found.take_hours)
