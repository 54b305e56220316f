"""Any kind of record; each topic's module says how its kinds are kept."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any, Final, TypeVar

from sqlalchemy import Table
from sqlalchemy.orm import Session

from db.queries import (
    assemblies,
    condition,
    decision,
    fasteners,
    fitments,
    interchange,
    reservations,
    salvage,
    shim_places,
    sourcing,
    store,
)
from db.queries.access import Principal, changes_since
from db.queries.listing import Place, ranges_of, sorts_of
from db.queries.mapping import Mapped, Stored
from db.queries.users import Keeper

T = TypeVar("T")

_MAPPED: Final[dict[type[Any], Mapped[Any]]] = {
    mapped.kind: mapped
    for topic in (
        assemblies,
        interchange,
        fasteners,
        condition,
        shim_places,
        sourcing,
        decision,
        salvage,
        reservations,
        fitments,
    )
    for mapped in topic.MAPPED
}

KINDS: Final[tuple[type[Any], ...]] = tuple(_MAPPED)
CATALOGUE_WORDS: Final = tuple(one.word for one in _MAPPED.values() if not one.is_private)
"""Kinds that all shops read, by their words in audit entries."""

_KEEPERS: Final[dict[Table, Keeper]] = {
    table: Keeper(mapped.word, column, mapped.table)
    for mapped in _MAPPED.values()
    for table, column in (
        (mapped.table, "id"),
        *((children.table, children.owner) for children in mapped.children),
        *mapped.owns,
    )
    # A table of its own kind is that kind's, whoever else owns its rows.
    if table is mapped.table or table not in {other.table for other in _MAPPED.values()}
}


@dataclass(frozen=True, slots=True)
class Lists:
    """How lists of a kind are narrowed and ordered; each of it is served by an index."""

    filters: tuple[str, ...]
    selections: tuple[str, ...]
    ranges: tuple[str, ...]
    sorts: tuple[str, ...]


def lists_of(kind: type[Any]) -> Lists:
    """Return by what lists of a kind are narrowed and ordered."""
    mapped = _MAPPED[kind]
    return Lists(
        mapped.filters, tuple(mapped.selections or ()), ranges_of(mapped), sorts_of(mapped)
    )


def is_kept(kind: type[Any]) -> bool:
    """Return whether records of a kind are only ever added: never changed, never retired."""
    return _MAPPED[kind].is_kept


def fixed_of(kind: type[Any]) -> frozenset[str]:
    """Return the fields of a kind that stay as a record was made."""
    return frozenset(_MAPPED[kind].fixed or ())


def word_of(kind: type[Any]) -> str:
    """Return the kind's word in audit entries."""
    return _MAPPED[kind].word


def create(session: Session, principal: Principal, record: T) -> Stored[T]:
    """Keep a new record and write its audit row.

    Raises InvalidInput for a reference that is unknown or does not fit and for a broken truth,
    Conflict ("duplicate", with existing_id) where there is such a record already.
    """
    return store.create(session, principal, _MAPPED[type(record)], record)


def read(session: Session, principal: Principal, kind: type[T], record_id: str) -> Stored[T]:
    """Return one record; raises NotFound where there is none or it is another shop's own."""
    return store.read(session, principal, _MAPPED[kind], record_id)


def page(session: Session, principal: Principal, kind: type[T], place: Place) -> list[Stored[T]]:
    """Return up to ``place.limit`` records, those that follow ``place.after``.

    Raises InvalidInput for a filter or an order that the kind does not have, and for a word that a
    field does not know.
    """
    return store.page(session, principal, _MAPPED[kind], place)


def change(
    session: Session,
    principal: Principal,
    kind: type[T],
    record_id: str,
    expected: Collection[int],
    edit: Callable[[Stored[T]], T],
) -> Stored[T]:
    """Change a record whose version is one of those expected, and write its audit row.

    ``edit`` makes the new record from the one stored; an equal one is not written. Raises NotFound,
    NotTheAuthor for another shop's record of the catalogue, StaleVersion, InvalidInput, Conflict.
    """
    return store.change(session, principal, _MAPPED[kind], record_id, expected, edit)


def retire(
    session: Session,
    principal: Principal,
    kind: type[Any],
    record_id: str,
    expected: Collection[int],
) -> None:
    """Take a record out that nothing uses; the audit row keeps what it said.

    Raises NotFound, NotTheAuthor, StaleVersion, Conflict ("in-use", with used_by).
    """
    store.retire(session, principal, _MAPPED[kind], record_id, expected, _KEEPERS)


def has_lapsed(session: Session, principal: Principal, kind: type[Any]) -> bool:
    """Return whether the clock has changed records of the shop that nobody has written down."""
    lapsed = _MAPPED[kind].lapsed
    return lapsed is not None and bool(lapsed(session, principal))


def settle(session: Session, principal: Principal, kind: type[Any]) -> None:
    """Write down what the clock has made of the shop's records, so that changes can be told."""
    write = _MAPPED[kind].settle
    if write is not None:
        write(session, principal)


@dataclass(frozen=True, slots=True)
class ChangedRecords:
    """Records of a kind that changed after a place, in the order of their newest changes.

    ``records`` holds None for one that was retired; ``last`` is where to go on.
    """

    records: list[tuple[str, int, Stored[Any] | None]]


def changed_since(
    session: Session, principal: Principal, kind: type[Any], after: tuple[int, str], limit: int
) -> ChangedRecords:
    """Return up to ``limit`` records with a change after a sequence (and an id within it)."""
    mapped = _MAPPED[kind]
    shop_id = principal.shop_id if mapped.is_private else None
    found = changes_since(session, mapped.word, shop_id, after, limit)
    ids = [record_id for record_id, _, is_retired in found if not is_retired]
    records = store.find_all(session, principal, mapped, ids)
    return ChangedRecords(
        [(record_id, sequence, records.get(record_id)) for record_id, sequence, _ in found]
    )
