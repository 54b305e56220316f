"""The schemas of the API's document: pydantic writes them, with bounds on whatever goes out."""

import re
from collections.abc import Iterable, Iterator
from typing import Any, Final

from litestar.handlers import HTTPRouteHandler
from pydantic import BaseModel, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue

from api.schemas.base import LARGEST_INTEGER

REF: Final = "#/components/schemas/{model}"
_LONGEST_NAME: Final = 60
_LONGEST_TEXT: Final = 1_000_000
"""A computed sentence may name every position of a job: 500 names of 200 characters, and more."""
_MOST_ITEMS: Final = 100_000
_RENAMED: Final = {
    "ge": "minimum",
    "le": "maximum",
    "gt": "exclusiveMinimum",
    "lt": "exclusiveMaximum",
}
"""Bounds that pydantic writes under its own names where a validator of ours stands before them."""


class BoundedJsonSchema(GenerateJsonSchema):
    """Pydantic's schemas without made-up titles; what goes out has bounds throughout.

    Bodies get none here: a bound in the document that no check enforces would be a lie. The answers
    that are dataclasses of the domain carry none of their own; theirs are the widest that the
    computation can reach.
    """

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Leave out the titles that only repeat a member's name."""
        return False

    def str_schema(self, schema: Any) -> JsonSchemaValue:
        """Text."""
        return self._bounded(super().str_schema(schema), maxLength=_LONGEST_TEXT)

    def decimal_schema(self, schema: Any) -> JsonSchemaValue:
        """Decimals leave as plain text."""
        if self.mode == "serialization":
            return {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$", "maxLength": 40}
        return super().decimal_schema(schema)

    def int_schema(self, schema: Any) -> JsonSchemaValue:
        """Whole numbers that every client can hold."""
        bounds = {"minimum": -LARGEST_INTEGER, "maximum": LARGEST_INTEGER}
        return self._bounded(super().int_schema(schema), **bounds)

    def date_schema(self, schema: Any) -> JsonSchemaValue:
        """Calendar dates."""
        return self._bounded(super().date_schema(schema), maxLength=10)

    def datetime_schema(self, schema: Any) -> JsonSchemaValue:
        """Moments."""
        return self._bounded(super().datetime_schema(schema), maxLength=40)

    def list_schema(self, schema: Any) -> JsonSchemaValue:
        """Arrays."""
        return self._bounded(super().list_schema(schema), maxItems=_MOST_ITEMS)

    def tuple_schema(self, schema: Any) -> JsonSchemaValue:
        """Arrays too, as JSON sees them."""
        return self._bounded(super().tuple_schema(schema), maxItems=_MOST_ITEMS)

    def dict_schema(self, schema: Any) -> JsonSchemaValue:
        """Objects of free names: the names are short."""
        found = super().dict_schema(schema)
        if self.mode == "serialization":
            found["propertyNames"] = {"type": "string", "maxLength": _LONGEST_NAME}
            found.pop("maxLength", None)
            found.setdefault("maxProperties", _MOST_ITEMS)
        return found

    def _bounded(self, found: JsonSchemaValue, **bounds: int) -> JsonSchemaValue:
        return {**bounds, **found} if self.mode == "serialization" else found


class Schemas:
    """The schemas of bodies and answers, by model; one definition for each."""

    def __init__(self, handlers: Iterable[HTTPRouteHandler]) -> None:
        asked: dict[tuple[Any, JsonSchemaMode], TypeAdapter[Any]] = {}
        for handler in handlers:
            for model, mode in _models(handler):
                asked.setdefault((model, mode), TypeAdapter(model))
        self._found, definitions = TypeAdapter.json_schemas(
            [(model, mode, adapter) for (model, mode), adapter in asked.items()],
            ref_template=REF,
            schema_generator=BoundedJsonSchema,
        )
        found = {
            _plain_name(name): _tidy(schema)
            for name, schema in definitions.get("$defs", {}).items()
        }
        taken = _reached(found, [self._found[key] for key in asked if key[1] == "validation"])
        self.definitions: dict[str, Any] = {
            name: schema if name in taken else _without_partial_examples(schema)
            for name, schema in found.items()
        }

    def of(self, model: Any, mode: JsonSchemaMode) -> dict[str, Any]:
        """Return the reference to a model's schema."""
        found: dict[str, Any] = _tidy(self._found[(model, mode)])
        return found


def _plain_name(name: str) -> str:
    """Name what goes in as the model, what comes out as stored: names that clients can have."""
    return name.replace("-Input", "").replace("-Output", "Stored")


def _tidy(schema: Any) -> Any:
    """Return a schema with plain names in its references, standard bounds, and no titles."""
    if isinstance(schema, list):
        return [_tidy(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    tidied: dict[Any, Any] = {}
    for key, value in schema.items():
        if key == "$ref":
            tidied[key] = _plain_name(value)
        elif key == "properties":
            tidied[key] = {name: _tidy(member) for name, member in value.items()}
        elif key in ("default", "examples", "enum", "const"):
            if value is not None:  # a default of null says no more than that it may be left out
                tidied[key] = value
        elif key != "title":
            tidied[_RENAMED.get(key, key)] = _tidy(value)
    if isinstance(tidied.get("description"), str):
        tidied["description"] = _told(tidied["description"])
    return tidied


def _told(docstring: str) -> str:
    """Return a docstring as whoever writes JSON reads it.

    >>> _told("``until`` None:\\n    without end; If-None-Match")
    'until null: without end; If-None-Match'
    """
    words = " ".join(docstring.replace("``", "").split())
    return re.sub(r"(?<!-)\bNone\b(?!-)", "null", words)


def _references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield _plain_name(value["$ref"]).rsplit("/", 1)[1]
        for item in value.values():
            yield from _references(item)
    elif isinstance(value, list):
        for item in value:
            yield from _references(item)


def _reached(definitions: dict[str, Any], roots: list[Any]) -> set[str]:
    """Return the names of the definitions that the roots lead to."""
    reached: set[str] = set()
    waiting = list(_references(roots))
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting += _references(definitions[name])
    return reached


def _without_partial_examples(schema: Any) -> Any:
    """Leave out examples of whole objects: what goes out has every member, they have a few."""
    if isinstance(schema, list):
        return [_without_partial_examples(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        key: _without_partial_examples(value)
        for key, value in schema.items()
        if not (key == "examples" and isinstance(value, list) and any(map(_has_object, value)))
    }


def _has_object(example: Any) -> bool:
    """Whether an example is an object or an array of them.

    >>> _has_object({"amount": "1.00"}), _has_object([{"a": 1}]), _has_object(["a"])
    (True, True, False)
    """
    if isinstance(example, list):
        return any(map(_has_object, example))
    return isinstance(example, dict)


# --- what a handler takes and gives ---------------------------------------------------------------


def _models(handler: HTTPRouteHandler) -> Iterator[tuple[Any, JsonSchemaMode]]:
    body = body_model(handler)
    if body is not None:
        yield body, "validation"
    answer = answer_model(handler)
    if answer is not None:
        yield answer, "serialization"
    if "items" in handler.opt:
        yield handler.opt["items"], "serialization"


def body_model(handler: HTTPRouteHandler) -> Any:
    """Return the model of a handler's body, or None."""
    if "body" in handler.opt:
        return handler.opt["body"]
    field = handler.parsed_data_field
    return None if field is None else field.annotation


def answer_model(handler: HTTPRouteHandler) -> Any:
    """Return the model of a handler's answer: as declared, or what it returns."""
    if "answer" in handler.opt:
        return handler.opt["answer"]
    returned = handler.parsed_fn_signature.return_type.annotation
    return returned if isinstance(returned, type) and issubclass(returned, BaseModel) else None
