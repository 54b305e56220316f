"""Create, read and page any kind of record; each topic's module says how its kinds are kept."""

from typing import Any, Final, TypeVar

from sqlalchemy.orm import Session

from db.queries import assemblies, condition, decision, interchange, sourcing, store
from db.queries.access import Principal
from db.queries.mapping import Mapped, Stored

__all__ = ["FILTERS", "Stored", "create", "page", "read"]

T = TypeVar("T")

_MAPPED: Final[dict[type[Any], Mapped[Any]]] = {
    mapped.kind: mapped
    for topic in (assemblies, interchange, condition, sourcing, decision)
    for mapped in topic.MAPPED
}

FILTERS: Final[dict[type[Any], tuple[str, ...]]] = {
    kind: mapped.filters for kind, mapped in _MAPPED.items()
}
"""By which fields a list of each kind can be narrowed; each is served by an index."""


def create(session: Session, principal: Principal, record: T) -> Stored[T]:
    """Keep a new record and write its audit row.

    Raises InvalidInput for a reference that is unknown or does not fit and for a broken truth,
    Conflict ("duplicate", with existing_id) where there is such a record already.
    """
    return store.create(session, principal, _MAPPED[type(record)], record)


def read(session: Session, principal: Principal, kind: type[T], record_id: str) -> Stored[T]:
    """Return one record; raises NotFound where there is none or it is another shop's own."""
    return store.read(session, principal, _MAPPED[kind], record_id)


def page(
    session: Session,
    principal: Principal,
    kind: type[T],
    filters: dict[str, str],
    limit: int,
    after_id: str | None = None,
) -> list[Stored[T]]:
    """Return up to ``limit`` records by rising id, those after ``after_id``.

    ``filters`` are equalities on the fields of ``FILTERS[kind]``; raises InvalidInput for another
    field and for a word that the field does not know.
    """
    return store.page(session, principal, _MAPPED[kind], filters, limit, after_id)
