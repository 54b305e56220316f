"""Sizes that are measured only for what follows from them, and which of these need no limit."""

from shared.assemblies.model import Grade, InspectionMethod
from shared.condition.derived import derived_findings
from shared.condition.model import ConformityRule, Verdict
from shared.condition.standing import only_inputs
from shared.condition.verdict import judge_position
from tests.shared.condition.made import characteristic, finding, form_of, mm, sum_of

ISO = ConformityRule.ISO_14253_1
GOOD, OPEN = Verdict.CONFORMING, Verdict.INDETERMINATE
SHAFT = characteristic("shaft", position_id="shaft", service_lower=mm("49.97"))


def test_what_is_measured_only_to_work_out_a_measure_with_limits_is_not_judged_by_itself():
    bore = characteristic("bore", unit="mm")
    shaft = characteristic("shaft", service_lower=mm("1"))
    terms = ("bore", 1), ("shaft", -1)
    play = sum_of("play", *terms, service_upper=mm("1"))
    assert only_inputs([bore, shaft, play]) == {"bore"}
    assert only_inputs([bore, shaft, sum_of("play", *terms, unit="mm")]) == frozenset()
    assert only_inputs([bore]) == frozenset()
    inner = sum_of("inner", *terms, unit="mm")
    outer = sum_of("outer", ("inner", 2), service_upper=mm("1"))
    assert only_inputs([outer, inner, bore, shaft]) == {"inner", "bore"}


def test_a_size_whose_play_is_judged_elsewhere_is_judged_by_itself():
    """The play is the shaft's: with another shaft in it nobody would judge the bore."""
    bore = characteristic("bore", position_id="housing", unit="mm")
    play = sum_of("play", ("bore", 1), ("shaft", -1), position_id="shaft", service_upper=mm("1"))
    assert only_inputs([bore, SHAFT, play]) == frozenset()


def test_a_round_bore_may_be_worn_all_around():
    bore = characteristic("bore", unit="mm")
    assert only_inputs([bore, form_of("r", "out-of-round", service_upper=mm("1"))]) == frozenset()


def test_what_was_seen_of_an_input_goes_into_no_measure_and_is_judged():
    bore = characteristic("bore", unit="mm")
    play = sum_of("play", ("bore", 1), service_upper=mm("60"))
    seen = finding("seen", "bore", grade=Grade.HEAVY, method=InspectionMethod.BY_EYE)
    read = finding("read", "bore", measured=mm("50", "0.01"))
    found = [read, *derived_findings([bore, play], [read])]
    rules = {"rule": ISO, "probability": 0.95, "inputs": only_inputs([bore, play])}
    assert judge_position("p1", [bore, play], found, **rules).verdict is GOOD
    assert judge_position("p1", [bore, play], [seen, *found], **rules).verdict is OPEN
