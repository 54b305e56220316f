"""The condition of a whole unit, from its records."""

from decimal import Decimal

from shared.assemblies.model import Position, PositionSet, SetKind
from shared.condition.model import ConformityRule, Unit, UnitKind, Verdict
from shared.condition.unit_condition import ConditionRecords, condition_of
from tests.shared.condition.made import characteristic, finding, mm, sum_of

BORE = characteristic("bore", position_id="housing", service_upper=mm("50.06"))
SHAFT = characteristic("shaft", position_id="shaft", service_lower=mm("49.97"))
CLEARANCE = sum_of(
    "clearance", ("bore", 1), ("shaft", -1), position_id="housing", service_upper=mm("0.070")
)


def condition(*findings, quantity=1, sets=()):
    positions = (
        Position("housing", "a1", "Housing", quantity=quantity),
        Position("lid", "a1", "Lid"),
        Position("shaft", "a1", "Shaft"),
    )
    records = ConditionRecords(
        Unit("u1", "a1", UnitKind.CUSTOMER),
        positions,
        (BORE, CLEARANCE, SHAFT),
        tuple(sets),
        findings,
        (),
        ConformityRule.ISO_14253_1,
        0.95,
    )
    return condition_of(records)


def bore(size="50.045", **facts):
    facts.setdefault("id_", "b")
    return finding(of="bore", position_id="housing", measured=mm(size, "0.004"), **facts)


def shaft(size="49.985", **facts):
    facts.setdefault("id_", "s")
    return finding(of="shaft", position_id="shaft", measured=mm(size, "0.003"), **facts)


def test_positions_that_nobody_inspects_are_left_out():
    assert [one.position.id for one in condition().positions] == ["housing", "shaft"]


def test_measures_that_follow_are_judged_beside_what_was_found():
    housing, own = condition(bore(), shaft()).positions
    assert [one.finding_id for one in housing.judgement.findings] == ["b", "derived:clearance"]
    assert housing.judgement.verdict is own.judgement.verdict is Verdict.CONFORMING
    assert (housing.not_derived, len(housing.derived)) == ((), 1)


def test_what_cannot_be_told_says_why():
    housing, _ = condition(bore()).positions
    assert housing.judgement.verdict is Verdict.NOT_INSPECTED
    assert [one.why for one in housing.not_derived] == ["shaft is not measured"]


def test_each_piece_of_a_position_wants_its_finding():
    housing, _ = condition(bore(), shaft(), quantity=2).positions
    assert housing.judgement.verdict is Verdict.NOT_INSPECTED
    assert "bore (piece 2)" in housing.judgement.not_inspected


def test_history_is_told_and_not_judged():
    old = bore("50.090", id_="old", unit_hours=Decimal(10))
    found = condition(old, bore(unit_hours=Decimal(20)), shaft(unit_hours=Decimal(20)))
    assert found.history_ids == ("old",)
    assert found.positions[0].judgement.verdict is Verdict.CONFORMING


def test_only_matched_sets_stay_together():
    sets = [
        PositionSet("1", "a1", SetKind.MATCHED, "pair", ("housing", "shaft")),
        PositionSet("2", "a1", SetKind.RENEWED_TOGETHER, "seals", ("housing", "lid")),
    ]
    housing, own = condition(sets=sets).positions
    assert housing.matched_position_ids == ("shaft",)
    assert own.matched_position_ids == ("housing",)
