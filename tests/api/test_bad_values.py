"""Values that cannot be are refused, each with its pointer, what was seen, and the mend."""

import json
from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, money

BAD_TEXT: dict[str, tuple[Any, str]] = {
    "NUL": ("a\x00b", "text-character"),
    "right-to-left override": ("a\u202eb", "text-character"),
    "zero-width space": ("a\u200bb", "text-character"),
    "escape": ("\x1b[31m", "text-character"),
    "carriage return": ("a\rb", "text-character"),
    "combining marks": ("a" + "\u0301" * 10_000, "text-length"),
    "one too many": ("x" * 201, "text-length"),
    "very long": ("x" * 1_000_000, "text-length"),
    "only blanks": (" \t\n ", "text-blank"),
    "empty": ("", "text-blank"),
    "a number": (7, "text-type"),
    "true": (True, "text-type"),
    "an array": (["x"], "text-type"),
}


@pytest.mark.parametrize("what", BAD_TEXT)
def test_text_that_cannot_be_is_refused(shop: Shop, what: str) -> None:
    value, code = BAD_TEXT[what]
    assert error_of(shop.post("/suppliers", bodies.supplier(name=value)), "/name")["code"] == code
    assert shop.get("/suppliers").json()["items"] == []


def test_half_a_character_is_refused(shop: Shop) -> None:
    body = b'{"name": "a\\ud800", "freight": {"amount": "1.00", "currency": "EUR"}}'
    assert error_of(shop.raw("/suppliers", body), "/name")["code"] == "text-character"


@pytest.mark.parametrize(
    "text",
    [
        "../../etc/passwd",
        "%00",
        "'; DROP TABLE units; --",
        "{{7*7}}",
        "{detail}",
        "<svg onload=alert(1)>",
        "=1+1",
        "two\nlines\tand a tab",
        "Werkstätte Größe ½",
        "x" * 200,
    ],
)
def test_strange_but_honest_text_is_stored_as_it_is(shop: Shop, text: str) -> None:
    stored = shop.get(f"/suppliers/{shop.make('/suppliers', bodies.supplier(name=text))}")
    assert stored.json()["name"] == text
    assert stored.headers["content-type"] == "application/json"


def test_text_is_stored_in_one_normal_form(shop: Shop) -> None:
    made = shop.make("/suppliers", bodies.supplier(name="Zoe\u0308"))
    assert shop.get(f"/suppliers/{made}").json()["name"] == "Zo\u00eb"


BAD_DECIMALS: list[Any] = [
    9.5,
    9,
    True,
    "NaN",
    "Infinity",
    "-0",
    "-0.00",
    "1e3",
    "1E+999999999999999999",
    "12345678901234567890123",
    "1_0",
    "+1",
    "1,5",
    "1.",
    ".5",
    "01",
    " 1",
    "1 ",
    "1\n",
    "\uff11",
    "\u0661",
    "1.0000000",
    "9" * 100_000,
    "",
    [],
    {},
]


@pytest.mark.parametrize("value", BAD_DECIMALS, ids=lambda value: str(value)[:30])
def test_what_is_no_decimal_is_refused(shop: Shop, value: Any) -> None:
    answer = shop.post("/suppliers", bodies.supplier(freight={"amount": value, "currency": "EUR"}))
    assert error_of(answer, "/freight/amount")["code"] == "decimal-format"


def test_a_number_where_a_decimal_is_due_is_told_to_go_in_quotes(shop: Shop) -> None:
    body = bodies.supplier(freight={"amount": 184.5, "currency": "EUR"})
    error = error_of(shop.post("/suppliers", body), "/freight/amount")
    assert error["detail"] == 'Got the number 184.5; send decimals as text, such as "184.50".'
    assert error["fix"] == "Put the number in quotes."


@pytest.mark.parametrize(
    ("amount", "currency", "pointer", "code"),
    [
        ("-1.00", "EUR", "/freight/amount", "out-of-range"),
        ("1.005", "EUR", "/freight/amount", "money-digits"),
        ("1.5", "JPY", "/freight/amount", "money-digits"),
        ("10000000.01", "EUR", "/freight/amount", "out-of-range"),
        ("1000000001", "JPY", "/freight/amount", "out-of-range"),
        ("999999999999999", "KWD", "/freight/amount", "out-of-range"),
        ("1.00", "eur", "/freight/currency", "currency-format"),
        ("1.00", "EURO", "/freight/currency", "currency-format"),
        ("1.00", "E\u0055R\n", "/freight/currency", "currency-format"),
    ],
)
def test_money_that_cannot_be_is_refused(
    shop: Shop, amount: str, currency: str, pointer: str, code: str
) -> None:
    answer = shop.post("/suppliers", bodies.supplier(freight=money(amount, currency)))
    assert error_of(answer, pointer)["code"] == code


def test_money_leaves_with_the_digits_of_its_currency(shop: Shop) -> None:
    made = shop.make("/suppliers", bodies.supplier(freight=money("9.5")))
    assert shop.get(f"/suppliers/{made}").json()["freight"] == money("9.50")


@pytest.mark.parametrize("value", [0, -1, 2**53, 2**63, 10**22, 1.0, "1", True, 10**4000])
def test_what_is_no_quantity_of_pieces_is_refused(shop: Shop, value: Any) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    body = {"assembly_id": assembly, "name": "Bolt", "quantity": value}
    assert error_of(shop.post("/positions", body), "/quantity")


