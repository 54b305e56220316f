"""A maker's rounding of the wanted thickness, as data. Exact numbers of mm."""

from collections.abc import Sequence
from fractions import Fraction
from math import floor

from shared.condition.shim_place import RoundingStep, ShimRounding, ShimRule
from shared.condition.shims.lengths import plain_mm, told

_DECADE = 10


def seeks_exactly(rule: ShimRule | None) -> bool:
    """Whether a rule names one thickness to make, instead of leaving the range open."""
    return rule is not None and (
        rule.step is not None or bool(rule.digits) or rule.thicker_by is not None
    )


def rounded(wanted: Fraction, rule: ShimRule) -> tuple[Fraction, tuple[str, ...]]:
    """Return a wanted thickness rounded by the rule, mm, and what has to be looked at.

    >>> from shared.quantities import Quantity
    >>> from decimal import Decimal
    >>> rows = (RoundingStep(0, 2, 0), RoundingStep(3, 7, 5), RoundingStep(8, 9, 10))
    >>> table = ShimRule(digits=rows, digits_unit=Quantity(Decimal("0.01"), "mm"))
    >>> rounded(Fraction("0.53"), table)[0] == Fraction("0.55")
    True
    """
    if rule.digits and rule.digits_unit is not None:
        return _by_table(wanted, rule.digits, plain_mm(rule.digits_unit, "/rule/digits_unit"))
    if rule.step is not None and rule.rounding is not None:
        return _by_step(wanted, plain_mm(rule.step, "/rule/step"), rule.rounding)
    return wanted, ()


def cut_off(mean: Fraction, to: Fraction) -> Fraction:
    """Return a mean cut off to multiples, towards 0; never rounded.

    >>> cut_off(Fraction("0.77875"), Fraction("0.01")) == Fraction("0.77")
    True
    """
    whole = floor(abs(mean) / to) * to
    return whole if mean >= 0 else -whole


def _by_step(
    wanted: Fraction, step: Fraction, rounding: ShimRounding
) -> tuple[Fraction, tuple[str, ...]]:
    below = floor(wanted / step) * step
    if below == wanted or rounding is ShimRounding.DOWN:
        return below, ()
    if rounding is ShimRounding.UP or wanted - below > step / 2:
        return below + step, ()
    if wanted - below < step / 2:
        return below, ()
    text = (
        f"{told(wanted)} is as near to {told(below)} as to {told(below + step)}: the thinner is"
        " taken; ask the manual which"
    )
    return below, (text,)


def _by_table(
    wanted: Fraction, rows: Sequence[RoundingStep], unit: Fraction
) -> tuple[Fraction, tuple[str, ...]]:
    counted = wanted / unit
    below = floor(counted)
    if below == counted:
        return _row(below, rows) * unit, ()
    under, over = _row(below, rows), _row(below + 1, rows)
    if under == over:
        return under * unit, ()
    text = (
        f"{told(wanted)} falls between two rows of the rounding table ({told(under * unit)} and"
        f" {told(over * unit)}): the nearer is taken, measure more finely"
    )
    return (under if counted - below < Fraction(1, 2) else over) * unit, (text,)


def _row(counted: int, rows: Sequence[RoundingStep]) -> int:
    decade, digit = divmod(counted, _DECADE)
    to = next(row.to for row in rows if row.first <= digit <= row.last)
    return decade * _DECADE + to
