"""The core of an exchange item: refused, too late, not worth its freight, or credited; and told."""

from decimal import Decimal

import pytest

from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    job,
    look,
    looks,
    own_unit,
    part,
    position,
    snapshot,
    supplier,
    work,
)


def core(**members):
    return {"deposit": eur("100"), "acceptance_probability": "0.9", **members}


def exchange(terms, days=("2", "2"), **members):
    """An exchange unit at 300 and a deposit, four hours to fit, on a Monday morning."""
    return snapshot(
        **{
            "parts": [part("gear")],
            "positions": [position("gear")],
            "suppliers": [supplier("a")],
            "offers": [
                goods("unit", "a", "300", days, assembly_id="asm_1", condition="rebuilt")
                | {"core": terms}
            ],
            "operations": [work("unit", "renew", "0", "4")],
            **looks(gear="heavy"),
            **members,
        }
    )


def credit(plan):
    return -sum(a.price.amount for a in plan.amounts if a.cost_class == "core-credit")


def told(plan):
    return " ".join(plan.lines[0].notes)


def test_an_accepted_core_is_expected_back_with_its_chance_less_its_freight():
    plan = best(exchange(core(refund=eur("80"), return_freight=eur("12"))))
    assert credit(plan) == Decimal("60.00")  # 0.9 x 80 - 12
    assert plan.price.amount == Decimal("400.00")


def test_a_core_that_is_not_worth_its_freight_stays_and_the_loss_is_told():
    plan = best(exchange(core(refund=eur("20"), return_freight=eur("18"))))
    assert credit(plan) == 0
    assert "the deposit of 100.00 EUR is lost" in told(plan)
    assert "18.00 EUR expected, 18.00 EUR to send it" in told(plan)


def cracked(grade="light"):
    """Worn beyond use in any case; cracked, too, unless the grade is none."""
    wear, worn = look("gear", "heavy")
    crack, found = look("gear", grade, is_crack=True, worst_acceptable_grade=None, id="chr_crack")
    found |= {"id": "fnd_crack", "characteristic_id": "chr_crack"}
    return {"characteristics": [wear, crack], "findings": [worn, found]}


def test_a_cracked_core_is_credited_nothing_where_the_supplier_takes_none():
    plan = best(exchange(core(refused_when=["cracked"]), **cracked()))
    assert credit(plan) == 0
    assert "the supplier takes no cracked core" in told(plan)
    sound = best(exchange(core(refused_when=["cracked"]), **cracked("none")))
    assert credit(sound) == Decimal("90.00")


def test_a_cracked_core_is_only_asked_about_where_the_terms_say_nothing():
    plan = best(exchange(core(refused_when=["incomplete"]), **cracked()))
    assert credit(plan) == Decimal("90.00")
    assert "ask whether it is accepted at all" in told(plan)


def test_an_incomplete_core_is_credited_nothing_where_the_supplier_takes_none():
    units = [own_unit(kind="stock", taken_position_ids=["pos_gear"])]
    plan = best(exchange(core(refused_when=["incomplete"]), units=units))
    assert credit(plan) == 0
    assert "the supplier takes no incomplete core" in told(plan)
    lenient = best(exchange(core(refused_when=["cracked"]), units=units))
    assert credit(lenient) == Decimal("90.00")


def test_the_core_that_is_judged_is_the_one_that_goes_back():
    members = exchange(
        core(refused_when=["cracked", "incomplete"]),
        units=[own_unit(), donor("d", worth="0", taken_position_ids=["pos_gear"])],
        job=job(core_unit_id="unt_d"),
        **cracked(),
    )
    assert "it is not complete" in told(best(members))
    members["units"][1]["taken_position_ids"] = []
    assert credit(best(members)) == Decimal("90.00")


@pytest.mark.parametrize(
    ("within", "back"),
    [(1, Decimal("90.00")), (0, 0)],
)
def test_the_customers_own_unit_is_out_only_when_the_other_is_fitted(within, back):
    plan = best(exchange(core(return_within_days=within)))
    assert credit(plan) == back
    if not back:
        assert "cannot go back before 2031-03-06, 1 day after" in told(plan)


def test_days_are_calendar_days_over_the_weekend():
    friday = ("4", "4")
    assert credit(best(exchange(core(return_within_days=2), friday))) == 0
    assert credit(best(exchange(core(return_within_days=3), friday))) == Decimal("90.00")


def test_the_term_runs_from_the_earliest_day_on_which_the_delivery_is_likely():
    spread = ("5", "9")  # there with one chance in ten on the third day, a Thursday
    late = job(core_back_on="2031-03-13")
    assert credit(best(exchange(core(return_within_days=7), spread, job=late))) == Decimal("90.00")
    plan = best(exchange(core(return_within_days=6), spread, job=late))
    assert credit(plan) == 0
    assert "earliest likely delivery on 2031-03-06" in told(plan)


def test_another_unit_goes_back_at_once_but_not_before_it_is_there():
    units = [own_unit(), donor("d", worth="0")]
    at_once = job(core_unit_id="unt_d")
    terms = core(return_within_days=0)
    assert credit(best(exchange(terms, units=units, job=at_once))) == Decimal("90.00")
    later = job(core_unit_id="unt_d", core_back_on="2031-03-06")
    assert credit(best(exchange(terms, units=units, job=later))) == 0


