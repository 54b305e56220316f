"""What stands behind a bearing's number: seals, grooves, clearance, class, cage, makers' own.

A mark of the closed list gets its one spelling and meaning; any other is kept as written and said
to be unknown. A letter beside unknown characters is not picked out of them: the K in a grease code
"5K" is no taper bore.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from shared.designations.model import Mark
from shared.standards.bearings import MarkRow, mark_rows
from shared.standards.thread_geometry import MM_PER_INCH

UNKNOWN: Final = "not known"
BORE: Final = "bore"
SEALS: Final = "seals"
BORE_FORM: Final = "bore form"
ORDER: Final = (
    BORE, SEALS, "outer ring", "design", "cage", BORE_FORM, "tolerance", "clearance", "heat",
    "pairing", UNKNOWN,
)  # fmt: skip
"""The order of families behind the number in the canonical form."""

WORDS: Final = frozenset(
    "angular ball bearing bearings cone contact cup cylindrical deep double drawn groove grooved"
    " inch metric miniature needle new number open radial roller rolling row rubber sealed"
    " self-aligning shield shielded single spherical taper tapered thrust used".split()
)
"""What people write beside the number; kept as words; a kind that contradicts it is noted."""

_JOINED: Final = MappingProxyType(
    {f"P{grade}{group}": (f"P{grade}", f"C{group}") for grade in "6542" for group in "2345"}
    | {"ZNR": ("Z", "NR"), "ZN": ("Z", "N"), "ZZNR": ("2Z", "NR")}
)
"""Marks that the trade writes as one: class 6 with clearance C3 is P63."""

_MOST_CHARACTERS: Final = 12
_MOST_UNKNOWN: Final = 3
_LONGEST_UNKNOWN: Final = 5
_LONGEST_UNKNOWN_WORD: Final = 4
_MOST_BORE_STEP: Final = 3.5
"""An inch-bore variant differs from the number's own bore by no more, mm (common practice)."""

_FRACTION: Final = re.compile(r"[ -](?:(\d{1,2})[ -])?(\d{1,2})/(\d{1,2})\"?(?=$|[ -])")
_SIXTEENTHS: Final = re.compile(r"[ -](\d{1,2})(?=$|[ -])")
_BREAKS: Final = re.compile(r"[ \-/.,]+")
_CHUNK: Final = re.compile(r"[A-Z0-9]+")


@dataclass(frozen=True, slots=True)
class Marked:
    """The marks read behind a number, in canonical order; ``bore`` mm where they state it."""

    marks: tuple[Mark, ...]
    bore: float | None

    @property
    def unknown(self) -> int:
        """How many marks have no meaning here."""
        return sum(not mark.is_known for mark in self.marks)


@cache
def known_marks() -> MappingProxyType[str, Mark]:
    """Return the suffixes by every spelling, each as its canonical mark."""
    return MappingProxyType({row.mark: _mark(row) for row in mark_rows() if row.place == "suffix"})


@cache
def known_prefixes() -> MappingProxyType[str, Mark]:
    """Return the prefixes by every spelling."""
    return MappingProxyType({row.mark: _mark(row) for row in mark_rows() if row.place == "prefix"})


def _mark(row: MarkRow) -> Mark:
    return Mark(row.canonical, row.family, row.meaning)


def read_marks(rest: str, bore: float | None) -> Marked | None:
    """Return the marks in ``rest``, the upper-case text behind a number whose bore is ``bore``.

    None where it cannot be a bearing's suffix: figures alone, long words, the same family twice.

    >>> [mark.mark for mark in read_marks("ZZC3", 25.0).marks]
    ['2Z', 'C3']
    >>> read_marks("-1/2", 25.0) is None
    True
    """
    inches, rest = _stated_bore(rest)
    size = None if inches is None else round(float(inches) * MM_PER_INCH, 3)
    marks = []
    if inches is not None and size is not None:
        if bore is None or not abs(size - bore) <= _MOST_BORE_STEP:
            return None
        marks.append(Mark(_printed(inches), BORE, f"bore {_said(inches)} in ({size:g} mm)"))
    for chunk in filter(None, _BREAKS.split(rest)):
        read = _chunk(chunk)
        if read is None:
            return None
        marks.extend(read)
    if not _fit_together(marks):
        return None
    return Marked(tuple(sorted(marks, key=lambda mark: ORDER.index(_place(mark)))), size)


def _place(mark: Mark) -> str:
    return mark.family if mark.family in ORDER else UNKNOWN


def _stated_bore(rest: str) -> tuple[Fraction | None, str]:
    """Return the bore in inches that a fraction, or a number of sixteenths, says; what is left."""
    at = _FRACTION.search(rest)
    if at is not None and int(at[3]):
        inches = Fraction(int(at[2]), int(at[3])) + int(at[1] or 0)
    else:
        at = _SIXTEENTHS.search(rest)
        if at is None:
            return None, rest
        inches = Fraction(int(at[1]), 16)
    return inches, f"{rest[: at.start()]} {rest[at.end() :]}"


