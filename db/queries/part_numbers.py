"""Numbers of the catalogue that a text may name: fetched by index, ranked by shared.

Every look-up is one search in one index and ends at a fixed number of rows, so that its time does
not grow with the catalogue. What is cut off where it would name a part is told, and never settles.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import (
    Column,
    ColumnElement,
    Row,
    Select,
    and_,
    false,
    literal,
    null,
    or_,
    select,
    true,
    union_all,
)
from sqlalchemy.orm import Session

from db.models.assemblies import assemblies, positions
from db.models.interchange import number_rules, part_other_numbers, parts
from db.queries.access import Principal
from db.queries.interchange import NUMBER_RULES
from db.queries.mapping import load
from db.queries.number_keys import key_of_maker
from db.types import KEY, fitting_key
from shared.interchange.model import NumberKind, NumberRule
from shared.interchange.part_numbers.near import near_forms
from shared.interchange.part_numbers.normal import maker_key
from shared.interchange.part_numbers.search import (
    NumberQuery,
    NumberRow,
    plan_search,
    ranked,
    wants_near,
)
from shared.interchange.part_numbers.settling import NumbersFound, rank

MOST_ROWS: Final = 100
"""Rows that one way of looking reads at most."""
MOST_RULES: Final = 500
"""Rules of makers whose spellings are looked for where no maker is given."""
_MOST_KEYS: Final = 500
"""Keys that one statement asks for at once."""
_MOST_SPELLINGS: Final = 50
"""Different rules whose spellings one statement asks for."""
_LAST: Final = "\U0010ffff"
"""Comes after every character that a key has."""

_NUMBER: Final = (
    literal(NumberKind.MAKER.value).label("kind"),
    parts.c.number.label("text"),
    parts.c.maker,
    parts.c.name,
    parts.c.id.label("part_id"),
    null().label("position_id"),
    null().label("assembly_id"),
    null().label("source"),
    false().label("is_listed"),
)
_DESIGNATION: Final = (
    literal(NumberKind.TRADE.value).label("kind"),
    parts.c.generic_designation.label("text"),
    *_NUMBER[2:],
)
_OTHER: Final = (
    part_other_numbers.c.kind,
    part_other_numbers.c.text,
    *_NUMBER[2:7],
    part_other_numbers.c.source,
    true().label("is_listed"),
)
_POSITION: Final = (
    literal(NumberKind.BOOK_POSITION.value).label("kind"),
    positions.c.reference.label("text"),
    assemblies.c.maker,
    positions.c.name,
    positions.c.part_id,
    positions.c.id.label("position_id"),
    positions.c.assembly_id,
    null().label("source"),
    false().label("is_listed"),
)


@dataclass(frozen=True, slots=True)
class _Way:
    """One way of looking: a bounded select; whether what it finds may name the part."""

    statement: Select[Any]
    does_name: bool = False


def find_numbers(
    session: Session,
    principal: Principal,
    text: str,
    *,
    maker: str | None = None,
    kinds: Collection[NumberKind] | None = None,
    limit: int = 20,
    has_near: bool = True,
) -> NumbersFound:
    """Return what a text names among the numbers on record, ``limit`` matches at most.

    ``maker`` and ``kinds`` restrict it; numbers with a typing error are looked for, if at all
    (``has_near``), only where nothing better is found. All shops find the same: numbers are of the
    catalogue. Raises InvalidInput ("/text") for text that is no number.
    """
    wanted = frozenset(NumberKind) if kinds is None else frozenset(kinds)
    rules = _rules_for(session, plan_search(text, (), maker))
    query = plan_search(text, rules, maker)
    rows, is_cut = _fetched(session, list(_ways(query, wanted)))
    rules = _with_rules_of(session, rules, rows)
    if has_near and wants_near(ranked(query, rows, rules)):
        more, _ = _fetched(session, list(_near_ways(query, wanted)))
        rules = _with_rules_of(session, rules, more)
        rows = [*rows, *more]
    return rank(query, rows, rules, limit=limit, is_cut=is_cut)


# --- rules -----------------------------------------------------------------------------------


def _rules_for(session: Session, query: NumberQuery) -> tuple[NumberRule, ...]:
    """Return the rules by which the text may have another spelling: by its length, or its end."""
    table = number_rules
    length = sum(character.isalnum() for character in query.key)
    if query.maker_key is not None:
        return _rules_of(session, [fitting_key(query.maker_key, KEY)])
    may_apply = or_(
        table.c.last_letter_is_optional,
        table.c.base_length.between(max(1, length - 20), length),
    )
    statement = select(table).where(may_apply).order_by(table.c.id).limit(MOST_RULES)
    return tuple(stored.record for stored in load(session, NUMBER_RULES, statement))


def _rules_of(session: Session, maker_keys: Sequence[str]) -> tuple[NumberRule, ...]:
    statement = (
        select(number_rules)
        .where(number_rules.c.maker_key.in_(maker_keys))
        .order_by(number_rules.c.id)
    )
    return tuple(stored.record for stored in load(session, NUMBER_RULES, statement))


def _with_rules_of(
    session: Session, rules: tuple[NumberRule, ...], rows: Iterable[NumberRow]
) -> tuple[NumberRule, ...]:
    """Add the rules of the makers of some rows: their separators may carry meaning."""
    known = {maker_key(rule.maker) for rule in rules}
    makers = {row.maker for row in rows if maker_key(row.maker) not in known}
    if not makers:
        return rules
    return (*rules, *_rules_of(session, sorted(key_of_maker(maker) for maker in makers)))


# --- ways of looking ---------------------------------------------------------------------------


def _ways(query: NumberQuery, kinds: frozenset[NumberKind]) -> Iterator[_Way]:
    key, folded = fitting_key(query.key, KEY), fitting_key(query.folded_key, KEY)
    if NumberKind.MAKER in kinds:
        yield _of_parts(query, parts.c.number_key, [key], does_name=True)
        yield from _spelled(query)
        yield _of_parts(query, parts.c.folded_key, [folded])
        if query.beginning is not None:
            yield _from_beginning(query, _NUMBER, parts.c.number_key, parts.c.id)
    others = kinds - {NumberKind.MAKER}
    if others:
        yield _of_others(query, others, part_other_numbers.c.number_key, [key], does_name=True)
        yield _of_others(query, others, part_other_numbers.c.folded_key, [folded])
        if query.beginning is not None:
            yield _others_from_beginning(query, others)
    if NumberKind.TRADE in kinds:
        designation = fitting_key(query.designation_key, KEY)
        column = parts.c.designation_key
        order = (column, parts.c.id)
        yield _bounded(query, _DESIGNATION, [column == designation], *order, does_name=True)
    if NumberKind.BOOK_POSITION in kinds and query.book_form is not None:
        yield from _in_books(query, query.book_form)


def _near_ways(query: NumberQuery, kinds: frozenset[NumberKind]) -> Iterator[_Way]:
    """One typing error away; several statements' worth of keys where the number is long."""
    near = sorted({fitting_key(one, KEY) for one in near_forms(query.key)})
    others = kinds - {NumberKind.MAKER}
    for start in range(0, len(near), _MOST_KEYS):
        some = near[start : start + _MOST_KEYS]
        if NumberKind.MAKER in kinds:
            yield _of_parts(query, parts.c.number_key, some)
        if others:
            yield _of_others(query, others, part_other_numbers.c.number_key, some)


