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
from dataclasses import replace
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.quantities.amounts import Amount, read_amount
from shared.quantities.characters import plain_text
from shared.quantities.cursor import Cursor
from shared.quantities.designations import refuse_designation
from shared.quantities.expression import PLUS, WORDS_AFTER_NUMBER, Expression, read_expression
from shared.quantities.figures import number_follows
from shared.quantities.model import Quantity
from shared.quantities.printed import AsWritten, customary, metric
from shared.quantities.reading import Reading, StatedTwin
from shared.quantities.refusals import OPENING, NotUnderstood, check_alike, check_order
from shared.quantities.twins import compare
from shared.quantities.units import canonical_unit, kind_of

_CLOSE: Final = re.compile(r" ?[)\]]")
_BETWEEN_TWINS: Final = re.compile(r" ?(?:[,;/=]|or\b) ?", re.IGNORECASE)
_MISREAD_BRACKET: Final = re.compile(r" ?[1lI](?=[0-9.])")
_GROUP: Final = re.compile(r" ([0-9]{3})(?![0-9.,])")

_LIMIT_SIGNS: Final = {"upper": "max. ", "lower": "min. "}
_MOST_STEPS: Final = 4

# A load beside a force in newtons: the pound of the bracket is the pound-force.
_FORCE_FOR_MASS: Final = {"kg": "kgf", "lb": "lbf", "oz": "ozf", "t": "tonf-metric"}


def read_text(text: str) -> Reading:
    """Read a quantity as the trade writes it.

    Raises, all with pointer "/text": Ambiguous where the text has two meanings or no unit (with the
    readings), UnknownUnit, WrongDimension where a twin is of another kind, InvalidInput for what is
    not understood and for the designation of a part (code "designation").

    >>> read_text("22 ft-lb").metric, read_text('1-1/4 in').metric
    ('29.8 N·m', '31.75 mm')
    """
    plain = plain_text(text)
    try:
        return replace(_read(plain), text=text)
    except NotUnderstood as error:
        raise _with_readings(error, plain) from None


def _read(plain: str) -> Reading:
    refuse_designation(plain)
    cursor = Cursor(plain)
    first = read_expression(cursor)
    check_order(first.text, first.lower, first.upper)
    twins = list(_twins(cursor))
    steps = tuple(_steps(cursor, first))
    if not cursor.done:
        raise NotUnderstood(cursor)
    return _reading(plain, first, twins, steps)


def _twins(cursor: Cursor) -> Iterator[Expression]:
    """Read the same quantity in other units: in brackets, or behind =, /, a comma, "or"."""
    while True:
        start = cursor.at
        if cursor.take(OPENING) is not None:
            yield from _in_brackets(cursor)
        elif cursor.take(_BETWEEN_TWINS) is not None and number_follows(cursor):
            yield read_expression(cursor)
        else:
            cursor.at = start
            return


def _in_brackets(cursor: Cursor) -> Iterator[Expression]:
    yield read_expression(cursor)
    while cursor.take(_BETWEEN_TWINS) is not None:
        yield read_expression(cursor)
    if cursor.take(_CLOSE) is None:
        if cursor.done:
            raise Ambiguous(
                "/text",
                "A bracket is opened and not closed.",
                "Close the bracket.",
                [f"{cursor.text})"],
            )
        raise NotUnderstood(cursor)


def _steps(cursor: Cursor, first: Expression) -> Iterator[Amount]:
    """Read the angles of a tightening in steps: 20 N·m + 90° + 90°."""
    for _ in range(_MOST_STEPS):
        start = cursor.at
        if cursor.take(PLUS) is None or not number_follows(cursor):
            cursor.at = start
            return
        angle = read_amount(cursor, WORDS_AFTER_NUMBER)
        assert angle is not None
        if not angle.unit:
            raise NotUnderstood(Cursor(cursor.text, start))
        if angle.kind != "angle" or kind_of(first.unit) != "torque":
            raise InvalidInput(
                "/text",
                "Only an angle may follow a torque behind a plus sign; sums are not read.",
                "Give one quantity, or a torque and then an angle (20 N·m + 90°).",
                "not-understood",
            )
        yield angle


def _reading(
    text: str, first: Expression, twins: list[Expression], steps: tuple[Amount, ...]
) -> Reading:
    kinds = {kind_of(expression.unit) for expression in (first, *twins)}
    notes = [amount.note for part in (first, *twins) for amount in part.bounds.values()]
    if kinds == {"mass", "force"}:
        first = first.in_units(_FORCE_FOR_MASS)
        twins = [twin.in_units(_FORCE_FOR_MASS) for twin in twins]
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


def _compared(first: Expression, twin: Expression) -> StatedTwin:
    check_alike(first.unit, twin.unit)
    if first.value is None and len(first.bounds) == 1 and twin.value and len(twin.bounds) == 1:
        # "min. 0.5 mm (0.020 in)": the bracket says again what the limit is.
        (bound,) = first.bounds
        twin = Expression(twin.text, **{bound: twin.value})
    if first.bounds.keys() != twin.bounds.keys():
        raise InvalidInput(
            "/text",
            f"'{first.text}' and '{twin.text}' are not of one form: value, range or limit.",
            "Give one of them alone.",
            "twin-of-another-form",
        )
    bounds = [(bound, first.bounds[bound], twin.bounds[bound]) for bound in twin.bounds]
    return compare(twin.text, twin.unit, bounds)


def _with_readings(error: NotUnderstood, plain: str) -> InvalidInput:
    """Return the error with the readings that the text allows once mended, where there are some."""
    readings = [
        mended for mended in _mended(plain[: error.at], plain[error.at :]) if _is_read(mended)
    ]
    if not readings:
        return error
    return Ambiguous(
        "/text",
        f"'{plain[:80]}' is not understood as it stands.",
        "Check the page and send the reading that is meant.",
        readings,
    )


def _mended(before: str, rest: str) -> Iterator[str]:
    """Yield what may be meant: a bracket scanned as 1, a blank in a number, a lost sign."""
    misread = _MISREAD_BRACKET.match(rest)
    if misread and rest.endswith(")") and "(" not in before + rest:
        yield f"{before} ({rest[misread.end() :]}"
    group = _GROUP.match(rest)
    if group and before[-1:].isdigit():
        yield f"{before}{group.group(1)}{rest[group.end() :]}"
    if before.rstrip(" ").endswith(("'", "ft")):
        yield f'{before}{rest}"'
    # A plus sign in an address that is not written %2B arrives as a blank.
    yield f"{before.rstrip(' ')} + {rest.lstrip(' ')}"


def _is_read(text: str) -> bool:
    try:
        _read(text)
    except InvalidInput:
        return False
    return True
