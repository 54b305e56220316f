"""Servers broken on purpose: the checks must notice each of these, or they prove nothing."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import text
from sqlalchemy.orm import Session

import db.queries.store
from api.access import sessions_of
from api.idempotency import Made, Once
from db.engine import Sessions


def forgets_to_commit() -> None:
    """Every fifth write is answered and rolled back."""
    count = [0]

    @contextmanager
    def writing(self: Sessions) -> Iterator[Session]:
        with self._turn(), Session(self._writer, autoflush=False) as session:
            yield session
            count[0] += 1
            session.rollback() if count[0] % 5 == 0 else session.commit()

    Sessions.writing = writing  # type: ignore[method-assign]


def answers_before_it_stores() -> None:
    """The commit comes a moment after the answer."""

    def write(self: Sessions, work: Callable[[Session], Any]) -> Any:
        turn = self._turn()
        turn.__enter__()
        session = Session(self._writer, autoflush=False)
        try:
            result = work(session)
        except BaseException:
            session.close()
            turn.__exit__(None, None, None)
            raise

        def later() -> None:
            time.sleep(0.02)
            session.commit()
            session.close()
            turn.__exit__(None, None, None)

        threading.Thread(target=later).start()
        return result

    Sessions.write = write  # type: ignore[method-assign]


def keeps_the_key_apart() -> None:
    """The answer is kept in a transaction of its own, after the effect was stored."""

    def store(self: Once, work: Callable[[Session], Made]) -> Any:
        kept = self.answered()
        if kept is not None:
            return kept
        sessions = sessions_of(self.request)
        made = sessions.write(work)
        time.sleep(0.02)
        return sessions.write(lambda session: self._store(session, lambda _: made))

    Once.store = store  # type: ignore[method-assign]


def loses_a_child() -> None:
    """Now and then a caution goes a moment after it was acknowledged."""
    write, count = Sessions.write, [0]
    lose = text(
        "DELETE FROM position_cautions WHERE place = 1"
        " AND position_id = (SELECT max(position_id) FROM position_cautions)"
    )

    def write_and_lose(self: Sessions, work: Callable[[Session], Any]) -> Any:
        result = write(self, work)
        count[0] += 1
        if count[0] % 5 == 0:
            write(self, lambda session: session.execute(lose))
        return result

    Sessions.write = write_and_lose  # type: ignore[method-assign]


def audits_twice() -> None:
    """One change leaves two audit rows."""
    note = db.queries.store.note_change

    def twice(session: Session, *about: Any, **more: Any) -> None:
        note(session, *about, **more)
        note(session, *about, **more)

    db.queries.store.note_change = twice  # type: ignore[assignment]


def audits_the_wrong_record() -> None:
    """The audit names a record that nobody stored."""
    note = db.queries.store.note_change

    def astray(
        session: Session, principal: Any, kind: str, _: str, *about: Any, **more: Any
    ) -> None:
        note(session, principal, kind, "sup_nobody", *about, **more)

    db.queries.store.note_change = astray  # type: ignore[assignment]
