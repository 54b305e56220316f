"""A plan as it is read: what adds up, what is told, what is not known and says so."""

from datetime import date
from decimal import Decimal
from math import log1p

import pytest

from shared.decision.codec import to_builtins
from shared.decision.planning.case import CostClass
from shared.decision.result import Route
from shared.decision.telling.words import CLASS_WORDS, ROUTE_WORDS
from tests.snapshots import (
    answer,
    best,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    recommended,
    service,
    settings,
    snapshot,
    supplier,
    work,
)


def pump(**members):
    """A worn bearing, a scored shaft that could be ground, a sound gear, whole units."""
    rules = settings(
        pricing={
            "parts_markup": [{"percent": "35"}],
            "supplies_percent_of_labour": "3",
            "disposal": eur("4.49"),
            "tax_percent": "19",
        },
        warranty={"warranty_hours": "500", "comeback_fixed_cost": eur("40")},
        rules={"interest_percent_per_year": "6"},
        comeback_experience=[
            {"kind": kind, "prior_mean": "0.02", "prior_weight": "50"}
            for kind in ("new", "keep", "rework", "exchange")
        ],
    )
    return snapshot(
        **{
            "settings": rules,
            "job": job(inspection_price=eur("55"), horizon_hours="2000", hours_per_year="800"),
            "parts": [part("bearing"), part("shaft"), part("gear")],
            "positions": [position("bearing"), position("shaft"), position("gear")],
            "suppliers": [supplier("a", "10"), supplier("b", "25")],
            "offers": [
                goods("bearing", "a", "40", ("3", "5")),
                goods("shaft", "a", "400", ("3", "5")),
                service("grind", "b", "60", ("2", "3"), position_id="pos_shaft"),
                goods(
                    "unit",
                    "b",
                    "900",
                    ("1", "2"),
                    assembly_id="asm_1",
                    condition="rebuilt",
                    core={"deposit": eur("150"), "acceptance_probability": "0.8"},
                ),
            ],
            "operations": [
                work("b", "renew", "2", "3", position_id="pos_bearing"),
                work("s", "renew", "1", "2", position_id="pos_shaft"),
            ],
            **looks(bearing="heavy", shaft="heavy", gear="none"),
            **members,
        }
    )


def test_the_breakdown_adds_up_to_what_is_compared_and_its_billed_costs_to_the_cost():
    for aim in ("price", "cost"):
        for plan in answer(pump(aim=aim)).plans:
            unbilled = {a.cost_class for a in plan.amounts if not a.is_billed}
            compared = sum(getattr(one, aim).amount for one in plan.breakdown)
            assert compared == plan.expected_total.amount
            billed = [one for one in plan.breakdown if one.cost_class not in unbilled]
            assert sum(one.cost.amount for one in billed) == plan.cost.amount
            assert sum(one.price.amount for one in billed) == plan.price.amount
            assert len({one.cost_class for one in plan.breakdown}) == len(plan.breakdown)


def test_the_survival_curve_falls_from_certainty_and_holds_the_figures_of_the_risk():
    plan = best(pump())
    curve = {point.hours: point.probability for point in plan.survival}
    assert curve[Decimal(0)] == 1
    assert list(curve.values()) == sorted(curve.values(), reverse=True)
    comeback = float(plan.risk.comeback_probability)
    assert float(curve[Decimal(500)]) == pytest.approx(1 - comeback, abs=2e-6)
    assert curve[Decimal(2000)] == plan.risk.survival_to_horizon
    # Three parts at 2 % in 500 h each, at constant hazard.
    assert float(curve[Decimal(1000)]) == pytest.approx(0.98**6, abs=1e-6)
    assert len(curve) <= 23


def test_price_per_hour_and_per_year_follow_from_the_hours_that_are_expected():
    plan = best(pump())
    rate = -3 * log1p(-0.02) / 500
    hours = (1 - 0.98**12) / rate
    assert float(plan.risk.expected_service_hours) == pytest.approx(hours, rel=1e-5)
    total = float(plan.expected_total.amount)
    assert float(plan.price_per_expected_hour) == pytest.approx(total / hours, rel=1e-5)
    years = hours / 800
    yearly = total * 0.06 / (1 - 1.06**-years)
    assert float(plan.equivalent_annual_cost.amount) == pytest.approx(yearly, abs=0.02)


