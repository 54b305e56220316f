"""A maker's rounding of the wanted thickness, as data. Exact numbers of mm."""

from collections.abc import Sequence
from fractions import Fraction
from math import floor
from typing import NoReturn

from shared.condition.shim_place import RoundingStep, ShimRounding, ShimRule
from shared.condition.shims.lengths import above_zero_mm, plain_mm, told
from shared.errors import InvalidInput

_DECADE = 10


def check_rule(rule: ShimRule, pointer: str) -> None:
    """Check that a rule says one thing and all of it; raises InvalidInput at the member.

    Each digit from 0 to 9 stands in one row of a rounding table; a step has its way of rounding;
    "thicker by" has its end.
    """
    if (rule.step is None) != (rule.rounding is None):
        missing = "rounding" if rule.rounding is None else "step"
        _refuse(f"{pointer}/{missing}", "step and rounding go together.", "Give both, or neither.")
    if bool(rule.digits) != (rule.digits_unit is not None):
        missing = "digits_unit" if rule.digits else "digits"
        _refuse(f"{pointer}/{missing}", "digits and digits_unit go together.", "Give both.")
    if rule.digits and rule.step is not None:
        _refuse(f"{pointer}/digits", "Got digits and step: two ways to round.", "Give one of them.")
    if (rule.thicker_by is None) != (rule.thicker_at_most is None):
        missing = "thicker_at_most" if rule.thicker_at_most is None else "thicker_by"
        _refuse(f"{pointer}/{missing}", "thicker_by and thicker_at_most go together.", "Give both.")
    for name in ("step", "digits_unit", "thicker_by", "thicker_at_most", "mean_cut_to"):
        length = getattr(rule, name)
        if length is not None:
            plain_mm(length, f"{pointer}/{name}")
            above_zero_mm(length, f"{pointer}/{name}")
    if rule.digits:
        _check_digits(rule.digits, f"{pointer}/digits")
    if rule.most_shims is not None and rule.most_shims < 1:
        _refuse(f"{pointer}/most_shims", "most_shims is below 1.", "Give 1 or more.")


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


def _check_digits(rows: Sequence[RoundingStep], pointer: str) -> None:
    covered = sorted(digit for row in rows for digit in range(row.first, row.last + 1))
    if covered != list(range(_DECADE)) or any(row.first > row.last for row in rows):
        _refuse(
            pointer,
            "The rows do not hold each last digit from 0 to 9 once.",
            "Give rows without gaps and overlaps, as the manual's table has them.",
            "rounding-table",
        )
    for place, row in enumerate(rows):
        if not 0 <= row.to <= _DECADE:
            _refuse(f"{pointer}/{place}/to", f"to is {row.to}; wanted 0 to 10.", "Give 0 to 10.")


def _refuse(pointer: str, detail: str, fix: str, code: str = "rule-incomplete") -> NoReturn:
    raise InvalidInput(pointer, detail, fix, code)
