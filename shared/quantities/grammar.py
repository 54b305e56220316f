"""Reads a quantity as the trade writes it: one amount, a range, a tolerance, steps, and twins.

    reading    = expression { twin } [ "+" angle ... ]
    expression = [limit] amount                      22 ft-lb, 10 3/8 IN., 6' 2", max 0.15 mm
               | amount dash amount                  0,05-0,10 mm, 0.30 – 0.40 mm
               | amount "±" amount                   35 ± 5 ft-lb
               | amount "+" amount "-" amount        25 +0.02/-0.01 mm
    twin       = "(" expression { "," expression } ")" | "=" expression | "/" expression

Written by hand, one pass from left to right: reading takes time in line with the length, and the
text reaches no other parser. What has two meanings is asked about, what is not understood refused;
nothing is guessed and no bounds are swapped.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from shared.errors import Ambiguous, InvalidInput, WrongDimension
from shared.quantities.amounts import Amount, checked, read_amount
from shared.quantities.characters import plain_text
from shared.quantities.cursor import Cursor
from shared.quantities.designations import refuse_designation
from shared.quantities.figures import Figure, number_follows
from shared.quantities.model import Quantity
from shared.quantities.printed import AsWritten, customary, metric, short
from shared.quantities.reading import Reading, StatedTwin
from shared.quantities.twins import compare
from shared.quantities.units import canonical_unit, convert, difference_unit, kind_of
from shared.quantities.units import same_dimension as alike

_BEFORE: Final = re.compile(
    r"(?:an?|the|of|about|approx(?:imately)?\.?|torque|tighten(?: to)?|gap|clearance|end play|play"
    r"|diameter|dia\.?|length|width|depth|thickness|bore|shim)\b[ :]*",
    re.IGNORECASE,
)
_AFTER: Final = re.compile(
    r" ?(?:torque|gap|clearance|end play|play|diameter|dia\.?|thick|wide|long|deep|high|length"
    r"|width|depth|thickness|bore|shim|drive|rise)\b\.?",
    re.IGNORECASE,
)
_LIMIT: Final = re.compile(r" ?(max|min)(?:imum)?\b\.? ?:?", re.IGNORECASE)
_DASH: Final = re.compile(r" ?(?:-|~|\.{2,3}|to\b|thru\b|through\b|up to\b) ?", re.IGNORECASE)
_TOLERANCE: Final = re.compile(r" ?± ?")
_PLUS: Final = re.compile(r" ?(?:,? ?(?:and )?then\b|plus\b|\+) ?", re.IGNORECASE)
_MINUS: Final = re.compile(r" ?[/,]? ?- ?")
_OPEN: Final = re.compile(r" ?[(\[] ?")
_CLOSE: Final = re.compile(r" ?[)\]]")
_BETWEEN_TWINS: Final = re.compile(r" ?(?:[,;/=]|or\b) ?", re.IGNORECASE)
_WORD_AFTER_NUMBER: Final = re.compile(
    rf"(?:{_AFTER.pattern}|{_LIMIT.pattern}|{_DASH.pattern}|{_PLUS.pattern}|or\b)", re.IGNORECASE
)
_NO_NUMBER: Final = re.compile(r"[+-]?(?:s?nan|inf(?:inity)?)\b", re.IGNORECASE)
_MISREAD_BRACKET: Final = re.compile(r" ?[1lI|](?=[0-9.])")
_GROUP: Final = re.compile(r" ([0-9]{3})(?![0-9.,])")

_LIMIT_SIGNS: Final = {"upper": "max. ", "lower": "min. "}
_MOST_WORDS: Final = 4
_MOST_STEPS: Final = 4

# A load beside a force in newtons: the pound of the bracket is the pound-force.
_FORCE_FOR_MASS: Final = {"kg": "kgf", "lb": "lbf", "oz": "ozf", "t": "tonf-metric"}


@dataclass(frozen=True, slots=True)
class _Expression:
    """What one expression says: a value, a range, a tolerance (all three), or one limit."""

    text: str
    value: Amount | None = None
    lower: Amount | None = None
    upper: Amount | None = None

    @property
    def bounds(self) -> dict[str, Amount]:
        """The amounts that are there, by the name of the bound."""
        named = {"value": self.value, "lower": self.lower, "upper": self.upper}
        return {bound: amount for bound, amount in named.items() if amount is not None}

    @property
    def unit(self) -> str:
        """The unit of the first amount."""
        return next(iter(self.bounds.values())).unit

    def as_force(self) -> "_Expression":
        """Return the same with pounds read as pounds-force, kilograms as kilograms-force."""
        forced = {
            bound: replace(amount, unit=_FORCE_FOR_MASS.get(amount.unit, amount.unit))
            for bound, amount in self.bounds.items()
        }
        return _Expression(self.text, **forced)


def read_text(text: str) -> Reading:
    """Read a quantity as the trade writes it.

    Raises, all with pointer "/text": Ambiguous where the text has two meanings or no unit (with the
    readings), UnknownUnit, WrongDimension where a twin is of another kind, InvalidInput for what is
    not understood and for the designation of a part (code "designation").

    >>> read_text("22 ft-lb").metric, read_text('1-1/4 in').metric
    ('29.8 N·m', '31.75 mm')
    """
    plain = plain_text(text)
    refuse_designation(plain)
    cursor = Cursor(plain)
    first = _expression(cursor)
    _check_order(first)
    twins = list(_twins(cursor))
    steps = tuple(_steps(cursor, first))
    if not cursor.done:
        raise _not_understood(cursor)
    return _reading(text, first, twins, steps)


def _expression(cursor: Cursor) -> _Expression:
    start = cursor.at
    limit = _words_before(cursor)
    first = read_amount(cursor, _WORD_AFTER_NUMBER)
    if first is None:
        raise _no_number_here(cursor)
    found = _range(cursor, first) or _tolerance(cursor, first) or _Expression("", value=first)
    for _ in range(_MOST_WORDS):
        limit = _limit(cursor) or limit
        if cursor.take(_AFTER) is None:
            break
    if limit:
        found = _limited(found, limit)
    found = replace(found, text=cursor.text[start : cursor.at].strip(" "))
    if not found.unit:
        raise _no_unit(found, cursor)
    return found


def _words_before(cursor: Cursor) -> str:
    limit = ""
    for _ in range(_MOST_WORDS):
        limit = _limit(cursor) or limit
        cursor.blanks()
        if cursor.take(_BEFORE) is None:
            break
    return limit


def _limit(cursor: Cursor) -> str:
    found = cursor.take(_LIMIT)
    return found.group(1).lower() if found else ""


def _limited(found: _Expression, limit: str) -> _Expression:
    if found.value is None or found.lower is not None:
        raise InvalidInput(
            "/text",
            "A range cannot be a limit as well.",
            "Give the range, or the one limit.",
            "not-understood",
        )
    return _Expression("", **{"upper" if limit == "max" else "lower": found.value})


def _range(cursor: Cursor, first: Amount) -> _Expression | None:
    start = cursor.at
    if cursor.take(_DASH) is None or not number_follows(cursor):
        cursor.at = start
        return None
    last = read_amount(cursor, _WORD_AFTER_NUMBER)
    assert last is not None
    if first.unit and not last.unit:
        raise Ambiguous(
            "/text",
            f"The unit stands behind the first figure only: {cursor.text[start - 20 :][:40]}.",
            "Write the unit behind the last figure.",
            [f"{first.figure.written} to {last.figure.written} {first.unit}"],
        )
    first = first.inheriting(last.unit)
    if first.unit:
        _check_alike(first.unit, last.unit)
    return _Expression("", lower=first, upper=last)


def _tolerance(cursor: Cursor, middle: Amount) -> _Expression | None:
    """Read ± 5, or + 0.02 / - 0.01, behind an amount."""
    start = cursor.at
    if cursor.take(_TOLERANCE) is not None:
        half = read_amount(cursor, _WORD_AFTER_NUMBER)
        if half is None:
            raise _no_number_here(cursor)
        return _between(middle, half, half)
    if cursor.take(_PLUS) is None or not number_follows(cursor):
        cursor.at = start
        return None
    above = read_amount(cursor, _WORD_AFTER_NUMBER)
    if cursor.take(_MINUS) is None or not number_follows(cursor):
        cursor.at = start
        return None
    below = read_amount(cursor, _WORD_AFTER_NUMBER)
    assert above is not None
    assert below is not None
    return _between(middle, below, above)


def _between(middle: Amount, below: Amount, above: Amount) -> _Expression:
    unit = middle.unit or above.unit or below.unit
    if not unit:
        return _Expression("", value=middle)
    if not middle.unit and unit == "%":
        raise InvalidInput(
            "/text",
            "The tolerance is in per cent and the value has no unit.",
            "Write the unit behind the value.",
            "unit-missing",
        )
    middle = middle.inheriting(unit)
    return _Expression(
        "",
        value=middle,
        lower=_moved(middle, below.inheriting(unit), -1),
        upper=_moved(middle, above.inheriting(unit), 1),
    )


def _moved(middle: Amount, by: Amount, sign: int) -> Amount:
    """Return the middle moved by a tolerance: a part of a hundred, or a difference."""
    if by.value < 0:
        raise InvalidInput(
            "/text", "A tolerance is negative.", "Give it without a sign.", "not-understood"
        )
    if by.unit == "%" and middle.unit != "%":
        difference = abs(middle.value) * by.value / 100
    elif by.unit == middle.unit:
        difference = by.value
    else:
        _check_alike(difference_unit(by.unit), difference_unit(middle.unit))
        difference = convert(by.value, difference_unit(by.unit), difference_unit(middle.unit))
    value = middle.value + sign * difference
    step = max(middle.figure.step, by.figure.step if by.unit == middle.unit else Decimal(0))
    return checked(Amount(Figure(value, short(value), step, step), middle.unit, middle.note))


def _twins(cursor: Cursor) -> Iterator[_Expression]:
    """Read the same quantity in other units: in brackets, or behind =, /, a comma, "or"."""
    while True:
        start = cursor.at
        if cursor.take(_OPEN) is not None:
            yield from _in_brackets(cursor)
        elif cursor.take(_BETWEEN_TWINS) is not None and number_follows(cursor):
            yield _expression(cursor)
        else:
            cursor.at = start
            return


def _in_brackets(cursor: Cursor) -> Iterator[_Expression]:
    yield _expression(cursor)
    while cursor.take(_BETWEEN_TWINS) is not None:
        yield _expression(cursor)
    if cursor.take(_CLOSE) is None:
        if cursor.done:
            raise Ambiguous(
                "/text",
                "A bracket is opened and not closed.",
                "Close the bracket.",
                [f"{cursor.text})"],
            )
        raise _not_understood(cursor)


def _steps(cursor: Cursor, first: _Expression) -> Iterator[Amount]:
    """Read the angles of a tightening in steps: 20 N·m + 90° + 90°."""
    for _ in range(_MOST_STEPS):
        start = cursor.at
        if cursor.take(_PLUS) is None or not number_follows(cursor):
            cursor.at = start
            return
        angle = read_amount(cursor, _WORD_AFTER_NUMBER)
        assert angle is not None
        if not angle.unit:
            raise _not_understood(Cursor(cursor.text, start))
        if angle.kind != "angle" or kind_of(first.unit) != "torque":
            raise InvalidInput(
                "/text",
                "Only an angle may follow a torque behind a plus sign; sums are not read.",
                "Give one quantity, or a torque and then an angle (20 N·m + 90°).",
                "not-understood",
            )
        yield angle


def _reading(
    text: str, first: _Expression, twins: list[_Expression], steps: tuple[Amount, ...]
) -> Reading:
    kinds = {kind_of(expression.unit) for expression in (first, *twins)}
    notes = [amount.note for part in (first, *twins) for amount in part.bounds.values()]
    if kinds == {"mass", "force"}:
        first, twins = first.as_force(), [twin.as_force() for twin in twins]
        notes.append("read as force, since a force stands beside it")
    kind = kind_of(first.unit)
    bounds = first.bounds
    ends = [bounds["lower"], bounds["upper"]] if len(bounds) > 1 else list(bounds.values())
    as_written = [AsWritten(end.value, end.unit, end.figure.written) for end in ends]
    limit = "" if len(bounds) > 1 else _LIMIT_SIGNS.get(next(iter(bounds)), "")
    then = "".join(f", then {_angle(step)}" for step in steps)
    return Reading(
        text=text,
        kind=kind,
        value=_quantity(first.value, kind),
        lower=_quantity(first.lower, kind),
        upper=_quantity(first.upper, kind),
        then=tuple(Quantity(step.in_unit("deg"), "deg") for step in steps),
        metric=limit + metric(kind, as_written) + then,
        customary=limit + customary(kind, as_written) + then,
        stated_twins=tuple(_compared(first, twin) for twin in twins),
        notes=tuple(dict.fromkeys(note for note in notes if note)),
    )


def _angle(step: Amount) -> str:
    written = step.figure.written
    return f"{written}°" if step.unit == "deg" else f"{written} {step.unit}"


def _quantity(amount: Amount | None, kind: str) -> Quantity | None:
    if amount is None:
        return None
    return Quantity(amount.in_unit(canonical_unit(kind)), canonical_unit(kind))


def _compared(first: _Expression, twin: _Expression) -> StatedTwin:
    _check_alike(first.unit, twin.unit)
    if first.bounds.keys() != twin.bounds.keys():
        raise InvalidInput(
            "/text",
            f"'{first.text}' and '{twin.text}' are not of one form: value, range or limit.",
            "Give one of them alone.",
            "twin-of-another-form",
        )
    bounds = [(bound, first.bounds[bound], twin.bounds[bound]) for bound in twin.bounds]
    return compare(twin.text, twin.unit, bounds)


def _check_alike(unit: str, other: str) -> None:
    if not alike(kind_of(unit), kind_of(other)):
        raise WrongDimension(
            "/text",
            f"{unit} measures {kind_of(unit)}, {other} {kind_of(other)}.",
            "Figures that belong together have units of one kind.",
        )


def _check_order(found: _Expression) -> None:
    lower, upper = found.lower, found.upper
    if lower is None or upper is None or lower.value <= upper.in_unit(lower.unit):
        return
    raise Ambiguous(
        "/text",
        f"The range {found.text} is upside down: its first figure is the larger.",
        "Compare the page and the lines beside it: the bounds may be exchanged, or a digit of "
        "one of them misprinted.",
        [
            f"{upper.figure.written} {upper.unit} to {lower.figure.written} {lower.unit} "
            "(bounds exchanged)",
            "a digit of one bound misprinted",
        ],
    )


def _no_unit(found: _Expression, cursor: Cursor) -> InvalidInput:
    if not (cursor.done or cursor.sees(_OPEN)):
        return _not_understood(cursor)
    bounds = list(found.bounds.values())
    written = " to ".join(amount.figure.written for amount in bounds)
    units = ["in"] if bounds[0].figure.is_fraction else ["mm", "in"]
    readings = [f"{written} {unit}" for unit in units]
    if found.value is not None and found.value.figure.is_fraction:
        readings += [f"{written} inch square drive", f"{written} inch thread (GET /v1/fasteners)"]
    detail = f"'{cursor.text[:40]}' has no unit"
    if found.lower and found.upper and found.lower.value > found.upper.value:
        detail += ", and the range is upside down: its first figure is the larger"
        lower, upper = found.lower.figure.written, found.upper.figure.written
        readings = [f"{upper} to {lower} {unit} (bounds exchanged)" for unit in units]
        readings.append("a digit of one bound misprinted: compare the lines beside it")
    return Ambiguous("/text", f"{detail}.", "Write the unit behind the number.", readings)


def _no_number_here(cursor: Cursor) -> InvalidInput:
    if cursor.sees(_NO_NUMBER):
        return InvalidInput(
            "/text", "That is not a finite number.", "Give a number, such as 31.42.", "number"
        )
    return _not_understood(cursor)


def _not_understood(cursor: Cursor) -> InvalidInput:
    """Return the error for what stands here, with the readings it allows where there are some."""
    readings = list(_mended(cursor))
    if readings:
        return Ambiguous(
            "/text",
            f"'{cursor.text[:80]}' is not understood as it stands.",
            "Check the page and send the reading that is meant.",
            readings,
        )
    return InvalidInput(
        "/text",
        f"'{cursor.rest[:40].strip()}' is not understood, and sums are not worked out."
        if cursor.rest.strip()
        else "A number is missing at the end.",
        "Give one number with its unit, a range, or a tolerance, such as 22 ft-lb.",
        "not-understood",
    )


def _mended(cursor: Cursor) -> Iterator[str]:
    """Offer what was meant: a bracket scanned as 1, a blank in a number, a lost sign."""
    before, rest = cursor.text[: cursor.at], cursor.rest
    misread = _MISREAD_BRACKET.match(rest)
    if misread and rest.endswith(")") and "(" not in cursor.text:
        yield from _readable(f"{before} ({rest[misread.end() :]}")
    group = _GROUP.match(rest)
    if group and before[-1:].isdigit():
        yield from _readable(f"{before}{group.group(1)}{rest[group.end() :]}")

    cursor.blanks()
    if number_follows(cursor) and before.strip(" ")[-1:] in {"'", "t"}:
        yield from _readable(f'{cursor.text}"')
    if number_follows(cursor):
        # A plus sign in an address that is not written %2B arrives as a blank.
        yield from _readable(f"{before.strip(' ')} + {cursor.rest}")


def _readable(candidate: str) -> Iterator[str]:
    try:
        read_text(candidate)
    except InvalidInput:
        return
    yield candidate
