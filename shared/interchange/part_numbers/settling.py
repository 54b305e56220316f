"""Whether a text settles on one part, and if it does not, what to ask."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from shared.interchange.model import NumberKind, NumberRule
from shared.interchange.part_numbers.near import told
from shared.interchange.part_numbers.normal import maker_key, normal_form
from shared.interchange.part_numbers.search import (
    NAMING,
    HowMatched,
    NumberMatch,
    NumberQuery,
    NumberRow,
    ranked,
)

_MOST_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class NumbersFound:
    """What a text was found to name: matches, the surest first.

    ``settled_part_id`` is the one part that it names beyond doubt, else ``why_not_settled`` says
    what stands against it and what to ask. ``left_out``: matches beyond those given.
    """

    matches: tuple[NumberMatch, ...]
    settled_part_id: str | None = None
    why_not_settled: str | None = None
    has_hidden_characters: bool = False
    left_out: int = 0


def rank(
    query: NumberQuery,
    rows: Iterable[NumberRow],
    rules: Sequence[NumberRule] = (),
    *,
    limit: int = 20,
    is_cut: bool = False,
) -> NumbersFound:
    """Return what the rows say of a query, at most ``limit`` matches.

    All rows count for whether it is settled. ``is_cut``: rows that may name it were not read, so
    that one part read may be one of several.
    """
    matches = ranked(query, rows, rules)
    naming = [one for one in matches if one.match in NAMING]
    surest = _surest(naming)
    reason = _why_not(query, matches, surest, is_cut)
    parts = [one.part_id for one in surest if one.part_id is not None]
    return NumbersFound(
        matches=matches[:limit],
        settled_part_id=None if reason else parts[0],
        why_not_settled=reason,
        has_hidden_characters=query.has_hidden_characters,
        left_out=max(0, len(matches) - limit),
    )


def _surest(naming: Sequence[NumberMatch]) -> tuple[NumberMatch, ...]:
    """Those of the best sort; of trade numbers all sorts: how they are spelt says nothing."""
    best = [one for one in naming if one.match is naming[0].match]
    if all(one.kind is NumberKind.TRADE for one in best):
        return tuple(one for one in naming if one.kind is NumberKind.TRADE)
    return tuple(best)


def _why_not(
    query: NumberQuery,
    matches: Sequence[NumberMatch],
    surest: Sequence[NumberMatch],
    is_cut: bool,
) -> str | None:
    """What stands against taking one part; None: nothing does."""
    if not surest:
        return _why_nothing(matches)
    reasons = (
        _why_casting([one for one in matches if one.match in NAMING]),
        _why_several(surest),
        _why_open(surest),
        _why_another(surest, matches),
        _why_line(surest),
        "More numbers than were read agree with it: say of which maker." if is_cut else None,
        _why_misread(query, matches, surest),
    )
    return next((reason for reason in reasons if reason is not None), None)


def _why_nothing(matches: Sequence[NumberMatch]) -> str:
    if not matches:
        return "Nothing is on record under this number."
    if all(one.match is HowMatched.PREFIX for one in matches):
        return "It is only the beginning of what is on record: write on, or choose."
    return "Nothing but near misses: they are offered, not taken."


def _why_casting(naming: Sequence[NumberMatch]) -> str | None:
    """One casting is machined into several parts, one of which may have its number."""
    castings = [one for one in naming if one.kind is NumberKind.CASTING]
    if not castings:
        return None
    if any(one.kind is NumberKind.MAKER for one in naming):
        return (
            "It is a casting number and a maker's number of a finished part: say which was read,"
            " the one cast in or the one stamped or inked on the finished part."
        )
    count = len({one.part_id for one in castings})
    parts = "one part" if count == 1 else f"{count} parts"
    return (
        f"It is a casting number, on record for {parts}, and names none of them: ask for the"
        " number stamped or inked on the finished part."
    )


def _why_several(surest: Sequence[NumberMatch]) -> str | None:
    named = {one.part_id for one in surest}
    if len(named) <= 1:
        return None
    if all(one.kind is NumberKind.TRADE for one in surest):
        return f"{len(named)} parts have this trade number: say whose."
    if any(one.kind is NumberKind.BOOK_POSITION for one in surest):
        return "It is a position in a parts book, and names more than one thing: say in which book."
    makers = {maker_key(one.maker): one.maker for one in surest}
    if len(makers) > 1:
        return f"{_named(sorted(makers.values()))} have this number, each for its own: say whose."
    return f"It names {len(named)} parts: {_named([one.written for one in surest])}. Say which."


def _why_another(surest: Sequence[NumberMatch], matches: Sequence[NumberMatch]) -> str | None:
    """Spelling tells two numbers of one maker apart, not those of two makers or of two kinds."""
    own = {one.part_id for one in surest}
    kinds = {(maker_key(one.maker), one.kind) for one in surest}
    others = [
        one
        for one in matches
        if one.does_name
        and one.part_id not in own
        and (maker_key(one.maker), one.kind) not in kinds
    ]
    if not others:
        return None
    both = [*surest, *others]
    makers = {maker_key(one.maker): one.maker for one in both}
    numbers = _named([one.written for one in both])
    if len(makers) > 1:
        whose = _named(sorted(makers.values()))
        return f"{whose} have this number, each for its own ({numbers}): say whose."
    return f"It names several parts, each by another kind of number ({numbers}): say which."


def _why_line(surest: Sequence[NumberMatch]) -> str | None:
    """Every parts book has its own third section: only the book tells whose line it is."""
    if any(one.does_name and one.kind is not NumberKind.BOOK_POSITION for one in surest):
        return None
    books = _named([one.source or one.maker for one in surest])
    return f"It is a line of a parts book ({books}): make sure that the book in hand is that one."


def _why_open(surest: Sequence[NumberMatch]) -> str | None:
    """Why none of the surest matches names a part by itself."""
    if not any(one.part_id is not None for one in surest):
        return "It names a position in a parts book, and no part is on record for it."
    if any(one.does_name and one.part_id is not None for one in surest):
        return None
    notes = dict.fromkeys(one.note for one in surest if one.note is not None)
    return f"It does not name one part: {'; '.join(notes)}."


def _why_misread(
    query: NumberQuery, matches: Sequence[NumberMatch], surest: Sequence[NumberMatch]
) -> str | None:
    """A worn figure may be either of two where both numbers exist."""
    own = {one.part_id for one in surest}
    for one in matches:
        if one.match is HowMatched.LOOK_ALIKE and one.part_id not in own:
            difference = told(query.key, normal_form(one.written))
            return f"{one.written} is on record too ({difference}): read the number again."
    return None


def _named(texts: Sequence[str]) -> str:
    """The first few of some texts, each once, and how many more there are."""
    once = list(dict.fromkeys(texts))
    first = ", ".join(once[:_MOST_NAMED])
    more = len(once) - _MOST_NAMED
    return first if more <= 0 else f"{first} and {more} more"
