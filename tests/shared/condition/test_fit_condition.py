"""What is left of a fit. Limits by ISO 286-2; the probabilities by an independent library."""

from decimal import Decimal

import pytest
from scipy.stats import norm

from shared.condition.fits.fit_condition import (
    FitAsked,
    FitNow,
    PartTemperatures,
    fit_condition,
)
from shared.condition.fits.temperature import expansion, least_and_most_change
from shared.condition.model import Verdict
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.standards.iso286 import FitKind


def mm(value, u=None):
    doubt = {} if u is None else {"standard_uncertainty": Decimal(u)}
    return Quantity(Decimal(value), "mm", **doubt)


def celsius(value):
    return Quantity(Decimal(value), "°C")


def fit(hole="25.010", shaft="24.985", u="0.003", **more):
    asked = {
        "nominal": mm("25"),
        "hole_class": "H7",
        "shaft_class": "g6",
        "hole": mm(hole, u) if isinstance(hole, str) else hole,
        "shaft": mm(shaft, u) if isinstance(shaft, str) else shaft,
        **more,
    }
    return fit_condition(FitAsked(**asked))


def test_a_fit_is_held_against_its_clearances_as_designed():
    # 25 H7/g6: 0 to +21 and -20 to -7 um, clearance 0.007 to 0.041 mm (ISO 286-2).
    found = fit()
    assert found.designed.kind is FitKind.CLEARANCE
    assert found.clearance == pytest.approx(0.025)
    assert found.u == pytest.approx(0.003 * 2**0.5)
    within = norm.cdf(0.041, 0.025, found.u) - norm.cdf(0.007, 0.025, found.u)
    assert found.within_design == pytest.approx(within, abs=1e-12)
    assert found.kind is FitNow.CLEARANCE
    hole = norm.cdf(25.021, 25.010, 0.003) - norm.cdf(25.0, 25.010, 0.003)
    assert found.hole.probability == pytest.approx(hole, abs=1e-12)


def test_a_shared_setting_master_cancels_in_the_clearance():
    found = fit(common_uncertainty=mm("0.002"))
    # u^2 = 2 x 0.003^2 - 2 x 0.002^2
    assert found.u == pytest.approx((2 * 0.003**2 - 2 * 0.002**2) ** 0.5)
    assert fit(common_uncertainty=mm("0.003")).u == pytest.approx(0, abs=1e-9)
    with pytest.raises(InvalidInput) as caught:
        fit(common_uncertainty=mm("0.004"))
    assert caught.value.pointer == "/common_uncertainty"


@pytest.mark.parametrize(
    ("shaft", "kind"),
    [
        ("24.990", FitNow.CLEARANCE),
        ("25.008", FitNow.CANNOT_BE_TOLD),
        ("25.030", FitNow.INTERFERENCE),
    ],
)
def test_what_the_parts_make_together_is_told_only_where_it_is_shown(shaft, kind):
    assert fit(shaft=shaft).kind is kind


def test_a_worn_fit_is_said_to_be_looser_than_designed():
    found = fit(hole="25.040")
    assert found.within_design < 0.01
    assert found.verdict is Verdict.NONCONFORMING
    assert any("looser than designed" in note for note in found.notes)
    assert any("tighter than designed" in note for note in fit(shaft="25.008").notes)


def test_without_doubt_nothing_is_shown():
    found = fit(u=None)
    assert (found.u, found.within_design, found.clearance_probability) == (None, None, None)
    assert found.kind is FitNow.CANNOT_BE_TOLD
    assert found.verdict is Verdict.INDETERMINATE
    assert any("doubt is not stated" in note for note in found.notes)


