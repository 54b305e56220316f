"""Create, read and list, for every kind of record; each topic's module says which kinds it has."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, cast
from urllib.parse import urlencode

from litestar import Request, Response, get, post
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath, JSONBody

from api.access import Right, caller_of, needs, sessions_of
from api.answers import json_response, record_members, record_response, to_json
from api.idempotency import Made, Once
from api.paging import Cursors, Place, place_asked
from api.schemas.base import Answer, Body, to_domain_with_id
from api.schemas.queries import ListQuery, list_query
from db.ids import new_id
from db.queries.records import FILTERS, Stored, create, page, read

AnyRequest = Request[Any, Any, Any]


@dataclass(frozen=True)
class RecordKind:
    """One kind of record: its path, its words, its dataclass, its models."""

    path: str
    singular: str
    plural: str
    tag: str
    prefix: str
    kind: type[Any]
    create: type[Body]
    read: type[Answer]

    @property
    def name(self) -> str:
        """The kind as it stands in operation ids: "LabourOperation"."""
        return self.kind.__name__

    @property
    def query(self) -> type[ListQuery]:
        """The query of its list."""
        return list_query(f"{self.name}Query", self.read, FILTERS[self.kind])


def record_routes(kind: RecordKind) -> tuple[HTTPRouteHandler, ...]:
    """Make the handlers of one kind of record: create, list, read one."""
    return _create_route(kind), _list_route(kind), _read_route(kind)


def _create_route(kind: RecordKind) -> HTTPRouteHandler:
    def create_record(data: Any, request: AnyRequest) -> Response[bytes]:
        once = Once.of(request)
        record = to_domain_with_id(data, kind.kind, new_id(kind.prefix))

        def work(session: Any) -> Made:
            create(session, caller_of(request), record)
            # Read back: what is answered is what is stored.
            stored = read(session, caller_of(request), kind.kind, record.id)
            return Made(
                f"/v1{kind.path}/{record.id}", stored.version, to_json(record_members(stored))
            )

        return once.store(work)

    create_record.__annotations__["data"] = cast(Any, JSONBody)[kind.create]
    create_record.__doc__ = f"Store {kind.singular}. {_first_line(kind.create)}"
    return post(
        kind.path,
        operation_id=f"create{kind.name}",
        summary=f"Store {kind.singular}",
        tags=[kind.tag],
        sync_to_thread=True,
        opt={**needs(Right.WRITE), "answer": kind.read, "stores": True},
    )(create_record)


def _list_route(kind: RecordKind) -> HTTPRouteHandler:
    query = kind.query

    def list_records(request: AnyRequest) -> Response[bytes]:
        def load(place: Place) -> list[Stored[Any]]:
            with sessions_of(request).reading() as session:
                return page(
                    session,
                    caller_of(request),
                    kind.kind,
                    place.filters,
                    place.limit + 1,
                    place.after_id,
                )

        return list_response(request, query, load, record_members)

    list_records.__doc__ = f"List {kind.plural}, by rising id."
    return get(
        kind.path,
        operation_id=f"list{kind.name}s",
        summary=f"List {kind.plural}",
        tags=[kind.tag],
        sync_to_thread=True,
        opt={**needs(Right.READ), "query": query, "items": kind.read},
    )(list_records)


def _read_route(kind: RecordKind) -> HTTPRouteHandler:
    def read_record(record_id: FromPath[str], request: AnyRequest) -> Response[Any]:
        with sessions_of(request).reading() as session:
            stored = read(session, caller_of(request), kind.kind, record_id)
        return record_response(
            record_members(stored), stored.version, request.headers.get("if-none-match")
        )

    read_record.__doc__ = f"Read {kind.singular}."
    return get(
        kind.path + "/{record_id:str}",
        operation_id=f"read{kind.name}",
        summary=f"Read {kind.singular}",
        tags=[kind.tag],
        sync_to_thread=True,
        opt={**needs(Right.READ), "answer": kind.read, "has_etag": True},
    )(read_record)


def list_response(
    request: AnyRequest,
    query: type[ListQuery],
    load: Callable[[Place], list[Stored[Any]]],
    members: Callable[[Stored[Any]], dict[str, Any]],
) -> Response[bytes]:
    """Answer a list: ``load`` gives one record more than the limit where there is a next page."""
    asked = query.model_validate(dict(request.query_params.items()))
    path: str = request.scope["path"]
    cursors = Cursors(request.app.state.settings.secret, caller_of(request).shop_id, path)
    place = place_asked(cursors, asked.model_dump(exclude_none=True))
    found = load(place)
    body: dict[str, Any] = {
        "items": [members(stored) for stored in found[: place.limit]],
        "limit": place.limit,
    }
    headers = {}
    if len(found) > place.limit:
        last = found[place.limit - 1].record.id
        cursor = cursors.make(Place(place.filters, place.limit, last))
        body["next"] = f"{path}?{urlencode({'cursor': cursor})}"
        headers["Link"] = f'<{body["next"]}>; rel="next"'
    return json_response(body, headers=headers)


def _first_line(model: type[Body]) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]
