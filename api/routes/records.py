"""Create, list, read, change and retire, for every kind of record; its topic's module lists it."""

import json
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any, cast

from litestar import Request, Response, delete, get, patch, post
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath, JSONBody
from sqlalchemy.orm import Session

from api.access import Right, caller_of, needs, sessions_of
from api.answers import record_members, record_response, to_json
from api.conditional import versions_expected
from api.idempotency import Made, Once
from api.lists import list_response
from api.merge_patch import MERGE_PATCH_TYPE, check_patch, merged, patch_model
from api.schemas.base import Answer, Body, to_domain_with_id
from api.schemas.queries import ListQuery, list_query
from api.writes import write_settled
from db.ids import new_id
from db.queries.access import Principal
from db.queries.listing import Place
from db.queries.mapping import Stored
from db.queries.records import (
    CATALOGUE_WORDS,
    change,
    create,
    fixed_of,
    is_kept,
    lists_of,
    page,
    read,
    retire,
    word_of,
)

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
    keep: Callable[[Session, Principal, Any], tuple[Stored[Any], bool]] | None = None
    """Keeps a new record, or finds the one that is stored under the caller's own word."""
    problems: tuple[str, ...] = ()
    """Types of problem that its creation can give besides those of all."""

    @property
    def name(self) -> str:
        """The kind as it stands in operation ids: "LabourOperation"."""
        return self.kind.__name__

    @property
    def collection_name(self) -> str:
        """The collection as it stands in operation ids: "LabourOperations"."""
        return "".join(word.capitalize() for word in self.path.strip("/").split("-"))

    @property
    def query(self) -> type[ListQuery]:
        """The query of its list."""
        return list_query(f"{self.name}Query", self.read, lists_of(self.kind), has_changes=True)

    @property
    def patch(self) -> type[Answer]:
        """The model of its patches."""
        return patch_model(f"{self.name}Patch", self.create, fixed_of(self.kind))


def record_routes(kind: RecordKind) -> tuple[HTTPRouteHandler, ...]:
    """Make the handlers of one kind of record; what is only ever added cannot be changed."""
    routes = (_create_route(kind), _list_route(kind), _read_route(kind))
    return routes if is_kept(kind.kind) else (*routes, _change_route(kind), _retire_route(kind))


def _keep(session: Session, principal: Principal, record: Any) -> tuple[Stored[Any], bool]:
    create(session, principal, record)
    # Read back: what is answered is what is stored.
    return read(session, principal, type(record), record.id), True


def _create_route(kind: RecordKind) -> HTTPRouteHandler:
    keep = kind.keep or _keep

    def create_record(data: Any, request: AnyRequest) -> Response[bytes]:
        once = Once.of(request)
        record = to_domain_with_id(data, kind.kind, new_id(kind.prefix))

        def work(session: Session) -> Made:
            stored, is_new = keep(session, caller_of(request), record)
            return Made(
                f"/v1{kind.path}/{stored.record.id}",
                stored.version,
                to_json(record_members(stored)),
                is_new,
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
        opt={
            **needs(Right.WRITE),
            "answer": kind.read,
            "stores": True,
            "may_exist": kind.keep is not None,
            "problems": kind.problems,
        },
    )(create_record)


def _list_route(kind: RecordKind) -> HTTPRouteHandler:
    query = kind.query

    def list_records(request: AnyRequest) -> Response[bytes]:
        def load(place: Place) -> list[Stored[Any]]:
            with sessions_of(request).reading() as session:
                return page(session, caller_of(request), kind.kind, place)

        return list_response(request, query, load, kind=kind.kind)

    list_records.__doc__ = (
        f"List {kind.plural}, by rising id or as sort says; with updated_since those that changed."
    )
    return get(
        kind.path,
        operation_id=f"list{kind.collection_name}",
        summary=f"List {kind.plural}",
        tags=[kind.tag],
        sync_to_thread=True,
        opt={**needs(Right.READ), "query": query, "items": kind.read, "has_changes": True},
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


def _change_route(kind: RecordKind) -> HTTPRouteHandler:
    def change_record(
        record_id: FromPath[str], data: JSONBody[Any], request: AnyRequest
    ) -> Response[Any]:
        expected = versions_expected(request)
        asked = check_patch(data, kind.create)

        def edit(stored: Stored[Any]) -> Any:
            before = _members_as_sent(kind, stored)
            after = merged(before, asked)
            # As text: 1, 1.0 and true are equal to Python and not to whoever sends them.
            if json.dumps(after, sort_keys=True) == json.dumps(before, sort_keys=True):
                return stored.record
            made = to_domain_with_id(kind.create.model_validate(after), kind.kind, record_id)
            return replace(made, **_told_only(kind, stored.record))

        stored = write_settled(
            sessions_of(request),
            lambda session: change(
                session, caller_of(request), kind.kind, record_id, expected, edit
            ),
        )
        return record_response(record_members(stored), stored.version, None)

    change_record.__doc__ = (
        f"Change {kind.singular} by a merge patch: a member replaces, null clears,"
        " arrays are replaced whole."
    )
    return patch(
        kind.path + "/{record_id:str}",
        operation_id=f"change{kind.name}",
        summary=f"Change {kind.singular}",
        tags=[kind.tag],
        sync_to_thread=True,
        opt={
            **needs(Right.WRITE),
            "answer": kind.read,
            "body": kind.patch,
            "accepts": MERGE_PATCH_TYPE,
            "changes": True,
            "problems": _problems(kind),
        },
    )(change_record)


def _members_as_sent(kind: RecordKind, stored: Stored[Any]) -> dict[str, Any]:
    """Return a stored record as a client would have sent it: what a patch is laid upon."""
    members: dict[str, Any] = json.loads(to_json(record_members(stored)))
    return {name: members[name] for name in kind.create.model_fields if name in members}


def _told_only(kind: RecordKind, record: Any) -> dict[str, Any]:
    """Return the fields that are worked out from other records: no patch changes them."""
    sent = {"id", *kind.create.model_fields}
    return {one.name: getattr(record, one.name) for one in fields(record) if one.name not in sent}


def _retire_route(kind: RecordKind) -> HTTPRouteHandler:
    def retire_record(record_id: FromPath[str], request: AnyRequest) -> None:
        expected = versions_expected(request)
        write_settled(
            sessions_of(request),
            lambda session: retire(session, caller_of(request), kind.kind, record_id, expected),
        )

    retire_record.__doc__ = (
        f"Retire {kind.singular} that nothing uses; its audit entry keeps what it said."
    )
    return delete(
        kind.path + "/{record_id:str}",
        operation_id=f"retire{kind.name}",
        summary=f"Retire {kind.singular}",
        tags=[kind.tag],
        status_code=204,
        sync_to_thread=True,
        opt={**needs(Right.WRITE), "retires": True, "problems": _problems(kind)},
    )(retire_record)


def _problems(kind: RecordKind) -> tuple[str, ...]:
    """Return what may stop a change of a record that all shops read."""
    return ("not-the-author",) if word_of(kind.kind) in CATALOGUE_WORDS else ()


def _first_line(model: type[Body]) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]
