"""A source no worse than another wherever that one could be used: against enumeration, by hand."""

from dataclasses import replace

import pytest

from shared.decision.planning.case import (
    CHANCE_ONE,
    Capacity,
    CasePosition,
    CaseSet,
    Charge,
    OrderTerms,
    PlanningCase,
    StockItem,
    Tier,
)
from shared.decision.planning.dominance import Dominance
from tests.shared.decision.oracle import all_choices
from tests.shared.decision.random_cases import CONFIDENCES, random_case
from tests.shared.decision.small_case import P90, case, fixed, goods, keep, new, order, parts


def swapped(choice, worse: str, better: str) -> tuple[str, ...]:
    return tuple(sorted({*choice.source_ids, better} - {worse}))


def test_in_every_plan_the_better_source_may_take_the_place_of_the_worse():
    pairs = 0
    for seed in range(0, 700):
        made, confidence = random_case(seed), CONFIDENCES[seed % len(CONFIDENCES)]
        compared = Dominance(made, confidence)
        found = [
            (better, worse)
            for worse in made.sources
            for better in made.sources
            if better.id != worse.id and compared.dominates(better, worse)
        ]
        if not found:
            continue
        choices = {choice.source_ids: choice for choice in all_choices(made, confidence)}
        risk = {source.id: source.risk for source in made.sources}
        for better, worse in found:
            pairs += 1
            for choice in choices.values():
                if worse.id in choice.source_ids:
                    other = choices.get(swapped(choice, worse.id, better.id))
                    told = (seed, better.id, worse.id, choice)
                    assert other is not None, told
                    assert other.objective <= choice.objective, told
                    assert other.ready_day <= choice.ready_day, told
                    assert sum(map(risk.get, other.source_ids)) <= sum(
                        map(risk.get, choice.source_ids)
                    ), told
    assert pairs > 200


def pair_case(**fields) -> PlanningCase:
    """Two bearings of one supplier, the better one cheaper, and a seal beside them."""
    made = case(
        [
            parts(),
            new("better", "bearing", 20, ["line-b"], bench_minutes=30),
            new("worse", "bearing", 25, ["line-w"], bench_minutes=30),
            new("seal-1", "seal", 5, ["line-s"]),
        ],
        [
            order("shop", 7, "two"),
            Charge("line-b", "delivery", "b", lead_table_id="two", requires=("shop",)),
            Charge("line-w", "delivery", "w", lead_table_id="two", requires=("shop",)),
            Charge("line-s", "delivery", "s", lead_table_id="two", requires=("shop",)),
            Charge("case", "opening", "case", goods(6)),
            Charge("donor", "donor", "donor", goods(5)),
        ],
        [fixed("two", 2), fixed("four", 4)],
    )
    return replace(made, **fields)


def is_better(made: PlanningCase) -> bool:
    at = {source.id: source for source in made.sources}
    return Dominance(made, P90).dominates(at["better"], at["worse"])


def changed(source_id: str, **fields):
    """The pair with one source otherwise."""

    def change(made: PlanningCase) -> PlanningCase:
        sources = tuple(replace(s, **fields) if s.id == source_id else s for s in made.sources)
        return replace(made, sources=sources)

    return change


def charged(charge_id: str, **fields):
    def change(made: PlanningCase) -> PlanningCase:
        charges = tuple(replace(c, **fields) if c.id == charge_id else c for c in made.charges)
        return replace(made, charges=charges)

    return change


def test_the_cheaper_of_two_alike_is_better_and_not_the_other_way_round():
    made = pair_case()
    at = {source.id: source for source in made.sources}
    compared = Dominance(made, P90)
    assert is_better(made)
    assert not compared.dominates(at["worse"], at["better"])
    assert compared.better_than(at["worse"]).id == "better"
    assert compared.better_than(at["better"]) is None
    assert compared.better_than(at["seal-1"]) is None
    assert Dominance(made, P90, frozenset({"better"})).better_than(at["worse"]) is None


def test_of_two_that_are_equal_one_is_named_and_never_each_for_the_other():
    made = changed("worse", lines=goods(20))(pair_case())
    at = {source.id: source for source in made.sources}
    compared = Dominance(made, P90)
    assert compared.better_than(at["worse"]).id == "better"
    assert compared.better_than(at["better"]) is None
    assert compared.better_than(at["better"], frozenset({"worse"})).id == "worse"


