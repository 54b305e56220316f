"""Several readings of one size. Type A by JCGM 100:2008 4.4.3, figures worked by hand."""

from dataclasses import replace

import pytest

from shared.assemblies.model import ReadingsCount
from shared.condition.doubt import Doubt
from shared.condition.form import out_of_round
from shared.condition.model import ConformityRule, Reading, Verdict
from shared.condition.readings import Point, counted_points, points_of, spread_of
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


@pytest.mark.parametrize(
    ("rule", "verdict"),
    [
        (ReadingsCount.LEAST, Verdict.CONFORMING),  # the greater one is not asked about
        (ReadingsCount.GREATEST, Verdict.NONCONFORMING),
        (None, Verdict.NONCONFORMING),
    ],
)
def test_a_less_sure_reading_is_asked_about_on_its_own_side_alone(rule, verdict):
    found = finding(
        readings=(Reading(mm("9.99", "0.001"), "a"), Reading(mm("10.05", "0.002"), "b"))
    )
    limited = characteristic(service_lower=mm("9.9"), service_upper=mm("10.01"), counted_by=rule)
    assert judge_finding(found, limited, ConformityRule.ISO_14253_1, 0.95).verdict is verdict


def test_a_less_sure_reading_far_from_the_limit_that_is_asked_about_leaves_nothing_open():
    found = finding(readings=(Reading(mm("10", "0.001"), "a"), Reading(mm("9.905", "0.01"), "b")))
    limited = characteristic(
        service_lower=mm("9.9"), service_upper=mm("10.01"), counted_by=ReadingsCount.GREATEST
    )
    judged = judge_finding(found, limited, ConformityRule.ISO_14253_1, 0.95)
    assert judged.verdict is Verdict.CONFORMING


@pytest.mark.parametrize(
    ("common", "u"),
    [(None, 0.003), ("0.001", (0.001**2 + (0.003**2 - 0.001**2) / 2) ** 0.5)],
)
def test_the_mean_over_places_is_surer_only_by_what_is_known_not_to_be_shared(common, u):
    g1 = gauge(common_uncertainty=None if common is None else mm(common))
    two = finding(readings=readings(("9", "a", "x"), ("11", "b", "x"), u="0.003"), gauge_id="g1")
    points = points_of(two, "length", {"g1": g1})
    (mean,) = counted_points(points, ReadingsCount.MEAN)
    assert (mean.value, mean.u) == (10, pytest.approx(u))


def test_what_is_held_back_tells_the_chance_of_the_reading_that_holds_it_back():
    """9.999 with u = 0.05 below 10.01: Phi(0.22) = 0.587."""
    found = finding(
        readings=(Reading(mm("10.000", "0.001"), "a"), Reading(mm("9.999", "0.05"), "b"))
    )
    limited = characteristic(service_upper=mm("10.01"), counted_by=ReadingsCount.GREATEST)
    judged = judge_finding(found, limited, ConformityRule.ISO_14253_1, 0.95)
    assert judged.probability == pytest.approx(0.5871, abs=1e-4)
    assert "conforming" not in judged.detail


def test_the_form_of_a_place_that_is_less_sure_is_less_sure():
    a, b, c = (
        Point(size, Doubt(u), "t", way)
        for size, u, way in ((10.0, 0.001, "x"), (10.01, 0.001, "y"), (10.005, 0.02, "z"))
    )
    assert out_of_round([a, b, c]).u == pytest.approx(0.02 * 2**0.5)
    assert out_of_round([a, b]).u == pytest.approx(0.001 * 2**0.5)


@pytest.mark.parametrize("lacking", [{"plane": "top"}, {"direction": "x"}, {}])
def test_a_bore_read_around_without_saying_all_of_where_is_not_averaged_into_a_good_one(lacking):
    """77.005, 77.06 and 77.08 read in one plane, or one direction: the mean is within 77.06."""
    sizes = ("77.005", "77.06", "77.08")
    found = finding(readings=tuple(Reading(mm(size, "0.003"), **lacking) for size in sizes))
    judged = judge_finding(
        found, characteristic(service_upper=mm("77.06")), ConformityRule.ISO_14253_1, 0.95
    )
    assert judged.verdict is Verdict.NONCONFORMING


def test_of_two_equal_readings_the_surer_condemns_in_either_order():
    pair = [Reading(mm("10.02", "0.05"), "a"), Reading(mm("10.02", "0.001"), "b")]
    limited = characteristic(service_upper=mm("10.01"))
    for order in (pair, pair[::-1]):
        judged = judge_finding(
            finding(readings=tuple(order)), limited, ConformityRule.ISO_14253_1, 0.95
        )
        assert judged.verdict is Verdict.NONCONFORMING
