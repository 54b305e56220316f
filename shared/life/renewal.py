"""How many failures are to be expected when each failed part is replaced by its like.

The renewal equation M(t) = F(t) + integral of M(t - x) dF(x), solved on an even grid by sums of
Riemann-Stieltjes form with the distribution taken at the middle of each step.
Source: renewal equation, any text on reliability; the solving method by M. Xie, 1989 (from memory).
"""

from collections.abc import Callable, Sequence
from functools import lru_cache

from shared.life.weibull import LifeSpec

STEPS = 256
"""Steps of the grid; the error falls with their square."""


def renewals(
    chances: Sequence[float], middles: Sequence[float], first: Sequence[float] | None = None
) -> float:
    """Expected number of failures at the end of a grid of n even steps.

    ``chances`` are F at 0, 1, ... n steps, ``middles`` F at 0.5, 1.5, ... n - 0.5 steps, of a part
    put in new; ``first`` the same as ``chances`` for the part that is in there at the start, where
    it is another (older, say).

    >>> from math import exp
    >>> n, hours = 256, 2.0
    >>> grid = [1 - exp(-hours * i / n) for i in range(n + 1)]
    >>> between = [1 - exp(-hours * (i + 0.5) / n) for i in range(n)]
    >>> round(renewals(grid, between), 4)
    2.0
    """
    import numpy as np  # noqa: PLC0415 - slow to load, needed only for worn-out parts

    later = np.asarray(middles)
    counts = np.zeros(len(chances))
    starts = np.asarray(chances if first is None else first)
    fresh = np.zeros(len(chances))
    for i in range(1, len(chances)):
        steps = np.diff(fresh[:i])
        past = float(np.dot(steps, later[i - 1 : 0 : -1]))
        fresh[i] = (chances[i] + past - fresh[i - 1] * later[0]) / (1 - later[0])
    if first is None:
        return float(fresh[-1])
    jumps = np.diff(starts)
    halfway = (fresh[:-1] + fresh[1:]) / 2
    counts[-1] = starts[-1] + float(np.dot(jumps, halfway[::-1]))
    return float(counts[-1])


@lru_cache(maxsize=4096)
def expected_failures(spec: LifeSpec, hours: float) -> float:
    """Failures to be expected within ``hours``, each failed part replaced by a new one like it.

    At a constant hazard (shape 1) it is hours / scale, exactly.

    >>> expected_failures(LifeSpec(1.0, 1000.0), 2500.0)
    2.5
    """
    if hours <= 0:
        return 0.0
    if spec.shape == 1:
        return hours / spec.scale_hours
    new = LifeSpec(spec.shape, spec.scale_hours)
    step = hours / STEPS

    def failed(part: LifeSpec) -> Callable[[float], float]:
        return lambda steps: 1 - part.survival(steps * step)

    chances = [failed(new)(i) for i in range(STEPS + 1)]
    middles = [failed(new)(i + 0.5) for i in range(STEPS)]
    if spec == new:
        return renewals(chances, middles)
    return renewals(chances, middles, [failed(spec)(i) for i in range(STEPS + 1)])
