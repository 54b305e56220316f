"""What must never be called good: bad parts inside whole ones, stock units, readings, reworks."""

from decimal import Decimal

import pytest

from shared.decision.result import DecisionResult
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    look,
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

SOUND_DONORS = settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}])


def carrier_with(inner: str, ruling: str = "serviceable", **members):
    """A carrier with a part inside, both on sale, and a donor in the yard."""
    base = {
        "parts": [part("carrier"), part(inner)],
        "positions": [
            position("carrier", serviceability={"ruling": ruling}),
            position(inner, parent_id="pos_carrier"),
        ],
        "suppliers": [supplier("a")],
        "offers": [goods("carrier", "a", "300"), goods(inner, "a", "290")],
        "units": [own_unit(), donor("d")],
        "settings": SOUND_DONORS,
    }
    return snapshot(**{**base, **members})


def test_a_donors_whole_is_judged_with_what_was_found_inside_it():
    members = carrier_with("bearing", **looks(bearing="heavy"))
    members["findings"] = [*members["findings"], seen("bearing", "heavy", "d")]
    result = answer(members)
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "nonconforming on the donor" in why(result, "carrier from donor")


def test_a_whole_from_a_donor_is_barred_where_it_holds_a_safety_critical_part():
    members = carrier_with("brake", "inspect-only", **looks(carrier="heavy"))
    members["positions"][1]["is_safety_critical"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "safety-critical" in why(result, "carrier from donor")


def test_a_serviceable_whole_from_a_donor_is_barred_for_the_brake_inside_it():
    members = carrier_with("brake", **looks(brake="heavy"))
    members["positions"][1]["is_safety_critical"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"brake": "new"}
    assert "holds a safety-critical part" in why(result, "carrier from donor")


def test_a_whole_nobody_looked_into_is_not_kept_round_a_safety_critical_part():
    members = carrier_with("brake", "inspect-only", characteristics=[look("brake", None)[0]])
    members["positions"][1]["is_safety_critical"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "safety-critical and not-inspected" in why(result, "keep carrier")


def test_a_policy_that_keeps_no_safety_critical_part_is_heeded_though_it_conforms():
    result = answer(
        snapshot(
            parts=[part("brake")],
            positions=[position("brake", is_safety_critical=True)],
            suppliers=[supplier("a")],
            offers=[goods("brake", "a", "300")],
            settings=settings(policy={"safety_critical_sources": ["new"]}),
            **looks(brake="none"),
        )
    )
    assert chosen(recommended(result)) == {"brake": "new"}
    assert "policy allows there only: new" in why(result, "keep brake")


def with_stock_unit(grade: str | None = None, own_variant: str | None = None, **stock):
    """A gear beyond use, dear to renew, and a cheap unit on the shelf."""
    unit = {
        "id": "unt_s",
        "assembly_id": "asm_1",
        "kind": "stock",
        "donor": {"is_owned": True, "undisturbed_worth": eur(100)},
        **stock,
    }
    members = snapshot(
        parts=[part("gear")],
        positions=[position("gear", is_variant_bound=own_variant is not None)],
        suppliers=[supplier("a")],
        offers=[goods("gear", "a", "900")],
        units=[own_unit(variant=own_variant), unit],
        **looks(gear="heavy"),
    )
    if grade is not None:
        members["findings"] = [*members["findings"], seen("gear", grade, "s")]
    return members


def test_a_sound_stock_unit_is_fitted():
    assert best(with_stock_unit("none")).route == "used"


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"grade": "heavy"}, "nonconforming, gear"),
        ({"reason_retired": "fire"}, "retired by fire"),
        ({"own_variant": "ratio 18"}, "ratio 18"),
    ],
)
def test_a_stock_unit_that_is_bad_burnt_or_of_no_known_variant_is_not(change, reason):
    result = answer(with_stock_unit(**change))
    assert recommended(result).route == "rebuild"
    assert reason in why(result, "stock unit")


def shaft(own: str, **members):
    """A shaft of at least 20 mm, as measured with u = 0.01 mm."""
    return snapshot(
        **{
            "parts": [part("shaft")],
            "positions": [position("shaft")],
            "suppliers": [supplier("a")],
            "offers": [goods("shaft", "a", "300")],
            "characteristics": [
                {
                    "id": "chr_shaft",
                    "position_id": "pos_shaft",
                    "name": "diameter",
                    "service_lower": {"value": "20", "unit": "mm"},
                }
            ],
            "findings": [measured(own)],
            "settings": SOUND_DONORS,
            **members,
        }
    )


