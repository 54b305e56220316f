"""DIN 6885-1 parallel keys and DIN 988 shim rings.

``data/seals_orings.csv`` has a source per row; shims are from memory but for the standard's own
example of a designation. ``data/keys_library.csv`` holds the key table of bd_warehouse 0.4.0. The
table of lengths and depths below stands in public repositories (parametric part libraries).
"""

import csv
from pathlib import Path

import pytest

from shared.designations.keys import read_key
from shared.designations.shims import read_shim
from shared.standards.keys import key_lengths, keys, keys_by_section
from shared.standards.shims import shim_thicknesses, shims_by_size

DATA = Path(__file__).parent / "data"


def rows_of(name):
    with (DATA / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


KEYS = [row for row in rows_of("seals_orings") if row["kind"] == "key_din6885"]
SHIMS = [row for row in rows_of("seals_orings") if row["kind"] == "shim_din988"]

# Shaft over, up to, width, height, shortest, longest.
LENGTHS = (
    (6, 8, 2, 2, 6, 20), (8, 10, 3, 3, 6, 36), (10, 12, 4, 4, 8, 45), (12, 17, 5, 5, 10, 56),
    (17, 22, 6, 6, 14, 70), (22, 30, 8, 7, 18, 90), (30, 38, 10, 8, 22, 110),
    (38, 44, 12, 8, 28, 140), (44, 50, 14, 9, 36, 160), (50, 58, 16, 10, 45, 180),
    (58, 65, 18, 11, 50, 200), (65, 75, 20, 12, 56, 220), (75, 85, 22, 14, 63, 250),
    (85, 95, 25, 14, 70, 280), (95, 110, 28, 16, 80, 320), (110, 130, 32, 18, 90, 360),
    (130, 150, 36, 20, 100, 400), (150, 170, 40, 22, 110, 400),
)  # fmt: skip
# Width, height, depth in the shaft, depth in the hub.
DEPTHS = ((16, 10, 6.0, 4.3), (18, 11, 7.0, 4.4), (20, 12, 7.5, 4.9), (22, 14, 9.0, 5.4))


def test_every_row_of_the_table_is_checked_here():
    assert (len(KEYS), len(SHIMS)) == (9, 5)


@pytest.mark.parametrize("row", KEYS, ids=lambda row: row["designation"])
def test_a_key_and_its_keyways_have_the_published_sizes(row):
    section = row["designation"].split()[0]
    (key,) = read_key(f"key {section}")
    held = keys_by_section()[key.width, key.height]
    assert (key.width, key.height) == (
        float(row["section_or_width_mm"]),
        float(row["thickness_mm"]),
    )
    assert held.shaft_up_to == float(row["id_or_shaft_mm"])
    assert held.shaft_depth == float(row["groove_depth_mm"])
    assert f"hub keyway depth {held.hub_depth:.1f}" in row["note"]


def test_a_library_holds_the_same_keys_by_shaft():
    for row in rows_of("keys_library"):
        shaft = float(row["shaft"])
        # At 6 mm the library gives the smallest key; the standard's first step is over 6.
        (key,) = [k for k in keys() if k.shaft_over < max(shaft, 6.5) <= k.shaft_up_to]
        assert (key.width, key.height) == (float(row["width"]), float(row["height"]))
        assert (key.hub_depth, key.shaft_depth) == (
            float(row["hub_depth"]),
            float(row["shaft_depth"]),
        )


def test_sections_and_lengths_agree_with_a_public_table():
    assert (
        tuple(
            (k.shaft_over, k.shaft_up_to, k.width, k.height, k.length_least, k.length_most)
            for k in keys()
        )
        == LENGTHS
    )
    listed = {length.length for length in key_lengths()}
    assert {length for row in LENGTHS for length in row[4:]} <= listed


def test_depths_of_larger_keyways_agree_with_a_public_table():
    for width, height, shaft_depth, hub_depth in DEPTHS:
        key = keys_by_section()[width, height]
        assert (key.shaft_depth, key.hub_depth) == (shaft_depth, hub_depth)


def test_a_key_stands_clear_of_the_bottom_of_its_hub_keyway():
    for key in keys():
        assert 0.1 <= key.shaft_depth + key.hub_depth - key.height <= 0.45


@pytest.mark.parametrize("row", SHIMS, ids=lambda row: row["designation"])
def test_a_shim_is_listed_and_read(row):
    sizes = [float(size) for size in row["designation"].split(" x ")]
    assert (sizes[0], sizes[1]) in shims_by_size()
    thicknesses = [shim.thickness for shim in shim_thicknesses()]
    assert thicknesses[:6] == [0.1, 0.15, 0.2, 0.3, 0.5, 1.0]
    for thickness in sizes[2:] or thicknesses:
        (shim,) = read_shim(f"{sizes[0]:g}x{sizes[1]:g}x{thickness:g}")
        assert (shim.inside, shim.outside, shim.thickness) == (sizes[0], sizes[1], thickness)