def _spelled(query: NumberQuery) -> Iterator[_Way]:
    """Other spellings with the makers whose rules allow them.

    Found by the spelling, of which there are few: one and the same for most rules.
    """
    makers: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for spelling in query.rule_spellings:
        if spelling.keys:
            keys = tuple(fitting_key(key, KEY) for key in spelling.keys)
            makers[keys].append(fitting_key(spelling.maker_key, KEY))
    groups = list(makers.items())
    for start in range(0, len(groups), _MOST_SPELLINGS):
        some = groups[start : start + _MOST_SPELLINGS]
        every = sorted({key for keys, _ in some for key in keys})
        # Joined to nothing: an index on the maker would be searched once for each pair.
        of_maker = parts.c.maker_key.concat("")
        allowed = or_(
            *(and_(of_maker.in_(named), parts.c.number_key.in_(keys)) for keys, named in some)
        )
        conditions = [_among(parts.c.number_key, every), allowed]
        order = (parts.c.maker_key, parts.c.number_key, parts.c.id)
        yield _bounded(query, _NUMBER, conditions, *order, does_name=True)


def _of_parts(
    query: NumberQuery, column: Column[Any], keys: Sequence[str], *, does_name: bool = False
) -> _Way:
    conditions = [_among(column, keys)]
    return _bounded(query, _NUMBER, conditions, column, parts.c.id, does_name=does_name)


