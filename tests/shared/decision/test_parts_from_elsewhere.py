"""Parts by a path out of donors of other assemblies, from the shelf, out of stock units.

Situations from the trade with invented figures; the money is worked by hand beside each check.
"""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from tests.shared.decision.worn_pumps import (
    EXPERIENCE,
    along,
    claim,
    elsewhere,
    gift,
    later,
    line_notes,
    total,
    worn,
)
from tests.snapshots import (
    Members,
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    looks,
    own_unit,
    part,
    position,
    recommended,
    seen,
    settings,
    why,
)


def test_a_donor_of_another_assembly_gives_the_same_number():
    """5 given up, 1 h at 60 to take it, and 200 with a chance of 0.1: 85."""
    result = answer(elsewhere())
    plan = recommended(result)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.expected_total.amount == Decimal("85.00")
    assert any("another assembly, are those of this assembly" in a for a in result.assumptions)


def test_it_gives_a_stand_in_with_its_rework_and_what_goes_along():
    """85 as before, 0.5 h at 60 rework, an adapter at 7: 122."""
    members = elsewhere(
        gift(position={"part_id": "prt_other"}),
        offers=[goods("pump", "a", "200"), goods("adapter", "a", "7")],
        claims=[
            claim(
                rework_p50_hours="0.5",
                rework_p90_hours="0.5",
                companion_lines=along("adapter"),
            )
        ],
    )
    members["parts"].append(part("adapter"))
    plan = best(members)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.expected_total.amount == Decimal("122.00")
    assert "interchange for pump" in line_notes(plan)
    assert any("one that stands in for it: pump" in note for note in plan.customer.notes)


def test_a_stand_in_out_of_a_donor_is_both_for_the_shops_policy():
    rules = settings(
        salvage_experience=EXPERIENCE, policy={"safety_critical_sources": ["new", "salvaged"]}
    )
    given = elsewhere(
        gift(position={"part_id": "prt_other"}),
        settings=rules,
        positions=[position("pump", is_safety_critical=True)],
        claims=[claim()],
    )
    result = answer(given)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "safety-critical" in why(result, "pump from donor")
    assert chosen(best({**given, "gifts": [gift()]})) == {"pump": "salvaged"}


def test_when_it_proves_bad_what_goes_along_with_the_fallback_is_waited_for():
    def proof(days: str):
        members = elsewhere(
            offers=[goods("other", "a", "10"), goods("adapter", "a", "7", days=(days, days))],
            claims=[claim(companion_lines=along("adapter"))],
        )
        members["parts"].append(part("adapter"))
        built = build(from_builtins(members, Snapshot))
        return next(t for t in built.case.lead_tables if t.id.startswith("proof:")).chance_by_day

    assert proof("1")[4] == 10**9 > proof("20")[4]


def test_when_it_proves_bad_the_longer_work_on_the_fallback_is_waited_for():
    """20 h of rework, at 8 h a day, put off by three days what takes its place."""

    def proof(hours: str):
        members = elsewhere(
            offers=[goods("other", "a", "10")],
            claims=[claim(rework_p50_hours="0", rework_p90_hours=hours)],
        )
        built = build(from_builtins(members, Snapshot))
        table = next(t for t in built.case.lead_tables if t.id.startswith("proof:")).chance_by_day
        return next(day for day, chance in enumerate(table) if chance == 10**9)

    assert proof("20") == proof("0") + 3


def test_a_failure_later_counts_the_cheapest_part_that_goes_in_by_itself():
    """A tenth of 200, the pump; the other part at 10 needs an adapter with it."""
    members = elsewhere(
        offers=[goods("pump", "a", "200"), goods("other", "a", "10"), goods("adapter", "a", "7")],
        claims=[claim(companion_lines=along("adapter"))],
        settings=settings(
            salvage_experience=EXPERIENCE,
            comeback_experience=[{"kind": "salvaged", "prior_mean": "0.1", "prior_weight": "10"}],
        ),
    )
    members["parts"].append(part("adapter"))
    built = build(from_builtins(members, Snapshot))
    source = next(s for s in built.case.sources if s.kind == "salvaged")
    assert [line.cost for line in source.lines if line.cost_class == "comeback"] == [2000]


