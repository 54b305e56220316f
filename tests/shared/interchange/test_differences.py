"""Same size is not same duty: what is left open is told. Common practice, no source."""

import pytest

from shared.designations.model import StandIn
from shared.interchange.differences import conditions_of, differences_of, duty_to_check
from shared.interchange.equals import Equal, equal_by_designation
from shared.interchange.model import DutyAspect


def test_a_finer_class_is_a_difference_that_does_no_harm():
    equal = equal_by_designation("6205", "6205 P5")
    assert equal is not None and equal.is_candidate
    (found,) = differences_of(equal)
    assert found.aspect is DutyAspect.SPEED
    assert "P5" in found.difference and "no harm" in found.effect


@pytest.mark.parametrize(
    ("note", "aspect"),
    [
        ("gains clearance C3", DutyAspect.CLEARANCE),
        ("lacks contact seals, both sides", DutyAspect.SEALING),
        ("gains shield on one side", DutyAspect.SEALING),
        ("lacks lip material FKM", DutyAspect.MATERIAL),
        ("gains brass cage", DutyAspect.MATERIAL),
        ("lacks tolerance class P5", DutyAspect.SPEED),
        ("gains class 10.9", DutyAspect.LOAD),
        ("lacks outer-ring feature: snap-ring groove", DutyAspect.FORM),
        ("gains the other half of the set", DutyAspect.OTHER),
    ],
)
def test_what_differs_is_told_under_its_aspect(note, aspect):
    (found,) = differences_of(Equal(StandIn.SERVES, (note,)))
    assert (found.aspect, found.difference) == (aspect, note)
    assert found.effect


def test_what_is_to_be_looked_at_is_no_difference():
    equal = Equal(StandIn.SAME, ("Compare both ends.", "gains clearance C3"))
    assert conditions_of(equal) == ("Compare both ends.",)
    assert len(differences_of(equal)) == 1


@pytest.mark.parametrize(
    ("designation", "open_", "told"),
    [
        ("6205", ["load", "speed", "material", "clearance", "sealing"], []),
        ("6205-2RS C3", ["load", "speed", "material"], ["clearance", "sealing"]),
        ("25x47x7", ["speed", "pressure", "material", "sealing"], []),
    ],
)
def test_what_a_designation_leaves_open_is_asked_for(designation, open_, told):
    (line,) = duty_to_check(designation, designation)
    assert line.startswith("Same size is not same duty")
    assert all(word in line for word in open_)
    assert not any(word in line for word in told)


def test_what_either_leaves_open_is_open():
    (line,) = duty_to_check("6205 C3", "6205")
    assert "clearance" in line


def test_a_key_has_no_duty_of_its_own_to_compare():
    assert duty_to_check("DIN 6885 A 8x7x40", "DIN 6885 A 8x7x40") == ()


def test_of_a_text_that_nobody_reads_only_its_letters_are_known():
    (line,) = duty_to_check("XQ-99", "xq 99")
    assert "by its letters alone" in line
