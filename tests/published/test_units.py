"""NIST SP 811 (2008), appendix B: factors, and how units are written in workshops.

``data/units.csv`` has a source per row: the factors from memory, confirmed there by a general unit
library; the spellings are trade usage. A factor is printed to seven digits, so computed figures
agree within half of the seventh; exact ones within 1e-9, as far as the examples are printed.
"""

import csv
from decimal import Decimal
from math import pi
from pathlib import Path

import pytest
from scipy import constants

from shared.errors import Ambiguous, InvalidInput
from shared.quantities import canonical_unit, convert, kind_of, read_text, same_dimension
from shared.quantities.spellings import _spellings

with (Path(__file__).parent / "data" / "units.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

SEVENTH_DIGIT = 5e-7
EXACT = 1e-9
ABSOLUTE_ZERO_C = 273.15

# Canonical unit -> its size in the SI unit of the table.
IN_SI = {
    "N·m": 1.0,
    "mm": 1e-3,
    "N": 1.0,
    "MPa": 1e6,
    "kPa": 1e3,
    "kg": 1.0,
    "L": 1e-3,
    "h": 3600.0,
    "1/min": 2 * pi / 60,
    "deg": pi / 180,
    "W": 1.0,
    "mm2/s": 1e-6,
}

KINDS = {
    "pressure": "pressure",
    "rotational speed": "rotational-speed",
    "kinematic viscosity": "kinematic-viscosity",
}

# In these rows the right answer is a question, or the text is no quantity at all.
ASKED = {"nm", "tenth", "3/8", "27/64", "1,200", "ton"}
DESIGNATIONS = {"thread", "fastener", "part size", "part number"}
IN_TWO_PARTS = {"35 ± 5 ft-lb", "20 N·m + 90°"}


def text_of(row):
    return row["example_in"] or row["written"]


def in_si(quantity):
    if quantity.unit == "°C":
        return float(quantity.value) + ABSOLUTE_ZERO_C
    return float(quantity.value) * IN_SI[quantity.unit]


READ = [
    row
    for row in ROWS
    if row["written"] not in ASKED | IN_TWO_PARTS and row["quantity"] not in DESIGNATIONS
]


def test_every_row_of_the_table_is_checked_here():
    left = [row for row in ROWS if row not in READ]
    asked = [row for row in left if row["written"] in ASKED]
    designations = [row for row in left if row["quantity"] in DESIGNATIONS]
    assert len(ROWS) == 125
    assert len(READ) == 125 - len(ASKED) - len(designations) - len(IN_TWO_PARTS)
    assert len(asked) == len(ASKED)


@pytest.mark.parametrize("row", READ, ids=text_of)
def test_a_spelling_is_read_with_its_factor(row):
    reading = read_text(text_of(row))
    wanted = KINDS.get(row["quantity"], row["quantity"])
    assert same_dimension(reading.kind, wanted)
    tolerance = SEVENTH_DIGIT if row["exact"] == "rounded" else EXACT
    assert in_si(reading.value) == pytest.approx(float(row["example_SI"]), rel=tolerance)


@pytest.mark.parametrize(
    "row", [row for row in READ if row["nist_sp811_factor"]], ids=lambda row: row["written"]
)
def test_a_factor_is_the_printed_one_of_nist(row):
    exact, any_case = _spellings()
    key = row["written"].rstrip(".").replace("(", "").replace(")", "")
    for separator in " -.":
        key = key.replace(separator, "·") if key not in {"min-1"} else key
    spelling = exact.get(key) or any_case[key.casefold()]
    factor = convert(Decimal(1), spelling.code, canonical_unit(kind_of(spelling.code)))
    size = float(factor * spelling.factor) * IN_SI[canonical_unit(kind_of(spelling.code))]
    assert size == pytest.approx(float(row["nist_sp811_factor"]), rel=SEVENTH_DIGIT)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["written"] in ASKED], ids=lambda row: row["written"]
)
def test_what_has_two_meanings_is_asked(row):
    with pytest.raises(Ambiguous) as asked:
        read_text(text_of(row))
    assert len(asked.value.readings) >= 2


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["quantity"] in DESIGNATIONS], ids=lambda row: row["written"]
)
def test_a_designation_is_no_arithmetic(row):
    with pytest.raises(InvalidInput) as refused:
        read_text(row["written"])
    assert refused.value.code == "designation"
    assert "GET /v1/designations" in refused.value.fix


def test_a_tolerance_is_read_as_its_two_ends():
    reading = read_text("35 ± 5 ft-lb")
    assert float(reading.lower.value) == pytest.approx(40.675, abs=0.0005)
    assert float(reading.upper.value) == pytest.approx(54.233, abs=0.0005)
    assert reading.customary == "30 to 40 ft-lb"


def test_a_torque_and_then_an_angle_are_two_steps():
    reading = read_text("20 N·m + 90°")
    assert in_si(reading.value) == 20
    assert [in_si(step) for step in reading.then] == [pytest.approx(1.5708, abs=5e-5)]


@pytest.mark.parametrize(
    ("code", "to", "independent"),
    [
        ("in", "m", constants.inch),
        ("ft", "m", constants.foot),
        ("yd", "m", constants.yard),
        ("thou", "m", constants.mil),
        ("lb", "kg", constants.pound),
        ("oz", "kg", constants.oz),
        ("lbf", "N", constants.pound_force),
        ("kgf", "N", constants.kilogram_force),
        ("ft-lb", "N·m", constants.foot * constants.pound_force),
        ("in-lb", "N·m", constants.inch * constants.pound_force),
        ("psi", "Pa", constants.psi),
        ("bar", "Pa", constants.bar),
        ("atm", "Pa", constants.atm),
        ("gal", "m3", constants.gallon),
        ("imp-gal", "m3", constants.gallon_imp),
        ("fl-oz", "m3", constants.fluid_ounce),
        ("imp-fl-oz", "m3", constants.fluid_ounce_imp),
        ("hp", "W", constants.hp),
        ("in2", "m2", constants.inch**2),
        ("tonf-us", "N", constants.short_ton * constants.g),
        ("tonf-uk", "N", constants.long_ton * constants.g),
        ("rad", "deg", 1 / constants.degree),
        ("arcmin", "deg", constants.arcminute / constants.degree),
        ("h", "s", constants.hour),
    ],
)
def test_factors_agree_with_an_independent_library(code, to, independent):
    assert float(convert(Decimal(1), code, to)) == pytest.approx(independent, rel=1e-9)


def test_temperatures_agree_with_an_independent_library():
    for fahrenheit in (-40, 0, 68, 212, 451):
        celsius = constants.convert_temperature(fahrenheit, "Fahrenheit", "Celsius")
        assert float(convert(Decimal(fahrenheit), "°F", "°C")) == pytest.approx(celsius, abs=1e-9)
