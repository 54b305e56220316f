"""GET /v1/identifications/..: what was measured in the address, sizes with probabilities out."""

from decimal import Decimal

import pytest

from shared.interchange.identification.kinds import KINDS
from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(shop, kind, **query):
    return shop.call("GET", f"/identifications/{kind}", params=query)


def found(shop, kind, **query):
    answer = ask(shop, kind, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def names(answer):
    return [one["designation"] for one in answer["items"]]


def test_a_ball_bearing_is_named_with_its_sizes_and_the_doubt_that_was_stated(shop):
    answer = found(shop, "ball-bearings", bore="20", outside="47", width="14", plus_minus="0.05")
    first = answer["items"][0]
    assert first["designation"] == "6204"
    assert first["standard"] == "ISO 15"
    assert first["sizes"]["outside"] == {"value": "47.0000000", "unit": "mm"}
    assert answer["measured"]["bore"] == {
        "value": {"value": "20.0000000", "unit": "mm"},
        "doubt": "rectangular",
        "width": {"value": "0.0500000000", "unit": "mm"},
    }
    assert "Figures without a unit are in mm." in answer["assumptions"]
    assert any("necessary, not sufficient" in one for one in answer["advice"])


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.path)
def test_the_probabilities_add_up_for_every_kind_and_every_dimension_alone(shop, kind):
    for name in kind.dimensions:
        choices = {"internal": "true"} if name == "minor" else {}
        query = {name: kind.examples[name], "limit": "3", **choices}
        answer = found(shop, kind.path, **query)
        shares = [one["probability"] for one in answer["items"]]
        shares += [answer["others"], answer["none_of_these"]]
        assert sum(map(Decimal, shares)) == pytest.approx(1, abs=1e-7)
        assert len(answer["items"]) <= 3
        assert answer["assumptions"]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.path)
def test_the_readings_of_the_examples_are_found(shop, kind):
    measured = {
        name: kind.examples[name]
        for name in kind.dimensions
        if (kind.path, name) not in {("threads", "minor"), ("retaining-rings", "free")}
    }
    answer = found(shop, kind.path, **measured)
    assert answer["items"]
    assert Decimal(answer["none_of_these"]) < Decimal("0.05")


def test_inches_fractions_and_commas_are_read_as_the_trade_writes_them(shop):
    inches = found(shop, "ball-bearings", bore="3/4", unit="in", plus_minus=".002")
    spelt = found(shop, "ball-bearings", bore='3/4"', plus_minus="0.002 in")
    comma = found(shop, "ball-bearings", bore="19,05", plus_minus="0,0508")
    assert inches["items"] == spelt["items"] == comma["items"]
    assert inches["measured"] == spelt["measured"] == comma["measured"]


def test_a_bare_fraction_without_a_unit_is_asked_about(shop):
    error = error_of(ask(shop, "ball-bearings", bore="3/4"), "/bore")
    assert error["code"] == "ambiguous"
    assert error["readings"] == ["3/4 in", "3/4 mm"]


def test_a_bare_doubt_beside_a_reading_in_inches_is_asked_about(shop):
    error = error_of(ask(shop, "ball-bearings", bore="0.75 in", plus_minus="0.002"), "/plus_minus")
    assert error["code"] == "ambiguous"


def test_one_dimension_may_have_a_doubt_of_its_own(shop):
    answer = found(
        shop,
        "ball-bearings",
        bore="20",
        width="14",
        plus_minus="0.1",
        width_standard_uncertainty="0.2",
    )
    assert answer["measured"]["bore"]["doubt"] == "rectangular"
    assert answer["measured"]["width"]["doubt"] == "normal"
    assert answer["measured"]["width"]["width"]["value"] == "0.200000000"


def test_no_doubt_stated_is_a_calipers_and_said(shop):
    answer = found(shop, "keys", width="8", height="7", state="new")
    assert answer["measured"]["width"]["doubt"] == "normal"
    assert any("caliper" in one and "width, height" in one for one in answer["assumptions"])


def test_a_part_of_no_standard_size_is_none_of_these(shop):
    answer = found(shop, "ball-bearings", bore="20.4", outside="47", width="14", plus_minus="0.05")
    assert answer["items"] == []
    assert Decimal(answer["none_of_these"]) == 1
    assert any("measure again" in one for one in answer["advice"])


def test_rubber_is_measured_less_surely_than_steel(shop):
    answer = found(shop, "o-rings", inside="25", section="3.5")
    assert float(answer["measured"]["section"]["width"]["value"]) == 0.05
    assert float(answer["measured"]["inside"]["width"]["value"]) == 0.1
    assert any("soft rubber" in one for one in answer["assumptions"])


def test_inch_sizes_that_no_table_holds_are_remarked_upon(shop):
    answer = found(shop, "shaft-seals", shaft="25.40", housing="44.45", width="6.35")
    assert float(answer["none_of_these"]) > 0.99
    assert any("25.400 mm is 1 in, 44.450 mm is 1 3/4 in" in one for one in answer["advice"])
    metric = found(shop, "shaft-seals", shaft="25", housing="47", width="7")
    assert not any("inch sizes" in one for one in metric["advice"])


