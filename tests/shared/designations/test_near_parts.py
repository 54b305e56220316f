"""What is offered for a text that names no part: near it, readable, and nothing far-fetched."""

import pytest

from shared.designations.reading import readings_of
from shared.errors import InvalidInput


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("62O5", "6205"),
        ("25 47 7", "shaft seal 25x47x7"),
        ("2-214", "AS568-214"),
        ("6204 2RS 20x47x14", "6204-2RS"),
        ("24.99x2.62 NBR 70", "AS568-120"),
        ("O-ring 25x3.5 rubbery", "O-ring 25x3.5"),
        ("10", "M10"),
    ],
)
def test_the_nearest_part_is_offered_and_can_be_read(text, offered):
    with pytest.raises(InvalidInput) as refused:
        readings_of(text)
    assert offered in refused.value.fix
    assert readings_of(offered)


@pytest.mark.parametrize("text", ["K20x24x10", "UC205", "NK 20/16", "woodruff 5x6.5"])
def test_no_thread_is_offered_for_what_only_looks_like_one(text):
    with pytest.raises(InvalidInput) as refused:
        readings_of(text)
    assert "Nearest readable" not in refused.value.fix
