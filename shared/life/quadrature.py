"""Integrals of survival curves: Gauss-Legendre, halved until it no longer changes.

Plain arithmetic in a fixed order, so the same input gives the same digits wherever it runs.
"""

from collections.abc import Callable
from functools import cache

NODES = 10
DEEPEST = 40


@cache
def gauss_legendre(count: int) -> tuple[tuple[float, float], ...]:
    """Nodes and weights of Gauss-Legendre on 0 ... 1; the weights add up to 1."""
    # numpy costs a tenth of a second to import: only those who integrate pay for it.
    from numpy.polynomial.legendre import leggauss  # noqa: PLC0415

    nodes, weights = leggauss(count)
    return tuple(((float(x) + 1) / 2, float(w) / 2) for x, w in zip(nodes, weights, strict=True))


def average(function: Callable[[float], float], lower: float, upper: float, count: int) -> float:
    """Mean of ``function`` over ``lower`` ... ``upper``, by one rule of ``count`` nodes."""
    width = upper - lower
    return sum(weight * function(lower + width * x) for x, weight in gauss_legendre(count))


def integrate(
    function: Callable[[float], float], lower: float, upper: float, tolerance: float = 1e-9
) -> float:
    """Integral of ``function`` over ``lower`` ... ``upper``.

    ``tolerance`` is relative to the width of the range: for a survival curve (at most 1) that is
    the error in hours per hour of horizon. ``function`` must be finite on the open range.

    >>> round(integrate(lambda t: t * t, 0.0, 3.0), 9)
    9.0
    """
    if upper <= lower:
        return 0.0
    return _refine(function, (lower, upper), average(function, lower, upper, NODES), tolerance)


def _refine(
    function: Callable[[float], float],
    span: tuple[float, float],
    mean: float,
    tolerance: float,
    depth: int = DEEPEST,
) -> float:
    """Halve the range until the mean over both halves agrees with the mean over the whole."""
    lower, upper = span
    middle = (lower + upper) / 2
    left = average(function, lower, middle, NODES)
    right = average(function, middle, upper, NODES)
    if depth == 0 or abs((left + right) / 2 - mean) <= tolerance:
        return (upper - lower) * (left + right) / 2
    return _refine(function, (lower, middle), left, tolerance, depth - 1) + _refine(
        function, (middle, upper), right, tolerance, depth - 1
    )
