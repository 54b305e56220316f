"""Parts on the shelf as sources: what they cost, which may go where, what is told of them."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.salvage.model import SalvagedPart, SalvagedPartState, ShelvedPart
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    group,
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

Members = dict[str, Any]


def shelved(key: str, of: str = "bearing", by: str = "d", **members: Any) -> Members:
    """Salvaged part ``slv_<key>`` of ``pos_<of>`` out of ``unt_<by>``, worth 40 EUR."""
    return {
        "id": f"slv_{key}",
        "donor_unit_id": f"unt_{by}",
        "position_id": f"pos_{of}",
        "label": f"S-{key}",
        "inspected_by": "Technician B",
        "inspected_on": "2031-02-20",
        "worth": eur(40),
        **members,
    }


def gave(key: str, *positions: str, **members: Any) -> Members:
    """Donor ``unt_<key>``, dear to take apart, that has given pieces of these positions."""
    taken = [f"pos_{name}" for name in positions]
    return donor(key, worth="900", taken_position_ids=taken, **members)


def bearing(*shelf: Members, own: str = "heavy", donor_grade: str | None = "none", **members: Any):
    """A bearing beyond use, on sale at 500; a donor that gave one, seen as ``donor_grade``."""
    found = looks(bearing=own)
    if donor_grade is not None:
        found["findings"] = [*found["findings"], seen("bearing", donor_grade, "d")]
    base = {
        "parts": [part("bearing")],
        "positions": [position("bearing")],
        "suppliers": [supplier("a")],
        "offers": [goods("bearing", "a", "500", ("4", "4"))],
        "units": [own_unit(), gave("d", "bearing", serial_number="LF-0417")],
        "salvaged_parts": list(shelf),
        **found,
    }
    return snapshot(**{**base, **members})


def proved(key: str = "12", **members: Any) -> Members:
    return shelved(key, **{"finding_ids": ["fnd_d_bearing"], **members})


# --- what it costs, when it is there ---------------------------------------------------------


def test_a_part_on_the_shelf_costs_its_worth_and_its_fitting_and_is_there_at_once() -> None:
    members = bearing(
        proved(lower_hours="820", upper_hours="1100"),
        operations=[
            work("bearing", "renew", "1.5", position_id="pos_bearing"),
            work("bearing", "harvest", "2", position_id="pos_bearing"),
            work("cover", "open", "0.5", access_group_id="grp_cover"),
        ],
        access_groups=[group("cover")],
        positions=[position("bearing", access_group_id="grp_cover")],
        settings=settings(
            pricing={
                "parts_markup": [{"percent": "25"}, {"percent": "35", "part_kind": "bearing"}],
                "disposal": eur(8),
            },
            comeback_experience=[{"kind": "salvaged", "prior_mean": "0.1", "prior_weight": "10"}],
            warranty={"comeback_fixed_cost": eur(100)},
        ),
    )
    plan = best(members)
    assert chosen(plan) == {"bearing": "salvaged"}
    # Worth 40 x 1.35 = 54; fitting 1.5 h and opening 0.5 h at 60 = 120; disposal 8: no donor's
    # price, no stripping, no taking out.
    assert plan.price.amount == Decimal("182.00")
    assert plan.cost.amount == Decimal("108.00")  # 40 + 2 h at 30 + 8
    # A tenth of what a comeback costs the shop: 100, 2 h at 30 of labour, and a new one at 500,
    # makes 66; of what fails again, -ln 0.9 - 0.1 = 0.00536, the customer pays 120 + 675: 4.26.
    assert plan.expected_total.amount == Decimal("252.26")
    assert plan.readiness.working_days == 0
    (line,) = plan.lines
    assert line.description == "from the shelf, label S-12, out of donor LF-0417, 820 to 1100 h"
    assert (line.salvaged_part_ids, line.donor_unit_id) == (("slv_12",), "unt_d")
    assert line.notes == ("S-12: inspected by Technician B on 2031-02-20",)
    told = "Reserve for this job, unless that is done: bearing: from the shelf, label S-12"
    assert any(told in note for note in plan.notes)


def test_a_part_whose_worth_nobody_stated_costs_nothing_and_that_is_said() -> None:
    result = answer(bearing(proved(worth=None)))
    assert recommended(result).price.amount == 0
    assert any("S-12: no worth on record" in told for told in result.assumptions)


@pytest.mark.parametrize(("price", "kind"), [("39.99", "new"), ("40.01", "salvaged")])
def test_the_cheaper_of_shelf_and_shop_wins(price: str, kind: str) -> None:
    result = answer(bearing(proved(), offers=[goods("bearing", "a", price, ("0", "0"))]))
    assert chosen(recommended(result)) == {"bearing": kind}
    if kind == "new":
        assert "0.01 EUR dearer" in why(result, "bearing: from the shelf, label S-12")


def test_a_life_on_record_counts_the_parts_own_hours_not_its_donors() -> None:
    aged = settings(
        life_records=[
            {"part_kind": "bearing", "shape": "2", "scale_hours": "1000", "basis": "shop record"}
        ],
    )
    risks = [
        best(
            bearing(
                proved(lower_hours=hours, upper_hours=hours),
                units=[own_unit(), gave("d", "bearing", lower_hours="1", upper_hours="1")],
                settings=aged,
            )
        ).risk.comeback_probability
        for hours in ("0", "500")
    ]
    # 1 - exp(-0.25), and 1 - exp(0.25 - 1).
    assert risks == [Decimal("0.221199"), Decimal("0.527633")]


def test_hours_that_are_not_on_record_are_not_made_up() -> None:
    aged = settings(
        life_records=[
            {"part_kind": "bearing", "shape": "2", "scale_hours": "1000", "basis": "shop record"}
        ],
    )
    plan = best(bearing(proved(), settings=aged))
    assert plan.risk.not_counted == ("bearing",)
    assert "hours not on record" in plan.lines[0].description


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        ({"lower_hours": "800"}, "at least 800 h"),
        ({"upper_hours": "1400"}, "at most 1400 h"),
        ({"lower_hours": "800", "upper_hours": "800"}, "out of donor LF-0417, 800 h"),
    ],
)
def test_hours_are_told_as_they_are_known(hours: Members, told: str) -> None:
    assert told in best(bearing(proved(**hours))).lines[0].description


# --- how good it is --------------------------------------------------------------------------


@pytest.mark.parametrize("refit", ["barred", "allowed"])
def test_a_nonconforming_part_is_never_fitted(refit: str) -> None:
    result = answer(
        bearing(
            proved(), donor_grade="heavy", settings=settings(policy={"refit_nonconforming": refit})
        )
    )
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "nonconforming: " in why(result, "bearing from the shelf, label S-12")


def test_what_was_found_on_the_donor_counts_though_the_part_does_not_name_it() -> None:
    result = answer(bearing(shelved("12"), donor_grade="heavy"))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "by findings that the part does not name" in why(result, "label S-12")


def test_a_good_finding_that_the_part_does_not_name_proves_nothing() -> None:
    plan = best(bearing(shelved("12")))
    assert plan.lines[0].verdict == "not-inspected"
    assert "From the shelf without proof that it conforms: bearing (not-inspected)" in plan.notes
    assert "S-12: no finding on record of: wear" in plan.lines[0].notes


def test_a_later_finding_takes_the_place_of_the_one_that_the_part_names() -> None:
    members = bearing(proved())
    later = {**seen("bearing", "heavy", "d"), "id": "fnd_later", "supersedes_id": "fnd_d_bearing"}
    latest = {**seen("bearing", "none", "d"), "id": "fnd_latest", "supersedes_id": "fnd_later"}
    members["findings"] += [later]
    assert chosen(best(members)) == {"bearing": "new"}
    members["findings"] += [latest]
    plan = best(members)
    assert (chosen(plan), plan.lines[0].verdict) == ({"bearing": "salvaged"}, "conforming")


def test_another_pieces_finding_says_nothing_of_this_one() -> None:
    members = bearing(
        shelved("12", piece=2, finding_ids=["fnd_d_bearing"]),
        shelved("13", piece=1, finding_ids=["fnd_bad"]),
        positions=[position("bearing", quantity=2)],
    )
    members["findings"][1]["piece"] = 2
    members["findings"] += [{**seen("bearing", "heavy", "d"), "id": "fnd_bad", "piece": 1}]
    result = answer(members)
    assert sorted(chosen(recommended(result)).values()) == ["new", "salvaged"]
    assert "nonconforming" in why(result, "from the shelf, label S-13")
    assert "nonconforming" not in why(result, "label S-12")


@pytest.mark.parametrize(
    ("finding_ids", "permission", "verdict"),
    [([], "keep_not_inspected", "not-inspected"), (["fnd_d_bearing"], "keep_indeterminate",
                                                   "indeterminate")],
)  # fmt: skip
def test_an_open_verdict_is_fitted_by_policy_alone(
    finding_ids: list[str], permission: str, verdict: str
) -> None:
    members = measured("20.005", shelved("12", finding_ids=finding_ids))
    assert recommended(answer(members)).lines[0].verdict == verdict
    members["settings"] = settings(policy={permission: "barred"})
    result = answer(members)
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert f"{verdict}: the shop's policy bars" in why(result, "label S-12")


def measured(size: str, *shelf: Members, **members: Any) -> Members:
    """The bearing's bore counts, 20 mm at least; the donor's was read as ``size``, u = 0.01 mm."""
    reading = {"value": size, "unit": "mm", "standard_uncertainty": "0.01"}
    return bearing(
        *shelf,
        characteristics=[
            {
                "id": "chr_bearing",
                "position_id": "pos_bearing",
                "name": "bore",
                "service_lower": {"value": "20", "unit": "mm"},
            }
        ],
        findings=[
            {
                **seen("bearing", "none", unit),
                "method": "gauge",
                "grade": None,
                "measured": reading if unit == "d" else {**reading, "value": "19"},
            }
            for unit in ("1", "d")
        ],
        **members,
    )


def test_a_reading_that_does_not_settle_it_is_priced() -> None:
    sound = {"kind": "salvaged", "prior_mean": "0.1", "prior_weight": "10"}
    part_of_it = shelved("12", finding_ids=["fnd_d_bearing"])
    told = [
        best(measured(size, part_of_it, settings=settings(comeback_experience=[sound])))
        for size in ("20.05", "20.01")
    ]
    assert [plan.lines[0].verdict for plan in told] == ["conforming", "indeterminate"]
    # Phi(1) = 0.841345 that it conforms, times 0.9 that such a part lasts.
    assert told[0].risk.comeback_probability == Decimal("0.1")
    assert told[1].risk.comeback_probability == Decimal("0.24279")


def test_a_safety_critical_position_takes_nothing_from_the_shelf_by_default() -> None:
    result = answer(bearing(proved(), positions=[position("bearing", is_safety_critical=True)]))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "safety-critical; the shop's policy" in why(result, "from the shelf, label S-12")


def test_where_the_policy_allows_it_a_safety_critical_part_is_still_to_be_proved_good() -> None:
    allowed = settings(policy={"safety_critical_sources": ["keep", "new", "salvaged"]})
    critical = {
        "positions": [position("bearing", is_safety_critical=True)],
        "settings": allowed,
    }
    assert chosen(best(bearing(proved(), **critical))) == {"bearing": "salvaged"}
    result = answer(bearing(shelved("12"), **critical))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "safety-critical and not-inspected" in why(result, "label S-12")


# --- where it may go -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "reason"), [("always", "renewed always"), ("select-fit", "chosen by measuring")]
)
def test_a_part_that_has_run_goes_not_where_none_may(rule: str, reason: str) -> None:
    result = answer(bearing(proved(), positions=[position("bearing", renewal_rule=rule)]))
    assert "salvaged" not in chosen(recommended(result)).values()
    assert reason in why(result, "from the shelf, label S-12")


def test_a_donor_that_ended_in_a_way_the_policy_bars_gives_nothing_by_the_shelf_either() -> None:
    burnt = gave("d", "bearing", reason_retired="fire")
    result = answer(bearing(proved(), units=[own_unit(), burnt]))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "retired by fire" in why(result, "from the shelf, label S-12")


@pytest.mark.parametrize(
    ("own", "donors", "parts", "kind"),
    [
        ("left", "left", None, "salvaged"),
        ("left", "right", None, "new"),
        ("left", "right", "left", "salvaged"),
        ("left", "left", "right", "new"),
        ("left", None, None, "new"),
        (None, "left", "left", "new"),
    ],
)
def test_what_depends_on_the_variant_fits_only_its_own(
    own: str | None, donors: str | None, parts: str | None, kind: str
) -> None:
    result = answer(
        bearing(
            proved(variant=parts),
            positions=[position("bearing", is_variant_bound=True)],
            units=[own_unit(variant=own), gave("d", "bearing", variant=donors)],
        )
    )
    assert chosen(recommended(result)) == {"bearing": kind}
    assert ("depends on the variant" in why(result, "label S-12")) == (kind == "new")


def test_a_part_of_another_number_is_not_the_one_called_for() -> None:
    members = bearing(
        proved(part_id="prt_other"), parts=[part("bearing"), part("other", number="OTHER-7")]
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "another part than the one called for here: Anymaker OTHER-7" in why(result, "S-12")
    assert chosen(best(bearing(proved(part_id="prt_bearing")))) == {"bearing": "salvaged"}


def twins(*shelf: Members, **members: Any) -> Members:
    """Two bearings of one number, both beyond use, 500 each; a donor gave the one at the input."""
    base = {
        "parts": [part("bearing")],
        "positions": [
            position("input", part_id="prt_bearing"),
            position("output", part_id="prt_bearing"),
        ],
        "suppliers": [supplier("a")],
        "offers": [goods("bearing", "a", "500")],
        "units": [own_unit(), gave("d", "input")],
        "salvaged_parts": list(shelf),
        **looks(input="heavy", output="heavy"),
    }
    base["findings"] = [*base["findings"], seen("input", "none", "d")]
    return snapshot(**{**base, **members})


def test_a_part_fits_wherever_its_number_is_called_for_but_once() -> None:
    one = shelved("1", "input", part_id="prt_bearing", finding_ids=["fnd_d_input"])
    assert sorted(chosen(best(twins(one))).values()) == ["new", "salvaged"]
    members = twins(one, another_like(one))
    members["units"] = [own_unit(), gave("d", "input"), gave("e", "input")]
    assert set(chosen(best(members)).values()) == {"salvaged"}


def another_like(one: Members) -> Members:
    return {**one, "id": "slv_2", "label": "S-2", "donor_unit_id": "unt_e", "finding_ids": []}


def test_without_its_number_a_part_goes_only_where_it_sat() -> None:
    one = shelved("1", "input", finding_ids=["fnd_d_input"])
    assert chosen(best(twins(one))) == {"input": "salvaged", "output": "new"}


def test_elsewhere_a_part_is_not_inspected_for_what_counts_there() -> None:
    one = shelved("1", "input", part_id="prt_bearing", finding_ids=["fnd_d_input"])
    plan = best(twins(one, settings=settings(policy={"keep_not_inspected": "barred"})))
    assert chosen(plan) == {"input": "salvaged", "output": "new"}


def test_a_part_bad_where_it_sat_is_bad_elsewhere() -> None:
    one = shelved("1", "input", part_id="prt_bearing", finding_ids=["fnd_d_input"])
    members = twins(one)
    members["findings"][-1]["grade"] = "heavy"
    result = answer(members)
    assert set(chosen(recommended(result)).values()) == {"new"}
    assert "nonconforming" in why(result, "output from the shelf")


def afar(**members: Any) -> Members:
    """A part of the number called for, out of a donor of another assembly."""
    other = gave("x", "of_another_book", assembly_id="asm_2", serial_number="OX-9")
    one = shelved("9", "of_another_book", "x", **members)
    return bearing(one, units=[own_unit(), other], donor_grade=None)


def test_a_part_out_of_another_assembly_goes_by_its_number_and_gives_no_donor() -> None:
    result = answer(afar(part_id="prt_bearing"))
    plan = recommended(result)
    assert (chosen(plan), plan.lines[0].verdict) == ({"bearing": "salvaged"}, "not-inspected")
    assert why(result, "donor OX-9").startswith("it is another assembly")


def test_findings_of_another_assemblys_position_are_not_judged_here() -> None:
    result = answer(afar(part_id="prt_bearing", finding_ids=["fnd_of_another_book"]))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "another assembly's position" in why(result, "label S-9")


# --- rulings and wholes ----------------------------------------------------------------------


def carrier(*shelf: Members, ruling: str = "serviceable", **members: Any) -> Members:
    base = {
        "parts": [part("carrier"), part("bearing")],
        "positions": [
            position("carrier", serviceability={"ruling": ruling, "reason": "Set with a rig."}),
            position("bearing", parent_id="pos_carrier"),
        ],
        "suppliers": [supplier("a")],
        "offers": [goods("carrier", "a", "900"), goods("bearing", "a", "700")],
        "units": [own_unit(), gave("d", "bearing", "carrier")],
        "salvaged_parts": list(shelf),
        **looks(bearing="heavy"),
    }
    return snapshot(**{**base, **members})


@pytest.mark.parametrize("ruling", ["inspect-only", "replace-as-assembly"])
def test_an_inner_part_is_not_renewed_from_the_shelf_where_the_ruling_renews_none(
    ruling: str,
) -> None:
    result = answer(carrier(shelved("1"), ruling=ruling))
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "renews no inner part" in why(result, "bearing from the shelf, label S-1")


@pytest.mark.parametrize("ruling", ["serviceable", "inspect-only", "replace-as-assembly"])
def test_a_whole_from_the_shelf_fills_its_place_whatever_the_ruling(ruling: str) -> None:
    members = carrier(shelved("1", "carrier"), ruling=ruling)
    members["units"] = [own_unit(), gave("d", "carrier")]
    assert chosen(best(members)) == {"carrier": "salvaged"}


def test_an_inner_part_of_what_is_serviceable_comes_from_the_shelf() -> None:
    assert chosen(best(carrier(shelved("1")))) == {"bearing": "salvaged"}


def test_a_whole_that_may_have_lost_its_inside_is_not_fitted() -> None:
    result = answer(carrier(shelved("1", "carrier")))
    assert "carrier" not in chosen(recommended(result))
    assert "may be incomplete: inside it, 'bearing'" in why(result, "carrier from the shelf")


def test_a_whole_is_judged_with_what_was_found_inside_it() -> None:
    members = carrier(shelved("1", "carrier", finding_ids=["fnd_d_bearing"]))
    members["units"] = [own_unit(), gave("d", "carrier")]
    members["findings"] = [*members["findings"], seen("bearing", "heavy", "d")]
    result = answer(members)
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "nonconforming" in why(result, "carrier from the shelf")


def test_a_whole_is_barred_where_it_holds_a_safety_critical_part() -> None:
    members = carrier(shelved("1", "carrier"), ruling="inspect-only")
    members["units"] = [own_unit(), gave("d", "carrier")]
    members["positions"][1]["is_safety_critical"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "carrier is safety-critical" in why(result, "carrier from the shelf")


# --- several pieces, matched sets ------------------------------------------------------------


def pieces(*shelf: Members, **members: Any) -> Members:
    """A position of two bearings, both beyond use; a pair costs 1000 new."""
    donors = sorted({one["donor_unit_id"].removeprefix("unt_") for one in shelf})
    return bearing(
        *shelf,
        positions=[position("bearing", quantity=2)],
        units=[own_unit(), *(gave(key, "bearing") for key in donors)],
        donor_grade=None,
        **members,
    )


def test_a_position_of_two_pieces_takes_two_parts() -> None:
    plan = best(pieces(shelved("1"), shelved("2", piece=2, worth=eur(55))))
    assert chosen(plan) == {"bearing": "salvaged"}
    assert plan.price.amount == Decimal("95.00")
    assert plan.lines[0].salvaged_part_ids == ("slv_1", "slv_2")
    assert "label S-1, out of donor unt_d" in plan.lines[0].description
    assert "; label S-2, out of donor unt_d" in plan.lines[0].description


def test_too_few_pieces_fill_nothing() -> None:
    result = answer(pieces(shelved("1")))
    assert chosen(recommended(result)) == {"bearing": "new"}
    assert "too few pieces: 2 are needed, 1 will do" in why(result, "from the shelf, label S-1")


def test_of_three_parts_the_two_of_least_worth_are_taken() -> None:
    plan = best(pieces(shelved("1", worth=eur(70)), shelved("2", piece=2), shelved("3", by="e")))
    assert plan.lines[0].salvaged_part_ids == ("slv_2", "slv_3")
    assert plan.lines[0].donor_unit_id is None
    assert plan.price.amount == Decimal("80.00")


def test_several_parts_last_as_long_as_one_of_the_oldest() -> None:
    aged = settings(
        life_records=[
            {"part_kind": "bearing", "shape": "2", "scale_hours": "1000", "basis": "shop record"}
        ],
    )
    young, old = (shelved(str(n), piece=n, lower_hours=h, upper_hours=h)
                  for n, h in ((1, "0"), (2, "500")))  # fmt: skip
    plan = best(pieces(young, old, settings=aged))
    assert plan.risk.comeback_probability == Decimal("0.527633")
    unknown = {**old, "lower_hours": None, "upper_hours": None}
    assert best(pieces(young, unknown, settings=aged)).risk.not_counted == ("bearing",)


def test_a_full_shelf_is_weighed_within_a_limit_that_is_told() -> None:
    many = [shelved(f"{n:02}", by=f"d{n:02}", worth=eur(60 - n)) for n in range(30)]
    members = bearing(*many, units=[own_unit(), *(gave(f"d{n:02}", "bearing") for n in range(30))])
    members["findings"] = members["findings"][:1]
    result = answer(members)
    assert recommended(result).lines[0].salvaged_part_ids == ("slv_29",)
    assert any("Of 30 parts on the shelf" in told for told in result.assumptions)
    built = build(from_builtins(members, Snapshot))
    assert sum(source.id.startswith("pos_bearing:shelf:") for source in built.case.sources) == 24


def pair(*shelf: Members, **members: Any) -> Members:
    """A matched pair beyond use; only a rebuild of the whole is on sale."""
    base = {
        "parts": [part("wheel"), part("pinion")],
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
        "offers": [service("rebuild", "a", "5000", assembly_id="asm_1")],
        "units": [own_unit(), gave("d", "wheel", "pinion"), gave("e", "wheel", "pinion")],
        "salvaged_parts": list(shelf),
        **looks(wheel="heavy", pinion="heavy"),
    }
    return snapshot(**{**base, **members})


def test_a_matched_set_comes_from_the_shelf_when_all_of_it_lies_there() -> None:
    plan = best(pair(shelved("1", "wheel"), shelved("2", "pinion")))
    assert chosen(plan) == {"wheel": "salvaged", "pinion": "salvaged"}
    assert plan.price.amount == Decimal("80.00")


def test_a_matched_set_is_not_put_together_from_two_donors() -> None:
    result = answer(pair(shelved("1", "wheel"), shelved("2", "pinion", "e")))
    assert recommended(result).route == "send-out"
    told = why(result, "label S-1")
    assert "matched set 'gear pair' incomplete: no pinion from the same unit" in told
    assert "no wheel from the same unit" in why(result, "label S-2")


def test_a_mate_on_the_shelf_does_not_complete_a_set_with_one_still_in_its_donor() -> None:
    members = pair(shelved("1", "wheel"))
    members["units"] = [own_unit(), gave("d", "wheel")]
    members["settings"] = settings(
        salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}],
        policy={"harvest_without_fallback": "allowed"},
    )
    assert recommended(answer(members)).route == "send-out"


def test_of_two_pairs_on_the_shelf_each_stays_together() -> None:
    plan = best(
        pair(
            shelved("1", "wheel", worth=eur(10)),
            shelved("2", "pinion", worth=eur(90)),
            shelved("3", "wheel", "e", worth=eur(90)),
            shelved("4", "pinion", "e", worth=eur(5)),
        )
    )
    assert {i for line in plan.lines for i in line.salvaged_part_ids} == {"slv_3", "slv_4"}
    assert plan.price.amount == Decimal("95.00")


def test_a_part_of_equal_number_from_elsewhere_joins_no_matched_set() -> None:
    members = pair(shelved("1", "wheel"), shelved("2", "spare", part_id="prt_pinion"))
    members["positions"] = [*members["positions"], position("spare", part_id="prt_pinion")]
    members["units"] = [own_unit(), gave("d", "wheel", "spare")]
    result = answer(members)
    assert recommended(result).route == "send-out"
    assert "belongs to a matched set" in why(result, "pinion from the shelf, label S-2")


# --- beside other sources --------------------------------------------------------------------


def test_the_donor_does_not_give_again_what_lies_on_the_shelf() -> None:
    result = answer(bearing(proved()))
    assert "a piece of it was taken already" in why(result, "bearing from donor LF-0417")


def test_a_part_on_the_shelf_is_no_fallback_for_one_that_may_prove_bad() -> None:
    members = bearing(
        proved(),
        offers=[],
        suppliers=[],
        units=[own_unit(), gave("d", "bearing"), donor("f", worth="1")],
        settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
    )
    result = answer(members)
    assert recommended(result).lines[0].salvaged_part_ids == ("slv_12",)
    assert "nothing else on offer could take its place" in why(result, "from donor unt_f")


def test_what_was_taken_from_the_jobs_own_stock_unit_goes_back_into_it() -> None:
    own = own_unit(
        kind="stock",
        released_on="2031-01-10",
        donor={"is_owned": True},
        taken_position_ids=["pos_bearing"],
    )
    result = answer(bearing(shelved("12", by="1"), own="none", units=[own], donor_grade=None))
    assert chosen(recommended(result)) == {"bearing": "salvaged"}
    assert "a piece of it was taken already" in why(result, "keep bearing")


def test_an_empty_shelf_changes_nothing() -> None:
    members = bearing()
    assert members.pop("salvaged_parts") == []
    assert (
        build(from_builtins(members, Snapshot)).case
        == build(from_builtins(bearing(), Snapshot)).case
    )


# --- what makes no sense ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"donor_unit_id": "unt_none"}, "donor_unit_id", "reference-unknown"),
        ({"donor_unit_id": "unt_1"}, "donor_unit_id", "donor-not-released"),
        ({"position_id": "pos_none"}, "position_id", "not-taken"),
        ({"piece": 2}, "piece", "out-of-range"),
        ({"piece": 0}, "piece", "out-of-range"),
        ({"lower_hours": "9", "upper_hours": "8"}, "upper_hours", "invalid"),
        ({"inspected_on": "2031-03-04"}, "inspected_on", "out-of-range"),
        ({"finding_ids": ["fnd_none"]}, "finding_ids/0", "reference-unknown"),
        ({"finding_ids": ["fnd_1_bearing"]}, "finding_ids/0", "other-unit"),
        ({"worth": {"amount": "1.00", "currency": "USD"}}, "worth/currency", "currency-mixed"),
        ({"id": "!"}, "id", "invalid"),
    ],
)
def test_a_part_that_cannot_be_so_is_refused(change: Members, pointer: str, code: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        answer(bearing(proved(**change)))
    assert (caught.value.pointer, caught.value.code) == (f"/salvaged_parts/0/{pointer}", code)


def test_what_the_donor_does_not_say_it_gave_is_refused() -> None:
    with pytest.raises(InvalidInput) as caught:
        answer(bearing(proved(), units=[own_unit(), gave("d")]))
    assert caught.value.code == "not-taken"


def test_a_part_that_nothing_here_calls_for_is_refused() -> None:
    with pytest.raises(InvalidInput) as caught:
        answer(afar(part_id="prt_other"))
    assert (caught.value.pointer, caught.value.code) == (
        "/salvaged_parts/0/position_id",
        "reference-unknown",
    )


def test_one_piece_is_not_on_the_shelf_twice() -> None:
    with pytest.raises(InvalidInput) as caught:
        answer(bearing(proved(), shelved("13")))
    assert (caught.value.pointer, caught.value.code) == ("/salvaged_parts/1/piece", "duplicate")


def test_a_finding_of_another_piece_is_not_the_parts_own() -> None:
    members = bearing(proved(), positions=[position("bearing", quantity=2)])
    members["findings"][1]["piece"] = 2
    with pytest.raises(InvalidInput) as caught:
        answer(members)
    assert caught.value.code == "other-unit"


def test_a_donor_of_another_assembly_gave_nothing_of_a_position_here() -> None:
    other = gave("d", "bearing", assembly_id="asm_2")
    with pytest.raises(InvalidInput) as caught:
        answer(bearing(shelved("12"), units=[own_unit(), other], donor_grade=None))
    assert caught.value.code == "other-assembly"


def test_only_what_lies_inspected_on_the_shelf_is_one_of_its_parts() -> None:
    plain = SalvagedPart("slv_1", "unt_d", "pos_a", date(2031, 2, 1), "bench two", "S-1")
    with pytest.raises(ValueError, match="not on the shelf"):
        ShelvedPart.of(plain)
    assert plain.state is SalvagedPartState.UNINSPECTED
