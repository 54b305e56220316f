"""The closed list of unit codes, and exact conversion between them.

The list is ``shared/standards/data/units.csv``: one spelling per code, a source per row. Request
text is only ever looked up in it; it never reaches a parser of unit expressions. Behind it stands
one small pint registry, made from our own definitions and asked once per unit for its scale.
"""

from dataclasses import dataclass
from decimal import Context, Decimal
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput, UnknownUnit, WrongDimension
from shared.quantities.model import Quantity
from shared.standards import table

CANONICAL_UNITS: Final = MappingProxyType(
    {
        "length": "mm",
        "area": "mm2",
        "torque": "N·m",
        "force": "N",
        "stress": "MPa",
        "pressure": "kPa",
        "mass": "kg",
        "volume": "L",
        "temperature": "°C",
        "temperature-difference": "K",
        "time": "h",
        "rotational-speed": "1/min",
        "angle": "deg",
        "power": "W",
        "kinematic-viscosity": "mm2/s",
        "dimensionless": "1",
    }
)
"""Kind of quantity -> the unit code in which it is stored and computed."""

UNIT_CODES: Final = MappingProxyType({row["code"]: row["kind"] for row in table("units")})
"""Unit code -> kind of quantity. Codes are matched exactly, case included."""

# The same physical quantity under two names: a strength in psi, a fluid pressure in MPa.
_SAME_DIMENSION: Final = MappingProxyType({"stress": "pressure"})

_DIFFERENCE_UNITS: Final = MappingProxyType({"°C": "K", "°F": "Δ°F"})

# Pi to 40 digits; only radians are not exact in degrees.
_BASE_DEFINITIONS: Final = (
    "metre = [length]",
    "kilogram = [mass]",
    "second = [time]",
    "kelvin = [temperature]; offset: 0",
    "degree = [angle]",
    "radian = 180 / 3.141592653589793238462643383279502884197 * degree",
    "newton = kilogram * metre / second ** 2",
    "pascal = newton / metre ** 2",
    "watt = newton * metre / second",
)

_WAYS_OF_DOUBT: Final = ("standard_uncertainty", "expanded_uncertainty", "plus_minus")
"""The ways in which a quantity may state its doubt, one of them at the most."""
_EXACT: Final = Context(prec=28)
_MOST_DIGITS: Final = 40
_MOST_POWER: Final = 30
_MOST_PLACES: Final = 100


@dataclass(frozen=True, slots=True)
class _Scale:
    """value in base units = factor x value in this unit + offset; exact rational numbers."""

    factor: Fraction
    offset: Fraction


@cache
def _scales() -> dict[str, _Scale]:
    """Build the registry and ask it once for the scale of every code (about 20 ms in all).

    Rational numbers keep every defined factor exact, degrees Fahrenheit too; decimals would not.
    """
    from pint import UnitRegistry  # noqa: PLC0415 - a fifth of a second that only conversion needs

    registry: UnitRegistry[Fraction] = UnitRegistry(
        None, non_int_type=Fraction, autoconvert_offset_to_baseunit=True
    )
    for definition in _BASE_DEFINITIONS:
        registry.define(definition)
    scales = {}
    for number, row in enumerate(table("units")):
        registry.define(f"unit_{number} = {row['definition']}")
        unit = registry.Unit(f"unit_{number}")
        zero, one = (
            registry.Quantity(Fraction(size), unit).to_base_units().magnitude for size in (0, 1)
        )
        scales[row["code"]] = _Scale(Fraction(one) - Fraction(zero), Fraction(zero))
    return scales


def kind_of(code: str) -> str:
    """Return the kind of quantity that a unit code measures.

    Raises UnknownUnit (pointer "/unit") naming the nearest code.

    >>> kind_of("ft-lb")
    'torque'
    """
    try:
        return UNIT_CODES[code]
    except KeyError:
        raise _unknown(code) from None


def canonical_unit(kind: str) -> str:
    """Return the unit code in which quantities of this kind are stored and computed.

    ``kind`` is one of ``CANONICAL_UNITS``; another is a fault of the program (KeyError).
    """
    return CANONICAL_UNITS[kind]


def same_dimension(kind: str, other: str) -> bool:
    """Return whether two kinds convert into each other: a kind into itself, stress and pressure."""
    return _SAME_DIMENSION.get(kind, kind) == _SAME_DIMENSION.get(other, other)


