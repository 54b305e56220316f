"""A straight line by weighted least squares, with what its doubt is along it.

Source: ordinary and weighted least squares, any text on regression; for known standard
uncertainties the weights are 1/u^2 (JCGM 100:2008 H.3 for the unweighted case, from memory).
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import fsum, inf, sqrt

from shared.errors import InvalidInput

EXPLAINED_AT = 0.05
"""Below this chance of so much scatter, doubt as stated does not explain it. Common practice."""


@dataclass(frozen=True, slots=True)
class Line:
    """y = centre_y + slope (x - centre_x); at the centre both are uncorrelated.

    ``variance_of_centre`` and ``variance_of_slope`` are squares of standard uncertainties.
    ``degrees_of_freedom`` infinite: the doubt is known beforehand. ``residual_sd`` None: no more
    points than the line has constants.
    """

    centre_x: float
    centre_y: float
    slope: float
    variance_of_centre: float
    variance_of_slope: float
    degrees_of_freedom: float = inf
    residual_sd: float | None = None
    is_scattered: bool = False
    """Scatter is more than the stated doubt explains."""

    def at(self, x: float) -> float:
        """Return y of the line at x."""
        return self.centre_y + self.slope * (x - self.centre_x)

    def u_at(self, x: float) -> float:
        """Standard uncertainty of the line itself at x."""
        away = x - self.centre_x
        return sqrt(self.variance_of_centre + away * away * self.variance_of_slope)

    def quantile(self, probability: float) -> float:
        """Quantile by which doubt is multiplied: normal, or Student's t where it was estimated."""
        from scipy.special import ndtri, stdtrit  # noqa: PLC0415  (slow to import)

        if self.degrees_of_freedom == inf:
            return float(ndtri(probability))
        return float(stdtrit(self.degrees_of_freedom, probability))

    def share_below(self, z: float) -> float:
        """Probability below z standard uncertainties, normal or Student's t."""
        from scipy.special import ndtr, stdtr  # noqa: PLC0415  (slow to import)

        if self.degrees_of_freedom == inf:
            return float(ndtr(z))
        return float(stdtr(self.degrees_of_freedom, z))


def fit_line(
    xs: Sequence[float],
    ys: Sequence[float],
    us: Sequence[float | None],
    common_u: float = 0.0,
    apart: Collection[int] = (),
) -> Line | None:
    """Fit a line through at least two points of different x; None: its doubt cannot be known.

    Every u known: weights 1/u^2; scatter beyond them widens the doubt, by Student's t where the
    stated doubt does not explain it. One not known: the scatter of three points or more tells the
    doubt, never below the greatest that is stated; of two points it is not known. ``common_u``
    (0 or more) is the part of u that all readings share, but for those at the places ``apart``; it
    cannot be seen in the scatter. Raises InvalidInput for fewer than two different x, or a u below
    0.
    """
    _check(xs, ys, us)
    known = [u for u in us if u is not None]
    if len(known) < len(xs):
        return None if len(xs) < 3 else _by_scatter(xs, ys, known)
    # A reading without any doubt would weigh without end: next to none is enough.
    least = max(max(known) * 1e-6, 1e-12)
    bare = _weighted(xs, ys, [max(u, least) for u in known])
    if len(xs) == 2:
        # Of two points the independent case is the worst for everything beyond them.
        return bare
    of_scatter = _widened(bare, xs, ys, known, least)
    weights = [1 / max(u, least) ** 2 for u in known]
    return _with_common(of_scatter, bare, xs, weights, common_u, frozenset(apart))


def through_two(
    first: tuple[float, float], last: tuple[float, float], doubts: tuple[float, float], of: Line
) -> Line:
    """Return the line through two of the points of ``of``, with their own doubt."""
    least = 1e-12
    bare = _weighted(
        [first[0], last[0]], [first[1], last[1]], [max(doubts[0], least), max(doubts[1], least)]
    )
    return Line(
        bare.centre_x,
        bare.centre_y,
        bare.slope,
        bare.variance_of_centre,
        bare.variance_of_slope,
        degrees_of_freedom=of.degrees_of_freedom,
    )


