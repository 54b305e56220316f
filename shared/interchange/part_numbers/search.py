"""Which numbers on record a text names, and how each was matched: pure ranking of what was read."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from shared.designations.model import StandIn
from shared.interchange.equals import equal_by_designation, equivalence_key, named_by
from shared.interchange.model import NumberKind, NumberRule
from shared.interchange.part_numbers.near import SHORTEST, told
from shared.interchange.part_numbers.normal import (
    book_form,
    folded_form,
    hidden_characters,
    maker_key,
    normal_form,
    plain,
    visible,
    written,
)
from shared.interchange.part_numbers.rules import is_same_under, spellings

_SHORTEST_BEGINNING: Final = 3


class HowMatched(StrEnum):
    """How a number on record agrees with the text, from the surest on."""

    EXACT = "exact"
    NORMAL_FORM = "normal-form"
    MAKER_RULE = "maker-rule"
    STANDARD = "standard"
    """A designation that its standard reads as the same."""
    LOOK_ALIKE = "look-alike"
    TYPING_ERROR = "typing-error"
    PREFIX = "prefix"


ORDER: Final = tuple(HowMatched)
NAMING: Final = frozenset(ORDER[: ORDER.index(HowMatched.LOOK_ALIKE)])
"""Matches that name what was asked; all others are near misses: offered, not taken."""


@dataclass(frozen=True, slots=True)
class MakerSpellings:
    """Normal forms that name the same part as the text does, with one maker alone."""

    maker_key: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NumberQuery:
    """What to look up for a text.

    ``key`` meets the normal form of numbers of parts, ``folded_key`` their look-alikes,
    ``book_form`` that of positions in books, ``designation_key`` that of generic designations,
    ``beginning`` (None: too short) the start of ``key``. ``maker_key``: only this maker's.
    """

    written: str
    key: str
    folded_key: str
    designation_key: str
    book_form: str | None = None
    beginning: str | None = None
    maker_key: str | None = None
    rule_spellings: tuple[MakerSpellings, ...] = ()
    has_hidden_characters: bool = False


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One number on record.

    ``text`` is as written; ``maker`` and ``name`` are those of the part, or of the assembly and the
    position where a position's reference in its parts book was found (then ``position_id`` and
    ``assembly_id`` are there, and ``part_id`` is the part called for, if one is known).
    ``source``: of another number of a part, whose it is. A generic designation is a trade number
    too, but names a size; ``is_listed``: this one is listed as the part's own.
    """

    kind: NumberKind
    text: str
    maker: str
    name: str
    part_id: str | None = None
    position_id: str | None = None
    assembly_id: str | None = None
    source: str | None = None
    is_listed: bool = False


@dataclass(frozen=True, slots=True)
class NumberMatch:
    """A number on record that agrees with the text, and how; ``note`` says in what it differs.

    ``does_name``: whether the text names it beyond doubt, as far as this number alone tells.
    """

    match: HowMatched
    kind: NumberKind
    written: str
    maker: str
    name: str
    part_id: str | None = None
    position_id: str | None = None
    assembly_id: str | None = None
    source: str | None = None
    note: str | None = None
    does_name: bool = False


def plan_search(
    text: str, rules: Sequence[NumberRule] = (), maker: str | None = None
) -> NumberQuery:
    """Return what to look up for a text; ``maker`` restricts it to one maker's numbers.

    Raises InvalidInput ("/text") as ``written`` does.

    >>> plan_search("0417-0263580").key
    '04170263580'
    """
    kept = written(text)
    key = normal_form(kept)
    wanted = None if maker is None else maker_key(maker)
    by_maker = [(maker_key(rule.maker), spellings(key, rule)) for rule in rules]
    return NumberQuery(
        written=kept,
        key=key,
        folded_key=folded_form(key),
        designation_key=equivalence_key(visible(kept)),
        book_form=book_form(kept),
        beginning=key if len(key) >= _SHORTEST_BEGINNING else None,
        maker_key=wanted,
        rule_spellings=tuple(
            MakerSpellings(name, keys) for name, keys in by_maker if keys and wanted in {None, name}
        ),
        has_hidden_characters=hidden_characters(text),
    )


def ranked(
    query: NumberQuery, rows: Iterable[NumberRow], rules: Sequence[NumberRule] = ()
) -> tuple[NumberMatch, ...]:
    """Return the rows that agree with the query, each once, the surest first."""
    by_maker = {maker_key(rule.maker): rule for rule in rules}
    found = []
    for row in dict.fromkeys(rows):
        owner = maker_key(row.maker)
        if query.maker_key in {None, owner}:
            match = _matched(query, row, by_maker.get(owner))
            if match is not None:
                found.append(match)
    return tuple(sorted(found, key=_order))


def wants_near(matches: Iterable[NumberMatch]) -> bool:
    """Whether numbers with a typing error should be looked for: nothing better was found."""
    return all(one.match is HowMatched.TYPING_ERROR for one in matches)


def _order(match: NumberMatch) -> tuple[int, str, str, str, str, str]:
    return (
        ORDER.index(match.match),
        maker_key(match.maker),
        match.written,
        match.part_id or "",
        match.position_id or "",
        match.kind,
    )


