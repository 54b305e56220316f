"""What waiting costs, another machine in place of the unit, and how risky each source is."""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.building.retire import RETIRE, why_not_weighed
from shared.decision.codec import from_builtins
from shared.decision.result import Route
from shared.decision.snapshot import Snapshot
from shared.sourcing.model import ArrivalDependence
from tests.snapshots import (
    answer,
    best,
    chosen,
    eur,
    goods,
    job,
    looks,
    part,
    position,
    recommended,
    settings,
    snapshot,
    supplier,
)


def worn(**members):
    """A ring at 50 on Thursday (or, later in the week, Monday), at 80 on Tuesday."""
    return snapshot(
        **{
            "parts": [part("ring")],
            "positions": [position("ring")],
            "suppliers": [supplier("a"), supplier("b")],
            "offers": [
                goods("slow", "a", "50", ("5", "5"), part_id="prt_ring"),
                goods("quick", "b", "80", ("1", "1"), part_id="prt_ring"),
            ],
            **looks(ring="heavy"),
            **members,
        }
    )


def built(members):
    return build(from_builtins(members, Snapshot))


def hire(price="6", cost="4", **members):
    return job(
        waiting={
            "kind": "hire",
            "cost_per_day": eur(cost),
            "price_per_day": eur(price),
        },
        **members,
    )


# --- waiting ---------------------------------------------------------------------------------


def test_each_calendar_day_until_the_unit_is_ready_is_hired_and_billed():
    plan = best(worn(job=hire("4")))
    # Ready on the Monday after, seven days on: 50 + 7 x 4 is less than 80 + 1 x 4.
    assert plan.lines[0].offer_id == "ofr_slow"
    assert plan.price.amount == Decimal("78.00")
    assert plan.cost.amount == Decimal("78.00")
    line = next(a for a in plan.amounts if a.cost_class == "waiting")
    assert (line.price.amount, line.cost.amount, line.is_billed) == (28, 28, True)


def test_dear_waiting_makes_the_quick_way_the_cheapest():
    plan = best(worn(job=hire("6")))
    assert plan.lines[0].offer_id == "ofr_quick"
    assert plan.price.amount == Decimal("86.00")


def test_days_count_from_the_shops_day_of_the_decision_not_from_the_first_working_day():
    saturday = worn(job=hire("1"), as_of="2031-03-01T09:00:00Z")
    case = built(saturday).case
    (table,) = case.waiting
    assert table.price_by_day[:7] == (2_00, 3_00, 4_00, 5_00, 6_00, 9_00, 10_00)
    east = worn(job=hire("1"), as_of="2031-03-02T23:00:00Z")
    assert built(east).case.waiting[0].price_by_day[0] == 1_00
    east["settings"]["calendar"] = {"timezone": "Asia/Tokyo"}
    assert built(east).case.waiting[0].price_by_day[0] == 0


def test_the_customers_standstill_counts_in_the_price_alone_and_is_not_billed():
    plan = best(worn(job=job(standstill_cost_per_day=eur("6"))))
    assert plan.lines[0].offer_id == "ofr_quick"
    line = next(a for a in plan.amounts if a.cost_class == "standstill")
    assert (line.price.amount, line.cost.amount, line.is_billed) == (6, 0, False)
    assert plan.price.amount == Decimal("80.00")
    cost = best(worn(job=job(standstill_cost_per_day=eur("6")), aim="cost"))
    assert cost.lines[0].offer_id == "ofr_slow"


def test_without_waiting_there_is_no_table():
    assert built(worn()).case.waiting == ()


# --- another machine -------------------------------------------------------------------------


def test_another_machine_competes_only_where_its_cost_is_given():
    assert all(source.id != RETIRE for source in built(worn()).case.sources)
    assert why_not_weighed(from_builtins(worn(), Snapshot)) == (
        "the customer's cost of another machine is not given"
    )
    dear = answer(worn(job=job(replacement_cost=eur("51"))))
    assert recommended(dear).route is Route.REBUILD
    cheap = recommended(answer(worn(job=job(replacement_cost=eur("49")))))
    assert cheap.route is Route.RETIRE
    assert chosen(cheap) == {"the whole unit": "retire"}


def test_another_machine_is_not_billed_and_what_is_unknown_of_it_is_told():
    rules = settings(pricing={"disposal": eur("3")})
    found = answer(worn(job=job(replacement_cost=eur("40")), settings=rules))
    plan = recommended(found)
    line = next(a for a in plan.amounts if a.cost_class == "replacement")
    assert (line.price.amount, line.cost.amount, line.is_billed) == (40, 0, False)
    assert plan.price.amount == Decimal("3.00")
    assert plan.readiness.bench_hours == 0
    assert any("neither the chance that it fails" in a for a in found.assumptions)


def test_another_machine_is_no_way_out_of_the_shops_own_cost():
    members = worn(job=job(replacement_cost=eur("1")), aim="cost")
    assert chosen(best(members)) == {"ring": "new"}
    assert "no cost of the shop's" in (why_not_weighed(from_builtins(members, Snapshot)) or "")


# --- risk and dependence ---------------------------------------------------------------------


def risks(members):
    return {s.id: s.risk for s in built(members).case.sources}


def experience(**chances):
    return settings(
        comeback_experience=[
            {"kind": kind.replace("_", "-"), "prior_mean": mean, "prior_weight": "10"}
            for kind, mean in chances.items()
        ]
    )


def with_interchange(**members):
    found = worn(**members)
    found["parts"] += [part("twin"), part("shaft")]
    found["positions"].append(position("shaft"))
    found["claims"] = [
        {
            "id": "clm_1",
            "part_id": "prt_ring",
            "stand_in_part_id": "prt_twin",
            "evidence_kind": "measured-match",
            "evidence": "measured",
        }
    ]
    found["offers"] += [goods("twin", "a", "20"), goods("used", "a", "9", part_id="prt_shaft")]
    found["offers"][-1]["condition"] = "used"
    return found | looks(ring="heavy", shaft="heavy")


def test_a_weight_is_the_logarithm_of_not_coming_back_rounded_up():
    found = risks(worn(settings=experience(new="0.1")))
    assert found["pos_ring:new:ofr_slow:prt_ring"] == 105361
    assert found["whole:part-by-part"] == 0


def test_what_is_not_on_record_counts_as_the_worst_known_of_its_position_else_of_the_case():
    found = risks(with_interchange(settings=experience(new="0.1")))
    assert found["pos_ring:interchange:ofr_twin:prt_twin"] == 105361
    assert found["pos_shaft:used:ofr_used:prt_shaft"] == 105361
    found = risks(with_interchange(settings=experience(new="0.1", interchange="0.2")))
    assert found["pos_shaft:used:ofr_used:prt_shaft"] == 223144


def test_that_is_told_where_the_axis_of_risk_is_asked_for():
    members = with_interchange(settings=experience(new="0.1"), asked={"has_risk_axis": True})
    told = " ".join(built(members).draft.all_assumptions())
    assert "On the axis of risk, ring (interchange), shaft (used) have no chance on record" in told
    members["asked"] = {"has_risk_axis": False}
    assert "axis of risk" not in " ".join(built(members).draft.all_assumptions())
    members = with_interchange(asked={"has_risk_axis": True})
    assert "tells nothing apart" in " ".join(built(members).draft.all_assumptions())


@pytest.mark.parametrize("dependence", list(ArrivalDependence))
def test_the_shops_rule_on_arrivals_goes_into_the_case(dependence):
    rules = settings(rules={"arrival_dependence": dependence})
    assert built(worn(settings=rules)).case.arrival_dependence is dependence
