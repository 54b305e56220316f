"""GET /v1/fasteners/equivalents, /v1/identifications/hexagon-heads, POST calculations/hardness."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored

EQUIVALENTS = "/v1/fasteners/equivalents"
HEADS = "/v1/identifications/hexagon-heads"
HARDNESS = "/calculations/hardness"


def get(client, headers, path, **query):
    return client.get(path, params=query, headers=headers)


def test_equivalents_are_listed_with_figures_and_traps(client, shop):
    answer = get(client, shop.headers, EQUIVALENTS, designation="M8x1.25x40 - 8.8")
    assert answer.status_code == 200, answer.text
    body = answer.json()
    assert (body["designation"], body["counted_class"]) == ("M8x1.25x40 8.8", "8.8")
    strong = next(item for item in body["items"] if item["property_class"] == "10.9")
    assert strong["outcome"] == "at least as strong"
    assert {figure["shortfall"] for figure in strong["figures"]} == {"0.00000000"}
    proof = strong["figures"][0]
    assert (proof["what"], proof["wanted"], proof["offered"]) == (
        "proof stress",
        "580.000000",
        "830.000000",
    )
    assert strong["traps"] and body["cautions"]


def test_a_shear_bolt_is_refused_in_the_answer(client, shop):
    answer = get(client, shop.headers, EQUIVALENTS, designation="M8x40 8.8 shear bolt")
    body = answer.json()
    assert (answer.status_code, body["items"]) == (200, [])
    assert "made to break first" in body["refusal"]


@pytest.mark.parametrize("text", ["", "no screw", "3/8", "M8x1.3", "x" * 1_000, "M8 ∞", "6205"])
def test_what_cannot_be_read_is_a_clear_refusal(client, shop, text):
    answer = get(client, shop.headers, EQUIVALENTS, designation=text)
    assert answer.status_code == 422, answer.text
    assert answer.json()["errors"][0]["pointer"] == "/designation"


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"across_flats": "wide"}, "/across_flats"),
        ({"across_flats": "9/16"}, "/across_flats"),
        ({"across_flats": "1e400"}, "/across_flats"),
        ({"across_flats": "nan"}, "/across_flats"),
        ({"across_flats": "5000"}, "/across_flats"),
        ({"across_flats": "14", "plus_minus": "5"}, "/plus_minus"),
        ({"across_flats": "14", "major": "0"}, "/major"),
        ({"across_flats": "14", "unit": "kg"}, None),
        ({"major": "10"}, "/across_flats"),
    ],
)
def test_a_width_that_is_none_is_refused_with_its_place(client, shop, query, pointer):
    answer = get(client, shop.headers, HEADS, **query)
    assert answer.status_code == 422, answer.text
    if pointer is not None:
        assert answer.json()["errors"][0]["pointer"] == pointer


def test_a_width_in_inches_finds_inch_heads(client, shop):
    body = get(client, shop.headers, HEADS, across_flats="9/16 in", plus_minus="0.2 mm").json()
    assert body["items"][0]["size"] == "3/8"
    assert "doubt" not in " ".join(body["assumptions"])


def test_a_hardness_comes_with_its_band_and_limits(shop):
    answer = shop.call("POST", HARDNESS, json={"value": "32", "scale": "HRC", "to": "HV"})
    body = answer.json()
    assert answer.status_code == 200, answer.text
    assert float(body["least"]) < 318.4 < float(body["most"])
    assert any("case-hardened" in caution for caution in body["cautions"])


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"value": "15", "scale": "HRC", "to": "HV"}, "/value"),
        ({"value": "100", "scale": "HV", "to": "HRC"}, "/to"),
        ({"value": "300", "scale": "HV", "to": "HV"}, "/to"),
        ({"value": "NaN", "scale": "HV", "to": "HRC"}, "/value"),
        ({"value": "300", "scale": "HRA", "to": "HV"}, "/scale"),
    ],
)
def test_no_hardness_is_converted_beyond_the_table(shop, body, pointer):
    answer = shop.call("POST", HARDNESS, json=body)
    assert answer.status_code == 422
    assert error_of(answer, pointer)