def measured(size: str, unit: str = "1"):
    reading = {"value": size, "unit": "mm", "standard_uncertainty": "0.01"}
    return {**seen("shaft", "none", unit), "method": "gauge", "grade": None, "measured": reading}


@pytest.mark.parametrize(
    ("reading", "chance"),
    [
        ("19.986", "8%"),  # 1.4 u below the limit: Phi(-1.4) = 0.0808
        ("20.015", "90%"),  # Phi(1.5) = 0.933: not sure, and no better than experience
    ],
)
def test_a_doubtful_reading_on_a_donor_is_never_worth_more_than_it_says(reading, chance):
    result = answer(
        shaft(
            "19.5",
            units=[own_unit(), donor("d")],
            findings=[measured("19.5"), measured(reading, "d")],
        )
    )
    notes = [line.notes for plan in result.plans for line in plan.lines if line.donor_unit_id]
    assert any(f"chance of {chance}" in note for told in notes for note in told)


def test_a_price_that_hangs_on_a_part_proving_good_says_so():
    plan = best(shaft("19.5", units=[own_unit(), donor("d")]))
    assert chosen(plan) == {"shaft": "salvaged"}
    assert any("price holds only if" in note and "shaft" in note for note in plan.notes)


def test_a_rework_names_what_it_must_put_right_and_what_nobody_has_settled():
    members = shaft(
        "19.5", offers=[service("sleeve", "a", "30", position_id="pos_shaft")], settings=settings()
    )
    crack, _ = look("crack", None, is_crack=True, settling_method="magnetic")
    crack |= {"position_id": "pos_shaft", "worst_acceptable_grade": "none"}
    runout, _ = look("runout", None)
    runout |= {"position_id": "pos_shaft", "name": "runout"}
    members["characteristics"] = [*members["characteristics"], crack, runout]
    members["findings"] = [
        *members["findings"],
        {**seen("crack", "none"), "position_id": "pos_shaft"},
    ]
    plan = best(members)
    told = "; ".join(plan.lines[0].notes)
    assert "has to put right: 19.5 mm" in told
    assert "not inspected: runout" in told
    assert "none seen by eye is not 'no crack'" in told
    assert any("Reworked though not all of it is settled: shaft" in note for note in plan.notes)


def test_a_refused_service_in_a_set_that_cannot_be_completed_breaks_nothing():
    pair = {"id": "set_pair", "assembly_id": "asm_1", "kind": "matched", "name": "pair"}
    result = answer(
        snapshot(
            parts=[part("pinion"), part("wheel")],
            positions=[position("pinion"), position("wheel")],
            position_sets=[{**pair, "position_ids": ["pos_pinion", "pos_wheel"]}],
            suppliers=[supplier("a")],
            offers=[
                service("regrind", "a", "50", position_id="pos_pinion", reject_probability="0.1"),
                goods("unit", "a", "500", assembly_id="asm_1"),
            ],
            **looks(pinion="heavy", wheel="heavy"),
        )
    )
    assert recommended(result).route == "new"
    assert "incomplete" in why(result, "regrind")


def test_a_pack_chosen_by_measuring_is_to_be_measured_again_when_it_stays():
    plan = best(
        snapshot(
            parts=[part("shims")],
            positions=[position("shims", renewal_rule="select-fit")],
            **looks(shims="none"),
        )
    )
    assert any("measure again" in note for note in plan.lines[0].notes)


def whole_unit(**offer) -> DecisionResult:
    return answer(
        snapshot(
            parts=[part("brake")],
            positions=[position("brake", is_safety_critical=True)],
            units=[own_unit(variant="ratio 18")],
            suppliers=[supplier("a")],
            offers=[goods("unit", "a", "500", assembly_id="asm_1", **offer)],
            **looks(brake="heavy"),
        )
    )


def test_a_used_unit_comes_with_what_must_be_looked_at_first():
    plan = recommended(whole_unit(condition="used", reject_probability="0.15"))
    told = " ".join(plan.notes)
    assert "'ratio 18'" in told
    assert "inspect before fitting: brake" in told
    assert "a chance of 15%: the supplier replaces it without charge" in told


def test_hours_and_worth_that_are_not_on_record_are_said_to_be_missing():
    assert any("fit a whole unit: none" in told for told in whole_unit().assumptions)
    free = answer(shaft("19.5", units=[own_unit(), donor("d")]))
    assert any("no worth on record" in told for told in free.assumptions)


