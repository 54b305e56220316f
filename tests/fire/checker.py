"""Hold the database against what callers were told; each finding says what was lost or doubled."""

import json
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import httpx
from sqlalchemy import Connection, Engine, Table, func, inspect, select, text

from db.models import metadata
from db.models.access import audit_entries, kept_answers
from db.models.assemblies import serviceability_rulings
from tests.fire.ledger import Known, Ledger

Send = Callable[..., httpx.Response]


def check_answers(ledger: Ledger, send: Send) -> Iterator[str]:
    """Ask the running service for everything that it ever acknowledged."""
    for known in ledger.records.values():
        yield from _check_record(known, send(method="GET", path=f"{known.path}/{known.id}"))
    for post in ledger.posts:
        if post.answer is None:
            continue
        headers = {"Idempotency-Key": post.key}
        again = send(method="POST", path=post.path, json=post.body, headers=headers)
        if again.content != post.answer or "answer-repeated" not in again.headers:
            yield (
                f"the key {post.key} was answered {post.answer.decode()},"
                f" now {again.status_code} {again.text}"
            )


def _check_record(known: Known, answer: httpx.Response) -> Iterator[str]:
    about = f"{known.path}/{known.id} (version {known.version})"
    if known.is_deleted:
        if answer.status_code != 404:
            yield f"deleted, but there: {about}: {answer.status_code}"
    elif answer.status_code != 200:
        yield f"LOST: {about} was acknowledged, now {answer.status_code}: {known.members}"
    elif answer.json() != known.members:
        yield f"CHANGED: {about}: acknowledged {known.members}, now {answer.json()}"


def check_tables(engine: Engine, ledgers: Sequence[Ledger]) -> Iterator[str]:
    """Compare every row with what was acknowledged, when nobody writes any more."""
    told = {key: known for ledger in ledgers for key, known in ledger.records.items()}
    alive = {key for key, known in told.items() if not known.is_deleted}
    with engine.connect() as connection:
        found = _record_ids(connection)
        yield from (f"LOST: {told[one].path}/{one}" for one in sorted(alive - found))
        yield from (
            f"DOUBLED or unasked: {one} is in the database" for one in sorted(found - alive)
        )
        yield from _check_first_rulings(connection, told)
        yield from _check_audit(connection, told)
        yield from _check_changes(connection, told)
        yield from _check_kept_answers(connection, ledgers)
        yield from check_file(connection)


def tables_of(connection: Connection) -> list[Table]:
    """The tables of the database."""
    names = inspect(connection).get_table_names()
    return [metadata.tables[name] for name in sorted(names) if name in metadata.tables]


def _record_ids(connection: Connection) -> set[str]:
    """The ids of all rows that are records: those with a version."""
    return {
        one
        for table in tables_of(connection)
        if "version" in table.c and "id" in table.c and table is not serviceability_rulings
        for one in connection.execute(select(table.c.id)).scalars()
    }


def _check_first_rulings(connection: Connection, told: dict[str, Known]) -> Iterator[str]:
    """Every position is stored with its first ruling, in the same transaction."""
    rulings = Counter(connection.execute(select(serviceability_rulings.c.position_id)).scalars())
    for one, known in told.items():
        wanted = int(known.path == "/positions" and not known.is_deleted)
        if rulings[one] != wanted:
            yield f"TORN: {one} has {rulings[one]} rulings, wanted {wanted}"


def _check_audit(connection: Connection, told: dict[str, Known]) -> Iterator[str]:
    rows = connection.execute(
        select(audit_entries.c.record_id, func.count())
        .where(audit_entries.c.kind != "key")
        .group_by(audit_entries.c.record_id)
    )
    counts = {row[0]: row[1] for row in rows}
    for one in sorted(counts.keys() - told.keys()):
        yield f"the audit names {one}, which nobody was told of"
    for one, known in told.items():
        if counts.get(one, 0) != known.writes:
            yield f"{one}: {known.writes} writes, {counts.get(one, 0)} audit rows"
    creations = Counter(
        connection.execute(
            select(audit_entries.c.record_id).where(audit_entries.c.action == "create")
        ).scalars()
    )
    for one in told:
        if creations[one] != 1:
            yield f"{one}: {creations[one]} audit rows of its creation"


