"""Worked examples of bolted joints, one source each as said at each test."""

import pytest

from shared.fasteners.faces import face_of, stated_face
from shared.fasteners.friction import stated_friction
from shared.fasteners.joint import Joint
from shared.fasteners.strength import largest_preload, screw_strength
from shared.fasteners.stripping import external_area, internal_area
from shared.fasteners.torque import permitted_torque
from shared.fasteners.turning import PowerScrew, torque_by_friction, torque_by_nut_factor
from tests.published.screws import screw, thread_of

INCH, LBF, FT_LB = 25.4, 4.4482216152605, 1.3558179483314004

# VDI 2230 table for fine threads, class 8.8, 90 % of yield, as a fastener catalogue prints it:
# thread, bearing face, hole, then (friction, force kN, torque N·m). Hexagon and hole from memory.
FINE = [
    ("M8x1", 11.63, 9, [(0.10, 20.7, 22.8), (0.12, 20.2, 26.1), (0.14, 19.7, 29.2)]),
    ("M10x1.25", 14.63, 11, [(0.10, 32.4, 44), (0.12, 31.6, 51), (0.14, 30.8, 57)]),
    ("M12x1.25", 16.63, 13.5, [(0.10, 49.1, 79), (0.12, 48.0, 90), (0.14, 46.8, 101)]),
    ("M14x1.5", 19.64, 15.5, [(0.10, 66.4, 124), (0.12, 64.8, 142), (0.14, 63.2, 159)]),
    ("M16x1.5", 22.49, 17.5, [(0.10, 89.6, 189), (0.12, 87.6, 218), (0.14, 85.5, 244)]),
]


@pytest.mark.parametrize(("name", "outside", "inside", "printed"), FINE, ids=str)
def test_the_guideline_table_of_fine_threads(name, outside, inside, printed):
    fastener = screw(name, "8.8")
    face = stated_face(outside, inside, fastener)
    for mu, force, torque in printed:
        preload = largest_preload(fastener.thread, 640, mu)
        assert preload / 1000 == pytest.approx(force, abs=0.15)
        assert torque_by_friction(preload, fastener.thread, face, mu, mu) == pytest.approx(
            torque, abs=1.1
        )


def test_the_least_force_of_an_m12_by_the_guideline():
    """VDI 2230, public worked steps: M12 8.8, friction 0.14, tightening factor 1.8."""
    fastener = screw("M12x1.75", "8.8")
    preload = largest_preload(fastener.thread, screw_strength(fastener).strength.yield_least, 0.14)
    assert preload / 1000 == pytest.approx(41.9, abs=0.1)
    assert preload / 1.8 / 1000 == pytest.approx(23.3, abs=0.1)
    joint = Joint(fastener, stated_friction(0.14, 0.14), face_of(fastener), tightening_factor=1.8)
    found = permitted_torque(joint)
    assert found.preload_most == pytest.approx(preload, rel=1e-9)
    assert found.preload_least == pytest.approx(preload / 1.8, rel=1e-9)


@pytest.mark.parametrize(
    ("major", "area", "plain", "zinc"), [(0.75, 0.373, 322, 354), (0.5, 0.1419, 82, 90)]
)
def test_a_conveyor_makers_table_from_three_quarters_of_yield(major, area, plain, zinc):
    """Conveyor maker's safety guide: T = K D P, P = 69 ksi times the stress area."""
    force = area * 69_000 * LBF
    for factor, printed in ((0.20, plain), (0.22, zinc)):
        torque = torque_by_nut_factor(force, major * INCH, factor)
        assert torque / FT_LB == pytest.approx(printed, abs=0.5)


def test_the_short_and_the_long_form_of_a_fine_inch_thread():
    """Mechanical Engineering Design, example 8-3 (from memory): 3/4-16, 25 kip, f = fc = 0.15."""
    force, in_lb = 25_000 * LBF, FT_LB / 12
    assert torque_by_nut_factor(force, 0.75 * INCH, 0.2) / in_lb == pytest.approx(3750, abs=0.5)
    # The book takes the exact screw with its minor diameter, and a collar of 1.25 d / 2.
    mean = (0.75 + 0.6685) / 2 * INCH
    long = PowerScrew(mean, INCH / 16, 30, 1.25 * 0.75 * INCH).raising(force, 0.15, 0.15) / in_lb
    assert long == pytest.approx(3551, rel=0.003)


def test_a_power_screw_raises_and_lowers():
    """Mechanical Engineering Design, example 8-1 (from memory): 32 mm, double start, 6.4 kN."""
    jack = PowerScrew(30, 8, 0, 40)
    assert jack.raising(6400, 0.08, 0.08) == pytest.approx(26.18, abs=0.005)
    assert jack.lowering(6400, 0.08, 0.08) == pytest.approx(9.77, abs=0.005)
    assert jack.efficiency(6400, 0.08, 0.08) == pytest.approx(0.311, abs=0.0005)


def test_the_shear_areas_of_a_half_inch_thread():
    """FED-STD-H28/2 and Machinery's Handbook forms (from memory), 1/2-13 UNC-2A/2B, in inches."""
    thread = thread_of("1/2-13")
    external = external_area(thread, 0.434 * INCH, 0.4435 * INCH) / INCH
    internal = internal_area(thread, 0.4876 * INCH, 0.4565 * INCH) / INCH
    assert 0.5 * external == pytest.approx(0.38947, abs=2e-5)
    assert 0.5 * internal == pytest.approx(0.56174, abs=2e-5)
    assert 2 * 0.1419 / external == pytest.approx(0.36434, abs=2e-5)


@pytest.mark.parametrize(
    ("name", "area"),
    [("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3), ("M16", 157), ("M20", 245)],
)
def test_loads_go_by_the_stress_areas_of_the_standard(name, area):
    """ISO 898-1, nominal stress areas of coarse threads (from memory), three figures."""
    assert screw_strength(screw(name, "8.8")).area == pytest.approx(area, rel=3e-3)
