"""GET /v1/quantities and GET /v1/unit-codes."""

import re

import pytest

from shared.quantities import UNIT_CODES
from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(shop, text):
    return shop.call("GET", "/quantities", params={"text": text})


def test_a_torque_is_answered_canonical_and_in_both_prints(shop):
    answer = ask(shop, "22 ft-lb")
    assert answer.status_code == 200
    assert answer.json() == {
        "text": "22 ft-lb",
        "kind": "torque",
        "value": {"value": "29.8280", "unit": "N·m"},
        "lower": None,
        "upper": None,
        "then": [],
        "metric": "29.8 N·m",
        "customary": "22 ft-lb",
        "stated_twins": [],
        "needs_checking": False,
        "notes": [],
    }


def test_a_range_gives_its_ends(shop):
    answer = ask(shop, "0,05-0,10 mm").json()
    assert answer["lower"] == {"value": "0.0500000", "unit": "mm"}
    assert answer["upper"] == {"value": "0.100000", "unit": "mm"}


@pytest.mark.parametrize("text", ["1 in", "5/16 in", "1500 rpm", "13 µm", "30 s", "68 °F", "4 gal"])
def test_numbers_leave_with_six_significant_digits_or_more(shop, text):
    value = ask(shop, text).json()["value"]["value"]
    assert re.fullmatch(r"-?[0-9]+(\.[0-9]{1,12})?", value)
    assert len(value.lstrip("-0.").replace(".", "")) >= 6


def test_two_meanings_are_a_422_with_the_readings(shop):
    answer = ask(shop, "25 nm")
    error = error_of(answer, "/text")
    assert error["code"] == "ambiguous"
    assert error["readings"] == [
        "25 N·m (newton metre, a torque)",
        "25 nm (nanometre, a length)",
    ]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("25 mmm", "unit-unknown"),
        ("25 N·m (3 mm)", "unit-wrong-dimension"),
        ("M8x1.25", "designation"),
        ("9**9**9", "not-understood"),
        ("nan mm", "number"),
        ("1e400 m", "number-size"),
        ("２５ mm", "text-characters"),
        ("5" * 201, "text-characters"),
        ("(" * 1900, "text-characters"),
    ],
)
def test_what_is_not_understood_is_a_422_at_the_text(shop, text, code):
    answer = ask(shop, text)
    assert error_of(answer, "/text")["code"] == code


def test_a_missing_text_is_named(shop):
    answer = shop.call("GET", "/quantities")
    assert error_of(answer, "/text")["code"] == "missing"


def test_a_plus_sign_lost_on_the_way_is_offered_again(shop):
    answer = shop.call("GET", "/quantities?text=20%20N%C2%B7m+90%C2%B0")
    assert error_of(answer, "/text")["readings"] == ["20 N·m + 90°"]


def test_every_unit_code_is_listed_with_its_factor(shop):
    items = shop.call("GET", "/unit-codes").json()["items"]
    assert {item["code"]: item["kind"] for item in items} == dict(UNIT_CODES)
    factors = {item["code"]: item["factor_or_note"] for item in items}
    assert factors["mm"] == "1"
    assert factors["in"] == "25.4"
    assert factors["ft-lb"] == "1.3558179483314"
    assert factors["°F"] == "(value - 32) / 1.8"


def test_look_ups_need_a_key(client):
    assert client.get("/v1/quantities", params={"text": "22 ft-lb"}).status_code == 401
    assert client.get("/v1/unit-codes").status_code == 401