SHAPES = {
    "other number": (gift(position={"part_id": "prt_other"}), {}, "nothing on record says"),
    "no number": (gift(position={"part_id": None}), {}, "not on record"),
    "select fit": (gift(position={"renewal_rule": "select-fit"}), {}, "chosen by measuring"),
    "always": (gift(position={"renewal_rule": "always"}), {}, "renewed always"),
    "paired there": (gift(is_of_matched_set=True), {}, "not parted from its mates"),
    "bound there": (gift(position={"is_variant_bound": True}), {}, "depends on the"),
    "too few": (gift(), {"positions": [position("pump", quantity=2)]}, "2 are needed"),
    "taken": (
        gift(),
        {"donor_members": {"taken_position_ids": ["pos_there"]}},
        "taken already",
    ),
    "inside taken": (
        gift(inner_position_ids=["pos_in"]),
        {"donor_members": {"taken_position_ids": ["pos_in"]}},
        "inside it was taken",
    ),
    "around unknown": (
        gift(position={"parent_id": "pos_case"}),
        {"donor_members": {"taken_position_ids": ["pos_case"]}},
        "may have been taken already",
    ),
    "safety": (gift(), {"positions": [position("pump", is_safety_critical=True)]}, "critical"),
    "no experience": (gift(), {"settings": settings()}, "no experience on record"),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_what_another_assembly_does_not_give_is_told(shape):
    given, members, reason = SHAPES[shape]
    result = answer(elsewhere(given, **members))
    assert chosen(recommended(result)) == {"pump": "new"}
    assert reason in why(result, "pump from donor")


def test_a_member_of_a_matched_set_comes_from_no_other_assembly():
    members = elsewhere(
        positions=[position("pump"), position("gear")],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": ["pos_pump", "pos_gear"],
            }
        ],
        **looks(pump="heavy", gear="none"),
    )
    members["parts"] += [part("gear"), part("set", kit_lines=along("pump") + along("gear"))]
    members["offers"] = [goods("set", "a", "300")]
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "kit", "gear": "kit"}
    assert "no member comes from another assembly" in why(result, "pump from donor")


def looked_at(grade: str) -> Members:
    """The donor's pump was looked at where it sits."""
    members = elsewhere()
    there = {
        "id": "chr_there",
        "position_id": "pos_there",
        "name": "wear",
        "worst_acceptable_grade": "light",
    }
    members["characteristics"] = [*members["characteristics"], there]
    found = seen("there", grade, "d")
    members["findings"] = [*members["findings"], found]
    return members


def test_what_was_found_on_the_donor_counts_by_its_own_limits():
    result = answer(looked_at("heavy"))
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "nonconforming on the donor" in why(result, "pump from donor")


def test_what_is_inspected_here_is_not_proved_by_what_was_seen_there():
    """Conforming there: still the chance by experience, since pumps are inspected here."""
    plan = best(looked_at("none"))
    assert plan.expected_total.amount == Decimal("85.00")
    members = looked_at("none")
    bare = [one for one in members["characteristics"] if one["id"] == "chr_there"]
    on_donor = [one for one in members["findings"] if one["unit_id"] == "unt_d"]
    members |= {"characteristics": bare, "findings": on_donor}
    members["settings"]["policy"] = {"keep_not_inspected": "barred"}
    assert total(members) == Decimal("65.00")  # 5 + 60, nothing left to prove


def test_one_pump_of_a_donor_fills_one_place_only():
    """Two worn pumps here, one pump in a donor of another assembly."""
    positions = [position("pump"), {**position("pump"), "id": "pos_second", "name": "second"}]
    members = elsewhere(
        gift(),
        {**gift(), "to_position_id": "pos_second"},
        positions=positions,
        operations=[],
    )
    members["settings"]["policy"] = {"keep_not_inspected": "barred"}
    kinds = sorted(chosen(best(members)).values())
    assert kinds == ["new", "salvaged"]


def test_the_rest_of_the_donor_loses_what_is_taken():
    """Worth 50, rest 40, of it the pump 15: 50 - 40 + 15 + 60 + 20 = 105."""
    terms = {
        "remainder_worth": eur("40"),
        "part_worths": [{"position_id": "pos_there", "worth": eur("15")}],
    }
    unit = donor("d", worth="50", assembly_id="asm_2", terms=terms)
    assert total(elsewhere(units=[own_unit(), unit])) == Decimal("105.00")


