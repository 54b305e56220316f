"""What would settle a reading that decides nothing: how fine a gauge, how many readings."""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor, inf, log, log10, sqrt
from typing import Final

from shared.condition.conformity import (
    Distribution,
    conformity_probability,
    guard_band,
    is_within,
)
from shared.condition.halving import narrowed
from shared.errors import OutOfRange

MOST_READINGS: Final = 100
"""More readings than this are no advice: a finding holds no more."""

_HALVINGS: Final = 200


@dataclass(frozen=True, slots=True)
class Settling:
    """What would settle it, were the reading the same again.

    ``u_at_most`` in ``unit``, the canonical one of differences; 0: the reading lies on the limit,
    no gauge settles it. ``readings`` None: their number cannot be told, or does not help; ``text``
    says so.
    """

    u_at_most: float
    unit: str
    readings: int | None
    text: str


def greatest_settling_u(
    value: float,
    lower: float | None,
    upper: float | None,
    acceptance_probability: float,
    *,
    distribution: Distribution = Distribution.NORMAL,
) -> float:
    """Greatest standard uncertainty at which a reading settles on the side on which it lies.

    Within the limits: conformity is shown (p >= P) for every u up to it; outside: nonconformity is
    (p <= 1 - P). 0 on a limit; infinite outside two limits so close to each other that no u leaves
    a doubt. One limit: distance over the quantile of P. Two: by halving. Sizes in one unit; JCGM
    106:2012 clauses 7 and 8 (from memory) solved for u. Raises InvalidInput for no limit or limits
    upside down, OutOfRange unless 0.5 < P < 1 (at 0.5 any gauge settles).

    >>> round(greatest_settling_u(0.0635, None, 0.07, 0.95), 6)
    0.003952
    """
    if not 0.5 < acceptance_probability < 1:
        raise OutOfRange("acceptance_probability", acceptance_probability, "above 0.5, below 1")
    conformity_probability(value, 0.0, lower, upper)  # refuses limits that are none
    distances = sorted(abs(value - limit) for limit in (lower, upper) if limit is not None)
    one_limit = distances[0] / guard_band(
        1.0, acceptance_probability, lower=0.0, distribution=distribution
    )
    if len(distances) == 1 or distances[0] == 0:
        return one_limit

    def probability(u: float) -> float:
        return conformity_probability(value, u, lower, upper, distribution=distribution)

    if is_within(value, lower, upper):
        # p falls with u, and is never more than what one limit alone leaves.
        return _greatest(lambda u: probability(u) >= acceptance_probability, one_limit)
    highest = _most_doubtful_u(distances[0], distances[1], distribution)
    if probability(highest) <= 1 - acceptance_probability:
        return inf
    return _greatest(lambda u: probability(u) <= 1 - acceptance_probability, highest)


def _most_doubtful_u(near: float, far: float, distribution: Distribution) -> float:
    """The u at which most of what may be lies between two limits, both on one side of a reading.

    Up to it p rises with u, from there it falls. Normal: where the slope of
    Phi(far/u) - Phi(near/u) is 0.
    """
    if far == near:
        return near
    if distribution is Distribution.RECTANGULAR:
        return far / sqrt(3)
    return sqrt((far**2 - near**2) / (2 * log(far / near)))


def _greatest(is_settled: Callable[[float], bool], most: float) -> float:
    """Return the end of the range from 0 in which a predicate holds, ``most`` at the most."""
    if is_settled(most):
        return most
    settled, _ = narrowed(is_settled, 0.0, most, _HALVINGS)
    return settled


def readings_needed(
    u_at_most: float, repeatability: float | None, common: float | None
) -> int | None:
    """Fewest readings of one place whose mean has at most this uncertainty; None: none have.

    n = ceil(s^2 / (u_t^2 - u_c^2)): the mean of n readings has u^2 = u_c^2 + s^2 / n, where s is
    the repeatability and u_c what all readings share (JCGM 100:2008 4.2.3 and F.1.2.4, from
    memory). None also where either is not known. All in one unit.

    >>> readings_needed(0.003, 0.004, 0.002)
    4
    """
    if repeatability is None or common is None or u_at_most <= common:
        return None
    room = u_at_most**2 - common**2
    return max(1, ceil(repeatability**2 / room * (1 - 1e-12)))


def settling(
    value: float,
    limits: tuple[float | None, float | None],
    acceptance_probability: float,
    unit: str,
    *,
    distribution: Distribution = Distribution.NORMAL,
    repeatability: float | None = None,
    common: float | None = None,
    what: str = "a gauge",
) -> Settling | None:
    """Return what would settle a reading, with a line to read; None: there is nothing to settle.

    (Without a limit nothing settles it; at P = 0.5, or outside two close limits, anything does.)

    The next reading may be doubted in another way than this one (as normal where this one was as
    rectangular, as a mean of several is): what is told settles it either way. ``unit`` is the
    canonical one of differences, ``what`` has the doubt, for the text. Raises as
    ``greatest_settling_u`` does.
    """
    if acceptance_probability <= 0.5 or limits == (None, None):
        return None
    u = min(
        greatest_settling_u(value, *limits, acceptance_probability, distribution=shape)
        for shape in {distribution, Distribution.NORMAL}
    )
    if u == inf:
        return None
    if u == 0:
        return Settling(0.0, unit, None, "it reads exactly the limit: no gauge settles it")
    readings = readings_needed(u, repeatability, common)
    more = _more_readings(readings, is_known=repeatability is not None and common is not None)
    usable = readings if readings is not None and readings <= MOST_READINGS else None
    return Settling(
        u, unit, usable, f"{what} of u at most {_rounded_down(u)} {unit} would settle it{more}"
    )


def _more_readings(readings: int | None, *, is_known: bool) -> str:
    """Say what more readings would do, after what a finer gauge would."""
    if not is_known:
        return ""
    if readings is None:
        return "; more readings do not: their common part alone is too much"
    if readings > MOST_READINGS:
        return f"; more than {MOST_READINGS} readings with this one would be needed"
    many = "1 reading" if readings == 1 else f"{readings} readings"
    return f", or {many} of the one place if their mean is the same"


def _rounded_down(u: float) -> str:
    """Three significant digits, never more than it is, without an exponent."""
    places = max(0, 2 - floor(log10(u)))
    step = 10.0**-places
    return f"{floor(u / step * (1 + 1e-12)) * step:.{places}f}"
