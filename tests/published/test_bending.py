"""Bending of a bar that two screws load at its ends and a shaft in its middle.

A beam of 60 by 150 mm on two supports 6 m apart with 12 kN in its middle, a common exercise of
strength of materials (printed on a public page of solved problems; its 80 MPa by hand, M = 18 kN·m
over 225 000 mm3). Plates on a circle of screws: statics of every straight cut, here by numbers.
"""

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from shared.fasteners.faces import face_of
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.families import bar_across_screws
from shared.fasteners.substitutes.families.bars import ACROSS_A_PLATE
from shared.fasteners.substitutes.model import Drawer, Feature, Need, Piece, Range, Requirement
from shared.fasteners.substitutes.stresses import allowed_bending
from shared.standards.hole_materials import hole_material_of
from tests.published.screws import screw

SPAN, WIDTH, THICKNESS, PRINTED_STRESS, PRINTED_FORCE = 6000.0, 60.0, 150.0, 80.0, 12_000.0
# A steel that may bear just the printed stress.
STEEL = replace(hole_material_of("S235"), tensile_least=3 * PRINTED_STRESS)
SCREW = screw("M16", "8.8", length=200.0)


def bends_at(thickness=THICKNESS, span=SPAN):
    """Return the pull, N, that the bar bears by the answer: told by the seat's, which is known."""
    sizes = ("spacing", span), ("depth", 60), ("reach", 1), ("travel", 5), ("wall", 30)
    features = [
        *(Feature(FeatureKind(kind), size) for kind, size in sizes),
        Feature(FeatureKind.OUTSIDE_DIAMETER, 40),
        Feature(FeatureKind.THREAD, fastener=SCREW, count=2),
    ]
    requirement = Requirement(
        ToolFunction.PULL,
        features=tuple(features),
        force=Need(Range(5000, 5000), "as stated", is_estimate=False),
        workpiece=hole_material_of("C45"),
        pushed=hole_material_of("C45"),
        is_symmetric=True,
        uses=frozenset(),
        nothing_in_the_way=True,
    )
    lengths = {"length": span + 100, "width": WIDTH, "thickness": thickness}
    bar = Piece(
        "bar",
        "Flat bar",
        ItemForm.BAR,
        1,
        sizes=tuple((FeatureKind(kind), size) for kind, size in lengths.items()),
        material=STEEL,
    )
    drawer = Drawer((bar, Piece("screw", "Screw", ItemForm.SCREW, 2, fastener=SCREW)))
    (found,) = bar_across_screws.candidates(requirement, drawer)
    margins = {check.name: check.margin for check in found.checks}
    seat = 2 * face_of(SCREW).area * STEEL.seat_pressure / 1.25
    return margins["bar bending"] / margins["head seat"] * seat


def test_a_beam_loaded_in_its_middle_bears_the_printed_load():
    assert allowed_bending(STEEL) == PRINTED_STRESS
    assert bends_at() == pytest.approx(PRINTED_FORCE, rel=1e-6)


def test_the_moment_is_that_of_the_shear_summed_along_the_bar():
    along = np.linspace(0, SPAN, 60_001)
    shear = np.where(along < SPAN / 2, PRINTED_FORCE / 2, -PRINTED_FORCE / 2)
    greatest = np.cumsum(shear).max() * (along[1] - along[0])
    depth = (np.arange(20_000) + 0.5) / 20_000 * THICKNESS - THICKNESS / 2
    inertia = (depth**2).sum() * THICKNESS / depth.size * WIDTH
    stress = greatest * THICKNESS / 2 / inertia
    assert stress == pytest.approx(PRINTED_STRESS, rel=1e-3)
    # Half as thick bears a quarter; half the span twice.
    assert bends_at(thickness=75) == pytest.approx(PRINTED_FORCE / 4, rel=1e-6)
    assert bends_at(span=SPAN / 2) == pytest.approx(2 * PRINTED_FORCE, rel=1e-6)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8, 12])
def test_no_cut_across_a_plate_bears_more_than_is_counted(count):
    turned = np.linspace(0, 2 * pi, 2001)[:, None]
    beyond = np.cos(turned + np.arange(count) * 2 * pi / count)
    worst = (np.clip(beyond, 0, None).sum(axis=1) / count).max()
    assert worst <= ACROSS_A_PLATE
    assert worst > 0.3
