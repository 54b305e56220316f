"""Situations from the trade: shims by marks, and gear ratios counted by hand.

In some situations the figures are filled in on the source's rule; each says so.
"""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api.bodies import Shop, error_of, mm

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


@pytest.fixture
def shop(client: TestClient[Any], headers: dict[str, str]) -> Shop:
    return Shop(client, headers["Authorization"].removeprefix("Bearer "))


def computed(shop: Shop, name: str, **body: Any) -> Any:
    answer = shop.call("POST", f"/calculations/{name}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def length(quantity: Any) -> Decimal:
    assert quantity["unit"] == "mm"
    return Decimal(quantity["value"])


# --- shims by marks -----------------------------------------------------------------------------

ON_GEARS = {"name": "pinion", "marked_on": "gears"}
PINION = {**ON_GEARS, "old_mark": "+8", "new_mark": "+22", "old_shim": mm("1.0")}


def test_a_mark_of_22_for_8_adds_what_the_marks_say(shop: Shop) -> None:
    """Source: public: workshop manual page; figures filled in on its rule.

    The page prints 0.13 mm, which went through rounded inches.
    """
    asked = {"mark_unit": mm("0.01"), "changed": ["gears"], "places": [PINION]}
    (place,) = computed(shop, "shims-by-marks", larger_mark="thicker", **asked)["places"]
    assert length(place["change"]) == Decimal("0.14")  # not 0.13, nor 0.014
    assert length(place["new_shim"]) == Decimal("1.14")
    # Without the maker's direction no thickness is told.
    (place,) = computed(shop, "shims-by-marks", **asked)["places"]
    assert place["new_shim"] is None and place["change"] is None
    assert "ask the manual for the direction" in place["to_check"][0]


def test_another_makers_marks_are_thousandths_and_count_the_other_way(shop: Shop) -> None:
    """Source: public: workshop manual page; figures filled in on its rule."""
    answer = computed(
        shop,
        "shims-by-marks",
        mark_unit=mm("0.001"),
        changed=["gears"],
        larger_mark="thinner",
        places=[{**ON_GEARS, "old_mark": "+20", "new_mark": "-10", "old_shim": mm("1.2")}],
        shims=[mm(size) for size in ("1.20", "1.21", "1.22", "1.23", "1.24")],
        rule="nearest-not-thicker",
    )
    (place,) = answer["places"]
    # 1.200 + 0.020 + 0.010; by the other maker's unit and sign it would be 0.90.
    assert length(place["new_shim"]) == length(place["chosen"]) == Decimal("1.23")


CASE: list[dict[str, Any]] = [
    {"name": "F", "marked_on": "case", "old_mark": "3", "new_mark": "-1"},
    {"name": "R", "marked_on": "case", "old_mark": "-2", "new_mark": "-2"},
    {"name": "P", "marked_on": "case", "old_mark": "1", "base": mm("0.20")},
]


def case_changed(shop: Shop, *changed: str, **more: Any) -> Any:
    asked = {"mark_unit": mm("0.01"), "changed": list(changed), "places": CASE, **more}
    return computed(shop, "shims-by-marks", **asked)


def test_a_bare_case_changes_each_shim_by_the_difference_of_the_marks(shop: Shop) -> None:
    """Source: public: outboard service manual pages; figures filled in on their rule."""
    answer = case_changed(shop, "case", larger_mark="thicker")
    assert answer["advice"] == "by-marks" and "do not come along" in answer["reason"]
    places = {one["name"]: one for one in answer["places"]}
    assert length(places["F"]["change"]) == Decimal("-0.04")  # the old pack does not stay
    assert length(places["R"]["change"]) == 0
    assert length(places["P"]["old_target"]) == Decimal("0.21")
    assert length(places["P"]["new_target"]) == Decimal("0.20")
    assert places["F"]["to_check"] == places["R"]["to_check"] == []
    (told,) = places["P"]["to_check"]
    assert "counts as 0" in told and "check the setting when it is assembled" in told
    # The pages do not say which way: then the difference is told, and no thickness.
    places = {one["name"]: one for one in case_changed(shop, "case")["places"]}
    assert length(places["F"]["difference"]) == Decimal("-0.04")
    assert places["F"]["change"] is None
    assert "ask the manual for the direction" in places["F"]["to_check"][0]


@pytest.mark.parametrize("more", [["bearings"], ["gears"], ["gears", "bearings"]])
def test_with_a_gear_or_bearing_besides_the_case_all_is_measured(
    shop: Shop, more: list[str]
) -> None:
    answer = case_changed(shop, "case", *more, larger_mark="thicker")
    assert answer["advice"] == "measure-anew" and "full selection" in answer["reason"]
    for place in answer["places"]:
        assert place["new_shim"] is None and place["change"] is None


@pytest.mark.parametrize("changed", ["gears", "bearings"])
def test_in_the_kept_case_other_gears_or_bearings_are_measured(shop: Shop, changed: str) -> None:
    """Source: public: outboard service manual pages."""
    kept = [{**place, "new_mark": place["old_mark"]} for place in CASE]
    answer = case_changed(shop, changed, places=kept, larger_mark="thicker")
    assert answer["advice"] == "measure-anew" and "full selection" in answer["reason"]
    for place in answer["places"]:
        assert place["new_shim"] is None and place["change"] is None and place["to_check"]
    # What bears the marks is asked for, never taken for granted.
    unsaid = [{**CASE[0], "marked_on": None}]
    asked = {"mark_unit": mm("0.01"), "changed": ["gears"], "places": unsaid}
    answer = shop.call("POST", "/calculations/shims-by-marks", json=asked)
    assert error_of(answer, "/places/0/marked_on")["code"] == "missing"


def test_with_the_original_case_and_parts_the_shims_stay(shop: Shop) -> None:
    same = [{**place, "new_mark": place["old_mark"]} for place in CASE]
    assert case_changed(shop, places=same)["advice"] == "no-change"
    asked = {"mark_unit": mm("0.01"), "changed": [], "places": CASE}
    error = error_of(shop.call("POST", "/calculations/shims-by-marks", json=asked), "/changed")
    assert error["code"] == "contradiction"


# --- a gear ratio counted at one raised wheel -----------------------------------------------------

AXLES = ["3.07", "3.55", "3.73", "4.10"]


def test_one_raised_wheel_reads_half_of_the_ratio(shop: Shop) -> None:
    """Source: public: off-road and repair guide pages, which do not mention the factor.

    Figures filled in on their rule; the factor of two is common practice, no source.
    """
    turns = {"input_turns": "1.86", "output_turns": "1", "held": "other-wheel"}
    found = computed(shop, "gear-ratio", turns=turns, candidates=AXLES)
    assert Decimal(found["ratio"]) == Decimal("3.72") == Decimal(found["if_other_wheel_held"])
    assert [one["ratio"] for one in found["candidates"] if one["agrees"]] == ["3.73"]
    # Taken for the ratio, the reading would have the donor turned away.
    both = computed(shop, "gear-ratio", turns={**turns, "held": "none"}, candidates=AXLES)
    assert Decimal(both["ratio"]) == Decimal("1.86") == Decimal(found["if_nothing_held"])
    assert both["agreement"] == "none"
    assert any("3.73 agrees: make sure of what was held" in note for note in both["notes"])
    del turns["held"]  # it is asked for, never taken for granted
    answer = shop.call("POST", "/calculations/gear-ratio", json={"turns": turns})
    assert error_of(answer, "/turns/held")["code"] == "missing"


def test_seven_percent_off_is_another_ratio(shop: Shop) -> None:
    """Source: public: boat-drive forum thread."""
    turns = {"input_turns": "1.84", "output_turns": "1", "held": "none"}
    found = computed(shop, "gear-ratio", turns=turns, candidates=["1.84"], needed="1.98")
    assert found["needed"]["agrees"] is False
    (old,) = found["candidates"]
    assert round(Decimal(old["output_speed_percent"]), 1) == Decimal("7.6")
