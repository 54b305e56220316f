"""What stands beside a thread in a designation, before it is known which thread it is."""

import re
from dataclasses import dataclass, field, replace

from shared.designations.beside_threads import (
    ASTM,
    BETWEEN,
    BY_X,
    CLASS_FIGURE,
    DASH_FIGURE,
    DOTTED,
    HAND,
    LONG,
    METRIC_CLASS,
    NUT,
    ONE_FIGURE,
    OWN_LENGTH,
    PIECE,
    PIPE_CLASS,
    SAE,
    SAE_DECIMALS,
    SAID_LENGTH,
    SCREW,
    STAINLESS,
    STANDARD,
    TOLERANCE,
    WITH_NUT,
)
from shared.designations.lengths import WrittenLength, written_length
from shared.designations.model import Hand
from shared.designations.offers import nearest_names, refused, shown
from shared.designations.series_words import LIMITS, SERIES_LATE, series_of
from shared.designations.words import (
    CODE,
    FILLERS,
    LIMIT,
    NUT_WORDS,
    WORD,
    WORDS,
    code_as_kept,
    known_word,
)
from shared.errors import InvalidInput
from shared.quantities.cursor import Cursor
from shared.standards.part_standards import StandardPart, part_standard
from shared.standards.thread_model import ThreadSeries


