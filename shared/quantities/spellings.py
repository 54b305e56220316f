"""Unit spellings as the trade writes them, each to one unit code or to a question.

The list is ``shared/standards/data/unit_spellings.csv``. A unit of several words is listed with
"·" between them and may be written with a blank, hyphen, full stop or dot: ft-lb, ft. lbs, N.m.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from functools import cache
from typing import Final

from shared.errors import Ambiguous, UnknownUnit
from shared.quantities.cursor import Cursor
from shared.standards import table

_MOST_WORDS: Final = 5
_MOST_CHARACTERS: Final = 40

_WORD: Final = re.compile(
    r"''|[\"'](?:Hg\b)?|min-1(?![0-9])|[A-Za-z°µΔ%]+[23](?![0-9])|[A-Za-z°µΔ%]+"
)
_BETWEEN: Final = re.compile(r"( ?/ ?)|[ .·*-]{1,3}")
_PER_TIME: Final = re.compile(r"1?/(?:min|s)\b")
_FULL_STOP: Final = re.compile(r"\.(?![0-9.])")


@dataclass(frozen=True, slots=True)
class Spelling:
    """What a spelling stands for: ``factor`` times the unit ``code``; ``note`` how it was read.

    Where ``readings`` is not empty the spelling has several meanings and ``code`` is "".
    """

    code: str
    factor: Decimal
    note: str
    readings: tuple[str, ...]


def read_unit(cursor: Cursor) -> Spelling | None:
    """Read the unit spelling that starts here, the longest that is listed; None where none is."""
    start = cursor.at
    best: tuple[int, Spelling] | None = None
    for end, key in _candidates(cursor):
        spelling = _look_up(key)
        if spelling is not None:
            best = (end, spelling)
    if best is None:
        cursor.at = start
        return None
    cursor.at = best[0]
    cursor.take(_FULL_STOP)
    return best[1]


def ask_which(spelling: Spelling, number: str) -> Ambiguous:
    """Return the question that a spelling with several meanings calls for."""
    return Ambiguous(
        "/text",
        "The unit has more than one meaning.",
        "Write out the one that is meant.",
        [reading.replace("{n}", number) for reading in spelling.readings],
    )


def unknown_unit(text: str) -> UnknownUnit:
    """Return the error for text that stands where a unit should, naming the nearest spelling."""
    word = text.split(" ", maxsplit=1)[0][:_MOST_CHARACTERS]
    exact, any_case = _spellings()
    known = [key for key, spelling in {**any_case, **exact}.items() if spelling.code]
    same_letters = [key for key in known if key.casefold() == word.casefold()]
    near = same_letters or get_close_matches(word, known, n=1, cutoff=0.6)
    question = f"; did you mean '{near[0]}'?" if near else "."
    return UnknownUnit(
        "/text", f"Unit '{word}' is not known{question}", "See GET /v1/unit-codes for the units."
    )


def _candidates(cursor: Cursor) -> list[tuple[int, str]]:
    """Return the ends and keys of one word, two words, ... from here."""
    at = Cursor(cursor.text, cursor.at)
    per_time = at.take(_PER_TIME)
    if per_time is not None:
        return [(at.at, per_time.group())]
    found: list[tuple[int, str]] = []
    key = ""
    while len(found) < _MOST_WORDS:
        word = at.take(_WORD)
        if word is None or at.at - cursor.at > _MOST_CHARACTERS:
            break
        key += word.group()
        found.append((at.at, key))
        between = at.take(_BETWEEN)
        if between is None:
            break
        key += "/" if between.group(1) else "·"
    return found


def _look_up(key: str) -> Spelling | None:
    exact, any_case = _spellings()
    return exact.get(key) or any_case.get(key.casefold())


@cache
def _spellings() -> tuple[dict[str, Spelling], dict[str, Spelling]]:
    """Return the spellings matched letter by letter, and those in which case says nothing."""
    exact: dict[str, Spelling] = {}
    any_case: dict[str, Spelling] = {}
    for row in table("unit_spellings"):
        readings = tuple(row["readings"].split("|")) if row["readings"] else ()
        spelling = Spelling(row["code"], Decimal(row["factor"] or 1), row["note"], readings)
        if row["case"] == "exact":
            exact[row["spelling"]] = spelling
        else:
            any_case[row["spelling"].casefold()] = spelling
    return exact, any_case
