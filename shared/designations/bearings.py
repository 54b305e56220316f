"""Reads a bearing's number with its prefix and suffixes, and says its sizes and what they mean.

The number leads to the boundary dimensions (``shared.standards.bearings``); what follows it is
read by ``bearing_marks``. A slash belongs to the number: 62/22 has a bore of 22 mm, 6222 one of
110 mm. Text that can be cut in two ways (62202RS: 62202 with one seal, 6220 with two) gives both
readings.
"""

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.designations.bearing_marks import (
    BORE,
    BORE_FORM,
    SEALS,
    WORDS,
    Marked,
    known_marks,
    known_prefixes,
    read_marks,
    unknown_mark,
)
from shared.designations.described import type_conflict
from shared.designations.model import Bearing, Mark
from shared.standards.bearings import BearingRow, bearing_rows, bore_of_code, by_number
from shared.standards.reader import Basis

OLD_FORM: Final = "Three figures are the old form of"
"""How the note on a number such as 305 begins: not the whole trade reads it so."""
_SAYING_NOTHING: Final = frozenset({"rolling", "bearing", "bearings"})
_ALSO_ANOTHER_PART: Final = frozenset({"R2", "108", "126", "127", "129", "135"})
"""R 2 is a taper pipe thread (ISO 7-1) too, the others O-rings of AS568: the bare number is given
with the words."""
_ALSO_PIPE: Final = frozenset({"R3", "R4", "R6"})
"""R 3 is a taper pipe thread too, of a size that no table here holds."""
_TAPER_BORE_KINDS: Final = ("self-aligning", "spherical roller", "cylindrical roller")
_SAME_BORE: Final = 0.01
_MOST_CHARACTERS: Final = 60
_LEAST_SLASH_BORE: Final = 22.0
_MOST_SLASH_BORE: Final = 2500.0
_PREFIX: Final = re.compile(r"(?:(SS|S|W|INOX)[ -]?(?=\d|M?R ?\d)|(SS|INOX)[ -](?=[A-Z]))")
_LETTERS_APART: Final = re.compile(r"(?<=[A-Z])[ -](?=\d)|(?<=\d)[ -](?=X$)")
_RULED: Final = re.compile(r"([A-Z]{0,3}\d{1,3})(\d\d|/\d{2,4})(X?)")
_OLD: Final = re.compile(r"([234])(0\d|1\d|2[0-2])")


@dataclass(frozen=True, slots=True)
class _Number:
    """A number that was recognised: its name, kind, sizes as far as known, what to say of it."""

    name: str
    type_name: str
    standard: str
    bore: float | None
    outside: float | None
    width: float | None
    width_sealed: float | None = None
    notes: tuple[str, ...] = ()
    is_old_form: bool = False


def read_bearing(text: str) -> tuple[Bearing, ...]:
    """Return what bearing ``text`` (already tidied) names: all meanings, likeliest first.

    An empty tuple: it names none. Never raises.

    >>> [found.canonical for found in read_bearing("6205zz c3")]
    ['6205-2Z C3']
    >>> read_bearing("62/22")[0].bore, read_bearing("6222")[0].bore
    (22.0, 110.0)
    """
    if len(text) > _MOST_CHARACTERS or not text.isascii():
        return ()
    pieces = text.split()
    words = tuple(piece.lower() for piece in pieces if piece.lower() in WORDS - _SAYING_NOTHING)
    upper = " ".join(piece.upper() for piece in pieces if piece.lower() not in WORDS)
    upper = re.sub(r" ?/ ?", "/", upper)
    prefixes: tuple[Mark, ...] = ()
    at = _PREFIX.match(upper)
    if at is not None:
        prefixes = (known_prefixes()["W" if at[1] == "W" else "SS"],)
        upper = upper[at.end() :]
    found = _readings(upper)
    if at is not None and at[1] == "W":
        # W208 is a maker's own number: W for stainless steel stands before whole numbers only.
        found = [one for one in found if not one[0].is_old_form]
    return tuple(_made(number, marked, prefixes, words) for number, marked in found)


def plain_bearing(number: str) -> Bearing:
    """Return the bearing of a number of the table, without marks. Raises KeyError."""
    return _made(_listed(by_number()[number]), Marked((), None), (), ())