def _said(inches: Fraction) -> str:
    whole, above = divmod(inches.numerator, inches.denominator)
    part = f"{above}/{inches.denominator}" if above else ""
    return f"{whole or ''} {part}".strip()


def _printed(inches: Fraction) -> str:
    """The same for the canonical form: whole inches as sixteenths, 16/16."""
    return f"{inches * 16}/16" if inches.denominator == 1 else _said(inches)


def _fit_together(marks: list[Mark]) -> bool:
    """One mark a family; two seals only as one shield and one seal; not too much unknown."""
    unknown = [mark for mark in marks if not mark.is_known]
    if len(unknown) > _MOST_UNKNOWN or len({mark.mark for mark in unknown}) < len(unknown):
        return False
    families = [mark.family for mark in marks if mark.is_known and mark.family != SEALS]
    if len(set(families)) < len(families):
        return False
    seals = [mark.mark for mark in marks if mark.family == SEALS]
    return len(seals) <= 1 or (len(seals) == 2 and len(set(seals)) == 2 and _single(seals))


def _single(seals: list[str]) -> bool:
    return not any(seal.startswith("2") for seal in seals)


@lru_cache(maxsize=1024)
def _chunk(chunk: str) -> tuple[Mark, ...] | None:
    """Return the marks of one piece without separators, or None where it can be none."""
    if len(chunk) > _MOST_CHARACTERS or not _CHUNK.fullmatch(chunk):
        return None
    best: tuple[int, int, tuple[str, ...]] | None = None
    for pieces in _splits(chunk, len(chunk)):
        if not _sensible(pieces):
            continue
        odd = sum(len(piece) for piece in pieces if not _is_known(piece))
        if best is None or (odd, len(pieces)) < best[:2]:
            best = (odd, len(pieces), pieces)
    return None if best is None else tuple(mark for piece in best[2] for mark in _marks_of(piece))


def _splits(chunk: str, end: int) -> list[tuple[str, ...]]:
    """Every way to cut ``chunk`` into known marks with at most one unknown piece at each side."""
    found: list[tuple[str, ...]] = []
    for start in range(end):
        for stop in range(end, start, -1):
            for known in _known_runs(chunk[start:stop]):
                head = (chunk[:start],) if start else ()
                tail = (chunk[stop:],) if stop < end else ()
                found.append((*head, *known, *tail))
    found.append((chunk,))
    return found


@cache
def _longest_known() -> int:
    return max(len(mark) for mark in (*known_marks(), *_JOINED))


def _known_runs(text: str, most: int = 4) -> list[tuple[str, ...]]:
    if not text:
        return [()]
    if most == 0:
        return []
    return [
        (text[:size], *rest)
        for size in range(1, min(len(text), _longest_known()) + 1)
        if _is_known(text[:size])
        for rest in _known_runs(text[size:], most - 1)
    ]


def _is_code(one: str, behind: str) -> bool:
    """Whether two pieces are one code of some maker, and no two marks of the trade.

    NK and KDD are closures, no groove and no taper bore; 2HRS has two seals, not one; the A of
    P4A belongs to the class, and AS1 is a lubrication hole.
    """
    families = {mark.family for mark in _marks_of(one)}
    behinds = {mark.family for mark in _marks_of(behind)}
    is_count = one[0].isdigit() and not _is_known(one)
    if SEALS in behinds and (is_count or (one == "K" and behind[0].isalpha())):
        return True
    return (one, behind) in {("N", "K"), ("A", "S1")} or (
        "tolerance" in families and behinds == {"design"}
    )


def _is_known(piece: str) -> bool:
    return piece in known_marks() or piece in _JOINED


def _sensible(pieces: tuple[str, ...]) -> bool:
    odd = [not _is_known(piece) for piece in pieces]
    for place, piece in enumerate(pieces):
        if odd[place]:
            longest = _LONGEST_UNKNOWN_WORD if piece.isalpha() else _LONGEST_UNKNOWN
            if len(piece) > longest or piece.isdigit() or piece.lower() in WORDS:
                return False
            if len(pieces) > 1 and not _stays_unknown(piece):
                return False
        elif len(piece) == 1 and any(odd[max(0, place - 1) : place + 2]):
            return False
    if any(_is_code(one, behind) for one, behind in pairwise(pieces)):
        return False
    return _fit_together([mark for piece in pieces for mark in _marks_of(piece)])


def _stays_unknown(piece: str) -> bool:
    """Whether the piece, written apart as the canonical form does, is read as unknown again."""
    alone = _chunk(piece)
    return alone is not None and [mark.mark for mark in alone] == [piece]


def _marks_of(piece: str) -> tuple[Mark, ...]:
    if piece in known_marks():
        return (known_marks()[piece],)
    if piece in _JOINED:
        return tuple(known_marks()[part] for part in _JOINED[piece])
    return (unknown_mark(piece),)


def unknown_mark(piece: str) -> Mark:
    """Return a mark that is kept as written, its meaning not known."""
    return Mark(piece, UNKNOWN, "a mark of no trade-wide meaning", is_known=False)
