"""Identification by measuring: the laws of the engine, and that its probabilities come true."""

from math import exp, fsum, inf, isfinite, log, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput, OutOfRange
from shared.interchange.identification import (
    bearings,
    keys,
    o_rings,
    retaining_rings,
    shaft_seals,
    shims,
    threads,
)
from shared.interchange.identification.engine import NONE_PRIOR, identify
from shared.interchange.identification.likelihood import density
from shared.interchange.identification.model import (
    Change,
    Doubt,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)


def size(name, commonness=1.0, **made):
    limits = {one: MadeSize(*ends) for one, ends in made.items()}
    nominal = {one: ends.most for one, ends in limits.items()}
    return StandardSize(name, "invented", limits, nominal, commonness)


TABLE = (
    size("20", bore=(19.99, 20.0), width=(13.88, 14.0)),
    size("21", bore=(20.99, 21.0), width=(13.88, 14.0)),
    size("25", bore=(24.99, 25.0), width=(14.88, 15.0)),
)


def total(found):
    return fsum([*(one.probability for one in found.items), found.others, found.none_of_these])


# --- likelihood ----------------------------------------------------------------------------------

MADE = [(10.0, 10.0), (10.0, 10.05)]
SPREADS = [(0.03, 0.05), (0.003, 0.2), (0.05, 0.001), (0.02, 1e-5), (0.0005, 0.4)]


@pytest.mark.parametrize("doubt", Doubt)
@pytest.mark.parametrize("change", Change)
@pytest.mark.parametrize(("width", "tau"), SPREADS)
@pytest.mark.parametrize(("least", "most"), MADE)
def test_the_density_of_a_reading_sums_to_one_and_has_the_right_mean(
    doubt, change, width, tau, least, most
):
    made = MadeSize(least, most, change, tau)
    reach = 40 * tau + 10 * width
    near = np.linspace(least - 12 * width, most + 12 * width, 1001)
    x = np.unique(np.concatenate([np.linspace(least - reach, most + reach, 2001), near]))
    y = np.array([density(Measured(float(one), width, doubt), made) for one in x])
    area = np.trapezoid(y, x)
    moved = {Change.LARGER: tau, Change.SMALLER: -tau}.get(change, 0.0)
    assert area == pytest.approx(1, abs=0.02)
    assert np.trapezoid(y * x, x) / area == pytest.approx((least + most) / 2 + moved, abs=0.005)


def test_the_density_has_no_noise_far_out():
    made = MadeSize(10.0, 10.5, Change.LARGER, 0.2)
    assert density(Measured(9.0, 0.01, Doubt.NORMAL), made) == 0
    assert density(Measured(9.0, 0.01), made) == 0
    for doubt in Doubt:  # out in the tail it falls by e for each mean change
        far, farther = (density(Measured(at, 0.01, doubt), made) for at in (16.0, 16.2))
        assert farther / far == pytest.approx(exp(-1), rel=1e-6)


# --- the rule ------------------------------------------------------------------------------------


def test_a_clear_reading_names_its_size():
    found = identify({"bore": Measured(20.01, 0.05), "width": Measured(13.95, 0.05)}, TABLE)
    assert [one.designation for one in found.items] == ["20"]
    assert found.items[0].probability > 0.999
    assert total(found) == pytest.approx(1)


def test_two_equal_sizes_share_by_how_common_they_are():
    table = (*TABLE, size("20 of another kind", 3.0, bore=(19.99, 20.0), width=(13.88, 14.0)))
    common, rare = identify({"bore": Measured(20.0, 0.02)}, table).items
    assert (common.designation, rare.designation) == ("20 of another kind", "20")
    assert common.probability == pytest.approx(3 * rare.probability)


def test_fewer_dimensions_leave_more_open():
    table = (*TABLE, size("20 wide", bore=(19.99, 20.0), width=(17.9, 18.0)))
    bore = {"bore": Measured(20.0, 0.05)}
    assert len(identify(bore, table).items) == 2
    assert len(identify({**bore, "width": Measured(17.95, 0.05)}, table).items) == 1


def test_a_reading_that_no_size_reaches_is_none_of_these_and_the_nearest_is_named():
    found = identify({"bore": Measured(20.3, 0.05)}, TABLE)
    assert (found.items, found.others, found.none_of_these) == ((), 0, 1)
    assert "nearest is 20" in found.advice[0]
    assert "0.300 mm" in found.advice[0]


def test_a_reading_beyond_the_whole_table_is_none_of_these():
    found = identify({"bore": Measured(400.0, 0.05, Doubt.NORMAL)}, TABLE)
    assert found.none_of_these == pytest.approx(1)


def test_a_likely_size_that_explains_a_reading_badly_is_told_so():
    found = identify(
        {"bore": Measured(20.14, 0.03, Doubt.NORMAL), "width": Measured(14, 0.03, Doubt.NORMAL)},
        TABLE,
    )
    assert found.items[0].designation == "20"
    assert "measure again" in found.advice[0]


