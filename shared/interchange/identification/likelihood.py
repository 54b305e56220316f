"""How likely a reading is, if the part is a certain size: the exact density, in closed form.

A dimension is made anywhere between its limits (uniform), use may have moved it one way
(exponential, of a stated mean), and the reading errs (normal or rectangular). The reading is the
sum of the three, so its density is a difference of two survival functions over the span of the
limits. Symbols: reading r, limits a <= b, mean change by use tau, standard uncertainty u or
half-width h, all in mm; densities in 1/mm.

Source: derived here; sum of a normal and an exponential variable is textbook (exponentially
modified normal distribution), with the scaled complementary error function after Abramowitz and
Stegun 7.1.2 and 7.1.23 (from memory).
"""

from math import erfc, exp, pi, sqrt
from typing import Final

from shared.interchange.identification.model import Change, Doubt, MadeSize, Measured

_ROOT_TWO: Final = sqrt(2.0)
_POINT: Final = 1e-6
"""Limits nearer together than this share of the doubt are one size."""


def density(measured: Measured, made: MadeSize) -> float:
    """Density of the reading, 1/mm, for a part made and used as stated. ``measured.width`` > 0.

    >>> round(density(Measured(25.0, 0.1), MadeSize(24.99, 25.0)), 6)
    5.0
    """
    low, high, tau = made.least, made.most, made.typical_change
    if tau <= 0 or made.change is Change.NONE:
        return _grown(measured, measured.value, low, high, 0.0)
    if made.change is Change.LARGER:
        return _grown(measured, measured.value, low, high, tau)
    if made.change is Change.SMALLER:
        return _grown(measured, -measured.value, -high, -low, tau)
    larger = _grown(measured, measured.value, low, high, tau)
    smaller = _grown(measured, -measured.value, -high, -low, tau)
    return (larger + smaller) / 2


def _grown(measured: Measured, r: float, a: float, b: float, tau: float) -> float:
    """Density at r where the part only grew; a part that shrank is the same seen in a mirror."""
    width = measured.width
    if b - a < _POINT * width:
        a = b = (a + b) / 2
    if measured.doubt is Doubt.RECTANGULAR:
        above = _survival_of_size(r - width, a, b, tau) - _survival_of_size(r + width, a, b, tau)
        return max(0.0, above / (2 * width))
    if a == b:
        return _density_of_error(r - a, width, tau)
    if r < (a + b) / 2:
        # Both tails are told from their own side: a difference from 1 would lose all digits.
        share = _share_below(r - a, width, tau) - _share_below(r - b, width, tau)
    else:
        share = _share_above(r - b, width, tau) - _share_above(r - a, width, tau)
    return max(0.0, share / (b - a))


def _survival_of_size(x: float, a: float, b: float, tau: float) -> float:
    """Probability that the true size is above x."""
    if x <= a:
        return 1.0
    if a == b:
        return exp(-(x - a) / tau) if tau > 0 else 0.0
    inside = max(0.0, b - x)
    if tau <= 0:
        return inside / (b - a)
    tail = exp(-max(0.0, x - b) / tau) - exp(-(x - a) / tau)
    return (inside + tau * tail) / (b - a)


def _density_of_error(x: float, u: float, tau: float) -> float:
    """Density of error and growth together at x."""
    if tau <= 0:
        return exp(-(x * x) / (2 * u * u)) / (u * sqrt(2 * pi))
    return _tail(x, u, tau) / tau


def _share_above(x: float, u: float, tau: float) -> float:
    """Probability that error and growth together are above x."""
    normal = erfc(x / u / _ROOT_TWO) / 2
    return normal if tau <= 0 else normal + _tail(x, u, tau)


def _share_below(x: float, u: float, tau: float) -> float:
    normal = erfc(-x / u / _ROOT_TWO) / 2
    return normal if tau <= 0 else normal - _tail(x, u, tau)


def _tail(x: float, u: float, tau: float) -> float:
    """exp(u²/(2 tau²) - x/tau) Phi(x/u - u/tau), for any ratio of u to tau."""
    w = u / tau - x / u
    if w < 0:
        return exp(-(u / tau) * (x / u - u / (2 * tau))) * erfc(w / _ROOT_TWO) / 2
    return exp(-(x * x) / (2 * u * u)) * _scaled_erfc(w / _ROOT_TWO) / 2


def _scaled_erfc(y: float) -> float:
    """exp(y²) erfc(y) for y >= 0, without overflow; better than 1e-6 of itself."""
    if y < 20:
        return exp(y * y) * erfc(y)
    return (1 - 1 / (2 * y * y)) / (y * sqrt(pi))
