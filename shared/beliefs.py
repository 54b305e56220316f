"""A chance as a belief: what it stands on, what a record makes of it, how sure that is.

Prior Beta(m n, (1 - m) n) from a stated mean m and weight n; after c events in k trials
Beta(a + c, b + k - c). The chance for the next one is its mean: never 0, never 1, and ``a + b``
says how much it stands on. Source: Bayesian Data Analysis ch. 5 (from memory).
"""

from dataclasses import dataclass
from math import exp, lgamma, sqrt

from shared.errors import OutOfRange

GREATEST_WEIGHT = 1e6
"""A belief worth more trials than this could never be moved by a shop's record."""


@dataclass(frozen=True, slots=True)
class BetaBelief:
    """A belief about a chance: Beta(a, b), both above 0."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        """Predictive chance for one more trial."""
        return self.a / (self.a + self.b)

    @property
    def standard_deviation(self) -> float:
        """Standard deviation of the chance itself."""
        return sqrt(self.mean * (1 - self.mean) / (self.effective_trials + 1))

    @property
    def effective_trials(self) -> float:
        """How many trials the belief is worth, prior and record together: n_eff = a + b."""
        return self.a + self.b

    def interval(self, probability: float = 0.9) -> tuple[float, float]:
        """Bounds that hold the chance with ``probability``, equal tails.

        Raises OutOfRange unless 0 < probability < 1.
        """
        if not 0 < probability < 1:
            raise OutOfRange("probability", probability, "between 0 and 1, neither of them")
        from scipy.special import betaincinv  # noqa: PLC0415  (slow to import)

        tail = (1 - probability) / 2
        return (
            float(betaincinv(self.a, self.b, tail)),
            float(betaincinv(self.a, self.b, 1 - tail)),
        )

    def after(self, events: int, trials: int) -> "BetaBelief":
        """Return the belief once ``events`` were seen in ``trials`` further trials.

        Raises OutOfRange unless 0 <= events <= trials.
        """
        if trials < 0:
            raise OutOfRange("trials", trials, "0 or more")
        if not 0 <= events <= trials:
            raise OutOfRange("comebacks", events, f"from 0 to the number of trials ({trials})")
        return BetaBelief(self.a + events, self.b + trials - events)

    def chance_of(self, events: int, trials: int) -> float:
        """Beta-binomial chance of exactly ``events`` in the next ``trials``.

        Raises OutOfRange unless 0 <= events <= trials.

        >>> round(BetaBelief(1.0, 1.0).chance_of(2, 4), 6)  # all counts alike
        0.2
        """
        later = self.after(events, trials)
        return exp(
            lgamma(trials + 1)
            - lgamma(events + 1)
            - lgamma(trials - events + 1)
            + _log_beta(later.a, later.b)
            - _log_beta(self.a, self.b)
        )


def prior_belief(mean: float, weight: float) -> BetaBelief:
    """Belief from a stated mean and the number of trials it is worth.

    Raises OutOfRange unless 0 < mean < 1 and 0 < weight <= 10^6: a certainty needs no record and no
    record could change it.
    """
    if not 0 < mean < 1:
        raise OutOfRange("prior_mean", mean, "between 0 and 1, neither of them")
    if not 0 < weight <= GREATEST_WEIGHT:
        raise OutOfRange("prior_weight", weight, f"above 0, at most {GREATEST_WEIGHT:g}")
    return BetaBelief(mean * weight, (1 - mean) * weight)


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)
