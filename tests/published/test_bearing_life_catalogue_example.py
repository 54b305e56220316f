"""A printed example of a 6208 in a bearing table: C 29100 N, 2500 N radial, 900 1/min.

29,000 h; with 1000 N axial, X 0.56 and Y 1.67: P 3070 N, 15,800 h. From memory, rounded there.
"""

import pytest

from shared.assemblies.model import RollingKind
from shared.life.bearing_rating import equivalent_load_n, hours_of, rating_life_mrev


def test_radial_load_alone():
    hours = hours_of(rating_life_mrev(29_100.0, 2500.0, RollingKind.BALL), 900.0)
    assert hours == pytest.approx(29_000, abs=300)


def test_combined_load():
    load = equivalent_load_n(2500.0, 1000.0, 0.56, 1.67)
    assert load == pytest.approx(3070, abs=0.5)
    hours = hours_of(rating_life_mrev(29_100.0, load, RollingKind.BALL), 900.0)
    assert hours == pytest.approx(15_800, abs=100)
