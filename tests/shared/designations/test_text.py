"""What people type, brought to the small alphabet of the parsers."""

import pytest

from shared.designations.text import MOST_CHARACTERS, tidy
from shared.errors import InvalidInput


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("M8 × 1,25", "M8 x 1.25"),
        ("M8*1.25*40", "M8x1.25x40"),
        ("25–47—7", "25-47-7"),
        ("1½″", '1 1/2"'),
        ("¼-20", "1/4-20"),
        ("3⁄8 BSW", "3/8 BSW"),
        ("M8\u00a0x\t40 ", "M8 x 40"),
        ("M8 (fine); zinc, black", "M8 fine zinc black"),
        ("1/4'' UNC", '1/4" UNC'),
        ("Ø25x47x7", "25x47x7"),
        ("x,75", "x.75"),
    ],
)
def test_signs_that_look_alike_become_one(typed, read):
    assert tidy(typed) == read


@pytest.mark.parametrize(
    "typed",
    ["", " \t", "Ｍ８", "M８", "М8", "M8²", "M8\u200bx1", "M8\x00", "M8\ud800", "٨x1", "M8…", "Ⅷ"],
)
def test_odd_characters_are_refused_by_name_at_the_place_asked_from(typed):
    with pytest.raises(InvalidInput) as refused:
        tidy(typed, "/designation")
    assert refused.value.pointer == "/designation"
    assert refused.value.code == "text-characters"
    refused.value.detail.encode()


def test_overlong_text_is_refused_before_it_is_looked_at():
    assert tidy("M" * MOST_CHARACTERS) == "M" * MOST_CHARACTERS
    with pytest.raises(InvalidInput):
        tidy("M" * (MOST_CHARACTERS + 1))
