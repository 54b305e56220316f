"""Which ring, washers and support go with a rod and its nuts: complete, without trying all sets.

A set holds when each piece bears what the need asks of the rod and nuts at hand, and when all of
them together are as long as the rod leaves room for. So what bears is sorted by its length, and
for every ring the shortest support that fits is looked up. mm, N.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import product
from math import inf

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.families.ring_fit import size_of
from shared.fasteners.substitutes.families.rod_bars import hole_in
from shared.fasteners.substitutes.families.rod_chosen import (
    Able,
    Chosen,
    OnRing,
    RingEnd,
    Support,
    Window,
    bears_of,
    end_bears,
    end_length,
    few_of,
)
from shared.fasteners.substitutes.families.rod_model import Facts, Role, nearness
from shared.fasteners.substitutes.families.rod_rings import PLAY, Rings, narrowest
from shared.fasteners.substitutes.families.rod_supports import (
    bars_across,
    nearest_tube_and_bar,
    tube_with_bar,
    tubes_with_bars,
)
from shared.fasteners.substitutes.families.rod_washers import (
    MOST_STACKED,
    hole_of,
    lies_on,
    on_ring_checks,
    seat_of_nut,
    washer_checks,
    washer_parts,
)
from shared.fasteners.substitutes.model import Drawer, PartUsed, Piece, Requirement
from shared.fasteners.turning import BearingFace
from shared.standards.thread_model import Thread

Faces = tuple[BearingFace, ...]


class ThreadSearch:
    """The pieces of a drawer in their roles for one thread, worked out once."""

    def __init__(
        self, requirement: Requirement, facts: Facts, drawer: Drawer, thread: Thread, rings: Rings
    ) -> None:
        """Keep what is asked."""
        self._requirement, self._facts = requirement, facts
        self._drawer, self._thread = drawer, thread
        self._rings = rings
        self._on_rings: dict[Faces, tuple[OnRing, ...]] = {}
        self._able: dict[tuple[Faces, float], tuple[Able, ...]] = {}
        self._nearest: dict[Faces, tuple[RingEnd | None, Role | None]] = {}

    @cached_property
    def washers(self) -> tuple[Piece, ...]:
        """The washers that go on the rod."""
        found = self._drawer.of(ItemForm.WASHER)
        return tuple(
            one for one in found if all(check.passes for check in washer_checks(one, self._thread))
        )

    @cached_property
    def supports(self) -> tuple[Support, ...]:
        """The bars, or tubes with bars, that pass their own checks: the shortest first."""
        if self._facts.is_pull:
            tubes = self._drawer.of(ItemForm.TUBE)
            pushed = self._requirement.pushed
            fit = tubes_with_bars(self._facts, self._thread, (tubes, self._bars), pushed)
        else:
            across = (one for one in self._across(self._bars) if one.is_there)
            fit = (
                Support((one.used[-1].piece,), one.length, one.bears, one.is_on_hand)
                for one in across
            )
        return tuple(sorted((one for one in fit if one.length > 0), key=lambda one: one.length))

    def role_of(self, support: Support) -> Role:
        """Return a support with its checks and what its parts bear."""
        if len(support.pieces) == 1:
            return next(iter(self._across(support.pieces)))
        tube, bar = support.pieces
        return tube_with_bar(self._facts, self._thread, (tube, bar), self._requirement.pushed)

    def sets(self, window: Window, faces: Faces) -> Iterator[Chosen]:
        """Yield sets that bear ``window.force`` and are as long as it lets them be.

        Strong ones, short ones and long ones first; one at the least wherever there is one.
        """
        every = [one for one in self._that_bear(window.force, faces) if one.may_be(window)]
        is_found = False
        for able in every:
            for (on_ring, stacked), support in product(able.some_ends, able.some_supports):
                between = on_ring.length(stacked) + support.length
                if window.least <= between <= window.most:
                    is_found = True
                    yield Chosen(on_ring, stacked, support)
        if is_found:
            return
        for able in every:
            for on_ring, stacked in able.ends:
                length = on_ring.length(stacked)
                first = bisect_left(able.lengths, window.least - length)
                if first < len(able.lengths) and length + able.lengths[first] <= window.most:
                    yield Chosen(on_ring, stacked, able.supports[first])
                    return

    def end_of(self, faces: Faces, chosen: Chosen) -> RingEnd:
        """Return the ring end of a set, with its checks and what its parts bear."""
        return self._end(faces, chosen.on_ring.ring, chosen.on_ring.washer, chosen.stacked)

    def nearest(self, faces: Faces) -> tuple[RingEnd | None, Role | None]:
        """Return the ring end and the support that come nearest, each by itself."""
        if faces not in self._nearest:
            self._nearest[faces] = self._nearest_end(faces), self._nearest_support
        return self._nearest[faces]

    def _nearest_end(self, faces: Faces) -> RingEnd | None:
        known = max(self._on(faces), key=lambda one: one.bears(one.most), default=None)
        if known is not None:
            return self._end(faces, known.ring, known.washer, known.most)
        ring = self._rings.nearest
        washer = _widest(self.washers or self._drawer.of(ItemForm.WASHER))
        return None if ring is None or washer is None else self._end(faces, ring, washer, 1)

    @cached_property
    def _nearest_support(self) -> Role | None:
        strongest = max(self.supports, key=lambda one: one.bears, default=None)
        if strongest is not None:
            return self.role_of(strongest)
        if self._facts.is_pull:
            pieces = self._drawer.of(ItemForm.TUBE), self._bars
            pushed = self._requirement.pushed
            supports = nearest_tube_and_bar(self._facts, self._thread, pieces, pushed)
        else:
            supports = self._across(self._bars)
        return max(supports, key=lambda one: (*nearness(one.checks), one.bears), default=None)

    @property
    def _bars(self) -> tuple[Piece, ...]:
        return self._drawer.of(ItemForm.BAR, ItemForm.PLATE)

    def _across(self, bars: Iterable[Piece]) -> Iterator[Role]:
        return bars_across(self._facts, self._thread, bars, self._requirement.pushed)

    def _that_bear(self, force: float, faces: Faces) -> tuple[Able, ...]:
        """Return what bears a force, each sort of washer with the bars that bear the nut on it."""
        if (faces, force) not in self._able:
            sorts: dict[tuple[float, float], list[OnRing]] = {}
            for one in self._on(faces):
                material = one.washer.material
                assert material is not None, "checked before"
                sort = (hole_of(one.washer, self._thread), material.seat_pressure)
                sorts.setdefault(sort, []).append(one)
            strong = [one for one in self.supports if one.bears >= force]
            found = (self._of_a_sort(force, faces, same, strong) for same in sorts.values())
            self._able[faces, force] = tuple(one for one in found if one is not None)
        return self._able[faces, force]

    def _of_a_sort(
        self, force: float, faces: Faces, same: list[OnRing], strong: list[Support]
    ) -> Able | None:
        washer, seats = same[0].washer, {}
        supports = []
        for one in strong:
            bar = one.pieces[-1]
            sort = (bar.material, hole_in(bar, self._thread))
            if sort not in seats:
                seats[sort] = seat_of_nut(self._thread, faces, washer, bar, sort[1]).force
            if seats[sort] >= force:
                supports.append(one)
        ends = [(one, stacked) for one in same for stacked in one.stacks(force)]
        if not ends or not supports:
            return None
        ends.sort(key=end_length)
        return Able(
            ends,
            supports,
            [one.length for one in supports],
            few_of(ends, end_bears),
            few_of(supports, bears_of),
            end_length(ends[0]) + supports[0].length,
            end_length(ends[-1]) + supports[-1].length,
        )

    def _on(self, faces: Faces) -> tuple[OnRing, ...]:
        if faces not in self._on_rings:
            self._on_rings[faces] = tuple(self._every_on(faces))
        return self._on_rings[faces]

    def _every_on(self, faces: Faces) -> Iterator[OnRing]:
        for ring in self._rings.fit:
            piece = ring.used[0].piece
            if narrowest(piece) < self._thread.major + PLAY:
                continue
            for washer in self.washers:
                most = min(MOST_STACKED, washer.quantity - 1 - (washer.key == piece.key))
                if most < 1 or not lies_on(self._facts, self._thread, washer, piece):
                    continue
                *bridge, seat = washer_parts(self._thread, faces, washer, piece, 1)
                single = bridge[0].force if bridge else inf
                if single <= 0:
                    continue
                thick = size_of(washer, FeatureKind.THICKNESS) or 0.0
                cap, is_on_hand = min(ring.bears, seat.force), ring.is_on_hand and washer.is_on_hand
                yield OnRing(ring, washer, single, cap, most, thick, is_on_hand)

    def _end(self, faces: Faces, ring: Role, washer: Piece, stacked: int) -> RingEnd:
        piece = ring.used[0].piece
        role = Role(
            (PartUsed(washer, stacked + 1),),
            on_ring_checks(self._facts, self._thread, washer, piece),
            washer_parts(self._thread, faces, washer, piece, stacked),
            (stacked + 1) * (size_of(washer, FeatureKind.THICKNESS) or 0.0),
        )
        return RingEnd(ring, washer, stacked, role, ring.length + role.length)


def _widest(washers: Iterable[Piece]) -> Piece | None:
    return max(
        washers, key=lambda one: size_of(one, FeatureKind.OUTSIDE_DIAMETER) or 0.0, default=None
    )
