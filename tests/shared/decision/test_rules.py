"""What may fill a position: verdicts, rulings, sets, renewal rules, policy."""

from decimal import Decimal

import pytest

from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    group,
    job,
    look,
    looks,
    own_unit,
    part,
    position,
    recommended,
    service,
    settings,
    snapshot,
    supplier,
    why,
    work,
)


def gear_and_seal(gear: str | None = "none", seal: str | None = "heavy", **members):
    base = {
        "parts": [part("gear"), part("seal")],
        "positions": [position("gear"), position("seal")],
        "suppliers": [supplier("a")],
        "offers": [goods("gear", "a", "300"), goods("seal", "a", "12")],
        **looks(gear=gear, seal=seal),
    }
    return snapshot(**{**base, **members})


def test_a_conforming_part_is_kept_and_a_nonconforming_one_is_renewed():
    assert chosen(best(gear_and_seal())) == {"gear": "keep", "seal": "new"}


def test_a_measurement_beyond_the_limit_changes_what_is_renewed():
    plan = best(gear_and_seal(gear="moderate"))
    assert chosen(plan) == {"gear": "new", "seal": "new"}
    assert plan.price.amount == Decimal("312.00")


def test_what_was_not_inspected_is_kept_only_with_a_flag():
    plan = best(gear_and_seal(gear=None))
    assert chosen(plan)["gear"] == "keep"
    assert any("gear (not-inspected)" in note for note in plan.notes)


def test_policy_can_bar_keeping_what_was_not_inspected():
    strict = settings(policy={"keep_not_inspected": "barred"})
    assert chosen(best(gear_and_seal(gear=None, settings=strict)))["gear"] == "new"


def test_a_safety_critical_part_that_is_not_proved_good_is_never_kept():
    result = answer(
        gear_and_seal(
            gear=None, positions=[position("gear", is_safety_critical=True), position("seal")]
        )
    )
    assert chosen(recommended(result))["gear"] == "new"
    assert "safety-critical" in why(result, "keep gear")


def test_a_safety_critical_position_takes_nothing_from_a_donor_by_default():
    result = answer(
        gear_and_seal(
            gear="heavy",
            units=[own_unit(), donor("d")],
            settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
            positions=[position("gear", is_safety_critical=True), position("seal")],
        )
    )
    assert chosen(recommended(result))["gear"] == "new"
    assert "safety-critical" in why(result, "gear from donor")


def test_a_nonconforming_part_is_refitted_only_where_the_policy_prices_its_risk():
    risky = settings(
        policy={"refit_nonconforming": "allowed"},
        comeback_experience=[
            {"kind": "keep-nonconforming", "prior_mean": "0.5", "prior_weight": "4"}
        ],
    )
    only_gear = {"offers": [], "suppliers": []}
    barred = answer(gear_and_seal(**only_gear))
    assert barred.recommended is None
    assert barred.infeasibility is not None
    assert any("seal" in told for told in barred.infeasibility.requirements)
    allowed = answer(gear_and_seal(settings=risky, **only_gear))
    plan = recommended(allowed)
    assert (plan.route, chosen(plan)) == ("refit", {"gear": "keep", "seal": "keep"})
    assert plan.risk.comeback_probability == Decimal("0.5")


def test_a_nonconforming_part_is_not_kept_beside_other_work():
    risky = settings(
        policy={"refit_nonconforming": "allowed"},
        comeback_experience=[
            {"kind": "keep-nonconforming", "prior_mean": "0.01", "prior_weight": "4"}
        ],
    )
    result = answer(gear_and_seal(gear="heavy", settings=risky))
    for plan in result.plans:
        kinds = set(chosen(plan).values())
        assert kinds in ({"keep"}, {"new"}), plan.title


# --- rulings --------------------------------------------------------------------------------


def carrier(ruling: str, **members):
    """A carrier with a bearing inside it, both bad; each sold singly."""
    return snapshot(
        **{
            "parts": [part("carrier"), part("bearing")],
            "positions": [
                position("carrier", serviceability={"ruling": ruling, "reason": "set with a rig"}),
                position("bearing", parent_id="pos_carrier"),
            ],
            "suppliers": [supplier("a")],
            "offers": [goods("carrier", "a", "200"), goods("bearing", "a", "20")],
            **looks(bearing="heavy"),
            **members,
        }
    )


@pytest.mark.parametrize(
    ("ruling", "expected"),
    [
        ("serviceable", {"bearing": "new"}),
        ("inspect-only", {"carrier": "new"}),
        ("replace-as-assembly", {"carrier": "new"}),
    ],
)
def test_an_inner_part_is_renewed_only_where_the_ruling_allows_it(ruling, expected):
    assert chosen(best(carrier(ruling))) == expected


