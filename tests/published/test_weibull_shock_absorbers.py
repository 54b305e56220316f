"""Distance to failure of 38 vehicle shock absorbers, km: 11 failed, 27 had not.

Statistical Methods for Reliability Data, 1998, table C.2 and example 8.1: shape 3.16, scale 27719.
From memory.
"""

import pytest
from scipy.stats import CensoredData, weibull_min

from shared.life.fit import fit_maximum_likelihood
from shared.life.observed import Observed

FAILURES = [
    *(6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490),
]
RUNNING = [
    *(6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470),
    *(14040, 17540, 17890, 18450, 18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410, 27890),
    28100,
]


def test_the_fit_is_the_one_printed():
    life = fit_maximum_likelihood(Observed.of(FAILURES, RUNNING)).life
    assert life.shape == pytest.approx(3.16, abs=0.005)
    assert life.scale_hours == pytest.approx(27719, abs=1)


def test_an_independent_library_agrees():
    life = fit_maximum_likelihood(Observed.of(FAILURES, RUNNING)).life
    data = CensoredData.right_censored([*FAILURES, *RUNNING], [False] * 11 + [True] * 27)
    shape, _, scale = weibull_min.fit(data, floc=0)
    assert (life.shape, life.scale_hours) == pytest.approx((shape, scale), rel=1e-3)