def _readings(upper: str) -> list[tuple[_Number, Marked]]:
    found: list[tuple[str, _Number, Marked]] = []
    for end in range(len(upper), 1, -1):
        head, rest = upper[:end], upper[end:]
        number = None if head[-1] in " -/." or _parts_figures(head, rest) else _number(head)
        marked = None if number is None else read_marks(rest, number.bore)
        if number is not None and marked is not None:
            found.append((head, number, marked))
    if not found:
        return []
    if not all(number.is_old_form for _, number, _ in found):
        found = [one for one in found if not one[1].is_old_form]
    least = min(marked.unknown for _, _, marked in found)
    found = [one for one in found if one[2].unknown == least]
    # "R4A" is the number R4A before it is an R4 of design A; "62202RS" stays open.
    longest = found[0][0]
    return [
        (number, marked)
        for head, number, marked in found
        if head == longest or not longest.removeprefix(head)[:1].isalpha()
    ]


def _parts_figures(head: str, rest: str) -> bool:
    """Whether the cut lies within a number: 62052RS may end before 2RS, 31306 not behind 313."""
    return (
        head[-1].isdigit()
        and rest[:1].isdigit()
        and not any(rest.startswith(mark) for mark in known_marks())
    )


def _number(head: str) -> _Number | None:
    squeezed = _LETTERS_APART.sub("", head)
    for name in (squeezed, squeezed.replace("-", "/", 1)):
        if name in by_number():
            return _listed(by_number()[name])
        if name in _halves():
            return _halves()[name]
    return _old_form(squeezed) or _ruled(squeezed)


@cache
def _listed(row: BearingRow) -> _Number:
    notes = []
    if row.basis is Basis.MEMORY:
        notes.append(
            f"The sizes of {row.designation} are from memory of the standard, not compared with"
            " the printed one: measure before ordering."
        )
    if row.is_tapered:
        notes.append("The width is that of the assembled bearing (cup and cone together).")
    if row.is_needle and row.type_name.startswith("drawn cup"):
        notes.append("A drawn cup takes its shape from the housing: measure it fitted.")
    return _Number(
        row.designation,
        row.type_name,
        row.standard,
        row.bore,
        row.outside,
        row.width,
        row.width_sealed,
        tuple(notes) + _slash_notes(row.designation),
    )


def _slash_notes(name: str) -> tuple[str, ...]:
    """Say what the number is without its slash, or with one: it must not be lost underway."""
    series, slash, bore = name.partition("/")
    if slash and len(bore) == len("22") and f"{series}{bore}" in by_number():
        other = by_number()[f"{series}{bore}"]
        return (f"Not {series}{bore}: without the slash the bore is {other.bore:g} mm.",)
    if not slash and f"{name[:-2]}/{name[-2:]}" in by_number():
        other = by_number()[f"{name[:-2]}/{name[-2:]}"]
        return (f"Not {other.designation}: with the slash the bore is {other.bore:g} mm.",)
    return ()


@cache
def _halves() -> MappingProxyType[str, _Number]:
    """Cones and cups of the inch sets, each alone."""
    found: dict[str, _Number] = {}
    for row in bearing_rows():
        if row.series != "inch":
            continue
        cone, _, cup = row.designation.partition("/")
        note = (
            f"One half of a set (such as {row.designation}): cup and cone wear in together and"
            " are renewed together.",
            f"The sizes of {row.designation} are from memory: measure before ordering.",
        )
        kind = "tapered roller bearing, {} alone"
        found.setdefault(
            cone,
            _Number(cone, kind.format("cone"), row.standard, row.bore, None, None, notes=note),
        )
        found.setdefault(
            cup,
            _Number(cup, kind.format("cup"), row.standard, None, row.outside, None, notes=note),
        )
    return MappingProxyType(found)


def _old_form(name: str) -> _Number | None:
    at = _OLD.fullmatch(name)
    now = None if at is None else by_number().get(f"6{name}")
    if now is None:
        return None
    listed = _listed(now)
    said = (
        f"{OLD_FORM} {now.designation}, a single-row deep groove ball"
        f" bearing {now.bore:g} x {now.outside:g} x {now.width:g} mm (from memory): compare the"
        " sizes.",
    )
    return _Number(
        listed.name, listed.type_name, listed.standard, listed.bore, listed.outside, listed.width,
        listed.width_sealed, said + listed.notes, is_old_form=True,
    )  # fmt: skip


@cache
def _series() -> MappingProxyType[str, BearingRow]:
    """A row of each series whose numbers end in a bore code."""
    return MappingProxyType(
        {
            row.series: row
            for row in bearing_rows()
            if row.designation.rstrip("X")
            in (f"{row.series}{row.designation.rstrip('X')[-2:]}", f"{row.series}/{row.bore:g}")
            and bore_of_code(row.designation.rstrip("X")[-2:]) == row.bore
        }
    )


