"""Values that no member takes, by the kind of member; what text may be strange and is kept."""

import json
from dataclasses import dataclass
from typing import Any

Schema = dict[str, Any]


@dataclass(frozen=True)
class Raw:
    """Characters that stand in the body as they are: numbers that no encoder writes."""

    characters: str

    def __repr__(self) -> str:
        return f"raw {self.characters[:20]}"


def encoded(body: Any) -> bytes:
    """A body as JSON in ASCII; halves of characters and raw numbers go in too."""
    raw: list[Raw] = []

    def mark(value: Any) -> Any:
        if isinstance(value, Raw):
            raw.append(value)
            return f"@raw {len(raw) - 1}@"
        if isinstance(value, dict):
            return {name: mark(item) for name, item in value.items()}
        return [mark(item) for item in value] if isinstance(value, list) else value

    text = json.dumps(mark(body))
    for index, one in enumerate(raw):
        text = text.replace(f'"@raw {index}@"', one.characters)
    return text.encode()


_NOT_TEXT: tuple[Any, ...] = (7, 1.5, True, [], ["x"], {}, {"a": 1}, Raw("1e400"))

TEXT: tuple[Any, ...] = (
    "a\x00b",
    "a\ud800b",
    "\udc00",
    "a\u202eb",
    "a\u2066b",
    "a\u200bb",
    "a\u2060b",
    "\ufeffa",
    "\x1b[31m",
    "a\rb",
    "a\x7fb",
    "a\x85b",
    "a" + "\u0301" * 10_000,
    "x" * 300_000,
    "",
    " \t\n ",
    "\u3000\u2003",
    *_NOT_TEXT,
)
DECIMALS: tuple[Any, ...] = (
    "NaN",
    "nan",
    "Infinity",
    "-Infinity",
    "-0",
    "-0.000",
    "1e400",
    "1E+999999999999999999",
    "12345678901234567890123",
    "9" * 16,
    "9" * 100_000,
    "1_0",
    "+1",
    "1,5",
    "1.",
    ".5",
    "01",
    " 1",
    "1 ",
    "1\n",
    "\uff11",
    "\u0661",
    "1.0000000",
    "0x10",
    "1/2",
    "--1",
    "",
    "one",
    Raw("NaN"),
    Raw("Infinity"),
    Raw("-0"),
    Raw("9" * 23),
    Raw("9" * 100_000),
    *_NOT_TEXT,
)
INTEGERS: tuple[Any, ...] = (
    2**53,
    -(2**53),
    2**63,
    -(2**63) - 1,
    10**22,
    1.0,
    1.5,
    "1",
    "",
    True,
    False,
    [],
    [1],
    {},
    Raw("1e400"),
    Raw("1e2"),
    Raw("-1e0"),
    Raw("NaN"),
    Raw("-Infinity"),
    Raw("9" * 100_000),
    Raw("01"),
    Raw("1_0"),
    Raw("+1"),
)
UNITS: tuple[Any, ...] = (
    "mmm",
    "MM",
    "mM",
    "9**9**9",
    "m**9999999",
    "nan mm",
    "m;m",
    "(" * 3000,
    "a" * 10_000,
    "Nm2/s2",
    "\u212b",
    "",
    " mm",
    "mm ",
    "furlong",
    *_NOT_TEXT,
)
QUANTITIES: tuple[Any, ...] = (
    "31.42 mm",
    31.42,
    {"value": "1"},
    {"unit": "mm"},
    {"value": "1", "unit": "EUR"},
    {"amount": "1", "currency": "EUR"},
    {"value": "1", "unit": "mm", "standard_uncertainty": "0.1", "plus_minus": "0.1"},
    {"value": "1", "unit": "mm", "colour": "red"},
    [],
    True,
)
MONEY: tuple[Any, ...] = (
    "9.50",
    9.5,
    {"amount": "9.50"},
    {"currency": "EUR"},
    {"amount": "-1.00", "currency": "EUR"},
    {"amount": "1.005", "currency": "EUR"},
    {"amount": "1.5", "currency": "JPY"},
    {"amount": "1", "currency": "eur"},
    {"amount": "1", "currency": "EURO"},
    {"amount": "1", "currency": "\u20ac"},
    {"amount": "999999999999999", "currency": "EUR"},
    {"amount": "1", "currency": "EUR", "vat": "2"},
    [],
    True,
)
DATES: tuple[Any, ...] = (
    "2031-02-30",
    "2031-02-29",
    "2031-13-01",
    "2031-00-10",
    "2031-3-4",
    "20310304",
    "2031-W10-2",
    "2031-063",
    "0000-01-01",
    "0001-01-01",
    "9999-12-31",
    "10000-01-01",
    "-2031-03-04",
    "2031-03-04T00:00:00Z",
    " 2031-03-04",
    "2031-03-04\n",
    "\u0662031-03-04",
    "tomorrow",
    "",
    20310304,
    *_NOT_TEXT,
)
MOMENTS: tuple[Any, ...] = (
    "2031-03-04T09:15:00",
    "2031-03-04",
    "2031-02-30T09:15:00Z",
    "2031-03-04T24:00:00Z",
    "2031-03-04T09:15:60Z",
    "2031-03-04T09:60:00Z",
    "2031-03-04T09:15:00+24:00",
    "2031-03-04T09:15:00-24:00",
    "2031-03-04T09:15:00+00:60",
    "2031-03-04 09:15:00Z",
    "2031-03-04T09:15:00z ",
    "2031-03-04T09:15:00 Z",
    "2031-03-30T02:30:00[Europe/Vilnius]",
    "0000-03-04T09:15:00Z",
    "0001-01-01T00:00:00+23:00",
    "9999-12-31T23:59:59-23:00",
    "10000-03-04T09:15:00Z",
    "2031-03-04T09:15:00.1234567Z",
    "2031-3-4T9:15:00Z",
    "\u0662031-03-04T09:15:00Z",
    "now",
    "",
    1930435200,
    *_NOT_TEXT,
)
IDS: tuple[Any, ...] = (
    "",
    "../etc",
    "a/b",
    "a b",
    "a%2Fb",
    "x" * 65,
    "x" * 10_000,
    "\u0430sm_1",
    "a\x00",
    "a\ud800",
    "a\n",
    "'; --",
    *_NOT_TEXT,
)
CODED: tuple[Any, ...] = ("", "\u0430", "x" * 10_000, "a\x00b", "\ud800", "9:5", *_NOT_TEXT)
WORDS: tuple[Any, ...] = ("", "x" * 10_000, "no-such-word", "a\x00", "\ud800", "null", *_NOT_TEXT)
FLAGS: tuple[Any, ...] = ("true", "false", "", 1, 0, 1.0, "yes", [], {}, Raw("True"))
ARRAYS: tuple[Any, ...] = ("", "x", 1, True, {}, {"0": "x"}, [None], [[[]]], [{}, {}])
OBJECTS: tuple[Any, ...] = ("", "x", 1, True, [], [{}], {"colour": "red"}, {"": 1})

