"""AS568, ISO 3601-1 sections and JIS B 2401: O-rings.

``data/seals_orings.csv`` has a source per row: AS568 from memory with a library's table and a
public page, JIS B 2401 from memory with an open table. Rows from memory alone agree within 0.1 mm.
``data/o_rings_library.csv`` holds the figures of the O-ring table of bd_warehouse 0.4.0.
"""

import csv
from pathlib import Path

import pytest

from shared.designations.o_rings import read_o_ring
from shared.standards.o_rings import o_rings, o_rings_by_number

DATA = Path(__file__).parent / "data"


def rows_of(name):
    with (DATA / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


ROWS = [row for row in rows_of("seals_orings") if row["kind"].startswith("oring_")]
AS568 = [row for row in ROWS if row["kind"] == "oring_as568"]
JIS = [row for row in ROWS if row["kind"] in {"oring_jis", "oring_jis_p"}]
SECTIONS = [row for row in ROWS if row["kind"] == "oring_iso3601_section"]

# What a public page prints, and what is right: the wrong figure is nobody's size.
MISPRINTS = {
    "104": "0.139", "312": "0.612", "318": "0.987", "325": "1.487",
    "335": "2.987", "345": "4.487", "440": "6.975",
}  # fmt: skip


def test_every_row_of_the_table_is_checked_here():
    assert (len(AS568), len(JIS), len(SECTIONS), len(ROWS)) == (44, 8, 2, 54)


@pytest.mark.parametrize("row", AS568, ids=lambda row: row["designation"])
def test_a_ring_of_as568_has_its_published_sizes(row):
    (ring,) = read_o_ring(row["designation"])
    size = o_rings_by_number()[ring.dash]
    # The millimetres beside the inches are rounded up or down by half a hundredth.
    assert ring.inside == pytest.approx(float(row["id_or_shaft_mm"]), abs=0.0101)
    assert ring.section == pytest.approx(float(row["section_or_width_mm"]), abs=0.0051)
    assert size.inside_tolerance == pytest.approx(float(row["id_tol_mm"]), abs=0.0051)
    assert size.section_tolerance == pytest.approx(float(row["section_tol_mm"]), abs=0.0051)
    assert ring.inside / 25.4 == pytest.approx(float(row["id_in"]), abs=0.0003)
    outside = ring.inside + 2 * ring.section
    assert outside == pytest.approx(float(row["od_or_bore_mm"]), abs=0.021)


@pytest.mark.parametrize("row", JIS, ids=lambda row: row["designation"])
def test_a_ring_of_jis_b_2401_has_its_sizes(row):
    (ring,) = read_o_ring(row["designation"])
    tolerance = 1e-9 if row["confidence"] == "confirmed-two-sources" else 0.1
    assert ring.standard == "JIS B 2401"
    assert ring.inside == pytest.approx(float(row["id_or_shaft_mm"]), abs=tolerance)
    assert ring.section == pytest.approx(float(row["section_or_width_mm"]), abs=tolerance)


@pytest.mark.parametrize("row", SECTIONS, ids=lambda row: row["designation"])
def test_metric_sections_are_a_list_apart_from_the_inch_ones(row):
    section = float(row["section_or_width_mm"])
    of_section = {ring.standard for ring in o_rings() if ring.section == section}
    assert of_section == {"ISO 3601-1"}
    (tolerance,) = {ring.section_tolerance for ring in o_rings() if ring.section == section}
    assert tolerance == float(row["section_tol_mm"])


@pytest.mark.parametrize(("dash", "misprint"), MISPRINTS.items())
def test_a_misprinted_inside_diameter_is_not_taken_over(dash, misprint):
    ring = o_rings_by_number()[dash]
    assert abs(ring.inside / 25.4 - float(misprint)) > 0.01
    section = ring.section / 25.4
    assert [one.dash for one in read_o_ring(f"O-ring {misprint}x{section:.3f} in")] != [dash]


def test_the_list_has_no_dash_200():
    assert "200" not in o_rings_by_number()
    assert read_o_ring("AS568-200") == ()


def test_the_first_three_rings_have_sections_of_their_own():
    sections = [o_rings_by_number()[dash].section for dash in ("001", "002", "003", "004")]
    assert sections == [1.02, 1.27, 1.52, 1.78]


def test_a_library_holds_the_same_349_rings():
    library = rows_of("o_rings_library")
    assert len(library) == 349
    for row in library:
        ring = o_rings_by_number()[row["dash"]]
        assert ring.inside == pytest.approx(float(row["inside_mm"]), abs=1e-9)
        assert ring.section == pytest.approx(float(row["section_mm"]), abs=1e-9)
        # Its tolerances are rounded from inches to hundredths, some by one too many.
        assert ring.inside_tolerance == pytest.approx(float(row["inside_tolerance_mm"]), abs=0.0101)
        assert ring.section_tolerance == pytest.approx(
            float(row["section_tolerance_mm"]), abs=0.0051
        )


def test_inside_diameters_step_by_sixteenths_then_eighths_then_quarters():
    """AS568 from memory: nominal size less 0.011, 0.013, 0.016 or 0.025 in, by section."""
    for first, last, start, step, less in (
        ("010", "028", 0.25, 1 / 16, 0.011),
        ("028", "041", 1.375, 1 / 8, 0.011),
        ("041", "050", 3.0, 1 / 4, 0.011),
        ("109", "150", 0.3125, 1 / 16, 0.013),
        ("151", "178", 3.0, 1 / 4, 0.013),
        ("202", "222", 0.25, 1 / 16, 0.016),
        ("222", "258", 1.5, 1 / 8, 0.016),
        ("258", "274", 6.0, 1 / 4, 0.016),
        ("309", "324", 0.4375, 1 / 16, 0.025),
        ("325", "361", 1.5, 1 / 8, 0.025),
        ("361", "377", 6.0, 1 / 4, 0.025),
        ("425", "437", 4.5, 1 / 8, 0.025),
        ("437", "445", 6.0, 1 / 4, 0.025),
        ("446", "460", 8.5, 1 / 2, 0.025),
    ):
        for number in range(int(first), int(last) + 1):
            nominal = start + (number - int(first)) * step
            ring = o_rings_by_number()[f"{number:03d}"]
            assert ring.inside / 25.4 == pytest.approx(nominal - less, abs=0.0016), number


def test_as568_has_369_sizes():
    """So a public page that describes the standard counts them."""
    assert sum(ring.standard == "AS568" for ring in o_rings()) == 369
