"""Seals, O-rings, rings, keys and shims identified by measuring them."""

import pytest

from shared.designations.keys import read_key
from shared.designations.o_rings import read_o_ring
from shared.designations.retaining_rings import read_retaining_ring
from shared.designations.shaft_seals import read_shaft_seal
from shared.designations.shims import read_shim
from shared.designations.text import tidy
from shared.interchange.identification import (
    keys,
    o_rings,
    retaining_rings,
    shaft_seals,
    shims,
)
from shared.interchange.identification.engine import identify
from shared.interchange.identification.model import Change, Measured, PartState
from shared.interchange.identification.shaft_seals import MeasuredOn

STATES = tuple(PartState)


def measured(doubt=0.05, **sizes):
    return {name: Measured(value, doubt) for name, value in sizes.items()}


def first(sizes, doubt=0.05, **readings):
    return identify(measured(doubt, **readings), sizes).items[0]


@pytest.mark.parametrize(
    ("read", "sizes", "dimensions"),
    [
        (read_shaft_seal, shaft_seals.sizes(measured_on=MeasuredOn.SEAT), shaft_seals.DIMENSIONS),
        (read_shaft_seal, shaft_seals.sizes(measured_on=MeasuredOn.SEAL), shaft_seals.DIMENSIONS),
        (read_o_ring, o_rings.sizes(), o_rings.DIMENSIONS),
        (read_retaining_ring, retaining_rings.sizes(), retaining_rings.DIMENSIONS),
        (read_key, keys.sizes(with_length=True), keys.DIMENSIONS),
        (read_key, keys.sizes(), keys.DIMENSIONS[:2]),
        (read_shim, shims.sizes(), shims.DIMENSIONS),
        (read_shim, shims.sizes(with_thickness=False), shims.DIMENSIONS[:2]),
    ],
)
def test_every_size_has_a_name_that_reads_and_limits_in_order(read, sizes, dimensions):
    assert len({size.designation for size in sizes}) == len(sizes)
    for size in sizes:
        if "DIN 988" not in size.designation or "thickness" in size.nominal:
            (part,) = read(tidy(size.designation))
            assert part.canonical == size.designation
        # A key cut to length states none.
        stated = dimensions[: len(size.made)]
        assert tuple(size.made) == tuple(size.nominal) == stated
        assert len(stated) >= 2
        assert all(0 < made.least <= made.most for made in size.made.values())
        assert size.commonness > 0


@pytest.mark.parametrize(
    ("module", "more"),
    [
        (shaft_seals, {}), (o_rings, {}), (retaining_rings, {}),
        (keys, {"with_length": True}), (shims, {}),
    ],
)  # fmt: skip
def test_new_parts_lie_within_their_limits_and_used_ones_may_not(module, more):
    new = module.sizes(PartState.NEW, **more)
    if module is not shaft_seals:
        assert {m.change for size in new for m in size.made.values()} == {Change.NONE}
    changed = {
        m.change for size in module.sizes(PartState.USED, **more) for m in size.made.values()
    }
    assert changed - {Change.NONE}
    for state in STATES:
        for readings in ({}, {name: Measured(1.0, 0.1) for name in module.DIMENSIONS}):
            assert all(line.endswith(".") for line in module.advise(readings, state))


def test_a_seal_is_found_from_its_seats_and_from_itself():
    on_seats = shaft_seals.sizes(PartState.USED, MeasuredOn.SEAT)
    found = first(on_seats, shaft=24.93, housing=47.02, width=7.1)
    assert (found.designation, found.probability > 0.9) == ("shaft seal 25x47x7", True)
    # The same seal loose: lip under the shaft, outside over the bore.
    on_seal = shaft_seals.sizes(PartState.NEW, MeasuredOn.SEAL)
    found = first(on_seal, shaft=24.0, housing=47.22, width=7.0)
    assert found.designation == "shaft seal 25x47x7"
    unsaid = shaft_seals.sizes()
    for readings in (
        {"shaft": 24.95, "housing": 47.02},
        {"shaft": 24.2, "housing": 47.25},
        {"shaft": 24.95, "housing": 47.25},
    ):
        found = first(unsaid, width=7.0, **readings)
        assert (found.designation, found.probability > 0.8) == ("shaft seal 25x47x7", True)


def test_a_loose_seal_measured_as_if_it_were_its_seats_fits_nothing():
    on_seats = shaft_seals.sizes(PartState.NEW, MeasuredOn.SEAT)
    answer = identify(measured(0.02, shaft=24.2, housing=47.25, width=7.0), on_seats)
    assert answer.none_of_these > 0.5


def test_an_o_ring_between_two_lists_is_answered_with_both():
    answer = identify(measured(0.1, inside=25.0, section=3.54), o_rings.sizes(PartState.NEW))
    names = [item.designation for item in answer.items]
    assert {"AS568-214", "O-ring 25x3.55", "O-ring 25x3.5"} <= set(names)
    assert answer.items[0].probability < 0.9


def test_a_flattened_o_ring_is_still_found_as_used():
    flat = {"inside": 25.0, "section": 3.35}
    used = identify(measured(0.03, **flat), o_rings.sizes(PartState.USED))
    new = identify(measured(0.03, **flat), o_rings.sizes(PartState.NEW))
    assert used.none_of_these < 0.5 < new.none_of_these
    assert "AS568-214" in {item.designation for item in used.items}


def test_the_larger_section_of_a_flat_ring_is_to_be_trusted():
    advice = " ".join(o_rings.advise(measured(section=2.5), PartState.USED))
    assert "two directions" in advice
    assert "groove" in advice


def test_rings_are_told_by_their_groove_and_by_what_they_sit_on():
    shaft = retaining_rings.sizes(is_external=True)
    assert first(shaft, groove=23.85, thickness=1.18).designation == "DIN 471 25x1.2"
    assert all(size.standard == "DIN 471" for size in shaft)
    both = identify(measured(0.1, diameter=25.0), retaining_rings.sizes())
    assert {item.standard for item in both.items[:2]} == {"DIN 471", "DIN 472"}
    assert "Thickness alone" in " ".join(
        retaining_rings.advise(measured(thickness=1.2), PartState.UNKNOWN)
    )


def test_a_worn_key_is_told_by_its_height():
    found = first(keys.sizes(PartState.USED), doubt=0.02, width=7.9, height=7.0)
    assert found.designation == "DIN 6885 8x7"
    with_length = keys.sizes(PartState.USED, with_length=True)
    assert first(with_length, width=7.95, height=7.0, length=39.9).designation == "DIN 6885 8x7x40"


def test_a_key_cut_to_length_is_still_its_section():
    read = measured(0.03, width=7.97, height=7.0, length=42.0)
    cut = identify(read, keys.sizes(with_length=True))
    assert cut.items[0].designation == "DIN 6885 8x7"
    assert "cut from a longer key" in cut.items[0].notes[-1]
    assert cut.none_of_these < 0.2


def test_a_shim_needs_a_micrometer():
    fine = first(shims.sizes(), doubt=0.01, inside=25.15, outside=34.8, thickness=0.14)
    assert (fine.designation, fine.probability > 0.9) == ("DIN 988 25x35x0.15", True)
    coarse = identify(measured(0.05, inside=25.15, outside=34.8, thickness=0.14), shims.sizes())
    assert {item.designation for item in coarse.items} >= {
        "DIN 988 25x35x0.1",
        "DIN 988 25x35x0.15",
    }
    assert "micrometer" in shims.advise(measured(thickness=0.14), PartState.NEW)[0]
