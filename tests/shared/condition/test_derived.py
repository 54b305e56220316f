"""Measures that follow from other findings: what they come to, and what they do not claim."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from shared.assemblies.model import ReadingsCount
from shared.condition.derived import derived_findings, why_not_derived
from shared.condition.model import ConformityRule, Reading, Verdict
from shared.condition.standing import only_inputs
from shared.condition.verdict import judge_position
from shared.quantities import Quantity
from tests.shared.condition.made import (
    characteristic,
    finding,
    form_of,
    gauge,
    mm,
    readings,
    sum_of,
)

ISO = ConformityRule.ISO_14253_1
GOOD, BAD, OPEN = Verdict.CONFORMING, Verdict.NONCONFORMING, Verdict.INDETERMINATE
NOT_INSPECTED = Verdict.NOT_INSPECTED

BORE = characteristic("bore", position_id="housing", service_upper=mm("50.06"))
SHAFT = characteristic("shaft", position_id="shaft", service_lower=mm("49.97"))
CLEARANCE = sum_of(
    "clearance", ("bore", 1), ("shaft", -1), position_id="fit", service_upper=mm("0.070")
)
ALL = (BORE, SHAFT, CLEARANCE)


def bore(size="50.045", u="0.004", **facts):
    facts.setdefault("id_", "b")
    return finding(of="bore", position_id="housing", measured=mm(size, u), **facts)


def shaft(size="49.985", u="0.003", **facts):
    facts.setdefault("id_", "s")
    return finding(of="shaft", position_id="shaft", measured=mm(size, u), **facts)


def judge(findings, characteristics=ALL, position="fit", **gauges):
    made = derived_findings(characteristics, findings, gauges)
    return judge_position(position, characteristics, [*findings, *made], ISO, 0.95, gauges=gauges)


def derive(findings, characteristics=ALL, **gauges):
    (made,) = derived_findings(characteristics, findings, gauges)
    return made


def test_a_running_clearance_from_two_instruments():
    """Constructed: 0.060 mm, u 0.005 mm against 0.070: p = 0.977 (quadrature and library agree)."""
    made = derive([bore(), shaft(day=6)])
    assert (made.id, made.position_id, made.unit_id) == ("derived:clearance", "fit", "u1")
    assert made.measured.value == Decimal("0.06")
    assert float(made.measured.standard_uncertainty) == pytest.approx(0.005)
    assert made.found_at == datetime(2031, 3, 6, 9, 15, tzinfo=UTC)
    assert [(line.name, line.share) for line in made.budget] == [
        ("bore", pytest.approx(0.004)),
        ("shaft", pytest.approx(-0.003)),
    ]
    found = judge([bore(), shaft()])
    assert found.verdict is GOOD
    assert found.probability == pytest.approx(0.97725, abs=1e-5)


def test_without_all_its_inputs_it_is_not_inspected():
    found = judge([bore()])
    assert (found.verdict, found.not_inspected) == (NOT_INSPECTED, ("clearance",))
    assert why_not_derived(ALL, [bore()]) == {"clearance": "shaft is not measured"}


def test_an_input_without_known_doubt_leaves_it_undecided():
    made = derive([bore(u=None), shaft()])
    assert made.measured.standard_uncertainty is None
    assert judge([bore(u=None), shaft()]).verdict is OPEN


def test_a_superseded_or_older_input_does_not_enter():
    worn = bore("50.090", id_="old", unit_hours=Decimal(10))
    new = bore(unit_hours=Decimal(20))
    assert derive([worn, new, shaft()]).measured.value == Decimal("0.06")
    wrong = bore("50.090", id_="wrong")
    assert derive([wrong, bore(supersedes_id="wrong"), shaft()]).measured.value == Decimal("0.06")


def test_inputs_of_different_hours_are_never_shown_good():
    found = judge([bore(unit_hours=Decimal(20)), shaft(unit_hours=Decimal(10))])
    assert found.verdict is OPEN
    assert "found at different hours" in found.findings[0].detail


def test_of_two_readings_that_both_stand_the_worse_counts():
    found = judge([bore(), bore("50.090", id_="b2"), shaft()])
    assert found.verdict is BAD
    assert [one.finding_id for one in found.findings] == [
        "derived:clearance",
        "derived:clearance:least",
    ]


def test_one_gauge_for_both_lets_the_common_part_cancel():
    one = gauge(standard_uncertainty=mm("0.005"), common_uncertainty=mm("0.004"))
    pair = [bore(u=None, gauge_id="g1"), shaft(u=None, gauge_id="g1")]
    made = derive(pair, g1=one)
    assert float(made.measured.standard_uncertainty) == pytest.approx(0.003 * 2**0.5, rel=1e-8)
    unknown = derive(pair, g1=gauge(standard_uncertainty=mm("0.005")))
    assert float(unknown.measured.standard_uncertainty) == pytest.approx(0.005 * 2**0.5, rel=1e-8)
    assert "how much they share is not known" in unknown.note


def test_depths_taken_with_one_gauge_known_by_its_word_add_up_on_the_safe_side():
    deep = sum_of("depth", ("a", 1), ("b", 1), service_upper=mm("45"))
    parts = (characteristic("a"), characteristic("b"), deep)
    found = [
        finding("1", "a", measured=mm("30"), gauge="outside-micrometer"),
        finding("2", "b", measured=mm("10"), gauge="Outside micrometer"),
    ]
    made = derive(found, parts)
    assert float(made.measured.standard_uncertainty) == pytest.approx(0.008)


def test_an_offset_and_factors_count():
    parts = (
        characteristic("a"),
        sum_of("half", ("a", "0.5"), offset=mm("-0.25", "0.001"), service_upper=mm("5")),
    )
    made = derive([finding("1", "a", measured=mm("4.0", "0.004"))], parts)
    assert made.measured.value == Decimal("1.75")
    assert float(made.measured.standard_uncertainty) == pytest.approx(5**0.5 * 0.001, rel=1e-8)


def test_inches_and_millimetres_meet():
    inch = finding(
        "s",
        "shaft",
        position_id="shaft",
        measured=Quantity(Decimal("1.968"), "in", standard_uncertainty=Decimal("0.0001")),
    )
    assert derive([bore(), inch]).measured.value == Decimal("0.0578")  # 50.045 - 49.9872


def test_an_interval_enters_by_its_middle_and_its_width():
    """Width 0.05: 0.05 / sqrt(12) = 0.01443 (JCGM 100:2008 F.2.2.1)."""
    wide = finding("s", "shaft", position_id="shaft", at_least=mm("49.96"), at_most=mm("50.01"))
    made = derive([bore(), wide])
    assert made.measured.value == Decimal("0.06")
    assert float(made.measured.standard_uncertainty) == pytest.approx(
        (0.05**2 / 12 + 0.004**2) ** 0.5, rel=1e-7
    )
    half = finding("s", "shaft", position_id="shaft", at_least=mm("49.96"))
    assert derived_findings(ALL, [bore(), half]) == ()


def test_a_sum_of_a_sum_comes_down_to_what_was_measured():
    parts = (
        characteristic("a"),
        characteristic("b"),
        sum_of("inner", ("a", 1), ("b", -1)),
        sum_of("outer", ("inner", 2), ("a", 1)),
    )
    found = [
        finding("1", "a", measured=mm("10", "0.001")),
        finding("2", "b", measured=mm("4", "0.001")),
    ]
    made = {one.characteristic_id: one for one in derived_findings(parts, found)}
    assert made["outer"].measured.value == Decimal(22)
    circle = (sum_of("x", ("y", 1)), sum_of("y", ("x", 1)))
    assert "follows from itself" in why_not_derived(circle, [])["x"]


def test_sums_of_sums_have_an_end():
    """Twelve of twelve of twelve: told to be too many, and at once."""
    parts = [characteristic("a")]
    for level, inner in (("b", "a"), ("c", "b"), ("d", "c"), ("e", "d")):
        parts.append(sum_of(level, *[(inner, 1)] * 12))
    found = [finding("1", "a", measured=mm("1", "0.001"))]
    made = derived_findings(parts, found)
    assert [(one.id, one.measured.value) for one in made] == [("derived:b", Decimal(12))]
    assert "more than 60 inputs" in why_not_derived(parts, found)["e"]


# --- pieces --------------------------------------------------------------------------------------


def test_several_pieces_without_one_named_give_no_measure():
    two = [bore(id_="1", piece=1), bore(id_="2", piece=2), shaft()]
    assert derived_findings(ALL, two) == ()
    assert "no piece is named" in why_not_derived(ALL, two)["clearance"]
    named = sum_of("clearance", ("bore", 1, 2), ("shaft", -1), service_upper=mm("0.07"))
    other = [bore(id_="1", piece=1), bore("50.055", id_="2", piece=2), shaft()]
    assert derive(other, (BORE, SHAFT, named)).measured.value == Decimal("0.07")
    assert derived_findings((BORE, SHAFT, named), [bore(), shaft()]) == ()


def test_the_form_of_each_piece_is_told_for_itself():
    round_ = form_of("round", "out-of-round", service_upper=mm("0.01"))
    around = [
        finding(str(n), "bore", piece=n, readings=readings(("77.0", "t", "x"), (top, "t", "y")))
        for n, top in ((1, "77.004"), (2, "77.03"))
    ]
    made = derived_findings((characteristic("bore"), round_), around)
    assert [(one.id, one.piece, one.measured.value) for one in made] == [
        ("derived:round:piece-1", 1, Decimal("0.004")),
        ("derived:round:piece-2", 2, Decimal("0.03")),
    ]


# --- form ----------------------------------------------------------------------------------------

# Public: motorcycle service manual (figures filled in on its rule); limits 77.06, 0.005, 0.005.
MANUAL = readings(
    ("77.020", "top", "x"),
    ("77.018", "top", "y"),
    ("77.012", "middle", "x"),
    ("77.010", "middle", "y"),
    ("77.005", "bottom", "x"),
    ("77.004", "bottom", "y"),
    u="0.002",
)
CYLINDER = (
    characteristic("bore", service_upper=mm("77.06")),
    form_of("taper", "taper", service_upper=mm("0.005")),
    form_of("roundness", "out-of-round-overall", service_upper=mm("0.005")),
)


def test_a_bore_within_its_size_fails_by_taper_and_roundness():
    found = judge([finding(readings=MANUAL)], CYLINDER, "p1")
    verdicts = {one.characteristic_id: one.verdict for one in found.findings}
    assert verdicts == {"bore": GOOD, "taper": BAD, "roundness": BAD}
    assert found.verdict is BAD


def test_one_reading_says_nothing_of_form():
    found = judge([finding(measured=mm("77.02", "0.002"))], CYLINDER, "p1")
    assert (found.verdict, found.not_inspected) == (NOT_INSPECTED, ("taper", "roundness"))


def test_too_few_readings_show_no_form_to_be_good():
    wanted = form_of("taper", "taper", service_upper=mm("0.05"), minimum_readings=8)
    found = judge([finding(readings=MANUAL)], (CYLINDER[0], wanted), "p1")
    assert found.verdict is OPEN
    assert "6 of at least 8 readings" in found.findings[1].detail


# --- what an input may not hide ------------------------------------------------------------------

SURE = {"bore": {"u": "0.001"}, "shaft": {"u": "0.001"}}


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"is_cleaned": False}, "not cleaned"),
        ({"gauge_id": "g1"}, "ran out on"),
    ],
)
def test_what_keeps_an_input_from_being_good_keeps_the_measure_from_it(facts, says):
    old = gauge(calibrated_on=date(2029, 1, 1), calibration_months=12)
    found = judge([bore(u="0.001", **facts), shaft(u="0.001")], g1=old)
    assert found.verdict is OPEN
    assert says in found.findings[0].detail
    worn = judge([bore("50.09", u="0.001", **facts), shaft(u="0.001")], g1=old)
    assert worn.verdict is BAD


def test_a_direct_finding_on_the_measure_is_judged_beside_it():
    direct = finding("d", "clearance", position_id="fit", at_least=mm("0.08"), at_most=mm("0.10"))
    found = judge([bore(), shaft(), direct])
    assert {one.finding_id: one.verdict for one in found.findings} == {
        "d": BAD,
        "derived:clearance": GOOD,
    }
    assert found.verdict is BAD


def test_a_clearance_of_hot_parts_is_not_shown_good():
    """One part 30 K warm: 50 mm x 35e-6 (zinc) x 30 K = 0.0525 mm, more than there is to spare."""
    hot = Quantity(Decimal(50), "°C")
    found = judge([bore(u="0.001"), shaft(u="0.001", part_temperature=hot)])
    assert found.verdict is OPEN
    assert "at 20 °C it may be 0.112" in found.findings[0].detail
    loose = sum_of("clearance", ("bore", 1), ("shaft", -1), service_upper=mm("0.5"))
    calm = judge([bore(u="0.001"), shaft(u="0.001", part_temperature=hot)], (*ALL[:2], loose), "p1")
    assert calm.verdict is GOOD
    assert "not corrected to 20 °C" in calm.findings[0].detail


def test_readings_of_two_units_are_never_reckoned_as_one():
    with pytest.raises(ValueError, match="several units"):
        derived_findings(ALL, [bore(), shaft(unit_id="u2")])


def test_measures_already_reckoned_are_not_inputs():
    made = derived_findings(ALL, [bore(), shaft()])
    assert derived_findings(ALL, [bore(), shaft(), *made]) == made


def test_a_measure_of_no_piece_in_particular_is_of_one_piece_however_often_it_is_told():
    thick = sum_of("thick", ("out", 1), ("in", -1), service_lower=mm("1"))
    own = [characteristic("out", unit="mm"), characteristic("in", unit="mm"), thick]
    read = [
        finding("1", "out", measured=mm("9", "0.01")),
        finding("2", "out", measured=mm("9.1", "0.01")),
        finding("3", "in", measured=mm("5", "0.01")),
    ]
    found = [*read, *derived_findings(own, read)]
    judged = judge_position("p1", own, found, ISO, 0.95, pieces=2, inputs=only_inputs(own))
    assert (judged.verdict, judged.not_inspected) == (NOT_INSPECTED, ("thick (piece 2)",))
    numbered = [
        finding(f"{of}{n}", of, measured=mm(size, "0.01"), piece=n)
        for n, sizes in ((1, ("9", "5")), (2, ("9.1", "8.5")))
        for of, size in zip(("out", "in"), sizes, strict=True)
    ]
    made = derived_findings(own, numbered)
    assert [(one.id, one.piece, one.measured.value) for one in made] == [
        ("derived:thick:piece-1", 1, Decimal("4.0")),
        ("derived:thick:piece-2", 2, Decimal("0.6")),
    ]
    found = [*numbered, *made]
    judged = judge_position("p1", own, found, ISO, 0.95, pieces=2, inputs=only_inputs(own))
    assert judged.verdict is BAD
    assert len(derived_findings(own, numbered[:3])) == 1  # of piece 2 the inside is missing


def test_of_several_findings_of_an_input_the_least_sure_leaves_its_doubt():
    """50.030 within 0.001 and 50.029 within 0.03: the second may be the greater one."""
    sums = [
        one.measured
        for one in derived_findings(
            ALL, [bore("50.030", "0.001"), bore("50.029", "0.03", id_="b2"), shaft(u="0.001")]
        )
    ]
    assert [one.value for one in sums] == [Decimal("0.045"), Decimal("0.044")]
    assert all(float(one.standard_uncertainty) > 0.03 for one in sums)


def test_a_less_sure_place_leaves_its_doubt_to_what_follows_from_the_greatest():
    bore = characteristic("bore", unit="mm", counted_by=ReadingsCount.GREATEST)
    twice = sum_of("twice", ("bore", 2), service_upper=mm("21"))
    places = (Reading(mm("10", "0.001"), "a"), Reading(mm("9.999", "0.03"), "b"))
    (made,) = derived_findings([bore, twice], [finding("f", "bore", readings=places)])
    assert (made.measured.value, made.measured.standard_uncertainty) == (20, Decimal("0.06"))


def test_of_several_findings_of_a_form_the_least_sure_leaves_its_doubt():
    own = [characteristic("bore"), form_of("round", "out-of-round", service_upper=mm("0.05"))]
    found = [
        finding(id_, "bore", readings=readings(("10.00", "t", "x"), (top, "t", "y"), u=u))
        for id_, top, u in (("f", "10.02", "0.001"), ("g", "10.019", "0.03"))
    ]
    (made,) = derived_findings(own, found)
    assert made.measured.value == Decimal("0.02")
    assert float(made.measured.standard_uncertainty) == pytest.approx(0.03 * 2**0.5)


def test_hot_parts_may_each_be_of_the_metal_that_moves_most_or_not_at_all():
    """50.045 and 49.985 mm x 35e-6 (zinc) x 30 K: the clearance 0.0525 smaller or greater."""
    hot = Quantity(Decimal(50), "°C")
    made = derive([bore(part_temperature=hot), shaft(part_temperature=hot)])
    least, greatest = made.at_reference
    assert least == pytest.approx(0.06 - 50.045 * 35e-6 * 30)
    assert greatest == pytest.approx(0.06 + 49.985 * 35e-6 * 30)


def test_an_input_of_too_few_readings_shows_nothing_good():
    wanted = characteristic(
        "bore", position_id="housing", service_upper=mm("50.06"), minimum_readings=3
    )
    found = judge([bore("50.0", "0.001"), shaft(u="0.001")], (wanted, SHAFT, CLEARANCE))
    assert found.verdict is OPEN
    assert "bore: 1 of at least 3 readings" in found.findings[0].detail
    assert "from bore 50 mm, less shaft" in found.findings[0].detail
