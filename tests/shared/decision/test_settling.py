"""Looking closer before deciding: worked by hand, in every way it can turn out."""

from decimal import Decimal
from typing import Any

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.budget import Budget
from shared.decision.result import Settling
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.settling import Settlings, settlings
from shared.decision.weighing.what_if import proven
from tests.snapshots import (
    Members,
    eur,
    goods,
    group,
    looks,
    part,
    position,
    settings,
    snapshot,
    supplier,
    work,
)

BARRED = {"keep_not_inspected": "barred", "keep_indeterminate": "barred"}


def bearing(
    *,
    proves: str | None = "0.8",
    inspect_hours: str | None = "0.5",
    policy: Members | None = None,
    is_closed: bool = False,
    **others: Any,
) -> Members:
    """A bearing nobody looked at; a new one is 100 and 10 freight. An hour is 60 (30 in cost)."""
    experience = [{"prior_mean": proves, "prior_weight": "10"}] if proves else []
    inside = {"access_group_id": "grp_inside"} if is_closed else {}
    operations = (
        [work("bearing", "inspect", inspect_hours, position_id="pos_bearing")]
        if inspect_hours
        else []
    )
    if is_closed:
        operations += [
            work("inside", "open", "1", access_group_id="grp_inside"),
            work("inside", "close", "1", access_group_id="grp_inside"),
            work("bearing", "refit", "0", position_id="pos_bearing"),
        ]
    return snapshot(
        settings=settings(
            policy=BARRED if policy is None else policy,
            inspection_experience=experience,
            **others,
        ),
        parts=[part("bearing")],
        access_groups=[group("inside")] if is_closed else [],
        positions=[position("bearing", **inside)],
        operations=operations,
        suppliers=[supplier("a", "10")],
        offers=[goods("bearing", "a", "100")],
        **looks(bearing=None),
    )


def worked(members: Members, budget: Budget | None = None, **options: Any) -> Settlings:
    snap = from_builtins(members, Snapshot)
    built = build(snap)
    best = proven(built, breaks_ties=True).plan
    assert best is not None
    return settlings(snap, built, best, budget, **options)


def one(members: Members) -> Settling:
    found = worked(members).found
    assert len(found) == 1
    return found[0]


def figures(settling: Settling) -> dict[str, str | None]:
    names = ("total_now", "total_if_conforming", "total_if_nonconforming")
    names += ("value", "cost", "net_value")
    found = {name: getattr(settling, name) for name in names}
    return {name: None if m is None else str(m.amount) for name, m in found.items()}


def test_where_the_policy_bars_what_is_not_proved_looking_pays_most():
    # Now renewed at 110. Proved good, it stays for nothing: 110 - (0.8 x 0 + 0.2 x 110) = 88.
    settling = one(bearing())
    assert figures(settling) == {
        "total_now": "110.00",
        "total_if_conforming": "0.00",
        "total_if_nonconforming": "110.00",
        "value": "88.00",
        "cost": "30.00",
        "net_value": "58.00",
    }
    assert settling.is_worthwhile is True
    assert settling.chance_conforming == Decimal("0.8")
    # 110 p > 30.
    assert settling.worthwhile_between == (Decimal("0.2728"), 1)
    assert settling.what == ("inspect bearing", "not inspected so far: wear")
    assert settling.if_conforming == ("bearing: bearing from Supplier a -> put back as found",)
    assert settling.if_nonconforming == ("the plan stays as it is",)


def test_not_worthwhile_is_an_answer_too():
    settling = one(bearing(inspect_hours="2"))
    assert (settling.net_value.amount, settling.is_worthwhile) == (-32, False)
    assert "does not pay" in settling.detail


def test_without_a_chance_on_record_it_is_told_from_which_chance_on_it_pays():
    settling = one(bearing(proves=None))
    assert settling.chance_conforming is None
    assert settling.is_worthwhile is None
    assert (settling.value, settling.net_value) == (None, None)
    assert settling.worthwhile_between == (Decimal("0.2728"), 1)
    assert settling.cost.amount == 30
    assert "no experience on record" in settling.basis


