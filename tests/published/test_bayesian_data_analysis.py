"""Bayesian Data Analysis, ch. 5, opening example: prior Beta(1.4, 8.6), 4 of 14.

From memory, confirmed by an independent library. The book prints mean 0.223, sd 0.083 from prior
parameters before rounding.
"""

import pytest

from shared.beliefs import prior_belief


def test_posterior_of_the_opening_example():
    posterior = prior_belief(mean=0.14, weight=10.0).after(events=4, trials=14)
    assert (posterior.a, posterior.b) == pytest.approx((5.4, 18.6), abs=1e-9)
    assert posterior.mean == pytest.approx(0.223, abs=0.0025)
    assert posterior.standard_deviation == pytest.approx(0.083, abs=0.001)
