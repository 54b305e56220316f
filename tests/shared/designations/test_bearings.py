"""Bearing designations as people write them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.designations.bearings import plain_bearing, read_bearing
from shared.designations.reading import readings_of
from shared.standards.bearings import bearing_rows


def one(text):
    (found,) = read_bearing(text)
    return found


WRITTEN = [
    ("6205", "6205"),
    ("6205-2RS", "6205-2RS"),
    ("6205 2RS C3", "6205-2RS C3"),
    ("6205 c3/2rs", "6205-2RS C3"),
    ("6205ZZ", "6205-2Z"),
    ("6205.ZZ.C3", "6205-2Z C3"),
    ("62052RS", "6205-2RS"),
    ("608zz", "608-2Z"),
    ("6205 2RS1", "6205-2RS"),
    ("6205LLU", "6205-2RS"),
    ("6205DDU", "6205-2RS"),
    ("6205RSZ", "6205-RS-Z"),
    ("6205ZZNR", "6205-2Z NR"),
    ("6205 P63", "6205 P6 C3"),
    ("6203N1", "6203 N1"),
    ("NU 205 ECP", "NU205 EC P"),
    ("7205B", "7205 B"),
    ("32005-X", "32005X"),
    ("32005", "32005X"),
    ("61805", "6805"),
    ("619/8", "698"),
    ("LM11749-LM11710", "LM11749/LM11710"),
    ("LM11749 / LM11710", "LM11749/LM11710"),
    ("SS6205-2RS", "SS 6205-2RS"),
    ("6203-3/4", "6203-3/4"),
    ("6203-12", "6203-3/4"),
    ("6203-2RS-3/4", "6203-3/4-2RS"),
    ("6205-16", "6205-16/16"),
    ("R4A", "R4A"),
    ("hk1612", "HK1612"),
    ("taper roller bearing 30205", "30205 taper roller"),
    ("305", "6305"),
]


@pytest.mark.parametrize(("text", "canonical"), WRITTEN)
def test_spellings_lead_to_one_name(text, canonical):
    assert one(text).canonical == canonical


def test_a_slash_is_part_of_the_number():
    assert (one("62/22").bore, one("6222").bore) == (22.0, 110.0)
    assert one("62/22-2RS").outside == 50.0
    assert "6222" in one("62/22").notes[0]
    assert "62/22" in one("6222").notes[0]


def test_text_that_can_be_cut_two_ways_gives_both():
    assert [found.canonical for found in read_bearing("62202RS")] == ["62202-RS", "6220-2RS"]
    assert [found.canonical for found in read_bearing("62002RS")] == ["6200-2RS"]


def test_an_unknown_mark_is_kept_and_said_to_be_unknown():
    found = one("6205/5K")
    (mark,) = found.marks
    assert (mark.mark, mark.is_known) == ("5K", False)
    assert "'5K' is no mark" in found.notes[-1]


def test_the_old_form_is_read_as_such_with_unknown_letters_kept():
    found = one("306SZZG")
    assert found.basic == "6306"
    assert [mark.mark for mark in found.marks if mark.is_known] == ["2Z"]
    assert [mark.mark for mark in found.marks if not mark.is_known] == ["S", "G"]
    assert "old form" in found.notes[0]


def test_seals_widen_an_inch_bearing():
    assert one("R6").width == 5.556
    assert one("R6-2RS").width == 7.144


def test_an_inch_bore_in_a_metric_plan_is_the_bore_that_is_given():
    found = one("6203-3/4")
    assert (found.bore, found.outside, found.width) == (19.05, 40.0, 12.0)


def test_a_number_that_no_table_holds_has_its_bore_by_rule_alone():
    found = one("6226")
    assert (found.bore, found.outside, found.width) == (130.0, None, None)
    assert "No table" in found.notes[0]


def test_a_cone_alone_has_a_bore_only():
    cone, cup = one("L44643"), one("L44610")
    assert (cone.bore, cone.outside, cone.width) == (25.4, None, None)
    assert (cup.bore, cup.outside) == (None, 50.292)


def test_a_description_that_contradicts_the_number_is_noted():
    assert any("Stop" in note for note in one("taper roller bearing 6306").notes)
    assert not any("Stop" in note for note in one("ball bearing 6306").notes)


@pytest.mark.parametrize(
    "text",
    [
        "", "M8x1.25", "25x47x7", "6205 BANANA", "6205 2RS ZZ 2RS", "620511", "6203-1/2", "62-05",
        "10-32", "6205 C3 C4", "-", "62/0/5", "٦٢٠٥", "6205" * 30, "6203-0/0", "RS", "K", "HK",
    ],
)  # fmt: skip
def test_other_texts_name_no_bearing(text):
    assert read_bearing(text) == ()


PIECES = [
    "RS", "ARS", "2RS", "ZZ", "NR", "C3", "P63", "X", "INOX", "ball", "K", "5K", "G", "-", " ", "/",
    "3/4", "12", "AS568-", "214", "bearing", "LHT23",
]  # fmt: skip
NUMBERS = ["6205", "62/22", "R6", "R2", "126", "NU205", "SS 608", "306", "L44643", "32005X"]


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(NUMBERS), st.lists(st.sampled_from(PIECES), max_size=5))
def test_glued_pieces_are_refused_or_have_a_name_that_is_read_back(number, pieces):
    for found in read_bearing(number + "".join(pieces)):
        again = read_bearing(found.canonical)
        assert [one.canonical for one in again] == [found.canonical]
        assert again[0].marks == found.marks


SUFFIXES = ["", "-2RS", " C3", "-2Z P6 C3", " N1", " B", " TN", " K", " XYZ"]


def test_every_number_is_read_from_its_own_name():
    for row in bearing_rows():
        plain = plain_bearing(row.designation)
        assert readings_of(plain.canonical) == (plain,)
        assert (plain.bore, plain.outside, plain.width) == (row.bore, row.outside, row.width)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(bearing_rows()), st.sampled_from(SUFFIXES))
def test_reading_the_canonical_form_gives_the_same(row, suffix):
    found = one(row.designation + suffix)
    assert read_bearing(found.canonical) == (found,)


@settings(max_examples=150, deadline=None)
@given(st.text(st.characters(codec="ascii"), max_size=60))
def test_no_text_breaks_the_reader(text):
    read_bearing(text)
    read_bearing("6205" + text)


@settings(max_examples=80, deadline=None)
@given(st.text("ABCDEKLMNPRSUZ0123456789 -/", max_size=50))
def test_marks_of_any_length_are_read_or_refused(text):
    for found in read_bearing("6205 " + text):
        assert read_bearing(found.canonical) == (found,)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("6205NKE", "NKE"), ("203KDD", "KDD"), ("6205-2HRS", "2HRS"), ("6205E", "E"),
        ("6205P", "P"), ("6205K", "K"), ("7205 P4A", "P4A"), ("HK1612AS1", "AS1"),
        ("6205 2NSE", "2NSE"), ("22205 CCK", "CCK"),
    ],
)  # fmt: skip
def test_codes_of_makers_are_not_taken_apart(text, code):
    [found] = read_bearing(text)
    assert [(mark.mark, mark.is_known) for mark in found.marks] == [(code, False)]
    assert read_bearing(found.canonical)[0].marks == found.marks


def test_a_cage_is_no_tolerance_class():
    [found] = read_bearing("NU205-E-TVP2")
    assert [mark.mark for mark in found.marks] == ["E", "TVP"]


def test_w_before_a_number_is_one_makers_word_for_stainless():
    assert read_bearing("W208") == ()
    [found] = read_bearing("W6208")
    assert (found.canonical, found.marks[0].mark) == ("W 6208", "W")
    assert read_bearing(found.canonical) == (found,)


def test_a_size_of_pipe_thread_is_named_beside_the_bearing():
    assert any("taper pipe thread of 3 in" in note for note in read_bearing("R 3")[0].notes)


def test_a_number_is_not_cut_within_its_figures():
    # Two cages: no reading, and none as the old form 313 with "06TVP" behind it.
    assert read_bearing("31306TVP MB") == ()
    assert read_bearing("3213LLU/DDU") == ()
