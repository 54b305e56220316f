"""Bounds of a fitted life, held against an independent library's likelihood and by simulation."""

from math import exp, log

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import chi2, weibull_min

from shared.errors import OutOfRange
from shared.life.bounds import LikelihoodBounds, assumed_shape_scale, hazard_of, quantile_hours
from shared.life.fit import fit_assumed_shape, fit_maximum_likelihood
from shared.life.observed import Alike, Observed
from shared.life.weibull import WeibullLife

FAILED, RUNNING = [410.0, 700.0, 960.0, 1300.0], [1500.0, 1500.0]
RECORD = Observed((*map(Alike, FAILED),), (Alike(1500.0, 2),))
FIT = fit_maximum_likelihood(RECORD)


def likelihood(shape, scale):
    """The record's likelihood by scipy's density and survival."""
    life = weibull_min(shape, scale=scale)
    return life.logpdf(FAILED).sum() + life.logsf(RUNNING).sum()


def fall(scale_of):
    """How far the best likelihood along a curve of shapes lies below the best of all."""
    best = minimize_scalar(
        lambda x: -likelihood(exp(x), scale_of(exp(x))), bounds=(-3, 4), method="bounded"
    )
    return likelihood(FIT.life.shape, FIT.life.scale_hours) + best.fun


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_at_each_bound_the_likelihood_has_fallen_by_half_of_chi_square(confidence):
    bounds = LikelihoodBounds(FIT, RECORD, confidence)
    expected = pytest.approx(chi2.ppf(confidence, 1) / 2, abs=1e-5)
    for scale in (bounds.scale().lower, bounds.scale().upper):
        assert fall(lambda _, scale=scale: scale) == expected
    for hours in (bounds.quantile(0.1).lower, bounds.quantile(0.1).upper):
        assert fall(lambda b, t=hours: t / hazard_of(0.1) ** (1 / b)) == expected
    chances = bounds.reliability(500.0)
    for hazard in (-log(chances.lower), -log(chances.upper)):
        assert fall(lambda b, h=hazard: 500.0 / h ** (1 / b)) == expected
    for shape in (bounds.shape().lower, bounds.shape().upper):
        best = minimize_scalar(
            lambda x, shape=shape: -likelihood(shape, exp(x)), bounds=(4, 12), method="bounded"
        )
        at_best = likelihood(FIT.life.shape, FIT.life.scale_hours)
        assert at_best + best.fun == expected


def test_bounds_hold_the_fit_and_widen_with_the_confidence():
    narrow, wide = (LikelihoodBounds(FIT, RECORD, confidence) for confidence in (0.5, 0.95))
    for name, value in (("shape", FIT.life.shape), ("scale", FIT.life.scale_hours)):
        inner, outer = getattr(narrow, name)(), getattr(wide, name)()
        assert outer.lower < inner.lower < value < inner.upper < outer.upper


def test_counts_and_single_parts_have_the_same_bounds():
    single = Observed.of(FAILED, RUNNING)
    assert LikelihoodBounds(FIT, single, 0.9).scale() == LikelihoodBounds(FIT, RECORD, 0.9).scale()


def test_a_clear_record_of_old_failures_bounds_an_early_chance_near_one():
    record = Observed.of([5, 7, 7, 7, 7])
    bounds = LikelihoodBounds(fit_maximum_likelihood(record), record, 0.9).reliability(1e-3)
    assert bounds.lower == pytest.approx(1)
    assert bounds.upper <= 1


def test_most_of_many_records_have_the_truth_within_their_bounds():
    # 90 % asked; the ratio is somewhat short with few failures, and near it with twenty.
    rng, held = np.random.default_rng(5), 0
    for _ in range(60):
        record = Observed.of(1000 * rng.weibull(2.0, 20))
        bounds = LikelihoodBounds(fit_maximum_likelihood(record), record, 0.9).scale()
        held += bounds.lower <= 1000 <= bounds.upper
    assert 46 <= held <= 60


def test_assumed_shape_bounds_are_quantiles_of_chi_square():
    bounds = assumed_shape_scale(2.0, RECORD, 0.9)
    total = sum(hours**2 for hours in (*FAILED, *RUNNING))
    assert bounds.lower == pytest.approx((2 * total / chi2.ppf(0.95, 10)) ** 0.5)
    assert bounds.upper == pytest.approx((2 * total / chi2.ppf(0.05, 8)) ** 0.5)
    assert bounds.lower < fit_assumed_shape(2.0, RECORD).life.scale_hours < bounds.upper


def test_a_quantile_is_where_that_fraction_has_failed():
    life = WeibullLife(1.7, 900.0)
    assert life.reliability(quantile_hours(life, 0.1)) == pytest.approx(0.9)


@pytest.mark.parametrize(
    "call",
    [
        lambda: LikelihoodBounds(FIT, RECORD, 1.0),
        lambda: LikelihoodBounds(FIT, RECORD, 0.9).reliability(0.0),
        lambda: LikelihoodBounds(FIT, RECORD, 0.9).quantile(1.0),
        lambda: assumed_shape_scale(0.0, RECORD, 0.9),
        lambda: assumed_shape_scale(2.0, RECORD, 0.0),
        lambda: hazard_of(0.0),
    ],
)
def test_what_cannot_be_bounded_is_refused(call):
    with pytest.raises(OutOfRange):
        call()