@pytest.mark.parametrize("value", ["true", 1, 0, "yes", []])
def test_only_true_and_false_are_flags(shop: Shop, value: Any) -> None:
    body = {"assembly_id": "asm_1", "name": "Bolt", "is_safety_critical": value}
    assert error_of(shop.post("/positions", body), "/is_safety_critical")["code"] == "boolean-type"


BAD_UNITS = [
    "mmm",
    "MM",
    "9**9**9",
    "m**9999999",
    "nan mm",
    "m;m",
    "(" * 3000,
    "a" * 10_000,
    "Nm2/s2",
    "",
    7,
    None,
    "\u212b",
]


@pytest.mark.parametrize("unit", BAD_UNITS, ids=lambda unit: str(unit)[:20])
def test_an_unknown_unit_is_refused(shop: Shop, unit: Any) -> None:
    body = bodies.finding("unt_1", "pos_1", "chr_1", measured={"value": "1", "unit": unit})
    assert error_of(shop.post("/findings", body), "/measured/unit")


def test_a_temperature_in_a_unit_of_length_is_refused(shop: Shop) -> None:
    body = bodies.finding("unt_1", "pos_1", "chr_1", part_temperature={"value": "21", "unit": "mm"})
    error = error_of(shop.post("/findings", body), "/part_temperature/unit")
    assert error["code"] == "unit-wrong-dimension"


@pytest.mark.parametrize(
    ("doubt", "pointer"),
    [
        ({"standard_uncertainty": "0.1", "plus_minus": "0.1"}, "/measured/plus_minus"),
        ({"standard_uncertainty": "-0.1"}, "/measured/standard_uncertainty"),
        ({"plus_minus": "0"}, "/measured/plus_minus"),
        ({"coverage_factor": "2"}, "/measured/coverage_factor"),
    ],
)
def test_doubt_that_contradicts_itself_is_refused(
    shop: Shop, doubt: dict[str, str], pointer: str
) -> None:
    measured = {"value": "1", "unit": "mm", **doubt}
    body = bodies.finding("unt_1", "pos_1", "chr_1", measured=measured)
    assert error_of(shop.post("/findings", body), pointer)


BAD_TIMES = [
    "2031-03-04T09:15:00",
    "2031-03-04",
    "2031-02-30T09:15:00Z",
    "2031-03-04T24:00:00Z",
    "2031-03-04T09:15:60Z",
    "2031-03-04T09:15:00+24:00",
    "2031-03-04T09:15:00-24:00",
    "2031-03-04T09:15:00+00:60",
    "2031-03-04 09:15:00Z",
    "0000-03-04T09:15:00Z",
    "0001-01-01T00:00:00+23:00",
    "9999-12-31T23:59:59-23:00",
    "10000-03-04T09:15:00Z",
    "2031-03-04T09:15:00.1234567Z",
    "2031-3-4T9:15:00Z",
    "\u0662031-03-04T09:15:00Z",
    1930435200,
    "yesterday",
    "",
]


@pytest.mark.parametrize("value", BAD_TIMES, ids=str)
def test_what_is_no_moment_is_refused(shop: Shop, value: Any) -> None:
    body = bodies.finding("unt_1", "pos_1", "chr_1", found_at=value)
    assert error_of(shop.post("/findings", body), "/found_at")["code"] == "date-time-format"


@pytest.mark.parametrize(
    "value", ["2031-02-30", "2031-3-4", "20310304", "0000-01-01", "2200-01-01", 20310304, "", "x"]
)
def test_what_is_no_day_is_refused(shop: Shop, value: Any) -> None:
    body = {"unit_id": "unt_1", "complaint": "Noisy.", "required_by_on": value}
    assert error_of(shop.post("/jobs", body), "/required_by_on")["code"] == "date-format"


@pytest.mark.parametrize("value", ["", "../etc", "a b", "x" * 65, "x" * 10_000, 7, "\u0430sm_1"])
def test_what_is_no_id_is_refused(shop: Shop, value: Any) -> None:
    answer = shop.post("/jobs", {"unit_id": value, "complaint": "Noisy."})
    assert error_of(answer, "/unit_id")["code"] == "id-format"


@pytest.mark.parametrize("value", ["Sold", "sold ", "", 1, [], {}, True])
def test_a_word_that_is_not_listed_is_refused(shop: Shop, value: Any) -> None:
    body = {"assembly_id": "asm_1", "name": "Bolt", "maker_supply": value}
    error = error_of(shop.post("/positions", body), "/maker_supply")
    assert error["code"] == "not-listed"
    assert "whole-only" in error["fix"]


@pytest.mark.parametrize(
    ("path", "body", "pointer"),
    [
        ("/jobs", {"unit_id": "a\ud800", "complaint": "Noisy."}, "/unit_id"),
        ("/suppliers", {"name": "x", "freight": money("1", "\ud800")}, "/freight/currency"),
        ("/shop-settings", {"calendar": {"timezone": "\udc00"}}, "/calendar/timezone"),
        ("/units", {"assembly_id": "asm_1", "kind": "\ud800"}, "/kind"),
    ],
)
def test_half_a_character_is_refused_where_a_code_is_due(
    shop: Shop, path: str, body: dict[str, Any], pointer: str
) -> None:
    assert error_of(shop.raw(path, json.dumps(body).encode()), pointer)
