"""ISO 3601-1, annex: tolerances of class B, as an O-ring seller's public page prints them.

The page's own formula has the exponent 0.93; its own figures follow 0.95.
"""

import pytest

from shared.standards.o_rings import class_b_inside_tolerance, class_b_section_tolerance

INSIDE = {5: 0.15, 10: 0.19, 20: 0.26, 40: 0.41, 80: 0.69, 160: 1.23, 320: 2.27, 640: 4.28}
SECTIONS = {2.25: 0.08, 2.26: 0.09, 3.15: 0.09, 3.16: 0.10, 4.5: 0.10, 4.51: 0.13, 6.3: 0.13,
            6.31: 0.15, 8.4: 0.15}  # fmt: skip


def test_inside_diameters_have_the_printed_tolerances():
    for inside, tolerance in INSIDE.items():
        assert class_b_inside_tolerance(inside) == pytest.approx(tolerance, abs=0.006)


def test_the_printed_exponent_does_not_give_the_printed_figures():
    assert INSIDE[640] - 0.4 > 640**0.93 * 0.009 + 0.11


def test_sections_have_the_printed_tolerances():
    for section, tolerance in SECTIONS.items():
        assert class_b_section_tolerance(section) == tolerance
