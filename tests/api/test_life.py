"""POST /v1/calculations/life."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
PATH = "/calculations/life"


def hours(value, unit="h", **doubt):
    return {"value": value, "unit": unit, **doubt}


WEARS = {"shape": "2", "scale": hours("1000"), "age": hours("500"), "horizon": hours("300")}
RECORD = {"prior_mean": "0.14", "prior_weight": "10", "comebacks": 4, "trials": 14}


def ask(shop, **change):
    answer = shop.call("POST", PATH, json={**WEARS, **change})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_used_part_has_its_conditional_life(shop):
    answer = ask(shop)
    assert float(answer["reliability"]) == pytest.approx(0.6770568745, abs=1e-9)
    assert float(answer["mean_residual_life"]["value"]) == pytest.approx(545.64136077, abs=1e-5)
    assert answer["mean_residual_life"]["unit"] == "h"
    assert answer["experience"] is None


def test_expected_service_hours_count_up_to_the_horizon(shop):
    answer = ask(shop, horizon=hours("400"))
    assert float(answer["expected_service_hours"]) == pytest.approx(314.5355, abs=1e-3)


def test_times_may_come_in_other_units(shop):
    assert ask(shop, age=hours("30000", "min"), horizon=hours("1080000", "s")) == ask(shop)


def test_a_doubtful_age_is_a_range_and_said_so(shop):
    answer = ask(shop, age=hours("500", plus_minus="300"))
    young, old = (ask(shop, age=hours(age))["reliability"] for age in ("200", "800"))
    assert float(old) < float(answer["reliability"]) < float(young)
    assert "Every age from 200 h to 800 h counts alike." in answer["assumptions"]


def test_a_shape_below_one_carries_its_warning(shop):
    answer = ask(shop, shape="0.8")
    assert any("infant failures" in said for said in answer["assumptions"])


def test_the_shops_record_comes_back_as_a_belief(shop):
    belief = ask(shop, experience=RECORD)["experience"]
    assert float(belief["comeback_probability"]) == pytest.approx(0.225)
    assert float(belief["standard_deviation"]) == pytest.approx(0.083, abs=0.001)
    assert float(belief["effective_trials"]) == 24
    assert float(belief["lower"]) < 0.225 < float(belief["upper"])


def test_extreme_lives_are_answered_with_numbers(shop):
    for change in (
        {"shape": "100", "scale": hours("0.000001", "s"), "age": hours("999999999")},
        {"shape": "0.1", "scale": hours("999999999"), "age": hours("0.000001", "s")},
        {"horizon": hours("0"), "age": hours("0")},
    ):
        answer = ask(shop, **change)
        assert 0 <= float(answer["reliability"]) <= 1
        assert float(answer["expected_service_hours"]) >= 0


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"age": hours("-1")}, "/age", "out-of-range"),
        ({"age": hours("5", "mm")}, "/age/unit", "unit-wrong-dimension"),
        ({"age": hours("5", standard_uncertainty="1")}, "/age/standard_uncertainty", None),
        ({"age": None}, "/age", None),
        ({"scale": hours("0")}, "/scale", "out-of-range"),
        ({"horizon": hours("-5")}, "/horizon", "out-of-range"),
        ({"horizon": hours("5", plus_minus="1")}, "/horizon/plus_minus", None),
        ({"horizon": hours("999999999999999")}, "/horizon", "out-of-range"),
        ({"shape": "0"}, "/shape", "out-of-range"),
        ({"shape": "1000"}, "/shape", "out-of-range"),
        ({"shape": 2}, "/shape", "decimal-format"),
        ({"experience": {**RECORD, "prior_mean": "0"}}, "/experience/prior_mean", "out-of-range"),
        ({"experience": {**RECORD, "comebacks": 15}}, "/experience/comebacks", "out-of-range"),
        ({"experience": {**RECORD, "trials": -1}}, "/experience/trials", "out-of-range"),
        ({"experience": {**RECORD, "good": 3}}, "/experience/good", None),
        ({"beta": "2"}, "/beta", None),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused_at_its_member(shop, change, pointer, code):
    error = error_of(shop.call("POST", PATH, json={**WEARS, **change}), pointer)
    assert code in {None, error["code"]}
