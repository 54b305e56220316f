"""A row of a maker's table: wear taken out, gaps told, doubt over several rows told."""

from decimal import Decimal

import pytest
from scipy.stats import norm

from shared.condition.table_choice import choose_row
from shared.condition.table_rows import Choice, TableRow, WornPart
from shared.errors import InvalidInput
from shared.quantities import Quantity


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


def row(says, lower=None, upper=None, **more):
    return TableRow(
        says,
        None if lower is None else mm(lower),
        None if upper is None else mm(upper),
        **more,
    )


ROWS = (row("thin", "0.10", "0.20"), row("thick", "0.25", "0.35"))


def test_a_value_in_a_row_gets_it_and_the_way_to_the_nearest_end():
    found = choose_row(mm("0.18"), (), ROWS)
    assert (found.choice, found.row, found.raw_row) == (Choice.ONE_ROW, 0, 0)
    assert found.to_edge == Decimal("0.02")
    assert not found.is_changed_by_wear
    assert any("doubt is not stated" in note for note in found.notes)


def test_between_rows_and_outside_the_table_there_is_no_row():
    between = choose_row(mm("0.22"), (), ROWS)
    assert (between.choice, between.row) == (Choice.BETWEEN_ROWS, None)
    assert "'thin' and 'thick'" in between.notes[0]
    for value in ("0.05", "0.36"):
        assert choose_row(mm(value), (), ROWS).choice is Choice.OUTSIDE_TABLE


def test_ends_belong_to_their_rows_unless_they_are_excluded():
    assert choose_row(mm("0.20"), (), ROWS).row == 0
    open_ended = (row("below", upper="0.20", is_upper_excluded=True), row("from", "0.20"))
    one = choose_row(mm("0.20"), (), open_ended)
    assert one.row == 1
    assert not any("Both rows" in note or "nothing is said" in note for note in one.notes)
    both = (row("below", upper="0.20"), row("from", "0.20"))
    found = choose_row(mm("0.20"), (), both)
    assert (found.choice, found.row, found.rows_at_value) == (Choice.SEVERAL_ROWS, None, (0, 1))
    assert any("Both rows 'below' and 'from' hold 0.20 mm" in note for note in found.notes)
    neither = (
        row("below", upper="0.20", is_upper_excluded=True),
        row("above", "0.20", is_lower_excluded=True),
    )
    between = choose_row(mm("0.20"), (), neither)
    assert between.choice is Choice.BETWEEN_ROWS
    assert any("nothing is said of 0.20 mm itself" in note for note in between.notes)


def test_wear_of_what_is_renewed_is_taken_out_in_whatever_unit():
    washers = WornPart("washers", (mm("2.90"), mm("2.95")), Quantity(Decimal("6"), "mm"))
    found = choose_row(Quantity(Decimal("330"), "µm"), [washers], ROWS)
    assert (found.unit, found.wear, found.corrected) == ("µm", Decimal(150), Decimal(180))
    assert (found.row, found.raw_row, found.is_changed_by_wear) == (0, 1, True)
    thick = WornPart("washer", (mm("3.02"),), mm("3.00"))
    odd = choose_row(mm("0.16"), [thick], ROWS)
    assert odd.corrected == Decimal("0.18")
    assert any("more than when new" in note for note in odd.notes)


def test_doubt_over_several_rows_chooses_none():
    washer = WornPart("washer", (mm("2.96", standard_uncertainty="0.03"),), mm("3.00"))
    found = choose_row(mm("0.24", standard_uncertainty="0.04"), [washer], ROWS)
    assert found.corrected == Decimal("0.20")
    assert found.standard_uncertainty == pytest.approx(0.05)
    assert (found.choice, found.row) == (Choice.DOUBTFUL, None)
    chances = {one.row: one.probability for one in found.chances}
    thin = norm.cdf(0.20, 0.20, 0.05) - norm.cdf(0.10, 0.20, 0.05)
    thick = norm.cdf(0.35, 0.20, 0.05) - norm.cdf(0.25, 0.20, 0.05)
    assert chances[0] == pytest.approx(thin, abs=1e-9)
    assert chances[1] == pytest.approx(thick, abs=1e-9)
    assert chances[None] == pytest.approx(1 - thin - thick, abs=1e-9)
    assert any("counts as exact: washer" in note for note in found.notes)


def test_a_fine_gauge_settles_the_row():
    found = choose_row(mm("0.18", standard_uncertainty="0.005"), (), ROWS)
    assert (found.choice, found.row) == (Choice.ONE_ROW, 0)
    near = choose_row(mm("0.198", standard_uncertainty="0.005"), (), ROWS)
    assert near.choice is Choice.DOUBTFUL
    assert choose_row(mm("0.198", standard_uncertainty="0.005"), (), ROWS, 0.6).row == 0
    surely = choose_row(mm("0.18", plus_minus="0.02"), (), ROWS)
    assert [one.row for one in surely.chances] == [0]


def test_gaps_and_overlaps_of_the_table_are_told():
    gap = choose_row(mm("0.15"), (), ROWS).notes
    assert any("nothing is said of 0.20 to 0.25 mm" in note for note in gap)
    overlapping = (row("one", "0.1", "0.3"), row("two", "0.2", "0.4"))
    assert any("overlap" in note for note in choose_row(mm("0.15"), (), overlapping).notes)


@pytest.mark.parametrize(
    ("measured", "worn", "rows", "pointer"),
    [
        (Quantity(Decimal(20), "°C"), (), ROWS, "/measured/unit"),
        (mm("1"), (), (), "/rows"),
        (mm("1"), (), (row("none"),), "/rows/0"),
        (mm("1"), (), (ROWS[0], row("down", "2", "1")), "/rows/1/upper"),
        (
            mm("1"),
            (),
            (TableRow("unsure", mm("1", plus_minus="0.1")),),
            "/rows/0/lower/plus_minus",
        ),
        (
            mm("1"),
            (WornPart("a", (Quantity(Decimal(1), "kg"),), mm("1")),),
            ROWS,
            "/corrections/0/measured/0/unit",
        ),
        (
            mm("1"),
            (WornPart("a", (mm("1"),), Quantity(Decimal(1), "kg")),),
            ROWS,
            "/corrections/0/new/unit",
        ),
    ],
)
def test_what_cannot_be_looked_up_is_refused_at_its_member(measured, worn, rows, pointer):
    with pytest.raises(InvalidInput) as caught:
        choose_row(measured, worn, rows)
    assert caught.value.pointer == pointer
    with pytest.raises(InvalidInput):
        choose_row(mm("0.15"), (), ROWS, 0.3)


def test_parts_worn_by_more_than_was_measured_are_a_slip():
    washer = WornPart("washer", (mm("2.70"),), mm("3.00"))
    with pytest.raises(InvalidInput) as caught:
        choose_row(mm("0.18"), [washer], (row("any", upper="0.35"),))
    assert (caught.value.pointer, caught.value.code) == ("/corrections", "wear-above-measured")
