"""Where along an input's grid a choice ceases to be among the cheapest, exactly.

From a value at which the choice holds and one at which another plan beats it, the next value
looked at is where the cost lines of the two plans cross; the plan that beats it there takes the
other's place, until the two values are neighbours. Each look is a full answer on the moved
snapshot, so that a wrong guess costs a look and never a wrong figure.
Source: parametric programming by Newton's method on the lower envelope of the plans' cost lines
(any text on parametric optimisation); the halving in between is the bisection method.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from shared.decision.weighing.what_if import World, chosen_again

CROSSINGS_AT_MOST = 4
"""So many crossings are tried before a halving, where cost lines are no straight lines."""

STRIDE_GROWS = 4

Look = Callable[[int], World]


@dataclass
class Search:
    """A search from grid number 0, at which the choice holds, up to ``last``."""

    look: Look
    last: int
    now: World

    def __post_init__(self) -> None:
        self.worlds: dict[int, World] = {0: self.now}

    def first_change(
        self,
        guess: int | None,
        edges: Iterable[int] = (),
        *,
        rival: tuple[str, ...] = (),
        is_straight: bool = True,
    ) -> tuple[int, int | None]:
        """Grid numbers of the last value that holds and of the first that does not (None: none).

        ``guess``: expected last value that holds (None: no idea); ``rival``: the choice expected
        to draw level there. ``edges``: numbers at which the cost may jump; the choice is looked at
        there, too, so that no change before them is missed. ``is_straight``: costs move with the
        input, so that two looks foretell the crossing; else one goes on from the guess in growing
        strides.
        """
        if self.last == 0:
            return 0, None
        holds, fails = self._enclose(guess, rival, is_straight=is_straight)
        holds, fails = self._narrow(holds, fails)
        end = self.last if fails is None else holds
        for edge in sorted({e for e in edges if 0 < e <= end}):
            if not self._holds(edge):
                before = max(k for k, world in self.worlds.items() if k < edge and world.holds)
                return self._narrow(before, edge)
        return holds, fails

    def walk(self, numbers: Iterable[int]) -> tuple[int, int | None]:
        """As ``first_change``, where only at these rising numbers, and between, it can change."""
        holds = 0
        for number in numbers:
            if not self._holds(number):
                return self._narrow(holds, number)
            holds = number
        return self.last, None

    def _holds(self, number: int) -> bool:
        if number not in self.worlds:
            self.worlds[number] = self.look(number)
        return self.worlds[number].holds

    def _enclose(
        self, guess: int | None, rival: tuple[str, ...], *, is_straight: bool
    ) -> tuple[int, int | None]:
        """A value that holds and a later one that does not, from the guess outwards."""
        stride = 1
        number = self.last if guess is None else min(max(guess + 1, 1), self.last)
        holds = 0
        while self._holds(number):
            before, holds = holds, number
            if number == self.last:
                return holds, None
            if is_straight:
                number = self._drawn_level(before, holds, rival)
            else:
                number = min(number + stride, self.last)
                stride *= STRIDE_GROWS
        return holds, number

    def _drawn_level(self, before: int, holds: int, rival: tuple[str, ...]) -> int:
        """First number past which a rival is expected to be cheaper, by its last two distances.

        Without a rival that comes nearer: the last number.
        """
        then, now = self._distance(before, rival), self._distance(holds, rival)
        if then is None or now is None or now >= then:
            return self.last
        further = now * (holds - before) // (then - now)
        return min(holds + further + 1, self.last)

    def _distance(self, number: int, rival: tuple[str, ...]) -> int | None:
        """By how much a rival is dearer than the choice; None: it is not possible there."""
        world = self.worlds[number]
        other = chosen_again(world.built, rival) if rival else None
        if other is None or world.kept is None:
            return None
        return other.objective - world.kept.objective

    def _narrow(self, holds: int, fails: int | None) -> tuple[int, int | None]:
        crossings = 0
        while fails is not None and fails - holds > 1:
            middle = (holds + fails) // 2
            if crossings < CROSSINGS_AT_MOST:
                middle = self._crossing(holds, fails) or middle
                crossings += 1
            else:
                crossings = 0
            if self._holds(middle):
                holds = middle
            else:
                fails = middle
        return holds, fails

    def _crossing(self, holds: int, fails: int) -> int | None:
        """Last number, strictly between, at which the choice is no dearer than what beats it.

        Both cost lines taken as straight; None: one of the two plans is not possible at one end.
        """
        near, far = self.worlds[holds], self.worlds[fails]
        if near.kept is None or far.kept is None or far.optimum is None:
            return None
        rival = chosen_again(near.built, far.optimum.source_ids)
        if rival is None:
            return None
        ahead = rival.objective - near.kept.objective
        behind = far.kept.objective - far.optimum.objective
        reached = holds + ahead * (fails - holds) // (ahead + behind)
        return min(max(reached, holds + 1), fails - 1)
