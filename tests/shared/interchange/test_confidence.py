"""How far evidence goes, and what fitments make of it."""

from decimal import Decimal

import pytest
from scipy.stats import beta

from shared.errors import OutOfRange
from shared.evidence import EvidenceKind
from shared.interchange.confidence import HOUSE_BELIEFS, belief_in, step_confidence
from shared.interchange.model import FitmentCount
from shared.interchange.rules import EvidenceBelief, InterchangeRules

HOUSE = InterchangeRules()


def test_every_kind_of_evidence_has_a_belief_and_the_stronger_goes_further():
    means = [belief_in(kind, HOUSE).mean for kind in EvidenceKind]
    assert means == sorted(means, reverse=True) == pytest.approx([0.98, 0.93, 0.90, 0.85, 0.60])
    assert [float(HOUSE_BELIEFS[kind].weight) for kind in EvidenceKind] == [50, 20, 10, 8, 4]


@pytest.mark.parametrize(("served", "against"), [(0, 0), (3, 0), (0, 2), (12, 5)])
def test_fitments_add_to_what_was_believed(served, against):
    # Closed form Beta(m n + s, (1 - m) n + f): Bayesian Data Analysis ch. 5 (from memory).
    count = FitmentCount("c", served, against, running=9)
    belief = belief_in(EvidenceKind.MEASURED_MATCH, HOUSE, count)
    assert (belief.a, belief.b) == pytest.approx((0.85 * 8 + served, 0.15 * 8 + against))


def test_running_fitments_say_nothing_yet():
    plain = belief_in(EvidenceKind.TOLD, HOUSE)
    assert belief_in(EvidenceKind.TOLD, HOUSE, FitmentCount("c", running=40)) == plain


def test_mean_and_five_percent_point_agree_with_a_second_implementation():
    belief = belief_in(EvidenceKind.FITTED_AND_RUN, HOUSE, FitmentCount("c", 4, 1))
    mean, lower = step_confidence(belief)
    assert mean == pytest.approx(13 / 15)
    assert lower == pytest.approx(beta(belief.a, belief.b).ppf(0.05), rel=1e-9)
    assert lower < mean


def test_the_lower_point_of_a_light_and_high_belief_is_never_above_its_mean():
    # Nearly all of it lies at one: its 5 % point is 0.9999 by a second implementation.
    own = EvidenceBelief(EvidenceKind.TOLD, Decimal("0.99"), Decimal("0.5"))
    belief = belief_in(EvidenceKind.TOLD, InterchangeRules(beliefs=(own,)))
    assert beta(belief.a, belief.b).ppf(0.05) > belief.mean
    assert step_confidence(belief) == (belief.mean, belief.mean)


def test_the_shops_own_belief_replaces_the_houses():
    own = EvidenceBelief(EvidenceKind.TOLD, Decimal("0.3"), Decimal(10))
    rules = InterchangeRules(beliefs=(own,))
    assert belief_in(EvidenceKind.TOLD, rules).mean == pytest.approx(0.3)
    assert belief_in(EvidenceKind.MEASURED_MATCH, rules).mean == pytest.approx(0.85)


@pytest.mark.parametrize(("mean", "weight"), [("0", "5"), ("1", "5"), ("0.5", "0")])
def test_a_certainty_is_no_belief(mean, weight):
    own = EvidenceBelief(EvidenceKind.TOLD, Decimal(mean), Decimal(weight))
    with pytest.raises(OutOfRange):
        belief_in(EvidenceKind.TOLD, InterchangeRules(beliefs=(own,)))