def test_a_standard_part_with_a_dimension_of_its_own_is_not_pressed_into_another_size():
    # 16x35x11 is no size of the table: it is nearest to 15.875 x 34.925 x 11.113 (1623), whose bore
    # would read 0.125 mm wrong, and likelier a 15x35x11 bored out.
    read = {"bore": 16.0, "outside": 35.0, "width": 11.0}
    found = identify(
        {name: Measured(value, 0.03, Doubt.NORMAL) for name, value in read.items()},
        bearings.sizes(PartState.UNKNOWN, "ball"),
    )
    assert found.none_of_these > 0.5
    # An inch shaft in a metric bore is no 26x47x7 whose lip happens to read 25.4.
    read = {"shaft": 25.4, "housing": 47.0, "width": 7.0}
    found = identify(
        {name: Measured(value, 0.03, Doubt.NORMAL) for name, value in read.items()},
        shaft_seals.sizes(PartState.UNKNOWN),
    )
    assert found.none_of_these > 0.3


def test_a_size_that_does_not_state_a_dimension_is_judged_by_the_others():
    table = (*TABLE, size("25 of unknown width", bore=(24.99, 25.0)))
    known, unknown = identify(
        {"bore": Measured(25.0, 0.05), "width": Measured(14.95, 0.05)}, table
    ).items
    assert (known.designation, unknown.designation) == ("25", "25 of unknown width")
    assert unknown.probability > 0.001


def test_entries_of_one_designation_are_one_part():
    twice = (size("20", 0.5, bore=(19.99, 20.0)), size("20", 0.5, bore=(19.0, 19.2)), *TABLE[1:])
    once = identify({"bore": Measured(20.0, 0.05)}, twice)
    assert [one.designation for one in once.items] == ["20"]
    assert total(once) == pytest.approx(1)


def test_a_worn_part_is_looked_for_on_the_worn_side_only():
    worn = StandardSize("8", "invented", {"d": MadeSize(7.8, 8, Change.SMALLER, 0.2)}, {"d": 8.0})
    assert identify({"d": Measured(7.5, 0.02)}, (worn,)).items
    assert not identify({"d": Measured(8.05, 0.02)}, (worn,)).items


def test_the_rest_is_counted_in_others():
    table = tuple(size(str(n), bore=(19.99, 20.0)) for n in range(30))
    found = identify({"bore": Measured(20.0, 0.05)}, table, limit=4)
    assert len(found.items) == 4
    assert found.others == pytest.approx(26 * found.items[0].probability)
    assert total(found) == pytest.approx(1)


@pytest.mark.parametrize(
    ("measured", "pointer"),
    [
        ({}, ""),
        ({"height": Measured(3, 1)}, "/height"),
        ({"bore": Measured(nan, 1)}, "/bore"),
        ({"bore": Measured(inf, 1)}, "/bore"),
        ({"bore": Measured(0, 1)}, "/bore"),
        ({"bore": Measured(20, 0)}, "/bore_plus_minus"),
        ({"bore": Measured(20, nan)}, "/bore_plus_minus"),
    ],
)
def test_what_is_no_reading_is_refused_by_its_name(measured, pointer):
    with pytest.raises(InvalidInput) as error:
        identify(measured, TABLE)
    assert error.value.pointer == pointer


@pytest.mark.parametrize("prior", [0, 1, -0.1, nan])
def test_the_weight_of_none_lies_between_0_and_1(prior):
    with pytest.raises(OutOfRange):
        identify({"bore": Measured(20, 0.1)}, TABLE, none_prior=prior)


@given(
    st.dictionaries(
        st.sampled_from(["bore", "width"]),
        st.builds(
            Measured, st.floats(1e-4, 1e4), st.floats(1e-4, 1e3), st.sampled_from(list(Doubt))
        ),
        min_size=1,
    )
)
def test_whatever_is_measured_the_probabilities_add_up_to_one(measured):
    found = identify(measured, TABLE)
    assert total(found) == pytest.approx(1)
    assert all(isfinite(one.probability) for one in found.items)


# --- calibration: the stated probability is how often it comes true ------------------------------


def artificial():
    made = [
        StandardSize(
            f"{bore}x{width}",
            "invented",
            {
                "bore": MadeSize(bore - 0.05, bore, Change.SMALLER, 0.2),
                "width": MadeSize(width - 0.1, width + 0.1, Change.EITHER, 0.1),
            },
            {"bore": bore, "width": width},
            commonness=1.0 + (bore % 3),
        )
        for bore in range(10, 30)
        for width in range(5, 9)
    ]
    return tuple(made)


