"""What the shop's own fitments teach, against the closed form and scipy.

After s fitments that served and f that did not, a belief Beta(m n, (1 - m) n) is
Beta(m n + s, (1 - m) n + f): Bayesian Data Analysis ch. 2 (from memory); quantiles and
beta-binomial chances by scipy.stats.
"""

from datetime import date
from decimal import Decimal
from random import Random

import pytest
from scipy import stats

from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.confidence import belief_in, step_confidence
from shared.interchange.found import Catalogue, Place, Standing
from shared.interchange.model import FitmentCount, InterchangeClaim, Part
from shared.interchange.rules import EvidenceBelief, InterchangeRules

MEASURED = EvidenceKind.MEASURED_MATCH
PLACE = Place("wanted", date(2026, 11, 2))


def rules(mean="0.85", weight="8", least="0.8"):
    own = EvidenceBelief(MEASURED, Decimal(mean), Decimal(weight))
    return InterchangeRules(least_confidence=Decimal(least), beliefs=(own,))


def counted(served=0, against=0, running=0):
    return FitmentCount("claim", served, against, running)


def stand_in(count, own=None):
    """The one stand-in found where one claim was tried as counted."""
    catalogue = Catalogue(
        parts=tuple(Part(name, "Works", name, "seal", "seal") for name in ("offered", "wanted")),
        claims=(InterchangeClaim("claim", "wanted", "offered", MEASURED, "by calliper"),),
        fitments=() if count is None else (count,),
        rules=own or rules(),
    )
    return candidates(PLACE, catalogue).candidates[1]


def test_belief_after_random_records_is_the_closed_form():
    dice = Random(7)
    for _ in range(300):
        mean, weight = f"{dice.randint(1, 99) / 100}", f"{dice.choice([1, 4, 8, 20, 50, 0.5])}"
        served, against = dice.randint(0, 60), dice.randint(0, 60)
        own = rules(mean, weight)
        belief = belief_in(MEASURED, own, counted(served, against, dice.randint(0, 9)))
        a = float(mean) * float(weight) + served
        b = (1 - float(mean)) * float(weight) + against
        library = stats.beta(a, b)
        point, lower = step_confidence(belief)
        assert point == pytest.approx(library.mean(), rel=1e-12)
        assert lower == pytest.approx(library.ppf(0.05), rel=1e-9, abs=1e-12)
        further = dice.randint(1, 6)
        good = dice.randint(0, further)
        assert belief.chance_of(good, further) == pytest.approx(
            stats.betabinom(further, a, b).pmf(good), rel=1e-9
        )


def test_the_walk_believes_a_claim_as_far_as_its_fitments_went():
    for served, against in ((0, 0), (1, 0), (0, 1), (7, 2), (100, 3)):
        found = stand_in(counted(served, against))
        library = stats.beta(6.8 + served, 1.2 + against)
        assert found.confidence == pytest.approx(library.mean(), rel=1e-12)
        (step,) = found.steps
        assert step.confidence == found.confidence
        assert step.confidence_lower == pytest.approx(library.ppf(0.05), rel=1e-9)
    assert stand_in(None).confidence == pytest.approx(0.85, rel=1e-12)


def test_what_still_runs_teaches_nothing():
    assert stand_in(counted(2, 1, running=0)).confidence == stand_in(counted(2, 1, 40)).confidence
    assert stand_in(counted(running=3)).confidence == stand_in(None).confidence


def test_one_failure_may_take_a_claim_out_of_use_and_successes_bring_it_back():
    """Beta(6.8, 1.2) after one failure: 6.8 / 9 = 0.756; after 3 more that served 9.8 / 12."""
    assert stand_in(counted()).standing is Standing.USABLE
    assert stand_in(counted(0, 1)).standing is Standing.BELOW_THRESHOLD
    assert stand_in(counted(1, 1)).standing is Standing.BELOW_THRESHOLD
    assert stand_in(counted(3, 1)).standing is Standing.USABLE


def test_each_fitment_counts_as_one_and_in_any_order():
    prior = belief_in(MEASURED, rules())
    one_by_one = prior
    for good in (1, 0, 1, 1, 0):
        one_by_one = one_by_one.after(good, 1)
    at_once = belief_in(MEASURED, rules(), counted(3, 2))
    assert (one_by_one.a, one_by_one.b) == pytest.approx((at_once.a, at_once.b), rel=1e-12)
    assert at_once.effective_trials == pytest.approx(prior.effective_trials + 5, rel=1e-12)


def test_confidence_rises_with_what_served_and_falls_with_what_did_not():
    by_served = [stand_in(counted(n, 2)).confidence for n in range(12)]
    by_against = [stand_in(counted(2, n)).confidence for n in range(12)]
    assert by_served == sorted(set(by_served))
    assert by_against == sorted(set(by_against), reverse=True)
    assert all(0 < one < 1 for one in by_served + by_against)