def test_without_a_chance_and_without_any_that_would_do_it_is_not_worthwhile():
    settling = one(bearing(proves=None, inspect_hours="2"))
    assert (settling.is_worthwhile, settling.worthwhile_between) == (False, ())


def test_what_looking_takes_is_not_made_up():
    settling = one(bearing(inspect_hours=None))
    assert settling.is_worthwhile is None
    assert settling.net_value is None
    assert settling.value.amount == 88
    assert "not on record" in settling.detail


def test_a_closed_group_is_opened_for_the_looking_and_closed_in_either_outcome():
    # Renewing opens and closes: 230. To look: 30 and 60 to open. Then proved good it is only
    # closed (60), else renewed and closed (170): 90 + 0.8 x 60 + 0.2 x 170 = 172, 58 below 230.
    settling = one(bearing(is_closed=True))
    assert figures(settling) == {
        "total_now": "230.00",
        "total_if_conforming": "0.00",
        "total_if_nonconforming": "230.00",
        "value": "184.00",
        "cost": "126.00",
        "net_value": "58.00",
    }
    assert settling.what[0] == "open: inside"


# --- kept without proof ---------------------------------------------------------------------------


def kept(nonconforming: str | None, **others: Any) -> Members:
    """Kept unproved at 60; a failure is 600: 500 and another bearing. All at the shop's cost."""
    chances = [
        {"kind": "keep", "prior_mean": "0.01", "prior_weight": "10"},
        {"kind": "keep-not-inspected", "prior_mean": "0.1", "prior_weight": "10"},
    ]
    if nonconforming:
        chances.append(
            {"kind": "keep-nonconforming", "prior_mean": nonconforming, "prior_weight": "10"}
        )
    members = bearing(
        policy={},
        comeback_experience=chances,
        warranty={"comeback_fixed_cost": eur(500)},
        **others,
    )
    return {**members, "aim": "cost"}


def test_a_part_kept_in_doubt_is_weighed_with_the_chance_that_its_ranking_stands_on():
    # Ranked at 60. Good 6, bad 360: 60 = 6 p + 360 (1 - p), p = 300/354 = 0.847458.
    # Knowing: 0.847458 x 6 + 0.152542 x 110 = 21.864; 38.13 below 60.
    settling = one(kept("0.6"))
    assert figures(settling) == {
        "total_now": "60.00",
        "total_if_conforming": "6.00",
        "total_if_nonconforming": "110.00",
        "value": "38.13",
        "cost": "15.00",
        "net_value": "23.13",
    }
    assert settling.chance_conforming == Decimal("0.847458")
    assert "the plan itself counts with" in settling.basis
    assert "from the part itself: 80%" in settling.basis
    # 250 (1 - p) = 15.
    assert settling.worthwhile_between == (0, Decimal("0.94"))


def test_a_doubtful_reading_is_believed_as_the_ranking_believes_it():
    settling = one(read_doubtfully("0.15"))
    # 90 = 6 p + 360 (1 - p); the reading by itself says 84.1 %. Known: 6 p + 110 (1 - p) = 30.68.
    assert figures(settling)["total_now"] == "90.00"
    assert settling.chance_conforming == Decimal("0.762712")
    assert "84.1% (the readings)" in settling.basis
    assert (figures(settling)["value"], settling.is_worthwhile) == ("59.32", True)


def test_a_doubtful_reading_is_ranked_by_its_own_chance_where_the_average_is_better():
    settling = one(read_doubtfully("0.015"))
    # By the reading: 6 x 0.841 + 360 x 0.159 = 62.2 now, 22.5 once known; 39.7 for 15.
    assert float(figures(settling)["total_now"]) == pytest.approx(62.2, abs=0.1)
    assert float(settling.chance_conforming) == pytest.approx(0.841, abs=0.001)
    assert float(figures(settling)["value"]) == pytest.approx(39.7, abs=0.1)
    assert settling.is_worthwhile is True


def read_doubtfully(average):
    members = {**measured("24.960"), "aim": "cost"}
    members["settings"] = kept("0.6")["settings"]
    ranked = {"kind": "keep-indeterminate", "prior_mean": average, "prior_weight": "10"}
    members["settings"]["comeback_experience"].append(ranked)
    return members


