"""What was measured, as people write it, read into readings with their doubt. Lengths in mm."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from shared.errors import Ambiguous, InvalidInput, OutOfRange, WrongDimension
from shared.interchange.identification.model import Doubt, Measured
from shared.quantities import UNIT_CODES, kind_of, read_text

MOST: Final = 10_000.0
"""No dimension of the tables comes near, mm."""

_LEAST: Final = 1e-4
"""Finer than this, mm, no workshop measures."""

_LONGEST: Final = 60
_BARE = re.compile(r"[0-9.,/ \-\u00bc-\u00be\u2044\u2150-\u215e]+")
_FRACTION = re.compile(r"[/\u00bc-\u00be\u2044\u2150-\u215e]")
_PLAIN_NUMBER = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{1,4})?")


@dataclass(frozen=True, slots=True)
class UsualDoubt:
    """The doubt of a reading for which none is stated: how wide, mm, and where it is from."""

    width: float
    doubt: Doubt
    words: str


CALIPER: Final = UsualDoubt(
    0.03,
    Doubt.NORMAL,
    "a sound caliper in a practised hand (standard uncertainty 0.03 mm; common practice, no"
    " source)",
)


@dataclass(frozen=True, slots=True)
class Asked:
    """Texts as they came: readings by dimension, the unit of those that state none, their doubt.

    ``plus_minus`` (half-width, rectangular) and ``standard_uncertainty`` are by dimension, "" for
    every dimension that has none of its own.
    """

    readings: Mapping[str, str]
    unit: str | None = None
    plus_minus: Mapping[str, str] = field(default_factory=dict)
    standard_uncertainty: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Called:
    """Readings in mm with their doubt, and what was assumed in reading them."""

    measured: Mapping[str, Measured]
    assumptions: tuple[str, ...]


def read_measured(asked: Asked, usual: Mapping[str, UsualDoubt] | None = None) -> Called:
    """Read what was asked; ``usual`` gives the doubt where none is stated, a caliper's elsewhere.

    Raises InvalidInput with the pointer of the text: not a length, not above 0 mm, two sorts of
    doubt for one reading; Ambiguous for a fraction without a unit.

    >>> read_measured(Asked({"bore": "3/4 in"})).measured["bore"].value
    19.05
    """
    check_unit(asked.unit)
    measured: dict[str, Measured] = {}
    assumed: dict[str, list[str]] = {}
    for name, text in asked.readings.items():
        value = read_length(text, asked.unit, name)
        stated = _stated_doubt(name, text, asked)
        if stated is None:
            given = (usual or {}).get(name, CALIPER)
            stated = given.width, given.doubt
            assumed.setdefault(given.words, []).append(name)
        measured[name] = Measured(value, *stated)
    texts = [*asked.readings.values(), *asked.plus_minus.values()]
    bare = any(is_bare(text) for text in (*texts, *asked.standard_uncertainty.values()))
    notes = ["Figures without a unit are in mm."] if asked.unit is None and bare else []
    notes += [
        f"No doubt is stated for {', '.join(names)}: taken is that of {words}."
        for words, names in assumed.items()
    ]
    return Called(measured, tuple(notes))


def read_length(text: str, unit: str | None, name: str) -> float:
    """Read one length in mm, as the trade writes it; a bare number has ``unit``, mm if None.

    Raises InvalidInput with the pointer "/<name>"; Ambiguous for a bare fraction and no unit.

    >>> read_length("19,05", None, "bore"), read_length("3/4", "in", "bore")
    (19.05, 19.05)
    """
    if len(text) > _LONGEST:
        raise InvalidInput(
            f"/{name}", f"The text has {len(text)} characters.", "Give one length, such as 19.05."
        )
    bare = text.strip()
    if is_bare(bare):
        if unit is None and _FRACTION.search(bare):
            raise Ambiguous(
                f"/{name}",
                f"'{bare}' has no unit, and a fraction is seldom one of a millimetre.",
                "Write the unit behind it, or give unit.",
                [f"{bare} in", f"{bare} mm"],
            )
        text = f"{bare} {unit or 'mm'}"
    try:
        reading = read_text(text)
    except InvalidInput as error:
        error.pointer = f"/{name}"
        raise
    if reading.kind != "length":
        raise WrongDimension(
            f"/{name}",
            f"'{bare}' is no length: {reading.kind}.",
            "Give a length, such as 19.05 mm.",
        )
    if reading.value is None or reading.lower is not None or reading.then:
        raise InvalidInput(
            f"/{name}", f"'{bare}' is more than one figure.", "Give one; its doubt apart."
        )
    value = float(reading.value.value)
    if not _LEAST <= value <= MOST:
        raise OutOfRange(name, bare, f"a length from {_LEAST:g} to {MOST:g} mm")
    return value


def is_bare(text: str) -> bool:
    """Whether a text is a figure without a unit."""
    return _BARE.fullmatch(text.strip()) is not None


def read_number(text: str, name: str, least: float, most: float) -> float:
    """Read a plain number that has no unit (turns per inch). Raises InvalidInput."""
    bare = text.strip()
    if not _PLAIN_NUMBER.fullmatch(bare):
        raise InvalidInput(
            f"/{name}", f"'{bare[:40]}' is no plain number.", "Give one, such as 26."
        )
    value = float(bare.replace(",", "."))
    if not least <= value <= most:
        raise OutOfRange(name, bare, f"a number from {least:g} to {most:g}")
    return value


def check_unit(unit: str | None) -> None:
    """Raise InvalidInput (pointer "/unit") for a unit that is none of length; None: none given."""
    if unit is not None and (unit not in UNIT_CODES or kind_of(unit) != "length"):
        raise InvalidInput(
            "/unit", f"'{unit[:40]}' is no unit of length.", "Give mm or in.", "unit-unknown"
        )


def _stated_doubt(name: str, reading: str, asked: Asked) -> tuple[float, Doubt] | None:
    """Doubt of one reading: its own before that of all."""
    for which in (name, ""):
        given = [
            (texts[which], sort, ending)
            for texts, sort, ending in (
                (asked.plus_minus, Doubt.RECTANGULAR, "plus_minus"),
                (asked.standard_uncertainty, Doubt.NORMAL, "standard_uncertainty"),
            )
            if which in texts
        ]
        if len(given) > 1:
            pointer = f"/{which}_plus_minus" if which else "/plus_minus"
            raise InvalidInput(
                pointer,
                "The doubt is stated twice, as plus_minus and as standard_uncertainty.",
                "Give one of them.",
                "not-together",
            )
        if given:
            text, sort, ending = given[0]
            parameter = f"{which}_{ending}" if which else ending
            _check_same_unit(reading, text, asked.unit, parameter)
            return read_length(text, asked.unit, parameter), sort
    return None


def _check_same_unit(reading: str, doubt: str, unit: str | None, parameter: str) -> None:
    """Ask where a reading names a unit, its doubt does not: taken wrongly it would be 25 times off.

    Not asked where ``unit`` says it for both, or the reading names millimetres.
    """
    bare = doubt.strip()
    if unit is not None or not is_bare(doubt) or is_bare(reading):
        return
    if re.search(r"mm\s*\Z", reading.strip(), re.IGNORECASE):
        return
    raise Ambiguous(
        f"/{parameter}",
        f"'{bare}' has no unit, and the reading '{reading.strip()[:40]}' has its own.",
        "Write the unit behind it, or give unit.",
        [f"{bare} in", f"{bare} mm"],
    )
