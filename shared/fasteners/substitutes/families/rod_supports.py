"""What the rod pulls against: a bar across the housing, or a tube with a bar across its end.

mm, N, MPa. Bending as of a bar on two supports, loaded in the middle, less the rod's hole.
"""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from heapq import nlargest
from math import pi
from typing import Final, NamedTuple

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    SEAT_SAFETY,
    STATED,
    clearance_hole,
    face_allows,
    missing,
    ratio,
)
from shared.fasteners.substitutes.families.ring_fit import size_of, tube_parts, weaker
from shared.fasteners.substitutes.families.rod_chosen import Support
from shared.fasteners.substitutes.families.rod_model import Facts, Role, nearness
from shared.fasteners.substitutes.model import Check, PartUsed, Piece
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import (
    BASIS,
    allowed_bending,
    allowed_shear,
    tool_material_check,
)
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread

LARGEST_HOLE: Final = 1.2
"""Hole per major diameter that a washer or nut still covers. Common practice, no source."""
_SEAT: Final = 10.0
"""Length, mm, at each end on which a bar lies. Common practice, no source."""
_LEAST_WIDTH: Final = 3.0
"""Width of a bar per diameter of the rod. Common practice, no source."""
_OVER_THE_PART: Final = 1.0
_BEYOND_THE_PART: Final = 2.0
"""Room, mm, round and above the part in the tube. Common practice, no source."""
_PEAK: Final = 1.5
"""Greatest over mean shear stress of a rectangle."""


@lru_cache(maxsize=512)
def _drilled(thread: Thread) -> float:
    return clearance_hole(thread)


def hole_in(bar: Piece, thread: Thread) -> float:
    """Return the hole for the rod in a bar, mm: as drilled, or as it is there already."""
    return max(_drilled(thread), size_of(bar, FeatureKind.BORE) or 0.0)


def bars_across(
    facts: Facts, thread: Thread, bars: Iterable[Piece], pushed: HoleMaterial | None
) -> Iterator[Role]:
    """Yield every bar as it lies across the housing."""
    wanted = max(facts.span + 2 * thread.major, facts.span + 2 * _SEAT)
    for bar in bars:
        width = size_of(bar, FeatureKind.WIDTH)
        parts = _bending(bar, thread, facts.span + _SEAT)
        if parts and width is not None:
            bears_on = 2 * _SEAT * min(width, facts.span + _SEAT)
            seat = face_allows("bar seat", bears_on, weaker(pushed, bar.material))
            parts = (*parts, seat)
        yield _role((bar,), thread, _bar_checks(bar, thread, wanted), parts)


def tubes_with_bars(
    facts: Facts,
    thread: Thread,
    pieces: tuple[tuple[Piece, ...], tuple[Piece, ...]],
    pushed: HoleMaterial | None,
) -> Iterator[Support]:
    """Yield the tubes over the part with bars across their ends that do; ``pieces`` are both.

    Of those alike in length, in the nut's seat and in being on hand the strongest alone: no set
    needs another.
    """
    tubes, bars = pieces
    sorts = _sorts_of(bars, thread)
    best: dict[tuple[object, ...], Support] = {}
    for tube in tubes:
        if tube.quantity < 1 or not _pass(_tube_checks(facts, tube)):
            continue
        walled = _walled(tube, pushed)
        if walled is None:
            continue
        for same in sorts:
            bar = _first_as_long(same, walled.outside)
            if bar is None or bar.material is None:
                continue
            length = walled.along + (size_of(bar, FeatureKind.THICKNESS) or 0.0)
            is_on_hand = tube.is_on_hand and bar.is_on_hand
            sort = (length, bar.material.seat_pressure, hole_in(bar, thread), is_on_hand)
            bears = min(*_bends(bar, thread, walled.across), *_on_tube(walled, bar))
            if sort not in best or best[sort].bears < bears:
                best[sort] = Support((tube, bar), length, bears, is_on_hand)
    yield from best.values()


def nearest_tube_and_bar(
    facts: Facts,
    thread: Thread,
    pieces: tuple[tuple[Piece, ...], tuple[Piece, ...]],
    pushed: HoleMaterial | None,
) -> Iterator[Role]:
    """Yield the one tube and the one bar that come nearest, each by itself."""
    tubes, bars = pieces
    for tube in nlargest(1, tubes, key=lambda one: nearness(_tube_checks(facts, one))):
        across = size_of(tube, FeatureKind.OUTSIDE_DIAMETER) or 0.0
        for bar in nlargest(1, bars, key=lambda one: nearness(_bar_checks(one, thread, across))):
            yield tube_with_bar(facts, thread, (tube, bar), pushed)


