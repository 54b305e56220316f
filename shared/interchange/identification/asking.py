"""One question, answered: what was measured on a part of some kind, and which sizes it may be."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput
from shared.interchange.identification.calling import Asked, Called, UsualDoubt, read_measured
from shared.interchange.identification.engine import identify
from shared.interchange.identification.model import (
    Identified,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.thread_geometry import MM_PER_INCH

_SIXTEENTH: Final = MM_PER_INCH / 16
_HALF: Final = 0.5
_LOOSE: Final = 0.03
"""A reading this near a round figure is taken for it, mm, however small its doubt."""
_INCH_FROM: Final = 0.2
"""Probability of none of these from which readings in round inches are remarked upon."""

NO_CHOICE: Final[Mapping[str, str]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Choice:
    """A closed list of words that a question may choose from; the first holds if none is given."""

    words: tuple[str, ...]
    about: str


Reader = Callable[[Asked, Mapping[str, str]], tuple[Asked, Called]]
"""From the question and the kind's own texts: what is left to read, and what was read."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part that is told by measuring.

    ``dimensions`` say by name what is measured and where; ``sizes`` gives the sizes of a state, of
    the words chosen, and of the dimensions measured; ``examples`` are readings that belong
    together; ``read`` turns texts of its own (turns per inch) into readings;
    ``advise`` says which dimension to trust, ``remark`` what its texts (a stamp) say against the
    readings; ``holds_inch`` whether the tables hold inch sizes too.
    """

    path: str
    part: str
    dimensions: Mapping[str, str]
    sizes: Callable[[PartState, Mapping[str, str], Collection[str]], tuple[StandardSize, ...]]
    examples: Mapping[str, str]
    choices: Mapping[str, Choice] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    usual: Mapping[str, UsualDoubt] = field(default_factory=dict)
    advise: Callable[[Mapping[str, Measured], PartState], tuple[str, ...]] | None = None
    remark: Callable[[Mapping[str, str], Mapping[str, Measured]], tuple[str, ...]] | None = None
    read: Reader | None = None
    holds_inch: bool = True


@dataclass(frozen=True, slots=True)
class Answered:
    """The readings as understood in mm, what they may be, what was assumed."""

    measured: Mapping[str, Measured]
    identified: Identified
    assumptions: tuple[str, ...]


def answer(
    kind: Kind,
    asked: Asked,
    *,
    state: PartState = PartState.UNKNOWN,
    chosen: Mapping[str, str] = NO_CHOICE,
    texts: Mapping[str, str] = NO_CHOICE,
    limit: int = 10,
) -> Answered:
    """Read what was measured and rank the sizes of the kind.

    Raises InvalidInput with the pointer of what cannot be read, or of the first dimension where
    nothing was measured.
    """
    measured: dict[str, Measured] = {}
    assumptions: tuple[str, ...] = ()
    if kind.read is not None:
        asked, own = kind.read(asked, texts)
        measured |= own.measured
        assumptions += own.assumptions
    if asked.readings:
        called = read_measured(asked, kind.usual)
        measured |= called.measured
        assumptions += called.assumptions
    if not measured:
        names = ", ".join(kind.dimensions)
        raise InvalidInput(
            f"/{next(iter(kind.dimensions))}",
            f"Nothing was measured of {kind.part}.",
            f"Give at least one of {names}.",
            "missing",
        )
    words = {name: chosen.get(name, choice.words[0]) for name, choice in kind.choices.items()}
    found = identify(measured, kind.sizes(state, words, measured), limit=limit)
    advice = () if kind.remark is None else kind.remark(texts, measured)
    advice += () if kind.advise is None else kind.advise(measured, state)
    if state is PartState.UNKNOWN:
        assumptions += ("Whether the part is new is not said: it may be worn.",)
    if not kind.holds_inch and found.none_of_these >= _INCH_FROM:
        advice += _in_inches(kind, measured)
    advice = tuple(dict.fromkeys((*advice, *found.advice)))
    measured = {name: measured[name] for name in kind.dimensions if name in measured}
    return Answered(measured, replace(found, advice=advice), tuple(dict.fromkeys(assumptions)))


def _in_inches(kind: Kind, measured: Mapping[str, Measured]) -> tuple[str, ...]:
    """Say which readings are round in inches and not in millimetres: an inch part may be meant."""
    round_ones = [
        f"{one.value:.3f} mm is {_sixteenths(one.value)} in"
        for one in measured.values()
        if _is_round(one, _SIXTEENTH) and not _is_round(one, _HALF)
    ]
    if not round_ones:
        return ()
    named = ", ".join(dict.fromkeys(round_ones))
    return (f"{named}: {kind.part} in inch sizes may be meant, and none is held here.",)


def _is_round(one: Measured, step: float) -> bool:
    apart = abs(one.value - max(round(one.value / step), 1) * step)
    return apart <= min(max(one.width, _LOOSE), step / 8)


def _sixteenths(value: float) -> str:
    inches = Fraction(round(value / _SIXTEENTH), 16)
    whole, part = divmod(inches, 1)
    return " ".join(str(one) for one in (whole, part) if one)
