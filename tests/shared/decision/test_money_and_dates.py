"""Prices that add up, dates that are kept, and inputs that move the answer as they should."""

from decimal import Decimal

import pytest

from shared.decision.result import Route
from shared.errors import InvalidInput
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    recommended,
    seen,
    service,
    settings,
    snapshot,
    supplier,
    why,
    work,
)


def pump(**members):
    """One worn bearing: new and slow, or used and quick; and a whole unit."""
    return snapshot(
        **{
            "parts": [part("bearing")],
            "positions": [position("bearing")],
            "suppliers": [supplier("a", "10"), supplier("b", "25")],
            "offers": [
                goods("bearing", "a", "40", ("3", "5")),
                goods("quick", "b", "60", ("1", "1"), part_id="prt_bearing"),
                goods("unit", "b", "500", ("1", "2"), assembly_id="asm_1"),
            ],
            "operations": [work("b", "renew", "2", "3", position_id="pos_bearing")],
            **looks(bearing="heavy"),
            **members,
        }
    )


def test_every_total_comes_apart_into_lines_that_sum_exactly():
    rules = settings(
        rate="61.37",
        cost_rate="29.99",
        pricing={
            "parts_markup": [
                {"percent": "33.3"},
                {"percent": "17.7", "cost_from": eur("50")},
                {"percent": "99", "part_kind": "gear"},
            ],
            "freight_markup_percent": "7.1",
            "unit_markup_percent": "12.5",
            "supplies_percent_of_labour": "3.3",
            "disposal": eur("4.49"),
            "tax_percent": "19",
        },
        comeback_experience=[{"kind": "new", "prior_mean": "0.03", "prior_weight": "40"}],
    )
    result = answer(pump(settings=rules, job=job(inspection_price=eur("55"))))
    for plan in result.plans:
        billed = [a for a in plan.amounts if a.is_billed]
        assert sum(a.price.amount for a in billed) == plan.price.amount
        assert sum(a.cost.amount for a in billed) == plan.cost.amount
        assert sum(a.price.amount for a in plan.amounts) == plan.expected_total.amount
        assert plan.price.amount + 55 == plan.net_total.amount
        assert plan.net_total.amount + plan.tax.amount == plan.to_pay.amount
        assert plan.price.amount - plan.cost.amount == plan.margin.amount


def test_a_price_follows_from_its_cost_by_the_band_it_falls_in():
    rules = settings(
        pricing={
            "parts_markup": [{"percent": "50"}, {"percent": "20", "cost_from": eur("50")}],
            "supplies_percent_of_labour": "5",
        }
    )
    plan = best(pump(settings=rules))
    by_class = {a.cost_class: a.price.amount for a in plan.amounts}
    assert by_class == {
        "goods": Decimal("60.00"),  # 40 + 50 %
        "labour": Decimal("120.00"),  # 2 h at 60
        "supplies": Decimal("6.00"),  # 5 % of 120
        "freight": Decimal("10.00"),
    }


def test_the_day_asked_for_decides_what_is_bought_and_the_frontier_knows_it_already():
    # Ready = arrival, then 3 h at P90 on the next working day: day 5 + 1, or day 1 + 1.
    slow, quick = "2031-03-11", "2031-03-05"
    relaxed = answer(pump())
    assert recommended(relaxed).readiness.promise_on.isoformat() == slow
    assert [(p.price.amount, str(p.promise_on)) for p in relaxed.frontier] == [
        (Decimal("205.00"), quick),
        (Decimal("170.00"), slow),
    ]
    hurried = answer(pump(job=job(required_by_on="2031-03-10")))
    assert recommended(hurried).lines[0].offer_id == "ofr_quick"
    assert recommended(hurried).readiness.promise_on.isoformat() == quick
    assert str(relaxed.frontier[0].valid_to_on) == "2031-03-10"


def test_a_date_that_nothing_meets_is_told_with_the_earliest_that_can_be_kept():
    result = answer(pump(job=job(required_by_on="2031-03-03")))
    assert result.recommended is None
    assert result.infeasibility is not None
    assert "ready by 2031-03-03" in result.infeasibility.requirements
    assert str(result.infeasibility.earliest_promise_on) == "2031-03-05"
    assert all(not route.meets_required_by for route in result.routes)


def test_a_public_holiday_moves_the_promise():
    plain = best(pump(job=job(required_by_on="2031-03-06")))
    closed = settings(calendar={"closed_on": ["2031-03-04"]})
    moved = best(pump(settings=closed, job=job(required_by_on="2031-03-06")))
    assert str(plain.readiness.promise_on) == "2031-03-05"
    assert str(moved.readiness.promise_on) == "2031-03-06"


def test_an_order_after_the_cut_off_comes_a_day_later():
    late = [supplier("a", "10"), supplier("b", "25", order_cutoff="07:00")]
    plan = best(pump(suppliers=late, job=job(required_by_on="2031-03-06")))
    assert str(plan.readiness.promise_on) == "2031-03-06"


def test_a_required_date_before_the_day_of_the_answer_is_refused():
    with pytest.raises(InvalidInput, match="/job/required_by_on"):
        answer(pump(job=job(required_by_on="2031-03-02")))


