"""Plans worked by hand against the evaluator, and each rule it must see broken."""

from dataclasses import replace

import pytest

from shared.decision.planning.case import (
    CHANCE_ONE,
    Capacity,
    CasePosition,
    CaseSet,
    Charge,
    CostClass,
    LeadTable,
)
from shared.decision.planning.evaluator import (
    PlanError,
    arrival_chance,
    broken_rules,
    evaluate,
    ready_chance,
)
from tests.shared.decision.small_case import (
    P90,
    case,
    fixed,
    goods,
    keep,
    new,
    order,
    parts,
    two_suppliers,
)

NEAR = ("root-parts", "bearing-near", "seal-near")


def test_a_plan_sums_its_parts_and_each_freight_once():
    plan = evaluate(two_suppliers(), NEAR, P90)
    assert plan.objective == 60 + 20 + 5
    assert plan.charge_ids == ("near",)
    assert plan.bench_minutes == 300 + 60 + 60
    assert (plan.arrival_day, plan.ready_day) == (2, 3)


def test_cost_and_price_are_kept_apart_and_the_aim_takes_the_one_asked():
    source = replace(new("whole", "root", 0), lines=goods(price=130, cost=100))
    priced = case([source], positions=())
    assert evaluate(priced, ["whole"], P90).objective == 130
    at_cost = evaluate(replace(priced, counts_price=False), ["whole"], P90)
    assert (at_cost.objective, at_cost.billed_price, at_cost.billed_cost) == (100, 130, 100)


@pytest.mark.parametrize(
    ("minutes", "starts_on_day_zero", "ready"),
    [(0, True, 0), (480, True, 0), (481, True, 1), (0, False, 0), (480, False, 1), (481, False, 2)],
)
def test_with_nothing_awaited_the_work_starts_at_once_if_it_may(minutes, starts_on_day_zero, ready):
    only = case(
        [keep("root", bench_minutes=minutes)], positions=(), starts_on_day_zero=starts_on_day_zero
    )
    assert evaluate(only, ["root-keep"], P90).ready_day == ready


def test_separate_suppliers_must_all_be_there_so_their_chances_multiply():
    tables = [LeadTable(name, (0, 950_000_000, 990_000_000)) for name in ("a", "b")]
    both = case(
        [parts(), new("x", "bearing", 1, ["a"]), new("y", "seal", 1, ["b"])],
        [order("a", 0, "a"), order("b", 0, "b")],
        tables,
    )
    plan = evaluate(both, ["root-parts", "x", "y"], P90)
    assert arrival_chance(both, plan, 1) == pytest.approx(0.9025)
    assert plan.arrival_day == 1
    assert evaluate(both, plan.source_ids, 910_000_000).arrival_day == 2


def test_lines_of_one_shipment_arrive_with_the_slowest_and_count_once():
    tables = [LeadTable("a", (0, 950_000_000)), LeadTable("b", (0, 920_000_000))]
    lines = [
        Charge(name, "line", name, lead_table_id=name, shipment="one van") for name in ("a", "b")
    ]
    together = case(
        [parts(), new("x", "bearing", 1, ["a"]), new("y", "seal", 1, ["b"])], lines, tables
    )
    plan = evaluate(together, ["root-parts", "x", "y"], P90)
    assert arrival_chance(together, plan, 1) == pytest.approx(0.92)


def test_the_p90_of_one_supplier_meets_a_confidence_of_90_percent_on_its_day():
    """Also where its table, rounded to 10^-9, falls short by the last digit."""
    one = case(
        [new("x", "root", 1, ["a"])],
        [order("a", 0, "a")],
        [LeadTable("a", (0, 899_999_999, 950_000_000))],
        positions=(),
    )
    assert evaluate(one, ["x"], P90).arrival_day == 1
    assert evaluate(one, ["x"], 900_020_000).arrival_day == 2


def test_confidence_of_one_admits_certain_arrivals_only():
    almost = case(
        [new("x", "root", 1, ["a"])],
        [order("a", 0, "a")],
        [LeadTable("a", (0, CHANCE_ONE - 1, CHANCE_ONE - 1, CHANCE_ONE))],
        positions=(),
    )
    assert evaluate(almost, ["x"], CHANCE_ONE).arrival_day == 3
    assert evaluate(almost, ["x"], CHANCE_ONE - 1).arrival_day == 1