BY_KIND: dict[str, tuple[Any, ...]] = {
    "text": TEXT,
    "decimal": DECIMALS,
    "integer": INTEGERS,
    "unit": UNITS,
    "quantity": QUANTITIES,
    "money": MONEY,
    "date": DATES,
    "moment": MOMENTS,
    "id": IDS,
    "coded": CODED,
    "word": WORDS,
    "flag": FLAGS,
    "array": ARRAYS,
    "object": OBJECTS,
}


def bad_values(kind: str, schema: Schema) -> tuple[Any, ...]:
    """What a member of a kind must refuse, with what lies just outside its own bounds."""
    return BY_KIND[kind] + _beyond(kind, schema)


def _beyond(kind: str, schema: Schema) -> tuple[Any, ...]:
    beyond: list[Any] = []
    if kind in ("text", "coded", "unit") and "maxLength" in schema:
        beyond.append("x" * (schema["maxLength"] + 1))
    if kind == "integer":
        beyond += [schema["minimum"] - 1, schema["maximum"] + 1]
    if kind == "word":
        known = schema.get("enum", [schema.get("const")])
        beyond += [f"{known[0]} ", str(known[0]).upper() + "X", str(known[0]).title()]
    if kind == "array" and "maxItems" in schema and schema["maxItems"] < 2000:
        beyond.append(["x"] * (schema["maxItems"] + 1))
    return tuple(value for value in beyond if value not in schema.get("enum", ()))


HONEST_TEXT: tuple[str, ...] = (
    "../../etc/passwd",
    "%00",
    "'; DROP TABLE units; --",
    '"; --',
    "{{7*7}}",
    "${7*7}",
    "{0.__class__}",
    "%s%n",
    "<svg onload=alert(1)>",
    "=1+1",
    "two\nlines\tand a tab",
    "\u0430\u0435\u043e",
    "\uff11\u0661",
    "\U0001f527",
    "\u05d0\u05d1 mixed \u0645",
    "e\u0301",
    "\ufb01",
    "\u0130i\u0131",
    "null",
    "\\u0000",
    "\u2028",
)
"""Strange and honest: kept as it is, in NFC, where a member takes any text."""