def test_inspection_is_billed_on_every_route_and_changes_no_comparison():
    free = answer(pump())
    paid = answer(pump(job=job(inspection_price=eur("55"))))
    assert free.recommended == paid.recommended
    assert [p.expected_total for p in free.plans] == [p.expected_total for p in paid.plans]
    assert all(plan.inspection.amount == 55 for plan in paid.plans)


def test_the_spending_limit_is_flagged_and_bars_nothing():
    plan = best(pump(job=job(spending_limit=eur("100"))))
    assert plan.is_within_spending_limit is False
    assert plan.lines[0].offer_id == "ofr_bearing"


def test_the_horizon_moves_the_choice_between_a_cheap_short_life_and_a_dear_long_one():
    lives = settings(
        life_records=[
            {"part_kind": "bearing", "shape": "2", "scale_hours": "4000", "basis": "assumed"}
        ],
        warranty={"warranty_hours": "2000", "comeback_fixed_cost": eur("1000")},
    )
    worn = [own_unit(lower_hours="3000", upper_hours="3000")]

    def kept_or_new(hours: str) -> str:
        members = pump(settings=lives, units=worn, **looks(bearing="none"))
        members["job"] = job(horizon_hours=hours)
        return chosen(best(members))["bearing"]

    assert kept_or_new("100") == "keep"
    assert kept_or_new("2000") == "new"


# --- donors ---------------------------------------------------------------------------------

GOOD_SALVAGE = [{"prior_mean": "0.8", "prior_weight": "10", "basis": "assumed"}]


def with_donor(**terms):
    return pump(
        units=[own_unit(), donor("d", **terms)],
        settings=settings(salvage_experience=GOOD_SALVAGE),
    )


def test_a_donor_is_weighed_with_the_chance_that_its_part_proves_bad():
    plan = best(with_donor(worth="5"))
    assert chosen(plan) == {"bearing": "salvaged"}
    # Fallback in full: 40 + 10 freight + 120 labour = 170; a fifth of it is expected.
    amounts = {a.cost_class: a.price.amount for a in plan.amounts}
    assert amounts == {
        "donor": Decimal("5.00"),
        "labour": Decimal("120.00"),
        "fallback": Decimal("34.00"),
    }


def test_without_its_donor_the_plan_is_another():
    assert chosen(best(pump(settings=settings(salvage_experience=GOOD_SALVAGE)))) == {
        "bearing": "new"
    }


def test_a_dear_donor_is_left_alone():
    assert chosen(best(with_donor(price="500"))) == {"bearing": "new"}


def test_what_an_owned_donor_once_cost_changes_nothing():
    plain = answer(with_donor(worth="5"))
    members = with_donor(worth="5")
    members["units"][1]["donor"]["price"] = eur("900")
    assert answer(members).plans[0].expected_total == plain.plans[0].expected_total


def test_a_donor_part_that_nothing_could_replace_is_barred_unless_the_policy_allows_it():
    alone = {"offers": [], "suppliers": []}
    barred = answer({**with_donor(worth="5"), **alone})
    assert barred.recommended is None
    assert "nothing else on offer" in why(barred, "bearing")
    bold = settings(salvage_experience=GOOD_SALVAGE, policy={"harvest_without_fallback": "allowed"})
    easy = job(confidence="0.8")
    assert chosen(best({**with_donor(worth="5"), **alone, "settings": bold, "job": easy})) == {
        "bearing": "salvaged"
    }
    assert answer({**with_donor(worth="5"), **alone, "settings": bold}).recommended is None


def test_a_donor_part_measured_bad_is_no_source_and_one_measured_good_is_sure():
    bad = with_donor(worth="5")
    bad["findings"] = [*bad["findings"], seen("bearing", "heavy", "d")]
    assert chosen(best(bad)) == {"bearing": "new"}
    good = with_donor(worth="5")
    good["findings"] = [*good["findings"], seen("bearing", "none", "d")]
    plan = best(good)
    assert chosen(plan) == {"bearing": "salvaged"}
    assert all(a.cost_class != "fallback" for a in plan.amounts)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"reason_retired": "fire"}, "retired by fire"),
        ({"variant": "ratio 5:1"}, "depends on the variant"),
    ],
)
def test_provenance_and_variant_are_filters(change, reason):
    members = with_donor(worth="5", **change)
    members["units"][0]["variant"] = "ratio 3:1"
    members["positions"] = [position("bearing", is_variant_bound=True)]
    result = answer(members)
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert reason in why(result, "donor")


def test_a_donor_that_is_not_released_is_refused():
    members = with_donor(worth="5")
    members["units"][1]["released_on"] = None
    with pytest.raises(InvalidInput, match="released"):
        answer(members)


def test_the_jobs_own_unit_is_no_donor():
    members = pump(units=[donor("1", worth="5")])
    with pytest.raises(InvalidInput, match="/job/unit_id"):
        answer(members)


# --- whole units ----------------------------------------------------------------------------