@dataclass(slots=True)
class Written:
    """What was written besides the thread; ``grade`` is SAE's or whatever "grade 5" may be."""

    text: str
    pointer: str
    hand: Hand | None = None
    length: WrittenLength | None = None
    property_class: str | None = None
    grade: str | None = None
    is_sae: bool = False
    figure: str | None = None
    """A class of one figure, as a nut has."""
    dash_figure: str | None = None
    """A whole number behind a dash: a length, perhaps."""
    tolerance: str | None = None
    is_loose_strength: bool = False
    """Whether A4 80 was written so: 80 may be a length."""
    loose_at: int | None = None
    """Where a figure stands that is a class only if all is about a nut."""
    is_nut: bool = False
    is_screw: bool = False
    kept_to: dict[str, frozenset[ThreadSeries]] = field(default_factory=dict)
    """Words that leave some series only: fine, coarse, metric, a series behind the length."""
    words: list[str] = field(default_factory=list)
    standards: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def take_one(self, cursor: Cursor) -> bool:
        """Step over one thing that may stand beside a thread; False where none stands here."""
        return (
            self._standard(cursor)
            or self._code(cursor)
            or self._with_nut(cursor)
            or self._tolerance(cursor)
            or self._class(cursor)
            or self._hand(cursor)
            or self._length(cursor)
            or self._form(cursor)
            or self._limit(cursor)
            or self._word(cursor)
            or self._figure(cursor)
        )

    def _standard(self, cursor: Cursor) -> bool:
        found = cursor.take(STANDARD)
        if found is None:
            return False
        name = _spaced(found[0])
        self.standards.append(name)
        row = part_standard(name)
        if row is not None:
            self.is_nut = self.is_nut or row.part is StandardPart.NUT
            self.is_screw = self.is_screw or row.part is StandardPart.SCREW
        return True

    def _code(self, cursor: Cursor) -> bool:
        found = cursor.take(CODE)
        if found is None:
            return False
        self.words.append(code_as_kept(found[0]))
        if ASTM.match(found[0]):
            self.notes.append(
                f"{found[0]} is kept as a word: no table of the house holds its strength."
            )
        return True

    def _with_nut(self, cursor: Cursor) -> bool:
        if cursor.take(WITH_NUT) is None:
            return False
        self.words.append("with nut")
        return True

    def _tolerance(self, cursor: Cursor) -> bool:
        found = cursor.take(TOLERANCE)
        if found is None:
            return False
        self.tolerance = self._once("tolerance class", self.tolerance, found[0])
        return True

    def take_pipe_class(self, cursor: Cursor) -> None:
        """Step over the A or B of ISO 228-1, which stands right behind the size."""
        between = BETWEEN.match(cursor.text, cursor.at)
        assert between is not None
        found = PIPE_CLASS.match(cursor.text, between.end())
        if found is not None:
            cursor.at = found.end()
            self.tolerance = found[0]

    def _class(self, cursor: Cursor) -> bool:
        if found := cursor.take(SAE):
            self.grade = self._once("grade", self.grade, found[1])
            self.is_sae = self.is_sae or found[0][:1] in "SsJj"
        elif (found := cursor.take(METRIC_CLASS)) and found[1] in SAE_DECIMALS:
            self.grade = self._once("grade", self.grade, found[1])
        elif found:
            self.property_class = self._once("property class", self.property_class, found[1])
        elif found := cursor.take(STAINLESS):
            self._stainless(found[1].upper(), found[2] or found[3])
            self.is_loose_strength |= found[3] is not None
        elif found := cursor.take(CLASS_FIGURE):
            self.figure = self._once("property class", self.figure, found[1])
        else:
            return False
        return True

    def _stainless(self, group: str, strength: str | None) -> None:
        if strength is None:
            self.words.append(group)
            self.notes.append(
                f"{group} is a steel, not a strength: ISO 3506-1 writes {group}-50, -70 or -80."
            )
            return
        self.property_class = self._once(
            "property class", self.property_class, f"{group}-{strength}"
        )

    def _hand(self, cursor: Cursor) -> bool:
        found = cursor.take(HAND)
        if found is None:
            return False
        hand = Hand.LEFT if found[1] else Hand.RIGHT
        if self.hand not in {None, hand}:
            raise self._twice("hand", str(self.hand), str(hand))
        self.hand = hand
        return True

    def _length(self, cursor: Cursor) -> bool:
        found = cursor.take(BY_X) or cursor.take(SAID_LENGTH)
        is_loose = found is None
        if found is None:
            found = OWN_LENGTH.match(cursor.text, cursor.at)
            if found is None or not (
                found["unit"] or found["top"] or LONG.match(cursor.text, found.end())
            ):
                return False
            cursor.at = found.end()
        is_loose = cursor.take(LONG) is None and is_loose
        length = written_length(found)
        if length is None:
            raise refused(
                self.pointer,
                f"'{shown(found[0])}' is no length: rules are divided into halves to 64ths.",
                (),
                "Write the length as a decimal with its unit.",
            )
        if self.length is not None:
            raise refused(
                self.pointer,
                f"'{shown(found[0])}' is a second length in '{shown(self.text)}'.",
                (),
                "Give one thread and one length.",
            )
        self.length = replace(length, is_loose=is_loose)
        return True

    def _form(self, cursor: Cursor) -> bool:
        if cursor.take(NUT):
            self.is_nut = True
        elif cursor.take(SCREW):
            self.is_screw = True
        else:
            return False
        return True

    def _limit(self, cursor: Cursor) -> bool:
        if found := cursor.take(LIMIT):
            word = found[0].lower().replace("-", " ").removesuffix(" pitch")
            self.kept_to[word] = LIMITS[word]
        elif found := cursor.take(SERIES_LATE):
            self.kept_to[found[0]] = series_of(found[1])
        else:
            return False
        return True

    def _word(self, cursor: Cursor) -> bool:
        found = WORD.match(cursor.text, cursor.at)
        if found is None:
            return False
        if found[0].lower().rstrip(".") in FILLERS:
            cursor.at = found.end()
            return True
        # A hyphen joins a word of the list ("low-profile") or parts two ("zinc-LH").
        whole = found[0]
        while (word := known_word(whole)) is None and "-" in whole:
            whole = whole.rpartition("-")[0]
        if word is None:
            return False
        cursor.at += len(whole)
        self.words.append(word)
        self.is_nut = self.is_nut or word in NUT_WORDS
        return True

    def _figure(self, cursor: Cursor) -> bool:
        behind_dash = cursor.text[: cursor.at].rstrip(" ").endswith("-")
        found = DASH_FIGURE.match(cursor.text, cursor.at) if behind_dash else None
        found = found or (ONE_FIGURE.match(cursor.text, cursor.at) if behind_dash else None)
        if found is not None and self.dash_figure is None:
            cursor.at = found.end()
            self.dash_figure = found[1]
            return True
        if self.figure is None and (found := ONE_FIGURE.match(cursor.text, cursor.at)):
            self.loose_at = None if self.is_nut else cursor.at
            cursor.at = found.end()
            self.figure = found[1]
            return True
        return False

    def _once(self, what: str, before: str | None, now: str) -> str:
        if before not in {None, now}:
            raise self._twice(what, str(before), now)
        return now

    def _twice(self, what: str, before: str, now: str) -> InvalidInput:
        return refused(
            self.pointer,
            f"'{shown(self.text)}' names two of a kind, {what} {before} and {now}.",
            (),
            f"Give one {what}.",
        )

    def unread(self, cursor: Cursor, so_far: str) -> InvalidInput:
        """Return the error that names the piece which could not be read."""
        piece = PIECE.match(cursor.text, cursor.at)
        named = piece[0] if piece else cursor.rest
        letters = "".join(one for one in named if one.isalpha())
        like = nearest_names(letters, WORDS) if len(letters) > 2 else []
        return refused(
            self.pointer,
            f"'{shown(named)}' in '{shown(self.text)}' could not be read.",
            [so_far, *like] if so_far else like,
            "Leave it out, or write it as the standards do: hex socket, hexalobular, cross recess.",
        )


def step_over_separators(cursor: Cursor) -> None:
    """Step over the blanks and dashes between two things."""
    cursor.take(BETWEEN)


def without_dots(text: str) -> str:
    """Write abbreviations without their points.

    >>> without_dots("3/8 B.S.F. L.H.")
    '3/8 BSF LH'
    """
    return DOTTED.sub(lambda found: found[0].replace(".", ""), text)


def _spaced(text: str) -> str:
    """Write a standard one way: "DIN 933", however it was spaced and capitalised."""
    letters, rest = re.match(r"([A-Za-z/ ]*?) ?([0-9].*)", text).groups()  # type: ignore[union-attr]
    return f"{letters.upper()} {rest}"
