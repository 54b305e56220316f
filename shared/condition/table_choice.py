"""A row of a maker's table by what was measured, the wear of parts taken out of it first.

Exact decimals in the unit of the measured value. A value between two rows is said to be so; doubt
that reaches over several rows is told, and no row is chosen then.
"""

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise
from math import sqrt

from shared.condition.conformity import Distribution, conformity_probability
from shared.condition.table_rows import (
    Choice,
    RowChance,
    Span,
    TableChoice,
    TableRow,
    WornPart,
    span_of,
)
from shared.condition.table_told import notes_of_choice, notes_of_table, notes_of_wear
from shared.errors import InvalidInput, OutOfRange
from shared.quantities import Quantity
from shared.quantities.units import canonical as in_canonical
from shared.quantities.units import (
    check_quantity,
    convert,
    kind_of,
    standard_uncertainty,
)


def choose_row(
    measured: Quantity,
    worn: Sequence[WornPart],
    rows: Sequence[TableRow],
    acceptance_probability: float = 0.95,
) -> TableChoice:
    """Choose a row: corrected = measured - sum over worn parts of (new - measured pieces).

    For what grows as its parts wear: end play, backlash. With every doubt known a row is chosen
    only at ``acceptance_probability``; with one not known the row of the bare value is told, with
    the distance to the nearest end of a row. Raises InvalidInput with a pointer: another kind of
    quantity, a temperature, a row without ends or upside down, doubt stated in a table, parts
    worn by more than was measured.

    >>> inch = lambda text: Quantity(Decimal(text), "in")
    >>> washers = WornPart("washers", (inch("0.117"), inch("0.116")), inch("0.244"))
    >>> found = choose_row(inch("0.034"), [washers], [TableRow("0.005 over", inch("0.017"))])
    >>> found.corrected, found.wear
    (Decimal('0.023'), Decimal('0.011'))
    """
    if not 0.5 <= acceptance_probability < 1:
        raise OutOfRange("acceptance_probability", acceptance_probability, "0.5 to below 1")
    kind = kind_of(measured.unit)
    if kind == "temperature":
        raise InvalidInput(
            "/measured/unit",
            "Of temperatures no wear is taken out.",
            "Give a size, such as one in mm.",
            "unit-wrong-dimension",
        )
    check_quantity(measured, kind, "/measured")
    spans = [span_of(row, measured.unit, kind, place) for place, row in enumerate(rows)]
    if not spans:
        raise InvalidInput("/rows", "The table has no row.", "Give its rows.", "rows-missing")
    wears = [_wear(part, measured.unit, kind, place) for place, part in enumerate(worn)]
    wear = sum(wears, Decimal(0))
    corrected = measured.value - wear
    if corrected < 0 <= measured.value:
        raise InvalidInput(
            "/corrections",
            f"The parts are worn by {wear:.6g} {measured.unit} together, more than the"
            f" {measured.value:f} {measured.unit} that were measured.",
            "Mend a size or its unit: of the pieces, when new, or of what was measured.",
            "wear-above-measured",
        )
    u = _doubt(measured, worn, kind)
    at_value = tuple(place for place, span in enumerate(spans) if span.holds(corrected))
    chances = _chances(corrected, u, spans, measured, worn)
    choice, row = _choice(corrected, spans, at_value, chances, acceptance_probability)
    raw = [place for place, span in enumerate(spans) if span.holds(measured.value)]
    return TableChoice(
        measured.unit,
        wear,
        corrected,
        u,
        choice,
        row,
        raw[0] if len(raw) == 1 else None,
        at_value,
        chances,
        _to_edge(corrected, spans),
        (
            *notes_of_wear(worn, wears),
            *notes_of_choice(choice, corrected, measured.unit, spans, rows),
            *notes_of_table(spans, rows, measured.unit),
            *_notes_of_doubt(worn, u),
        ),
        tuple(raw) != at_value,
    )