def test_when_the_refund_comes_is_told():
    plan = best(exchange(core(return_within_days=20, refund_within_days=30)))
    assert "the refund comes within 30 days after that" in told(plan)
    assert "has to be back within 20 days" in told(plan)


def test_a_core_not_credited_leaves_the_old_unit_to_be_disposed_of():
    rules = exchange(core())["settings"]
    rules["pricing"]["disposal"] = eur("7")
    assert best(exchange(core(), settings=rules)).price.amount == Decimal("400.00")
    lost = best(exchange(core(return_within_days=0), settings=rules))
    assert lost.price.amount == Decimal("407.00")


def test_a_kit_with_terms_on_its_core_is_credited_nothing():
    members = exchange(None)
    members["offers"] = [goods("kit", "a", "10", core=core())]
    members["parts"].append(part("kit", kit_lines=[{"part_id": "prt_gear"}]))
    assert credit(best(members)) == Decimal("90.00")
    members["offers"][0]["core"]["return_within_days"] = 30
    assert credit(best(members)) == 0
    assert any(
        "what goes back for a kit is not on record" in a for a in answer(members).assumptions
    )


# --- at a position: mixed routes ------------------------------------------------------------------


def pump_with_motor(terms, rotor="230", **members):
    """A motor that holds a rotor and a bush, beside a seal; rebuilt motors are on offer."""
    return snapshot(
        **{
            "parts": [part("motor"), part("rotor"), part("bush"), part("seal")],
            "positions": [
                position("motor"),
                position("rotor", parent_id="pos_motor"),
                position("bush", parent_id="pos_motor"),
                position("seal"),
            ],
            "suppliers": [supplier("a", "10"), supplier("b", "5")],
            "offers": [
                goods("motor", "b", "120", ("2", "2"), condition="rebuilt", core=terms),
                goods("rotor", "a", rotor),
                goods("bush", "a", "20"),
                goods("seal", "a", "8"),
            ],
            "operations": [
                work("motor", "renew", "1", position_id="pos_motor"),
                work("seal", "renew", "0.5", position_id="pos_seal"),
            ],
            **looks(rotor="heavy", bush="light", seal="heavy"),
            **members,
        }
    )


def test_a_sub_assembly_is_exchanged_and_the_rest_rebuilt():
    plan = best(pump_with_motor(core(deposit=eur("40"))))
    assert chosen(plan) == {"motor": "exchange", "seal": "new"}
    assert plan.route == "rebuild"
    # 120 + 40 + 8, freight 5 + 10, an hour and a half at 60
    assert plan.price.amount == Decimal("273.00")
    assert credit(plan) == Decimal("36.00")


def test_the_part_by_part_way_wins_where_the_core_of_the_sub_assembly_is_refused():
    terms = core(deposit=eur("90"), refused_when=["cracked"])
    members = pump_with_motor(terms)
    assert chosen(best(members))["motor"] == "exchange"
    wear, crack = look("rotor", "light", is_crack=True, worst_acceptable_grade=None)
    members["characteristics"][0], members["findings"][0] = wear, crack
    plan = best(members)
    assert chosen(plan) == {"rotor": "new", "bush": "keep", "seal": "new"}


def test_what_is_always_renewed_inside_comes_with_the_exchanged_sub_assembly():
    members = pump_with_motor(core())
    members["positions"][2]["renewal_rule"] = "always"
    assert chosen(best(members)) == {"motor": "exchange", "seal": "new"}


def test_an_exchanged_sub_assembly_breaks_a_matched_set_that_reaches_outside_it():
    members = pump_with_motor(core())
    members["position_sets"] = [
        {
            "id": "set_1",
            "assembly_id": "asm_1",
            "kind": "matched",
            "name": "rotor and seal",
            "position_ids": ["pos_rotor", "pos_seal"],
        }
    ]
    members["parts"].append(
        part("kit", kit_lines=[{"part_id": "prt_rotor"}, {"part_id": "prt_seal"}])
    )
    members["offers"].append(goods("kit", "a", "500"))
    assert chosen(best(members)) == {"rotor": "kit", "bush": "keep", "seal": "kit"}


def test_the_core_of_a_sub_assembly_is_out_once_its_group_is_open_and_the_other_fitted():
    members = pump_with_motor(core(return_within_days=1), rotor="600")
    members["access_groups"] = [
        {"id": "grp_1", "assembly_id": "asm_1", "name": "cover", "outer_group_id": None}
    ]
    members["positions"][0]["access_group_id"] = "grp_1"
    members["operations"].append(work("cover", "open", "0", "8", access_group_id="grp_1"))
    members["positions"] = [p for p in members["positions"] if p["id"] != "pos_seal"]
    members["characteristics"] = members["characteristics"][:2]
    members["findings"] = members["findings"][:2]
    members["operations"] = [o for o in members["operations"] if "seal" not in o["id"]]
    assert credit(best(members)) == 0  # nine hours: the second day
    members["offers"][0]["core"]["return_within_days"] = 2
    assert credit(best(members)) == Decimal("90.00")
