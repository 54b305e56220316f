"""Weibull life from records of failures and of parts still running, in hours (or any one unit).

Two ways: by maximum likelihood, where there are failures enough to know the shape, and with the
shape assumed ("Weibayes"), where there are few or none. They differ, and rank regression differs
again, so the method is stored with the figure.
Source: IEC 61649:2008 and New Weibull Handbook (from memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, fsum, isfinite, log

from shared.errors import InvalidInput, OutOfRange
from shared.life.weibull import GREATEST_SHAPE, LEAST_SHAPE, WeibullLife


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """A fitted life; ``method`` says how, ``log_likelihood`` is None where it was not maximised."""

    life: WeibullLife
    method: str
    failures: int
    suspended: int
    log_likelihood: float | None = None


def fit_maximum_likelihood(
    failure_hours: Sequence[float], suspended_hours: Sequence[float] = ()
) -> WeibullFit:
    """Fit shape and scale by maximum likelihood, with right-censored (suspended) parts.

    The shape solves sum(t^b ln t) / sum(t^b) - 1/b = mean(ln t of the failures); the scale is then
    (sum(t^b) / r)^(1/b). Raises InvalidInput with fewer than two different failures, or where the
    shape falls outside 0.1 ... 100.
    """
    _require_times(failure_hours, suspended_hours)
    if len(set(failure_hours)) < 2:
        raise InvalidInput(
            "/failures",
            "There are fewer than two different times of failure.",
            "Fit with an assumed shape instead.",
            "too-few-failures",
        )
    largest = max(*failure_hours, *suspended_hours)
    log_failures = [log(hours / largest) for hours in failure_hours]
    log_all = [*log_failures, *(log(hours / largest) for hours in suspended_hours)]
    mean_log = fsum(log_failures) / len(log_failures)

    def slope(shape: float) -> float:
        powers = [exp(shape * x) for x in log_all]
        weighted = fsum(power * x for power, x in zip(powers, log_all, strict=True))
        return weighted / fsum(powers) - 1 / shape - mean_log

    life = _scaled(failure_hours, suspended_hours, _root(slope))
    return WeibullFit(
        life,
        "maximum likelihood",
        len(failure_hours),
        len(suspended_hours),
        log_likelihood(life, failure_hours, suspended_hours),
    )


def fit_assumed_shape(
    shape: float,
    failure_hours: Sequence[float],
    suspended_hours: Sequence[float] = (),
    confidence: float | None = None,
) -> WeibullFit:
    """Scale for an assumed shape ("Weibayes"): eta = (sum(t^b) / r)^(1/b).

    r is the number of failures. With none, r = -ln(1 - confidence) gives a lower bound of the
    scale at that confidence; without a stated confidence r = 1, the usual cautious line (63.2 %).
    Raises InvalidInput for no times, and for a confidence where there are failures.
    """
    _require_times(failure_hours, suspended_hours)
    if failure_hours and confidence is not None:
        raise InvalidInput(
            "/confidence", "A confidence goes with no failures.", "Leave the confidence out."
        )
    if confidence is not None and not 0 < confidence < 1:
        raise OutOfRange("confidence", confidence, "between 0 and 1, neither of them")
    count = float(len(failure_hours)) or (1.0 if confidence is None else -log(1 - confidence))
    life = _scaled(failure_hours, suspended_hours, shape, count)
    return WeibullFit(life, "assumed shape", len(failure_hours), len(suspended_hours))


def log_likelihood(
    life: WeibullLife, failure_hours: Sequence[float], suspended_hours: Sequence[float] = ()
) -> float:
    """Natural logarithm of the likelihood of the record under ``life``."""
    shape, scale = life.shape, life.scale_hours
    densities = fsum(
        log(shape / scale) + (shape - 1) * log(hours / scale) for hours in failure_hours
    )
    hazards = fsum((hours / scale) ** shape for hours in (*failure_hours, *suspended_hours))
    return densities - hazards


def _scaled(
    failure_hours: Sequence[float],
    suspended_hours: Sequence[float],
    shape: float,
    count: float | None = None,
) -> WeibullLife:
    """The likeliest scale for a shape; times are scaled by the largest to stay in range."""
    largest = max((*failure_hours, *suspended_hours))
    total = fsum((hours / largest) ** shape for hours in (*failure_hours, *suspended_hours))
    events = len(failure_hours) if count is None else count
    return WeibullLife(shape, largest * (total / events) ** (1 / shape))


def _root(slope: Callable[[float], float]) -> float:
    if slope(LEAST_SHAPE) > 0 or slope(GREATEST_SHAPE) < 0:
        raise InvalidInput(
            "/failures",
            f"The likeliest shape lies outside {LEAST_SHAPE} to {GREATEST_SHAPE:g}.",
            "Check the times, or fit with an assumed shape.",
            "shape-out-of-range",
        )
    from scipy.optimize import brentq  # noqa: PLC0415  (slow to import)

    return float(brentq(slope, LEAST_SHAPE, GREATEST_SHAPE, xtol=1e-12))


def _require_times(failure_hours: Sequence[float], suspended_hours: Sequence[float]) -> None:
    if not failure_hours and not suspended_hours:
        raise InvalidInput("/failures", "There are no times at all.", "Give at least one time.")
    for hours in (*failure_hours, *suspended_hours):
        if not (isfinite(hours) and hours > 0):
            raise OutOfRange("failures", hours, "above 0 h")