CASES = {
    "artificial": (artificial(), {"bore": 0.3, "width": 0.3}, Doubt.NORMAL),
    "ball bearings": (
        bearings.sizes(PartState.USED, "ball"),
        {"bore": 0.05, "outside": 0.05, "width": 0.2},
        Doubt.NORMAL,
    ),
    "ball bearings, bore and width": (
        bearings.sizes(PartState.NEW, "ball"),
        {"bore": 0.3, "width": 0.3},
        Doubt.RECTANGULAR,
    ),
    "shaft seals": (
        shaft_seals.sizes(PartState.USED, shaft_seals.MeasuredOn.SEAT),
        {"shaft": 0.1, "housing": 0.3, "width": 0.5},
        Doubt.NORMAL,
    ),
    "screws": (threads.sizes(PartState.USED), {"major": 0.03, "pitch": 0.02}, Doubt.RECTANGULAR),
    "screws by diameter": (threads.sizes(PartState.USED), {"major": 0.03}, Doubt.NORMAL),
    "holes": (threads.sizes(PartState.NEW, True), {"minor": 0.05, "pitch": 0.03}, Doubt.NORMAL),
    "O-rings": (o_rings.sizes(PartState.USED), {"inside": 0.1, "section": 0.03}, Doubt.NORMAL),
    "retaining rings": (
        retaining_rings.sizes(PartState.USED),
        {"groove": 0.1, "free": 0.2},
        Doubt.RECTANGULAR,
    ),
    "keys": (keys.sizes(PartState.USED), {"width": 0.2, "height": 0.5}, Doubt.NORMAL),
    "shims": (shims.sizes(PartState.USED), {"inside": 0.1, "thickness": 0.03}, Doubt.NORMAL),
}
DRAWS = 700
FEWER_DRAWS = 350  # from tables of a thousand sizes and more: each takes its time
BINS = np.array([0, 0.005, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0000001])


def drawn(rng, table, shares, doubts, doubt):
    """A part drawn as the engine takes parts to come, measured: its designation and readings."""
    is_none = rng.random() < NONE_PRIOR
    part = table[rng.choice(len(table), p=shares)]
    # Half of the parts of no standard size are standard but for one dimension.
    odd = set(doubts) if rng.random() < 0.5 else {rng.choice(list(doubts))}
    readings = {}
    for name, width in doubts.items():
        if is_none and name in odd:
            least = min(one.made[name].least for one in table) / 2
            most = max(one.made[name].most for one in table) * 2
            true = exp(rng.uniform(log(least), log(most)))
            step = rng.choice([0.0, 0.0, 0.5, 25.4 / 16])  # every second one is a round figure
            true = max(round(true / step), 1) * step if step else true
        else:
            true = used(rng, part.made[name])
        error = rng.normal(0, width) if doubt is Doubt.NORMAL else rng.uniform(-width, width)
        readings[name] = Measured(max(true + error, 1e-3), width, doubt)
    return None if is_none else part.designation, readings


def used(rng, made):
    true = rng.uniform(made.least, made.most)
    if made.change is Change.NONE:
        return true
    signs = {Change.SMALLER: -1, Change.LARGER: 1, Change.EITHER: rng.choice([-1, 1])}
    return true + signs[made.change] * rng.exponential(made.typical_change)


def nearest(table, nominal, readings):
    """The guess of a table on the wall: the size that is off least, in doubts."""
    off = [
        np.abs(nominal[name] - reading.value) / reading.width for name, reading in readings.items()
    ]
    return table[int(np.argmin(np.max(off, axis=0)))].designation


@pytest.mark.parametrize("name", CASES)
def test_stated_probabilities_come_true(name):
    table, doubts, doubt = CASES[name]
    rng = np.random.default_rng([2031, *name.encode()])
    weights = np.array([one.commonness for one in table])
    shares = weights / weights.sum()
    nominal = {name: np.array([one.nominal[name] for one in table]) for name in doubts}
    stated, came_true, brier, guess = [], [], 0.0, 0.0
    for _ in range(DRAWS if len(table) < 1000 else FEWER_DRAWS):
        truth, readings = drawn(rng, table, shares, doubts, doubt)
        found = identify(readings, table)
        said = {one.designation: one.probability for one in found.items}
        said[None] = found.none_of_these
        stated += said.values()
        came_true += [one == truth for one in said]
        brier += sum((p - (one == truth)) ** 2 for one, p in said.items())
        guess += 0 if nearest(table, nominal, readings) == truth else 2
    stated, came_true = np.array(stated), np.array(came_true)
    which = np.digitize(stated, BINS)
    off = []
    for one in np.unique(which):
        p, hits = stated[which == one], came_true[which == one].sum()
        spread = np.sqrt(max((p * (1 - p)).sum(), 0.5))
        off.append((hits - p.sum()) / spread)
    assert np.abs(off).max() < 3.7, off  # one bin in five thousand by chance; the seed is fixed
    assert np.square(off).sum() < 4 * len(off), off
    assert brier < guess
