"""Bars on edge and gear teeth: figures of handbooks, from memory.

Theory of Elastic Stability (narrow cantilever with its load at the end: coefficient 4.013).
Mechanical Engineering Design, table 14-2 (Lewis form factor Y, 20 degrees, full depth).
"""

from math import sqrt

import pytest

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.families.soft_strip import FORM, TOOTH_SAFETY
from shared.fasteners.substitutes.side_load import flat_bar
from shared.standards.hole_materials import hole_material_of

FORM_FACTORS = {12: 0.245, 13: 0.261, 14: 0.277, 15: 0.290, 16: 0.296, 17: 0.303, 20: 0.322}


@pytest.mark.parametrize(("length", "wide", "thick"), [(400, 40, 8), (300, 25, 5), (900, 60, 10)])
def test_a_bar_on_edge_gives_way_at_a_third_of_the_printed_load(length, wide, thick):
    steel = hole_material_of("S235")
    sizes = {
        FeatureKind.LENGTH: float(length),
        FeatureKind.WIDTH: float(wide),
        FeatureKind.THICKNESS: float(thick),
    }
    shear = steel.elastic_modulus / 2 / (1 + steel.poisson_ratio)
    bends, twists = wide * thick**3 / 12, wide * thick**3 / 3
    load = 4.013 * sqrt(steel.elastic_modulus * bends * shear * twists) / length**2
    assert flat_bar(steel, sizes, 0.0).stays == pytest.approx(load * length / 3, rel=1e-6)


@pytest.mark.parametrize("teeth", FORM_FACTORS)
def test_the_form_factor_counted_is_that_of_the_smallest_gears(teeth):
    # Of twelve teeth 2 % are left to the safety of 3.
    assert FORM_FACTORS[teeth] * (1.0 if teeth > 12 else 1.03) >= FORM
    assert TOOTH_SAFETY == 3