def test_what_never_arrives_is_no_plan():
    never = case(
        [new("x", "root", 1, ["a"])],
        [order("a", 0, "a")],
        [LeadTable("a", (0, 500_000_000))],
        positions=(),
    )
    with pytest.raises(PlanError) as raised:
        evaluate(never, ["x"], P90)
    assert raised.value.rules == ("arrival",)


def test_rounded_weights_never_hide_a_chance_that_is_too_small():
    """Twenty chances whose weights each lose almost 10^-6: allowed by weights, not in truth."""
    chance = 995_011_527  # -10^6 ln = 5000.96, of which 5000 counts
    names = [f"c{i:02}" for i in range(20)]
    many = case(
        [new("x", "root", 1, names)],
        [order(name, 0, name) for name in names],
        [LeadTable(name, (0, chance, chance, 999_999_999)) for name in names],
        positions=(),
    )
    asked = 904_837_418  # weight 100000 = 20 x 5000; the product is lower by 1.7e-5
    plan = evaluate(many, ["x"], asked)
    assert arrival_chance(many, plan, 1) < asked / CHANCE_ONE - 1e-5
    assert plan.arrival_day == 3


def test_the_chance_to_be_ready_is_that_of_arriving_in_time_for_the_bench():
    table = LeadTable("a", (0, 600_000_000, 800_000_000, 950_000_000))
    one = case(
        [new("x", "root", 1, ["a"], bench_minutes=900)], [order("a", 0, "a")], [table], positions=()
    )
    plan = evaluate(one, ["x"], P90)
    assert plan.ready_day == 3 + 2
    assert [ready_chance(one, plan, day) for day in (1, 3, 4, 5)] == [0.0, 0.6, 0.8, 0.95]


def test_opening_an_inner_group_opens_the_outer_one_once():
    groups = [
        Charge("outer", "opening", "outer", goods(40), bench_minutes=30),
        Charge("inner", "opening", "inner", goods(25), bench_minutes=20, requires=("outer",)),
    ]
    nested = case(
        [parts(), new("x", "bearing", 1, ["inner"]), new("y", "seal", 1, ["inner", "outer"])],
        groups,
    )
    plan = evaluate(nested, ["root-parts", "x", "y"], P90)
    assert plan.charge_ids == ("inner", "outer")
    assert plan.objective == 1 + 1 + 40 + 25
    assert plan.bench_minutes == 50


def test_a_group_that_stands_open_costs_nothing_and_calls_for_nothing():
    groups = [
        Charge("outer", "opening", "outer", goods(40), bench_minutes=30),
        Charge("inner", "opening", "inner", goods(25), requires=("outer",), is_open=True),
    ]
    nested = case([new("x", "root", 1, ["inner"])], groups, positions=())
    plan = evaluate(nested, ["x"], P90)
    assert (plan.charge_ids, plan.objective, plan.bench_minutes) == ((), 1, 0)


def test_a_core_credit_is_lost_when_its_unit_is_opened_as_a_donor():
    donor = Charge("own unit", "donor", "own unit", goods(0))
    core = {"core_charge": "own unit", "core_credit_price": 70, "core_credit_cost": 60}
    both = case(
        [parts(), new("x", "bearing", 5, ["own unit"]), new("y", "seal", 9, **core)], [donor]
    )
    plan = evaluate(both, ["root-parts", "x", "y"], P90)
    lost = [line for line in plan.lines if line.cost_class is CostClass.CORE_CREDIT]
    assert [(line.price, line.cost, line.is_billed) for line in lost] == [(70, 60, False)]
    assert plan.objective == 5 + 9 + 70
    assert plan.billed_price == 14


def test_a_position_is_filled_once_and_only_below_a_resolved_parent():
    made = two_suppliers()
    assert broken_rules(made, NEAR) == ()
    assert broken_rules(made, ["root-parts", "seal-near"]) == ("position:bearing",)
    assert broken_rules(made, [*NEAR, "seal-far"]) == ("position:seal",)
    assert broken_rules(made, ["seal-near", "bearing-near"]) == (
        "position:root",
        "position:bearing",
        "position:seal",
    )
    assert broken_rules(made, ["nothing"]) == ("unknown:nothing",)


MATCHED = (CaseSet("pair", ("bearing", "seal")),)


@pytest.mark.parametrize(
    ("one", "other", "broken"),
    [
        ("donor", "donor", ()),
        ("donor", "own", ("matched:pair",)),
        (None, None, ("matched:pair",)),
    ],
)
def test_a_matched_set_comes_from_one_unit(one, other, broken):
    made = case(
        [
            parts(),
            new("x", "bearing", 1, matched_unit=one),
            new("y", "seal", 1, matched_unit=other),
            new("whole", "root", 9),
        ],
        matched_sets=MATCHED,
    )
    assert broken_rules(made, ["root-parts", "x", "y"]) == broken
    assert broken_rules(made, ["whole"]) == ()