def test_where_both_chances_agree_on_it_nothing_is_added():
    assert "the part itself tells" not in one(kept("0.6")).detail


@pytest.mark.parametrize(("chance", "believed"), [("0.005", 1), ("0.61", 0)])
def test_a_ranking_beyond_both_outcomes_is_told_and_gains_nothing_below_zero(chance, believed):
    members = kept("0.6")
    members["settings"]["comeback_experience"][1]["prior_mean"] = chance
    members["offers"][0]["price"] = eur(900)  # so that it is kept either way
    settling = one(members)
    assert settling.chance_conforming == believed
    assert "as if the part" in settling.basis
    assert settling.value.amount >= 0


def test_without_that_experience_the_plan_counts_as_it_is_and_this_is_told():
    settling = one(kept(None))
    assert figures(settling)["total_now"] == "60.00"
    assert figures(settling)["value"] == "33.20"
    assert "No comebacks are on record of parts kept that do not conform" in settling.detail
    # 60 - 6 p - 110 (1 - p) = 15 at p = 0.625.
    assert settling.worthwhile_between == (Decimal("0.6250"), 1)


def test_where_nothing_is_priced_knowing_gains_nothing_in_money():
    settling = one(bearing(policy={}))
    assert figures(settling)["total_now"] == "0.00"
    assert figures(settling)["value"] == "0.00"
    assert settling.is_worthwhile is None
    assert "whether it pays is not known" in settling.detail
    assert one(bearing(policy={}, proves=None)).is_worthwhile is None


@pytest.mark.parametrize("proves", ["0.05", "0.5", "0.95"])
@pytest.mark.parametrize("nonconforming", [None, "0.05", "0.6"])
def test_what_knowing_is_worth_is_never_below_nothing(proves, nonconforming):
    settling = one(kept(nonconforming, proves=proves))
    assert settling.value.amount >= 0


def test_where_one_outcome_leaves_no_way_its_worth_is_not_known():
    members = bearing(policy={})
    members["offers"] = []
    settling = one(members)
    assert settling.total_if_nonconforming is None
    assert settling.if_nonconforming == ("nothing meets what is asked",)
    assert (settling.value, settling.net_value, settling.is_worthwhile) == (None, None, None)


# --- chances --------------------------------------------------------------------------------------


def measured(reading: str, **members: Any) -> Members:
    mm = {"unit": "mm"}
    base = bearing(**members)
    base["characteristics"] = [
        {
            "id": "chr_bearing",
            "position_id": "pos_bearing",
            "name": "diameter",
            "service_lower": {"value": "24.950", **mm},
        }
    ]
    base["findings"] = [
        {
            "id": "fnd_1",
            "unit_id": "unt_1",
            "position_id": "pos_bearing",
            "characteristic_id": "chr_bearing",
            "found_by": "Technician A",
            "found_at": "2031-03-03T07:00:00Z",
            "method": "gauge",
            "measured": {"value": reading, "standard_uncertainty": "0.010", **mm},
        }
    ]
    return base


def test_an_open_reading_says_itself_how_likely_it_conforms():
    # One standard uncertainty inside the limit: 84.1345 % (normal distribution).
    settling = one(measured("24.960", proves=None))
    assert settling.chance_conforming == Decimal("0.841345")
    assert settling.verdict == "indeterminate"
    assert settling.is_worthwhile is True


def test_what_was_not_looked_at_besides_counts_with_its_own_chance():
    members = measured("24.960", proves="0.5")
    members["characteristics"].append(looks(bearing=None)["characteristics"][0] | {"id": "chr_2"})
    assert one(members).chance_conforming == Decimal("0.420672")


def test_the_nearest_heading_of_experience_counts_before_the_general_one():
    members = bearing()
    members["settings"]["inspection_experience"] = [
        {"prior_mean": "0.8", "prior_weight": "10"},
        {
            "prior_mean": "0.5",
            "prior_weight": "2",
            "conforming": 3,
            "trials": 6,
            "part_kind": "bearing",
            "basis": "strip-downs of two years",
        },
    ]
    settling = one(members)
    assert (settling.chance_conforming, settling.basis) == (
        Decimal("0.5"),
        "strip-downs of two years",
    )