def _ruled(name: str) -> _Number | None:
    """A number of a known series that no table holds: the bore by its code, nothing else."""
    at = _RULED.fullmatch(name)
    kind = None if at is None else _series().get(at[1])
    if at is None or kind is None or (at[3] and not kind.is_tapered):
        return None
    if name.rstrip("X") in by_number():
        return None
    if at[2].startswith("/"):
        bore: float | None = float(at[2][1:])
        if bore is None or not _LEAST_SLASH_BORE <= bore <= _MOST_SLASH_BORE:
            return None
    else:
        bore = bore_of_code(at[2])
    if bore is None:
        return None
    note = (
        f"No table of the house holds {name}: the bore {bore:g} mm is by the rule for numbers;"
        " the outside diameter and the width have to be measured.",
    )
    return _Number(name, kind.type_name, kind.standard, bore, None, None, notes=note)


def _made(
    number: _Number, marked: Marked, prefixes: tuple[Mark, ...], words: tuple[str, ...]
) -> Bearing:
    marks = tuple(dict.fromkeys(prefixes + _of_kind(number.type_name, marked.marks)))
    marks = tuple(sorted(marks, key=lambda mark: mark.family != "material"))
    notes = list(number.notes)
    width = number.width
    if any(mark.family == SEALS for mark in marks):
        if number.width_sealed is None:
            notes.append(f"Shields or seals are unusual for {number.name}: compare the part.")
        elif number.width is not None and number.width_sealed > number.width:
            width = number.width_sealed
            notes.append(
                f"With shields or seals it is usually {width:g} mm wide, open {number.width:g} mm:"
                " measure it."
            )
    if number.name in _ALSO_PIPE and not marks:
        notes.append(
            f"{number.name[0]} {number.name[1:]} is a taper pipe thread of {number.name[1:]} in too"
            " (ISO 7-1), of which no table is held here."
        )
    if marked.bore is not None and number.bore is not None:
        if abs(marked.bore - number.bore) < _SAME_BORE:
            return _made(number, _without_bore(marked), prefixes, words)
        notes.append(
            f"The plan of {number.name} with a bore of {marked.bore:g} mm in place of"
            f" {number.bore:g} mm (trade practice, from memory): measure the bore."
        )
    notes.extend(
        f"'{mark.mark}' is no mark that the whole trade shares: ask its maker's list or compare"
        " the parts."
        for mark in marks
        if not mark.is_known
    )
    conflict = type_conflict(" ".join(words), number.name, [number.type_name])
    if conflict is not None:
        notes.append(conflict)
    return Bearing(
        canonical=_canonical(number.name, marks, words),
        basic=number.name,
        type_name=number.type_name,
        standard=number.standard,
        bore=number.bore if marked.bore is None else marked.bore,
        outside=number.outside,
        width=width,
        marks=marks,
        words=words,
        notes=tuple(notes),
    )


def _without_bore(marked: Marked) -> Marked:
    """The marks without a bore that is the number's own: R8-1/2."""
    return Marked(tuple(mark for mark in marked.marks if mark.family != BORE), None)


def _of_kind(type_name: str, marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
    """Return the marks as this kind of bearing has them.

    A taper bore is made in three kinds, and E or P is one seal to some makers of deep groove
    bearings: there such a letter is a maker's own. Unknown ones stand last.
    """
    own = [
        unknown_mark(mark.mark)
        if (mark.family == BORE_FORM and not any(kind in type_name for kind in _TAPER_BORE_KINDS))
        or (mark.mark in {"E", "P"} and type_name.startswith("deep groove"))
        else mark
        for mark in marks
    ]
    return tuple(sorted(own, key=lambda mark: not mark.is_known))


def _canonical(name: str, marks: tuple[Mark, ...], words: tuple[str, ...]) -> str:
    """Number, then bore and seals with dashes, then the others with blanks, then the words."""
    before = "".join(f"{mark.mark} " for mark in marks if mark.family == "material")
    behind = [mark for mark in marks if mark.family != "material"]
    joined = "".join(
        f"{'-' if mark.family in {BORE, SEALS} else ' '}{mark.mark}" for mark in behind
    )
    if name in _ALSO_ANOTHER_PART and not marks:
        words = ("rolling", "bearing", *words)
    return " ".join([f"{before}{name}{joined}", *words])
