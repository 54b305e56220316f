"""Money: an exact amount in one currency, counted in integer minor units.

Source of the exponents: ISO 4217 table A.1 (from memory; only those that differ from two).
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shared.errors import InvalidInput

_NO_MINOR_UNIT = frozenset(
    "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split()
)
_THREE_DIGITS = frozenset("BHD IQD JOD KWD LYD OMR TND".split())


def minor_digits(currency: str) -> int:
    """Number of decimal digits of a currency's minor unit.

    >>> minor_digits("EUR"), minor_digits("JPY"), minor_digits("KWD")
    (2, 0, 3)
    """
    if currency in _NO_MINOR_UNIT:
        return 0
    return 3 if currency in _THREE_DIGITS else 2


@dataclass(frozen=True, slots=True)
class Money:
    """An exact amount; ``amount`` has the digits of the currency's minor unit."""

    amount: Decimal
    currency: str

    @classmethod
    def of_minor(cls, minor: int, currency: str) -> "Money":
        """Money from integer minor units.

        >>> Money.of_minor(18450, "EUR")
        Money(amount=Decimal('184.50'), currency='EUR')
        """
        return cls(Decimal(minor).scaleb(-minor_digits(currency)), currency)

    @property
    def minor(self) -> int:
        """The amount in integer minor units; raises InvalidInput when it has too many digits.

        >>> Money(Decimal("184.5"), "EUR").minor
        18450
        """
        scaled = self.amount.scaleb(minor_digits(self.currency))
        if scaled != scaled.to_integral_value():
            raise InvalidInput(
                "/amount",
                f"{self.amount} {self.currency} has more digits than the currency's minor unit.",
                f"Give at most {minor_digits(self.currency)} digits after the point.",
                "money-digits",
            )
        return int(scaled)


def round_half_up(value: Decimal) -> int:
    """Nearest integer, halves away from zero: the rule of the counter, and the only one used.

    >>> round_half_up(Decimal("2.5")), round_half_up(Decimal("-2.5"))
    (3, -3)
    """
    return int(value.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def times(minor: int, factor: Decimal) -> int:
    """An amount in minor units times an exact factor, rounded once.

    >>> times(1999, Decimal("1.35"))
    2699
    """
    return round_half_up(Decimal(minor) * factor)