def test_what_left_the_donor_before_took_its_inside_with_it():
    """Worth 50; the rest fetches 40, less 5 and 15 of what left: 50 - 20 + 60 + 20 = 110."""
    terms = {
        "remainder_worth": eur("40"),
        "part_worths": [
            {"position_id": "pos_case", "worth": eur("5")},
            {"position_id": "pos_in", "worth": eur("15")},
        ],
    }
    gone = {"taken_position_ids": ["pos_case"]}
    unit = donor("d", worth="50", assembly_id="asm_2", terms=terms, **gone)
    whole = gift(position={"id": "pos_case"}, inner_position_ids=["pos_in"])
    assert total(elsewhere(gift(), whole, units=[own_unit(), unit])) == Decimal("110.00")


def shelf(**members) -> Members:
    """A stand-in pump, inspected, on the shelf; it sat in this very position of a donor."""
    gone = donor("d", worth="5", taken_position_ids=["pos_pump"])
    piece = {
        "id": "slv_1",
        "donor_unit_id": "unt_d",
        "position_id": "pos_pump",
        "label": "S-1",
        "inspected_by": "Technician A",
        "inspected_on": "2031-02-01",
        "part_id": "prt_other",
        "finding_ids": ["fnd_d_pump"],
        "worth": eur("30"),
    }
    base = worn(
        "other",
        units=[own_unit(), gone],
        offers=[goods("pump", "a", "200")],
        salvaged_parts=[piece],
    )
    base["findings"].append(seen("pump", "none", "d"))
    return {**base, **members}


def test_a_stand_in_on_the_shelf_goes_in_by_a_claim_with_its_rework():
    """Worth 30, 0.5 h at 60: 60."""
    assert chosen(best(shelf())) == {"pump": "new"}
    members = shelf(claims=[claim(rework_p50_hours="0.5", rework_p90_hours="0.5")])
    plan = best(members)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.price.amount == Decimal("60.00")
    assert "interchange for pump" in line_notes(plan)
    members["claims"][0]["evidence_kind"] = "told"
    assert chosen(best(members)) == {"pump": "new"}


def test_what_was_not_looked_at_on_a_part_from_the_shelf_is_told_once():
    """It sat elsewhere, where wear is inspected as it is here; nobody looked."""
    members = shelf(
        positions=[position("pump"), position("second", part_id="prt_other")], claims=[claim()]
    )
    members["characteristics"].append({**members["characteristics"][0], "id": "chr_second"})
    members["characteristics"][-1]["position_id"] = "pos_second"
    members["findings"] = [seen("pump", "heavy"), seen("second", "none")]
    members["salvaged_parts"][0] |= {"position_id": "pos_second", "finding_ids": []}
    members["units"][1]["taken_position_ids"] = ["pos_second"]
    told = line_notes(best(members))
    assert "no finding on record of: wear" in told
    assert "wear, wear" not in told


def test_what_goes_in_with_a_part_from_the_shelf_is_bought_along():
    """Worth 30, an adapter at 7: 37; without an offer for it nothing."""
    members = shelf(claims=[claim(companion_lines=along("adapter"))])
    members["parts"].append(part("adapter"))
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "needs Anymaker ADAPTER" in why(result, "from the shelf")
    members["offers"].append(goods("adapter", "a", "7"))
    assert best(members).price.amount == Decimal("37.00")


def test_what_came_out_of_a_matched_set_elsewhere_is_not_fitted_without_its_mates():
    members = shelf(claims=[claim()])
    members["salvaged_parts"][0] |= {"position_id": "pos_far", "finding_ids": []}
    members["units"][1] |= {"assembly_id": "asm_far", "taken_position_ids": ["pos_far"]}
    members["findings"] = [one for one in members["findings"] if one["unit_id"] == "unt_1"]
    assert chosen(best(members)) == {"pump": "salvaged"}
    members["salvaged_parts"][0]["is_of_matched_set"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "not fitted without its mates" in why(result, "pump from the shelf")


def test_in_a_matched_set_nothing_from_the_shelf_stands_in():
    members = shelf(
        claims=[claim()],
        positions=[position("pump"), position("gear")],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": ["pos_pump", "pos_gear"],
            }
        ],
    )
    members["parts"] += [part("gear"), part("set", kit_lines=along("pump") + along("gear"))]
    members["offers"] = [goods("set", "a", "300")]
    assert "recorded as another part" in why(answer(members), "pump from the shelf")


