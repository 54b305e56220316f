"""Bearings by their measured sizes, and what stamp and description say against them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.interchange.identification.bearings import (
    DIMENSIONS,
    KINDS,
    advise,
    check_described,
    check_stamp,
    sizes,
)
from shared.interchange.identification.engine import identify
from shared.interchange.identification.model import Doubt, Measured, PartState
from shared.standards.bearings import bearing_rows


def read(**measured):
    return {name: Measured(value, 0.03) for name, value in measured.items()}


def named(kind="ball", **measured):
    return [item.designation for item in identify(read(**measured), sizes(kind=kind)).items]


def test_each_boundary_size_of_a_kind_is_one_item():
    for kind in KINDS:
        found = sizes(kind=kind)
        assert len({size.designation for size in found}) == len(found)
        for size in found:
            assert set(size.made) == set(DIMENSIONS)
            for dimension, made in size.made.items():
                assert made.least < made.most
                assert made.least - 1e-9 <= size.nominal[dimension] <= made.most + 1e-9


def test_every_row_is_an_item_or_named_with_one():
    said = {size.designation for size in sizes(kind="all")}
    for size in sizes(kind="all"):
        for note in size.notes:
            said.update(word.strip(".,:;()") for word in note.split())
    assert {row.designation for row in bearing_rows()} <= said


def test_a_deep_groove_bearing_comes_before_the_rarer_ones_of_its_size():
    found = identify(read(bore=20.0, outside=47.0, width=14.0), sizes())
    assert found.items[0].designation == "6204"
    assert {"7204", "1204"} <= {item.designation for item in found.items}
    assert "NU204" in " ".join(found.items[0].notes)


def test_open_and_sealed_inch_bearings_are_told_by_their_width():
    assert named(bore=19.05, outside=41.275, width=11.1)[0] == "R12-2RS"
    assert named(bore=19.05, outside=41.275, width=7.93)[0] == "R12"
    assert named(bore=19.05, outside=41.275, width=12.68)[0] == "1630"


def test_an_inch_look_alike_is_named_beside_the_metric_one():
    (size,) = [size for size in sizes() if size.designation == "6900"]
    assert any(note.startswith("Inch look-alike: R6") for note in size.notes)


@pytest.mark.parametrize(
    ("kind", "measured", "wanted"),
    [
        ("needle", {"bore": 16.0, "outside": 22.0, "width": 12.0}, "HK1612"),
        ("tapered", {"bore": 25.0, "outside": 52.0, "width": 16.3}, "30205"),
        ("tapered", {"bore": 17.46, "outside": 39.88, "width": 13.9}, "LM11749/LM11710"),
        ("thrust", {"bore": 25.0, "outside": 42.0, "width": 11.0}, "51105"),
        ("roller", {"bore": 25.0, "outside": 52.0, "width": 18.0}, "NU2205"),
    ],
)
def test_other_kinds(kind, measured, wanted):
    assert named(kind, **measured)[0] == wanted


def test_an_unknown_kind_is_refused():
    with pytest.raises(InvalidInput):
        sizes(kind="plain")


def test_what_was_not_measured_is_asked_for():
    assert "outside and width" in " ".join(advise(read(bore=20.0), PartState.UNKNOWN))
    everything = read(bore=20.0, outside=47.0, width=14.0)
    assert len(advise(everything, PartState.NEW)) == 1


def test_a_stamp_that_agrees_is_not_remarked():
    assert check_stamp("6205", read(bore=24.98, outside=52.0, width=14.9)) == ()
    assert check_stamp("6205", {"bore": Measured(25.1, 0.05, Doubt.NORMAL)}) == ()


def test_a_stamp_that_contradicts_names_what_the_sizes_are():
    notes = " ".join(check_stamp("6204", read(bore=25.0, outside=52.0, width=15.0)))
    assert "Stamp and bore contradict" in notes
    assert "those of 6205" in notes


@pytest.mark.parametrize("stamp", ["62202RS", "banana", "", "６２０５", "6226"])
def test_a_stamp_that_says_no_one_size_is_said_so(stamp):
    assert check_stamp(stamp, read(bore=25.0))


@pytest.mark.parametrize(
    ("described", "stamped", "conflicts"),
    [
        ("taper roller bearing", "6306", True),
        ("ball bearing", "NU205", True),
        ("needle bearing", "HK1612", False),
        ("roller bearing", "NU205", False),
        ("Ball bearing, sealed", "6306", False),
        ("bearing", "6306", False),
        ("thrust bearing", "not one", False),
    ],
)
def test_a_description_is_weighed_against_the_number(described, stamped, conflicts):
    assert bool(check_described(described, stamped)) is conflicts


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200), st.floats(0.001, 1e6))
def test_no_stamp_breaks_the_check(stamp, bore):
    check_stamp(stamp, read(bore=bore))
    check_described(stamp, stamp)
