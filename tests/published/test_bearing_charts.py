"""Boundary dimensions of bearings against gathered charts and tables.

``data/bearings.csv`` names a source per row: catalogue data and an ISO 15 plan in two public
libraries, a public size chart; the inch, tapered inch and drawn cup rows are from memory, so they
show agreement of two memories only. Inch sizes were rounded to four places of an inch there.
"""

import csv
from pathlib import Path

import pytest

from shared.designations.bearings import read_bearing
from shared.standards.bearings import bore_of_code

with (Path(__file__).parent / "data" / "bearings.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

ROUNDED = 0.003  # mm: four places of an inch, both ends


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_the_row_is_read_with_its_sizes(row):
    (found,) = read_bearing(row["designation"])
    exact = 0.0 if "inch" not in row["type"] else ROUNDED
    assert found.bore == pytest.approx(float(row["bore_mm"]), abs=exact)
    assert found.outside == pytest.approx(float(row["od_mm"]), abs=exact)
    assert found.width == pytest.approx(float(row["width_mm"]), abs=exact)
    if row["alias"]:
        assert read_bearing(row["alias"]) == (found,)
    if row["width_sealed_mm"]:
        (sealed,) = read_bearing(row["designation"] + "-2Z")
        if sealed.basic[:2] not in {"68", "69"}:  # the chart gives open widths for thin ones
            assert sealed.width == pytest.approx(float(row["width_sealed_mm"]), abs=exact)
    if row["bore_rule_mm"] and row["designation"].isdigit() and len(row["designation"]) > 3:
        assert bore_of_code(row["designation"][-2:]) == float(row["bore_rule_mm"])


# Rejected: one public table mixes open and shielded widths in one column without saying so.
MIXED = [("R3", 0.1562), ("R6", 0.2812), ("R8", 0.3125), ("R10", 0.3437), ("R12", 0.4375)]


@pytest.mark.parametrize(("number", "width"), MIXED)
def test_a_column_of_mixed_widths_is_not_taken_for_open_widths(number, width):
    (opened,), (sealed,) = read_bearing(number), read_bearing(number + "-2RS")
    assert opened.width < sealed.width
    printed = opened if number == "R3" else sealed
    assert printed.width == pytest.approx(width * 25.4, abs=ROUNDED)
