"""Merge patches (RFC 7396): a member replaces, ``null`` clears, arrays are replaced whole."""

from functools import cache, reduce
from operator import or_
from types import UnionType
from typing import Annotated, Any, Final, Union, get_args, get_origin, get_type_hints

from annotated_types import MaxLen, MinLen
from pydantic import create_model
from pydantic.fields import FieldInfo

from api.errors import invalid_values
from api.schemas.base import Answer, Body, shown

MERGE_PATCH_TYPE: Final = "application/merge-patch+json"


def merged(target: Any, patch: Any) -> Any:
    """Return a document as a patch makes it; neither is changed.

    >>> merged({"a": 1, "b": {"c": 2, "d": 3}}, {"a": None, "b": {"c": 4}})
    {'b': {'c': 4, 'd': 3}}
    """
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merged(result.get(name), value)
    return result


def check_patch(patch: Any, known: type[Body]) -> dict[str, Any]:
    """Return a patch that is an object of known members; raises the problem validation."""
    if not isinstance(patch, dict):
        detail = f"Got {shown(patch)}; wanted an object."
        raise invalid_values([_error("", "object-type", detail, "Send members in braces.")])
    unknown = sorted(patch.keys() - known.model_fields.keys())
    if unknown:
        fix = "Remove it, or mend its name."
        raise invalid_values(
            _error(
                "/" + name[:200].replace("~", "~0").replace("/", "~1"),
                "unknown-member",
                f"There is no member {name[:80]} to change here.",
                fix,
            )
            for name in unknown
        )
    return patch


def _error(pointer: str, code: str, detail: str, fix: str) -> dict[str, str]:
    return {"pointer": pointer, "code": code, "detail": detail, "fix": fix}


def patch_model(name: str, create: type[Body], fixed: frozenset[str]) -> type[Answer]:
    """Make the model of a kind's patches, for the API's document: each member may be left out."""
    hints = get_type_hints(create, include_extras=True)
    fields: dict[str, Any] = {}
    for member, info in create.model_fields.items():
        if member in fixed:
            continue
        # What the member carries stands in its type; beside it, it would shut null out.
        optional = FieldInfo(description=info.description, examples=info.examples, default=None)
        bounds = [one for one in info.metadata if isinstance(one, MinLen | MaxLen)]
        part = _in_part(hints[member])
        kind: Any = Annotated[(part, *bounds)] if bounds else part
        fields[member] = (kind | None, optional)
    doc = "What changes: a member replaces, null clears, arrays are replaced whole (RFC 7396)."
    return create_model(name, __base__=Answer, __doc__=doc, **fields)


def _in_part(hint: Any) -> Any:
    """Return the type of a member as a patch may give it: an object in part, all else whole."""
    if get_origin(hint) in (Union, UnionType):
        choices = [_in_part(one) for one in get_args(hint) if one is not type(None)]
        return reduce(or_, choices)
    if isinstance(hint, type) and issubclass(hint, Body):
        return _nested(hint)
    return hint


@cache
def _nested(model: type[Body]) -> type[Answer]:
    title = str(model.model_config.get("title") or model.__name__)
    return patch_model(f"{title}Patch", model, frozenset())
