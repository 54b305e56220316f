"""Limits and fits: what is refused, and the laws that every class keeps."""

import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.standards.iso286 import FitKind, deviations, fit, limits, tolerance_grade

SIZES = (0.5, 1, 3, 3.001, 6, 10, 17, 25, 47, 110, 250.5, 315, 400, 499, 500)
GRADES = [str(grade) for grade in range(3, 9)]


@pytest.mark.parametrize("size", [0, -1, 500.1, float("nan"), float("inf")])
def test_sizes_beyond_the_tables_are_refused(size):
    with pytest.raises(OutOfRange) as error:
        deviations(size, "H7")
    assert error.value.pointer == "/nominal"


@pytest.mark.parametrize(
    "text",
    ["", "H", "7", "H19", "H07", "w7", "Hh7", "hH7", "js", "i6", "H7g6", "x" * 10_000, "Ｈ7"],
)
def test_what_is_no_class_is_refused(text):
    with pytest.raises(InvalidInput) as error:
        deviations(25, text)
    assert error.value.pointer == "/classes"


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (0.8, "A11"),
        (1, "b9"),
        (1, "N9"),
        (25, "K9"),
        (25, "K2"),
        (25, "j9"),
        (12, "cd8"),
        (20, "t6"),
    ],
)
def test_classes_that_the_standard_has_not_at_a_size_are_refused(size, name):
    with pytest.raises(InvalidInput, match="The tables have no"):
        deviations(size, name)


def test_every_zone_is_as_wide_as_its_grade():
    for size in SIZES:
        for grade in GRADES:
            for letter in "d e f g h js k m n p r s u x D E F G H JS K M N P R S U X".split():
                lower, upper = deviations(size, letter + grade)
                assert upper - lower == pytest.approx(tolerance_grade(size, grade))


def test_hole_basis_and_shaft_basis_fits_of_one_name_are_equal():
    # The purpose of delta: H7/p6 and P7/h6, H8/n7 and N8/h7 are tight alike. M6 breaks the rule.
    for size in (size for size in SIZES if size > 3):
        for letter, coarsest in (("k", 8), ("m", 8), ("n", 8), ("p", 7), ("r", 7), ("s", 7)):
            for grade in range(5, coarsest + 1):
                if (letter, grade) == ("m", 6) and 250 < size <= 315:
                    continue
                hole = fit(size, f"H{grade}", f"{letter}{grade - 1}")
                shaft = fit(size, f"{letter.upper()}{grade}", f"h{grade - 1}")
                assert hole.least_clearance == pytest.approx(shaft.least_clearance, abs=1e-9)


def test_m6_keeps_the_exception_of_the_standard():
    assert deviations(300, "M6") == (-41, -9)


def test_coarser_grades_are_never_narrower():
    names = ["01", *map(str, range(19))]
    for size in SIZES:
        widths = [tolerance_grade(size, name) for name in names]
        assert widths == sorted(widths)


def test_kinds_of_fit():
    assert fit(25, "H7", "g6").kind is FitKind.CLEARANCE
    assert fit(25, "H7", "h6").kind is FitKind.CLEARANCE
    assert fit(25, "H7", "k6").kind is FitKind.TRANSITION
    assert fit(25, "H7", "p6").kind is FitKind.INTERFERENCE
    assert limits(25, "H7").most == pytest.approx(25.021)