@pytest.mark.parametrize(
    ("own", "other", "reason"),
    [
        ({"ratio": "3.73"}, {"ratio": "3.55"}, "turns the output 5.1 % faster"),
        ({"hand": "left"}, {"hand": "right"}, "hand 'right', wanted 'left'"),
        ({"generation": "B"}, {}, "generation 'not on record', wanted 'B'"),
    ],
)
def test_a_stock_unit_of_another_kind_is_not_put_in(own, other, reason):
    """(3.73 / 3.55 - 1) x 100 = 5.07 %."""
    stock = donor("s", worth="20", kind="stock", **other)
    members = worn(
        units=[own_unit(**own), stock],
        offers=[goods("pump", "a", "200")],
        assembly={"id": "asm_1", "maker": "Anymaker", "model": "A1", "kind": "drive"},
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert reason in why(result, "stock unit")
    members["units"] = [own_unit(**own), {**stock, **own}]
    assert chosen(best(members)) == {"the whole unit": "used"}


CHANGED = ["300", "700", None]
"""Serial numbers before and after 500, from which on another pump was built in; and none."""


@pytest.mark.parametrize("there", CHANGED)
@pytest.mark.parametrize("own", CHANGED)
@pytest.mark.parametrize("is_shelved", [False, True])
def test_a_unit_built_with_another_number_gives_nothing_to_one_that_it_does_not_fit(
    own, there, is_shelved
):
    """A donor of the same design from 500 on holds the later pump; it goes in from 500 on only."""
    members = shelf() if is_shelved else worn("other", offers=[goods("pump", "a", "200")])
    members |= {
        "units": [own_unit(serial_number=own), donor("d", worth="5", serial_number=there)],
        "settings": settings(salvage_experience=EXPERIENCE),
        "supersessions": [later("pump", ("other", 1), serial_from="500")],
    }
    if is_shelved:
        members["units"][1]["taken_position_ids"] = ["pos_pump"]
        members["salvaged_parts"][0]["part_id"] = None
    result = answer(members)
    gives = chosen(recommended(result)) == {"pump": "salvaged"}
    assert gives == (there == "300" or own == "700")
    if not gives:
        told = why(result, "pump from the shelf" if is_shelved else "pump from donor")
        may = "was built" if there == "700" else "may have been built"
        assert f"that unit {may} with another number: Anymaker OTHER" in told


def test_a_unit_built_with_another_number_gives_it_where_it_fits_as_it_is():
    """By a claim it goes in; with rework it does not count as the same part."""
    members = worn(
        "other",
        units=[own_unit(serial_number="300"), donor("d", worth="5", serial_number="700")],
        offers=[goods("pump", "a", "200")],
        settings=settings(salvage_experience=EXPERIENCE),
        supersessions=[later("pump", ("other", 1), serial_from="500")],
        claims=[claim()],
    )
    assert chosen(best(members)) == {"pump": "salvaged"}
    members["claims"] = [claim(rework_p50_hours="1", rework_p90_hours="1")]
    assert chosen(best(members)) == {"pump": "new"}
    members["claims"], members["supersessions"][0]["evidence_kind"] = [], "told"
    assert chosen(best(members)) == {"pump": "salvaged"}


def test_two_units_built_with_the_later_number_give_it_to_each_other_however_sure_it_is():
    """0.93 by the cross-reference is not enough to buy it; out of a like unit it is the same."""
    members = worn(
        "other",
        units=[own_unit(serial_number="700"), donor("d", worth="5", serial_number="700")],
        offers=[goods("pump", "a", "200"), goods("other", "a", "1")],
        settings=settings(salvage_experience=EXPERIENCE, interchange={"least_confidence": "0.95"}),
        supersessions=[
            later(
                "pump", ("other", 1), serial_from="500", evidence_kind="published-cross-reference"
            )
        ],
    )
    assert chosen(best(members)) == {"pump": "salvaged"}


def test_what_depends_on_the_ratio_does_not_come_from_a_donor_of_another():
    members = worn(
        units=[own_unit(ratio="1.98"), donor("d", worth="5", ratio="1.84")],
        settings=settings(salvage_experience=EXPERIENCE),
        positions=[position("pump", is_variant_bound=True)],
        offers=[goods("pump", "a", "200")],
    )
    told = why(answer(members), "pump from donor")
    assert "depends on the ratio" in told
    assert "turns the output 7.6 % faster" in told
    members["units"][1]["ratio"] = "1.980"
    assert chosen(best(members)) == {"pump": "salvaged"}
