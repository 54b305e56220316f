"""Serial numbers: compared as numbers, within one series of letters, or not at all."""

import pytest

from shared.assemblies.serials import is_contradictory, serial_in_range, serial_order


@pytest.mark.parametrize(
    ("serial", "is_first_rule", "is_second_rule"),
    [
        ("99999E", True, False),
        ("341505E", True, False),
        ("341506E", True, True),
        ("341507E", False, True),
        ("341506", None, None),
        ("341506F", None, None),
        ("L341505E", None, None),
    ],
)
def test_a_break_in_a_series_of_letters(serial, is_first_rule, is_second_rule):
    # A workshop manual's wording, figures filled in: "up to 341506E" and "from 341506E".
    assert serial_in_range(serial, None, "341506E") is is_first_rule
    assert serial_in_range(serial, "341506E", None) is is_second_rule


def test_numbers_are_compared_as_numbers_and_leading_zeros_say_nothing():
    assert serial_in_range("LF-00417", "LF-100", "LF-500") is True
    assert serial_in_range("LF-9", "LF-10", None) is False


def test_case_and_outer_blanks_say_nothing():
    assert serial_in_range(" lf-417b ", "LF-417B", "lf-500b") is True


def test_bounds_belong_to_the_range():
    assert serial_in_range("100", "100", "200") is True
    assert serial_in_range("200", "100", "200") is True
    assert serial_in_range("201", "100", "200") is False
    assert serial_in_range("99", "100", "200") is False


@pytest.mark.parametrize("serial", [None, "", "  ", "ABC", "12A34", "1" * 19])
def test_what_has_no_order_cannot_be_told(serial):
    assert serial_in_range(serial, "100", "200") is None


@pytest.mark.parametrize("serial", [None, "", "341506E"])
def test_without_bounds_every_unit_is_in(serial):
    assert serial_in_range(serial, None, None) is True


def test_a_serial_number_without_an_order_is_still_itself():
    assert serial_in_range("12a34", "12A34", "12A34") is True
    assert serial_in_range("12A35", "12A34", "12A34") is None


@pytest.mark.parametrize(("first", "last"), [("A100", "B200"), ("X", "A200"), ("A100", "X")])
def test_outside_one_bound_is_outside_whatever_the_other_says(first, last):
    outside = "A99" if first == "A100" else "A201"
    assert serial_in_range(outside, first, last) is False
    assert serial_in_range("A150", first, last) is None


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [
        ("500", "100", True),
        ("LF-500b", "lf-100B", True),
        ("100", "100", False),
        ("99999E", "341506E", False),
        ("500E", "100F", False),
        ("X", "A1", False),
        (None, "100", False),
        ("100", None, False),
        (None, None, False),
    ],
)
def test_a_range_that_holds_nothing(first, last, expected):
    assert is_contradictory(first, last) is expected


def test_the_parts_of_a_serial_number():
    assert serial_order("MB 0012 x") == ("MB ", 12, " X")
    assert serial_order("12-34") is None
