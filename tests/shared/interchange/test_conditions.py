"""Conditions of claims and supersessions: what is not known is asked for, never taken as met."""

from datetime import date
from decimal import Decimal

import pytest

from shared.assemblies.traits import Hand, Traits
from shared.evidence import EvidenceKind
from shared.interchange.conditions import holds, without_rivals
from shared.interchange.found import Holds, Place
from shared.interchange.model import InterchangeClaim, PartLine, Supersession

YES, NO, OPEN = Holds.YES, Holds.NO, Holds.CANNOT_BE_TOLD
TODAY = date(2031, 3, 4)


def claim(**facts):
    return InterchangeClaim("c", "a", "b", EvidenceKind.MAKER_BULLETIN, "bulletin 12", **facts)


def judged(rules, at, accepted=tuple(EvidenceKind)):
    return without_rivals(rules, {one.id: holds(one, at) for one in rules}, accepted)


def rule(id_="s", later=("b",), **facts):
    lines = tuple(PartLine(one) for one in later)
    return Supersession(id_, "a", EvidenceKind.MAKER_BULLETIN, "bulletin 13", lines, **facts)


def place(assembly="drive", position="bearing", **traits):
    return Place("a", TODAY, assembly, position, Traits(**traits))


def test_without_conditions_it_holds_anywhere():
    assert holds(claim(), Place("a", TODAY)) == (YES, None)
    assert holds(rule(), Place("a", TODAY)) == (YES, None)


CONDITIONS = [
    # condition, place where it is met, where it fails, where it is not given, words of the question
    ({"assembly_id": "drive"}, {}, {"assembly": "other"}, {"assembly": None}, "assembly not given"),
    (
        {"position_id": "bearing"},
        {},
        {"position": "other"},
        {"position": None},
        "position not given",
    ),
    (
        {"serial_from": "100", "serial_to": "200"},
        {"serial_number": "200"},
        {"serial_number": "201"},
        {},
        "serial number not given: it is claimed for 100 to 200",
    ),
    (
        {"built_from_on": date(2001, 1, 1), "built_to_on": date(2001, 12, 31)},
        {"built_on": date(2001, 12, 31)},
        {"built_on": date(2002, 1, 1)},
        {},
        "day of build not given: it is claimed for units built 2001-01-01 to 2001-12-31",
    ),
    ({"hand": Hand.LEFT}, {"hand": Hand.LEFT}, {"hand": Hand.RIGHT}, {}, "hand not given"),
    (
        {"ratio": Decimal("1.98")},
        {"ratio": Decimal("1.980")},
        {"ratio": Decimal("1.84")},
        {},
        "ratio not given: it is claimed for ratio '1.98'",
    ),
    (
        {"generation": "Second  series"},
        {"generation": "second series"},
        {"generation": "first series"},
        {},
        "generation not given",
    ),
]


@pytest.mark.parametrize(("condition", "met", "failed", "unknown", "question"), CONDITIONS)
def test_every_condition_is_met_failed_or_asked_for(condition, met, failed, unknown, question):
    assert holds(claim(**condition), place(**met)) == (YES, None)
    outcome, reason = holds(claim(**condition), place(**failed))
    assert outcome is NO and reason
    outcome, reason = holds(claim(**condition), place(**unknown))
    assert outcome is OPEN and question in reason


def test_a_serial_number_of_another_series_cannot_be_told():
    outcome, reason = holds(claim(serial_from="341506E"), place(serial_number="341506"))
    assert outcome is OPEN
    assert "341506E and later; whether 341506 is one of them cannot be told" in reason


def test_a_serial_number_outside_names_both():
    _, reason = holds(claim(serial_to="200"), place(serial_number="201"))
    assert reason == "serial number 201 is outside 200 and earlier"


def test_another_assembly_is_said_so():
    assert holds(claim(assembly_id="x"), place()) == (NO, "it is claimed for another assembly")
    assert holds(rule(assembly_id="x"), place()) == (NO, "it is stated for another assembly")


def test_what_fails_outweighs_what_is_not_known_and_all_failures_are_told():
    asked = claim(assembly_id="x", position_id="y", serial_from="100", hand=Hand.LEFT)
    outcome, reason = holds(asked, place())
    assert outcome is NO
    assert reason == "it is claimed for another assembly; it is claimed for another position"


