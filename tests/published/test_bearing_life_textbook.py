"""Rating life of rolling bearings as textbooks reckon it.

Deep-groove bearing with C / P = 7 at 650 1/min: 343 million revolutions, 8795 h (two public
sources). Cylindrical roller bearing of a public chapter: 5 kN, shock factor 1.3, 1450 1/min, 8000 h
for 95 %: 696 million revolutions, C 53.98 kN, with that page's own factor 0.6 for 95 %. Mechanical
Engineering Design, example 11-1: 400 lbf, 5000 h at 1725 1/min: 3211 lbf (from memory).
"""

import pytest

from shared.assemblies.model import RollingKind
from shared.life.bearing_rating import hours_of, mrev_of, rating_life_mrev, required_rating_n


def test_deep_groove_bearing_of_343_million_revolutions():
    life = rating_life_mrev(7000.0, 1000.0, RollingKind.BALL)
    assert life == pytest.approx(343, abs=1e-9)
    assert hours_of(life, 650.0) == pytest.approx(8795, abs=0.5)


def test_cylindrical_roller_bearing_for_8000_h():
    life = mrev_of(8000.0, 1450.0)
    assert life == pytest.approx(696, abs=0.5)
    needed = required_rating_n(1.3 * 5000.0, life, RollingKind.ROLLER, factor=0.6)
    assert needed == pytest.approx(53_980, abs=10)


def test_rating_needed_for_5000_h():
    needed = required_rating_n(400.0, mrev_of(5000.0, 1725.0), RollingKind.BALL)
    assert needed == pytest.approx(3211, abs=0.5)  # in lbf: the formula keeps any unit of force
