"""The bodies say what the domain's dataclasses say, no more and no less."""

from dataclasses import MISSING, fields, is_dataclass
from decimal import Decimal
from types import ModuleType
from typing import Any, get_args, get_type_hints

import pytest
from pydantic import BaseModel

from api.routes import (
    assemblies,
    interchange,
    jobs,
    salvage,
    shim_places,
    sourcing_records,
    units,
)
from api.schemas.base import Body, QuantityIn, from_domain, to_domain
from api.schemas.decision import SnapshotBody
from shared.condition.model import Unit
from shared.decision.snapshot import Snapshot
from shared.quantities import Quantity

MODULES: tuple[ModuleType, ...] = (
    assemblies,
    interchange,
    units,
    shim_places,
    sourcing_records,
    jobs,
    salvage,
)
KINDS = [kind for module in MODULES for kind in module.KINDS]
HEAD = {"id", "version", "created_at", "updated_at"}
TOLD_ONLY = {Unit: frozenset({"taken_position_ids"})}
"""Fields that are worked out from other records: read, never sent."""


def inner(hint: Any, base: type) -> list[Any]:
    """All types below ``base`` inside a type hint."""
    found = [hint] if isinstance(hint, type) and issubclass(hint, base) else []
    return found + [one for part in get_args(hint) for one in inner(part, base)]


def inner_dataclass(hint: Any) -> Any:
    found = [hint] if is_dataclass(hint) else []
    found += [one for part in get_args(hint) if (one := inner_dataclass(part))]
    return found[0] if found else None


def check_same(model: type[BaseModel], kind: type, besides: frozenset[str] = frozenset()) -> None:
    hints = get_type_hints(kind)
    wanted = {field.name: field for field in fields(kind) if field.name not in besides}
    assert set(model.model_fields) - besides == set(wanted), model
    for name, field in wanted.items():
        found = model.model_fields[name]
        has_default = field.default is not MISSING or field.default_factory is not MISSING
        assert found.is_required() != has_default, (model, name)
        if has_default and inner_dataclass(hints[name]) is None:
            assert found.get_default() == field.default, (model, name)
        assert found.description, (model, name)
        below = inner(found.annotation, BaseModel)
        if below:
            check_same(below[0], inner_dataclass(hints[name]))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_body_has_the_fields_of_its_dataclass(kind: Any) -> None:
    told = TOLD_ONLY.get(kind.kind, frozenset())
    check_same(kind.create, kind.kind, frozenset({"id"}) | told)
    assert set(kind.read.model_fields) == set(kind.create.model_fields) | HEAD | told


def test_the_snapshot_has_the_fields_of_its_dataclass() -> None:
    check_same(SnapshotBody, Snapshot)


def test_every_short_value_has_a_believable_example() -> None:
    models: set[type[BaseModel]] = {kind.read for kind in KINDS} | {SnapshotBody}
    seen: set[type[BaseModel]] = set()
    while models:
        model = models.pop()
        seen.add(model)
        for name, field in model.model_fields.items():
            below = set(inner(field.annotation, BaseModel))
            models |= below - seen
            is_list = field.annotation is not None and "tuple" in str(field.annotation)
            assert field.examples or below or is_list, (model, name)
            if field.examples and not below and issubclass(model, Body):
                assert_taken(model, name, field.examples[0])


def assert_taken(model: type[BaseModel], name: str, example: Any) -> None:
    """An example passes the checks of its own field."""
    field = model.model_fields[name]
    probe = type(
        "Probe", (Body,), {"__annotations__": {name: field.rebuild_annotation()}, "__module__": ""}
    )
    probe.model_validate({name: example})  # type: ignore[attr-defined]


def test_a_quantity_goes_in_and_comes_out_the_same() -> None:
    body = QuantityIn.model_validate(
        {"value": "31.420", "unit": "mm", "expanded_uncertainty": "0.04", "coverage_factor": "2"}
    )
    quantity = to_domain(body, Quantity)
    assert quantity == Quantity(Decimal("31.420"), "mm", None, Decimal("0.04"), Decimal("2"), None)
    assert from_domain(quantity, QuantityIn).model_dump(mode="json")["value"] == "31.420"
