"""One write of a request, begun again where what it depends on came or went meanwhile."""

from collections.abc import Callable
from typing import TypeVar

from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from db.engine import Sessions

T = TypeVar("T")


def write_settled(sessions: Sessions, work: Callable[[Session], T]) -> T:
    """Run ``work`` in a writing session; once more where the database broke it off as untrue.

    What a record points at, its equal, or its user came or went at this very moment: asked again,
    the checks see it and say so. Nothing remains of the first attempt.
    """
    try:
        return sessions.write(work)
    except IntegrityError:
        return sessions.write(work)
