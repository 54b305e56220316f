"""One maker's rule for its numbers: what may be left off, what carries meaning."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.interchange.model import NumberRule
from shared.interchange.part_numbers.normal import normal_form
from shared.interchange.part_numbers.rules import check_rule, is_same_under, spellings

BARE = NumberRule("nrl_0", "Maker B", "its parts service")
# Situations from the trade: one maker's bare five digits mean suffix 001; with another a letter
# behind the number may be another part altogether.
SUFFIX = NumberRule("nrl_1", "Maker A", "its list", base_length=5, default_suffix="001")
LETTER = NumberRule("nrl_2", "Maker C", "its book", last_letter_is_optional=True)
KEPT = NumberRule("nrl_3", "Maker D", "its book", kept_separators="-")
RULES = st.builds(
    replace,
    st.just(BARE),
    base_length=st.just(3),
    default_suffix=st.sampled_from(["1", "01", "a"]),
    last_letter_is_optional=st.booleans(),
    kept_separators=st.sampled_from([None, "-", ". "]),
)
NUMBERS = st.text("01A-", min_size=1, max_size=6)


@pytest.mark.parametrize(
    ("rule", "one", "other", "is_same"),
    [
        (SUFFIX, "12345", "12345-001", True),
        (SUFFIX, "12345", "12345-789", False),
        (SUFFIX, "12345-001", "12345001", True),
        (SUFFIX, "12345-001", "12345-789", False),
        (SUFFIX, "1234", "1234-001", False),
        (SUFFIX, "12345-001", "12345-001-001", False),
        (BARE, "100-521-00", "100-521-00A", False),
        (BARE, "100-521-00", "10052100", True),
        (LETTER, "100-521-00", "100-521-00A", True),
        (LETTER, "100-521-00A", "100-521-00B", False),
        (LETTER, "100-521-00", "100-521-00AB", False),
        (LETTER, "100-521-AB", "100-521-A", False),
        (LETTER, "Ж", "Ж1", False),
        (KEPT, "12-345", "123-45", False),
        (KEPT, "12-345", "12 - 345", True),
    ],
)
def test_each_maker_has_its_own_rule(rule, one, other, is_same):
    assert is_same_under(rule, one, other) is is_same
    assert is_same_under(rule, other, one) is is_same


def test_with_kept_separators_only_the_one_before_the_suffix_is_free():
    rule = replace(SUFFIX, kept_separators="-")
    assert is_same_under(rule, "12345", "12345-001")
    assert is_same_under(rule, "123-45", "123-45001")
    assert not is_same_under(rule, "123-45", "12345-001")
    assert not is_same_under(rule, "12345-001", "12345001")


@given(RULES, NUMBERS, NUMBERS)
def test_the_same_goes_both_ways(rule, one, other):
    assert is_same_under(rule, one, one)
    assert is_same_under(rule, one, other) == is_same_under(rule, other, one)


@given(RULES, NUMBERS)
def test_a_spelling_leads_back(rule, number):
    key = normal_form(number)
    for other in spellings(key, rule):
        assert other != key
        assert key in spellings(other, rule)


@given(NUMBERS, NUMBERS)
def test_without_a_rule_only_the_same_characters_are_the_same(one, other):
    assert is_same_under(BARE, one, other) == (normal_form(one) == normal_form(other))
    assert spellings(normal_form(one), BARE) == ()


@pytest.mark.parametrize(
    "rule", [BARE, SUFFIX, LETTER, KEPT, replace(KEPT, kept_separators=" -._")]
)
def test_sound_rules_pass(rule):
    check_rule(rule)


@pytest.mark.parametrize(
    ("rule", "pointer"),
    [
        (replace(BARE, base_length=5), "/default_suffix"),
        (replace(BARE, default_suffix="001"), "/base_length"),
        (replace(SUFFIX, base_length=0), "/base_length"),
        (replace(SUFFIX, base_length=201), "/base_length"),
        (replace(SUFFIX, default_suffix="-001"), "/default_suffix"),
        (replace(SUFFIX, default_suffix=""), "/default_suffix"),
        (replace(SUFFIX, default_suffix="É"), "/default_suffix"),
        (replace(KEPT, kept_separators="-/"), "/kept_separators"),
        (replace(KEPT, kept_separators=""), "/kept_separators"),
    ],
)
def test_a_rule_that_cannot_be_followed_is_refused(rule, pointer):
    with pytest.raises(InvalidInput) as refused:
        check_rule(rule)
    assert refused.value.pointer == pointer
