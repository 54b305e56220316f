"""Numbers one error of typing away, against an edit distance counted apart."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.interchange.part_numbers.near import LONGEST, SHORTEST, near_forms, told
from shared.interchange.part_numbers.normal import folded_form

CHARACTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/"
KEYS = st.text(CHARACTERS, min_size=SHORTEST, max_size=10)
FEW = st.text("A0O1", min_size=1, max_size=6)


def edits(one: str, other: str) -> int:
    """Least number of substitutions, insertions, deletions and exchanges of neighbours.

    The table of the optimal string alignment distance (Damerau 1964 for the four sorts of error),
    filled as the textbooks have it.
    """
    table = [[row + column for column in range(len(other) + 1)] for row in range(len(one) + 1)]
    for row, column in product(range(1, len(one) + 1), range(1, len(other) + 1)):
        is_other = one[row - 1] != other[column - 1]
        table[row][column] = min(
            table[row - 1][column] + 1,
            table[row][column - 1] + 1,
            table[row - 1][column - 1] + is_other,
        )
        is_exchange = (
            row > 1
            and column > 1
            and one[row - 1] == other[column - 2]
            and one[row - 2] == other[column - 1]
        )
        if is_exchange:
            table[row][column] = min(table[row][column], table[row - 2][column - 2] + 1)
    return table[-1][-1]


def test_the_distance_of_this_test_counts_as_published():
    # Damerau (1964): one error each; "kitten" and "sitting" are three apart (textbooks).
    assert edits("kitten", "sitting") == 3
    assert edits("ABCD", "ABDC") == edits("ABCD", "ABXCD") == edits("ABCD", "ABD") == 1


@settings(max_examples=20)
@given(KEYS)
def test_near_forms_are_all_one_error_away_and_never_the_key(key):
    forms = near_forms(key)
    assert list(forms) == sorted(set(forms))
    assert {edits(key, form) for form in forms} == {1}


@given(FEW, FEW)
def test_what_is_one_error_away_is_near(one, other):
    is_long_enough = min(len(one), len(other)) >= SHORTEST
    assert (other in near_forms(one)) == (is_long_enough and edits(one, other) == 1)


@given(KEYS, st.data())
def test_near_goes_both_ways(key, data):
    other = data.draw(st.sampled_from(near_forms(key)))
    assert key in near_forms(other)


@pytest.mark.parametrize("length", [LONGEST - 1, LONGEST, LONGEST + 1, 200])
def test_near_goes_both_ways_at_the_longest(length):
    key = ("7B04/X" * 40)[:length]
    forms = near_forms(key)
    assert len(forms) > length - 5
    assert all(key in near_forms(form) for form in forms[::97])


@settings(max_examples=40)
@given(KEYS)
def test_what_is_near_is_told(key):
    assert all(told(key, form) for form in near_forms(key))


@given(FEW, FEW)
def test_what_is_told_is_one_error_away_or_looks_alike(one, other):
    is_like = folded_form(one) == folded_form(other)
    assert (told(one, other) is not None) == (one != other and (is_like or edits(one, other) == 1))


def test_short_numbers_have_nothing_near():
    assert near_forms("716") == ()
    assert {len(form) for form in near_forms("7168")} == {SHORTEST, SHORTEST + 1}


def test_of_a_long_number_only_look_alikes_and_exchanges_are_near():
    key = "7" * 40 + "B"
    assert set(near_forms(key)) == {"7" * 40 + "8", "7" * 39 + "B7"}


def test_a_sign_of_the_key_itself_may_be_typed_twice():
    assert "71#68#4" in near_forms("71#684")
    assert "71#684" in near_forms("71#68#4")


@pytest.mark.parametrize(
    ("key", "other", "words"),
    [
        ("716B04", "716804", "look-alike B/8 at character 4"),
        ("7168O4", "716804", "look-alike O/0 at character 5"),
        (
            "7I6BO4",
            "716804",
            "look-alike I/1 at character 2, B/8 at character 4, O/0 at character 5",
        ),
        ("716840", "716804", "two characters exchanged at 5-6"),
        ("716404", "716904", "another character at 4: 4 for 9"),
        ("71604", "716804", "one character more at 4: 8"),
        ("7168804", "716804", "one character less at 5: 8"),
        ("716804", "716804A", "one character more at 7: A"),
        ("0OAA", "O0AA", "look-alike 0/O at character 1, O/0 at character 2"),
        ("716804", "716804", None),
        ("716804", "617804A", None),
        ("716804", "726894", None),
    ],
)
def test_the_difference_is_told_in_words(key, other, words):
    assert told(key, other) == words
