"""Several readings of one size. Type A by JCGM 100:2008 4.4.3, figures worked by hand."""

from dataclasses import replace

import pytest

from shared.assemblies.model import ReadingsCount
from shared.condition.model import ConformityRule, Reading, Verdict
from shared.condition.readings import points_of, spread_of
from shared.condition.verdict import judge_finding
from tests.shared.condition.made import characteristic, finding, gauge, mm, readings

ONE_PLACE = readings(
    ("0.77", "a", "1"), ("0.78", "a", "1"), ("0.78", "a", "1"), ("0.785", "a", "1")
)
"""Mean 0.77875; s = sqrt(((.00875)^2 + 2 (.00125)^2 + (.00625)^2) / 3) = 0.00629153."""


def test_the_spread_of_four_readings():
    spread = spread_of([0.77, 0.78, 0.78, 0.785])
    assert (spread.number, spread.least, spread.greatest) == (4, 0.77, 0.785)
    assert spread.mean == pytest.approx(0.77875)
    assert spread.deviation == pytest.approx(0.00629153, abs=1e-8)
    assert spread_of([1.0]).deviation is None


def test_readings_of_one_place_are_one_size_with_the_gauges_doubt_and_their_own():
    (point,) = points_of(finding(readings=ONE_PLACE, gauge="dial-indicator"), "length")
    assert point.value == pytest.approx(0.77875)
    assert point.u == pytest.approx((0.006**2 + 0.00629153**2 / 4) ** 0.5, rel=1e-6)


def test_what_repeats_average_out_is_not_the_common_part():
    known = gauge(standard_uncertainty=mm("0.006"), common_uncertainty=mm("0.004"))
    (point,) = points_of(finding(readings=ONE_PLACE, gauge_id="g1"), "length", {"g1": known})
    assert point.u == pytest.approx((0.004**2 + 0.00629153**2 / 4) ** 0.5, rel=1e-6)
    assert point.doubt.common == pytest.approx(0.004)


def test_equal_readings_by_chance_do_not_make_a_coarse_gauge_fine():
    known = gauge(standard_uncertainty=mm("0.005"), common_uncertainty=mm("0.003"))
    same = readings(("0.78", "a", "1"), ("0.78", "a", "1"))
    (point,) = points_of(finding(readings=same, gauge_id="g1"), "length", {"g1": known})
    assert point.u == pytest.approx((0.003**2 + 0.004**2 / 2) ** 0.5)


def test_readings_without_a_place_are_repeats_only_while_they_agree():
    close = finding(readings=readings("77.010", "77.012", "77.011", u="0.002"))
    assert [p.value for p in points_of(close, "length")] == [pytest.approx(77.011)]
    wide = finding(readings=readings("77.010", "77.020", u="0.002"))
    assert [p.value for p in points_of(wide, "length")] == [77.01, 77.02]
    (mean,) = points_of(wide, "length", counted_by=ReadingsCount.MEAN)
    assert mean.value == pytest.approx(77.015)
    unknown = finding(readings=readings("77.010", "77.0101"))
    assert len(points_of(unknown, "length")) == 2


def test_one_reading_without_known_doubt_leaves_its_place_without():
    mixed = readings(("1.0", "a", "1"), u="0.1") + readings(("1.0", "a", "1"))
    (point,) = points_of(finding(readings=mixed), "length")
    assert point.doubt is None


@pytest.mark.parametrize(
    ("sizes", "counted_by"),
    [
        ([mm("10.000", "0.001"), mm("9.999", "0.05")], ReadingsCount.GREATEST),
        ([mm("10.000", "0.001"), mm("9.999"), mm("9.990", "0.001")], None),
    ],
)
def test_a_less_sure_reading_that_is_not_the_extreme_one_keeps_it_open(sizes, counted_by):
    planes = ("a", "b", "c")
    found = finding(
        readings=tuple(Reading(one, at) for one, at in zip(sizes, planes, strict=False))
    )
    limited = characteristic(service_upper=mm("10.01"), counted_by=counted_by)
    judged = judge_finding(found, limited, ConformityRule.ISO_14253_1, 0.95)
    assert judged.verdict is Verdict.INDETERMINATE
    assert "less sure" in judged.detail
    sure = replace(
        found, readings=tuple(replace(r, size=mm("10.000", "0.001")) for r in found.readings)
    )
    assert (
        judge_finding(sure, limited, ConformityRule.ISO_14253_1, 0.95).verdict is Verdict.CONFORMING
    )


def test_a_bad_reading_condemns_though_nothing_is_known_of_another():
    found = finding(readings=(Reading(mm("10.05", "0.001"), "a"), Reading(mm("9.99"), "b")))
    limited = characteristic(service_upper=mm("10.01"))
    judged = judge_finding(found, limited, ConformityRule.ISO_14253_1, 0.95)
    assert judged.verdict is Verdict.NONCONFORMING
