"""Laws of shelved parts on invented small snapshots: brute force and a second solver agree.

Each failure names its seed.
"""

from random import Random
from typing import Any

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.snapshot import Snapshot
from tests.shared.decision.oracle import all_choices, best_by
from tests.shared.decision.second_solver import cheapest_objective
from tests.snapshots import (
    answer,
    donor,
    eur,
    goods,
    looks,
    own_unit,
    part,
    position,
    seen,
    settings,
    snapshot,
    supplier,
)

Members = dict[str, Any]
SEEDS = range(48)
PLACES = ("a", "b", "c")
DONORS = ("x", "y")
EXPERIENCE = {
    "comeback_experience": [
        {"kind": kind, "prior_mean": mean, "prior_weight": "10"}
        for kind, mean in (("keep", "0.02"), ("salvaged", "0.1"), ("new", "0.01"))
    ],
    "salvage_experience": [{"prior_mean": "0.8", "prior_weight": "10"}],
}


def yard(seed: int) -> Members:
    """Three positions of one or two numbers, two donors, and what they gave, good and bad."""
    random = Random(seed)
    numbers = {key: random.choice(("p", "p", "q")) for key in PLACES}
    quantities = {key: random.choice((1, 1, 2)) for key in PLACES}
    shelf, found = [], []
    for key in DONORS:
        for place in PLACES:
            for piece in range(1, quantities[place] + 1):
                if random.random() < 0.5:
                    shelf.append(_shelved(random, key, place, piece, numbers[place]))
            if random.random() < 0.7:
                found.append(seen(place, random.choice(("none", "light", "heavy")), key))
    for one in shelf:
        own = [
            f["id"]
            for f in found
            if f["unit_id"] == one["donor_unit_id"] and f["position_id"] == one["position_id"]
        ]
        one["finding_ids"] = random.choice(([], own))
    taken = {
        key: sorted({s["position_id"] for s in shelf if s["donor_unit_id"] == f"unt_{key}"})
        for key in DONORS
    }
    pair = {
        "id": "pst_1",
        "assembly_id": "asm_1",
        "kind": "matched",
        "name": "pair",
        "position_ids": ["pos_a", "pos_b"],
    }
    own = looks(**{key: random.choice(("none", "heavy", None)) for key in PLACES})
    return snapshot(
        parts=[part("p"), part("q")],
        positions=[
            position(key, part_id=f"prt_{numbers[key]}", quantity=quantities[key]) for key in PLACES
        ],
        position_sets=[pair] if random.random() < 0.4 else [],
        suppliers=[supplier("s", "7"), supplier("t")],
        offers=[
            goods("p", "s", str(random.randint(20, 120)), ("2", "3")),
            goods("q", "t", str(random.randint(20, 120)), ("1", "1")),
            goods("unit", "t", "700", assembly_id="asm_1"),
        ],
        units=[
            own_unit(),
            *(
                donor(key, worth=str(random.randint(5, 200)), taken_position_ids=taken[key])
                for key in DONORS
            ),
        ],
        settings=settings(
            policy={"keep_not_inspected": random.choice(("allowed", "barred"))}, **EXPERIENCE
        ),
        salvaged_parts=shelf,
        **{**own, "findings": [*own["findings"], *found]},
    )


def _shelved(random: Random, key: str, place: str, piece: int, number: str) -> Members:
    name = f"{key}{place}{piece}"
    return {
        "id": f"slv_{name}",
        "donor_unit_id": f"unt_{key}",
        "position_id": f"pos_{place}",
        "piece": piece,
        "part_id": random.choice((None, f"prt_{number}")),
        "label": name,
        "inspected_by": "Technician B",
        "inspected_on": "2031-02-20",
        "worth": random.choice((None, eur(random.randint(0, 90)))),
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_planner_brute_force_and_second_solver_agree_on_what_the_shelf_gives(seed: int) -> None:
    built = build(from_builtins(yard(seed), Snapshot))
    case, confidence = built.case, built.confidence
    best = best_by(all_choices(case, confidence), case.last_day)
    plan = solve(case, Query(confidence)).plan
    assert (plan and (plan.objective, plan.source_ids)) == (
        best and (best.objective, best.source_ids)
    )
    assert cheapest_objective(case, confidence, case.last_day) == (plan and plan.objective)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_part_is_used_twice_and_none_that_was_found_bad(seed: int) -> None:
    members = yard(seed)
    bad = {f["id"] for f in members["findings"] if f["grade"] == "heavy"}
    shelf = {one["id"]: one for one in members["salvaged_parts"]}
    places = {place["id"]: place for place in members["positions"]}
    for plan in answer(members).plans:
        used = [one for line in plan.lines for one in line.salvaged_part_ids]
        assert len(used) == len(set(used))
        assert not any(bad & set(shelf[one]["finding_ids"]) for one in used)
        for line in plan.lines:
            if line.salvaged_part_ids:
                assert len(line.salvaged_part_ids) == places[line.position_id]["quantity"]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_fuller_shelf_never_makes_it_dearer(seed: int) -> None:
    members = yard(seed)
    totals = []
    while True:
        built = build(from_builtins(members, Snapshot))
        plan = solve(built.case, Query(built.confidence)).plan
        totals.append(float("inf") if plan is None else plan.objective)
        if not members["salvaged_parts"]:
            break
        members["salvaged_parts"] = members["salvaged_parts"][1:]
    assert totals == sorted(totals)


def test_the_shelf_is_used_in_many_of_these_yards() -> None:
    used = 0
    for seed in SEEDS:
        result = answer(yard(seed))
        best = next((plan for plan in result.plans if plan.id == result.recommended), None)
        used += best is not None and any(line.salvaged_part_ids for line in best.lines)
    assert used >= len(SEEDS) // 6
