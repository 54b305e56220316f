"""The API's document as the tests here use it: operations, their bodies, the members of those."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from api.access import Right
from api.app import TOPICS, Api
from api.openapi import endpoints_of
from api.routes.records import RecordKind

Schema = dict[str, Any]
Steps = tuple[str | int, ...]
"""Where a member stands in a body: names and indices from the outside in."""


@dataclass(frozen=True)
class Operation:
    """One operation of the document."""

    name: str
    method: str
    path: str
    right: Right
    told: Schema
    """What the document says of it."""

    @property
    def collection(self) -> str:
        """The path below /v1 of the collection that a path with an id belongs to."""
        return self.path.split("/{")[0].removeprefix("/v1")

    @property
    def has_id(self) -> bool:
        return "_id}" in self.path

    @property
    def status(self) -> int:
        """The status when all is well."""
        return int(next(code for code in self.told["responses"] if code.startswith("2")))

    @property
    def body(self) -> tuple[str, Schema] | None:
        """Media type and schema of the body."""
        content = self.told.get("requestBody", {}).get("content", {})
        return next(((kind, about["schema"]) for kind, about in content.items()), None)

    def takes(self, header: str) -> bool:
        return any(one["name"] == header for one in self.told["parameters"])


class Document:
    """The document that the app serves."""

    def __init__(self, app: Api, served: Schema) -> None:
        self.served = served
        handlers = {one.handler.operation_id: one.handler for one in endpoints_of(app)}
        self.operations = [
            Operation(
                told["operationId"], method, path, handlers[told["operationId"]].opt["right"], told
            )
            for path, methods in served["paths"].items()
            for method, told in methods.items()
        ]

    def resolved(self, schema: Schema) -> Schema:
        """A schema without a reference, and without the null that an optional member may be."""
        while True:
            if "$ref" in schema:
                name = schema["$ref"].rsplit("/", 1)[1]
                rest = {key: value for key, value in schema.items() if key != "$ref"}
                schema = {**self.served["components"]["schemas"][name], **rest}
            elif "anyOf" in schema:
                choices = [one for one in schema["anyOf"] if one.get("type") != "null"]
                schema = {**{k: v for k, v in schema.items() if k != "anyOf"}, **choices[0]}
            else:
                return schema

    def members(self, schema: Schema) -> Iterator[tuple[Steps, Schema]]:
        """Every member at every depth with its schema; of arrays the first entry."""
        yield from self._members(schema, (), 0)

    def _members(self, schema: Schema, at: Steps, depth: int) -> Iterator[tuple[Steps, Schema]]:
        schema = self.resolved(schema)
        if at:
            yield at, schema
        if depth > 8:
            return
        for name, member in schema.get("properties", {}).items():
            yield from self._members(member, (*at, name), depth + 1)
        if isinstance(schema.get("items"), dict):
            yield from self._members(schema["items"], (*at, 0), depth + 1)


def kinds() -> list[RecordKind]:
    """Every kind of record that has routes of its own."""
    import importlib  # noqa: PLC0415 - only here

    modules = [importlib.import_module(f"api.routes.{topic}") for topic in TOPICS]
    return [
        kind
        for module in modules
        for kind in getattr(module, "KINDS", ())
        if isinstance(kind, RecordKind)
    ]


def kind_of(schema: Schema) -> str:
    """What sort of value a member takes: the key of the tables of bad values."""
    named = {
        "date": "date",
        "date-time": "moment",
    }
    properties = schema.get("properties", {})
    if {"amount", "currency"} <= properties.keys():
        return "money"
    if {"value", "unit"} <= properties.keys():
        return "quantity"
    if "enum" in schema or "const" in schema:
        return "word"
    pattern = schema.get("pattern", "")
    if schema.get("format") in named:
        return named[schema["format"]]
    if "[0-9]{1,6}" in pattern:
        return "decimal"
    if "A-Za-z0-9_.:#-" in pattern:
        return "id"
    if pattern:
        return "coded"
    types = {"string": "text", "boolean": "flag"}
    return types.get(schema.get("type", ""), schema.get("type", "anything"))


def pointer(steps: Steps) -> str:
    return "".join(f"/{step}" for step in steps)


def at(body: Any, steps: Steps) -> Any:
    """The value that stands at a place, None where nothing does."""
    for step in steps:
        try:
            body = body[step]
        except (KeyError, IndexError, TypeError):
            return None
    return body


def planted(body: Any, steps: Steps, value: Any) -> Any:
    """A copy of a body with a value put at a place; what lies on the way is made."""
    if not steps:
        return value
    first, *rest = steps
    if isinstance(first, int):
        entries = list(body) if isinstance(body, list) else []
        entries += [{}] * (first + 1 - len(entries))
        entries[first] = planted(entries[first], tuple(rest), value)
        return entries
    members = dict(body) if isinstance(body, dict) else {}
    members[first] = planted(members.get(first), tuple(rest), value)
    return members
