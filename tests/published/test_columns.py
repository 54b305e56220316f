"""Columns: Johnson and Euler.

Mechanics of Materials, problem 11.4-2 (a steel pipe with one end free: its printed solution, as a
public page of solutions shows it). Machine Elements in Mechanical Design, the round column of
1.25 in (slenderness and column constant as a public page of solved problems prints them) and the
column of 12 by 18 mm (from memory, recomputed). Mechanical Engineering Design, the round columns
for 22 kN (from memory, recomputed). AISC allowable stress design, 1989, table of columns of 36 ksi
steel (rows from memory). A bar cut in pieces, solved as an eigenvalue.
"""

from math import pi, sqrt

import numpy as np
import pytest

from shared.fasteners.substitutes.stresses import (
    column_force,
    column_safety,
    critical_stress,
    round_gyration,
)

LONG = 23 / 12
"""The safety that a long column is given."""


def test_a_pipe_with_one_end_free_bears_what_is_printed():
    area = pi / 4 * (40**2 - 36**2)
    allowed = column_force(area, round_gyration(40, 36), 1200, 250, 210_000)
    assert allowed * LONG / 1000 == pytest.approx(15.6, abs=0.05)
    # With both ends held on the axis half of its length counts: the printed 62.2 kN, which know of
    # no yield.
    held = column_force(area, round_gyration(40, 36), 600, 1200, 210_000)
    assert held * LONG / 1000 == pytest.approx(62.2, abs=0.05)


def test_a_long_round_column_is_eulers():
    slender = 54 / round_gyration(1.25)
    assert slender == pytest.approx(173, abs=0.5)
    constant = sqrt(2 * pi**2 * 30e6 / 51_000)
    assert constant == pytest.approx(108, abs=0.5)
    assert critical_stress(slender, 51_000, 30e6) == pytest.approx(pi**2 * 30e6 / slender**2)
    for near in (constant * (1 - 1e-9), constant * (1 + 1e-9)):
        assert critical_stress(near, 51_000, 30e6) == pytest.approx(51_000 / 2)


def test_a_short_rectangular_column_is_johnsons():
    slender = 0.8 * 280 / (12 / sqrt(12))
    load = 12 * 18 * critical_stress(slender, 290, 207_000) / 1000
    assert load == pytest.approx(53.3, abs=0.05)


def test_the_diameter_of_a_column_for_22_kn():
    """37.48 mm is printed for 1.5 m between pinned ends at four times the load, 500 MPa yield."""
    diameter = 37.48
    slender = 1500 / round_gyration(diameter)
    load = pi / 4 * diameter**2 * critical_stress(slender, 500, 207_000)
    assert load == pytest.approx(4 * 22_000, rel=1e-3)


@pytest.mark.parametrize("length", [150.0, 400.0])
def test_a_long_bar_gives_way_at_the_eigenvalue_of_its_pieces(length):
    """Fixed at one end, free at the other: y'' = -P/(E I) y from the line of the load."""
    diameter, modulus, pieces = 8.0, 205_000.0, 100
    inertia, area = pi * diameter**4 / 64, pi / 4 * diameter**2
    step = length / pieces
    # Node 0 lies on the line of the load, the slope is level at the last one.
    matrix = 2 * np.eye(pieces) - np.eye(pieces, k=1) - np.eye(pieces, k=-1)
    matrix[-1, -2] = -2
    least = min(np.linalg.eigvals(matrix).real) / step**2 * modulus * inertia
    allowed = column_force(area, round_gyration(diameter), length, 640, modulus)
    assert allowed * LONG == pytest.approx(least, rel=1e-4)


@pytest.mark.parametrize(
    ("slender", "allowed"),
    [(1, 21.56), (50, 18.35), (100, 12.98), (120, 10.28), (150, 6.64), (200, 3.73)],
)
def test_the_allowed_stress_of_the_table_for_36_ksi(slender, allowed):
    stress = critical_stress(slender, 36, 29_000) / column_safety(slender, 36, 29_000)
    assert stress == pytest.approx(allowed, abs=0.006)
