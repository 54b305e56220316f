"""How a plan's figures are written: names, rounded numbers, chances, amounts in words."""

import hashlib
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from shared.decision.planning.case import Plan
from shared.money import Money


def plan_id(plan: Plan) -> str:
    """Name of a plan: the same choice has the same name in every answer."""
    digest = hashlib.sha256("\n".join(sorted(plan.source_ids)).encode()).hexdigest()
    return f"pln_{digest[:12]}"


def number(value: float) -> Decimal:
    """A computed number as a decimal with six significant digits.

    >>> number(0.12345678), number(1234.5678)
    (Decimal('0.123457'), Decimal('1234.57'))
    """
    rounded = Decimal(f"{value:.6g}")
    return Decimal(f"{rounded:f}")


def chance_number(value: float) -> Decimal:
    """A computed chance with six significant digits, never rounded up to certainty.

    >>> chance_number(0.99999999), chance_number(1.0), chance_number(0.5)
    (Decimal('0.999999'), Decimal('1'), Decimal('0.5'))
    """
    rounded = number(value)
    return Decimal("0.999999") if rounded == 1 and value < 1 else rounded


def percent_down(chance: Decimal) -> str:
    """A chance of something good in words, in tenths of a percent, never rounded up.

    >>> percent_down(Decimal("0.9")), percent_down(Decimal("0.89999")), percent_down(Decimal(1))
    ('90%', '89.9%', '100%')
    """
    return _percent(chance, ROUND_FLOOR)


def percent_up(chance: Decimal) -> str:
    """A chance of something bad in words, in tenths of a percent, never rounded down.

    >>> percent_up(Decimal("0.0301")), percent_up(Decimal("0.00001")), percent_up(Decimal("0.04"))
    ('3.1%', '0.1%', '4%')
    """
    return _percent(chance, ROUND_CEILING)


def _percent(chance: Decimal, rounding: str) -> str:
    tenths = (chance * 100).quantize(Decimal("0.1"), rounding=rounding)
    return f"{tenths:f}".removesuffix(".0") + "%"


def amount_told(money: Money) -> str:
    """An amount in words.

    >>> amount_told(Money.of_minor(123450, "EUR"))
    '1234.50 EUR'
    """
    return f"{money.amount} {money.currency}"