@pytest.mark.parametrize("ruling", ["inspect-only", "replace-as-assembly"])
def test_a_donor_gives_the_whole_of_what_may_not_be_taken_apart(ruling):
    plan = best(
        carrier(
            ruling,
            offers=[goods("carrier", "a", "900")],
            units=[own_unit(), donor("d", worth="50")],
            settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
        )
    )
    assert chosen(plan) == {"carrier": "salvaged"}


def test_a_donor_gives_an_inner_part_of_what_is_serviceable():
    plan = best(
        carrier(
            "serviceable",
            offers=[goods("bearing", "a", "900")],
            units=[own_unit(), donor("d", worth="5")],
            settings=settings(salvage_experience=[{"prior_mean": "0.99", "prior_weight": "100"}]),
        )
    )
    assert chosen(plan) == {"bearing": "salvaged"}


def test_a_part_renewed_against_the_makers_whole_only_supply_is_said_to_be_so():
    plan = best(
        gear_and_seal(
            positions=[position("gear"), position("seal", maker_supply="whole-only")],
        )
    )
    assert any("Outside the maker's support" in n and "seal" in n for n in plan.notes)


# --- sets -----------------------------------------------------------------------------------

PAIR = {
    "parts": [
        part("wheel"),
        part("pinion"),
        part("pair", kit_lines=[{"part_id": "prt_wheel"}, {"part_id": "prt_pinion"}]),
    ],
    "positions": [position("wheel"), position("pinion")],
    "position_sets": [
        {
            "id": "pst_1",
            "assembly_id": "asm_1",
            "kind": "matched",
            "name": "gear pair",
            "position_ids": ["pos_wheel", "pos_pinion"],
        }
    ],
    "suppliers": [supplier("a")],
    **looks(wheel="heavy", pinion="none"),
}


def test_a_matched_set_is_not_completed_by_a_single_part():
    offers = [goods("wheel", "a", "50"), goods("pair", "a", "400")]
    result = answer(snapshot(**PAIR, offers=offers))
    assert chosen(recommended(result)) == {"wheel": "kit", "pinion": "kit"}
    assert recommended(result).price.amount == Decimal("400.00")
    assert "does not complete it" in why(result, "wheel from Supplier a")


def test_without_a_set_offer_the_answer_says_what_rules_the_rebuild_out():
    result = answer(snapshot(**PAIR, offers=[goods("wheel", "a", "50")]))
    assert result.recommended is None
    assert result.infeasibility is not None
    assert any("wheel" in told for told in result.infeasibility.requirements)


def test_a_matched_set_from_a_donor_comes_whole_and_with_one_chance():
    sure = settings(salvage_experience=[{"prior_mean": "0.75", "prior_weight": "8"}])
    plan = best(
        snapshot(
            **PAIR,
            offers=[goods("pair", "a", "400")],
            units=[own_unit(), donor("d", worth="100")],
            settings=sure,
        )
    )
    assert chosen(plan) == {"wheel": "salvaged", "pinion": "salvaged"}
    fallback = [a for a in plan.amounts if a.cost_class == "fallback"]
    # One chance of 0.25 that the pair proves bad, times the kit that would then be bought.
    assert [a.price.amount for a in fallback] == [Decimal("100.00")]
    assert plan.expected_total.amount == Decimal("200.00")


def test_renewed_together_draws_the_other_position_along():
    together = {"id": "pst_1", "assembly_id": "asm_1", "kind": "renewed-together", "name": "cup"}
    members = gear_and_seal(
        position_sets=[{**together, "position_ids": ["pos_gear", "pos_seal"]}],
    )
    assert chosen(best(members)) == {"gear": "new", "seal": "new"}


# --- renewal rules and access groups --------------------------------------------------------


def covered(**members):
    """A gasket that is always renewed, and a seal, behind one cover."""
    return snapshot(
        **{
            "parts": [part("gasket"), part("seal")],
            "access_groups": [group("cover")],
            "positions": [
                position("gasket", renewal_rule="always", access_group_id="grp_cover"),
                position("seal", access_group_id="grp_cover"),
            ],
            "operations": [
                work("cover", "open", "1", access_group_id="grp_cover"),
                work("cover", "close", "0.5", access_group_id="grp_cover"),
            ],
            "suppliers": [supplier("a")],
            "offers": [goods("gasket", "a", "9"), goods("seal", "a", "12")],
            **members,
        }
    )


def test_a_one_time_part_is_renewed_when_its_group_is_opened_and_the_opening_is_paid_once():
    plan = best(covered(**looks(seal="heavy")))
    assert chosen(plan) == {"gasket": "new", "seal": "new"}
    assert plan.price.amount == Decimal("9.00") + 12 + 90


