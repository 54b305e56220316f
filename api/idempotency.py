"""Safe repetition: what stores something runs once per Idempotency-Key, however often it is sent.

The effect and the answer kept for the key commit in one transaction; an attempt that fails leaves
neither.
"""

import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from litestar import Request, Response
from sqlalchemy.orm import Session

from api.access import caller_of, sessions_of
from api.answers import JSON_TYPE, RECORD_HEADERS, etag_of
from api.body import body_read
from api.errors import ApiError
from api.writes import write_settled
from db.queries.access import KeptAnswer, claim_key, find_answer, keep_answer

_KEY = re.compile(r"[\x21\x23-\x7e]{1,200}")
REPEATED: Final = "Answer-Repeated"


@dataclass(frozen=True)
class Made:
    """What a call made: where it is and its version, if it is one record; its answer."""

    location: str | None
    version: int | None
    body: bytes
    is_new: bool = True
    """Whether the call has stored it; what was stored before is answered with 200."""


@dataclass(frozen=True)
class Once:
    """One request that stores something, recognised by its key and the hash of its body."""

    request: Request[Any, Any, Any]
    key: str
    request_hash: str

    @classmethod
    def of(cls, request: Request[Any, Any, Any]) -> "Once":
        """Read the key and the body; raises the problem idempotency-key-missing."""
        return cls(request, _key(request), _hash(body_read(request)))

    def answered(self) -> Response[bytes] | None:
        """Return the first answer if this request was answered before; else None."""
        with sessions_of(self.request).reading() as session:
            kept = find_answer(session, caller_of(self.request), self._route, self.key)
        return None if kept is None else self._again(kept)

    def store(self, work: Callable[[Session], Made]) -> Response[bytes]:
        """Run the work and keep its answer, or give the answer that was kept."""
        sessions = sessions_of(self.request)
        return write_settled(sessions, lambda session: self._store(session, work))

    def _store(self, session: Session, work: Callable[[Session], Made]) -> Response[bytes]:
        caller = caller_of(self.request)
        kept = claim_key(session, caller, self._route, self.key)
        if kept is not None:
            return self._again(kept)
        made = work(session)
        headers = dict(RECORD_HEADERS)
        if made.location is not None:
            headers["Location"] = made.location
        if made.version is not None:
            headers["ETag"] = etag_of(made.version)
        status = 201 if made.is_new else 200
        answer = KeptAnswer(self.request_hash, status, headers, made.body)
        keep_answer(session, caller, self._route, self.key, answer)
        return _response(answer)

    def _again(self, kept: KeptAnswer) -> Response[bytes]:
        if kept.request_hash != self.request_hash:
            raise ApiError(
                "idempotency-key-reused", "This Idempotency-Key came before with another body."
            )
        return _response(kept, {REPEATED: "true"})

    @property
    def _route(self) -> str:
        return f"POST {self.request.scope['path']}"[:200]


def _response(answer: KeptAnswer, more: dict[str, str] | None = None) -> Response[bytes]:
    return Response(
        answer.body,
        status_code=answer.status,
        media_type=JSON_TYPE,
        headers={**answer.headers, **(more or {})},
    )


def _key(request: Request[Any, Any, Any]) -> str:
    """Return the key without the quotes that a structured header puts around it."""
    given = request.headers.getall("idempotency-key", [])
    text = given[0].strip() if len(given) == 1 else ""
    if len(text) >= 2 and text[0] == text[-1] == '"':
        text = text[1:-1]
    if not _KEY.fullmatch(text):
        seen = "none" if not given else "one that is empty, too long, or not plain"
        raise ApiError(
            "idempotency-key-missing",
            f"Wanted one Idempotency-Key of 1 to 200 visible characters; got {seen}.",
        )
    return text


def _hash(body: object) -> str:
    text = json.dumps(body, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
