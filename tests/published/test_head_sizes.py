"""Heads, keys, washers and clearance holes against the tables of a public parts library.

``data/head_sizes.csv``: sizes as bd_warehouse 0.4.0 (Apache-2.0) lists them. Its heads of socket
screws are the greatest knurled ones, a tolerance above the plain head. Its medium and loose holes
for M12, M14 and M16 are those of the American metric list, 0.5 mm above ISO 273.
Bearing faces: VDI 2230:2003 table of tightening torques, from memory.
"""

import csv
from fractions import Fraction
from pathlib import Path

import pytest

from shared.standards.hexagons import HeadForm, bearing_face, clearance_holes, hexagons, sockets
from shared.standards.iso286 import deviations, tolerance_grade
from shared.standards.reader import Basis
from shared.standards.threads import metric_pitches
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


# As the same library lists them: ISO 7380-1 heads in mm; ASME B18.3 heads and keys, and holes of
# ASME B18.2.8 (close, medium, loose), in inches: number drills by their decimals.
BUTTON_HEADS = {"M3": 5.7, "M4": 7.6, "M5": 9.5, "M6": 10.5, "M8": 14, "M10": 17.5, "M12": 21,
                "M16": 28}  # fmt: skip
INCH_CAP_SCREWS = """
#0 .096 .05, #1 .118 1/16, #2 .140 5/64, #3 .161 5/64, #4 .183 3/32, #5 .205 3/32, #6 .226 7/64
#8 .270 9/64, #10 .312 5/32, 1/4 .375 3/16, 5/16 .469 1/4, 3/8 .562 5/16, 7/16 .656 3/8
1/2 .750 3/8, 5/8 .938 1/2, 3/4 1.125 5/8, 7/8 1.312 3/4, 1 1.500 3/4
"""
INCH_HOLES = """
#2 3/32 .1015 .116, #3 .1065 .116 .1285, #4 .120 .1285 .144, #5 9/64 5/32 11/64
#6 .154 .1695 .185, #8 .180 .196 .213, #10 .2055 .221 .238
1/4 17/64 9/32 19/64, 5/16 21/64 11/32 23/64, 3/8 25/64 13/32 27/64, 7/16 29/64 15/32 31/64
1/2 17/32 9/16 39/64, 5/8 21/32 11/16 47/64, 3/4 25/32 13/16 29/32, 7/8 29/32 15/16 33/32
1 33/32 35/32 37/32, 1_1/8 37/32 39/32 21/16, 1_1/4 41/32 43/32 23/16, 1_3/8 23/16 3/2 103/64
1_1/2 25/16 13/8 111/64
"""


# Keys as a second public parts library has them, ISO 10642 and ISO 4026.
KEYS = {
    "socket countersunk": "M3 2, M4 2.5, M5 3, M6 4, M8 5, M10 6, M12 8, M14 10, M16 10, M20 12",
    "socket set screw": "M1.6 0.7, M2 0.9, M2.5 1.3, M3 1.5, M4 2, M5 2.5, M6 3, M8 4, M10 5,"
    " M12 6, M16 8, M20 10, M24 12",
}
# ASME B18.21.1 type A as a handbook has it: narrow and wide, inside, outside, thickness, in.
INCH_WASHERS = {
    "inch, narrow": "1/4 .281 .625 .065, 5/16 .344 .688 .065, 3/8 .406 .812 .065,"
    " 7/16 .469 .922 .065, 1/2 .531 1.062 .095, 9/16 .594 1.156 .095, 5/8 .656 1.312 .095,"
    " 3/4 .812 1.469 .134, 7/8 .938 1.75 .134",
    "inch, wide": "1/4 .312 .734 .065, 5/16 .375 .875 .083, 3/8 .438 1 .083, 7/16 .5 1.25 .083,"
    " 1/2 .562 1.375 .109, 9/16 .625 1.469 .109, 5/8 .688 1.75 .134, 3/4 .812 2 .148",
}


def test_keys_and_inch_washers_are_as_printed():
    for form, printed in KEYS.items():
        own = {row.nominal: row.key for row in sockets() if row.form == form}
        assert own == {size: float(key) for size, key in map(str.split, printed.split(", "))}
    for form, printed in INCH_WASHERS.items():
        own = {row.nominal: row for row in washers() if row.form == form}
        for size, *figures in map(str.split, printed.split(", ")):
            row = own[size]
            assert [row.inside, row.outside, row.thickness] == [float(one) for one in figures]


def eighths(nominal):
    return float(sum(Fraction(part) for part in nominal.split()))


def cells(text):
    for line in text.strip().splitlines():
        for group in line.split(", "):
            size, *figures = group.split()
            nominal = size.removeprefix("#").replace("_", " ")
            inches = 0.06 + 0.013 * int(nominal) if size[0] == "#" else eighths(nominal)
            yield {"size": nominal}, 25.4 * inches, [float(Fraction(one)) for one in figures]


