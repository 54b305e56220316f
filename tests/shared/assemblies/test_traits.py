"""What depends on hand, ratio, generation or variant goes only between units alike in it."""

from datetime import date
from decimal import Decimal

import pytest

from shared.assemblies.traits import Hand, Traits, is_same_ratio, why_of_another_kind

FULL = Traits("1", date(2031, 1, 1), Hand.LEFT, Decimal("3.73"), "second", "marine")


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        # Drives of 1.98 and 1.84 turns do not go for one another: a trade's forum.
        ("1.98", "1.84", False),
        ("3.73", "3.727", True),
        ("2", "1.98", False),
        ("2", "2.00", True),
        ("2", "2.004", True),
        ("3.7", "3.73", False),
        ("3.730", "3.731", False),
        ("4.10", "4.1", True),
    ],
)
def test_ratios_as_far_as_they_are_written(one, other, expected):
    assert is_same_ratio(Decimal(one), Decimal(other)) is expected
    assert is_same_ratio(Decimal(other), Decimal(one)) is expected


def test_units_alike_in_all_that_is_on_record():
    other = Traits("2", date(2029, 1, 1), Hand.LEFT, Decimal("3.727"), " Second", "MARINE ")
    assert why_of_another_kind(FULL, other) is None


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"hand": Hand.RIGHT}, "hand"),
        ({"ratio": Decimal("3.55")}, "ratio"),
        ({"generation": "first"}, "generation"),
        ({"variant": "road"}, "variant"),
    ],
)
def test_one_difference_is_enough(facts, told):
    own = {"hand": Hand.LEFT, "ratio": Decimal("3.73"), "generation": "second", "variant": "marine"}
    why = why_of_another_kind(Traits(**own), Traits(**(own | facts)))
    assert why is not None and f"depends on the {told}: the other is" in why


@pytest.mark.parametrize("fact", ["hand", "ratio", "generation", "variant"])
def test_what_is_on_record_of_one_unit_only_is_a_no(fact):
    known = Traits(**{fact: getattr(FULL, fact)})
    for pair in ((known, Traits()), (Traits(), known)):
        why = why_of_another_kind(*pair)
        assert why == f"depends on the {fact}, and that of one unit is not on record"


def test_nothing_on_record_of_either_is_a_no():
    serials = Traits(serial_number="1", built_on=date(2031, 1, 1))
    assert "not on record" in (why_of_another_kind(serials, serials) or "")
