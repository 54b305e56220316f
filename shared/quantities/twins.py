"""Figures printed side by side in several units: honest rounding, coarse rounding, or a slip.

The figure stated first leads. A twin agrees if the first figure rounds to it; it is rounding if it
differs by no more than 2.5 % or half the last printed digit of either, whichever is larger. Why
2.5 %: manuals print kgf·m as N·m / 10 instead of N·m / 9.80665 (1.9 % off, row after row), and
18 N·m beside 13.0 lbf·ft is 2.1 % off, all harmless; while the slips found in print are mostly a
digit or a power of ten (150 N·m beside 185 lbf·ft). What only rounding to a coarser digit explains
(1.25 N·m beside 10 lbf·in, 10 % off), or a rounding of more than 12.5 % (0.02 mm beside 0.001 in),
is flagged. Common practice, no standard; figures from printed service manuals.
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
    half_digit_of_twin: Decimal
    half_digit_of_either: Decimal
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
        difference_percent=None if percent is None else _rounded(percent),
        status=_status(difference),
    )


def _rounded(percent: Decimal) -> Decimal:
    """Return per cent to two places, however large."""
    return percent.quantize(Decimal("0.01"), context=Context(prec=80))


def _difference(first: Amount, twin: Amount) -> _Difference:
    unit = canonical_unit(first.kind)
    value = first.in_unit(unit)
    size = twin.in_unit(unit) - value
    step_of_first = first.step_in(unit, first.figure.step)
    step_of_twin = twin.step_in(unit, twin.figure.step)
    return _Difference(
        size=abs(size),
        percent=size / abs(value) * 100 if value else None,
        half_digit_of_twin=step_of_twin / 2,
        half_digit_of_either=max(step_of_first, step_of_twin) / 2,
        half_coarse_digit=twin.step_in(unit, twin.figure.coarse_step) / 2,
    )


def _status(difference: _Difference) -> TwinStatus:
    size, percent = difference.size, abs(difference.percent or Decimal(0))
    is_last_digit = size <= difference.half_digit_of_either
    if difference.percent is None:
        return TwinStatus.AGREES if is_last_digit else TwinStatus.CONTRADICTION
    if is_last_digit and percent > COARSE_PERCENT:
        return TwinStatus.COARSE_ROUNDING
    if size <= difference.half_digit_of_twin:
        return TwinStatus.AGREES
    if is_last_digit or percent <= FAIR_PERCENT:
        return TwinStatus.ROUNDING
    if size <= difference.half_coarse_digit and percent <= COARSE_PERCENT:
        return TwinStatus.COARSE_ROUNDING
    return TwinStatus.CONTRADICTION


def _expected(first: Amount, twin: Amount) -> str:
    """Return what the twin should say, to as many digits as it was printed with."""
    digits = max(len(twin.figure.written.lstrip("-0.").replace(".", "")), _FEWEST_DIGITS)
    if twin.figure.is_fraction:
        digits = 6
    expected = Context(prec=digits, rounding=ROUND_HALF_UP).plus(first.in_unit(twin.unit))
    places = max(digits - 1 - expected.adjusted(), 0) if expected else 0
    return plain(expected.quantize(Decimal(1).scaleb(-places), context=Context(prec=80)))
