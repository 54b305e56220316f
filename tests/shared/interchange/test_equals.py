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
        ("1/4-20", "1/4 - 20"),
        ("6205-2RS", "6205 2rs"),
        ("M8x25 8.8", "M8 x 1,25 x 25 - 8.8"),
        ("R-2", "R-2"),
        ("6203UL", "6203 UL"),
    ],
)
def test_one_designation_is_its_own_equal(wanted, offered):
    for one, other in ((wanted, wanted), (wanted, offered), (offered, wanted)):
        found = equal_by_designation(one, other)
        assert found is not None
        assert found.outcome is StandIn.SAME