def _check_changes(connection: Connection, told: dict[str, Known]) -> Iterator[str]:
    """The list of changes names every record once, with its newest audit row."""
    changes = metadata.tables.get("changes")
    if changes is None:
        return
    newest = select(func.max(audit_entries.c.sequence)).where(
        audit_entries.c.record_id == changes.c.record_id
    )
    rows = connection.execute(
        select(
            changes.c.record_id, changes.c.sequence, changes.c.is_retired, newest.scalar_subquery()
        ).where(changes.c.kind.not_in(("key", "serviceability-ruling")))
    )
    found = {row[0]: tuple(row[1:]) for row in rows}
    for one in sorted(found.keys() ^ told.keys()):
        yield f"{one}: in the changes {one in found}, acknowledged {one in told}"
    for one in found.keys() & told.keys():
        sequence, is_retired, newest_sequence = found[one]
        if bool(is_retired) != told[one].is_deleted or sequence != newest_sequence:
            yield f"{one}: changes say {found[one]}, acknowledged {told[one]}"


def _check_kept_answers(connection: Connection, ledgers: Sequence[Ledger]) -> Iterator[str]:
    """One kept answer per acknowledged key, none for a refused one, none unfinished."""
    rows = connection.execute(
        select(kept_answers.c.key, kept_answers.c.status, kept_answers.c.body)
    )
    kept = {row.key: (row.status, bytes(row.body)) for row in rows}
    told = {
        post.key: (201, post.answer)
        for ledger in ledgers
        for post in ledger.posts
        if post.answer is not None
    }
    for key in sorted(kept.keys() | told.keys()):
        if kept.get(key) != told.get(key):
            yield f"the key {key}: told {told.get(key)}, kept {kept.get(key)}"
    named = Counter(json.loads(body)["id"] for status, body in kept.values() if status == 201)
    for one, times in named.items():
        if times > 1:
            yield f"DOUBLED: {one} answers {times} keys"


def check_file(connection: Connection) -> Iterator[str]:
    """What SQLite itself says of its file; of PostgreSQL, that no foreign key points nowhere."""
    if connection.dialect.name == "sqlite":
        for word in connection.execute(text("PRAGMA integrity_check")).scalars():
            if word != "ok":
                yield f"integrity_check: {word}"
        for row in connection.execute(text("PRAGMA foreign_key_check")):
            yield f"foreign_key_check: {tuple(row)}"
        return
    yield from _dangling(connection)


def _dangling(connection: Connection) -> Iterator[str]:
    for table in tables_of(connection):
        for constraint in table.foreign_key_constraints:
            other = constraint.referred_table.alias()
            pairs = [(key.parent, other.c[key.column.name]) for key in constraint.elements]
            lonely = ~select(1).where(*(here == there for here, there in pairs)).exists()
            whole = [here.is_not(None) for here, _ in pairs]
            count = connection.scalar(select(func.count()).select_from(table).where(lonely, *whole))
            if count:
                yield f"{constraint.name}: {count} rows point nowhere"


def places_without_gap(connection: Connection) -> Iterator[str]:
    """Children lie at places 0, 1, 2 of their record: a gap is a child lost."""
    for table in tables_of(connection):
        if "place" not in table.primary_key.columns:
            continue
        owner: Any = next(column for column in table.primary_key if column.name != "place")
        gaps = select(owner).group_by(owner).having(func.max(table.c.place) + 1 != func.count())
        for one in connection.execute(gaps).scalars():
            yield f"TORN: {table.name} of {one} have a gap"