def convert(value: Decimal, from_code: str, to_code: str) -> Decimal:
    """Return ``value`` in another unit of the same dimension.

    Exact wherever the result has at most 28 digits, else rounded to 28. Factors: NIST SP 811.
    Raises UnknownUnit and WrongDimension (pointer "/unit"), InvalidInput (pointer "/value") for a
    number that is not finite or of absurd size.

    >>> convert(Decimal("22"), "ft-lb", "N·m")
    Decimal('29.8279948632908088')
    >>> convert(Decimal("68"), "°F", "°C")
    Decimal('20')
    """
    check_number(value, "/value")
    wanted_kind = kind_of(to_code)
    if not same_dimension(kind_of(from_code), wanted_kind):
        raise _wrong_dimension(from_code, wanted_kind)
    if from_code == to_code:
        return value
    return as_decimal(_convert(Fraction(value), from_code, to_code))


def canonical(quantity: Quantity, kind: str) -> float:
    """Return the value in the canonical unit of ``kind`` (see ``CANONICAL_UNITS``).

    Raises as ``check_quantity`` does.
    """
    check_quantity(quantity, kind, "")
    return float(_convert(Fraction(quantity.value), quantity.unit, CANONICAL_UNITS[kind]))


def canonical_without_doubt(
    quantity: Quantity, kind: str, pointer: str, *, detail: str, fix: str
) -> float:
    """Return the value in the canonical unit of ``kind``, of a quantity that may state no doubt.

    Raises as ``check_quantity`` does, at ``pointer``; and InvalidInput with ``detail`` and ``fix``
    at the member in which an uncertainty is stated.
    """
    check_quantity(quantity, kind, pointer)
    for way in _WAYS_OF_DOUBT:
        if getattr(quantity, way) is not None:
            raise InvalidInput(f"{pointer}/{way}", detail, fix, "uncertainty-misplaced")
    return canonical(quantity, kind)


def standard_uncertainty(quantity: Quantity, kind: str) -> float | None:
    """Return the standard uncertainty in the canonical unit of ``kind``; None where none is stated.

    u as stated; U / k with k = 2 where not stated; a / sqrt(3) for a half-width (JCGM 100:2008
    4.3.7 and 6.2.1). An uncertainty is a difference: one of 9 °F is 5 K. Raises as
    ``check_quantity`` does.
    """
    check_quantity(quantity, kind, "")
    stated = _stated_uncertainty(quantity)
    if stated is None:
        return None
    unit, target = difference_unit(quantity.unit), difference_unit(CANONICAL_UNITS[kind])
    in_canonical = float(_convert(Fraction(stated), unit, target))
    if quantity.expanded_uncertainty is not None:
        return in_canonical / float(quantity.coverage_factor or 2)
    if quantity.plus_minus is not None:
        return in_canonical / 3**0.5
    return in_canonical


def check_quantity(quantity: Quantity, kind: str, pointer: str) -> None:
    """Check that a quantity is of this kind and states at most one uncertainty.

    ``pointer`` is the JSON pointer of the quantity itself ("/measured"). Raises UnknownUnit and
    WrongDimension at its "/unit"; InvalidInput at the member for NaN, infinity, a negative
    uncertainty, more than one statement, a coverage factor without its expanded uncertainty, and a
    temperature below absolute zero.
    """
    try:
        check_number(quantity.value, "/value")
        if not same_dimension(kind_of(quantity.unit), kind):
            raise _wrong_dimension(quantity.unit, kind)
        _check_uncertainty(quantity)
        _check_temperature(quantity)
    except InvalidInput as error:
        raise error.below(pointer) from None


def check_number(value: Decimal, pointer: str) -> None:
    """Refuse NaN, infinity, and numbers no workshop writes, before anything computes with them.

    Raises InvalidInput at ``pointer``. A decimal such as 1E+999999999 would otherwise run for ever.
    """
    fix = "Give a finite decimal number, such as 31.42."
    if not value.is_finite():
        raise InvalidInput(pointer, f"Got {value}; wanted a finite number.", fix)
    digits, exponent = value.as_tuple().digits, value.as_tuple().exponent
    assert isinstance(exponent, int)
    if len(digits) > _MOST_DIGITS or exponent < -_MOST_PLACES or value.adjusted() > _MOST_POWER:
        raise InvalidInput(pointer, "The number has too many digits.", fix, "number-size")


