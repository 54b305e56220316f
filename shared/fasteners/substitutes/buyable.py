"""Standard items that any hardware dealer has, for a requirement: none on hand, none priced.

All lengths, widths and thicknesses are from memory of the standards they name, and the usual ones
only. Sizes in mm.
"""

from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from shared.designations.fastener_names import name_of
from shared.designations.lengths import plain_number
from shared.designations.model import Fastener, FastenerForm, Hand
from shared.designations.reading import read_fastener
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.strength import UNIFIED
from shared.fasteners.substitutes.model import Hardness, Piece, Requirement
from shared.standards.hardness import HardnessScale
from shared.standards.hexagons import heads_of
from shared.standards.hole_materials import hole_material_of
from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.washers import washers_of

ANY_NUMBER: Final = 1000
"""So many of a standard item may be had: more than any set-up takes."""
PREFIX: Final = "standard"

_LENGTHS: Final = (
    *(6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130),
    *(140, 150, 160, 180, 200),
)
"""ISO 888, from memory."""
_LEAST_LENGTH: Final = 2.0
_MOST_LENGTH: Final = 10.0
"""Lengths of ISO 4017 per diameter, from memory: M8 from 16 to 80, M10 to 100. To 200 mm."""
_QUARTER: Final = MM_PER_INCH / 4
_MOST_QUARTERS: Final = 24

_FINE: Final = frozenset(
    "M8x1 M10x1 M10x1.25 M12x1.25 M12x1.5 M14x1.5 M16x1.5 M18x1.5 M20x1.5 M20x2 M22x1.5 M24x2"
    " M27x2 M30x2 M33x2 M36x3".split()
)
"""Fine threads of ISO 8676, from memory."""
_METRIC: Final = ("8.8", "10.9")
_INCH: Final = ("SAE 5", "SAE 8")
_RODS: Final = ("M6", "M8", "M10", "M12", "M16", "M20")
_ROD_LENGTH: Final = 1000.0
_ROD_CLASSES: Final = ("4.8", "8.8")
_NUT_CLASSES: Final = ("8", "10")
_BAR_LENGTH: Final = 500.0
_BARS: Final = (
    *((20, 5), (25, 5), (25, 8), (30, 5), (30, 8), (30, 10), (40, 5), (40, 8), (40, 10)),
    *((50, 8), (50, 10), (50, 12), (60, 10), (60, 15), (80, 10), (80, 15), (80, 20), (100, 20)),
)
"""EN 10058 flat bars, width and thickness, from memory."""
_STRIP_MATERIAL: Final = "CuZn37-R300"
_STRIPS: Final = (0.5, 0.8, 1.0, 1.5, 2.0, 2.5, 3.0)
_STRIP_WIDTH: Final = 20.0
_STRIP_LENGTH: Final = 500.0
_STRIP_HARDEST: Final = 95.0
"""EN 1652, CuZn37 soft: 95 HV at the most, from memory."""
_PINS: Final = (3, 4, 5, 6, 8, 10, 12, 16, 20)
_PIN_LENGTHS: Final = (20, 30, 40, 50, 60, 80, 100)
_PIN_HARDEST: Final = 245.0
"""ISO 2338, pins of steel: 125 to 245 HV30, from memory. Their strength is counted as S235's."""

_F = ItemForm
_FORMS: Final = MappingProxyType(
    {
        ToolFunction.SEPARATE: (_F.SCREW,),
        ToolFunction.PULL: (_F.SCREW, _F.WASHER, _F.BAR, _F.THREADED_ROD),
        ToolFunction.PRESS_IN: (_F.BAR, _F.THREADED_ROD),
        ToolFunction.HOLD_ROTATION: (_F.SCREW, _F.BAR, _F.STRIP),
        ToolFunction.TURN: (_F.BAR, _F.PIN),
        ToolFunction.ALIGN: (_F.SCREW, _F.PIN),
        ToolFunction.GUIDE: (_F.SCREW,),
        ToolFunction.COMPRESS: (_F.BAR, _F.THREADED_ROD),
        ToolFunction.RETAIN: (_F.SCREW, _F.WASHER),
        ToolFunction.GAUGE: (),
    }
)
"""What the families of a function take of standard items; rods come with nuts and washers."""


def standard_items(requirement: Requirement) -> tuple[Piece, ...]:
    """Return the standard items that the families of a requirement's function use."""
    forms = _FORMS[requirement.function]
    fastener = requirement.fastener
    found: list[Piece] = []
    if fastener is not None and ItemForm.SCREW in forms:
        found += _screws(_bare(fastener))
    if fastener is not None and ItemForm.WASHER in forms:
        found += _washers(fastener.thread)
    if ItemForm.THREADED_ROD in forms:
        found += _rods()
    if ItemForm.BAR in forms:
        found += _bars()
    if ItemForm.STRIP in forms:
        found += _strips()
    if ItemForm.PIN in forms:
        found += _pins()
    return tuple({piece.key: piece for piece in found}.values())


def _bare(fastener: Fastener) -> Fastener:
    """Return the thread alone: its words and length are the work's, not the item's."""
    return Fastener(fastener.thread.designation, fastener.thread, hand=fastener.hand)


def _piece(form: ItemForm, name: str, **members: object) -> Piece:
    key = f"{PREFIX}/{form}/{name}"
    return Piece(key, name, form, ANY_NUMBER, is_on_hand=False, **members)  # type: ignore[arg-type]