def _matched(query: NumberQuery, row: NumberRow, rule: NumberRule | None) -> NumberMatch | None:
    """How one row agrees with the query; None: not at all."""
    if row.kind is NumberKind.BOOK_POSITION:
        return _matched_in_book(query, row)
    if row.kind is NumberKind.TRADE:
        return _matched_by_trade(query, row)
    return _matched_by_letters(query, row, rule)


def _matched_in_book(query: NumberQuery, row: NumberRow) -> NumberMatch | None:
    """Positions are compared group by group: 3-11-28 is no spelling of 31128."""
    own = book_form(row.text)
    if plain(row.text) == plain(query.written):
        match = HowMatched.EXACT
    elif own is None or query.book_form is None:
        return None
    elif own == query.book_form:
        match = HowMatched.NORMAL_FORM
    elif own.startswith(f"{query.book_form}-"):
        return _match(HowMatched.PREFIX, row, "the position goes on after it")
    else:
        return None
    if own is not None and "-" not in own:
        return _match(match, row, "a line of a parts book: say of which assembly")
    return _match(match, row, None, does_name=True)


def _matched_by_trade(query: NumberQuery, row: NumberRow) -> NumberMatch | None:
    """A designation is what its standard reads, however alike the letters are."""
    asked = visible(query.written)
    found = _matched_by_letters(query, row, None)
    equal = equal_by_designation(asked, row.text)
    is_same = equal is not None and equal.outcome is StandIn.SAME
    if found is None or found.match not in NAMING:
        return _match(HowMatched.STANDARD, row, None, does_name=True) if is_same else found
    if is_same:
        return found
    one, other = named_by(asked), named_by(row.text)
    if one is None or other is None:
        is_open = one is not other or not (_is_plain_text(asked) and _is_plain_text(row.text))
    elif one.canonical != other.canonical:
        return _match(
            HowMatched.TYPING_ERROR,
            row,
            f"read as {other.canonical}, the text as {one.canonical}: not the same",
        )
    else:
        is_open = not row.is_listed
    if is_open:
        return _match(found.match, row, "the designation leaves open which part it names")
    return found


def _is_plain_text(text: str) -> bool:
    """Whether no standard reads it in several ways, given that none reads it in one."""
    alone = equal_by_designation(text, text)
    return alone is not None and alone.outcome is StandIn.SAME


def _matched_by_letters(
    query: NumberQuery, row: NumberRow, rule: NumberRule | None
) -> NumberMatch | None:
    """How a number agrees by its letters and figures, and its maker's rule."""
    if plain(row.text) == plain(query.written):
        return _match(HowMatched.EXACT, row, None, does_name=True)
    if normal_form(row.text) == query.key:
        return _matched_in_normal_form(query, row, rule)
    is_own = row.kind is NumberKind.MAKER
    if rule is not None and is_own and is_same_under(rule, query.written, row.text):
        note = f"the same by the maker's rule: {rule.source}"
        return _match(HowMatched.MAKER_RULE, row, note, does_name=True)
    return _nearly_matched(query, row)


def _nearly_matched(query: NumberQuery, row: NumberRow) -> NumberMatch | None:
    key = normal_form(row.text)
    difference = told(query.key, key)
    if folded_form(key) == query.folded_key:
        return _match(HowMatched.LOOK_ALIKE, row, difference)
    if query.beginning is not None and key.startswith(query.beginning):
        more = key.removeprefix(query.beginning)
        return _match(HowMatched.PREFIX, row, f"the number goes on: {more}")
    if difference is None or min(len(key), len(query.key)) < SHORTEST:
        return None
    return _match(HowMatched.TYPING_ERROR, row, difference)


def _matched_in_normal_form(
    query: NumberQuery, row: NumberRow, rule: NumberRule | None
) -> NumberMatch:
    kept = "" if rule is None else rule.kept_separators or ""
    if kept and normal_form(row.text, kept) != normal_form(query.written, kept):
        return _match(
            HowMatched.TYPING_ERROR, row, "separators carry meaning with this maker, and differ"
        )
    if _is_like_a_position(query) and book_form(row.text) != query.book_form:
        return _match(
            HowMatched.NORMAL_FORM,
            row,
            f"{query.written} may be a position in a parts book, which is no spelling of this",
        )
    return _match(HowMatched.NORMAL_FORM, row, "written otherwise, the same characters", True)


def _is_like_a_position(query: NumberQuery) -> bool:
    """Three groups or more, of one or two figures: section, plate, item."""
    groups = (query.book_form or "").split("-")
    return len(groups) >= 3 and all(group.isdigit() and len(group) <= 2 for group in groups)


def _match(
    match: HowMatched, row: NumberRow, note: str | None, does_name: bool = False
) -> NumberMatch:
    return NumberMatch(
        match=match,
        kind=row.kind,
        written=row.text,
        maker=row.maker,
        name=row.name,
        part_id=row.part_id,
        position_id=row.position_id,
        assembly_id=row.assembly_id,
        source=row.source,
        note=note,
        does_name=does_name,
    )
