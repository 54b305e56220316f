"""Bearings by measured bore, outside diameter and width.

One boundary size of one kind of bearing is one item, open or sealed; other kinds of the same size
are named in its notes. Limits as made are those of the normal class. The rings of a bearing do not
wear where they are measured, save a bore that spun on its shaft: such a part is scrap whatever it
is called. Sizes in mm.
"""

from collections import defaultdict
from collections.abc import Mapping
from functools import cache
from typing import Final, Literal, get_args

from shared.errors import InvalidInput
from shared.interchange.identification.bearing_stamps import (
    DIMENSIONS,
    check_described,
    check_stamp,
)
from shared.interchange.identification.model import (
    Change,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.bearings import BearingRow, bearing_rows, deviations
from shared.standards.reader import Basis

__all__ = [
    "DIMENSIONS", "KINDS", "BearingKind", "advise", "check_described", "check_stamp", "kind_of",
    "sizes",
]  # fmt: skip

BearingKind = Literal["ball", "roller", "needle", "tapered", "thrust", "all"]
KINDS: Final[tuple[str, ...]] = get_args(BearingKind)

_Dimension = Literal["bore", "outside", "width"]
_MADE: Final[tuple[_Dimension, ...]] = ("bore", "outside", "width")
_NEAR: Final = 0.7
"""Inch and metric sizes whose dimensions all lie this near are named as look-alikes, mm: what a
rule or a worn caliper does not tell apart."""
_SPUN: Final = 0.01
"""Mean growth of the bore of a used bearing that turned on its shaft, mm (common practice)."""


def kind_of(row: BearingRow) -> str:
    """Return "ball", "roller", "needle", "tapered" or "thrust" for a row of the table."""
    if row.is_tapered:
        return "tapered"
    if row.is_needle:
        return "needle"
    if row.type_name.startswith("thrust"):
        return "thrust"
    return "roller" if "roller" in row.type_name else "ball"


@cache
def sizes(state: PartState = PartState.UNKNOWN, kind: str = "ball") -> tuple[StandardSize, ...]:
    """Return the boundary sizes that a bearing of ``kind`` may have. Raises InvalidInput."""
    if kind not in KINDS:
        raise InvalidInput(
            "/kind", f"kind is {kind}; wanted one of {', '.join(KINDS)}.", "Give one of them."
        )
    gathered: dict[tuple[str, float, float, float], list[tuple[BearingRow, str]]] = defaultdict(
        list
    )
    for row in bearing_rows():
        if kind in {"all", kind_of(row)}:
            for width, name in _widths(row):
                gathered[(row.type_name, row.bore, row.outside, width)].append((row, name))
    return tuple(_size(key[3], found, state is PartState.USED) for key, found in gathered.items())


def _widths(row: BearingRow) -> tuple[tuple[float, str], ...]:
    """The open and, where it is wider, the sealed bearing: a name for each."""
    if row.width_sealed is None or row.width_sealed == row.width:
        return ((row.width, row.designation),)
    return ((row.width, row.designation), (row.width_sealed, f"{row.designation}-2RS"))


def _size(width: float, found: list[tuple[BearingRow, str]], is_used: bool) -> StandardSize:
    row, name = max(found, key=lambda one: one[0].commonness)
    nominal = {"bore": row.bore, "outside": row.outside, "width": width}
    made: dict[str, MadeSize] = {}
    for dimension in _MADE:
        low, high = deviations(row, dimension)
        spun = is_used and dimension == "bore"
        made[dimension] = MadeSize(
            nominal[dimension] + low,
            nominal[dimension] + high,
            Change.LARGER if spun else Change.NONE,
            _SPUN if spun else 0.0,
        )
    return StandardSize(
        designation=name,
        standard=row.standard,
        made=made,
        nominal=nominal,
        commonness=sum(one.commonness for one, _ in found) * _share(row, width),
        notes=_notes(row, width, name, found),
    )


def _share(row: BearingRow, width: float) -> float:
    """Where open and sealed differ in width, most on a bench are sealed (common practice)."""
    if row.width_sealed is None or row.width_sealed == row.width:
        return 1.0
    return 0.7 if width == row.width_sealed else 0.3


def _notes(
    row: BearingRow, width: float, name: str, found: list[tuple[BearingRow, str]]
) -> tuple[str, ...]:
    notes = [f"{row.type_name[0].upper()}{row.type_name[1:]}."]
    if name != row.designation:
        notes.append(f"{row.designation}-2Z with metal shields has the same sizes.")
    elif row.width_sealed == width and row.type_name.startswith("deep groove"):
        notes.append("Open, shielded and sealed ones have the same sizes: order the closure found.")
    others = [one for _, one in found if one != name]
    if others:
        notes.append(
            f"Same kind and size: {', '.join(others)}. Tell them by flanges, contact angle and"
            " marks: they do not simply stand in for each other."
        )
    alike = _same_size().get((row.bore, row.outside, width), ())
    strangers = [one.designation for one in alike if one.type_name != row.type_name]
    if strangers:
        notes.append(
            f"Other kinds of the same size: {', '.join(strangers)}. Look at balls, rollers and"
            " shoulders: they do not stand in for each other."
        )
    near = _near(row.bore, row.outside, width, row.is_inch)
    if near:
        notes.append(f"{'Metric' if row.is_inch else 'Inch'} look-alike: {', '.join(near)}.")
    if row.basis is Basis.MEMORY:
        notes.append("Sizes from memory of the standard: compare before ordering.")
    return tuple(notes)


@cache
def _same_size() -> dict[tuple[float, float, float], tuple[BearingRow, ...]]:
    found: dict[tuple[float, float, float], tuple[BearingRow, ...]] = {}
    for row in bearing_rows():
        for width, _ in _widths(row):
            key = (row.bore, row.outside, width)
            found[key] = (*found.get(key, ()), row)
    return found


@cache
def _by_bore(is_inch: int) -> dict[int, tuple[tuple[float, BearingRow], ...]]:
    found: dict[int, tuple[tuple[float, BearingRow], ...]] = {}
    for row in bearing_rows():
        if row.is_inch == is_inch:
            for width, _ in _widths(row):
                found[int(row.bore)] = (*found.get(int(row.bore), ()), (width, row))
    return found


def _near(bore: float, outside: float, width: float, is_inch: int) -> tuple[str, ...]:
    """Name the sizes of the other system that a quick measurement takes for this one."""
    table = _by_bore(0 if is_inch else 1)
    found = []
    for whole in range(int(bore) - 1, int(bore) + 2):
        for wide, row in table.get(whole, ()):
            apart = max(abs(row.bore - bore), abs(row.outside - outside), abs(wide - width))
            if apart <= _NEAR:
                found.append(f"{row.designation} {row.bore:g} x {row.outside:g} x {wide:g} mm")
    return tuple(dict.fromkeys(found))


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust, what else to look at."""
    advice = [
        "Equal sizes are necessary, not sufficient: note seals, shields, snap ring grooves,"
        " clearance marks and the cover that belongs to the variant."
    ]
    missing = [name for name in DIMENSIONS if name not in measured]
    if missing:
        advice.append(
            f"Measure the {' and '.join(missing)} too: many bearings share two dimensions."
        )
    if state is PartState.USED and "bore" in measured:
        advice.append("A bore that turned on its shaft measures large: trust the outside diameter.")
    return tuple(advice)
