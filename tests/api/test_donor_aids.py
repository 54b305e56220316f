"""POST /v1/calculations/gear-ratio and /shims-by-marks."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def mm(value):
    return {"value": value, "unit": "mm"}


def ask(shop, name, **body):
    answer = shop.call("POST", f"/calculations/{name}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


PINION = {"name": "pinion", "marked_on": "gears"}
F = {"name": "F", "marked_on": "case"}
WHEEL = {"input_turns": "1.86", "output_turns": "1", "held": "other-wheel"}
AXLES = ["3.07", "3.55", "3.73", "4.10"]


def test_a_raised_wheel_reads_half_of_the_ratio(shop):
    """Situation from the trade; the factor is that of an open differential."""
    found = ask(shop, "gear-ratio", turns=WHEEL, candidates=AXLES, needed="3.55")
    assert (found["ratio"], found["if_nothing_held"]) == ("3.72000000", "1.86000000")
    assert found["agreement"] == "one"
    first, *others = found["candidates"]
    assert (first["ratio"], first["agrees"]) == ("3.73", True)
    assert not any(one["agrees"] for one in others)
    assert found["needed"]["agrees"] is False
    assert float(first["output_speed_percent"]) == pytest.approx(-4.826, abs=0.001)  # 3.55 / 3.73


def test_teeth_give_their_fraction(shop):
    found = ask(shop, "gear-ratio", pairs=[{"driving": 22, "driven": 82}])
    assert (found["teeth"], found["agreement"]) == ("41/11", "nothing-stated")
    assert (found["needed"], found["if_other_wheel_held"]) == (None, None)


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "/turns", "one-of"),
        ({"turns": WHEEL, "pairs": [{"driving": 1, "driven": 2}]}, "/turns", "one-of"),
        ({"turns": {**WHEEL, "input_turns": "0"}}, "/turns/input_turns", "out-of-range"),
        ({"turns": {**WHEEL, "plus_minus": "2"}}, "/turns/plus_minus", "out-of-range"),
        ({"turns": WHEEL, "candidates": ["3.73", "3.730"]}, "/candidates/1", "duplicate"),
        ({"pairs": [{"driving": 1, "driven": 10000}] * 2}, "/pairs", "out-of-range"),
    ],
)
def test_a_ratio_that_cannot_be_told_is_refused(shop, body, pointer, code):
    answer = shop.call("POST", "/calculations/gear-ratio", json=body)
    assert answer.status_code == 422
    assert error_of(answer, pointer)["code"] == code


def test_marks_as_they_are_stamped(shop):
    """Page of a manual: +8 to +22 hundredths; it prints 0.13 by way of rounded inches."""
    found = ask(
        shop,
        "shims-by-marks",
        mark_unit=mm("0.01"),
        changed=["gears"],
        larger_mark="thicker",
        places=[{**PINION, "old_mark": "+8", "new_mark": "+22", "old_shim": mm("1.00")}],
        shims=[mm("1.10"), mm("1.15")],
        rule="nearest-not-thicker",
    )
    (pinion,) = found["places"]
    assert (found["advice"], pinion["change"], pinion["new_shim"]) == (
        "by-marks",
        mm("0.14"),
        mm("1.14"),
    )
    assert (pinion["chosen"], pinion["chosen_over"]) == (mm("1.1"), mm("-0.04"))


def test_a_mark_in_inches_and_a_shim_in_millimetres_end_at_nine_places(shop):
    found = ask(
        shop,
        "shims-by-marks",
        mark_unit={"value": "0.001", "unit": "in"},
        changed=["gears"],
        larger_mark="thinner",
        places=[{**PINION, "old_mark": "0", "new_mark": "-1", "old_shim": mm("1.00")}],
    )
    assert found["places"][0]["new_shim"] == {"value": "0.040370079", "unit": "in"}  # 1/25.4 + .001


def test_any_bearing_means_measuring(shop):
    found = ask(
        shop,
        "shims-by-marks",
        mark_unit=mm("0.01"),
        changed=["case", "bearings"],
        larger_mark="thicker",
        places=[{**F, "old_mark": "3", "new_mark": "-1", "old_shim": mm("0.5")}],
    )
    assert found["advice"] == found["places"][0]["advice"] == "measure-anew"
    assert found["places"][0]["new_shim"] is None


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"mark_unit": mm("0")}, "/mark_unit/value"),
        ({"mark_unit": {"value": "1", "unit": "kg"}}, "/mark_unit/unit"),
        ({"places": []}, "/places"),
        ({"places": [{**F, "old_mark": "++8"}]}, "/places/0/old_mark"),
        ({"places": [{**F, "marked_on": "bearings"}]}, "/places/0/marked_on"),
        ({"places": [{"name": "F"}]}, "/places/0/marked_on"),
        ({"changed": []}, "/changed"),
        ({"changed": None}, "/changed"),
        ({"rule": "nearest"}, "/shims"),
    ],
)
def test_marks_that_cannot_be_reckoned_with_are_refused(shop, changes, pointer):
    body = {
        "mark_unit": mm("0.01"),
        "changed": ["gears"],
        "places": [{**PINION, "old_mark": "8", "new_mark": "22", "old_shim": mm("1")}],
        **changes,
    }
    answer = shop.call("POST", "/calculations/shims-by-marks", json=body)
    assert answer.status_code == 422
    assert error_of(answer, pointer)["fix"]
