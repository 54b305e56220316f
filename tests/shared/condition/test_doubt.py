"""Where the doubt of a reading comes from, and when a gauge no longer counts."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from shared.assemblies.model import Grade, InspectionMethod, ReadingsCount
from shared.condition.doubt import doubt_of, feel_of, months_after, why_gauge_does_not_count
from shared.condition.model import ConformityRule, Verdict
from shared.condition.standing import current_findings
from shared.condition.verdict import judge_finding, judge_position
from shared.quantities import Quantity
from tests.shared.condition.made import characteristic, finding, gauge, mm, readings

ISO = ConformityRule.ISO_14253_1
BORE = characteristic(service_upper=mm("77.06"))


def judge(found, wanted=BORE, **gauges):
    return judge_finding(found, wanted, ISO, 0.95, gauges=gauges)


def u_of(found, **gauges):
    doubt = doubt_of(found, found.measured, "length", gauges)
    return None if doubt is None else doubt.u


def test_the_reading_goes_before_the_gauge_and_the_gauge_before_its_kind():
    own = gauge(kind="caliper", standard_uncertainty=mm("0.003"))
    kind_only = gauge("g2", kind="caliper")
    stated = finding(measured=mm("77", "0.001"), gauge_id="g1")
    assert u_of(stated, g1=own) == pytest.approx(0.001)
    by_gauge = finding(measured=mm("77"), gauge_id="g1", gauge="feeler")
    assert u_of(by_gauge, g1=own) == pytest.approx(0.003)
    by_kind = finding(measured=mm("77"), gauge_id="g2", gauge="outside-micrometer")
    assert u_of(by_kind, g2=kind_only) == pytest.approx(0.02)
    by_word = finding(measured=mm("77"), gauge_id="g3", gauge="outside-micrometer")
    assert u_of(by_word, g3=gauge("g3")) == pytest.approx(0.004)
    assert u_of(finding(measured=mm("77"), gauge_id="gone")) is None


def test_a_gauge_in_inches_serves_readings_in_millimetres():
    inch = gauge(standard_uncertainty=Quantity(Decimal("0.0001"), "in"))
    assert u_of(finding(measured=mm("77"), gauge_id="g1"), g1=inch) == pytest.approx(0.00254)


def test_a_gauge_of_another_kind_says_nothing_of_a_length():
    wrench = gauge(standard_uncertainty=Quantity(Decimal("0.5"), "N·m"))
    assert u_of(finding(measured=mm("77"), gauge_id="g1"), g1=wrench) is None


def test_a_thermometer_known_in_kelvin_serves_degrees():
    meter = gauge(standard_uncertainty=Quantity(Decimal("0.5"), "K"))
    warm = finding(measured=Quantity(Decimal(40), "°C"), gauge_id="g1")
    assert doubt_of(warm, warm.measured, "temperature", {"g1": meter}).u == pytest.approx(0.5)


def test_the_common_part_is_never_more_than_the_whole():
    shared = gauge(standard_uncertainty=mm("0.004"), common_uncertainty=mm("0.003"))
    found = finding(measured=mm("77", "0.002"), gauge_id="g1")
    doubt = doubt_of(found, found.measured, "length", {"g1": shared})
    assert (doubt.u, doubt.common, doubt.repeatability) == (0.002, 0.002, 0)
    plain = finding(measured=mm("77"), gauge_id="g1")
    spread = doubt_of(plain, plain.measured, "length", {"g1": shared}).repeatability
    assert spread == pytest.approx(0.007**0.5 * 0.001**0.5, rel=1e-9)  # sqrt(16 - 9) um


def test_the_feel_of_an_unknown_gauge_is_nothing():
    assert feel_of(finding(), "length") == 0
    # The blades' distance is the interval: only the feel is left of u = 0.0194 mm.
    assert feel_of(finding(gauge="feeler"), "length") == 0.005


# --- calibration ---------------------------------------------------------------------------------

GOOD = {"measured": mm("77.02", "0.003"), "gauge_id": "g1"}


@pytest.mark.parametrize(
    ("calibrated_on", "months", "verdict", "says"),
    [
        (date(2030, 3, 4), 12, Verdict.CONFORMING, None),
        (date(2030, 3, 3), 12, Verdict.INDETERMINATE, "ran out on 2031-03-03"),
        (None, 12, Verdict.INDETERMINATE, "no calibration on record"),
        (None, None, Verdict.CONFORMING, None),
        (date(2031, 3, 5), 12, Verdict.INDETERMINATE, "after the reading"),
    ],
)
def test_a_gauge_out_of_calibration_shows_nothing_good(calibrated_on, months, verdict, says):
    one = gauge(calibrated_on=calibrated_on, calibration_months=months)
    found = judge(finding(**GOOD), g1=one)
    assert found.verdict is verdict
    assert says is None or says in found.detail


def test_the_day_stated_with_the_finding_goes_before_that_of_the_gauge():
    one = gauge(calibrated_on=date(2031, 3, 20), calibration_months=12)
    found = finding(**GOOD, gauge_calibrated_on=date(2030, 6, 1))
    assert why_gauge_does_not_count(found, {"g1": one}) is None


def test_a_gauge_out_of_calibration_still_shows_what_is_bad():
    one = gauge(calibrated_on=date(2020, 1, 1), calibration_months=12)
    worn = finding(measured=mm("77.10", "0.003"), gauge_id="g1")
    assert judge(worn, g1=one).verdict is Verdict.NONCONFORMING


def test_a_month_too_short_ends_on_its_last_day():
    assert months_after(date(2032, 1, 31), 1) == date(2032, 2, 29)
    assert months_after(date(2031, 8, 31), 18) == date(2033, 2, 28)
    assert months_after(date(9990, 1, 1), 10000) == date.max


# --- how many readings ---------------------------------------------------------------------------


def test_fewer_readings_than_asked_for_show_nothing_good():
    wanted = characteristic(service_upper=mm("77.06"), minimum_readings=2)
    one = judge(finding(measured=mm("77.02", "0.003")), wanted)
    assert (one.verdict, "1 of at least 2 readings" in one.detail) == (Verdict.INDETERMINATE, True)
    two = judge(finding(readings=readings("77.02", "77.021", u="0.003")), wanted)
    assert two.verdict is Verdict.CONFORMING
    worn = judge(finding(measured=mm("77.10", "0.003")), wanted)
    assert worn.verdict is Verdict.NONCONFORMING


def test_of_several_readings_the_worse_extreme_counts_unless_a_rule_says_which():
    """77.005 to 77.075 all around: the mean lies within 77.06, the worst place does not."""
    around = readings(("77.005", "top", "1"), ("77.075", "top", "2"), u="0.003")
    verdicts = {
        rule: judge(
            finding(readings=around), characteristic(service_upper=mm("77.06"), counted_by=rule)
        ).verdict
        for rule in (None, *ReadingsCount)
    }
    assert verdicts == {
        None: Verdict.NONCONFORMING,
        ReadingsCount.GREATEST: Verdict.NONCONFORMING,
        ReadingsCount.LEAST: Verdict.CONFORMING,
        ReadingsCount.MEAN: Verdict.CONFORMING,
    }


def test_several_readings_are_told_with_number_mean_deviation_and_extremes():
    around = readings(("77.01", "top", "1"), ("77.03", "top", "2"), u="0.003")
    detail = judge(finding(readings=around)).detail
    for words in ("2 readings", "mean 77.02 mm", "s = 0.0141 mm", "77.01 to 77.03 mm", "2 places"):
        assert words in detail


# --- history -------------------------------------------------------------------------------------


def test_what_was_found_at_fewer_hours_is_history_and_not_judged():
    old = finding("old", measured=mm("77.10", "0.003"), unit_hours=Decimal(1000))
    new = finding("new", measured=mm("77.02", "0.003"), unit_hours=Decimal(2000))
    loose = finding("loose", measured=mm("77.03", "0.003"))
    other = finding("other", measured=mm("77.04", "0.003"), unit_hours=Decimal(500), piece=2)
    kept = current_findings([old, new, loose, other])
    assert [one.id for one in kept] == ["new", "loose", "other"]
    judged = judge_position("p1", [BORE], [old, new], ISO, 0.95)
    assert [one.finding_id for one in judged.findings] == ["new"]
    assert judged.verdict is Verdict.CONFORMING


def test_a_crack_seen_at_fewer_hours_stays_a_crack_until_it_is_superseded():
    crack = characteristic(is_crack=True)
    seen = finding("seen", grade=Grade.LIGHT, method=InspectionMethod.MAGNETIC,
                   unit_hours=Decimal(1000))  # fmt: skip
    later = finding("later", grade=Grade.NONE, method=InspectionMethod.MAGNETIC,
                    unit_hours=Decimal(2000))  # fmt: skip
    assert judge_position("p1", [crack], [seen, later], ISO, 0.95).verdict is Verdict.NONCONFORMING
    mended = replace(later, supersedes_id="seen")
    assert judge_position("p1", [crack], [seen, mended], ISO, 0.95).verdict is Verdict.CONFORMING


@pytest.mark.parametrize("calibrated_on", [date(2031, 3, 4), date(2030, 3, 4)])
def test_a_calibration_counts_from_its_day_to_the_last_of_its_term(calibrated_on):
    found = finding(gauge_id="g1", gauge_calibrated_on=calibrated_on)
    assert why_gauge_does_not_count(found, {"g1": gauge(calibration_months=12)}) is None
