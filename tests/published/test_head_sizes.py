"""Heads, keys, washers and clearance holes against the tables of a public parts library.

``data/head_sizes.csv``: sizes as bd_warehouse 0.4.0 (Apache-2.0) lists them. Its heads of socket
screws are the greatest knurled ones, a tolerance above the plain head. Its medium and loose holes
for M12, M14 and M16 are those of the American metric list, 0.5 mm above ISO 273.
Bearing faces: VDI 2230:2003 table of tightening torques, from memory.
"""

import csv
from pathlib import Path

import pytest

from shared.standards.hexagons import HeadForm, bearing_face, clearance_holes, hexagons, sockets
from shared.standards.washers import washers

with (Path(__file__).parent / "data" / "head_sizes.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

AMERICAN_HOLES = {"M12", "M14", "M16"}
OLDER = {"M10", "M12", "M14", "M22"}
KNURL = 0.6


def one(table, row, **wanted):
    found = [
        item
        for item in table
        if item.nominal == row["size"] and all(getattr(item, k) == v for k, v in wanted.items())
    ]
    return found[0] if found else None


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["size"])
def test_sizes_are_those_of_the_library(row):
    own = one(hexagons(), row, kind="hexagon")
    assert own.flats == float(row["iso_4014_flats"]) == float(row["iso_4032_flats"])
    older = one(hexagons(), row, kind="hexagon, older flats")
    assert (older is not None) is (row["size"] in OLDER)
    if older is not None:
        assert older.flats == float(row["din_931_flats"])
    if row["iso_4762_key"]:
        socket = one(sockets(), row, form="socket cap")
        assert socket.key == float(row["iso_4762_key"])
        assert 0 < float(row["iso_4762_head"]) - socket.head < KNURL
    if row["iso_7089_hole"]:
        washer = one(washers(), row, form="plain")
        assert washer.inside == float(row["iso_7089_hole"])
        assert washer.outside == float(row["iso_7089_outside"])
    large = one(washers(), row, form="large")
    if row["iso_7093_outside"] and large is not None:
        assert large.outside == float(row["iso_7093_outside"])
    hole = one(clearance_holes(), row)
    more = 0.5 if row["size"] in AMERICAN_HOLES else 0
    assert hole.close == float(row["close_hole"])
    assert hole.medium + more == float(row["medium_hole"])
    assert hole.loose + more == float(row["loose_hole"])


@pytest.mark.parametrize(
    ("major", "face", "hole"),
    [(8, 11.63, 9), (10, 14.63, 11), (12, 16.63, 13.5), (14, 19.64, 15.5), (16, 22.49, 17.5)],
)
def test_bearing_faces_are_those_of_the_torque_tables(major, face, hole):
    assert bearing_face(major) == (face, hole)


# Flats, greatest and least, as a public page prints each: JIS B 1189 (as ISO 15071; bd_warehouse
# has EN 1662 so too) and EN 14399-4 in mm, ASME B18.2.2 heavy nuts in inches.
PRINTED = {
    "hexagon with flange, small series": "7 6.78, 8 7.78, 10 9.78, 13 12.73, 15 14.73, 18 17.73,"
    " 21 20.67",
    "large hexagon, structural": "22 21.16, 27 26.16, 32 31, 36 35, 41 40, 46 45, 50 49, 60 58.8",
    "heavy inch hexagon": "0.688 0.669, 0.75 0.728, 0.875 0.85, 0.938 0.909, 1.062 1.031,"
    " 1.25 1.212, 1.438 1.394, 1.625 1.575, 1.812 1.756, 2 1.938, 2.188 2.119, 2.375 2.3,"
    " 2.75 2.662, 3.125 3.025",
}


@pytest.mark.parametrize("kind", PRINTED)
def test_heads_with_a_flange_structural_and_heavy_ones_are_as_printed(kind):
    own = [row for row in hexagons() if row.kind == kind]
    pairs = [tuple(float(text) for text in pair.split()) for pair in PRINTED[kind].split(", ")]
    rounded = 0.0006 if kind.startswith("heavy") else 0.0
    for row, (flats, least) in zip(own, pairs, strict=True):
        assert abs(row.flats - flats) <= rounded
        assert row.flats_least == least


def test_faces_and_heads_are_in_order():
    for row in hexagons():
        assert 0.9 * row.flats < row.flats_least < row.flats
        assert row.face_least is None or row.major < row.face_least * (
            25.4 if row.unit == "in" else 1
        )
        assert row.face_least is None or row.face_least < row.flats
    for form in HeadForm:
        faces = [bearing_face(major, form) for major in (3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 64)]
        assert all(one.hole < one.face for one in faces)
        assert faces == sorted(faces)
    for washer in washers():
        assert washer.major < washer.inside_diameter < washer.outside_diameter
