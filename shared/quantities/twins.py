"""Figures printed side by side in several units: honest rounding, coarse rounding, or a slip.

The figure stated first leads. A twin may differ by the larger of 2.5 % and half the last printed
digit of either. Why 2.5 %: manuals print kgf·m as N·m / 10 instead of N·m / 9.80665 (1.9 % off,
row after row), and 18 N·m beside 13.0 lbf·ft is 2.1 % off, all harmless; while the slips found in
print begin at 6 % (99 beside 105) and mostly are a digit or a power of ten. A figure rounded to
its last digit that is not zero (1.25 N·m beside 10 lbf·in, 10 % off) is flagged as coarse. Common
practice, no standard; figures from printed service manuals.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Final

from shared.quantities.amounts import Amount
from shared.quantities.printed import plain
from shared.quantities.reading import StatedTwin, TwinBound, TwinStatus
from shared.quantities.units import canonical_unit

FAIR_PERCENT: Final = Decimal("2.5")
COARSE_PERCENT: Final = Decimal("12.5")

_WORST_LAST: Final = tuple(TwinStatus)
_FEWEST_DIGITS: Final = 2


@dataclass(frozen=True, slots=True)
class _Difference:
    """The difference between two amounts in the canonical unit, and what rounding may explain."""

    size: Decimal
    percent: Decimal | None
    half_digit: Decimal
    half_coarse_digit: Decimal


def compare(text: str, unit: str, bounds: list[tuple[str, Amount, Amount]]) -> StatedTwin:
    """Return how a twin agrees; ``bounds`` are (bound, amount stated first, amount of the twin)."""
    compared = tuple(_compare(bound, first, twin) for bound, first, twin in bounds)
    worst = max((bound.status for bound in compared), key=_WORST_LAST.index)
    return StatedTwin(text, unit, compared, worst)


def _compare(bound: str, first: Amount, twin: Amount) -> TwinBound:
    difference = _difference(first, twin)
    percent = difference.percent
    return TwinBound(
        bound=bound,
        printed=twin.figure.written,
        expected=_expected(first, twin),
        difference_percent=None if percent is None else round(percent, 2),
        status=_status(difference),
    )


def _difference(first: Amount, twin: Amount) -> _Difference:
    unit = canonical_unit(first.kind)
    value = first.canonical()
    size = twin.in_unit(unit) - value
    steps = first.step_in(unit, first.figure.step), twin.step_in(unit, twin.figure.step)
    return _Difference(
        size=abs(size),
        percent=size / abs(value) * 100 if value else None,
        half_digit=max(steps) / 2,
        half_coarse_digit=twin.step_in(unit, twin.figure.coarse_step) / 2,
    )


def _status(difference: _Difference) -> TwinStatus:
    is_last_digit = difference.size <= difference.half_digit
    percent = difference.percent
    if percent is None:
        return TwinStatus.AGREES if is_last_digit else TwinStatus.CONTRADICTION
    if abs(percent) <= FAIR_PERCENT:
        return TwinStatus.AGREES if is_last_digit else TwinStatus.ROUNDING
    if is_last_digit:
        return TwinStatus.ROUNDING
    if difference.size <= difference.half_coarse_digit and abs(percent) <= COARSE_PERCENT:
        return TwinStatus.COARSE_ROUNDING
    return TwinStatus.CONTRADICTION


def _expected(first: Amount, twin: Amount) -> str:
    """Return what the twin should say, to as many digits as it was printed with."""
    digits = max(len(twin.figure.written.lstrip("-0.").replace(".", "")), _FEWEST_DIGITS)
    if twin.figure.is_fraction:
        digits = 6
    return plain(Context(prec=digits, rounding=ROUND_HALF_UP).plus(first.in_unit(twin.unit)))