def tube_with_bar(
    facts: Facts, thread: Thread, pieces: tuple[Piece, Piece], pushed: HoleMaterial | None
) -> Role:
    """Return a tube with a bar across its end, with its checks and what its parts bear."""
    tube, bar = pieces
    across = size_of(tube, FeatureKind.OUTSIDE_DIAMETER) or 0.0
    checks = (*_tube_checks(facts, tube), *_bar_checks(bar, thread, across))
    walled = _walled(tube, pushed)
    parts: tuple[PartAllows, ...] = ()
    if walled is not None:
        parts = (*_bending(bar, thread, walled.across), *_tube_bears(walled, bar))
    return _role((tube, bar), thread, checks, parts)


def _role(
    pieces: tuple[Piece, ...],
    thread: Thread,
    checks: tuple[Check, ...],
    parts: tuple[PartAllows, ...],
) -> Role:
    bar = pieces[-1]
    thick = size_of(bar, FeatureKind.THICKNESS) or 0.0
    along = sum((size_of(tube, FeatureKind.LENGTH) or 0.0) for tube in pieces[:-1])
    drill = f"drill a hole of {hole_in(bar, thread):.4g} mm in the middle, and break its edges"
    has_hole = (size_of(bar, FeatureKind.BORE) or 0.0) > thread.major
    used = tuple(PartUsed(tube, 1, "see that its ends are square") for tube in pieces[:-1])
    used = (*used, PartUsed(bar, 1, None if has_hole else drill))
    return Role(used, checks, parts, thick + along)


def _bar_checks(bar: Piece, thread: Thread, wanted: float) -> tuple[Check, ...]:
    found = [tool_material_check(bar, bends=True)]
    for kind in (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS):
        if size_of(bar, kind) is None:
            found.append(missing("bar", kind.value, f"{bar.name}: state its {kind.value}."))
    along, width = size_of(bar, FeatureKind.LENGTH), size_of(bar, FeatureKind.WIDTH)
    if along is not None and wanted > 0:
        detail = f"{bar.name} is {along:.4g} mm long; {wanted:.4g} mm reach over and bear."
        found.append(ratio("bar length", along, wanted, detail, COMMON_PRACTICE))
    if width is not None:
        least = _LEAST_WIDTH * thread.major
        detail = f"{bar.name} is {width:.4g} mm wide; {least:.4g} mm leave metal beside the hole."
        found.append(ratio("bar width", width, least, detail, COMMON_PRACTICE))
    bore = size_of(bar, FeatureKind.BORE)
    if bore is not None and bore > LARGEST_HOLE * thread.major:
        detail = f"Its hole of {bore:.4g} mm is too wide for a rod of {thread.major:.4g} mm."
        found.append(Check("bar hole", False, detail, COMMON_PRACTICE))
    return tuple(found)


def _bending(bar: Piece, thread: Thread, span: float) -> tuple[PartAllows, ...]:
    """Return what a bar bears in its middle between two supports, N."""
    thick, material = size_of(bar, FeatureKind.THICKNESS), bar.material
    if size_of(bar, FeatureKind.WIDTH) is None or thick is None or material is None:
        return ()
    bends, sheared = _bends(bar, thread, span)
    told = f"{_left(bar, thread, span):.4g} x {thick:.4g} mm of {material.title} beside the hole"
    return (
        PartAllows("bar bending", bends, f"{told}, span {span:.4g} mm, F l / 4; {BASIS}"),
        PartAllows("bar shear", sheared, f"{told}; {BASIS}"),
    )


def _left(bar: Piece, thread: Thread, span: float) -> float:
    """Return the width that bends, mm: a plate wider than it spans does not over all of it."""
    width = size_of(bar, FeatureKind.WIDTH) or 0.0
    return max(min(width, span) - hole_in(bar, thread), 0.0)


def _bends(bar: Piece, thread: Thread, span: float) -> tuple[float, float]:
    """Return what a bar bears, N, bent and sheared; nothing of one whose facts are not known."""
    thick, material = size_of(bar, FeatureKind.THICKNESS), bar.material
    if thick is None or material is None:
        return 0.0, 0.0
    left = _left(bar, thread, span)
    bends = allowed_bending(material) * left * thick**2 / 6 * 4 / span
    return bends, 2 * allowed_shear(material) * left * thick / _PEAK


