"""What the rod pulls against: a bar across the housing, or a tube with a bar across its end.

mm, N, MPa.
"""

from collections.abc import Iterable, Iterator
from heapq import nlargest
from math import pi
from typing import Final, NamedTuple

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    SEAT_SAFETY,
    STATED,
    face_allows,
    missing,
    pressed_material,
    ratio,
    weaker,
)
from shared.fasteners.substitutes.families.ring_fit import size_of, tube_parts
from shared.fasteners.substitutes.families.rod_bars import (
    Flat,
    bar_checks,
    bending,
    bends_at,
    flat_of,
    hole_in,
)
from shared.fasteners.substitutes.families.rod_chosen import Support
from shared.fasteners.substitutes.families.rod_model import Facts, Role, nearness
from shared.fasteners.substitutes.model import Check, PartUsed, Piece
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import (
    tool_material_check,
)
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread

_SEAT: Final = 10.0
"""Length, mm, at each end on which a bar lies. Common practice, no source."""
_OVER_THE_PART: Final = 1.0
_BEYOND_THE_PART: Final = 2.0
"""Room, mm, round and above the part in the tube. Common practice, no source."""


def bars_across(
    facts: Facts, thread: Thread, bars: Iterable[Piece], pushed: HoleMaterial | None
) -> Iterator[Role]:
    """Yield every bar as it lies across the housing."""
    wanted = max(facts.span + 2 * thread.major, facts.span + 2 * _SEAT)
    for bar in bars:
        flat = flat_of(bar, thread)
        parts: tuple[PartAllows, ...] = ()
        if flat is not None:
            bears_on = 2 * _SEAT * min(flat.width, facts.span + _SEAT)
            seat = face_allows("bar seat", bears_on, weaker(pushed, flat.material))
            parts = (*bending(flat, facts.span + _SEAT), seat)
        yield _role((bar,), thread, bar_checks(bar, thread, wanted), parts)


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
            flat = _first_as_long(same, walled.outside)
            if flat is None:
                continue
            length = walled.along + flat.thick
            is_on_hand = tube.is_on_hand and flat.bar.is_on_hand
            sort = (length, flat.material.seat_pressure, flat.hole, is_on_hand)
            bears = min(*bends_at(flat, walled.across), *_on_tube(walled, flat))
            if sort not in best or best[sort].bears < bears:
                best[sort] = Support((tube, flat.bar), length, bears, is_on_hand)
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
        for bar in nlargest(1, bars, key=lambda one: nearness(bar_checks(one, thread, across))):
            yield tube_with_bar(facts, thread, (tube, bar), pushed)


def tube_with_bar(
    facts: Facts, thread: Thread, pieces: tuple[Piece, Piece], pushed: HoleMaterial | None
) -> Role:
    """Return a tube with a bar across its end, with its checks and what its parts bear."""
    tube, bar = pieces
    across = size_of(tube, FeatureKind.OUTSIDE_DIAMETER) or 0.0
    checks = (*_tube_checks(facts, tube), *bar_checks(bar, thread, across))
    walled, flat = _walled(tube, pushed), flat_of(bar, thread)
    parts: tuple[PartAllows, ...] = ()
    if walled is not None and flat is not None:
        parts = (*bending(flat, walled.across), *_tube_bears(walled, flat))
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
    bears: float

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
    bears = min(column.force, seat.force)
    return _Walled(outside, inside, along, material, area, squeezed, (column, seat), bears)


def _tube_bears(tube: _Walled, bar: Flat) -> tuple[PartAllows, ...]:
    """Return what tube, its seat and the bar's on it bear, N."""
    squeezed, *_ = _on_tube(tube, bar)
    return (
        tube.squeezed._replace(force=squeezed),
        *tube.others,
        face_allows("bar on tube", _loaded(tube, bar), weaker(tube.material, bar.material)),
    )


def _loaded(tube: _Walled, bar: Flat) -> float:
    """Return the area, mm2, of a tube's end that a bar loads: two places as wide as itself."""
    return min(tube.area, bar.width * (tube.outside - tube.inside))


def _on_tube(tube: _Walled, bar: Flat) -> tuple[float, float, float]:
    """Return what a tube under a bar bears, N: squeezed, by itself, and where the bar lies."""
    loaded = _loaded(tube, bar)
    seat = pressed_material(weaker(tube.material, bar.material))[0].seat_pressure
    return (tube.squeezed.force * loaded / tube.area, tube.bears, loaded * seat / SEAT_SAFETY)


def _sorts_of(bars: Iterable[Piece], thread: Thread) -> list[list[Flat]]:
    """Return the bars that do by themselves, those that differ in width and length alone together.

    The widest first: of those long enough none bears more, and none is shorter along the rod.
    """
    sorts: dict[tuple[object, ...], list[Flat]] = {}
    for bar in bars:
        if bar.quantity >= 1 and _pass(bar_checks(bar, thread, 0.0)):
            flat = flat_of(bar, thread)
            if flat is not None:
                sort = (flat.thick, flat.material, flat.hole, flat.lost, bar.is_on_hand)
                sorts.setdefault(sort, []).append(flat)
    for same in sorts.values():
        same.sort(key=lambda one: -one.width)
    return list(sorts.values())


def _first_as_long(bars: list[Flat], along: float) -> Flat | None:
    for one in bars:
        if one.along >= along:
            return one
    return None


def _pass(checks: tuple[Check, ...]) -> bool:
    return all(check.passes for check in checks)


def _bore(tube: Piece) -> float | None:
    return size_of(tube, FeatureKind.BORE)