def test_a_whole_that_holds_part_of_a_matched_set_needs_the_rest_from_its_own_unit():
    made = case(
        [
            parts(),
            new("head-whole", "head", 1, matched_unit="donor"),
            new("same", "seal", 1, matched_unit="donor"),
            new("other", "seal", 1, matched_unit="own"),
        ],
        positions=(
            CasePosition("head", "root"),
            CasePosition("bearing", "head"),
            CasePosition("seal", "root"),
        ),
        matched_sets=MATCHED,
    )
    assert broken_rules(made, ["root-parts", "head-whole", "same"]) == ()
    assert broken_rules(made, ["root-parts", "head-whole", "other"]) == ("matched:pair",)


def test_what_is_renewed_together_is_renewed_at_all_places_or_at_none():
    made = case(
        [parts(), keep("bearing"), keep("seal"), new("x", "bearing", 1), new("y", "seal", 1)],
        renewed_together=(CaseSet("set", ("bearing", "seal")),),
    )
    assert broken_rules(made, ["root-parts", "bearing-keep", "seal-keep"]) == ()
    assert broken_rules(made, ["root-parts", "x", "y"]) == ()
    assert broken_rules(made, ["root-parts", "x", "seal-keep"]) == ("together:set",)


@pytest.mark.parametrize("is_open", [False, True])
def test_a_seal_that_is_always_renewed_is_not_kept_once_its_group_is_open(is_open):
    made = case(
        [
            parts(),
            keep("bearing"),
            new("x", "bearing", 1, ["case"]),
            keep("seal"),
            new("y", "seal", 1),
        ],
        [Charge("case", "opening", "case", goods(4), is_open=is_open)],
        positions=(
            CasePosition("bearing", "root"),
            CasePosition("seal", "root", always_renew_with="case"),
        ),
    )
    untouched = broken_rules(made, ["root-parts", "bearing-keep", "seal-keep"])
    assert untouched == (("always:seal",) if is_open else ())
    assert broken_rules(made, ["root-parts", "x", "seal-keep"]) == ("always:seal",)
    assert broken_rules(made, ["root-parts", "x", "y"]) == ()


def test_a_part_that_exists_once_is_used_once():
    made = case(
        [
            parts(),
            new("x", "bearing", 1, physical_parts=("donor/shaft",)),
            new("y", "seal", 1, physical_parts=("donor/shaft",)),
        ]
    )
    assert broken_rules(made, ["root-parts", "x", "y"]) == ("physical:donor/shaft",)


def test_a_kit_gives_no_more_than_it_holds():
    made = case(
        [parts(), new("x", "bearing", 1), new("y", "seal", 1)],
        capacities=(Capacity("kit", 2, (("x", 1), ("y", 2))),),
    )
    assert broken_rules(made, ["root-parts", "x", "y"]) == ("capacity:kit",)


def test_refit_only_stands_beside_what_is_kept_or_always_renewed_and_nothing_else():
    made = case(
        [
            parts(),
            keep("bearing", refit_only=True),
            keep("seal"),
            new("y", "seal", 1),
            new("z", "gasket", 1),
        ],
        [Charge("case", "opening", "case")],
        positions=(
            CasePosition("bearing", "root"),
            CasePosition("seal", "root"),
            CasePosition("gasket", "root", always_renew_with="case"),
        ),
    )
    assert broken_rules(made, ["root-parts", "bearing-keep", "seal-keep", "z"]) == ()
    assert broken_rules(made, ["root-parts", "bearing-keep", "y", "z"]) == ("refit",)


def test_every_broken_rule_is_named():
    made = replace(
        two_suppliers(), matched_sets=MATCHED, capacities=(Capacity("kit", 0, (("seal-far", 1),)),)
    )
    with pytest.raises(PlanError) as raised:
        evaluate(made, ["root-parts", "bearing-near", "seal-far"], P90)
    assert raised.value.rules == ("matched:pair", "capacity:kit")


def test_after_its_end_a_lead_table_stays_at_its_last_chance():
    one = case([new("x", "root", 1, ["a"])], [order("a", 0, "a")], [fixed("a", 2)], positions=())
    plan = evaluate(one, ["x"], P90)
    assert arrival_chance(one, plan, 25) == 1.0
