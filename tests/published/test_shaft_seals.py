"""ISO 6194-1 and DIN 3760: rotary shaft seals, what they need of shaft and bore.

``data/seals_orings.csv`` has a source per row: sizes mostly from memory of the standards, the
outside allowances from two public seal pages, fits from two public tables.
"""

import csv
import re
from pathlib import Path

import pytest

from shared.designations.shaft_seals import read_shaft_seal
from shared.standards.iso286 import deviations
from shared.standards.shaft_seals import (
    housing_tolerance,
    seal_allowance,
    shaft_seals_by_size,
    shaft_tolerance,
    width_tolerance,
)

with (Path(__file__).parent / "data" / "seals_orings.csv").open(encoding="utf-8") as _file:
    ROWS = [row for row in csv.DictReader(_file) if row["kind"].startswith("shaft_seal")]

SIZES = [row for row in ROWS if row["kind"] == "shaft_seal"]
ALLOWANCES = [row for row in ROWS if row["kind"] == "shaft_seal_od_allowance"]
FITS = [row for row in ROWS if row["kind"] == "shaft_seal_fit"]


def test_every_row_of_the_table_is_checked_here():
    assert (len(SIZES), len(ALLOWANCES), len(FITS)) == (23, 4, 1)
    assert len(ROWS) == 23 + 4 + 1


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row["designation"])
def test_a_seal_is_listed_and_read(row):
    sizes = tuple(
        float(row[column]) for column in ("id_or_shaft_mm", "od_or_bore_mm", "section_or_width_mm")
    )
    (seal,) = read_shaft_seal(row["designation"])
    assert (seal.shaft, seal.housing, seal.width) == sizes
    assert seal.is_listed
    assert width_tolerance(seal.width) == float(row["section_tol_mm"])
    # The width of 10 mm is the trade's, not the standard's.
    is_trade = "not the ISO 6194-1 basic width" in row["note"]
    assert (shaft_seals_by_size()[sizes].standard == "common practice") == is_trade


@pytest.mark.parametrize("row", ALLOWANCES, ids=lambda row: row["designation"])
def test_a_seal_is_larger_than_its_bore_by_the_published_allowance(row):
    allowance = seal_allowance(float(row["od_or_bore_mm"]))
    printed = [float(text) for text in re.findall(r"\+(0\.\d+)", row["note"])[:4]]
    assert printed == [
        allowance.metal_least,
        allowance.metal_most,
        allowance.rubber_least,
        allowance.rubber_most,
    ]


def test_the_lower_rubber_allowance_of_one_page_is_not_taken_over():
    """One page prints +0.15 for bores over 80 to 120; +0.20 fits the series of ISO 6194-1."""
    assert seal_allowance(100).rubber_least != 0.15


@pytest.mark.parametrize(
    ("size", "printed_shaft", "right_shaft"),
    [(15, 120, 110), (25, 140, 130), (150, 260, 250), (200, 300, 290), (300, 340, 320)],
)
def test_the_shaft_figures_of_a_seal_page_that_are_not_h11_are_not_taken_over(
    size, printed_shaft, right_shaft
):
    assert 1000 * shaft_tolerance(size) == pytest.approx(right_shaft)
    assert 1000 * shaft_tolerance(size) != pytest.approx(printed_shaft)


def test_seats_and_widths_have_the_classes_of_the_table():
    (row,) = FITS
    assert row["designation"] == "housing H8, shaft h11"
    within, up_to, above = re.findall(r"0\.\d|\d+ mm", row["note"])
    for width in (3.0, 7.0, 10.0, 10.5, 15.0):
        printed = within if width <= float(up_to.removesuffix(" mm")) else above
        assert width_tolerance(width) == float(printed)
    for size in (6, 25, 47, 110):
        assert (-1000 * shaft_tolerance(size), 0) == pytest.approx(deviations(size, "h11"))
        assert (0, 1000 * housing_tolerance(size)) == pytest.approx(deviations(size, "H8"))


def test_seats_are_h11_and_h8_as_iso_286_has_them():
    for size, it8, it11 in ((5, 18, 75), (10, 22, 90), (18, 27, 110), (30, 33, 130), (50, 39, 160),
                            (80, 46, 190), (120, 54, 220), (180, 63, 250)):  # fmt: skip
        assert 1000 * housing_tolerance(size) == pytest.approx(it8)
        assert 1000 * shaft_tolerance(size) == pytest.approx(it11)
