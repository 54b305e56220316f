"""POST /v1/calculations/conformity."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
PATH = "/calculations/conformity"


def size(value, unit="mm", **doubt):
    return {"value": value, "unit": unit, **doubt}


JOURNAL = size("51.962", standard_uncertainty="0.004")


def judge(shop, **body):
    answer = shop.call("POST", PATH, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_reading_well_inside_its_limits_conforms(shop):
    answer = judge(shop, measured=JOURNAL, lower_limit=size("51.950"), upper_limit=size("52.000"))
    assert answer["verdict"] == "conforming"
    assert answer["probability"] == "0.998650102"
    assert answer["rule"] == "iso-14253-1"
    assert answer["guard_band"] == {"value": "0.00657941451", "unit": "mm"}
    assert answer["acceptance_limits"]["lower"] == {"value": "51.9565794", "unit": "mm"}


def test_a_reading_in_inches_is_held_against_a_limit_in_millimetres(shop):
    answer = judge(
        shop, measured=size("0.008", "in", plus_minus="0.0005"), upper_limit=size("0.20")
    )
    assert (answer["verdict"], answer["distribution"]) == ("indeterminate", "rectangular")
    assert float(answer["probability"]) == pytest.approx(0.0095 / 0.0254, abs=1e-6)
    assert answer["is_within_limits"] is False


def test_an_expanded_uncertainty_is_halved_unless_a_factor_is_given(shop):
    for doubt in (
        {"expanded_uncertainty": "0.008"},
        {"expanded_uncertainty": "0.012", "coverage_factor": "3"},
    ):
        answer = judge(shop, measured=size("51.962", **doubt), lower_limit=size("51.950"))
        assert answer["probability"] == "0.998650102"


def test_a_gauge_too_coarse_for_the_limits_has_no_guard_band(shop):
    answer = judge(
        shop,
        measured=size("10", standard_uncertainty="0.02"),
        lower_limit=size("9.99"),
        upper_limit=size("10.01"),
    )
    assert answer["verdict"] == "indeterminate"
    assert answer["guard_band"] is None
    assert answer["acceptance_limits"] is None


def test_the_asked_probability_and_rule_decide(shop):
    near = {"measured": size("51.952", standard_uncertainty="0.004")}
    near["lower_limit"] = size("51.950")
    assert judge(shop, **near)["verdict"] == "indeterminate"
    assert judge(shop, **near, acceptance_probability="0.6")["verdict"] == "conforming"
    simple = judge(shop, **near, rule="simple-acceptance")
    assert (simple["verdict"], simple["rule"]) == ("conforming", "simple-acceptance")
    assert float(simple["probability"]) == pytest.approx(0.691462, abs=1e-6)


def test_a_temperature_in_fahrenheit_keeps_its_doubt_as_a_difference(shop):
    answer = judge(
        shop,
        measured=size("98", "°F", standard_uncertainty="0.9"),
        upper_limit=size("40", "°C"),
    )
    assert answer["standard_uncertainty"] == {"value": "0.500000000", "unit": "K"}


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"measured": size("51.962")}, "/measured", "uncertainty-missing"),
        ({"lower_limit": None}, "/lower_limit", "limit-missing"),
        ({"lower_limit": size("51", "N·m")}, "/lower_limit/unit", "unit-wrong-dimension"),
        ({"lower_limit": size("51", "mmm")}, "/lower_limit/unit", "unit-unknown"),
        ({"upper_limit": size("51.9")}, "/upper_limit", "limits-upside-down"),
        ({"upper_limit": size("52", plus_minus="1")}, "/upper_limit/plus_minus", None),
        ({"acceptance_probability": "1"}, "/acceptance_probability", "out-of-range"),
        ({"acceptance_probability": "0.3"}, "/acceptance_probability", "out-of-range"),
        ({"acceptance_probability": 0.95}, "/acceptance_probability", "decimal-format"),
        ({"measured": size("NaN", plus_minus="1")}, "/measured/value", "decimal-format"),
        ({"measured": size("1", plus_minus="-1")}, "/measured/plus_minus", "out-of-range"),
        ({"measured": size("1", plus_minus="1", standard_uncertainty="1")}, None, None),
        ({"rule": "as-you-like"}, "/rule", None),
        ({"nominal": size("52")}, "/nominal", None),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused_at_its_member(shop, change, pointer, code):
    body = {"measured": JOURNAL, "lower_limit": size("51.950"), **change}
    answer = shop.call("POST", PATH, json=body)
    assert answer.status_code == 422, answer.text
    if pointer is not None:
        error = error_of(answer, pointer)
        assert code in {None, error["code"]}