def test_all_that_is_not_known_is_asked_for_at_once():
    outcome, reason = holds(claim(serial_from="100", hand=Hand.LEFT, generation="2"), place())
    assert outcome is OPEN
    assert [word in reason for word in ("serial number", "hand", "generation")] == [True] * 3


def test_a_supersession_takes_effect_on_its_day():
    assert holds(rule(effective_on=TODAY), place()) == (YES, None)
    later = date(2031, 3, 5)
    assert holds(rule(effective_on=later), place()) == (NO, "it takes effect on 2031-03-05")


def test_evidence_of_a_later_day_is_not_known_yet():
    assert holds(claim(stated_on=TODAY), place())[0] is YES
    assert holds(claim(stated_on=date(2031, 3, 5)), place())[0] is NO


def test_a_range_the_wrong_way_round_never_holds():
    asked = claim(built_from_on=date(2002, 1, 1), built_to_on=date(2001, 1, 1))
    assert holds(asked, place(built_on=date(2001, 6, 1)))[0] is NO
    assert holds(claim(serial_from="200", serial_to="100"), place(serial_number="150"))[0] is NO


BREAK = (rule("up-to", serial_to="341506E"), rule("from", ("c",), serial_from="341506E"))


@pytest.mark.parametrize(
    ("serial", "up_to", "from_"),
    [
        ("99999E", YES, NO),
        ("341505E", YES, NO),
        ("341506E", OPEN, OPEN),
        ("341507E", NO, YES),
        ("341506", OPEN, OPEN),
        (None, OPEN, OPEN),
    ],
)
def test_a_break_whose_halves_share_one_serial_number(serial, up_to, from_):
    # A workshop manual's wording, figures filled in: at the shared number, look at the unit.
    told = judged(BREAK, place(serial_number=serial))
    assert (told["up-to"][0], told["from"][0]) == (up_to, from_)
    if serial == "341506E":
        why = "two rules claim this unit: bulletin 13 (up-to), bulletin 13 (from); look at the unit"
        assert told["up-to"][1] == told["from"][1] == why


def test_a_rule_without_conditions_is_no_yes_while_another_may_claim_the_unit():
    told = judged((rule("all"), rule("late", ("c",), serial_from="500")), place())
    assert told["all"][0] is OPEN
    assert (
        "another rule may claim this unit: bulletin 13 (late) (serial number not given"
        in told["all"][1]
    )
    known = place(serial_number="499")
    assert judged((rule("all"), rule("late", ("c",), serial_from="500")), known)["all"] == (
        YES,
        None,
    )


def test_a_dead_end_beside_a_later_number_is_undecided():
    told = judged((rule("on"), rule("end", ())), place())
    assert [outcome for outcome, _ in told.values()] == [OPEN, OPEN]


def test_rules_that_say_the_same_do_not_rival():
    told = judged((rule("one"), rule("two")), place())
    assert told == {"one": (YES, None), "two": (YES, None)}


def test_a_rule_that_does_not_count_is_rivalled_and_rivals_no_other():
    heard = Supersession("heard", "a", EvidenceKind.TOLD, "heard", (PartLine("c"),))
    accepted = {EvidenceKind.MAKER_BULLETIN}
    told = judged((rule(), heard), place(), accepted)
    assert (told["s"], told["heard"][0]) == ((YES, None), OPEN)
    assert judged((heard,), place(), accepted) == {"heard": (YES, None)}
    counted = judged((rule(), heard), place())
    assert [outcome for outcome, _ in counted.values()] == [OPEN, OPEN]


def test_lines_of_one_part_add_up_before_rules_are_compared():
    told = judged((rule("one", ("b", "b")), rule("two")), place())
    assert told["one"][0] is OPEN
    pair = Supersession("pair", "a", EvidenceKind.TOLD, "heard", (PartLine("b", 2),))
    assert judged((rule("one", ("b", "b")), pair), place())["one"] == (YES, None)


def test_many_rivals_are_named_in_few_words():
    rules = [rule(f"s{number}", (f"p{number}",)) for number in range(50)]
    told = judged(rules, place())
    assert told["s49"][1] == (
        "two rules claim this unit: bulletin 13 (s0), bulletin 13 (s1), bulletin 13 (s2) and 47"
        " more; look at the unit"
    )