def test_a_one_time_part_stays_where_its_group_stays_closed():
    plan = best(covered(**looks(seal="none")))
    assert chosen(plan) == {"gasket": "keep", "seal": "keep"}
    assert plan.price.amount == 0


def test_a_group_that_the_inspection_left_open_costs_only_its_closing_and_is_due():
    opened = job(opened_group_ids=["grp_cover"])
    plan = best(covered(**looks(seal="none"), job=opened))
    assert chosen(plan) == {"gasket": "new", "seal": "keep"}
    assert plan.price.amount == Decimal("9.00") + 30
    assert plan.route == "refit"


def test_used_parts_never_fill_a_position_that_is_always_renewed():
    used = [goods("gasket", "a", "1", condition="used"), goods("seal", "a", "12")]
    result = answer(covered(**looks(seal="heavy"), offers=used))
    assert result.recommended is None
    assert "never run" in why(result, "gasket from Supplier a")


# --- interchange ----------------------------------------------------------------------------


def test_a_part_of_equal_designation_may_stand_in_but_a_slash_is_not_dropped():
    members = snapshot(
        parts=[
            part("bearing", generic_designation="62/22"),
            part("equal", generic_designation="62/22", kind="bearing"),
            part("larger", generic_designation="6222", kind="bearing"),
        ],
        positions=[position("bearing")],
        suppliers=[supplier("a")],
        offers=[goods("equal", "a", "20"), goods("larger", "a", "5"), goods("bearing", "a", "90")],
        **looks(bearing="heavy"),
    )
    plan = best(members)
    assert [(line.offer_id, line.source_kind) for line in plan.lines] == [("ofr_equal", "generic")]


def claim(**members):
    return {
        "id": "clm_1",
        "part_id": "prt_seal",
        "stand_in_part_id": "prt_other",
        "evidence_kind": "measured-match",
        "evidence": "same bore, outside and width, measured",
        **members,
    }


@pytest.mark.parametrize(
    ("conditions", "why_not"),
    [
        ({}, None),
        ({"assembly_id": "asm_1", "position_id": "pos_seal"}, None),
        ({"assembly_id": "asm_other"}, "another assembly"),
        ({"position_id": "pos_gear"}, "another position"),
        ({"serial_from": "LF-100", "serial_to": "LF-500"}, None),
        ({"serial_from": "LF-500"}, "LF-417"),
        ({"serial_from": "MM-100"}, "cannot be told"),
        ({"evidence_kind": "told"}, "'told' is not accepted"),
    ],
)
def test_a_claim_is_used_only_where_its_conditions_hold(conditions, why_not):
    result = answer(
        gear_and_seal(
            parts=[part("gear"), part("seal"), part("other")],
            offers=[goods("seal", "a", "12"), goods("other", "a", "2")],
            claims=[claim(**conditions)],
            units=[own_unit(serial_number="LF-417")],
        )
    )
    assert chosen(recommended(result))["seal"] == ("new" if why_not else "interchange")
    if why_not:
        assert why_not in why(result, "in place of seal")


def test_the_rework_of_a_claim_is_paid_for():
    plan = best(
        gear_and_seal(
            parts=[part("gear"), part("seal"), part("other")],
            offers=[goods("seal", "a", "50"), goods("other", "a", "2")],
            claims=[claim(rework_p50_hours="0.5", rework_p90_hours="1", rework_cost=eur(3))],
        )
    )
    assert plan.price.amount == Decimal("2.00") + 30 + 3


def test_a_claim_is_not_walked_backwards():
    result = answer(
        gear_and_seal(
            parts=[part("gear"), part("seal"), part("other")],
            offers=[goods("seal", "a", "50"), goods("other", "a", "2")],
            claims=[claim(part_id="prt_other", stand_in_part_id="prt_seal")],
        )
    )
    assert chosen(recommended(result))["seal"] == "new"


# --- kits, services -------------------------------------------------------------------------


@pytest.mark.parametrize(("kit_price", "kind"), [("21", "new"), ("19", "kit")])
def test_a_kit_wins_exactly_where_it_is_cheaper_than_its_parts_singly(kit_price, kind):
    members = snapshot(
        parts=[
            part("seal"),
            part("ring"),
            part("set", kit_lines=[{"part_id": "prt_seal"}, {"part_id": "prt_ring"}]),
        ],
        positions=[position("seal"), position("ring")],
        suppliers=[supplier("a")],
        offers=[goods("seal", "a", "12"), goods("ring", "a", "8"), goods("set", "a", kit_price)],
        **looks(seal="heavy", ring="heavy"),
    )
    assert set(chosen(best(members)).values()) == {kind}