def test_lasting_to_the_horizon_counts_the_cause_as_the_comeback_does():
    sure = {"kind": "new", "prior_mean": "0.02", "prior_weight": "50"}
    plan = best(
        shaft(
            "19.5",
            settings=settings(comeback_experience=[sure], warranty={"common_cause_unknown": "0.3"}),
        )
    )
    risk = plan.risk  # the horizon is the warranty: what does not come back has lasted
    assert risk.comeback_probability == Decimal("0.314")  # 1 - 0.7 x 0.98
    assert risk.survival_to_horizon == Decimal("0.686")
    assert risk.expected_service_hours < Decimal("500")


def test_a_failed_rework_is_charged_again_as_the_sublet_work_it_is():
    plan = best(
        shaft(
            "19.5",
            offers=[service("sleeve", "a", "100", position_id="pos_shaft")],
            operations=[work("shaft", "renew", "1", position_id="pos_shaft")],
            job={"id": "job_1", "unit_id": "unt_1", "complaint": "-", "horizon_hours": "1000"},
            settings=settings(
                pricing={
                    "sublet_markup_percent": "10",
                    "parts_markup": [{"percent": "50"}],
                },
                comeback_experience=[{"kind": "rework", "prior_mean": "0.5", "prior_weight": "10"}],
            ),
        )
    )
    # Half fail in 500 h, so 2 ln 2 failures are to be expected in 1000 h, 0.5 of them in the
    # warranty; each later one costs the customer 60 of labour and 110 of work: 0.886294 x 170.
    later = [a.price.amount for a in plan.amounts if a.cost_class == "later-failure"]
    assert later == [Decimal("150.67")]


# --- money that must not be forgotten -------------------------------------------------------


def worn_gear(*offers, **pricing):
    return snapshot(
        parts=[part("gear", generic_designation="14x18x1.5")],
        positions=[position("gear")],
        suppliers=[supplier("a")],
        offers=list(offers),
        settings=settings(pricing=pricing),
        **looks(gear="heavy"),
    )


def exchange(freight: str):
    core = {
        "deposit": eur(50),
        "acceptance_probability": "0.5",
        "return_freight": eur(freight),
        "return_within_days": 30,
    }
    return goods("unit", "a", "100", assembly_id="asm_1", condition="rebuilt", core=core)


@pytest.mark.parametrize(
    ("freight", "total"),
    [
        ("5", "130.00"),  # 100 + deposit 50 - (25 - 5); the old unit goes back
        ("30", "159.00"),  # 25 is less than its freight: it stays, and is scrap for 9
    ],
)
def test_a_core_that_stays_is_scrap_and_its_disposal_is_paid(freight, total):
    plan = best(worn_gear(exchange(freight), disposal=eur(9)))
    assert plan.expected_total.amount == Decimal(total)


def test_a_cracked_core_and_its_time_limit_are_pointed_out():
    members = worn_gear(exchange("5"))
    members["characteristics"][0] |= {"is_crack": True, "worst_acceptable_grade": "none"}
    told = " ".join(best(members).notes)
    assert "core is cracked" in told
    assert "within 30 days" in told


def test_the_deposit_on_a_kit_is_paid_and_half_of_it_expected_back():
    members = worn_gear(
        goods("kit", "a", "10", core={"deposit": eur(50), "acceptance_probability": "0.5"})
    )
    members["parts"].append(part("kit", kit_lines=[{"part_id": "prt_gear"}]))
    plan = best(members)
    assert plan.price.amount == Decimal("60.00")
    assert plan.expected_total.amount == Decimal("35.00")


def test_an_equal_designation_on_a_part_of_another_kind_is_pointed_out():
    members = worn_gear(goods("shim", "a", "1"))
    members["parts"].append(part("shim", generic_designation="14 x 18 x 1.5"))
    told = " ".join(best(members).lines[0].notes)
    assert "recorded as 'shim', the maker's part as 'gear'" in told


def test_certainty_that_nobody_can_give_is_named_as_what_was_asked():
    members = worn_gear(goods("gear", "a", "10", ("1", "2")))
    members["job"]["confidence"] = "1"
    result = answer(members)
    assert result.infeasibility is not None
    assert "ready, with a chance of 100%" in result.infeasibility.requirements


def test_holidays_of_parts_of_a_country_that_are_not_counted_are_said_to_be_left_out():
    members = worn_gear(goods("gear", "a", "10"))
    members["settings"]["calendar"] = {"country": "DE"}
    assert any("holidays of parts of the country" in told for told in answer(members).assumptions)


def test_a_chance_that_is_not_certain_is_not_rounded_to_certainty():
    members = worn_gear(goods("gear", "a", "10", ("1", "1.1")))
    members["job"]["required_by_on"] = "2031-06-30"
    readiness = best(members).readiness
    assert readiness.probability_by_required == Decimal("0.999999")