def difference_unit(code: str) -> str:
    """Return the unit in which differences in unit ``code`` are stated: K for °C, else itself."""
    return _DIFFERENCE_UNITS.get(code, code)


def nearest_code(text: str) -> str | None:
    """Return the unit code that text on no list most likely stands for, or None."""
    if len(text) > _MOST_DIGITS:
        return None
    written = "·".join(text.replace(".", " ").replace("-", " ").split())
    for row in table("unit_spellings"):
        if row["code"] and row["spelling"] in {text, written}:
            return row["code"]
    codes = list(UNIT_CODES)
    same_letters = [code for code in codes if code.casefold() == text.casefold()]
    near = same_letters or get_close_matches(text, codes, n=1, cutoff=0.5)
    return near[0] if near else None


def _convert(value: Fraction, from_code: str, to_code: str) -> Fraction:
    if from_code == to_code:
        return value
    source, target = _scales()[from_code], _scales()[to_code]
    return (value * source.factor + source.offset - target.offset) / target.factor


def as_decimal(value: Fraction) -> Decimal:
    """Return a rational number as a decimal: exact with up to 28 digits, else rounded to 28."""
    return _EXACT.divide(Decimal(value.numerator), Decimal(value.denominator))


def _stated_uncertainty(quantity: Quantity) -> Decimal | None:
    stated = (
        quantity.standard_uncertainty,
        quantity.expanded_uncertainty,
        quantity.plus_minus,
    )
    return next((number for number in stated if number is not None), None)


def _check_uncertainty(quantity: Quantity) -> None:
    stated = [way for way in _WAYS_OF_DOUBT if getattr(quantity, way) is not None]
    if len(stated) > 1:
        raise InvalidInput(
            f"/{stated[1]}",
            f"Got {' and '.join(stated)}; one quantity states its doubt in one way.",
            "Keep one of standard_uncertainty, expanded_uncertainty and plus_minus.",
            "uncertainty-twice",
        )
    for way in stated:
        _check_not_negative(getattr(quantity, way), way)
    if quantity.coverage_factor is not None:
        _check_coverage_factor(quantity)


def _check_not_negative(number: Decimal, member: str) -> None:
    check_number(number, f"/{member}")
    if number < 0:
        raise InvalidInput(
            f"/{member}", f"Got {number}; wanted zero or more.", f"Give {member} without a sign."
        )


def _check_coverage_factor(quantity: Quantity) -> None:
    factor = quantity.coverage_factor
    assert factor is not None
    check_number(factor, "/coverage_factor")
    if quantity.expanded_uncertainty is None:
        raise InvalidInput(
            "/coverage_factor",
            "Got coverage_factor without expanded_uncertainty.",
            "Give expanded_uncertainty too, or leave coverage_factor out.",
        )
    if factor <= 0:
        raise InvalidInput(
            "/coverage_factor", f"Got {factor}; wanted more than zero.", 'Give it as "2" or "3".'
        )


def _check_temperature(quantity: Quantity) -> None:
    if kind_of(quantity.unit) != "temperature":
        return
    if _convert(Fraction(quantity.value), quantity.unit, "°C") < Fraction("-273.15"):
        raise InvalidInput(
            "/value",
            f"{quantity.value} {quantity.unit} is below absolute zero.",
            "Check the value and its unit.",
        )


def _unknown(code: str) -> UnknownUnit:
    shown = code if len(code) <= _MOST_DIGITS else code[:_MOST_DIGITS] + "..."
    nearest = nearest_code(code)
    question = f"; did you mean '{nearest}'?" if nearest else "."
    return UnknownUnit(
        "/unit",
        f"Unit '{shown}' is not known{question}",
        "Use a code from GET /v1/unit-codes, spelt exactly so.",
    )


def _wrong_dimension(code: str, kind: str) -> WrongDimension:
    return WrongDimension(
        "/unit",
        f"Unit '{code}' measures {kind_of(code)}; wanted {kind}.",
        f"Give it in a unit of {kind}, such as {CANONICAL_UNITS[kind]}.",
    )
