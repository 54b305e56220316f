"""Constructed cases, not published: two independent computations agree on each.

Comeback within one warranty of a reused part of known age; net expected cost of a core deposit,
D (1 - q (1 + r)^-t), the cash out on day 0 still being the whole deposit.
"""

import pytest
from scipy.stats import weibull_min

from shared.decision.economics.economics import comeback_cost, core_deposit_net_cost
from shared.life.weibull import WeibullLife


def test_a_comeback_once_and_repeating():
    found = comeback_cost(WeibullLife(2.0, 8000.0), 3000, 1000, 650)
    assert found.probability == pytest.approx(0.1036058, abs=2e-6)
    assert found.once == pytest.approx(67.344, abs=0.01)
    assert found.repeating == pytest.approx(75.127, abs=0.01)
    life = weibull_min(2.0, scale=8000)
    assert found.probability == pytest.approx(1 - life.sf(4000) / life.sf(3000), rel=1e-12)


def test_a_core_deposit_over_a_month():
    assert core_deposit_net_cost(300, 0.85, 0.1, 30) == pytest.approx(46.98979, abs=1e-4)
