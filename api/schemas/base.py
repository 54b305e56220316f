"""What every body and every answer is made of: strict text, decimals, dates, money, quantities.

``Body`` is what comes in: unknown members are refused, a member that is ``null`` counts as missing.
``Answer`` is what goes out. ``to_domain`` and ``from_domain`` carry values over the border to the
frozen dataclasses of ``shared`` and back; the members have the names of the dataclass's fields.

A check that fails says so with ``refuse(code, detail, fix)``: detail names the value seen and the
value wanted, fix says what to do; ``api/errors.py`` adds the JSON pointer.
"""

import re
import unicodedata
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Annotated, Any, NoReturn, TypeVar

import msgspec
from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError

from shared import typed
from shared.decision.check.interchange import MOST_PIECES
from shared.decision.check.numbers import LARGEST_AMOUNT_MINOR
from shared.errors import InvalidInput, UnknownUnit
from shared.money import minor_digits
from shared.quantities.units import kind_of

D = TypeVar("D")
M = TypeVar("M", bound="Answer")

DECIMAL_PATTERN = r"-?(0|[1-9][0-9]{0,14})(\.[0-9]{1,6})?"
LARGEST_INTEGER = 2**53 - 1
FIRST_YEAR, LAST_YEAR = 1900, 2199

_DECIMAL = re.compile(DECIMAL_PATTERN)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DATE_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?"
    r"(Z|[+-][0-9]{2}:[0-5][0-9])"
)
_CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")
_ID = re.compile(r"[A-Za-z0-9_.:#-]{1,64}")
_CURRENCY = re.compile(r"[A-Z]{3}")
# Invisible characters that reorder or hide text: they make two different names look alike.
_HIDDEN = frozenset("\u200b\u2060\ufeff\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


# --- saying no ---------------------------------------------------------------------------------


def refuse(code: str, detail: str, fix: str, at: str = "") -> NoReturn:
    """Refuse a value from inside a validator; ``at`` is a pointer below the value checked."""
    raise PydanticCustomError(
        code, "{detail}", {"detail": _encodable(detail), "fix": _encodable(fix), "at": at}
    )


def _encodable(text: str) -> str:
    """Return a message with the halves of characters that a value seen may hold written out."""
    return text.encode(errors="backslashreplace").decode()


def refuse_as(error: InvalidInput) -> NoReturn:
    """Refuse a value for the reason that a check of the domain gave."""
    refuse(error.code, error.detail, error.fix, error.pointer)


def shown(value: object) -> str:
    """Return a value as a message may show it: named by its JSON kind, never longer than a line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "null"
    if isinstance(value, str):
        return "'" + (value if len(value) <= 60 else value[:57] + "...") + "'"
    if isinstance(value, int | float):
        text = repr(value)
        return "the number " + (text if len(text) <= 40 else text[:37] + "...")
    if isinstance(value, Decimal):
        return plain(value)
    return "an array" if isinstance(value, list | tuple) else "an object"


# --- text --------------------------------------------------------------------------------------


def clean_text(value: object, longest: int) -> str:
    """Return text in NFC, at most ``longest`` characters, nothing hidden in it, not blank."""
    if not isinstance(value, str):
        refuse("text-type", f"Got {shown(value)}; wanted text.", "Put the value in quotes.")
    if len(value) > 4 * longest:
        _refuse_length(value, longest)
    try:
        value.encode()
    except UnicodeEncodeError:
        refuse("text-character", "The text holds half a character (a lone surrogate).", "Mend it.")
    text = unicodedata.normalize("NFC", value)
    if len(text) > longest:
        _refuse_length(text, longest)
    if not text.strip():
        refuse("text-blank", "The text is empty or blank.", "Write something, or leave it out.")
    for character in text:
        if character in _HIDDEN or (
            unicodedata.category(character) == "Cc" and character not in "\n\t"
        ):
            refuse(
                "text-character",
                f"The text holds the control character U+{ord(character):04X}.",
                "Remove it; of the control characters only line feed and tab are taken.",
            )
    return text


def _refuse_length(text: str, longest: int) -> NoReturn:
    refuse(
        "text-length",
        f"The text has {len(text)} characters; wanted at most {longest}.",
        f"Shorten it to {longest} characters.",
    )


def text_up_to(longest: int) -> BeforeValidator:
    """Make the validator for text of at most ``longest`` characters."""
    return BeforeValidator(lambda value: clean_text(value, longest))


_RATE = re.compile(r"(0|[1-9][0-9]{0,5})(\.[0-9]{1,12})?")
_RATE_DIGITS = 12


def read_rate(value: object) -> Decimal:
    """Read a rate between two currencies from its text: above 0, at most twelve digits."""
    if isinstance(value, Decimal):
        return value
    wanted = (
        f'a rate as text such as "0.9217", above 0 and below 1000000, of at most {_RATE_DIGITS}'
        " digits"
    )
    if not isinstance(value, str) or not _RATE.fullmatch(value):
        refuse("decimal-format", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
    rate = Decimal(value)
    if rate <= 0 or len(rate.as_tuple().digits) > _RATE_DIGITS:
        refuse("out-of-range", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
    return rate


def matching(pattern: re.Pattern[str], code: str, wanted: str) -> BeforeValidator:
    """Make the validator for text that must match ``pattern`` from end to end."""

    def check(value: object) -> str:
        if not isinstance(value, str) or not pattern.fullmatch(value):
            refuse(code, f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
        return value

    return BeforeValidator(check)


def text_schema(longest: int, **more: Any) -> WithJsonSchema:
    """Make the schema of text of at most ``longest`` characters."""
    return WithJsonSchema({"type": "string", "minLength": 1, "maxLength": longest, **more})


ShortText = Annotated[str, text_up_to(200), text_schema(200)]
LongText = Annotated[str, text_up_to(2000), text_schema(2000)]
IdText = Annotated[
    str,
    matching(_ID, "id-format", "an id of 1 to 64 letters, digits, or _ . : # -"),
    text_schema(64, pattern=f"^{_ID.pattern}$"),
]
CurrencyCode = Annotated[
    str,
    matching(_CURRENCY, "currency-format", "a currency code of three capital letters (ISO 4217)"),
    text_schema(3, pattern="^[A-Z]{3}$"),
]
ClockTime = Annotated[
    str,
    matching(_CLOCK, "clock-format", 'a time of day such as "15:30"'),
    text_schema(5, pattern=f"^{_CLOCK.pattern}$"),
]


# --- numbers -----------------------------------------------------------------------------------


def plain(value: Decimal) -> str:
    """Return a decimal as plain text, never with an exponent.

    >>> plain(Decimal("1E+3")), plain(Decimal("-0.50"))
    ('1000', '-0.50')
    """
    return format(value, "f")


def without_last_zeros(value: Decimal) -> Decimal:
    """Return a decimal without the zeros that end its fraction.

    >>> [str(without_last_zeros(Decimal(text))) for text in ("7.50", "20.000", "100", "0.000001")]
    ['7.5', '20', '100', '0.000001']
    """
    text = plain(value)
    return Decimal(text.rstrip("0").rstrip(".")) if "." in text else value


def read_decimal(value: object) -> Decimal:
    """Read a decimal from its text; a decimal already read passes."""
    if isinstance(value, Decimal):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        refuse(
            "decimal-format",
            f'Got {shown(value)}; send decimals as text, such as "184.50".',
            "Put the number in quotes.",
        )
    if not isinstance(value, str) or not _DECIMAL.fullmatch(value):
        refuse(
            "decimal-format",
            f'Got {shown(value)}; wanted a decimal as text, such as "184.50".',
            "Use digits and one point: at most 15 digits before it and 6 after it.",
        )
    number = Decimal(value)
    if number.is_zero() and number.is_signed():
        refuse("decimal-format", f"Got {shown(value)}, a negative zero.", "Write 0.")
    return number


def decimal_between(
    lower: str | None, upper: str | None, wanted: str, code: str = "out-of-range"
) -> BeforeValidator:
    """Make the validator for a decimal within bounds, both included, said by ``wanted``."""
    least = None if lower is None else Decimal(lower)
    most = None if upper is None else Decimal(upper)

    def check(value: object) -> Decimal:
        number = read_decimal(value)
        if (least is not None and number < least) or (most is not None and number > most):
            refuse(code, f"Got {plain(number)}; wanted {wanted}.", f"Give {wanted}.")
        return number

    return BeforeValidator(check)


def _above_zero(value: object) -> Decimal:
    number = read_decimal(value)
    if number <= 0:
        refuse("out-of-range", f"Got {plain(number)}; wanted more than 0.", "Give more than 0.")
    return number


_AS_TEXT = PlainSerializer(plain, return_type=str)
_SIGNED_SCHEMA = WithJsonSchema(
    {"type": "string", "pattern": f"^{DECIMAL_PATTERN}$", "maxLength": 23}
)
_UNSIGNED_SCHEMA = WithJsonSchema(
    {"type": "string", "pattern": f"^{DECIMAL_PATTERN[2:]}$", "maxLength": 22}
)

DecimalText = Annotated[Decimal, BeforeValidator(read_decimal), _AS_TEXT, _SIGNED_SCHEMA]
PositiveDecimalText = Annotated[Decimal, BeforeValidator(_above_zero), _AS_TEXT, _UNSIGNED_SCHEMA]
NonNegativeDecimalText = Annotated[
    Decimal, decimal_between("0", None, "0 or more"), _AS_TEXT, _UNSIGNED_SCHEMA
]
ProbabilityText = Annotated[
    Decimal, decimal_between("0", "1", "a probability from 0 to 1"), _AS_TEXT, _UNSIGNED_SCHEMA
]
PercentText = Annotated[
    Decimal, decimal_between("0", "1000", "a percentage from 0 to 1000"), _AS_TEXT, _UNSIGNED_SCHEMA
]
SharePercent = Annotated[
    Decimal, decimal_between("0", "100", "a percentage from 0 to 100"), _AS_TEXT, _UNSIGNED_SCHEMA
]
HoursPerYearText = Annotated[
    Decimal,
    decimal_between("0.000001", "8784", "more than 0 hours, at most the 8784 of a leap year"),
    _AS_TEXT,
    _UNSIGNED_SCHEMA,
]
EffortText = Annotated[
    Decimal,
    decimal_between("0.000001", "100", "more than 0, at most 100"),
    AfterValidator(without_last_zeros),  # part of a hash: 7.50 asks what 7.5 asks
    _AS_TEXT,
    _UNSIGNED_SCHEMA,
]
HoursText = Annotated[
    Decimal,
    decimal_between("0", "1000000", "hours from 0 to 1000000"),
    _AS_TEXT,
    _UNSIGNED_SCHEMA,
]
DaysText = Annotated[
    Decimal, decimal_between("0", "1000", "days from 0 to 1000"), _AS_TEXT, _UNSIGNED_SCHEMA
]
RateText = Annotated[
    Decimal,
    BeforeValidator(read_rate),
    _AS_TEXT,
    WithJsonSchema({"type": "string", "pattern": f"^{_RATE.pattern}$", "maxLength": 19}),
]
"""How many units of one currency another is worth; small currencies need twelve places."""
DecimalOut = Annotated[
    Decimal,
    _AS_TEXT,
    WithJsonSchema({"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$", "maxLength": 40}),
]
"""A computed decimal on its way out: plain text, up to 12 places."""


def read_whole(value: object) -> int:
    """Read a whole number; true, 1.0 and "1" are not whole numbers."""
    if type(value) is not int:
        refuse(
            "integer-type",
            f"Got {shown(value)}; wanted a whole number.",
            "Write digits, no quotes.",
        )
    return value


def whole_between(least: int, most: int) -> BeforeValidator:
    """Make the validator for a whole number within bounds, both included."""

    def check(value: object) -> int:
        number = read_whole(value)
        if not least <= number <= most:
            wanted = f"a whole number from {least} to {most}"
            refuse("out-of-range", f"Got {shown(number)}; wanted {wanted}.", f"Give {wanted}.")
        return number

    return BeforeValidator(check)


def _whole_schema(least: int, most: int) -> WithJsonSchema:
    return WithJsonSchema({"type": "integer", "minimum": least, "maximum": most})


WholeNumber = Annotated[int, whole_between(0, LARGEST_INTEGER), _whole_schema(0, LARGEST_INTEGER)]
Count = Annotated[int, whole_between(1, 10000), _whole_schema(1, 10000)]
PiecesForOne = Annotated[
    int, whole_between(1, MOST_PIECES), _whole_schema(1, MOST_PIECES)
]  # Beyond it no decision could reckon.
UpToTen = Annotated[int, whole_between(1, 10), _whole_schema(1, 10)]


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        refuse("boolean-type", f"Got {shown(value)}; wanted true or false.", "Write true or false.")
    return value


Flag = Annotated[bool, BeforeValidator(_flag)]


# --- dates -------------------------------------------------------------------------------------


def read_date(value: object) -> date:
    """Read a calendar date from text, "YYYY-MM-DD"."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    wanted = f'a date such as "2031-03-04", from year {FIRST_YEAR} to {LAST_YEAR}'
    try:
        if isinstance(value, str) and _DATE.fullmatch(value):
            day = date.fromisoformat(value)
            if FIRST_YEAR <= day.year <= LAST_YEAR:
                return day
    except ValueError:
        pass
    refuse("date-format", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")


def read_date_time(value: object) -> datetime:
    """Read a moment from text with its offset, and turn it to UTC."""
    if isinstance(value, datetime) and value.tzinfo is not None:
        return value.astimezone(UTC)
    wanted = (
        'a date and time with offset such as "2031-03-04T09:15:00Z",'
        f" from year {FIRST_YEAR} to {LAST_YEAR}"
    )
    try:
        if isinstance(value, str) and _DATE_TIME.fullmatch(value):
            moment = datetime.fromisoformat(value)
            if FIRST_YEAR <= moment.year <= LAST_YEAR:
                return moment.astimezone(UTC)
    except ValueError:
        pass
    refuse("date-time-format", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")


def _utc_text(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


CalendarDate = Annotated[
    date,
    BeforeValidator(read_date),
    WithJsonSchema({"type": "string", "format": "date", "maxLength": 10}),
]
UtcDateTime = Annotated[
    datetime,
    BeforeValidator(read_date_time),
    PlainSerializer(_utc_text, return_type=str),
    WithJsonSchema({"type": "string", "format": "date-time", "maxLength": 40}),
]


# --- models ------------------------------------------------------------------------------------


class Answer(BaseModel):
    """What goes out. Fields carry no defaults, so that a client sees they are always there."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", json_schema_serialization_defaults_required=True
    )


class Body(Answer):
    """What comes in: unknown members are refused; ``null`` and a missing member mean the same."""

    @model_validator(mode="before")
    @classmethod
    def _null_is_missing(cls, data: Any) -> Any:
        if isinstance(data, dict):
            known = cls.model_fields
            return {
                name: value
                for name, value in data.items()
                if value is not None or name not in known
            }
        if isinstance(data, BaseModel):
            return data
        refuse("object-type", f"Got {shown(data)}; wanted an object.", "Send members in braces.")


class MoneyIn(Body):
    """An amount that is not negative, in one currency."""

    model_config = ConfigDict(title="Money")

    amount: NonNegativeDecimalText = Field(
        description="Amount as text, with no more digits than the currency has.",
        examples=["184.50"],
    )
    currency: CurrencyCode = Field(description="Currency code, ISO 4217.", examples=["EUR"])

    @model_validator(mode="before")
    @classmethod
    def _exact_digits(cls, data: Any) -> Any:
        """Give the amount exactly the digits of its currency; more digits are refused."""
        if not isinstance(data, dict):
            return data
        amount, currency = data.get("amount"), data.get("currency")
        if not isinstance(amount, str) or not _DECIMAL.fullmatch(amount) or amount[0] == "-":
            return data
        if not isinstance(currency, str) or not _CURRENCY.fullmatch(currency):
            return data
        digits = minor_digits(currency)
        exact = Decimal(amount).quantize(Decimal(1).scaleb(-digits))
        if exact != Decimal(amount):
            refuse(
                "money-digits",
                f"Got {amount} {currency}; {currency} has {digits} digits after the point.",
                f"Give at most {digits} digits after the point.",
                "/amount",
            )
        most = Decimal(LARGEST_AMOUNT_MINOR).scaleb(-digits)
        if exact > most:
            refuse(
                "out-of-range",
                f"Got {amount} {currency}; wanted at most {most:f}.",
                f"Give at most {most:f}.",
                "/amount",
            )
        return {**data, "amount": exact}


class MoneyOut(Answer):
    """An amount in one currency; it may be negative."""

    amount: DecimalOut = Field(description="Amount as text.", examples=["184.50"])
    currency: str = Field(description="Currency code, ISO 4217.", examples=["EUR"], max_length=3)


def _unit_code(value: object) -> str:
    if not isinstance(value, str):
        refuse("unit-unknown", f"Got {shown(value)}; wanted a unit code.", "Give one, such as mm.")
    try:
        kind_of(value[:64])
    except UnknownUnit as error:
        refuse(error.code, error.detail, error.fix)
    return value


UnitCode = Annotated[str, BeforeValidator(_unit_code), text_schema(16)]


class QuantityIn(Body):
    """A value with its unit; a measured one may state its doubt in one of three ways (GUM)."""

    model_config = ConfigDict(title="Quantity")

    value: DecimalText = Field(description="The value as text.", examples=["31.42"])
    unit: UnitCode = Field(description="Unit code from the closed list.", examples=["mm"])
    standard_uncertainty: PositiveDecimalText | None = Field(
        default=None, description="Standard uncertainty u, in the unit.", examples=["0.02"]
    )
    expanded_uncertainty: PositiveDecimalText | None = Field(
        default=None,
        description="Expanded uncertainty U = k u, in the unit.",
        examples=["0.04"],
    )
    coverage_factor: PositiveDecimalText | None = Field(
        default=None,
        description="Coverage factor k of the expanded uncertainty; 2 if not given.",
        examples=["2"],
    )
    plus_minus: PositiveDecimalText | None = Field(
        default=None,
        description="Half-width within which the value surely lies, in the unit.",
        examples=["0.05"],
    )

    @model_validator(mode="after")
    def _one_way_of_doubt(self) -> "QuantityIn":
        ways = [
            name
            for name in ("standard_uncertainty", "expanded_uncertainty", "plus_minus")
            if getattr(self, name) is not None
        ]
        if len(ways) > 1:
            refuse(
                "uncertainty-twice",
                f"Got {' and '.join(ways)}; wanted at most one of them.",
                f"Keep {ways[0]} and leave the others out.",
                f"/{ways[1]}",
            )
        if self.coverage_factor is not None and self.expanded_uncertainty is None:
            refuse(
                "coverage-alone",
                "Got coverage_factor without expanded_uncertainty.",
                "Give expanded_uncertainty too, or leave coverage_factor out.",
                "/coverage_factor",
            )
        return self


class QuantityOut(Answer):
    """A computed or recorded value with its unit."""

    value: DecimalOut = Field(description="The value as text.", examples=["31.42"])
    unit: str = Field(description="Unit code.", examples=["mm"], max_length=16)


class UncertainQuantityOut(QuantityOut):
    """A value that may carry its standard uncertainty."""

    standard_uncertainty: DecimalOut | None = Field(
        description="Standard uncertainty, in the unit; null where none is known.",
        examples=["0.02"],
    )


# --- over the border ---------------------------------------------------------------------------


def to_domain(model: BaseModel, kind: type[D]) -> D:
    """Turn a checked body into a frozen dataclass of the domain, member by member."""
    return typed.convert(model.model_dump(), kind)


def to_domain_with_id(model: BaseModel, kind: type[D], record_id: str) -> D:
    """Turn a checked body into a dataclass of the domain, with the id that it is given."""
    return typed.convert({**model.model_dump(), "id": record_id}, kind)


def to_members(value: object) -> Any:
    """Turn a dataclass tree into dictionaries and lists; decimals and dates stay what they are."""
    return msgspec.to_builtins(value, builtin_types=(Decimal, date, datetime))


def from_domain(value: object, model: type[M]) -> M:
    """Turn a dataclass of the domain into an answer, member by member."""
    return model.model_validate(to_members(value))


def checked(check: Callable[[], None]) -> None:
    """Run a check of the domain inside a validator; its InvalidInput becomes a refusal."""
    try:
        check()
    except InvalidInput as error:
        refuse_as(error)
