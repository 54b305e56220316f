"""Column types that mean the same on SQLite and on PostgreSQL.

SQLite knows no decimals and forgets time zones; PostgreSQL sorts text by language. Each type here
takes and gives one exact Python value on both.
"""

import hashlib
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, Final

from sqlalchemy import JSON, BigInteger, DateTime, Integer, String
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator

PLACES: Final = 6
RATE_PLACES: Final = 12
SCALE: Final = 10**PLACES
"""What one whole is in a scaled column: CHECKs compare with it."""

DIGITS: Final = 18
KEY: Final = 400
"""Characters of a search key."""


def plain(value: Decimal) -> Decimal:
    """Return an equal decimal without trailing zeros and without an exponent above zero.

    Equal values so give equal text, and equal text gives equal hashes.

    >>> plain(Decimal("2.500000")), plain(Decimal("1E+2")), plain(Decimal("-0.000"))
    (Decimal('2.5'), Decimal('100'), Decimal('0'))
    """
    if value == value.to_integral_value():
        return Decimal(int(value))
    return value.normalize()


def fits(value: Decimal, places: int = PLACES) -> bool:
    """Return whether a scaled column holds this decimal exactly: six places, below 10^12.

    With more places it holds less before the point: eighteen digits in all.

    >>> fits(Decimal("0.000001")), fits(Decimal("0.0000001")), fits(Decimal("1E+999999999"))
    (True, False, False)
    >>> fits(Decimal("0.0000001"), 12), fits(Decimal("1000000"), 12)
    (True, False)
    """
    if not value.is_finite() or value.adjusted() >= DIGITS - places:
        return False
    exponent = plain(value).as_tuple().exponent
    return isinstance(exponent, int) and exponent >= -places


def fitting_key(key: str, longest: int) -> str:
    """Return a key of comparison as its column holds it: itself, or its hash where it is longer.

    Folding case can make a text three times as long, and PostgreSQL refuses what does not fit.

    >>> fitting_key("oak hollow", 20)
    'oak hollow'
    >>> fitting_key("oak hollow" * 8, 70)[:20]
    'sha256:244dec3978e0b'
    """
    if len(key) <= longest:
        return key
    return f"sha256:{hashlib.sha256(key.encode()).hexdigest()}"


class ScaledDecimal(TypeDecorator[Decimal]):
    """An exact decimal with six places, kept as a whole number of millionths."""

    impl = BigInteger
    cache_ok = True
    places = PLACES

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> int | None:
        """Refuse what would be rounded: ValueError is a fault of the caller, who asks `fits`."""
        if value is None:
            return None
        if not fits(value, self.places):
            raise ValueError(f"{value} has more than {self.places} places or is too large")
        return int(value.scaleb(self.places))

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Decimal | None:
        """Give the decimal in its shortest form."""
        return None if value is None else plain(Decimal(value).scaleb(-self.places))


class RateDecimal(ScaledDecimal):
    """An exact decimal with twelve places, below a million: a rate between two currencies."""

    cache_ok = True
    places = RATE_PLACES


class EnteredDecimal(TypeDecorator[Decimal]):
    """A decimal exactly as it was entered: "31.40" stays so, its zero says how it was read."""

    impl = String(48)
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> str | None:
        """Write the digits without an exponent."""
        return None if value is None else format(value, "f")

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Decimal | None:
        """Read the digits again."""
        return None if value is None else Decimal(value)


class UtcDateTime(TypeDecorator[datetime]):
    """A moment: aware in, aware in UTC out. SQLite keeps it as UTC without saying so."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a time without an offset: whose midnight it is would be a guess."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no offset from UTC")
        value = value.astimezone(UTC)
        return value.replace(tzinfo=None) if dialect.name == "sqlite" else value

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """Give the moment in UTC."""
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def ident() -> String:
    """Return the type of ids: ordered by code point on both, as the keyset pages need."""
    return String(64).with_variant(String(64, collation="C"), "postgresql")


def search_key() -> String:
    """Return the type of keys that are searched by their beginning: ordered by code point too.

    ``KEY`` characters long; what is longer is kept as its hash (``fitting_key``).
    """
    return String(KEY).with_variant(String(KEY, collation="C"), "postgresql")


def document() -> JSON:
    """Return the type of a JSON document; nothing ever filters inside one."""
    return JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


def sequence() -> BigInteger:
    """Return the type of a counting key; SQLite counts only on INTEGER."""
    return BigInteger().with_variant(Integer(), "sqlite")
