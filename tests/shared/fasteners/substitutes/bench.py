"""A workshop's bench in short words: requirements and pieces for the tests. mm, N, N·m."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from shared.designations.reading import read_fastener
from shared.fasteners.friction import stated_friction
from shared.fasteners.model import FeatureKind, ItemForm, ScrewTip, ToolFunction
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Feature,
    Need,
    Piece,
    Range,
    Requirement,
)
from shared.standards.hole_materials import HoleMaterial, hole_material_of

OILED = stated_friction(0.10, 0.16)


def kind(name: str) -> FeatureKind:
    """``wall`` or ``plate_thickness``: the kind of feature."""
    return FeatureKind(name.replace("_", "-"))


def metal(words: str | HoleMaterial | None) -> HoleMaterial | None:
    return hole_material_of(words) if isinstance(words, str) else words


def need(most: float, least: float | None = None) -> Need:
    return Need(Range(most if least is None else least, most), "as stated", False)


def requirement(
    function: ToolFunction,
    thread: str | None = None,
    holes: int = 1,
    sizes: dict[str, float] | None = None,
    **members: Any,
) -> Requirement:
    """Symmetric, with nothing on it a life hangs on, nothing in the way, unless stated.

    ``force``, ``torque`` and the materials may be plain figures and words.
    """
    features = tuple(Feature(kind(name), size) for name, size in (sizes or {}).items())
    if thread is not None:
        features += (Feature(FeatureKind.THREAD, fastener=read_fastener(thread), count=holes),)
    told: dict[str, Any] = {
        "is_symmetric": True,
        "uses": frozenset(),
        "nothing_in_the_way": True,
        "friction": OILED,
        **members,
    }
    for name in ("force", "torque"):
        if isinstance(told.get(name), int | float):
            told[name] = need(told[name])
    for name in ("workpiece", "pushed"):
        told[name] = metal(told.get(name))
    return Requirement(function, features=features, **told)


def without(work: Requirement, name: str) -> Requirement:
    """The same work with a feature not stated."""
    left = tuple(one for one in work.features if one.kind is not kind(name))
    assert len(left) < len(work.features), name
    return replace(work, features=left)


def with_sizes(work: Requirement, **sizes: float) -> Requirement:
    """The same work with other sizes."""
    kinds = {kind(name): size for name, size in sizes.items()}
    left = tuple(one for one in work.features if one.kind not in kinds)
    return replace(work, features=left + tuple(Feature(one, size) for one, size in kinds.items()))


def piece(
    form: ItemForm, name: str, *, material: str | None = None, quantity: int = 4, **told: Any
) -> Piece:
    """A piece; ``told`` are its sizes, beside members of ``Piece``."""
    members = {one: told.pop(one) for one in list(told) if one in Piece.__dataclass_fields__}
    sizes = tuple((kind(one), size) for one, size in told.items())
    return Piece(name, name, form, quantity, sizes=sizes, material=metal(material), **members)


def screw(
    written: str, quantity: int = 4, tip: ScrewTip | None = ScrewTip.FLAT, **told: Any
) -> Piece:
    return piece(
        ItemForm.SCREW,
        written,
        quantity=quantity,
        fastener=read_fastener(written),
        tip=tip,
        **told,
    )


def bar(
    length: float, width: float, thickness: float, material: str | None = "S235", **told: Any
) -> Piece:
    name = told.pop("name", f"flat {width:g} x {thickness:g} x {length:g}")
    form = told.pop("form", ItemForm.BAR)
    return piece(
        form, name, material=material, length=length, width=width, thickness=thickness, **told
    )


def washer(
    thread: str, thickness: float, quantity: int = 12, material: str | None = "S235", **told: Any
) -> Piece:
    return piece(
        ItemForm.WASHER,
        f"{thread} washer {thickness:g}",
        material=material,
        quantity=quantity,
        fastener=read_fastener(thread),
        thickness=thickness,
        **told,
    )


def drawer(*pieces: Piece) -> Drawer:
    return Drawer(pieces)


def failing(candidate: Candidate) -> set[str]:
    """The names of the checks that fail."""
    return {check.name for check in candidate.checks if not check.passes}


def check_of(candidate: Candidate, name: str) -> Check:
    return next(check for check in candidate.checks if check.name == name)


def accepted(candidates: Iterable[Candidate]) -> list[Candidate]:
    return [candidate for candidate in candidates if candidate.is_accepted]
