"""What findings amount to: what is not shown good is never called good."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from shared.assemblies.model import Characteristic, Grade, InspectionMethod
from shared.condition.model import ConformityRule, Finding, Verdict, Zone
from shared.condition.verdict import judge_finding, judge_position
from shared.errors import WrongDimension
from shared.quantities import Quantity

ISO = ConformityRule.ISO_14253_1
CONFORMING, NONCONFORMING = Verdict.CONFORMING, Verdict.NONCONFORMING
INDETERMINATE, NOT_INSPECTED = Verdict.INDETERMINATE, Verdict.NOT_INSPECTED


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


def inch(value, **doubt):
    return Quantity(Decimal(value), "in", **{k: Decimal(v) for k, v in doubt.items()})


def make_finding(id_="f1", characteristic_id="journal", **facts):
    facts.setdefault("method", InspectionMethod.GAUGE)
    facts.setdefault("unit_id", "u1")
    facts.setdefault("position_id", "p1")
    return Finding(
        id=id_,
        characteristic_id=characteristic_id,
        found_by="bench two",
        found_at=datetime(2031, 3, 4, 9, 15, tzinfo=UTC),
        **facts,
    )


def make_characteristic(id_="journal", **facts):
    facts.setdefault("name", id_)
    return Characteristic(id=id_, position_id="p1", **facts)


def crack(**facts):
    return make_characteristic(
        "crack", is_crack=True, settling_method=InspectionMethod.PENETRANT, **facts
    )


def look(grade, method=InspectionMethod.BY_EYE, id_="look", **facts):
    facts.setdefault("characteristic_id", "crack")
    return make_finding(id_, grade=grade, method=method, **facts)


JOURNAL = make_characteristic(
    new_lower=mm("51.961"), new_upper=mm("51.980"), service_lower=mm("51.950")
)


def judge(finding, characteristic=JOURNAL, rule=ISO, **more):
    return judge_finding(finding, characteristic, rule, 0.95, **more)


def judge_all(characteristics, findings, **more):
    return judge_position("p1", characteristics, findings, ISO, 0.95, **more)


# --- dimensions ----------------------------------------------------------------------------------


def test_a_reading_well_inside_the_service_limit_is_told_in_a_line():
    found = judge(make_finding(measured=mm("51.962", standard_uncertainty="0.004")))
    assert found.detail == (
        "51.962 mm, at least 51.950 mm in service: conforming, probability 0.9987 (u = 0.004 mm)"
    )
    assert (found.verdict, found.zone) == (CONFORMING, Zone.WITHIN_NEW)


def test_a_limit_that_works_downwards_has_three_states():
    # Public: pick-up service manual. The ring's gap closes with wear; the standard is a range.
    gap = make_characteristic(
        "gap", new_lower=mm("1.2"), new_upper=mm("1.6"), service_lower=mm("0.8")
    )
    readings = {
        text: judge(
            make_finding(characteristic_id="gap", measured=mm(text, plus_minus="0.02")), gap
        )
        for text in ("1.3", "0.9", "0.75")
    }
    assert {text: found.zone for text, found in readings.items()} == {
        "1.3": Zone.WITHIN_NEW,
        "0.9": Zone.WITHIN_SERVICE,
        "0.75": Zone.BEYOND,
    }
    assert [found.verdict for found in readings.values()] == [
        CONFORMING,
        CONFORMING,
        NONCONFORMING,
    ]


def test_a_size_beyond_its_limit_in_service_is_never_within_new():
    odd = make_characteristic(
        "odd", new_lower=mm("0.5"), new_upper=mm("1.5"), service_upper=mm("1.1")
    )
    finding = make_finding(characteristic_id="odd", measured=mm("1.3", plus_minus="0.02"))
    kept, fresh = judge(finding, odd), judge(finding, odd, is_kept=False)
    assert (kept.verdict, kept.zone) == (NONCONFORMING, Zone.BEYOND)
    assert (fresh.verdict, fresh.zone) == (CONFORMING, Zone.WITHIN_NEW)


def test_a_reading_in_inches_on_the_edge_of_a_limit_in_millimetres_is_undecided():
    # Public: pick-up service manual. 0.008 in = 0.2032 mm, the truth between 0.1905 and 0.2159.
    backlash = make_characteristic(
        "backlash", new_lower=mm("0.05"), new_upper=mm("0.10"), service_upper=mm("0.20")
    )
    found = judge(
        make_finding(characteristic_id="backlash", measured=inch("0.008", plus_minus="0.0005")),
        backlash,
    )
    assert (found.verdict, found.zone) == (INDETERMINATE, Zone.BEYOND)
    assert found.probability == pytest.approx(0.374, abs=0.0005)
    assert found.detail.startswith("0.008 in (0.2032 mm), at most 0.20 mm in service")


def test_without_a_limit_there_is_no_pass_and_no_fail():
    # Public: tractor forum thread. Play measured, no limit known.
    found = judge(
        make_finding(measured=inch("0.125", plus_minus="0.01")), make_characteristic(name="play")
    )
    assert (found.verdict, found.zone, found.probability) == (INDETERMINATE, Zone.NO_LIMIT, None)
    assert "no limit on record" in found.detail


def test_a_taper_of_its_own_fails_though_the_bore_passes():
    # Public: motorcycle service manual. 77.02 mm within 77.06; taper 0.015 mm against 0.005.
    bore = make_characteristic("bore", service_upper=mm("77.06"))
    taper = make_characteristic("taper", service_upper=mm("0.005"))
    verdict = judge_all(
        [bore, taper],
        [
            make_finding("1", "bore", measured=mm("77.02", standard_uncertainty="0.003")),
            make_finding("2", "taper", measured=mm("0.015", standard_uncertainty="0.003")),
        ],
    )
    assert [item.verdict for item in verdict.findings] == [CONFORMING, NONCONFORMING]
    assert verdict.verdict is NONCONFORMING


def test_a_new_part_is_held_to_the_limits_when_new():
    finding = make_finding(measured=mm("51.955", standard_uncertainty="0.001"))
    assert judge(finding).verdict is CONFORMING
    assert judge(finding, is_kept=False).verdict is NONCONFORMING


def test_a_new_part_is_not_passed_by_a_service_limit():
    worn_only = make_characteristic(service_lower=mm("51.950"))
    finding = make_finding(measured=mm("51.970", standard_uncertainty="0.001"))
    found = judge(finding, worn_only, is_kept=False)
    assert found.verdict is INDETERMINATE
    assert "no limit when new" in found.detail


def test_limits_when_new_serve_where_there_is_no_service_limit():
    new_only = make_characteristic(new_lower=mm("51.961"), new_upper=mm("51.980"))
    inside = make_finding(measured=mm("51.970", standard_uncertainty="0.002"))
    below = make_finding(measured=mm("51.950", standard_uncertainty="0.002"))
    assert judge(inside, new_only).verdict is CONFORMING
    assert (judge(below, new_only).verdict, judge(below, new_only).zone) == (
        NONCONFORMING,
        Zone.BEYOND,
    )


def test_a_size_that_wear_cannot_explain_is_questioned():
    found = judge(make_finding(measured=mm("52.480", standard_uncertainty="0.004")))
    assert found.verdict is INDETERMINATE
    assert "side that does not wear" in found.detail


def test_a_nearly_new_size_is_not_questioned_for_the_doubt_of_the_gauge():
    found = judge(make_finding(measured=mm("51.981", standard_uncertainty="0.004")))
    assert found.verdict is CONFORMING


def test_no_gauge_and_no_uncertainty_decide_nothing():
    for gauge in (None, "the good one"):
        found = judge(make_finding(measured=mm("51.970"), gauge=gauge))
        assert (found.verdict, found.probability) == (INDETERMINATE, None)
        assert "no uncertainty stated" in found.detail


def test_the_usual_uncertainty_of_the_gauge_serves_and_is_said():
    found = judge(make_finding(measured=mm("51.970"), gauge="outside-micrometer"))
    assert found.verdict is CONFORMING
    assert "u as usual for an outside micrometer" in found.detail


def test_a_caliper_cannot_decide_what_a_micrometer_can():
    reading = mm("51.962")
    assert judge(make_finding(measured=reading, gauge="outside-micrometer")).verdict is CONFORMING
    assert judge(make_finding(measured=reading, gauge="caliper")).verdict is INDETERMINATE


def test_a_stated_uncertainty_goes_before_the_usual_one():
    found = judge(
        make_finding(measured=mm("51.962", standard_uncertainty="0.02"), gauge="outside-micrometer")
    )
    assert "u = 0.02 mm" in found.detail


def test_the_usual_gauges_say_nothing_of_pressures():
    pressure = make_characteristic(service_lower=Quantity(Decimal(400), "kPa"))
    measured = Quantity(Decimal(600), "kPa")
    assert judge(make_finding(measured=measured, gauge="caliper"), pressure).verdict is (
        INDETERMINATE
    )


def test_a_dirty_part_is_never_shown_good():
    reading = mm("51.970", standard_uncertainty="0.002")
    assert judge(make_finding(measured=reading, is_cleaned=True)).verdict is CONFORMING
    found = judge(make_finding(measured=reading, is_cleaned=False))
    assert found.verdict is INDETERMINATE
    assert "not cleaned" in found.detail
    bad = mm("51.930", standard_uncertainty="0.002")
    assert judge(make_finding(measured=bad, is_cleaned=False)).verdict is NONCONFORMING


@pytest.mark.parametrize(("degrees", "is_said"), [("15", False), ("24.9", False), ("27", True)])
def test_a_warm_part_is_mentioned_and_not_corrected(degrees, is_said):
    found = judge(
        make_finding(
            measured=mm("51.970", standard_uncertainty="0.002"),
            part_temperature=Quantity(Decimal(degrees), "°C"),
        )
    )
    assert ("not corrected" in found.detail) is is_said
    assert found.verdict is CONFORMING


def test_a_hot_part_that_may_be_too_small_when_cold_is_not_shown_good():
    """51.970 x 35e-6 (zinc) x 60 K = 0.109 mm: cold it may lie below the limit of 51.950."""
    reading = mm("51.970", standard_uncertainty="0.002")
    hot = judge(make_finding(measured=reading, part_temperature=Quantity(Decimal(80), "°C")))
    assert hot.verdict is INDETERMINATE
    assert "at 20 °C it may be 51.8609 mm: measure again at room temperature" in hot.detail
    bad = mm("51.930", standard_uncertainty="0.002")
    warm = judge(make_finding(measured=bad, part_temperature=Quantity(Decimal(80), "°C")))
    assert warm.verdict is NONCONFORMING
    assert hot.probability < 1e-6  # the chance of what it may be when cold


@pytest.mark.parametrize(
    ("size", "cold"),
    [("52.080", "51.9706"), ("52.050", "51.9407")],  # within; too small: between lies what is good
)
def test_a_hot_part_that_may_be_small_enough_when_cold_is_not_condemned(size, cold):
    """The limits when new are 51.961 and 51.980; 0.109 mm smaller at the most."""
    reading = make_finding(measured=mm(size, standard_uncertainty="0.002"))
    assert judge(reading, is_kept=False).verdict is NONCONFORMING
    hot = replace(reading, part_temperature=Quantity(Decimal(80), "°C"))
    found = judge(hot, is_kept=False)
    assert found.verdict is INDETERMINATE
    assert f"at 20 °C it may be {cold} mm" in found.detail


def test_simple_acceptance_is_named_in_the_line():
    finding = make_finding(measured=mm("51.951", standard_uncertainty="0.004"))
    assert judge(finding).verdict is INDETERMINATE
    found = judge(finding, rule=ConformityRule.SIMPLE_ACCEPTANCE)
    assert found.verdict is CONFORMING
    assert "by simple acceptance" in found.detail


def test_a_reading_of_another_kind_than_the_limit_is_refused():
    with pytest.raises(WrongDimension):
        judge(make_finding(measured=Quantity(Decimal(5), "N·m", Decimal("0.1"))))


def test_certainty_is_never_rounded_into_being():
    found = judge(make_finding(measured=mm("51.979", standard_uncertainty="0.002")))
    assert "probability above 0.9999" in found.detail


# --- what was seen -------------------------------------------------------------------------------


def test_none_seen_by_eye_is_not_no_crack():
    found = judge(look(Grade.NONE), crack())
    assert found.verdict is INDETERMINATE
    assert "none seen by eye is not 'no crack'" in found.detail


@pytest.mark.parametrize("method", [InspectionMethod.PENETRANT, InspectionMethod.MAGNETIC])
def test_a_method_that_settles_it_clears_a_crack(method):
    assert judge(look(Grade.NONE, method), crack()).verdict is CONFORMING


def test_penetrant_does_not_settle_what_magnetic_particles_must():
    deep = make_characteristic("crack", is_crack=True, settling_method=InspectionMethod.MAGNETIC)
    assert judge(look(Grade.NONE, InspectionMethod.PENETRANT), deep).verdict is INDETERMINATE


@pytest.mark.parametrize("settling", [None, InspectionMethod.BY_EYE])
def test_no_record_makes_the_eye_settle_a_crack(settling):
    loose = make_characteristic("crack", is_crack=True, settling_method=settling)
    assert judge(look(Grade.NONE), loose).verdict is INDETERMINATE


@pytest.mark.parametrize("grade", [Grade.LIGHT, Grade.MODERATE, Grade.HEAVY])
def test_any_crack_is_bad_whatever_the_record_would_accept(grade):
    lenient = crack(worst_acceptable_grade=Grade.HEAVY)
    assert judge(look(grade), lenient).verdict is NONCONFORMING


def test_a_crack_is_not_cleared_through_dirt():
    found = judge(look(Grade.NONE, InspectionMethod.PENETRANT, is_cleaned=False), crack())
    assert found.verdict is INDETERMINATE


def test_a_grade_is_judged_by_the_worst_acceptable_one():
    pitting = make_characteristic("pitting", worst_acceptable_grade=Grade.LIGHT)
    verdicts = {grade: judge(look(grade, characteristic_id="pitting"), pitting) for grade in Grade}
    assert [found.verdict for found in verdicts.values()] == [
        CONFORMING,
        CONFORMING,
        NONCONFORMING,
        NONCONFORMING,
    ]
    assert [found.zone for found in verdicts.values()] == [
        Zone.WITHIN_NEW,
        Zone.WITHIN_SERVICE,
        Zone.BEYOND,
        Zone.BEYOND,
    ]


def test_a_grade_without_an_acceptable_one_on_record_decides_nothing():
    found = judge(look(Grade.NONE), make_characteristic("crack"))
    assert (found.verdict, found.zone) == (INDETERMINATE, Zone.NO_LIMIT)


def test_a_leak_is_settled_by_the_pressure_test_it_asks_for():
    leak = make_characteristic(
        "leak", worst_acceptable_grade=Grade.NONE, settling_method=InspectionMethod.PRESSURE_TEST
    )
    seen = look(Grade.NONE, characteristic_id="leak")
    tested = look(Grade.NONE, InspectionMethod.PRESSURE_TEST, characteristic_id="leak")
    assert judge(seen, leak).verdict is INDETERMINATE
    assert judge(tested, leak).verdict is CONFORMING


def test_a_characteristic_not_on_record_decides_nothing():
    found = judge_finding(look(Grade.NONE), None, ISO, 0.95)
    assert found.verdict is INDETERMINATE


# --- positions -----------------------------------------------------------------------------------

GOOD = make_finding("good", measured=mm("51.970", standard_uncertainty="0.004"))
DOUBTFUL = make_finding("doubtful", measured=mm("51.952", standard_uncertainty="0.004"))
BAD = make_finding("bad", measured=mm("51.900", standard_uncertainty="0.004"))


def test_what_nobody_looked_at_is_not_inspected():
    verdict = judge_all([JOURNAL, crack()], [])
    assert (verdict.verdict, verdict.probability) == (NOT_INSPECTED, None)
    assert verdict.not_inspected == ("journal", "crack")


def test_a_position_without_characteristics_or_findings_is_not_inspected():
    assert judge_all([], []).verdict is NOT_INSPECTED


def test_one_good_reading_does_not_speak_for_the_rest():
    verdict = judge_all([JOURNAL, crack()], [GOOD])
    assert verdict.verdict is NOT_INSPECTED
    assert verdict.not_inspected == ("crack",)
    assert verdict.probability == pytest.approx(1, abs=1e-6)


def test_the_worst_finding_counts():
    assert judge_all([JOURNAL], [GOOD]).verdict is CONFORMING
    assert judge_all([JOURNAL], [GOOD, DOUBTFUL]).verdict is INDETERMINATE
    assert judge_all([JOURNAL], [BAD, DOUBTFUL, GOOD]).verdict is NONCONFORMING


def test_a_bad_reading_outweighs_what_was_not_inspected():
    assert judge_all([JOURNAL, crack()], [BAD]).verdict is NONCONFORMING
    assert judge_all([JOURNAL, crack()], [DOUBTFUL]).verdict is INDETERMINATE


def test_a_superseded_finding_no_longer_counts():
    again = make_finding(
        "again", measured=mm("51.970", standard_uncertainty="0.004"), supersedes_id="bad"
    )
    verdict = judge_all([JOURNAL], [BAD, again])
    assert verdict.verdict is CONFORMING
    assert [item.finding_id for item in verdict.findings] == ["again"]


def test_a_second_reading_without_superseding_does_not_wash_out_the_first():
    assert judge_all([JOURNAL], [BAD, GOOD]).verdict is NONCONFORMING


def test_probabilities_of_several_characteristics_multiply():
    bore = make_characteristic("bore", service_upper=mm("62.02"))
    at_the_limit = make_finding("b", "bore", measured=mm("62.02", standard_uncertainty="0.004"))
    verdict = judge_all([JOURNAL, bore], [GOOD, DOUBTFUL, at_the_limit])
    doubtful = next(item for item in verdict.findings if item.finding_id == "doubtful")
    assert verdict.probability == pytest.approx(doubtful.probability * 0.5)


def test_other_positions_findings_are_left_out():
    elsewhere = make_finding("e", measured=mm("1.0"), position_id="p2")
    assert judge_all([JOURNAL], [GOOD, elsewhere]).verdict is CONFORMING


def test_readings_of_two_units_are_never_judged_as_one():
    donors = make_finding("d", measured=mm("51.970"), unit_id="u2")
    with pytest.raises(ValueError, match="several units"):
        judge_all([JOURNAL], [GOOD, donors])


def test_each_of_several_pieces_wants_its_reading():
    first = make_finding("1", measured=mm("51.970", standard_uncertainty="0.004"), piece=1)
    second = make_finding("2", measured=mm("51.970", standard_uncertainty="0.004"), piece=2)
    one = judge_all([JOURNAL], [first], pieces=2)
    assert (one.verdict, one.not_inspected) == (NOT_INSPECTED, ("journal (piece 2)",))
    both = judge_all([JOURNAL], [first, second], pieces=2)
    assert both.verdict is CONFORMING
    # Both have to be good: not the chance of either alone.
    near = [replace(one, measured=DOUBTFUL.measured) for one in (first, second)]
    single = judge(near[0]).probability
    assert judge_all([JOURNAL], near, pieces=2).probability == pytest.approx(single**2)


def test_a_reading_without_piece_number_speaks_for_one_piece_and_a_look_for_all():
    assert judge_all([JOURNAL], [GOOD], pieces=2).verdict is NOT_INSPECTED
    cleared = look(Grade.NONE, InspectionMethod.PENETRANT)
    assert judge_all([crack()], [cleared], pieces=4).verdict is CONFORMING


@pytest.mark.parametrize(("size", "verdict"), [("51.982", CONFORMING), ("51.984", INDETERMINATE)])
def test_past_the_side_that_does_not_wear_by_more_than_the_doubt_is_asked_about(size, verdict):
    """New at most 51.980, u 0.002: one u past it may be the gauge, two are not (p = 0.023)."""
    found = judge(make_finding(measured=mm(size, standard_uncertainty="0.002")))
    assert found.verdict is verdict
