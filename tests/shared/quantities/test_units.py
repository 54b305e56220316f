"""Unit codes, exact conversion, and what a quantity may say of its doubt."""

from decimal import Decimal
from itertools import product

import pytest

from shared.errors import InvalidInput, UnknownUnit, WrongDimension
from shared.quantities import (
    CANONICAL_UNITS,
    UNIT_CODES,
    Quantity,
    canonical,
    check_quantity,
    convert,
    kind_of,
    same_dimension,
    standard_uncertainty,
)
from shared.standards import table


def quantity(value="31.42", unit="mm", **doubt):
    return Quantity(Decimal(value), unit, **{name: Decimal(text) for name, text in doubt.items()})


def test_every_kind_has_its_canonical_unit_on_the_list():
    assert {UNIT_CODES[unit] for unit in CANONICAL_UNITS.values()} == set(CANONICAL_UNITS)
    assert set(UNIT_CODES.values()) == set(CANONICAL_UNITS)


def test_every_row_of_the_tables_names_its_source():
    for name in ("units", "unit_spellings"):
        assert all(row["source"] for row in table(name))


def test_every_spelling_stands_for_a_code_or_a_question():
    for row in table("unit_spellings"):
        assert row["code"] in UNIT_CODES or (not row["code"] and "|" in row["readings"]), row


def test_every_code_converts_to_every_code_of_its_kind_and_back():
    for code, other in product(UNIT_CODES, repeat=2):
        if same_dimension(kind_of(code), kind_of(other)):
            there = convert(Decimal("12.5"), code, other)
            assert abs(convert(there, other, code) - Decimal("12.5")) < Decimal("1e-20")
        else:
            with pytest.raises(WrongDimension):
                convert(Decimal(1), code, other)


@pytest.mark.parametrize(
    ("value", "code", "other", "exactly"),
    [
        ("0.3125", "in", "mm", "7.9375"),
        ("9.4", "kgf·m", "N·m", "92.18251"),
        ("68", "°F", "°C", "20"),
        ("-40", "°F", "°C", "-40"),
        ("18", "Δ°F", "K", "10"),
        ("1", "gal", "L", "3.785411784"),
        ("8", "thou", "mm", "0.2032"),
        ("1500", "1/min", "1/s", "25"),
        ("120", "N/mm2", "kPa", "120000"),
    ],
)
def test_conversion_is_exact_where_the_factor_is(value, code, other, exactly):
    assert convert(Decimal(value), code, other) == Decimal(exactly)


@pytest.mark.parametrize(
    ("asked", "offered"),
    [
        ("mmm", "mm"),
        ("MM", "mm"),
        ("ft-lbs", "ft-lb"),
        ("kpa", "kPa"),
        ("Nm", "N·m"),
        ("ft. lbs", "ft-lb"),
    ],
)
def test_an_unknown_code_is_refused_with_the_nearest(asked, offered):
    with pytest.raises(UnknownUnit) as refused:
        kind_of(asked)
    assert refused.value.pointer == "/unit"
    assert f"did you mean '{offered}'?" in refused.value.detail


@pytest.mark.parametrize("asked", ["", "9**9**9", "m**9999999", "m;m", "(" * 3000, "x" * 10_000])
def test_text_that_is_no_code_is_refused_at_once_and_not_echoed_at_length(asked):
    with pytest.raises(UnknownUnit) as refused:
        kind_of(asked)
    assert len(refused.value.detail) < 120


def test_a_unit_of_another_kind_is_refused_by_name():
    with pytest.raises(WrongDimension) as refused:
        check_quantity(quantity(unit="N·m"), "length", "/measured")
    assert refused.value.pointer == "/measured/unit"
    assert "torque" in refused.value.detail


def test_a_temperature_is_no_temperature_difference():
    with pytest.raises(WrongDimension):
        canonical(quantity("10", "°C"), "temperature-difference")


def test_strength_may_be_given_as_a_pressure_and_the_reverse():
    assert canonical(quantity("1000", "psi"), "stress") == pytest.approx(6.894757, rel=1e-6)
    assert canonical(quantity("0.2", "MPa"), "pressure") == pytest.approx(200)


@pytest.mark.parametrize(
    ("doubt", "mm"),
    [
        ({"standard_uncertainty": "0.02"}, 0.02),
        ({"expanded_uncertainty": "0.04"}, 0.02),
        ({"expanded_uncertainty": "0.06", "coverage_factor": "3"}, 0.02),
        ({"plus_minus": "0.05"}, 0.05 / 3**0.5),
        ({"plus_minus": "0"}, 0.0),
    ],
)
def test_doubt_is_read_in_the_three_ways_of_the_gum(doubt, mm):
    assert standard_uncertainty(quantity(**doubt), "length") == pytest.approx(mm)


def test_no_doubt_stated_is_none_and_not_zero():
    assert standard_uncertainty(quantity(), "length") is None


def test_doubt_of_a_temperature_is_a_difference():
    warm = quantity("68", "°F", standard_uncertainty="9")
    assert standard_uncertainty(warm, "temperature") == pytest.approx(5)


@pytest.mark.parametrize(
    ("doubt", "pointer"),
    [
        ({"standard_uncertainty": "-0.02"}, "/standard_uncertainty"),
        ({"plus_minus": "NaN"}, "/plus_minus"),
        ({"expanded_uncertainty": "Infinity"}, "/expanded_uncertainty"),
        ({"coverage_factor": "2"}, "/coverage_factor"),
        ({"expanded_uncertainty": "0.1", "coverage_factor": "0"}, "/coverage_factor"),
        ({"standard_uncertainty": "0.1", "plus_minus": "0.1"}, "/plus_minus"),
        ({"value": "NaN"}, "/value"),
        ({"value": "-Infinity"}, "/value"),
        ({"value": "1E+999999999999999999"}, "/value"),
        ({"value": "9" * 41}, "/value"),
        ({"value": "-300", "unit": "°C"}, "/value"),
    ],
)
def test_a_quantity_that_cannot_be_is_refused_at_its_member(doubt, pointer):
    kind = "temperature" if doubt.get("unit") else "length"
    with pytest.raises(InvalidInput) as refused:
        check_quantity(quantity(**doubt), kind, "/measured")
    assert refused.value.pointer == f"/measured{pointer}"