@lru_cache(maxsize=256)
def _screws(thread: Fastener) -> tuple[Piece, ...]:
    """Screws threaded to the head: ISO 4017 and 8676, in inches those threaded along.

    None of a left-hand thread, nor of one for which no table has a hexagon or a socket head: no
    dealer has them on the shelf.
    """
    if thread.hand is not Hand.RIGHT or not heads_of(thread.thread):
        return ()
    if thread.thread.is_metric:
        classes, lengths = _METRIC, _metric_lengths(thread.thread)
        is_coarse = thread.thread.series is ThreadSeries.METRIC_COARSE
        if not is_coarse and thread.thread.designation not in _FINE:
            return ()
        words: tuple[str, ...] = ("ISO 4017" if is_coarse else "ISO 8676",)
    elif thread.thread.series in UNIFIED:
        classes, lengths = _INCH, _inch_lengths(thread.thread)
        words = ("hexagon head", "fully threaded")
    else:
        return ()
    return tuple(
        _piece(ItemForm.SCREW, screw.canonical, fastener=screw)
        for name in classes
        for length in lengths
        for screw in (_named(thread, FastenerForm.SCREW, name, words, length),)
    )


def _named(
    thread: Fastener,
    form: FastenerForm,
    property_class: str,
    words: tuple[str, ...],
    length: float | None = None,
) -> Fastener:
    made = replace(
        thread, form=form, property_class=property_class, words=words, length=length, notes=()
    )
    return replace(made, canonical=name_of(made))


def _metric_lengths(thread: Thread) -> tuple[float, ...]:
    least, most = _LEAST_LENGTH * thread.major, _MOST_LENGTH * thread.major
    return tuple(float(length) for length in _LENGTHS if least <= length <= most)


def _inch_lengths(thread: Thread) -> tuple[float, ...]:
    least, most = _LEAST_LENGTH * thread.major, _MOST_LENGTH * thread.major
    steps = (round(quarters * _QUARTER, 6) for quarters in range(2, _MOST_QUARTERS + 1))
    return tuple(length for length in steps if least <= length <= most)


@lru_cache(maxsize=1)
def _rods() -> tuple[Piece, ...]:
    """Threaded rod of a metre with its nuts and washers, coarse threads."""
    found: list[Piece] = []
    for size in _RODS:
        thread = _bare(read_fastener(size))
        for name in _ROD_CLASSES:
            rod = _named(thread, FastenerForm.SCREW, name, ("threaded rod",), _ROD_LENGTH)
            found.append(_piece(ItemForm.THREADED_ROD, rod.canonical, fastener=rod))
        for name in _NUT_CLASSES:
            nut = _named(thread, FastenerForm.NUT, name, ("ISO 4032",))
            found.append(_piece(ItemForm.NUT, nut.canonical, fastener=nut))
        found += _washers(thread.thread)
    return tuple(found)


@lru_cache(maxsize=256)
def _washers(thread: Thread) -> tuple[Piece, ...]:
    """Washers of every form that the table has for a thread."""
    alone = Fastener(thread.designation, thread)
    return tuple(
        _piece(
            ItemForm.WASHER,
            f"{row.standard} {thread.designation} washer, {row.form}",
            fastener=alone,
            sizes=(
                (FeatureKind.BORE, row.inside_diameter),
                (FeatureKind.OUTSIDE_DIAMETER, row.outside_diameter),
                (FeatureKind.THICKNESS, row.height),
            ),
            material=hole_material_of("S235"),
        )
        for row in washers_of(thread)
    )


@lru_cache(maxsize=1)
def _bars() -> tuple[Piece, ...]:
    material = hole_material_of("S235")
    return tuple(
        _piece(
            ItemForm.BAR,
            f"flat bar EN 10058 {width}x{thickness}, {plain_number(_BAR_LENGTH)} long, S235",
            sizes=_block(_BAR_LENGTH, width, thickness),
            material=material,
        )
        for width, thickness in _BARS
    )


@lru_cache(maxsize=1)
def _strips() -> tuple[Piece, ...]:
    material = hole_material_of(_STRIP_MATERIAL)
    return tuple(
        _piece(
            ItemForm.STRIP,
            f"brass strip {thickness:g}x{_STRIP_WIDTH:g}, CuZn37 soft",
            sizes=_block(_STRIP_LENGTH, _STRIP_WIDTH, thickness),
            material=material,
            hardness=Hardness(_STRIP_HARDEST, HardnessScale.HV),
        )
        for thickness in _STRIPS
    )


@lru_cache(maxsize=1)
def _pins() -> tuple[Piece, ...]:
    material = hole_material_of("S235")
    return tuple(
        _piece(
            ItemForm.PIN,
            f"cylindrical pin ISO 2338 {diameter}x{length}, steel",
            sizes=(
                (FeatureKind.OUTSIDE_DIAMETER, float(diameter)),
                (FeatureKind.LENGTH, float(length)),
            ),
            material=material,
            hardness=Hardness(_PIN_HARDEST, HardnessScale.HV),
        )
        for diameter in _PINS
        for length in _PIN_LENGTHS
    )


def _block(length: float, width: float, thickness: float) -> tuple[tuple[FeatureKind, float], ...]:
    return (
        (FeatureKind.LENGTH, length),
        (FeatureKind.WIDTH, float(width)),
        (FeatureKind.THICKNESS, float(thickness)),
    )
