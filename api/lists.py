"""Answers that are lists: a page of records, or what changed since a sequence."""

from collections.abc import Callable
from typing import Any, Final
from urllib.parse import urlencode

import structlog
from litestar import Request, Response
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from api.access import caller_of, sessions_of
from api.answers import json_response, record_members
from api.paging import Cursors, place_asked
from api.schemas.queries import ListQuery
from db.engine import DatabaseBusy
from db.queries.access import newest_sequence
from db.queries.listing import Place
from db.queries.mapping import Stored
from db.queries.records import changed_since, has_lapsed, settle
from shared.errors import InvalidInput

AnyRequest = Request[Any, Any, Any]

_SINCE: Final = "updated_since"
_AFTER_ALL_OF_IT: Final = "\uffff"
"""Beyond every id: all that one write changed has been told."""

_log = structlog.get_logger("corewright.lists")


def list_response(
    request: AnyRequest,
    query: type[ListQuery],
    load: Callable[[Place], list[Stored[Any]]],
    members: Callable[[Stored[Any]], dict[str, Any]] = record_members,
    kind: type[Any] | None = None,
) -> Response[bytes]:
    """Answer a list: ``load`` is asked for one record more than the limit, to see a next page.

    With ``kind`` the list also answers ``updated_since``.
    """
    cursors = _cursors(request)
    asked = query.model_validate(dict(request.query_params.items()))
    place = place_asked(cursors, asked.model_dump(exclude_none=True, by_alias=True))
    if kind is not None and _SINCE in place.filters:
        return _changes_response(request, cursors, place, kind, members)
    found = load(Place(place.filters, place.sort, place.limit + 1, place.after))
    body: dict[str, Any] = {
        "items": [members(stored) for stored in found[: place.limit]],
        "limit": place.limit,
    }
    if len(found) <= place.limit:
        return json_response(body)
    return _with_next(request, body, cursors.make(place.beyond(found[place.limit - 1])))


def _changes_response(
    request: AnyRequest,
    cursors: Cursors,
    place: Place,
    kind: type[Any],
    members: Callable[[Stored[Any]], dict[str, Any]],
) -> Response[bytes]:
    _settle(request, kind)
    since = place.filters[_SINCE]
    after = (since, _AFTER_ALL_OF_IT) if place.after is None else place.after
    with sessions_of(request).reading() as session:
        _check_sequence(session, int(since))
        found = changed_since(
            session, caller_of(request), kind, (int(after[0]), after[1]), place.limit + 1
        ).records
    shown, following = found[: place.limit], found[place.limit :]
    body: dict[str, Any] = {
        "items": [members(stored) for _, _, stored in shown if stored is not None],
        "limit": place.limit,
        "retired_ids": [record_id for record_id, _, stored in shown if stored is None],
        "sequence": since if not shown else str(_told_up_to(shown, following)),
    }
    if not following:
        return json_response(body)
    last_id, last_sequence, _ = shown[-1]
    next_place = Place(place.filters, place.sort, place.limit, (str(last_sequence), last_id))
    return _with_next(request, body, cursors.make(next_place))


_Changes = list[tuple[str, int, Stored[Any] | None]]


def _told_up_to(shown: _Changes, following: _Changes) -> int:
    """Return up to which sequence all is told: one write may have changed more than the page."""
    last: int = shown[-1][1]
    is_cut = bool(following) and following[0][1] == last
    return last - 1 if is_cut else last


def _check_sequence(session: Session, since: int) -> None:
    """Refuse a sequence that has not been reached: whoever waits for it would wait unknowing."""
    newest = newest_sequence(session)
    if since > newest:
        raise InvalidInput(
            f"/{_SINCE}",
            f"updated_since is {since}; the newest sequence is {newest}.",
            "Begin again with 0: the database is another one, or one restored from earlier.",
            "out-of-range",
        )


def _settle(request: AnyRequest, kind: type[Any]) -> None:
    """Have what the clock has changed written down first: only what is written has a sequence."""
    caller, sessions = caller_of(request), sessions_of(request)
    with sessions.reading() as session:
        is_behind = has_lapsed(session, caller, kind)
    if not is_behind:
        return
    try:
        sessions.write(lambda session: settle(session, caller, kind))
    except (DatabaseBusy, DBAPIError):
        # Nothing can be written now; what is written can be told all the same.
        _log.warning("what the clock changed was not written down", exc_info=True)


def _cursors(request: AnyRequest) -> Cursors:
    secret = request.app.state.settings.secret
    return Cursors(secret, caller_of(request).shop_id, request.scope["path"])


def _with_next(request: AnyRequest, body: dict[str, Any], cursor: str) -> Response[bytes]:
    body["next"] = f"{request.scope['path']}?{urlencode({'cursor': cursor})}"
    return json_response(body, headers={"Link": f'<{body["next"]}>; rel="next"'})
