"""How far a step of interchange is believed: by its kind of evidence, and by how fitments went.

A claim starts from the belief of its kind of evidence, Beta(m n, (1 - m) n) for mean m and weight
n; with s fitments that served and f that did not it is Beta(m n + s, (1 - m) n + f). Running
fitments say nothing yet. Source: Bayesian Data Analysis ch. 5 (from memory).
"""

from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from shared.beliefs import BetaBelief, prior_belief
from shared.evidence import EvidenceKind
from shared.interchange.model import FitmentCount
from shared.interchange.rules import EvidenceBelief, InterchangeRules

HOUSE_BELIEFS: Final = MappingProxyType(
    {
        kind: EvidenceBelief(kind, Decimal(mean), Decimal(weight))
        for kind, mean, weight in (
            (EvidenceKind.MAKER_BULLETIN, "0.98", 50),
            (EvidenceKind.PUBLISHED_CROSS_REFERENCE, "0.93", 20),
            (EvidenceKind.FITTED_AND_RUN, "0.90", 10),
            (EvidenceKind.MEASURED_MATCH, "0.85", 8),
            (EvidenceKind.TOLD, "0.60", 4),
        )
    }
)
"""This house's own judgement, no figures of anybody's; a shop replaces what it knows better."""

_EQUAL_MEAN: Final = 0.97
_EQUAL_WEIGHT: Final = 50.0
"""Two parts that one standard names the same: own judgement too."""

_LOWER_TAILS: Final = 0.9
"""Equal tails around this much leave 5 % below the lower bound."""


def belief_in(
    kind: EvidenceKind, rules: InterchangeRules, count: FitmentCount | None = None
) -> BetaBelief:
    """Belief that a record of this kind of evidence holds, after the shop's own fitments.

    Raises OutOfRange for a shop's belief outside 0 < mean < 1, 0 < weight <= 10^6, and for
    counts below 0.

    >>> round(belief_in(EvidenceKind.TOLD, InterchangeRules()).mean, 6)
    0.6
    """
    own = next((one for one in rules.beliefs if one.evidence_kind is kind), HOUSE_BELIEFS[kind])
    prior = prior_belief(float(own.mean), float(own.weight))
    return prior if count is None else prior.after(count.served, count.served + count.against)


def belief_in_equals() -> BetaBelief:
    """Belief that two parts which a standard names the same take each other's place."""
    return prior_belief(_EQUAL_MEAN, _EQUAL_WEIGHT)


def step_confidence(belief: BetaBelief) -> tuple[float, float]:
    """Mean of a belief, and its 5 % point: the chance is above it with 95 %.

    Never above the mean: of a light and high belief the 5 % point is, and says nothing.
    """
    return _points(belief.a, belief.b)


@lru_cache(maxsize=4096)
def _points(a: float, b: float) -> tuple[float, float]:
    belief = BetaBelief(a, b)
    return belief.mean, min(belief.mean, belief.interval(_LOWER_TAILS)[0])
