"""Boundary dimensions against general-purpose libraries and public lists: facts only.

``data/bearing_libraries.csv``: bore, outside, width by number from two catalogues bundled with
mechanical_components 0.3.4 (LGPL-2.1) and from bd_warehouse 0.4.0 (Apache-2.0). Of tapered
bearings the first gives the cone's width, which is left out. BOSL2 (BSD-2-Clause) for open inch
bearings, whose sealed ones it prints as narrow as open ones; public lists for inch bearings and
tapered ones of 15 to 35 mm bore, whose rows were matched by their sizes. BOLTS (LGPL-2.1) for
thrust bearings; public lists for needle bearings and for the whole width of tapered ones.
``data/bearing_plans.csv``: the ISO 15 plan of mechanical_components, by dimension series. Their
misprints are rejected by name.
"""

import csv
from pathlib import Path

import pytest

from shared.standards.bearings import bearing_rows, by_number

DATA = Path(__file__).parent / "data"
with (DATA / "bearing_libraries.csv").open(encoding="utf-8") as _file:
    LISTED = list(csv.DictReader(_file))
with (DATA / "bearing_plans.csv").open(encoding="utf-8") as _file:
    PLANNED = list(csv.DictReader(_file))

# Numbers that a library misprints, with what contradicts it there.
MISPRINTS = {
    ("catalogue 1", "7215", "75x130x15"),  # 25 wide: the plan 02 of the same library, 6215, 1215
    ("catalogue 1", "NJ304", "20x50x15"),  # 52 outside: the plan 03 of the same library, NU304
    ("0.4.0", "638", "8x28x6"),  # 638/8 is another plan; 03 gives 8 x 28 x 9
    ("needle bearings", "HK1212", "12x16x12"),  # the shell of HK1210; 18 outside from memory
    ("needle bearings", "RNA4907", "40x55x20"),  # 42 under the rollers, from memory
    ("needle bearings", "L44643/L44610", "25.4x50.292x14.732"),  # the cone's width
}
UNSETTLED = {("catalogue 2", "MR126", "6x12x4")}  # the open one is 3 wide elsewhere: from memory
EXCEPTED = MISPRINTS | UNSETTLED
METRIC = 0.02  # mm: J-prefixed and rounded inch sets are printed to 0.013 mm


def is_in(row, known):
    sizes = f"{row['bore']}x{row['outside']}x{row['width']}"
    return any(
        row["source"].endswith(source) and (row["number"], sizes) == (number, printed)
        for source, number, printed in known
    )


def agrees(row):
    ours = by_number()[row["number"]]
    width = ours.width if row["closure"] == "open" else ours.width_sealed or ours.width
    return (
        abs(ours.bore - float(row["bore"])) <= METRIC
        and abs(ours.outside - float(row["outside"])) <= METRIC
        and (not row["width"] or abs(width - float(row["width"])) <= METRIC)
    )


@pytest.mark.parametrize("source", sorted({row["source"] for row in LISTED}))
def test_every_number_of_a_library_has_its_sizes(source):
    rows = [row for row in LISTED if row["source"] == source]
    assert len(rows) > 10
    wrong = [row for row in rows if not agrees(row) and not is_in(row, EXCEPTED)]
    assert wrong == []


def test_the_misprints_are_not_followed():
    rows = [row for row in LISTED if is_in(row, MISPRINTS)]
    assert len(rows) == len(MISPRINTS)
    assert not any(agrees(row) for row in rows)


# Plan of ISO 15 -> our series that use it; the numbers say bore and plan.
SERIES = {
    "02": ["62", "72", "12", "NU2", "QJ2"],
    "03": ["63", "73", "13", "NU3", "QJ3"],
    "04": ["64"],
    "18": ["68", "718"],
    "19": ["69", "719"],
    "22": ["622", "22", "222", "NU22", "42"],
    "23": ["623", "23", "223", "NU23", "43"],
    "32": ["32"],
    "33": ["33"],
    "49": ["NA49"],
}
OWN_WIDTH = {("32", 10.0)}  # sold 14 wide, the plan says 14.3


def test_every_number_lies_on_its_plan():
    plan = {}
    for row in PLANNED:
        where = row["dimension_series"], float(row["bore"])
        plan[where] = float(row["outside"]), float(row["width"])
    plan["18", 40.0] = (52.0, 7.0)  # the library prints 40 x 40: no ring can be that thin
    checked = 0
    for dimension_series, ours in SERIES.items():
        for row in bearing_rows():
            where = dimension_series, row.bore
            if row.series in ours and where in plan and where not in OWN_WIDTH:
                assert (row.outside, row.width) == plan[where], row.designation
                checked += 1
    assert checked > 600