def test_each_route_is_there_with_a_plan_or_a_reason():
    rebuild = service("rebuild_all", "b", "300", ("8", "12"), assembly_id="asm_1")
    members = pump()
    result = answer({**members, "offers": [*members["offers"], rebuild]})
    assert [route.route for route in result.routes] == list(Route)
    by_route = {route.route: route for route in result.routes}
    assert by_route[Route.SEND_OUT].is_feasible
    assert by_route[Route.NEW].is_feasible
    assert by_route[Route.USED].reasons == ("no used unit is on offer or in stock",)
    assert "heavy" in by_route[Route.REFIT].reasons[0]
    assert result.gap_to_next_best is not None
    assert result.gap_to_next_best.amount == Decimal("325.00") - Decimal("170.00")


def test_a_core_that_is_hardly_worth_its_freight_is_kept_and_the_deposit_is_cost():
    core = {
        "deposit": eur("75"),
        "return_freight": eur("90"),
        "acceptance_probability": "1",
    }
    offer = goods("unit", "b", "500", assembly_id="asm_1", condition="rebuilt", core=core)
    result = answer(pump(offers=[offer]))
    assert recommended(result).expected_total.amount == Decimal("25.00") + 500 + 75


def test_the_core_credit_is_lost_when_that_unit_is_taken_apart():
    core = {"deposit": eur("100"), "acceptance_probability": "1"}
    exchange = goods("exchange", "b", "20", condition="rebuilt", core=core, part_id="prt_bearing")
    members = with_donor(worth="1")
    members["parts"] = [part("bearing"), part("housing")]
    members["positions"] = [position("bearing"), position("housing")]
    members |= looks(bearing="heavy", housing="heavy")
    members["findings"] = [*members["findings"], seen("bearing", "heavy", "d")]
    members["offers"] = [exchange, goods("housing", "a", "60")]
    members["job"] = job(core_unit_id="unt_d")
    # Housing from the donor (1, and a fifth of 70) would lose the 100: it is bought instead.
    assert chosen(best(members)) == {"bearing": "exchange", "housing": "new"}
    members["job"] = job()
    assert chosen(best(members))["housing"] == "salvaged"


def test_the_shops_own_cost_may_be_the_aim():
    rules = settings(pricing={"parts_markup": [{"percent": "400"}]})
    prices = answer(pump(settings=rules))
    costs = answer(pump(settings=rules, aim="cost"))
    assert recommended(prices).expected_total.amount == Decimal("200") + 10 + 120
    assert recommended(costs).expected_total.amount == Decimal("40") + 10 + 60


def test_hours_at_a_position_are_for_all_its_pieces_and_one_piece_takes_its_share():
    members = pump(positions=[position("bearing", quantity=2)])
    both = best(members)
    assert both.price.amount == Decimal("80.00") + 10 + 120
    members["findings"] = [
        seen("bearing", "heavy", piece=1),
        seen("bearing", "none", piece=2, id="fnd_second"),
    ]
    one = best(members)
    assert chosen(one) == {"bearing (1)": "new", "bearing (2)": "keep"}
    assert one.price.amount == Decimal("40.00") + 10 + 60


def test_over_a_long_horizon_more_than_one_failure_is_counted():
    often = settings(
        comeback_experience=[
            {"kind": "new", "prior_mean": "0.02", "prior_weight": "50"},
            {"kind": "used", "prior_mean": "0.3", "prior_weight": "50"},
        ]
    )
    offers = [
        goods("bearing", "a", "40"),
        goods("unit", "b", "60", assembly_id="asm_1", condition="used"),
    ]
    short = pump(settings=often, offers=offers, job=job(horizon_hours="500"))
    long = pump(settings=often, offers=offers, job=job(horizon_hours="20000"))
    assert best(short).route == "used"
    assert best(long).route == "rebuild"


def closed_pump(bearing: str):
    """A bearing and a gear behind one cover that nobody has opened yet."""
    group = {"id": "grp_cover", "assembly_id": "asm_1", "name": "cover"}
    return pump(
        parts=[part("bearing"), part("gear")],
        access_groups=[group],
        positions=[
            position("bearing", access_group_id="grp_cover"),
            position("gear", access_group_id="grp_cover"),
        ],
        operations=[
            work("cover", "open", "1", access_group_id="grp_cover"),
            work("b", "renew", "2", position_id="pos_bearing"),
            work("g", "refit", "0.5", position_id="pos_gear"),
        ],
        **looks(bearing=bearing, gear="none"),
    )


def test_a_kept_part_costs_its_refitting_once_its_group_is_opened_and_nothing_before():
    opened = best(closed_pump("heavy"))
    assert opened.price.amount == Decimal("40") + 10 + 60 * Decimal("3.5")
    closed = best(closed_pump("none"))
    assert closed.price.amount == 0
    assert {line.description for line in closed.lines} == {
        "left where it is, unopened",
        "put back as found",
    }


def test_findings_later_than_the_moment_of_the_answer_are_told():
    result = answer(pump(as_of="2031-03-03T06:00:00Z"))
    assert any("1 findings are later" in told for told in result.assumptions)
