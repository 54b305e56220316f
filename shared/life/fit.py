"""Weibull life from records of failures and of parts still running, in hours (or any one unit).

Three ways: by maximum likelihood, where there are failures enough to know the shape; with the shape
assumed ("Weibayes"), where there are few or none; by rank regression on median ranks. They differ
(1.93 and 1.43 for the shape of the same six failures), so the method goes with the figure.
Source: IEC 61649:2008 and New Weibull Handbook (from memory).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import exp, fsum, log

from shared.errors import InvalidInput
from shared.life.model import LifeMethod
from shared.life.observed import Observed
from shared.life.weibull import GREATEST_SHAPE, LEAST_SHAPE, WeibullLife

MOST_RANKED = 100_000
"""Failed parts that a line is drawn through one by one."""


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """A fitted life; ``method`` says how, ``log_likelihood`` is None where it was not maximised."""

    life: WeibullLife
    method: LifeMethod
    failures: int
    suspended: int
    log_likelihood: float | None = None


def fit_maximum_likelihood(observed: Observed) -> WeibullFit:
    """Fit shape and scale by maximum likelihood, with right-censored (suspended) parts.

    The shape solves sum(t^b ln t) / sum(t^b) - 1/b = mean(ln t of the failures); the scale is then
    (sum(t^b) / r)^(1/b). Raises InvalidInput with fewer than two different failures, or where the
    shape falls outside 0.1 ... 100.
    """
    require_two_failures(observed)
    largest = observed.longest_hours
    logs = [(log(entry.hours / largest), entry.count) for entry in observed.all]
    mean_log = observed.sum_of_logs(largest) / observed.failure_count

    def slope(shape: float) -> float:
        powers = [count * exp(shape * x) for x, count in logs]
        weighted = fsum(power * x for power, (x, _) in zip(powers, logs, strict=True))
        return weighted / fsum(powers) - 1 / shape - mean_log

    life = _scaled(observed, _root(slope), observed.failure_count)
    return WeibullFit(
        life,
        LifeMethod.MAXIMUM_LIKELIHOOD,
        observed.failure_count,
        observed.suspended_count,
        log_likelihood(life, observed),
    )


def fit_assumed_shape(shape: float, observed: Observed) -> WeibullFit:
    """Scale for an assumed shape ("Weibayes"): eta = (sum(t^b) / r)^(1/b).

    r is the number of failures; with none r = 1, the usual cautious line (63.2 %). For a lower
    bound at a confidence see ``bounds.assumed_shape_scale``.
    """
    failures = observed.failure_count
    life = _scaled(observed, shape, float(failures or 1))
    return WeibullFit(life, LifeMethod.ASSUMED_SHAPE, failures, observed.suspended_count)


def fit_rank_regression(observed: Observed) -> WeibullFit:
    """Fit by the straight line through ln t over ln(-ln(1 - F)), times regressed on ranks.

    F = (i - 0.3) / (n + 0.4), Benard's approximation of the median rank; i is the adjusted rank,
    which a suspended part raises by (n + 1 - i) / (1 + parts left). A part suspended at the time of
    a failure counts as outliving it. Raises InvalidInput as ``fit_maximum_likelihood`` does, and
    for more than 100,000 failed parts.
    """
    require_two_failures(observed)
    if observed.failure_count > MOST_RANKED:
        raise InvalidInput(
            "/failures",
            f"There are more than {MOST_RANKED} failed parts.",
            "Fit by maximum likelihood: with so many it is the surer.",
            "too-many",
        )
    points = list(_ranked(observed))
    mean_x = fsum(x for x, _ in points) / len(points)
    mean_y = fsum(y for _, y in points) / len(points)
    across = fsum((x - mean_x) * (y - mean_y) for x, y in points)
    upright = fsum((y - mean_y) ** 2 for _, y in points)
    shape = upright / across
    if not LEAST_SHAPE <= shape <= GREATEST_SHAPE:
        raise _shape_out_of_range()
    life = WeibullLife(shape, exp(mean_x - mean_y / shape))
    return WeibullFit(
        life, LifeMethod.RANK_REGRESSION, observed.failure_count, observed.suspended_count
    )


def log_likelihood(life: WeibullLife, observed: Observed) -> float:
    """Natural logarithm of the likelihood of the record under ``life``."""
    shape, scale = life.shape, life.scale_hours
    densities = observed.failure_count * log(shape / scale)
    densities += (shape - 1) * observed.sum_of_logs(scale)
    return densities - observed.sum_of_powers(shape, scale)


def require_two_failures(observed: Observed) -> None:
    """Refuse a record whose shape cannot be told: InvalidInput ("too-few-failures")."""
    if len({entry.hours for entry in observed.failures}) < 2:
        raise InvalidInput(
            "/failures",
            "There are fewer than two different times of failure.",
            "Fit with an assumed shape instead.",
            "too-few-failures",
        )


def _ranked(observed: Observed) -> Iterator[tuple[float, float]]:
    """Yield ln t and ln(-ln(1 - F)) of every failed part, by rising time."""
    total = observed.failure_count + observed.suspended_count
    entries = [(entry.hours, False, entry.count) for entry in observed.failures]
    entries += [(entry.hours, True, entry.count) for entry in observed.suspended]
    rank, left = 0.0, total
    for hours, is_suspended, count in sorted(entries):
        if is_suspended:
            left -= count
            continue
        for _ in range(count):
            rank += (total + 1 - rank) / (1 + left)
            left -= 1
            yield log(hours), log(-log(1 - (rank - 0.3) / (total + 0.4)))


def _scaled(observed: Observed, shape: float, count: float) -> WeibullLife:
    """The likeliest scale for a shape; times are scaled by the largest to stay in range."""
    largest = observed.longest_hours
    WeibullLife(shape, largest)
    total = observed.sum_of_powers(shape, largest)
    return WeibullLife(shape, largest * (total / count) ** (1 / shape))


def _root(slope: Callable[[float], float]) -> float:
    if slope(LEAST_SHAPE) > 0 or slope(GREATEST_SHAPE) < 0:
        raise _shape_out_of_range()
    from scipy.optimize import brentq  # noqa: PLC0415  (slow to import)

    return float(brentq(slope, LEAST_SHAPE, GREATEST_SHAPE, xtol=1e-12))


def _shape_out_of_range() -> InvalidInput:
    return InvalidInput(
        "/failures",
        f"The likeliest shape lies outside {LEAST_SHAPE} to {GREATEST_SHAPE:g}.",
        "Check the times, or fit with an assumed shape.",
        "shape-out-of-range",
    )