def test_a_kit_gives_no_more_pieces_than_it_holds():
    members = snapshot(
        parts=[part("seal"), part("set", kit_lines=[{"part_id": "prt_seal"}])],
        positions=[position("seal"), position("other", part_id="prt_seal")],
        suppliers=[supplier("a")],
        offers=[goods("seal", "a", "12"), goods("set", "a", "1")],
        **looks(seal="heavy", other="heavy"),
    )
    assert sorted(chosen(best(members)).values()) == ["kit", "new"]


def test_a_machinist_may_put_right_what_is_worn_but_not_what_is_cracked():
    sleeve = service("sleeve", "m", "80", position_id="pos_gear")
    offers = [sleeve, goods("gear", "a", "300"), goods("seal", "a", "12")]
    suppliers = [supplier("a"), supplier("m")]
    worn = gear_and_seal(gear="heavy", offers=offers, suppliers=suppliers)
    assert chosen(best(worn))["gear"] == "rework"
    crack, found = look("gear", "light", is_crack=True, worst_acceptable_grade="none")
    result = answer({**worn, "characteristics": [crack], "findings": [found]})
    assert chosen(recommended(result))["gear"] == "new"
    assert "cracked" in why(result, "sleeve")


def test_a_service_that_may_be_refused_counts_what_would_take_its_place():
    sleeve = service("sleeve", "m", "80", position_id="pos_gear", reject_probability="0.1")
    offers = [sleeve, goods("gear", "a", "300"), goods("seal", "a", "12")]
    plan = best(
        gear_and_seal(gear="heavy", offers=offers, suppliers=[supplier("a"), supplier("m")])
    )
    assert chosen(plan)["gear"] == "rework"
    assert [a.price.amount for a in plan.amounts if a.cost_class == "fallback"] == [Decimal(30)]


def test_an_offer_that_has_run_out_is_no_source():
    offers = [goods("gear", "a", "300"), goods("seal", "a", "12", valid_until="2031-03-02")]
    result = answer(gear_and_seal(offers=offers))
    assert result.recommended is None
    assert "not valid on 2031-03-03" in why(result, "seal from Supplier a")


def test_what_is_inside_a_nonconforming_part_is_not_put_right_around_it():
    cracked, found = look("carrier", "light", is_crack=True, worst_acceptable_grade="none")
    members = carrier("serviceable")
    members["characteristics"] = [*members["characteristics"], cracked]
    members["findings"] = [*members["findings"], found]
    result = answer(members)
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "nonconforming" in why(result, "what is inside it")


def test_a_part_that_stays_around_its_inside_is_flagged_when_nobody_looked_at_it():
    members = carrier("serviceable")
    members["characteristics"] = [*members["characteristics"], look("carrier", None)[0]]
    plan = best(members)
    assert chosen(plan) == {"bearing": "new"}
    assert any("carrier (not-inspected)" in note for note in plan.notes)


def test_what_is_inside_a_safety_critical_part_is_safety_critical():
    members = carrier("serviceable", offers=[goods("bearing", "a", "20", condition="used")])
    members["positions"][0]["is_safety_critical"] = True
    result = answer(members)
    assert result.recommended is None
    assert "safety-critical" in why(result, "bearing from Supplier a")


def test_a_part_chosen_by_measuring_stays_with_its_unit():
    members = gear_and_seal(
        gear="heavy",
        units=[own_unit(), donor("d")],
        settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
        positions=[position("gear", renewal_rule="select-fit"), position("seal")],
    )
    result = answer(members)
    assert "stays with the unit" in why(result, "gear from donor")
    assert any("measuring" in note for note in recommended(result).lines[0].notes)


def test_what_differs_in_one_thing_is_told_with_its_condition_and_not_planned():
    designations = {
        "bearing": "6205-2RS",
        "alike": "6205 2rs",
        "shielded": "6205-2Z",
        "open": "6205",
        "roomy": "6205-2RS C3",
        "ring": "6305-2RS",
    }
    members = snapshot(
        parts=[
            part(key, generic_designation=designation, kind="bearing")
            for key, designation in designations.items()
        ],
        positions=[position("bearing")],
        suppliers=[supplier("a")],
        offers=[goods(key, "a", "90" if key == "bearing" else "20") for key in designations],
        **looks(bearing="heavy"),
    )
    result = answer(members)
    assert [line.offer_id for line in recommended(result).lines] == ["ofr_alike"]
    for other in ("shielded", "open", "roomy"):
        assert "record an interchange claim" in why(result, f" {other.upper()} in place of")
    assert not [one for one in result.exclusions if " RING in place of" in one.subject]
