"""POST /v1/calculations/life-fit, series-life."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
FIVE = [{"hours": hours} for hours in ("10", "20", "30", "40", "50")]


def fit(shop, **body):
    answer = shop.call("POST", "/calculations/life-fit", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_life_comes_with_its_bounds_its_method_and_what_speaks_against_it(shop):
    answer = fit(shop, failures=FIVE, at_hours=["20", "80"])
    assert float(answer["shape"]) == pytest.approx(2.2938, abs=5e-5)
    assert float(answer["shape_bounds"]["lower"]) == pytest.approx(1.142, abs=5e-4)
    assert float(answer["scale"]) == pytest.approx(33.9429, abs=5e-4)
    assert (answer["method"], answer["failures"]) == ("maximum-likelihood", 5)
    assert answer["basis"] == "maximum likelihood, 5 failed of 5"
    assert any("barely known" in said for said in answer["warnings"])
    assert any("longer than 50 h" in said for said in answer["warnings"])
    assert [one["shape"][:3] for one in answer["other_shapes"]] == ["1.0", "1.5", "2.0", "2.5"]
    sooner, later = answer["at_hours"]
    for one in (sooner, later):
        assert (
            float(one["bounds"]["lower"])
            <= float(one["reliability"])
            <= float(one["bounds"]["upper"])
        )
    assert float(later["reliability"]) < float(sooner["reliability"])


def test_counts_stand_for_single_parts(shop):
    counted = fit(shop, failures=FIVE, suspended=[{"hours": "60", "count": 3}])
    single = fit(shop, failures=FIVE, suspended=[{"hours": "60"}] * 3)
    assert counted == single
    assert (counted["suspended"], counted["failures"]) == (3, 5)


def test_without_a_failure_there_is_a_bound_and_no_life(shop):
    running = [{"hours": hours} for hours in ("1200", "1500", "1800")]
    body = {"suspended": running, "method": "assumed-shape", "shape": "3", "at_hours": ["500"]}
    answer = fit(shop, **body)
    assert answer["scale"] is None
    assert answer["b10"] is None
    assert answer["at_hours"][0]["reliability"] is None
    assert float(answer["scale_bounds"]["lower"]) == pytest.approx(1680.87093, abs=1e-4)
    assert answer["scale_bounds"]["upper"] is None
    assert any(said.startswith("Nothing has failed") for said in answer["warnings"])


def test_rank_regression_tells_no_bounds(shop):
    answer = fit(shop, failures=FIVE, method="rank-regression", at_hours=["20"])
    assert answer["shape_bounds"] == {"lower": None, "upper": None}
    assert any("no bounds of its own" in said for said in answer["warnings"])


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "/failures", None),
        ({"failures": FIVE[:1]}, "/failures", "too-few-failures"),
        ({"failures": [FIVE[0], FIVE[0]]}, "/failures", "too-few-failures"),
        ({"failures": [{"hours": "-1"}]}, "/failures/0/hours", "out-of-range"),
        ({"failures": [*FIVE, {"hours": "2000000000"}]}, "/failures/5/hours", "out-of-range"),
        ({"failures": [*FIVE, {"hours": "9", "count": 0}]}, "/failures/5/count", "out-of-range"),
        ({"failures": FIVE, "shape": "2"}, "/shape", None),
        ({"failures": FIVE, "method": "assumed-shape"}, "/shape", None),
        ({"failures": FIVE, "method": "assumed-shape", "shape": "101"}, "/shape", "out-of-range"),
        ({"failures": FIVE, "method": "judgement"}, "/method", None),
        ({"failures": FIVE, "confidence": "1"}, "/confidence", "out-of-range"),
        ({"failures": FIVE, "confidence": "0.4"}, "/confidence", "out-of-range"),
        ({"failures": FIVE, "at_hours": ["5", "0"]}, "/at_hours/1", "out-of-range"),
        ({"failures": [{"hours": "10"}, {"hours": "10.001"}]}, "/failures", "shape-out-of-range"),
        ({"failures": [{"hours": "7"}] * 5001}, "/failures", None),
    ],
)
def test_a_record_that_shows_nothing_is_refused(shop, body, pointer, code):
    error = error_of(shop.call("POST", "/calculations/life-fit", json=body), pointer)
    assert code in {None, error["code"]}


def part(name="Bearing", **more):
    hours = {"value": "1000", "unit": "h"}
    return {
        "name": name,
        "shape": "2",
        "scale": hours,
        "age": {"value": "0", "unit": "h"},
        **more,
    }


def series(shop, *parts, horizon="300"):
    body = {"parts": list(parts), "horizon": {"value": horizon, "unit": "h"}}
    return shop.call("POST", "/calculations/series-life", json=body)


def test_four_equal_parts_are_one_of_half_the_scale(shop):
    # eta n^(-1/beta): closed form; mean 443.1134627 h by quadrature of an independent library.
    answer = series(shop, part(quantity=4)).json()
    assert float(answer["reliability"]) == pytest.approx(0.697676, abs=1e-6)
    assert float(answer["mean_life"]["value"]) == pytest.approx(443.1134627, abs=1e-5)
    assert (
        series(shop, part(), part(), part(quantity=2)).json()["reliability"]
        == (answer["reliability"])
    )


def test_a_common_cause_comes_on_top(shop):
    body = {"parts": [part()], "horizon": {"value": "300", "unit": "h"}}
    alone = shop.call("POST", "/calculations/series-life", json=body).json()
    cause = {"probability": "0.02", "within": {"value": "300", "unit": "h"}}
    both = shop.call("POST", "/calculations/series-life", json={**body, "common_cause": cause})
    assert alone["common_cause"] is None
    assert float(both.json()["common_cause"]) == pytest.approx(0.98)
    expected = 0.98 * float(alone["reliability"])
    assert float(both.json()["reliability"]) == pytest.approx(expected, abs=2e-6)
    cause["within"]["unit"] = "mm"
    refused = shop.call("POST", "/calculations/series-life", json={**body, "common_cause": cause})
    error_of(refused, "/common_cause/within/unit")


def test_one_wrong_entry_does_not_make_the_list_too_short(shop):
    refused = series(shop, part(scale={"value": "1", "unit": "age"})).json()
    assert [one["pointer"] for one in refused["errors"]] == ["/parts/0/scale/unit"]
    assert refused["detail"] == "1 value is invalid."


def test_the_part_likeliest_to_fail_comes_first(shop):
    old = part("Seal", age={"value": "900", "unit": "h"})
    answer = series(shop, part(), old).json()
    assert [one["name"] for one in answer["parts"]] == ["Seal", "Bearing"]
    product = float(answer["parts"][0]["reliability"]) * float(answer["parts"][1]["reliability"])
    assert float(answer["reliability"]) == pytest.approx(product, abs=2e-6)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"shape": "0.05"}, "/parts/0/shape"),
        ({"scale": {"value": "0", "unit": "h"}}, "/parts/0/scale"),
        ({"age": {"value": "-1", "unit": "h"}}, "/parts/0/age"),
        ({"age": {"value": "5", "unit": "mm"}}, "/parts/0/age/unit"),
        ({"age": {"value": "5", "unit": "h", "plus_minus": "1"}}, "/parts/0/age/plus_minus"),
        ({"quantity": 0}, "/parts/0/quantity"),
    ],
)
def test_a_part_that_cannot_be_is_refused(shop, change, pointer):
    error_of(series(shop, part(**change)), pointer)
    error_of(series(shop), "/parts")
    error_of(series(shop, part(), horizon="-1"), "/horizon")