def _tube_checks(facts: Facts, tube: Piece) -> tuple[Check, ...]:
    found = [tool_material_check(tube, bends=False)]
    outside, inside = size_of(tube, FeatureKind.OUTSIDE_DIAMETER), _bore(tube)
    along = size_of(tube, FeatureKind.LENGTH)
    for kind, known in (
        (FeatureKind.OUTSIDE_DIAMETER, outside),
        (FeatureKind.BORE, inside),
        (FeatureKind.LENGTH, along),
    ):
        if known is None:
            found.append(missing("tube", kind.value, f"{tube.name}: state its {kind.value}."))
    if inside is not None:
        # What comes out fills the housing's bore: the face may be smaller than the part.
        wanted = max(facts.face_outside, facts.bore) + _OVER_THE_PART
        detail = f"{tube.name} is {inside:.4g} mm inside; {wanted:.4g} mm let the part in."
        found.append(ratio("tube bore", inside, wanted, detail, COMMON_PRACTICE))
    if along is not None:
        wanted = facts.travel + facts.width + _BEYOND_THE_PART
        detail = f"{tube.name} is {along:.4g} mm long; {wanted:.4g} mm take the part in."
        found.append(ratio("tube length", along, wanted, detail, COMMON_PRACTICE))
    if outside is not None and inside is not None and not inside < outside:
        found.append(Check("tube", False, f"{tube.name} has no wall as stated.", STATED))
    return tuple(found)


class _Walled(NamedTuple):
    """A tube whose sizes, mm, and metal are known: its area, mm2, and what it bears by itself."""

    outside: float
    inside: float
    along: float
    material: HoleMaterial
    area: float
    squeezed: PartAllows
    others: tuple[PartAllows, ...]

    @property
    def across(self) -> float:
        """What a bar across its end spans, mm: its mean diameter."""
        return (self.outside + self.inside) / 2


def _walled(tube: Piece, pushed: HoleMaterial | None) -> _Walled | None:
    """Return what a tube bears without its bar; None of one whose facts are not known."""
    outside, inside = size_of(tube, FeatureKind.OUTSIDE_DIAMETER), _bore(tube)
    along, material = size_of(tube, FeatureKind.LENGTH), tube.material
    if outside is None or inside is None or along is None or material is None:
        return None
    if not inside < outside:
        return None
    area = pi / 4 * (outside**2 - inside**2)
    squeezed, column = tube_parts(material, outside, inside, along, ("tube", "tube column"))
    seat = face_allows("tube seat", area, weaker(pushed, material))
    return _Walled(outside, inside, along, material, area, squeezed, (column, seat))


def _tube_bears(tube: _Walled, bar: Piece) -> tuple[PartAllows, ...]:
    """Return what tube, its seat and the bar's on it bear, N; nothing of what is not known."""
    if size_of(bar, FeatureKind.WIDTH) is None:
        return ()
    squeezed, *_ = _on_tube(tube, bar)
    return (
        tube.squeezed._replace(force=squeezed),
        *tube.others,
        face_allows("bar on tube", _loaded(tube, bar), weaker(tube.material, bar.material)),
    )


def _loaded(tube: _Walled, bar: Piece) -> float:
    """Return the area, mm2, of a tube's end that a bar loads: two places as wide as itself."""
    width = size_of(bar, FeatureKind.WIDTH) or 0.0
    return min(tube.area, width * (tube.outside - tube.inside))


def _on_tube(tube: _Walled, bar: Piece) -> tuple[float, ...]:
    """Return what a tube under a bar bears, N: squeezed, by itself, and where the bar lies."""
    loaded, material = _loaded(tube, bar), weaker(tube.material, bar.material)
    return (
        tube.squeezed.force * loaded / tube.area,
        *(part.force for part in tube.others),
        loaded * material.seat_pressure / SEAT_SAFETY,
    )


def _sorts_of(bars: Iterable[Piece], thread: Thread) -> list[list[Piece]]:
    """Return the bars that do by themselves, those that differ in width and length alone together.

    The widest first: of those long enough none bears more, and none is shorter along the rod.
    """
    sorts: dict[tuple[object, ...], list[Piece]] = {}
    for bar in bars:
        if bar.quantity >= 1 and _pass(_bar_checks(bar, thread, 0.0)):
            thick = size_of(bar, FeatureKind.THICKNESS)
            sort = (thick, bar.material, hole_in(bar, thread), bar.is_on_hand)
            sorts.setdefault(sort, []).append(bar)
    for same in sorts.values():
        same.sort(key=lambda one: -(size_of(one, FeatureKind.WIDTH) or 0.0))
    return list(sorts.values())


def _first_as_long(bars: Iterable[Piece], along: float) -> Piece | None:
    return next((one for one in bars if (size_of(one, FeatureKind.LENGTH) or 0.0) >= along), None)


def _pass(checks: tuple[Check, ...]) -> bool:
    return all(check.passes for check in checks)


def _bore(tube: Piece) -> float | None:
    return size_of(tube, FeatureKind.BORE)
