"""Z540.3 handbook, guard-band methods at a test uncertainty ratio of 2.5.

Ratio here: tolerance half-width over expanded uncertainty (k = 2). Published, confirmed by an
independent library.
"""

import pytest

from shared.condition.risk import managed_guard_factor, root_sum_square_factor

RATIO = 2.5


def test_root_sum_square_acceptance_factor():
    assert root_sum_square_factor(RATIO) == pytest.approx(0.916515, abs=1e-5)


def test_managed_guard_band():
    factor = managed_guard_factor(RATIO)
    assert factor == pytest.approx(0.214536, abs=1e-5)
    assert 1 - factor / RATIO == pytest.approx(0.914186, abs=1e-5)