def test_a_pair_may_be_the_fit_as_designed_though_neither_part_is_of_its_class():
    found = fit(hole="25.040", shaft="25.015")
    assert found.verdict is Verdict.CONFORMING
    assert found.hole.probability < 0.01 and found.shaft.probability < 0.01
    assert [note.split(" is beyond")[0][-5:] for note in found.notes if "own limits" in note] == [
        " hole",
        "shaft",
    ]
    assert fit(hole="25.026").verdict is Verdict.INDETERMINATE  # 0.041 mm, on the limit
    assert not any("own limits" in note for note in fit().notes)


def test_an_aluminium_housing_lets_go_of_a_steel_ring_when_warm():
    warm = PartTemperatures(celsius("80"), celsius("80"))
    even = PartTemperatures(celsius("20"), celsius("20"))
    found = fit(
        nominal=mm("100"),
        shaft_class="h6",
        hole=mm("99.990", "0.002"),
        shaft=mm("100.000", "0.002"),
        hole_material="aluminium",
        shaft_material="steel",
        temperatures=(even, warm, PartTemperatures(celsius("-10"), celsius("-10"))),
    )
    assert found.kind is FitNow.INTERFERENCE
    at_20, hot, cold = found.at_temperatures
    # 100 mm x -30 K x the same differences: the loosest is the least of them.
    assert (cold.least, cold.most) == (pytest.approx(-0.052), pytest.approx(-0.0292))
    assert cold.surely_tight == pytest.approx(norm.cdf(0.0292 / found.u), abs=1e-12)
    assert hot.surely_tight == pytest.approx(norm.cdf(-0.0740 / found.u), abs=1e-12)
    assert cold.kind is FitNow.INTERFERENCE
    assert (at_20.least, at_20.most) == (pytest.approx(-0.01), pytest.approx(-0.01))
    # 100 mm x 60 K x (19 - 12.6 and 24.5 - 10.5) x 10^-6
    assert hot.least == pytest.approx(-0.01 + 0.0384)
    assert hot.most == pytest.approx(-0.01 + 0.0840)
    assert hot.kind is FitNow.CLEARANCE
    assert hot.surely_clear == pytest.approx(norm.cdf(hot.least / found.u), abs=1e-12)


def test_a_metal_that_nobody_named_has_the_widest_range():
    named, unnamed = expansion("magnesium", "/hole_material"), expansion(None, "/hole_material")
    assert unnamed.least <= named.least and named.most <= unnamed.most
    assert "nobody named" in unnamed.taken_as
    steel = expansion("steel", "/shaft_material")
    told = least_and_most_change(50, named, 70, steel, 70)
    widest = least_and_most_change(50, unnamed, 70, unnamed, 70)
    assert widest[0] < told[0] < told[1] < widest[1]
    found = fit(temperatures=(PartTemperatures(celsius("150"), celsius("20")),))
    assert found.at_temperatures[0].least > found.clearance  # any metal grows when warm


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"hole_class": "g6"}, "/hole_class"),
        ({"shaft_class": "H7"}, "/shaft_class"),
        ({"shaft_class": "w9"}, "/shaft_class"),
        ({"nominal": mm("501")}, "/nominal"),
        ({"nominal": mm("25", "0.01")}, "/nominal/standard_uncertainty"),
        ({"hole": mm("30")}, "/hole/value"),
        ({"shaft": Quantity(Decimal(25), "kPa")}, "/shaft/unit"),
        ({"hole_material": "unobtainium"}, "/hole_material"),
        ({"shaft_material": "cheese"}, "/shaft_material"),
        (
            {"temperatures": (PartTemperatures(celsius("20"), celsius("151")),)},
            "/temperatures/0/shaft",
        ),
        (
            {"temperatures": (PartTemperatures(mm("20"), celsius("30")),)},
            "/temperatures/0/hole/unit",
        ),
        ({"acceptance_probability": Decimal("0.3")}, "/acceptance_probability"),
    ],
)
def test_what_has_no_answer_is_refused_at_its_member(change, pointer):
    with pytest.raises(InvalidInput) as caught:
        fit(**change)
    assert caught.value.pointer == pointer
