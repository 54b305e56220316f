"""Generic equals: what may be fitted because the designations say so."""

import pytest

from shared.designations.model import StandIn
from shared.interchange.equals import equal_by_designation


@pytest.mark.parametrize(
    ("wanted", "offered"),
    [
        ("M8x1.25-6g", "M8x1.25-6G"),
        ("M15-6g", "M15-6G"),
        ("R 2", "R-2"),
        ("M8-25", "M8 25"),
        ("1/4-20", "1/4-20 UNC"),
        ("62/22", "62-2"),
        # What a name leaves open is the same on neither part; nor is what it may name besides.
        ("M8", "M8"),
        ("M8x25 8.8", "M8 x 1,25 x 25 - 8.8"),
        ("25x47x7", "25 x 47 x 7"),
        ("AS568-214", "AS568-214"),
        ("8x7x40", "8x7x40"),
        ("1/4-20", "1/4 - 20"),
        ("214", "214"),
        ("R-2", "R-2"),
        ("6203UL", "6203 UL"),
    ],
)
def test_letters_alike_are_not_enough(wanted, offered):
    for one, other in ((wanted, offered), (offered, wanted)):
        found = equal_by_designation(one, other)
        assert found is None or not found.is_candidate


@pytest.mark.parametrize(
    ("wanted", "offered"),
    [
        ("smoke shifter 7", "SMOKE-SHIFTER 7"),
        ("6205-2RS", "6205 2rs"),
        ("M8x25 8.8 DIN 933", "M8 x 1,25 x 25 - 8.8 DIN 933"),
        ("25x47x7 TC NBR", "25 x 47 x 7 TC NBR"),
        ("AS568-214 NBR 70", "as568-214 NBR 70"),
    ],
)
def test_one_designation_is_its_own_equal(wanted, offered):
    for one, other in ((wanted, wanted), (wanted, offered), (offered, wanted)):
        found = equal_by_designation(one, other)
        assert found is not None
        assert found.outcome is StandIn.SAME