def test_a_stamp_that_contradicts_the_bore_is_told(shop):
    answer = found(shop, "ball-bearings", bore="0.75", unit="in", stamped="6203UL")
    assert "contradict" in answer["advice"][0]
    assert "17 x 40 x 12" in answer["advice"][0]


def test_turns_per_inch_stand_for_the_pitch(shop):
    by_turns = found(shop, "threads", major="1/4 in", tpi="20")
    assert set(names(by_turns)) <= {"1/4-20 UNC", "1/4-20 BSW"}
    assert by_turns["measured"]["pitch"]["value"]["value"] == "1.27000000"
    both = ask(shop, "threads", major="6.3", pitch="1", tpi="26")
    assert error_of(both, "/tpi")["code"] == "not-together"


def test_a_bare_pitch_beside_inches_is_asked_about(shop):
    error = error_of(ask(shop, "threads", major="1/4", unit="in", pitch="1.27"), "/pitch")
    assert error["readings"] == ["1.27 mm", "1.27 in", "tpi=1.27"]
    answer = found(shop, "threads", major="1/4", unit="in", pitch="1.27 mm")
    assert "1/4-20 UNC" in names(answer)


def test_the_doubt_of_the_diameter_is_not_that_of_the_pitch(shop):
    answer = found(shop, "threads", major="6.30", pitch="1.0", plus_minus="0.005", state="used")
    assert answer["measured"]["pitch"]["width"]["value"] == "0.0250000000"
    assert names(answer)[0] in {"1/4-26 BSF", "1/4-26 BSC"}


def test_the_bore_of_a_nut_is_its_own_question(shop):
    assert (
        names(found(shop, "threads", minor="6.75", pitch="1.25", internal="true"))[0] == "M8x1.25"
    )
    assert error_of(ask(shop, "threads", major="8", internal="true"), "/major")
    by_minor = names(found(shop, "threads", minor="6.75", pitch="1.25"))
    assert by_minor[0] == "M8x1.25"
    assert error_of(ask(shop, "threads", major="8", minor="6.75"), "/minor")


def test_a_ring_may_be_told_to_sit_on_a_shaft(shop):
    both = found(shop, "retaining-rings", diameter="25")
    shaft = found(shop, "retaining-rings", diameter="25", fits="shaft")
    assert {one["standard"] for one in both["items"]} == {"DIN 471", "DIN 472"}
    assert {one["standard"] for one in shaft["items"]} == {"DIN 471"}


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ({}, "/bore", "missing"),
        ({"bore": "nan"}, "/bore", "number"),
        ({"bore": "1e400"}, "/bore", None),
        ({"bore": "0"}, "/bore", "out-of-range"),
        ({"bore": "-20"}, "/bore", "out-of-range"),
        ({"bore": "20000"}, "/bore", "out-of-range"),
        ({"bore": "M8"}, "/bore", "designation"),
        ({"bore": "20 kg"}, "/bore", "unit-wrong-dimension"),
        ({"bore": "20-30"}, "/bore", None),
        ({"bore": "20 ± 0.1 mm"}, "/bore", None),
        ({"bore": "２０"}, "/bore", None),
        ({"bore": "9" * 150}, "/bore", None),
        ({"bore": "20", "plus_minus": "0"}, "/plus_minus", "out-of-range"),
        ({"bore": "20", "plus_minus": "x"}, "/plus_minus", None),
        (
            {"bore": "20", "plus_minus": "0.1", "standard_uncertainty": "0.1"},
            "/plus_minus",
            "not-together",
        ),
        (
            {"bore": "20", "bore_plus_minus": "1", "bore_standard_uncertainty": "1"},
            "/bore_plus_minus",
            "not-together",
        ),
        ({"bore": "20", "unit": "N"}, "/unit", "unit-unknown"),
        ({"bore": "20", "unit": "furlong"}, "/unit", "unit-unknown"),
        ({"bore": "20", "state": "old"}, "/state", "not-listed"),
        ({"bore": "20", "limit": "11"}, "/limit", "out-of-range"),
    ],
)
def test_what_cannot_be_read_is_refused_by_its_name(shop, query, pointer, code):
    error = error_of(ask(shop, "ball-bearings", **query), pointer)
    assert code is None or error["code"] == code


@pytest.mark.parametrize("tpi", ["0", "1e3", "x", "26/27", "-26", "9" * 50, "nan"])
def test_turns_per_inch_are_a_plain_number(shop, tpi):
    assert error_of(ask(shop, "threads", major="6.3", tpi=tpi), "/tpi")


def test_strange_stamps_do_no_harm(shop):
    for stamp in ("x" * 200, "6203\N{SNOWMAN}", "Ω", "6203-" * 20, "(((("):
        answer = ask(shop, "ball-bearings", bore="20", stamped=stamp, described=stamp)
        assert answer.status_code in {200, 422}


def test_look_ups_need_a_key_and_know_their_parameters(shop, client):
    assert client.get("/v1/identifications/keys", params={"width": "8"}).status_code == 401
    assert ask(shop, "keys", widht="8").json()["nearest"] == "width"
    assert ask(shop, "gears", bore="8").status_code == 404
