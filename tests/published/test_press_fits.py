"""Press fits: printed examples, and the rings solved by numbers.

Machine Elements in Mechanical Design, the example of a bronze bushing in a steel sleeve, class FN3
(its data as a public page of solved problems prints them; its results from memory, recomputed). A
textbook problem of a bronze bush in a steel ring, solved on a public question-and-answer page. The
interference against the package pressfit 0.1.0.
"""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from pressfit import fit as packaged_fit
from scipy.integrate import solve_bvp

from shared.fasteners.substitutes.model import Range
from shared.fasteners.substitutes.press_fit import PressFit, press_force, pressure_per_interference
from shared.standards.hole_materials import hole_material_of

STEEL = hole_material_of("C45")


def ring(modulus, poisson):
    return replace(STEEL, elastic_modulus=modulus, poisson_ratio=poisson)


# name, seat, hub outside, bore, (E, v) of hub and shaft, interference on diameter, pressure, stress
PRINTED = [
    ("inch, psi", 2.5, 3.5, 2.0, (30e6, 0.27), (17e6, 0.27), 0.0032, 3518, 10_846, 1.5),
    ("mm, MPa", 60, 120, 40, (210e3, 0.3), (105e3, 0.3), 0.1, 53.3, 88.8, 0.05),
]


@pytest.mark.parametrize("case", PRINTED, ids=lambda case: case[0])
def test_pressure_and_hub_stress_of_a_printed_example(case):
    _, seat, outside, bore, hub, shaft, tight, pressure, stress, near = case
    fit = PressFit(seat, 10, "H7", "p6", outside, bore, ring(*hub), ring(*shaft))
    found = pressure_per_interference(fit) * tight
    assert found == pytest.approx(pressure, abs=near)
    whole = press_force(fit)
    assert found * whole.hub_stress / whole.pressure.most == pytest.approx(stress, abs=near)


def given_by(inner, outer, loaded, modulus, poisson):
    """Return how far the loaded edge moves outwards under 1 MPa, from Lamé's equation."""

    def slope(r, u):
        return np.vstack((u[1], u[0] / r**2 - u[1] / r))

    def radial(r, u):
        return modulus / (1 - poisson**2) * (u[1] + poisson * u[0] / r)

    def ends(a, b):
        at_inner = radial(inner, a) + (1 if loaded == "inner" else 0)
        return np.array((at_inner, radial(outer, b) + (1 if loaded == "outer" else 0)))

    r = np.linspace(inner, outer, 200)
    found = solve_bvp(slope, ends, r, np.ones((2, r.size)) * 1e-4, tol=1e-8)
    assert found.success
    return found.y[0][0 if loaded == "inner" else -1]


@pytest.mark.parametrize(
    ("seat", "outside", "bore", "hub", "shaft"),
    [
        (25, 50, 10, "C45", "42CrMo4+QT"),
        (40, 52, 30, "EN AC-46000", "EN-GJL-200"),
        (12, 200, 11, "CuSn12", "1.4301"),
    ],
)
def test_the_pressure_is_that_of_the_rings_solved_by_numbers(seat, outside, bore, hub, shaft):
    hub, shaft = hole_material_of(hub), hole_material_of(shaft)
    grows = given_by(seat / 2, outside / 2, "inner", hub.elastic_modulus, hub.poisson_ratio)
    yields = -given_by(bore / 2, seat / 2, "outer", shaft.elastic_modulus, shaft.poisson_ratio)
    fit = PressFit(seat, 20, "H7", "p6", outside, bore, hub, shaft)
    assert pressure_per_interference(fit) == pytest.approx(1 / (2 * (grows + yields)), rel=5e-5)


def test_the_force_of_a_common_fit_reckoned_by_hand():
    """25 H7/p6 is 0.001 to 0.035 mm tight (ISO 286-2); a solid shaft and a hub of one steel have
    p = E delta (D^2 - d^2) / (2 d D^2): 110.25 MPa at the most."""
    found = press_force(PressFit(25, 20, "H7", "p6", 50, 0, STEEL, STEEL), Range(0.06, 0.25))
    assert found.interference == pytest.approx((0.001, 0.035))
    assert found.pressure.most == pytest.approx(110.25)
    assert found.force.most == pytest.approx(0.25 * 110.25 * pi * 25 * 20)
    assert found.force.least == pytest.approx(0.06 * 3.15 * pi * 25 * 20)
    assert found.hub_stress == pytest.approx(110.25 * 5 / 3)


@pytest.mark.parametrize("classes", ["H7/p6", "H7/s6", "H7/k6", "H8/u8"])
def test_the_interference_is_that_of_a_public_package_of_fits(classes):
    hole, shaft = classes.split("/")
    for seat in (6, 25, 50, 90):
        found = press_force(PressFit(seat, 20, hole, shaft)).interference
        packaged = packaged_fit(classes, seat)
        tightest = packaged.shaft_es_um - packaged.hole_ei_um
        loosest = packaged.shaft_ei_um - packaged.hole_es_um
        assert found.most * 1000 == pytest.approx(tightest)
        assert found.least * 1000 == pytest.approx(max(0, loosest))
