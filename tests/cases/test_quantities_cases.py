"""Situations from the trade: what stands in manuals and data files, read over HTTP.

Sources: public: library issue trackers (mixed fractions, torque strings); public: car, motorcycle
and outboard service manuals (ranges and twins as printed). In some of the strings the figures are
filled in on the source's rule.
"""

import pytest
from litestar import Litestar, Router
from litestar.testing import TestClient

from api.errors import answer_problem
from api.routes.quantities import ROUTES


@pytest.fixture(scope="module")
def client():
    routes = [Router("/v1", route_handlers=ROUTES)]
    app = Litestar(routes, exception_handlers={Exception: answer_problem}, openapi_config=None)
    with TestClient(app) as found:
        yield found


def ask(client, text):
    return client.get("/v1/quantities", params={"text": text})


def read(client, text):
    answer = ask(client, text)
    assert answer.status_code == 200, answer.text
    return answer.json()


def question(client, text):
    answer = ask(client, text)
    assert answer.status_code == 422, answer.text
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/text"
    return error


def millimetres(client, text):
    return float(read(client, text)["value"]["value"])


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("2 1/2 in", 2.5),
        ("2-1/2 in", 2.5),
        ('1 3/8"', 1.375),
        ("5' 3/4\"", 60.75),
        ("a 1/4 inch gap", 0.25),
        ("10 3/8 IN.", 10.375),
        ('1½"', 1.5),
    ],
)
def test_mixed_fractions_of_an_inch_are_sums(client, text, inches):
    assert millimetres(client, text) == pytest.approx(inches * 25.4, abs=1e-9)


def test_a_fraction_without_a_unit_is_asked_about(client):
    error = question(client, "3/4")
    assert error["code"] == "ambiguous"
    assert "3/4 in" in error["readings"]


@pytest.mark.parametrize(
    ("text", "newton_metres"),
    [
        ("12 Nm", 12.0),
        ("25 ft-lb", 33.9),
        ("25 lb-ft", 33.9),
        ("25 ft lb", 33.9),
        ("70 in-lb", 7.91),
        ("9.4 kgf·m", 92.18),
        ("1.8 kg-m", 17.65),
        ("1.8 m-kg", 17.65),
        ("30 Ncm", 0.3),
        ("12,5 ft/lbs", 16.95),
        ("48,5 Nm", 48.5),
    ],
)
def test_torques_as_the_trade_writes_them_are_torques(client, text, newton_metres):
    reading = read(client, text)
    assert reading["kind"] == "torque"
    assert reading["value"]["unit"] == "N·m"
    assert float(reading["value"]["value"]) == pytest.approx(newton_metres, abs=0.006)


def test_a_dash_between_two_figures_is_a_range(client):
    reading = read(client, "0.30 – 0.40 mm")
    assert reading["value"] is None
    assert float(reading["lower"]["value"]) == 0.30
    assert float(reading["upper"]["value"]) == 0.40


def test_a_slip_in_the_twin_of_a_range_is_pointed_out(client):
    reading = read(client, "0.04−0.10 mm (0.016−0.0039 in.)")
    assert (float(reading["lower"]["value"]), float(reading["upper"]["value"])) == (0.04, 0.10)
    assert reading["needs_checking"]
    (twin,) = reading["stated_twins"]
    lower, upper = twin["bounds"]
    assert (lower["printed"], lower["expected"]) == ("0.016", "0.0016")
    assert lower["status"] == "contradiction"
    assert (upper["expected"], upper["status"]) == ("0.0039", "agrees")


def test_a_good_twin_of_a_range_agrees(client):
    reading = read(client, "0.04−0.10 mm (0.0016−0.0039 in.)")
    assert [twin["status"] for twin in reading["stated_twins"]] == ["agrees"]
    assert not reading["needs_checking"]


def test_a_range_upside_down_is_not_swapped_silently(client):
    for text in ("31.770-31.755", "31.770-31.755 mm"):
        error = question(client, text)
        assert "upside down" in error["detail"]
        assert any("exchanged" in reading for reading in error["readings"])
        assert any("misprinted" in reading for reading in error["readings"])


def test_a_bracket_that_a_scanner_read_as_one_is_offered_as_a_bracket(client):
    error = question(client, "0.01 mm 10.0004 inch)")
    assert error["readings"] == ["0.01 mm (0.0004 inch)"]
    offered = read(client, error["readings"][0])
    assert [twin["status"] for twin in offered["stated_twins"]] == ["agrees"]


@pytest.mark.parametrize(
    ("torque", "kilogram_force", "foot_pounds", "kgf_percent", "lb_percent"),
    [
        ("94", "9.4", "69.3", -1.9, -0.0),
        ("143", "14.3", "105.5", -1.9, 0.0),
        ("18", "1.8", "13.0", -1.9, -2.1),
        ("36", "3.6", "27", -1.9, 1.7),
        ("125", "12.7", "92", -0.4, -0.2),
    ],
)
def test_three_units_side_by_side_differ_by_honest_rounding(
    client, torque, kilogram_force, foot_pounds, kgf_percent, lb_percent
):
    reading = read(client, f"{torque} N·m ({kilogram_force} kgf·m, {foot_pounds} lbf·ft)")
    assert float(reading["value"]["value"]) == float(torque)
    assert not reading["needs_checking"]
    differences = [
        float(twin["bounds"][0]["difference_percent"]) for twin in reading["stated_twins"]
    ]
    assert differences == pytest.approx([kgf_percent, lb_percent], abs=0.06)
    assert {twin["status"] for twin in reading["stated_twins"]} <= {"agrees", "rounding"}


def test_a_twin_of_another_torque_is_an_error(client):
    reading = read(client, "150 N·m (185 lbf·ft)")
    (twin,) = reading["stated_twins"]
    assert twin["status"] == "contradiction"
    assert twin["bounds"][0]["expected"] == "111"
    assert float(reading["value"]["value"]) == 150


def test_a_twin_rounded_by_a_tenth_is_flagged_but_no_contradiction(client):
    reading = read(client, "1.25 N·m (10 lbf·in)")
    (twin,) = reading["stated_twins"]
    assert twin["status"] == "coarse-rounding"
    assert twin["needs_checking"]
    assert reading["needs_checking"]
    assert float(twin["bounds"][0]["difference_percent"]) == pytest.approx(-9.6, abs=0.05)
