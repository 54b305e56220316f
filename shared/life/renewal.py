"""How many failures are to be expected when each failed part is replaced by its like.

The renewal equation M(t) = F(t) + integral of M(t - x) dF(x), solved on an even grid by sums of
Riemann-Stieltjes form with the distribution taken at the middle of each step.
Source: renewal equation, any text on reliability; the solving method by M. Xie, 1989 (from memory).
"""

from collections.abc import Callable, Sequence
from functools import lru_cache
from math import gamma, log

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

    At a constant hazard (shape 1) it is hours / scale, exactly. Over many lives of a part the
    renewal equation is worked out as far as its grid is fine enough; from there on one failure is
    counted for each mean life, at a falling hazard as many as at the end of the grid if more.
    Source: elementary renewal theorem, any text on reliability.

    >>> expected_failures(LifeSpec(1.0, 1000.0), 2500.0)
    2.5
    >>> round(expected_failures(LifeSpec(3.0, 10.0), 10_000.0))  # 10,000 h over a mean of 8.93 h
    1119
    """
    if hours <= 0:
        return 0.0
    if spec.shape == 1:
        return hours / spec.scale_hours
    reach = spec.scale_hours * _lives_on_grid(spec.shape)
    if hours <= reach:
        return _on_grid(spec, hours)
    near = _on_grid(spec, reach)
    rate = 1 / (spec.scale_hours * gamma(1 + 1 / spec.shape))
    if spec.shape < 1:
        rate = max(rate, (near - _on_grid(spec, reach / 2)) / (reach / 2))
    return near + rate * (hours - reach)


def _lives_on_grid(shape: float) -> float:
    """Over how many scales of a life the grid is fine enough.

    At a rising hazard at most one part in fifty fails within half a step, and a step is at most a
    quarter of the scale; at a falling one, one part in four, at a steeply falling one, every other.
    """
    if shape < 1:
        fails = 0.25 if shape >= 0.5 else 0.5
        return float(2 * STEPS * (-log(1 - fails)) ** (1 / shape))
    return float(min(STEPS / 4, 2 * STEPS * (-log(0.98)) ** (1 / shape)))


def _on_grid(spec: LifeSpec, hours: float) -> float:
    new = LifeSpec(spec.shape, spec.scale_hours)
    step = hours / STEPS

    def failed(part: LifeSpec) -> Callable[[float], float]:
        return lambda steps: 1 - part.survival(steps * step)

    chances = [failed(new)(i) for i in range(STEPS + 1)]
    middles = [failed(new)(i + 0.5) for i in range(STEPS)]
    if spec == new:
        return renewals(chances, middles)
    return renewals(chances, middles, [failed(spec)(i) for i in range(STEPS + 1)])
