"""Thermal expansion: published single values lie within the ranges of the table.

JCGM 100:2008 H.1 for gauge blocks (11.5); a textbook of materials science (3rd edition, 2008,
appendix B) and public tables of metals for the rest, 10^-6/K near room temperature.
"""

import pytest

from shared.condition.fits.temperature import clearance_change
from shared.standards.thermal_expansion import expansion_of, expansion_rows

PRINTED = [
    ("steel", 11.5),  # JCGM 100:2008 H.1
    ("steel", 11.7),  # mild steel, public table
    ("grey cast iron", 11.4),
    ("grey cast iron", 10.4),  # mean from 0 to 100 °C, public table
    ("ductile cast iron", 11.2),
    ("ductile cast iron", 10.6),
    ("wrought aluminium", 22.9),
    ("wrought aluminium", 23.6),
    ("wrought aluminium", 21.1),  # mean from -50 to 20 °C, public table, from memory
    ("wrought aluminium", 24.3),  # mean from 20 to 200 °C, likewise
    ("cast aluminium", 21.5),
    ("magnesium", 26.0),
    ("brass", 19.9),
    ("brass", 20.5),
    ("bronze", 18.0),
    ("copper", 17.0),
    ("copper", 16.7),
    ("titanium", 8.6),
    ("titanium", 9.4),
    ("zinc", 23.0),
    ("zinc", 32.5),
]


@pytest.mark.parametrize(("material", "printed"), PRINTED)
def test_printed_values_lie_within_the_range(material, printed):
    row = expansion_of(material)
    assert row.least <= printed <= row.most


def test_aluminium_without_its_alloy_spans_both_kinds():
    rows = {row.material: row for row in expansion_rows()}
    parts = [rows["wrought aluminium"], rows["cast aluminium"]]
    assert rows["aluminium"].least == min(row.least for row in parts)
    assert rows["aluminium"].most == max(row.most for row in parts)


def test_aluminium_on_steel_opens_seven_hundredths_on_100_mm_at_60_kelvin():
    # Closed form with 23 and 11.5: 100 mm x 11.5e-6 x 60 K = 0.069 mm.
    assert clearance_change(100, 23, 80, 11.5, 80) == pytest.approx(0.07, abs=0.005)
    assert clearance_change(100, 23, 20, 11.5, 20) == 0
    assert clearance_change(100, 23, -40, 11.5, -40) == pytest.approx(-0.069, abs=1e-9)