def pair(**grades: str | None) -> Members:
    """Two gears in a matched set, of which a pair costs 100; neither is kept unproved."""
    members = bearing()
    keys = ("bearing", "gear")
    members["parts"] += [
        part("gear"),
        part("kit", kit_lines=[{"part_id": f"prt_{key}", "quantity": 1} for key in keys]),
    ]
    members["positions"].append(position("gear"))
    members["operations"].append(work("gear", "inspect", "0.5", position_id="pos_gear"))
    members["offers"] = [goods("kit", "a", "100")]
    members["position_sets"] = [
        {
            "id": "set_1",
            "assembly_id": "asm_1",
            "kind": "matched",
            "name": "pair",
            "position_ids": ["pos_bearing", "pos_gear"],
        }
    ]
    return {**members, **looks(**{"bearing": None, "gear": None, **grades})}


def test_a_matched_set_is_settled_together():
    # Both conform with 0.8 x 0.8: 110 - 0.36 x 110 = 70.40, for an hour of looking at 60.
    settling = one(pair())
    assert settling.position_name == "bearing, gear"
    assert settling.chance_conforming == Decimal("0.64")
    assert (settling.value.amount, settling.cost.amount) == (Decimal("70.40"), 60)
    assert settling.is_worthwhile is True


def test_a_set_that_another_member_bars_is_not_asked():
    assert worked(pair(gear="heavy")).found == ()


def test_a_set_of_which_one_is_settled_asks_for_the_other():
    settling = one(pair(gear="none"))
    assert (settling.position_name, settling.chance_conforming) == ("bearing", Decimal("0.8"))


def test_opening_that_leaves_no_way_is_no_bargain():
    # Behind the group lies a ring that is renewed whenever it is opened, and nobody sells one.
    members = bearing(is_closed=True)
    members["positions"][0]["access_group_id"] = "grp_inside"
    members["parts"].append(part("ring"))
    members["positions"].append(
        position("ring", renewal_rule="always", access_group_id="grp_inside")
    )
    members["settings"]["policy"] = {}
    settling = one(members)
    assert settling.is_worthwhile is None
    assert settling.net_value is None


# --- which are asked ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        {"renewal_rule": "always"},
        {"is_safety_critical": True, "_policy": {"safety_critical_sources": ["new"]}},
    ],
)
def test_where_proof_would_change_nothing_it_is_not_asked(change):
    policy = change.pop("_policy", None)
    members = bearing(policy=policy)
    members["positions"][0] |= change
    assert worked(members).found == ()


def test_what_is_settled_is_not_settled_again():
    assert worked({**bearing(), **looks(bearing="none")}).found == ()


def three_open() -> Members:
    """All kept in doubt: 0.1 times 500 and another one, which is 100, 200 or 900.

    Bad ones are kept at 0.6 times that: 840 of the gear is less than the 900 of a new one.
    """
    members = kept("0.6")
    members["parts"] += [part("gear"), part("shaft")]
    members["positions"] += [position("gear"), position("shaft")]
    members["operations"] += [
        work(key, "inspect", "0.5", position_id=f"pos_{key}") for key in ("gear", "shaft")
    ]
    members["offers"] += [goods("gear", "a", "900"), goods("shaft", "a", "200")]
    return {**members, **looks(bearing=None, gear=None, shaft=None)}


def test_where_most_could_be_gained_is_asked_first():
    members = three_open()
    names = [settling.position_name for settling in worked(members).found]
    first = worked(members, most=1)
    assert sorted(names) == ["bearing", "gear", "shaft"]
    assert ([settling.position_name for settling in first.found], first.left_out) == ([names[0]], 2)


def test_what_cannot_be_costed_is_asked_last():
    members = three_open()
    members["operations"] = [one for one in members["operations"] if "gear" not in one["id"]]
    asked = {settling.position_name for settling in worked(members, most=2).found}
    assert asked == {"bearing", "shaft"}


def test_positions_beyond_the_number_asked_are_counted():
    budget = Budget(1.0)
    assert worked(bearing(), most=0).left_out == 1
    budget.spend(1.0)
    assert worked(bearing(), budget).left_out == 1