def test_what_is_not_given_or_not_on_record_is_not_made_up():
    no_years = best(pump(job=job()))
    assert no_years.equivalent_annual_cost is None
    nothing = best(pump(settings=settings()))
    assert nothing.survival == ()
    assert nothing.price_per_expected_hour is None
    assert "nothing on record tells" in nothing.summary
    partly = settings(
        comeback_experience=[{"kind": "new", "prior_mean": "0.02", "prior_weight": "50"}]
    )
    bounded = best(pump(settings=partly))
    assert any("upper bound" in note and "gear" in note for note in bounded.notes)


def test_the_summary_says_what_is_done_what_it_costs_when_and_what_is_open():
    plan = best(pump(**looks(bearing="heavy", shaft="heavy", gear=None)))
    assert plan.title == "Rebuild: renew 1, rework 1, keep 1"
    told = plan.summary
    assert "Renewed: bearing. Reworked: shaft. Kept: gear." in told
    assert f"To pay: {plan.to_pay.amount} EUR, of it 55.00 EUR inspection and" in told
    assert f"Ready by {plan.readiness.promise_on} with a chance of" in told
    assert "Chance of a comeback within 500 h of running: " in told
    assert "Not proven to conform: gear (not-inspected)." in told
    assert str(plan.total_spread.p90.amount) in told


def test_a_sub_assembly_exchanged_in_a_rebuild_is_named_in_the_title():
    members = pump()
    rebuilt = goods(
        "shaft",
        "a",
        "50",
        condition="rebuilt",
        core={"deposit": eur("30"), "acceptance_probability": "0.9"},
    )
    offers = [offer for offer in members["offers"] if "shaft" not in offer["id"]]
    plan = best({**members, "offers": [*offers[:1], rebuilt]})
    assert plan.route is Route.REBUILD
    assert plan.title == "Rebuild with rebuilt: shaft; renew 2, keep 1"


def test_a_harvest_that_may_prove_bad_is_told_in_the_summary():
    members = pump(units=[own_unit(), donor("d", worth="1")])
    members["settings"]["salvage_experience"] = [{"prior_mean": "0.9", "prior_weight": "10"}]
    plan = best({**members, "offers": members["offers"][:2]})
    assert "The price holds only if" in plan.summary


def test_another_machine_is_told_without_a_promise_it_cannot_keep():
    plan = best(pump(job=job(replacement_cost=eur("20"), inspection_price=eur("55"))))
    assert plan.route is Route.RETIRE
    assert plan.title == ROUTE_WORDS[Route.RETIRE]
    assert "When the other machine is at hand is not on record." in plan.summary
    assert "comes to 20.00 EUR, paid elsewhere" in plan.summary
    assert plan.finish_spread is None
    assert "The other machine itself." in plan.total_spread.not_counted
    told = plan.customer
    assert (told.promise_on, told.confidence) == (None, None)
    assert told.lines[0].what == "not repaired: another machine takes its place"
    assert "Warranty" not in told.summary


def test_a_loan_unit_is_told_by_its_days_and_moves_the_total_with_them():
    waiting = {"kind": "loan", "cost_per_day": eur("3"), "price_per_day": eur("8")}
    with_loan = best(pump(job=job(waiting=waiting)))
    days = (with_loan.readiness.promise_on.toordinal()) - date(2031, 3, 3).toordinal()
    note = next(note for note in with_loan.notes if note.startswith("Loan unit"))
    assert note.startswith(f"Loan unit for {days} calendar days, to ")
    assert f"{8 * days}.00 EUR of the price" in note
    assert note in with_loan.customer.notes
    least = with_loan.total_spread.points[0].amount.amount
    assert least < with_loan.to_pay.amount - Decimal("9.52")  # a day sooner, with 19 % tax


def test_what_a_small_order_costs_besides_is_told():
    small = [supplier("a", "10", minimum_order=eur("60")), supplier("b", "25")]
    plan = best(pump(suppliers=small))
    assert any("for goods added to reach a minimum order" in note for note in plan.notes)
    assert any("due to the small size of an order" in note for note in plan.customer.notes)


def test_every_class_of_cost_and_every_route_has_its_words():
    assert set(CLASS_WORDS) == set(CostClass)
    assert set(ROUTE_WORDS) == set(Route)


def test_the_same_plan_is_told_in_the_same_words_whatever_the_order_of_the_records():
    members = pump()
    mixed = {
        key: list(reversed(value)) if isinstance(value, list) else value
        for key, value in members.items()
    }
    assert to_builtins(recommended(answer(mixed))) == to_builtins(best(members))