def _of_others(
    query: NumberQuery,
    kinds: Collection[NumberKind],
    column: Column[Any],
    keys: Sequence[str],
    *,
    does_name: bool = False,
) -> _Way:
    conditions = [_among(column, keys), *_is_of(kinds)]
    order = part_other_numbers.c.part_id
    return _bounded(query, _OTHER, conditions, column, order, does_name=does_name)


def _in_books(query: NumberQuery, form: str) -> Iterator[_Way]:
    """Positions of assemblies, and lines of books recorded with a part."""
    key = fitting_key(form, KEY)
    within = (f"{key}-", f"{key}-{_LAST}")
    for column, columns, order in (
        (positions.c.reference_key, _POSITION, positions.c.id),
        (part_other_numbers.c.reference_key, _OTHER, part_other_numbers.c.part_id),
    ):
        yield _bounded(query, columns, [column == key], column, order, does_name=True)
        yield _bounded(query, columns, [_between(column, *within)], column, order)


def _from_beginning(
    query: NumberQuery, columns: Sequence[Any], column: Column[Any], order: Column[Any]
) -> _Way:
    first = query.beginning or ""
    return _bounded(query, columns, [_between(column, first, first + _LAST)], column, order)


def _others_from_beginning(query: NumberQuery, kinds: Collection[NumberKind]) -> _Way:
    first, column = query.beginning or "", part_other_numbers.c.number_key
    conditions = [_between(column, first, first + _LAST), *_is_of(kinds)]
    return _bounded(query, _OTHER, conditions, column, part_other_numbers.c.part_id)


def _among(column: Column[Any], keys: Sequence[str]) -> ColumnElement[bool]:
    return column == keys[0] if len(keys) == 1 else column.in_(keys)


def _between(column: Column[Any], first: str, beyond: str) -> ColumnElement[bool]:
    return and_(column >= first, column < beyond)


def _is_of(kinds: Collection[NumberKind]) -> list[ColumnElement[bool]]:
    every = set(NumberKind) - {NumberKind.MAKER}
    if every <= set(kinds):
        return []
    return [part_other_numbers.c.kind.in_(sorted(kind.value for kind in kinds))]


def _bounded(
    query: NumberQuery,
    columns: Sequence[Any],
    conditions: Sequence[ColumnElement[bool]],
    *order: Column[Any],
    does_name: bool = False,
) -> _Way:
    """One select of at most ``MOST_ROWS`` rows and one more, in the order of its index."""
    statement = select(*columns)
    if columns is _OTHER:
        statement = statement.join_from(
            part_other_numbers, parts, parts.c.id == part_other_numbers.c.part_id
        )
    elif columns is _POSITION:
        statement = statement.join_from(
            positions, assemblies, assemblies.c.id == positions.c.assembly_id
        )
    if query.maker_key is not None and columns is not _POSITION:
        conditions = [*conditions, parts.c.maker_key == fitting_key(query.maker_key, KEY)]
    return _Way(statement.where(*conditions).order_by(*order).limit(MOST_ROWS + 1), does_name)


# --- reading -----------------------------------------------------------------------------------


def _fetched(session: Session, ways: Sequence[_Way]) -> tuple[list[NumberRow], bool]:
    """Run all ways as one statement; whether one that may name the part was cut off."""
    if not ways:
        return [], False
    legs = [
        select(literal(number).label("way"), way.statement.subquery(f"way_{number}"))
        for number, way in enumerate(ways)
    ]
    counts = [0] * len(ways)
    rows = []
    for row in session.execute(union_all(*legs)):
        counts[row.way] += 1
        if counts[row.way] <= MOST_ROWS:
            rows.append(_row(row))
    is_cut = any(
        count > MOST_ROWS and way.does_name for way, count in zip(ways, counts, strict=True)
    )
    return rows, is_cut


def _row(row: Row[Any]) -> NumberRow:
    return NumberRow(
        kind=NumberKind(row.kind),
        text=row.text,
        maker=row.maker,
        name=row.name,
        part_id=row.part_id,
        position_id=row.position_id,
        assembly_id=row.assembly_id,
        source=row.source,
        is_listed=bool(row.is_listed),
    )
