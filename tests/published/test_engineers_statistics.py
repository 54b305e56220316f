"""Applied Statistics and Probability for Engineers, 3rd ed., example 4-25: a bearing in a shaft.

Published, confirmed by an independent library.
"""

import pytest

from shared.life.weibull import WeibullLife

BEARING = WeibullLife(shape=0.5, scale_hours=5000.0)


def test_mean_life_and_reliability_of_the_shaft_bearing():
    assert BEARING.mean_hours() == pytest.approx(10_000, abs=1e-6)
    assert BEARING.reliability(6000.0) == pytest.approx(0.334, abs=0.0005)
