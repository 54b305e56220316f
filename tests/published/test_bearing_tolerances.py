"""ISO 492, class Normal: deviations of bore, outside diameter and width, in micrometres.

Two public tables of bearing tolerances (mean diameters) and one of single diameters for open
radial bearings; a fourth for metric tapered bearings. None is the printed standard.
"""

import pytest

from shared.standards.bearings import by_number, deviations, tolerance_rows
from shared.standards.iso286 import deviations as iso_286

# Nominal bore up to, its mean deviation, a single diameter's limits, the width's deviation.
INNER = [
    (18, -8, (3, -11), -120),
    (30, -10, (3, -13), -120),
    (50, -12, (3, -15), -120),
    (80, -15, (4, -19), -150),
    (120, -20, (5, -25), -200),
]
OUTER = [
    (30, -9, (2, -11)), (50, -11, (3, -14)), (80, -13, (4, -17)), (120, -15, (5, -20)),
    (150, -18, (6, -24)), (180, -25, (7, -32)), (250, -30, (8, -38)), (315, -35, (9, -44)),
]  # fmt: skip
TAPERED_BORE = [(50, -12), (80, -15), (120, -20)]
TAPERED_OUTSIDE = [
    (30, -12), (50, -14), (80, -16), (120, -18), (150, -20), (180, -25), (250, -30),
]  # fmt: skip
TAPERED_WIDTH = [(80, 0, 200), (120, -200, 200)]


def steps(bearing, dimension):
    return {
        step.upto: step
        for step in tolerance_rows()
        if (step.bearing, step.dimension) == (bearing, dimension)
    }


def um(value):
    return round(value * 1000, 6)


@pytest.mark.parametrize(("dimension", "table"), [("bore", INNER), ("outside", OUTER)])
def test_radial_diameters(dimension, table):
    ours = steps("radial", dimension)
    for upto, mean, (high, low), *_ in table:
        step = ours[upto]
        assert (um(step.lower), step.upper) == (mean, 0)
        assert (um(step.upper + step.spread), um(step.lower - step.spread)) == (high, low)


def test_radial_widths():
    numbers = ("6202", "6205", "6208", "6214", "6218")
    for number, (upto, *_, width) in zip(numbers, INNER, strict=True):
        row = by_number()[number]
        assert row.bore <= upto
        assert tuple(map(um, deviations(row, "width"))) == (width, 0)


def test_metric_tapered():
    for dimension, table in (("bore", TAPERED_BORE), ("outside", TAPERED_OUTSIDE)):
        ours = steps("tapered", dimension)
        assert [(upto, um(step.lower)) for upto, step in ours.items()] == table
        radial = steps("radial", dimension)
        for upto, step in ours.items():
            assert step.upper == 0
            # A single diameter is about as far off the mean as that of a radial bearing.
            assert um(step.spread) == pytest.approx(um(radial[upto].spread), abs=1)
    ours = steps("tapered", "width")
    assert [(upto, um(step.lower), um(step.upper)) for upto, step in ours.items()] == TAPERED_WIDTH


def test_thrust_bearings_have_radial_bores_and_outsides_of_h6():
    """ISO 199 from memory: the bore as ISO 492 has it, the housing washer to IT6 of ISO 286-1."""
    radial = steps("radial", "bore")
    for upto, step in steps("thrust", "bore").items():
        assert (step.lower, step.upper) == (radial[upto].lower, radial[upto].upper)
    for upto, step in steps("thrust", "outside").items():
        assert (um(step.lower), um(step.upper)) == iso_286(upto, "h6")
    widths = [step.lower for step in steps("thrust", "width").values()]
    assert widths == sorted(widths, reverse=True)
