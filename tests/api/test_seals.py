"""GET /v1/o-ring-materials and POST /v1/calculations/o-ring-groove."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
GROOVE = "/calculations/o-ring-groove"
MATERIALS = "/o-ring-materials"


def size(value, unit="mm", **doubt):
    return {"value": value, "unit": unit, **doubt}


def judge(shop, **body):
    answer = shop.call("POST", GROOVE, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def rate(shop, **query):
    return shop.call("GET", MATERIALS, params=query)


def test_a_cord_near_the_floor_is_marginal(shop):
    answer = judge(shop, cord=size("2.5", plus_minus="0.08"), groove_depth=size("0.077", "in"))
    assert answer["verdict"] == answer["squeeze"]["verdict"] == "marginal"
    assert answer["squeeze"]["nominal_percent"] == "21.7680000"
    assert answer["squeeze"]["least_percent"] == "19.1818182"
    assert answer["squeeze"]["allowed_least_percent"] == "20.0000000"
    assert answer["cord_plus_minus"] == {"value": "0.0800000000", "unit": "mm"}
    assert [cord["value"] for cord in answer["cords_that_fit"]] == ["2.62000000", "2.65000000"]
    assert answer["stretch"] is None
    assert answer["fill"] is None


def test_stretch_and_fill_are_judged_where_their_sizes_are_given(shop):
    answer = judge(
        shop,
        cord=size("0.103", "in"),
        groove_depth=size("1.9558"),
        groove_width=size("3.6", plus_minus="0.1"),
        groove_diameter=size("26"),
        ring_inside=size("24.99"),
    )
    assert answer["verdict"] == "fits"
    assert float(answer["stretch"]["nominal_percent"]) == pytest.approx(4.04, abs=0.01)
    assert float(answer["fill"]["nominal_percent"]) == pytest.approx(76.3, abs=0.1)
    installed = float(answer["installed_squeeze_percent"])
    assert installed < float(answer["squeeze"]["nominal_percent"])


def test_own_limits_and_motion_change_the_verdict(shop):
    body = {"cord": size("2.62"), "groove_depth": size("1.9558")}
    assert judge(shop, **body, motion="moving")["verdict"] == "does not fit"
    own = {"squeeze_least_percent": "10", "squeeze_most_percent": "25"}
    assert judge(shop, **body, **own)["verdict"] == "does not fit"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"groove_depth": size("2", "N")}, "/groove_depth/unit"),
        ({"cord": size("0")}, "/cord"),
        ({"cord": size("2.5", plus_minus="2")}, "/cord"),
        ({"groove_width": size("9999999")}, "/groove_width"),
        ({"squeeze_least_percent": "40"}, "/squeeze_least_percent"),
        ({"stretch_most_percent": "0.5"}, "/stretch_least_percent"),
        ({"fill_most_percent": "101"}, "/fill_most_percent"),
        ({"motion": "sliding"}, "/motion"),
    ],
)
def test_what_cannot_be_is_refused_at_its_member(shop, change, pointer):
    body = {"cord": size("2.5"), "groove_depth": size("2"), **change}
    assert error_of(shop.call("POST", GROOVE, json=body), pointer)


def test_materials_come_best_first_with_reasons_and_cautions(shop):
    answer = rate(shop, fluid="Engine Oil", temperature="194 °F").json()
    assert answer["fluid"] == "mineral oil"
    assert float(answer["temperature"]["value"]) == pytest.approx(90)
    ratings = [item["rating"] for item in answer["items"]]
    order = ["suitable", "limited", "unknown", "unsuitable"]
    assert ratings == sorted(ratings, key=order.index)
    epdm = next(item for item in answer["items"] if item["material"] == "EPDM")
    assert epdm["rating"] == "unsuitable"
    assert epdm["hottest_in_fluid"] is None
    assert "destroys it" in epdm["reasons"][0]
    assert {item["basis"] for item in answer["items"]} == {"common-practice"}
    assert any("licensed practice" in caution for caution in answer["cautions"])


def test_no_temperature_is_taken_as_none_and_said(shop):
    answer = rate(shop, fluid="DOT 4").json()
    assert answer["temperature"] is None
    assert "brakes" in answer["cautions"][0].lower()
    assert "No temperature was given: mind the limits." in answer["cautions"]


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ({"fluid": "brake fluid"}, "/fluid", "ambiguous"),
        ({"fluid": "treacle"}, "/fluid", "fluid-unknown"),
        ({"fluid": "x" * 5000}, "/fluid", "fluid-unknown"),
        ({"fluid": "air", "temperature": "warm"}, "/temperature", None),
        ({"fluid": "air", "temperature": "9999"}, "/temperature", "out-of-range"),
        ({"fluid": "air", "temperature": "22 ft-lb"}, "/temperature", None),
    ],
)
def test_what_is_not_understood_is_refused(shop, query, pointer, code):
    error = error_of(rate(shop, **query), pointer)
    assert code in {None, error["code"]}


def test_a_word_of_several_fluids_offers_them(shop):
    error = error_of(rate(shop, fluid="brake fluid"), "/fluid")
    assert error["readings"] == [
        "glycol brake fluid",
        "silicone brake fluid",
        "mineral brake fluid",
    ]
