"""Quantities as text: plain decimals for answers, and metric and customary as the trade prints."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from types import MappingProxyType
from typing import Final

from shared.quantities.units import canonical_unit, convert, kind_of

_LEAST_DIGITS: Final = 6
_MOST_EXACT_DIGITS: Final = 12
_MOST_PLACES: Final = 12


@dataclass(frozen=True, slots=True)
class _Printed:
    """A unit to print in from ``least`` canonical units up: its sign, digits, places at least."""

    unit: str
    least: str
    sign: str
    digits: int = 4
    places: int = 0


# Kind -> units to print in, the largest first; the last one has no least. Common practice: torque
# below 10 ft-lb in in-lb, strengths in ksi, small masses in grams and ounces.
_METRIC: Final = MappingProxyType(
    {
        "length": (_Printed("mm", "0", "mm", places=3),),
        "area": (_Printed("mm2", "0", "mm²"),),
        "torque": (_Printed("N·m", "0", "N·m", digits=3),),
        "force": (_Printed("kN", "1000", "kN"), _Printed("N", "0", "N")),
        "stress": (_Printed("MPa", "0", "MPa"),),
        "pressure": (_Printed("kPa", "0", "kPa"),),
        "mass": (_Printed("kg", "1", "kg"), _Printed("g", "0", "g")),
        "volume": (_Printed("L", "1", "L"), _Printed("mL", "0", "mL")),
        "temperature": (_Printed("°C", "0", "°C"),),
        "temperature-difference": (_Printed("K", "0", "K"),),
        "power": (_Printed("kW", "1000", "kW"), _Printed("W", "0", "W")),
        "kinematic-viscosity": (_Printed("mm2/s", "0", "mm²/s"),),
        "rotational-speed": (_Printed("1/min", "0", "1/min"),),
        "angle": (_Printed("deg", "0", "°"),),
        "time": (_Printed("h", "1", "h"), _Printed("min", "0", "min")),
        "dimensionless": (_Printed("1", "0", ""),),
    }
)
_CUSTOMARY: Final = MappingProxyType(
    {
        "length": (_Printed("in", "0", "in", places=4),),
        "area": (_Printed("in2", "0", "in²"),),
        "torque": (
            _Printed("ft-lb", "13.558179483314004", "ft-lb", digits=3),
            _Printed("in-lb", "0", "in-lb", digits=3),
        ),
        "force": (_Printed("lbf", "0", "lbf"),),
        "stress": (
            _Printed("ksi", "6.894757293168361336722673445", "ksi"),
            _Printed("psi", "0", "psi"),
        ),
        "pressure": (_Printed("psi", "0", "psi"),),
        "mass": (_Printed("lb", "0.45359237", "lb"), _Printed("oz", "0", "oz")),
        "volume": (
            _Printed("gal", "3.785411784", "US gal"),
            _Printed("qt", "0.946352946", "US qt"),
            _Printed("fl-oz", "0", "US fl oz"),
        ),
        "temperature": (_Printed("°F", "0", "°F"),),
        "temperature-difference": (_Printed("Δ°F", "0", "°F difference"),),
        "power": (_Printed("hp", "0", "hp"),),
        "kinematic-viscosity": (_Printed("mm2/s", "0", "cSt"),),
        "rotational-speed": (_Printed("1/min", "0", "rpm"),),
        "angle": (_Printed("deg", "0", "°"),),
        "time": (_Printed("h", "1", "h"), _Printed("min", "0", "min")),
        "dimensionless": (_Printed("1", "0", ""),),
    }
)


@dataclass(frozen=True, slots=True)
class AsWritten:
    """A number as it stood in its unit, to print again where the same unit is printed."""

    value: Decimal
    unit: str
    written: str


def plain(value: Decimal) -> str:
    """Return a decimal without an exponent and with no sign on zero.

    >>> plain(Decimal("1E+3"))
    '1000'
    """
    return f"{value:f}" if value else f"{abs(value):f}"


def short(value: Decimal) -> str:
    """Return a number as text: all its digits if few, else six significant ones, no idle zeros.

    >>> short(Decimal("24.99")), short(Decimal("4.996062992125984"))
    ('24.99', '4.99606')
    """
    if len(value.normalize().as_tuple().digits) <= _MOST_EXACT_DIGITS:
        return plain(value)
    return plain(Context(prec=_LEAST_DIGITS, rounding=ROUND_HALF_UP).plus(value))


def answered(value: Decimal) -> str:
    """Return a computed number for an answer: all its digits if few, else six significant ones.

    At least six significant digits, at most twelve places.

    >>> answered(Decimal("29.8279948632908088")), answered(Decimal("31.755")), answered(Decimal(9))
    ('29.8280', '31.7550', '9.00000')
    """
    if not value:
        return "0.00000"
    digits = _LEAST_DIGITS
    exact = len(value.normalize().as_tuple().digits)
    if exact <= _MOST_EXACT_DIGITS:
        digits = max(digits, exact)
    rounded = Context(prec=digits, rounding=ROUND_HALF_UP).plus(value)
    # Rounding may carry into a new place (9.999999 -> 10.0000), so ask the rounded number.
    places = min(max(digits - 1 - rounded.adjusted(), 0), _MOST_PLACES)
    return plain(round(rounded, places))


def factor_to_canonical(code: str) -> str:
    """Return how a unit becomes the canonical one of its kind: a factor, or the rule for °F.

    Factors of more than fifteen digits are rounded to fifteen.
    """
    if code == "°F":
        return "(value - 32) / 1.8"
    factor = convert(Decimal(1), code, canonical_unit(kind_of(code)))
    text = plain(Context(prec=15, rounding=ROUND_HALF_UP).plus(factor))
    return text.rstrip("0").rstrip(".") if "." in text else text


def metric(kind: str, amounts: list[AsWritten]) -> str:
    """Return one amount, or two as a range, in the metric unit that the trade prints."""
    return _printed(_METRIC[kind], kind, amounts)


def customary(kind: str, amounts: list[AsWritten]) -> str:
    """Return one amount, or two as a range, in the inch-pound unit that the trade prints."""
    return _printed(_CUSTOMARY[kind], kind, amounts)


def _printed(choices: tuple[_Printed, ...], kind: str, amounts: list[AsWritten]) -> str:
    """Print all amounts in one unit: the largest that the largest amount fills."""
    unit = canonical_unit(kind)
    largest = max(abs(convert(amount.value, amount.unit, unit)) for amount in amounts)
    chosen = next(choice for choice in (*choices[:-1], None) if _fills(choice, largest))
    printed = chosen or choices[-1]
    numbers = " to ".join(_number(amount, printed) for amount in amounts)
    return f"{numbers}{'' if printed.sign in {'', '°'} else ' '}{printed.sign}"


def _fills(choice: _Printed | None, largest: Decimal) -> bool:
    return choice is None or largest >= Decimal(choice.least)


def _number(amount: AsWritten, printed: _Printed) -> str:
    if amount.unit == printed.unit:
        return amount.written
    value = convert(amount.value, amount.unit, printed.unit)
    if not value:
        return "0"
    places = max(printed.digits - 1 - value.adjusted(), printed.places, 0)
    if printed.places:
        places = max(printed.places, 2 - value.adjusted())
    text = plain(value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))
    return text.rstrip("0").rstrip(".") if "." in text else text
