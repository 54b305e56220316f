"""The bearings' tables: loaded, ordered, complete, with limits for every row."""

import pytest

from shared.standards.bearings import (
    TABLES,
    bearing_rows,
    bore_of_code,
    by_number,
    deviations,
)
from shared.standards.reader import Basis

BORES = [10, 12, 15, 17, *range(20, 101, 5)]


def test_every_table_loads():
    assert [bool(table.load()) for table in TABLES] == [True] * len(TABLES)


@pytest.mark.parametrize("series", ["60", "62", "63", "68", "69", "72", "73", "NU2", "NU3"])
def test_a_series_has_every_bore_that_it_is_made_with(series):
    first = {"NU2": 15, "NU3": 17}.get(series, 10)
    wanted = {float(bore) for bore in BORES if bore >= first}
    assert wanted <= {row.bore for row in bearing_rows() if row.series == series}


def test_the_bore_code_gives_the_bore_of_every_coded_number():
    coded = [row for row in bearing_rows() if row.series in {"60", "62", "63", "64", "302", "511"}]
    for row in coded:
        if row.bore >= 10 and "/" not in row.designation:
            assert bore_of_code(row.designation[-2:]) == row.bore


@pytest.mark.parametrize("code", ["", "1", "97", "٠٣", "2 ", "-1", "123"])
def test_other_texts_are_no_bore_code(code):
    assert bore_of_code(code) is None


def test_every_row_has_limits_of_each_dimension():
    for row in bearing_rows():
        for dimension in ("bore", "outside", "width"):
            low, high = deviations(row, dimension)
            assert low < high


def test_within_a_series_a_larger_bore_never_has_a_smaller_outside():
    seen = {}
    for row in sorted(bearing_rows(), key=lambda row: (row.bore, row.outside)):
        if row.series in {"inch", "MR", "R", "16", "BK", "HK"}:
            continue  # not plans with one outside diameter a bore
        assert row.outside >= seen.get(row.series, 0)
        seen[row.series] = row.outside


def test_cone_and_cup_of_a_set_share_all_but_their_last_two_figures():
    """By this a set, its cone and its cup are gathered under one key."""
    for row in bearing_rows():
        if row.series == "inch":
            cone, cup = (half.rstrip("A") for half in row.designation.split("/"))
            assert cone[:-2] == cup[:-2]


def test_what_no_second_table_has_is_said_to_be_from_memory():
    for row in bearing_rows():
        if row.series == "BK" or row.designation in {"HK1212", "RNA4907", "L44643/L44610"}:
            assert row.basis is Basis.MEMORY


def test_the_same_bore_has_the_same_shell_open_or_closed():
    """Drawn cups: one outside diameter a bore, but for the thin 12 mm one, HK1210 and BK1210."""
    cups = [row for row in bearing_rows() if row.series in {"HK", "BK"}]
    thick = {(row.bore, row.outside) for row in cups if not row.designation.endswith("1210")}
    assert len(thick) == len({bore for bore, _ in thick})
    assert (12.0, 18.0) in thick


def test_a_needle_bearing_without_its_inner_ring_keeps_outside_and_width():
    rows = by_number()
    for number in [number for number in rows if number.startswith("RNA49")]:
        with_ring = rows[number.removeprefix("R")]
        bare = rows[number]
        assert (bare.outside, bare.width) == (with_ring.outside, with_ring.width)
        assert with_ring.bore < bare.bore < bare.outside


def test_both_names_of_a_thin_bearing_lead_to_one_row():
    assert by_number()["61800"] is by_number()["6800"]
    assert by_number()["619/8"] is by_number()["698"]