def _weighted(xs: Sequence[float], ys: Sequence[float], us: Sequence[float]) -> Line:
    weights = [1 / (u * u) for u in us]
    total = fsum(weights)
    centre_x = fsum(w * x for w, x in zip(weights, xs, strict=True)) / total
    centre_y = fsum(w * y for w, y in zip(weights, ys, strict=True)) / total
    spread = fsum(w * (x - centre_x) ** 2 for w, x in zip(weights, xs, strict=True))
    slope = (
        fsum(w * (x - centre_x) * (y - centre_y) for w, x, y in zip(weights, xs, ys, strict=True))
        / spread
    )
    return Line(centre_x, centre_y, slope, 1 / total, 1 / spread)


def _by_scatter(xs: Sequence[float], ys: Sequence[float], known: Sequence[float]) -> Line:
    bare = _weighted(xs, ys, [1.0] * len(xs))
    sd = sqrt(_sum_of_squares(bare, xs, ys) / (len(xs) - 2))
    variance = max(sd, *known, 0.0) ** 2
    return Line(
        bare.centre_x,
        bare.centre_y,
        bare.slope,
        bare.variance_of_centre * variance,
        bare.variance_of_slope * variance,
        degrees_of_freedom=len(xs) - 2,
        residual_sd=sd,
    )


def _widened(
    bare: Line, xs: Sequence[float], ys: Sequence[float], us: Sequence[float], least: float
) -> Line:
    from scipy.special import chdtrc  # noqa: PLC0415  (slow to import)

    freedom = len(xs) - 2
    chi_square = fsum(
        ((y - bare.at(x)) / max(u, least)) ** 2 for x, y, u in zip(xs, ys, us, strict=True)
    )
    widening = max(1.0, chi_square / freedom)
    is_scattered = float(chdtrc(freedom, chi_square)) < EXPLAINED_AT
    return replace(
        bare,
        variance_of_centre=bare.variance_of_centre * widening,
        variance_of_slope=bare.variance_of_slope * widening,
        degrees_of_freedom=freedom if is_scattered else inf,
        residual_sd=sqrt(_sum_of_squares(bare, xs, ys) / freedom),
        is_scattered=is_scattered,
    )


def _with_common(
    line: Line,
    bare: Line,
    xs: Sequence[float],
    weights: Sequence[float],
    common_u: float,
    apart: frozenset[int],
) -> Line:
    """Add the part c that readings share: it moves the line at x by c (A + B (x - centre)).

    A is the share of weight of those readings and B what they turn it by: 1 and 0 where all share.
    As independent parts they count already for a share h of that square, beyond the last point: at
    least what they have there where all share, else one part in so many readings (Cauchy). Missing
    is c^2 (1 - h).
    """
    sharing = [place for place in range(len(xs)) if place not in apart]
    if common_u == 0 or len(sharing) < 2:
        return line
    move = fsum(weights[place] for place in sharing) / fsum(weights)
    turn = bare.variance_of_slope * fsum(
        weights[place] * (xs[place] - bare.centre_x) for place in sharing
    )
    counted = 1 / len(sharing)
    if not apart:
        move, turn = 1.0, 0.0
        counted = min(1.0, bare.u_at(max(xs)) ** 2 * min(weights))
    missing = common_u**2 * (1 - counted)
    of_slope = line.variance_of_slope + missing * turn * turn
    # Moved and turned together: from another centre on both are uncorrelated again.
    centre_x = line.centre_x - missing * move * turn / of_slope
    of_centre = line.variance_of_centre + missing * move * move * line.variance_of_slope / of_slope
    return replace(
        line,
        centre_x=centre_x,
        centre_y=line.at(centre_x),
        variance_of_centre=of_centre,
        variance_of_slope=of_slope,
    )


def _sum_of_squares(line: Line, xs: Sequence[float], ys: Sequence[float]) -> float:
    return fsum((y - line.at(x)) ** 2 for x, y in zip(xs, ys, strict=True))


def _check(xs: Sequence[float], ys: Sequence[float], us: Sequence[float | None]) -> None:
    if len(set(xs)) < 2 or len(xs) != len(ys) or len(xs) != len(us):
        raise InvalidInput(
            "/points",
            f"Got {len(xs)} points at {len(set(xs))} different hours; a line needs two.",
            "Give points at two or more different hours.",
            "too-few-points",
        )
    if any(u is not None and u < 0 for u in us):
        raise InvalidInput("/points", "An uncertainty is below 0.", "Give it without a sign.")
