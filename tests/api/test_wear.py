"""POST /v1/calculations/wear and /fit-condition."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def mm(value, **doubt):
    return {"value": value, "unit": "mm", **doubt}


SURE = {"standard_uncertainty": "0.005"}
# Constructed case: wear 0.020 (u 0.005) when new, 0.180 (u 0.010) at 4000 h, limit 0.300 mm.
CASE = {
    "points": [{"hours": "4000", "size": mm("0.180", standard_uncertainty="0.010")}],
    "new_size": mm("0.020", **SURE),
    "limit": mm("0.300"),
    "wears_towards": "upper",
}


def wear(shop, **change):
    answer = shop.call("POST", "/calculations/wear", json={**CASE, **change})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_hours_to_the_limit_have_a_lower_bound_and_a_next_inspection(shop):
    found = wear(shop, inspection_cap_hours="2000")
    assert found["has_trend"] and found["why_not"] is None
    hours = {name: float(value) for name, value in found["hours_to_limit"].items()}
    assert hours["estimate"] == pytest.approx(3000, abs=1e-5)
    assert hours["lower"] == pytest.approx(2337.498, abs=0.01)
    assert hours["upper"] > 3000
    assert found["rates"]["governing"] == "long-term"
    rate = found["rates"]["long_term"]["per_thousand_hours"]
    assert (float(rate["value"]), rate["unit"]) == (pytest.approx(0.04), "mm")
    assert float(found["next_inspection"]["hours"]) == pytest.approx(1500)
    assert "service or of discard" in found["warnings"][-1]


def test_dangerous_parts_go_by_the_lower_bound_and_the_cap_by_the_shop(shop):
    dangerous = wear(shop, is_safety_critical=True)["next_inspection"]
    assert float(dangerous["hours"]) == pytest.approx(2337.498 / 2, abs=0.01)
    capped = wear(shop, inspection_cap_hours="400")["next_inspection"]
    assert float(capped["hours"]) == 400


def test_scatter_of_the_wear_itself_widens_the_bounds(shop):
    even = wear(shop, chance_within_hours="2000")
    uneven = wear(shop, process_scatter=mm("0.0006"), chance_within_hours="2000")
    assert float(uneven["by_scatter"]["mean_hours"]) == pytest.approx(3000, abs=1e-4)
    assert float(uneven["by_scatter"]["standard_deviation_hours"]) == pytest.approx(
        821.584, abs=1e-3
    )
    # More than by the scatter alone, 1 - 0.914663: the readings' doubt adds to it.
    assert float(uneven["chance_within"]) == pytest.approx(0.118134, abs=1e-5)
    assert float(uneven["hours_to_limit"]["lower"]) < float(even["hours_to_limit"]["lower"])
    assert float(even["chance_within"]) < 0.05


def test_what_tells_no_hours_is_an_answer_with_its_reason(shop):
    one = wear(shop, new_size=None)
    assert (one["has_trend"], one["why_not"]["reason"]) == (False, "too-few-points")
    assert one["hours_to_limit"] == {"estimate": None, "lower": None, "upper": None}
    assert one["next_inspection"]["hours"] is None
    back = wear(shop, new_size=mm("0.250", **SURE))
    assert back["why_not"]["reason"] == "wrong-way"
    beyond = wear(shop, limit=mm("0.150"))
    assert beyond["is_beyond"] is True
    assert float(beyond["next_inspection"]["hours"]) == 0


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"points": []}, "/points"),
        ({"points": [CASE["points"][0]] * 2}, "/points/2/hours"),
        ({"points": [{"hours": "0", "size": mm("1")}]}, "/new_size"),
        (
            {"points": [{"hours": "10", "size": {"value": "1", "unit": "kg"}}]},
            "/points/0/size/unit",
        ),
        ({"points": [{"hours": "10", "size": mm("1000000001")}]}, "/points/0/size/value"),
        ({"limit": {"value": "20", "unit": "°C"}}, "/limit/unit"),
        ({"limit": mm("0.3", **SURE)}, "/limit/standard_uncertainty"),
        ({"confidence": "0.5"}, "/confidence"),
        ({"confidence": "1"}, "/confidence"),
        ({"hours_now": "3999"}, "/hours_now"),
        ({"process_scatter": mm("0")}, "/process_scatter/value"),
        ({"common_uncertainty": mm("-1")}, "/common_uncertainty/value"),
        ({"inspection_cap_hours": "0"}, "/inspection_cap_hours"),
        ({"wears_towards": "sideways"}, "/wears_towards"),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused_at_its_member(shop, change, pointer):
    answer = shop.call("POST", "/calculations/wear", json={**CASE, **change})
    assert answer.status_code == 422, answer.text
    assert error_of(answer, pointer)


def test_a_fit_is_told_cold_and_warm(shop):
    warm = {"value": "80", "unit": "°C"}
    body = {
        "nominal": mm("100"),
        "hole_class": "H7",
        "shaft_class": "h6",
        "hole": mm("99.990", standard_uncertainty="0.002"),
        "shaft": mm("100.000", standard_uncertainty="0.002"),
        "hole_material": "aluminium",
        "shaft_material": "steel",
        "temperatures": [{"hole": warm, "shaft": warm}],
    }
    answer = shop.call("POST", "/calculations/fit-condition", json=body)
    assert answer.status_code == 200, answer.text
    found = answer.json()
    assert (found["designed"]["kind"], found["kind"]) == ("clearance", "interference")
    assert found["at_temperatures"][0]["kind"] == "clearance"
    assert found["shaft_expansion"]["taken_as"] == "steel"
    refused = shop.call("POST", "/calculations/fit-condition", json={**body, "hole_class": "g6"})
    assert refused.status_code == 422
    assert error_of(refused, "/hole_class")
