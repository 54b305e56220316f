"""The surest paths from the part called for to every part that it leads to."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from heapq import heappop, heappush
from math import log
from typing import Final

from shared.interchange.found import StepKind
from shared.interchange.here import Here, Hop
from shared.interchange.rules import MOST_PIECES

_AFTER_GENERIC, _AFTER_CLAIM, _IN_A_ROW = range(3)
"""How freely a path goes on: not to an equal of an equal; anywhere; and a row without a step."""

_ALIKE: Final = 12
"""Digits of a cost within which two paths are one as sure as the other."""


@dataclass(frozen=True, slots=True)
class Reached:
    """A part, and the path to it: the last step and what it goes on from.

    ``cost`` is -ln of its confidence. ``counted``: its steps, supersessions in a row as one;
    ``freedom``: how it goes on, by its last step. ``ratio``: pieces of it for one called for.
    ``before`` and ``hop`` None: the part called for.
    """

    part_id: str
    cost: float = 0.0
    confidence: float = 1.0
    counted: int = 0
    freedom: int = _AFTER_CLAIM
    ratio: Fraction = Fraction(1)
    before: "Reached | None" = None
    hop: Hop | None = None

    def passes(self, part_id: str) -> bool:
        """Whether the path leads through a part, or ends at it."""
        one: Reached | None = self
        while one is not None and one.part_id != part_id:
            one = one.before
        return one is not None


def surest_paths(here: Here, is_open: Callable[[Hop], bool]) -> dict[str, Reached]:
    """Return the surest path to every part that open steps lead to, the part called for first.

    Exact: shortest paths on -ln of the confidence (Dijkstra, A note on two problems in connexion
    with graphs, 1959) over parts, how many steps count so far, and the kind of the last. No path
    takes two steps by a standard in a row: an equal of an equal is judged as an equal of the first,
    and is one by that or not at all. Of paths as sure as each other the one with fewer steps
    stands, then the one by lower ids. Pieces that multiply beyond all use end a path.
    """
    return _Walk(here, is_open, float(here.graph.rules.hop_discount)).run()


@dataclass(slots=True)
class _Walk:
    """The paths found so far, and those that may become the next."""

    here: Here
    is_open: Callable[[Hop], bool]
    discount: float
    found: dict[str, Reached] = field(default_factory=dict)
    _waiting: list[tuple[float, int, str, str, str, int, Reached]] = field(default_factory=list)
    _settled: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    _sizes_asked: dict[str, int] = field(default_factory=dict)
    _offered: int = 0

    def run(self) -> dict[str, Reached]:
        self._take(Reached(self.here.place.part_id))
        while self._waiting:
            reached = heappop(self._waiting)[-1]
            if not self._is_outdone(reached.part_id, reached.counted, reached.freedom):
                self._take(reached)
        return self.found

    def _take(self, reached: Reached) -> None:
        part_id = reached.part_id
        self.found.setdefault(part_id, reached)
        self._settled.setdefault(part_id, []).append((reached.counted, reached.freedom))
        is_barred_from_some = bool(self.here.denied(part_id))
        self._offer(reached, self.here.by_record(part_id))
        if self._asks_for_equals(reached, is_whole=not is_barred_from_some):
            self._offer(reached, self.here.generic(part_id))

    def _offer(self, before: Reached, hops: Sequence[Hop]) -> None:
        for hop in hops:
            edge = hop.edge
            freedom = _freedom_after(hop)
            goes_on = before.freedom == freedom == _IN_A_ROW
            counted = before.counted if goes_on else before.counted + 1
            if (
                counted > self.here.graph.rules.most_steps
                or not self.is_open(hop)
                or edge.to_part_id == self.here.place.part_id
                or self._is_outdone(edge.to_part_id, counted, freedom)
            ):
                continue
            ratio = before.ratio if edge.ratio == 1 else before.ratio * edge.ratio
            if max(ratio.numerator, ratio.denominator) > MOST_PIECES:
                self.here.is_beyond_measure = True
                continue
            factor = edge.confidence * (1.0 if goes_on or not before.counted else self.discount)
            reached = Reached(
                edge.to_part_id,
                before.cost - log(factor),
                before.confidence * factor,
                counted,
                freedom,
                ratio,
                before,
                hop,
            )
            self._offered += 1
            cost = round(reached.cost, _ALIKE)
            by_ids = (edge.to_part_id, edge.from_part_id, edge.record_id or "", self._offered)
            heappush(self._waiting, (cost, counted, *by_ids, reached))

    def _is_outdone(self, part_id: str, counted: int, freedom: int) -> bool:
        """Whether a surer path came here with no more steps, and can go on from here as freely."""
        for steps, so_free in self._settled.get(part_id, ()):
            if steps <= counted and so_free >= freedom:
                return True
        return False

    def _asks_for_equals(self, reached: Reached, *, is_whole: bool) -> bool:
        """Whether a part's equals are still to be asked for.

        Where a surer path came to a part of the same designation with no more steps, its equals
        are those of this part too, and nearer; unless some were barred there (not ``is_whole``).
        """
        named = self.here.graph.parts[reached.part_id].generic_designation
        if not named or reached.freedom == _AFTER_GENERIC:
            return False
        if reached.counted >= self.here.graph.rules.most_steps:
            return False
        fewest = self._sizes_asked.get(named)
        if fewest is not None and fewest <= reached.counted:
            return False
        if is_whole:
            self._sizes_asked[named] = reached.counted
        return True


def _freedom_after(hop: Hop) -> int:
    if hop.edge.is_supersession:
        return _IN_A_ROW
    return _AFTER_GENERIC if hop.edge.kind is StepKind.GENERIC else _AFTER_CLAIM