def test_button_heads_and_inch_heads_and_holes_are_those_of_the_library():
    buttons = {row.nominal: row.head for row in sockets() if row.form == "socket button"}
    assert buttons == BUTTON_HEADS
    for size, major, (head, key) in cells(INCH_CAP_SCREWS):
        own = one(sockets(), size, form="socket cap", major=pytest.approx(major))
        assert (own.head, own.key) == (head, key)
    for size, major, holes in cells(INCH_HOLES):
        own = one(clearance_holes(), size, major=pytest.approx(major))
        assert [own.close, own.medium, own.loose] == pytest.approx(holes, abs=6e-6)


# Flats, greatest and least, as a public page prints each: JIS B 1189 (as ISO 15071; bd_warehouse
# has EN 1662 so too) and EN 14399-4 in mm, ASME B18.2.2 heavy nuts and B18.2.1 screws in inches.
# Small Whitworth hexagons from 1/4 in: a handbook's table of BS 1083:1965.
PRINTED = {
    "Whitworth hexagon, smaller": "0.445 0.438, 0.525 0.518, 0.6 0.592, 0.71 0.702, 0.82 0.812,"
    " 0.92 0.912, 1.01 1, 1.2 1.19, 1.3 1.288, 1.48 1.468, 1.67 1.64, 1.86 1.815, 2.05 2.005,"
    " 2.22 2.175, 2.58 2.52, 2.76 2.7",
    "inch hexagon": "0.438 0.428, 0.5 0.489, 0.562 0.551, 0.625 0.612, 0.75 0.736, 0.812 0.798,"
    " 0.938 0.922, 1.125 1.1, 1.312 1.285, 1.5 1.469, 1.688 1.631, 1.875 1.812, 2.062 1.994,"
    " 2.25 2.175, 2.625 2.538, 3 2.9",
    "hexagon with flange, small series": "7 6.78, 8 7.78, 10 9.78, 13 12.73, 15 14.73, 18 17.73,"
    " 21 20.67",
    "large hexagon, structural": "22 21.16, 27 26.16, 32 31, 36 35, 41 40, 46 45, 50 49, 60 58.8",
    "heavy inch hexagon": "0.688 0.669, 0.75 0.728, 0.875 0.85, 0.938 0.909, 1.062 1.031,"
    " 1.25 1.212, 1.438 1.394, 1.625 1.575, 1.812 1.756, 2 1.938, 2.188 2.119, 2.375 2.3,"
    " 2.75 2.662, 3.125 3.025",
}


@pytest.mark.parametrize("kind", PRINTED)
def test_heads_with_a_flange_structural_and_heavy_ones_are_as_printed(kind):
    own = [row for row in hexagons() if row.kind == kind and row.basis is Basis.TWO_SOURCES]
    pairs = [tuple(float(text) for text in pair.split()) for pair in PRINTED[kind].split(", ")]
    rounded = 0.0006 if "inch" in kind else 0.0
    for row, (flats, least) in zip(own, pairs, strict=True):
        assert abs(row.flats - flats) <= rounded
        assert row.flats_least == least


def class_of_flats(flats):
    """ISO 4759-1 from memory: product grade A up to 24 mm of thread, B above."""
    for up_to, name in ((30, "h13"), (36, "h14"), (60, "h15")):
        if flats <= up_to:
            return name
    return "h16"


@pytest.mark.parametrize("kind", ["hexagon", "hexagon, older flats"])
def test_least_flats_and_faces_follow_iso_4759_1(kind):
    """From memory: flats by grades of ISO 286-1, faces IT16 under them, 0.95 of them from 21 mm."""
    for row in hexagons():
        if row.kind == kind:
            lower, _ = deviations(row.flats, class_of_flats(row.flats))
            assert row.flats_least == pytest.approx(row.flats + lower / 1000)
            under = row.flats_least - tolerance_grade(row.flats, "16") / 1000
            face = under if row.flats < 21 else 0.95 * row.flats_least
            assert row.face_least is None or row.face_least == pytest.approx(face, abs=0.006), row


def test_the_usual_pitch_of_a_head_is_one_of_its_thread():
    for row in hexagons():
        if row.unit == "mm":
            pitches = [thread.pitch for thread in metric_pitches(row.major)]
            assert set(row.usual_pitches) <= set(pitches), row
            if row.kind == "hexagon":
                assert row.usual_pitches[0] == pitches[0], row


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
    for socket in sockets():
        assert socket.head is None or socket.key < socket.head
        assert socket.face_least is None or socket.face_least < socket.head
    for washer in washers():
        assert washer.major < washer.inside_diameter < washer.outside_diameter
        assert 0 < washer.thickness < washer.inside_diameter
