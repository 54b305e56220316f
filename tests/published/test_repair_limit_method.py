"""Repair limits by age.

Source: The Repair Limit Replacement Method, Operational Research Quarterly, 1969, and related
papers for the structure; the figures are constructed: root of the recursion, direct optimisation
of the limits and a simulation of 200,000 cycles (187.147) agree.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from shared.decision.economics.repair_limit import AgeClass, repair_limits

CHANCES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
MEANS = (100.0, 150.0, 200.0, 250.0, 300.0, 350.0, 400.0, 450.0)
RULE = repair_limits(1000, [AgeClass(*age) for age in zip(CHANCES, MEANS, strict=True)])


def test_the_limits_and_what_the_rule_costs():
    assert RULE.cost_per_year == pytest.approx(187.1627689, abs=1e-6)
    assert RULE.limits == pytest.approx(
        (822.83, 665.32, 534.0, 428.85, 344.03, 269.69, 187.16, 0.0), abs=0.01
    )


def test_the_plainer_rules_cost_more():
    assert RULE.age_only_per_year == pytest.approx(207.055, abs=5e-4)
    assert RULE.age_only_years == 5
    assert RULE.always_repair_per_year == pytest.approx(275.0)


def test_no_other_limits_cost_less():
    chance, mean = np.array(CHANCES), np.array(MEANS)

    def cost_per_year(limits):
        """Renewal reward over one life: what it costs over how long it lasts."""
        limits = np.clip(limits, 0, None)
        goes_on = 1 - chance * np.exp(-limits / mean)
        # Paid where repaired; where not, the replacement that ends the life is paid.
        paid = mean * -np.expm1(-limits / mean) - limits * np.exp(-limits / mean)
        reaches = np.concatenate(([1.0], np.cumprod(goes_on)[:-1]))
        return (1000 + float(reaches @ (chance * paid))) / float(reaches.sum())

    other = minimize(
        cost_per_year,
        np.full(8, 300.0),
        method="Nelder-Mead",
        options={"maxiter": 20_000, "maxfev": 20_000, "fatol": 1e-10, "xatol": 1e-5},
    )
    assert other.fun == pytest.approx(RULE.cost_per_year, abs=1e-3)
    assert cost_per_year(np.array(RULE.limits)) == pytest.approx(RULE.cost_per_year, abs=1e-9)