SPOILS = {
    "dearer": changed("better", lines=goods(26)),
    "more work": changed("better", bench_minutes=31),
    "riskier": changed("better", risk=1),
    "a part that exists once": changed("better", physical_parts=("donor/bearing",)),
    "needs an opening besides": changed("better", charges=("line-b", "case")),
    "lost core": changed("better", core_charge="donor", core_credit_price=10, core_credit_cost=10),
    "comes later": charged("line-b", lead_table_id="four"),
    "allowed at a refit only": changed("better", refit_only=True),
    "part by part": changed("better", resolves_children=True),
    "left in place": changed("better", only_while_closed="case"),
    "the other comes along anyway": changed("seal-1", charges=("line-w", "line-s")),
}


@pytest.mark.parametrize("what", SPOILS)
def test_what_may_cost_a_plan_something_spoils_it(what):
    assert not is_better(SPOILS[what](pair_case()))


def test_a_worse_part_with_more_goods_value_may_be_worth_it_toward_a_minimum():
    made = changed("worse", goods_values=(("shop", 25),))(pair_case())
    assert is_better(made)
    assert not is_better(charged("shop", order=OrderTerms(minimum=30))(made))


def test_pieces_of_a_pack_count_and_its_goods_value_does_too():
    item = StockItem("rings", "rings", (Tier(1, 4, 4),), order_charge="shop")
    made = pair_case(items=(item,))
    assert is_better(changed("worse", purchases=(("rings", 2),))(made))
    assert not is_better(changed("better", purchases=(("rings", 2),))(made))
    wanted = charged("shop", order=OrderTerms(free_from=30))(made)
    assert not is_better(changed("worse", purchases=(("rings", 2),))(wanted))


def test_what_a_set_asks_for_is_kept():
    both = ("bearing", "seal")
    matched = pair_case(matched_sets=(CaseSet("m", both),))
    assert not is_better(matched)
    same = changed("worse", matched_unit="u")(changed("better", matched_unit="u")(matched))
    assert is_better(same)
    together = pair_case(renewed_together=(CaseSet("t", both),))
    assert is_better(together)
    assert not is_better(changed("better", fits_another_part=False)(together))


def test_a_whole_unit_is_free_of_the_sets_inside_it():
    made = case(
        [parts(), new("a", "root", 50), new("b", "root", 60)],
        matched_sets=(CaseSet("m", ("bearing", "seal")),),
    )
    at = {source.id: source for source in made.sources}
    assert Dominance(made, P90).dominates(at["a"], at["b"])


def test_a_part_that_has_run_is_no_better_where_renewal_falls_due():
    run = changed("better", is_unused=False)(pair_case())
    assert is_better(run)
    due = (
        CasePosition("root"),
        CasePosition("bearing", "root", always_renew_with="case"),
        CasePosition("seal", "root"),
    )
    assert not is_better(replace(run, positions=due))


def test_a_kit_with_few_of_a_part_spoils_it():
    made = pair_case(capacities=(Capacity("kit", 1, (("better", 1), ("seal-1", 1))),))
    assert not is_better(made)


def test_lines_of_one_delivery_set_each_others_pace():
    """Arriving with the same van, the better one may stand in even if the other comes as well."""
    made = changed("seal-1", charges=("line-w", "line-s"))(pair_case())
    for line in ("line-b", "line-w", "line-s"):
        made = charged(line, shipment="van")(made)
    assert is_better(made)
    assert not is_better(charged("line-b", lead_table_id="four")(made))


def test_a_better_chance_on_a_day_that_is_too_unsure_anyway_does_not_count():
    made = pair_case()
    early = replace(made.lead_tables[0], chance_by_day=(850_000_000, 850_000_000, CHANCE_ONE))
    made = replace(made, lead_tables=(*made.lead_tables, replace(early, id="early")))
    made = charged("line-w", lead_table_id="early")(made)
    at = {source.id: source for source in made.sources}
    assert Dominance(made, P90).dominates(at["better"], at["worse"])
    assert not Dominance(made, 850_000_000).dominates(at["better"], at["worse"])


def test_two_things_awaited_do_not_stand_for_one():
    line = Charge("line-c", "delivery", "c", lead_table_id="two", requires=("shop",))
    made = pair_case()
    made = replace(made, charges=(*made.charges, line))
    assert not is_better(changed("better", charges=("line-b", "line-c"))(made))


def test_the_unit_as_it_is_kept_beats_what_asks_for_more():
    made = case([parts(), keep("bearing"), new("x", "bearing", 1), new("y", "seal", 1)])
    at = {source.id: source for source in made.sources}
    assert Dominance(made, P90).better_than(at["x"]).id == "bearing-keep"
