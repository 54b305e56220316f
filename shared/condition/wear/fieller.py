"""When a fitted line crosses a limit, and within which bounds: inverse regression.

The bounds are where the limit leaves the confidence band of the line, not estimate plus or minus so
much: they lie unevenly. Source: Fieller's theorem, any text on inverse regression.
"""

from dataclasses import dataclass
from math import inf, sqrt

from shared.condition.wear.line import Line


@dataclass(frozen=True, slots=True)
class Crossing:
    """x at which a rising line reaches a limit; bounds None where there is none.

    ``g`` is the square of quantile times u(slope) over slope: from 1 on the slope is not shown to
    be above 0, and there is no upper bound.
    """

    estimate: float | None
    lower: float | None
    upper: float | None
    g: float | None


def crossing(line: Line, limit: float, confidence: float) -> Crossing:
    """Where the line reaches ``limit`` from below; each bound holds with ``confidence``.

    With d = limit - centre_y, slope b, quantile q, variances v_c and v_b:
    the roots of (b^2 - q^2 v_b) X^2 - 2 d b X + d^2 - q^2 v_c = 0, X counted from the centre.
    Between both bounds lies the crossing with probability 2 ``confidence`` - 1. A line that does
    not rise never gets there: all None.
    """
    if line.slope <= 0:
        return Crossing(None, None, None, None)
    q = line.quantile(confidence)
    slope, distance = line.slope, limit - line.centre_y
    v_centre, v_slope = line.variance_of_centre, line.variance_of_slope
    g = q * q * v_slope / (slope * slope)
    square = slope * slope - q * q * v_slope
    inner = q * q * (distance * distance * v_slope + v_centre * square)
    estimate = line.centre_x + distance / slope
    if inner < 0:
        # Not even at its narrowest does the band clear the limit.
        return Crossing(estimate, None, None, g)
    root = sqrt(inner)
    below = distance * slope + root
    constant = distance * distance - q * q * v_centre
    # The same root in two forms: the first loses nothing where g is near 1.
    lower = constant / below if below > 0 else (distance * slope - root) / (square or inf)
    upper = None if g >= 1 else line.centre_x + (distance * slope + root) / square
    return Crossing(estimate, line.centre_x + lower, upper, g)
