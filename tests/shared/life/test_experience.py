"""Laws of the shop's own experience."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.beliefs import BetaBelief, prior_belief
from shared.errors import OutOfRange
from shared.life.experience import comeback_belief
from shared.life.model import ComebackExperience, ExperienceKind

means = st.floats(0.001, 0.999)
weights = st.floats(0.1, 1e3)


@given(means, weights, st.integers(0, 1000), st.integers(0, 1000))
def test_no_record_makes_certain(mean, weight, events, others):
    belief = prior_belief(mean, weight).after(events, events + others)
    assert 0 < belief.mean < 1
    assert belief.effective_trials == pytest.approx(weight + events + others)


@given(means, weights, st.integers(1, 100))
def test_each_comeback_raises_and_each_good_one_lowers_the_chance(mean, weight, trials):
    prior = prior_belief(mean, weight)
    assert prior.after(0, trials).mean < prior.mean < prior.after(trials, trials).mean


@given(means, st.floats(0.5, 100), st.integers(0, 20))
def test_the_chances_of_all_counts_add_up_to_one(mean, weight, trials):
    belief = prior_belief(mean, weight)
    chances = [belief.chance_of(events, trials) for events in range(trials + 1)]
    assert sum(chances) == pytest.approx(1)


def test_the_chance_of_the_next_one_is_the_mean():
    belief = BetaBelief(5.4, 18.6)
    assert belief.chance_of(1, 1) == pytest.approx(belief.mean)


def test_the_interval_holds_the_mean_and_narrows_with_the_record():
    prior = prior_belief(0.1, 10.0)
    later = prior.after(20, 200)
    for belief in (prior, later):
        lower, upper = belief.interval(0.9)
        assert 0 <= lower < belief.mean < upper <= 1
    assert later.interval()[1] - later.interval()[0] < prior.interval()[1] - prior.interval()[0]


def test_a_uniform_belief_has_the_plain_interval():
    assert BetaBelief(1.0, 1.0).interval(0.9) == pytest.approx((0.05, 0.95))


def test_a_stored_experience_becomes_a_belief():
    record = ComebackExperience(ExperienceKind.NEW, Decimal("0.05"), Decimal(20), 1, 30)
    belief = comeback_belief(record)
    assert (belief.a, belief.b) == pytest.approx((2.0, 48.0))
    assert belief.mean == pytest.approx(0.04)


@pytest.mark.parametrize(("mean", "weight"), [(0.0, 5.0), (1.0, 5.0), (0.5, 0.0), (0.5, -1.0)])
def test_a_prior_that_nothing_could_move_is_refused(mean, weight):
    with pytest.raises(OutOfRange):
        prior_belief(mean, weight)


@pytest.mark.parametrize(("events", "trials"), [(-1, 3), (4, 3), (0, -1)])
def test_a_record_that_cannot_be_is_refused(events, trials):
    with pytest.raises(OutOfRange):
        prior_belief(0.1, 10.0).after(events, trials)
