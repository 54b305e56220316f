"""POST /v1/calculations/bearing-life, success-run, stress-strength, recurrence."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def newton(value):
    return {"value": value, "unit": "N"}


BEARING = {
    "rolling": "ball",
    "dynamic_rating": newton("29100"),
    "equivalent_load": newton("2500"),
    "speed": {"value": "900", "unit": "1/min"},
}
PARTS = {"radial_load": newton("2500"), "axial_load": newton("1000"), "x": "0.56", "y": "1.67"}


def ask(shop, path, body):
    answer = shop.call("POST", f"/calculations/{path}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def without(body, *members):
    return {name: value for name, value in body.items() if name not in members}


def test_rating_life_in_hours_and_what_is_not_in_it(shop):
    answer = ask(shop, "bearing-life", BEARING)
    assert float(answer["l10"]["value"]) == pytest.approx(29_000, abs=300)
    assert answer["modified"] == answer["l10"]
    assert answer["required_rating"] is None
    assert any("has run" in said for said in answer["cautions"])


def test_the_load_may_come_in_parts(shop):
    answer = ask(shop, "bearing-life", {**without(BEARING, "equivalent_load"), **PARTS})
    assert float(answer["equivalent_load"]["value"]) == pytest.approx(3070, abs=0.5)
    assert float(answer["l10"]["value"]) == pytest.approx(15_800, abs=100)


def test_reliability_and_life_factor_are_told_apart(shop):
    more = {"reliability": "0.985", "life_factor": "0.5", "life_factor_basis": "oil chart"}
    answer = ask(shop, "bearing-life", {**BEARING, **more})
    assert (answer["reliability_factor"], answer["table_reliability"]) == ("0.25", "0.99")
    l10 = float(answer["l10"]["value"])
    assert float(answer["modified"]["value"]) == pytest.approx(0.25 * 0.5 * l10, rel=1e-8)
    assert any("safe side" in said for said in answer["cautions"])


def test_hours_wanted_give_the_rating_needed(shop):
    # Cylindrical roller bearing of a public chapter: 53.98 kN; its 0.6 for 95 % given as factor.
    roller = {
        "rolling": "roller",
        "equivalent_load": newton("6500"),
        "speed": {"value": "1450", "unit": "1/min"},
        "life_factor": "0.6",
        "life_factor_basis": "the chapter's factor for 95 %",
        "wanted": {"value": "8000", "unit": "h"},
    }
    answer = ask(shop, "bearing-life", roller)
    assert float(answer["required_rating"]["value"]) == pytest.approx(53_980, abs=10)
    assert answer["l10"] is None
    for rating, is_enough in (("53000", False), ("55000", True)):
        again = ask(shop, "bearing-life", {**roller, "dynamic_rating": newton(rating)})
        assert again["is_rating_enough"] is is_enough


def test_the_table_and_the_weibull_life_are_both_told_where_they_differ(shop):
    body = {**BEARING, "reliability": "0.95", "wanted": {"value": "18000", "unit": "h"}}
    answer = ask(shop, "bearing-life", body)
    assert answer["is_rating_enough"] is True  # 0.64 of 29205 h
    assert 0.9 < float(answer["chance_to_reach_wanted"]) < 0.95
    assert any("more cautious than the table" in said for said in answer["cautions"])


def test_nothing_is_promised_where_the_formula_does_not_hold(shop):
    body = {**BEARING, "equivalent_load": newton("15000"), "wanted": {"value": "1", "unit": "h"}}
    answer = ask(shop, "bearing-life", body)
    assert answer["l10"] is None
    assert answer["is_rating_enough"] is None
    assert "half the rating" in answer["reason"]
    assert float(answer["required_rating"]["value"]) == 30_000
    light = ask(shop, "bearing-life", {**BEARING, "equivalent_load": newton("100")})
    assert any("slide" in said for said in light["cautions"])
    assert ask(shop, "bearing-life", {**BEARING, "equivalent_load": newton("2")})["l10"] is None


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        (without(BEARING, "dynamic_rating"), "/dynamic_rating"),
        (without(BEARING, "equivalent_load"), "/equivalent_load"),
        ({**BEARING, **PARTS}, "/radial_load"),
        ({**without(BEARING, "equivalent_load"), **without(PARTS, "y")}, "/y"),
        ({**BEARING, "reliability": "0.5"}, "/reliability"),
        ({**BEARING, "reliability": "0.9999"}, "/reliability"),
        ({**BEARING, "life_factor": "2"}, "/life_factor_basis"),
        ({**BEARING, "life_factor_basis": "chart"}, "/life_factor"),
        ({**BEARING, "life_factor": "60", "life_factor_basis": "chart"}, "/life_factor"),
        ({**BEARING, "speed": {"value": "0", "unit": "1/min"}}, "/speed"),
        ({**BEARING, "speed": {"value": "9", "unit": "h"}}, "/speed/unit"),
        ({**BEARING, "equivalent_load": newton("0")}, "/equivalent_load"),
        ({**BEARING, "wanted": {"value": "-2", "unit": "h"}}, "/wanted"),
        (
            {**BEARING, "dynamic_rating": {**newton("9"), "plus_minus": "1"}},
            "/dynamic_rating/plus_minus",
        ),
    ],
)
def test_a_duty_that_cannot_be_is_refused(shop, body, pointer):
    error_of(shop.call("POST", "/calculations/bearing-life", json=body), pointer)


def test_trials_needed_and_what_trials_show(shop):
    needed = ask(shop, "success-run", {"reliability": "0.9", "confidence": "0.95"})
    assert needed["trials"] == 29
    assert float(needed["shown_reliability"]) >= 0.9
    made = ask(shop, "success-run", {"trials": 30, "failures": 1, "confidence": "0.95"})
    bounds = (float(made["lower"]), float(made["upper"]))
    assert bounds == pytest.approx((0.8278, 0.9992), abs=5e-5)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/reliability"),
        ({"reliability": "0.9", "trials": 5}, "/reliability"),
        ({"reliability": "1"}, "/reliability"),
        ({"reliability": "0.9999999"}, "/reliability"),
        ({"reliability": "0.999999", "confidence": "0.99", "failures": 7}, "/reliability"),
        ({"trials": 5, "confidence": "1"}, "/confidence"),
        ({"trials": 5, "failures": 6}, "/failures"),
        ({"trials": 0}, "/trials"),
    ],
)
def test_trials_that_show_nothing_are_refused(shop, body, pointer):
    error_of(shop.call("POST", "/calculations/success-run", json=body), pointer)


def scattered(mean, deviation):
    return {"mean": mean, "standard_deviation": deviation}


def test_stress_against_strength(shop):
    body = {"stress": scattered("20", "6"), "strength": scattered("40", "7")}
    answer = ask(shop, "stress-strength", body)
    assert float(answer["failure_probability"]) == pytest.approx(0.0150298, abs=1e-7)
    never = {"stress": scattered("1", "0.1"), "strength": scattered("900", "1")}
    answer = ask(shop, "stress-strength", never)
    assert answer["failure_probability"] == "0.000000000001"
    assert any("tail" in said for said in answer["assumptions"])
    exact = {"stress": scattered("1", "0"), "strength": scattered("2", "0")}
    refused = shop.call("POST", "/calculations/stress-strength", json=exact)
    error_of(refused, "/strength/standard_deviation")


ROWS = [
    {"cause_kind": "installation", "probability": "0.03"},
    {"cause_kind": "installation", "mechanism": "fatigue", "probability": "0.05"},
]


def test_the_same_failure_again_is_read_off_the_shops_rows(shop):
    body = {"known": "0.02", "unknown": "0.10", "cause_chances": ROWS, "cause_kind": "installation"}
    removed = {**body, "is_cause_removed": True}
    assert ask(shop, "recurrence", removed)["probability"] == "0.03"
    tired = ask(shop, "recurrence", {**removed, "mechanism": "fatigue"})
    assert (tired["probability"], tired["row"]) == ("0.05", "kind-and-mechanism")
    assert tired["chance_index"] == 1
    stays = ask(shop, "recurrence", {**body, "is_cause_removed": False})
    assert (stays["probability"], stays["row"], stays["counts"]) == ("0.10", "kind", "unknown")
    twice = shop.call(
        "POST", "/calculations/recurrence", json={**body, "cause_chances": ROWS[:1] * 2}
    )
    assert error_of(twice, "/cause_chances/1")["code"] == "duplicate-item"
    unknown = {"known": "0.02", "unknown": "0.10", "is_cause_removed": True}
    error_of(shop.call("POST", "/calculations/recurrence", json=unknown), "/is_cause_removed")