def _wear(part: WornPart, unit: str, kind: str, place: int) -> Decimal:
    at = f"/corrections/{place}"
    check_quantity(part.new, kind, f"{at}/new")
    total = convert(part.new.value, part.new.unit, unit)
    for piece, measured in enumerate(part.measured):
        check_quantity(measured, kind, f"{at}/measured/{piece}")
        total -= convert(measured.value, measured.unit, unit)
    return total


def _doubt(measured: Quantity, worn: Sequence[WornPart], kind: str) -> float | None:
    """Root sum of squares in the unit of ``measured``; None: that of a measured size is missing.

    The size when new may state none: a new part has its size.
    """
    pieces = [measured, *(piece for part in worn for piece in part.measured)]
    doubts = [standard_uncertainty(piece, kind) for piece in pieces]
    known = [u for u in doubts if u is not None]
    if len(known) < len(doubts):
        return None
    known += [standard_uncertainty(part.new, kind) or 0.0 for part in worn]
    one = in_canonical(Quantity(Decimal(1), measured.unit), kind)
    return sqrt(sum(u * u for u in known)) / one


def _chances(
    value: Decimal,
    u: float | None,
    spans: Sequence[Span],
    measured: Quantity,
    worn: Sequence[WornPart],
) -> tuple[RowChance, ...]:
    if u is None:
        return ()
    is_rectangular = measured.plus_minus is not None and not worn
    shape = Distribution.RECTANGULAR if is_rectangular else Distribution.NORMAL

    def chance(lower: Decimal | None, upper: Decimal | None) -> float:
        return conformity_probability(
            float(value),
            u,
            None if lower is None else float(lower),
            None if upper is None else float(upper),
            distribution=shape,
        )

    found = [RowChance(place, chance(one.lower, one.upper)) for place, one in enumerate(spans)]
    # What no row covers is between rows, or outside the table.
    ends = sorted({end for one in spans for end in (one.lower, one.upper) if end is not None})
    bounds = [None, *ends, None]
    nowhere = sum(
        chance(lower, upper)
        for lower, upper in pairwise(bounds)
        if not any(_covers(one, lower, upper) for one in spans)
    )
    reached = [one for one in found if one.probability >= 0.0005]
    if nowhere >= 0.0005:
        reached.append(RowChance(None, min(1.0, nowhere)))
    return tuple(sorted(reached, key=lambda one: -one.probability))


def _covers(span: Span, lower: Decimal | None, upper: Decimal | None) -> bool:
    from_lower = span.lower is None or (lower is not None and span.lower <= lower)
    to_upper = span.upper is None or (upper is not None and span.upper >= upper)
    return from_lower and to_upper


def _choice(
    value: Decimal,
    spans: Sequence[Span],
    at_value: tuple[int, ...],
    chances: Sequence[RowChance],
    acceptance_probability: float,
) -> tuple[Choice, int | None]:
    if len(at_value) > 1:
        return Choice.SEVERAL_ROWS, None
    if not at_value:
        is_above = any(one.upper is not None and value >= one.upper for one in spans)
        is_below = any(one.lower is not None and value <= one.lower for one in spans)
        return (Choice.BETWEEN_ROWS if is_above and is_below else Choice.OUTSIDE_TABLE), None
    (row,) = at_value
    if chances:
        own = next((one.probability for one in chances if one.row == row), 0.0)
        if own < acceptance_probability:
            return Choice.DOUBTFUL, None
    return Choice.ONE_ROW, row


def _to_edge(value: Decimal, spans: Sequence[Span]) -> Decimal | None:
    ends = [end for one in spans for end in (one.lower, one.upper) if end is not None]
    return min((abs(end - value) for end in ends), default=None)


def _notes_of_doubt(worn: Sequence[WornPart], u: float | None) -> list[str]:
    if u is None:
        return ["A doubt is not stated: say it, or with which gauge."]
    is_exact = [
        part.what
        for part in worn
        if part.new.standard_uncertainty is None
        and part.new.expanded_uncertainty is None
        and part.new.plus_minus is None
    ]
    return [f"The size when new counts as exact: {', '.join(is_exact)}."] if is_exact else []
