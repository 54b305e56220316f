"""What has left a unit is not planned to come from it again."""

from typing import Any

import pytest

from tests.snapshots import (
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
    service,
    settings,
    snapshot,
    supplier,
    why,
)

SOUND_DONORS = settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}])


def carrier(*taken: str, ruling: str = "serviceable", **members: Any):
    """A carrier with a bearing inside, both beyond use and dear; a cheap donor in the yard."""
    base = {
        "parts": [part("carrier"), part("bearing")],
        "positions": [
            position("carrier", serviceability={"ruling": ruling, "reason": "Set with a rig."}),
            position("bearing", parent_id="pos_carrier"),
        ],
        "suppliers": [supplier("a")],
        "offers": [goods("carrier", "a", "900"), goods("bearing", "a", "700")],
        "units": [own_unit(), donor("d", worth="1", taken_position_ids=list(taken))],
        "settings": SOUND_DONORS,
        **looks(bearing="heavy"),
    }
    return snapshot(**{**base, **members})


def test_a_donor_that_gave_nothing_yet_gives() -> None:
    assert "salvaged" in chosen(best(carrier())).values()


def test_a_donor_does_not_give_the_same_twice() -> None:
    result = answer(carrier("pos_bearing"))
    assert chosen(recommended(result))["bearing"] == "new"
    assert "a piece of it was taken already" in why(result, "bearing from donor")
    assert "inside it, 'bearing' was taken already" in why(result, "carrier from donor")


def test_what_left_with_a_whole_is_gone_too() -> None:
    result = answer(carrier("pos_carrier"))
    assert chosen(recommended(result))["bearing"] == "new"
    assert "inside 'carrier'" in why(result, "bearing from donor")


@pytest.mark.parametrize("ruling", ["inspect-only", "replace-as-assembly"])
def test_a_whole_that_is_never_opened_and_lost_its_inside_is_not_taken(ruling: str) -> None:
    result = answer(carrier("pos_bearing", ruling=ruling))
    assert chosen(recommended(result)) == {"carrier": "new"}
    assert "was taken already" in why(result, "carrier from donor")


def test_where_it_is_not_known_what_was_taken_nothing_is() -> None:
    result = answer(carrier("pos_of_another_book"))
    assert "salvaged" not in chosen(recommended(result)).values()
    assert "not on record here" in why(result, "bearing from donor")


def pair(*taken: str):
    """A matched pair beyond use, dear to buy, and a cheap donor with a pair of its own."""
    both = [part("wheel"), part("pinion")]
    return snapshot(
        parts=both,
        positions=[position("wheel"), position("pinion")],
        position_sets=[
            {
                "id": "pst_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "gear pair",
                "position_ids": ["pos_wheel", "pos_pinion"],
            }
        ],
        suppliers=[supplier("a")],
        offers=[service("rebuild", "a", "5000", assembly_id="asm_1")],
        units=[own_unit(), donor("d", worth="1", taken_position_ids=list(taken))],
        settings=settings(
            salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}],
            policy={"harvest_without_fallback": "allowed"},
        ),
        **looks(wheel="heavy", pinion="heavy"),
    )


def test_a_matched_set_comes_whole_from_a_donor() -> None:
    assert chosen(best(pair())) == {"wheel": "salvaged", "pinion": "salvaged"}


def test_a_matched_set_of_which_one_is_gone_is_not_taken() -> None:
    result = answer(pair("pos_pinion"))
    assert recommended(result).route == "send-out"
    assert "a piece of it was taken already" in why(result, "pinion from donor")
    assert "its matched set 'gear pair' is broken" in why(result, "wheel from donor")


def stock(*taken: str):
    unit = {
        "id": "unt_s",
        "assembly_id": "asm_1",
        "kind": "stock",
        "donor": {"is_owned": True, "undisturbed_worth": eur(100)},
        "taken_position_ids": list(taken),
    }
    return snapshot(
        parts=[part("gear"), part("cap")],
        positions=[position("gear"), position("cap")],
        suppliers=[supplier("a")],
        offers=[goods("gear", "a", "900")],
        units=[own_unit(), unit],
        **looks(gear="heavy", cap="none"),
    )


def test_a_stock_unit_that_gave_a_part_is_not_fitted_whole() -> None:
    assert best(stock()).route == "used"
    for taken in ("pos_cap", "pos_of_another_book"):
        result = answer(stock(taken))
        assert recommended(result).route == "rebuild"
        assert "parts were taken from it already" in why(result, "stock unit")


def test_what_was_taken_from_the_jobs_own_unit_is_not_kept_there() -> None:
    members = stock()
    members["offers"] = [
        *members["offers"],
        goods("cap", "a", "20"),
        service("sleeve", "a", "1", position_id="pos_cap"),
    ]
    members["units"] = [own_unit(kind="stock", donor={"is_owned": True},
                                 taken_position_ids=["pos_cap"])]  # fmt: skip
    result = answer(members)
    assert chosen(recommended(result)) == {"gear": "new", "cap": "new"}
    assert "a piece of it was taken already" in why(result, "keep cap")
    assert "a piece of it was taken already" in why(result, "sleeve")


def test_nothing_is_put_right_inside_a_carrier_that_is_gone() -> None:
    members = carrier()
    members["units"] = [own_unit(kind="stock", donor={"is_owned": True},
                                 taken_position_ids=["pos_carrier"])]  # fmt: skip
    assert chosen(best(members)) == {"carrier": "new"}


def test_a_core_and_a_unit_sent_out_are_told_to_be_incomplete() -> None:
    members = stock()
    members["offers"] = [
        service("rebuild", "a", "300", assembly_id="asm_1"),
        goods(
            "exchange",
            "a",
            "200",
            assembly_id="asm_1",
            core={"deposit": eur(50), "acceptance_probability": "0.9"},
        ),
    ]
    taken = own_unit(kind="stock", donor={"is_owned": True}, taken_position_ids=["pos_cap"])
    members["units"] = [taken]
    told = {plan.route: " ".join(plan.lines[0].notes) for plan in answer(members).plans}
    assert "the core is not complete" in told["exchange"]
    assert "the unit is not complete" in told["send-out"]
