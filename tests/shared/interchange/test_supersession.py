"""A number and what became of it: chains, splits, circles, dead ends, and what cannot be told.

Situations from the trade; that K must go in with C, and that nothing leads back, is common
practice, no source. Serial break with an overlap: a workshop manual's wording.
"""

from datetime import date
from fractions import Fraction
from itertools import permutations

import pytest

from shared.assemblies.traits import Traits
from shared.evidence import EvidenceKind
from shared.interchange.found import Place
from shared.interchange.model import PartLine, Supersession
from shared.interchange.supersession import MOST_ANSWERS, MOST_RECORDS, newest
from tests.work import lines_run

DAY = date(2026, 11, 2)
BULLETIN = EvidenceKind.MAKER_BULLETIN


def rule(id_, earlier, *later, with_=(), evidence=BULLETIN, **conditions):
    """Rule by id: later and with_ are part ids, or pairs of part id and quantity."""
    return Supersession(
        id=id_,
        earlier_part_id=earlier,
        evidence_kind=evidence,
        evidence="bulletin 7",
        later_lines=lines(*later),
        companion_lines=lines(*with_),
        **conditions,
    )


def lines(*pairs):
    return tuple(PartLine(*pair) if isinstance(pair, tuple) else PartLine(pair) for pair in pairs)


def asked(part, *rules, can=None, serial=None, assembly=None, built=None, as_of=DAY):
    traits = Traits(serial_number=serial, built_on=built)
    return newest(
        Place(part, as_of, assembly_id=assembly, traits=traits),
        rules,
        None if can is None else frozenset(can),
    )


def only(resolution):
    (number,) = resolution.newest
    return number


def sets(resolution):
    """All answers, sure and open: part ids of lines, and whether something is asked."""
    return [("".join(x.part_id for x in n.lines), bool(n.questions)) for n in resolution.newest]


CHAIN_WITH_A_CIRCLE = (rule("1", "A", "B"), rule("2", "B", "C", with_=["K"]), rule("3", "C", "B"))


def test_chain_with_a_kit_that_ends_in_a_circle():
    found = asked("A", *CHAIN_WITH_A_CIRCLE, can="CK")
    number = only(found)
    assert number.lines == lines("C")
    assert number.companions == lines("K")
    assert number.supersession_ids == ("1", "2")
    assert (number.is_orderable, number.questions) == (True, ())
    (loop,) = found.loops
    assert (loop.part_ids, loop.supersession_ids) == (("B", "C"), ("2", "3"))


def test_a_number_in_a_circle_that_can_be_ordered_is_its_own_newest():
    found = asked("C", *CHAIN_WITH_A_CIRCLE, can="CK")
    assert only(found).lines == lines("C")
    assert only(found).companions == ()
    assert [loop.part_ids for loop in found.loops] == [("B", "C")]
    assert found.may_go_back_to == ()


@pytest.mark.parametrize("part", "BC")
def test_in_a_circle_the_part_asked_for_comes_before_others_that_can_be_ordered(part):
    assert sets(asked(part, *CHAIN_WITH_A_CIRCLE, can="BCK")) == [(part, False)]


@pytest.mark.parametrize("part", "BC")
def test_nothing_leads_back_out_of_a_circle(part):
    for can in (None, "ABCK", "A"):
        assert "A" not in "".join(
            names for names, _ in sets(asked(part, *CHAIN_WITH_A_CIRCLE, can=can))
        )


@pytest.mark.parametrize("can", [None, ""])
def test_which_of_a_circle_is_supplied_is_asked_where_none_is_known_to_be(can):
    found = asked("A", *CHAIN_WITH_A_CIRCLE, can=can)
    assert sets(found) == [("B", True), ("C", True)]
    assert all("circle" in number.questions[0] for number in found.newest)


def test_every_orderable_number_of_a_circle_is_offered():
    assert sets(asked("A", *CHAIN_WITH_A_CIRCLE, can="BCK")) == [("B", False), ("C", False)]


def test_a_circle_that_depends_on_what_is_not_known_keeps_the_question():
    rules = (rule("1", "B", "C"), rule("2", "C", "B", serial_from="100", serial_to="200"))
    found = asked("B", *rules, can="B")
    assert sets(found) == [("B", True), ("C", True)]
    assert "serial number not given" in found.newest[0].questions[0]
    assert sets(asked("B", *rules, can="B", serial="150")) == [("B", False)]
    assert sets(asked("B", *rules, can="B", serial="250")) == [("C", False)]


def test_a_maker_that_came_back_to_an_earlier_number_is_followed_by_the_days():
    there = rule("1", "A", "B", with_=["K"], effective_on=date(2020, 1, 1))
    back = rule("2", "B", "A", effective_on=date(2024, 1, 1))
    for can in (None, "", "AB", "B"):
        for part in "AB":
            found = asked(part, there, back, can=can)
            assert sets(found) == [("A", False)]
            assert only(found).companions == ()
            assert [loop.part_ids for loop in found.loops] == [("A", "B")]
    assert sets(asked("A", there, back, as_of=date(2023, 12, 31))) == [("B", False)]
    assert sets(asked("Z", rule("0", "Z", "B"), there, back)) == [("A", False)]
    third = rule("3", "B", "A")
    assert sets(asked("A", there, third)) == [("A", True), ("B", True)]  # a day is missing
    same_day = rule("4", "B", "A", effective_on=date(2020, 1, 1))
    assert sets(asked("A", there, same_day)) == [("A", True), ("B", True)]
    if_newer = rule("5", "B", "A", effective_on=date(2024, 1, 1), serial_from="100")
    assert sets(asked("A", there, if_newer, serial="99")) == [("B", False)]
    assert all(asks for _, asks in sets(asked("A", there, if_newer)))


def test_a_number_that_supersedes_itself_stays_and_is_told():
    found = asked("A", rule("1", "A", "A"), can="A")
    assert sets(found) == [("A", False)]
    assert [loop.part_ids for loop in found.loops] == [("A",)]


def test_a_split_takes_circles_that_its_other_line_leaves():
    rules = (rule("1", "A", "B", "D"), rule("2", "B", "C", ("E", 2)), rule("3", "C", "B"))
    assert only(asked("A", *rules, can="CDE")).lines == lines("C", "D", ("E", 2))


def test_a_part_that_nothing_supersedes():
    found = asked("A", rule("1", "Z", "Y"), can="A")
    assert only(found).lines == lines("A")
    assert (only(found).is_orderable, found.loops, found.stopped) == (True, (), None)


def test_one_to_many_and_many_to_one():
    split = (rule("1", "A", "B", ("C", 2)), rule("2", "B", ("D", 3)), rule("3", "C", "D"))
    assert only(asked("A", *split)).lines == lines(("D", 5))
    assert only(asked("A", *split)).supersession_ids in {("1", "2", "3"), ("1", "3", "2")}
    for part in "PQ":
        assert only(asked(part, rule("1", "P", "R"), rule("2", "Q", "R"))).lines == lines("R")


def test_quantities_and_companions_multiply_along_the_chain():
    rules = (
        rule("1", "A", ("B", 2), with_=[("K", 1)]),
        rule("2", "B", ("C", 3), with_=[("K", 4), "G"]),
    )
    number = only(asked("A", *rules, can="C"))
    assert number.lines == lines(("C", 6))
    assert number.companions == lines(("G", 2), ("K", 9))
    assert (number.is_orderable, number.not_orderable) == (False, ("G", "K"))
    assert number.last_orderable is None  # The line itself can be ordered.


def test_a_split_doubles_no_more_than_it_says():
    """Forty splits one behind the other: each part twice, 2^40 pieces, and not 2^40 steps."""
    rules = [rule(f"{n}", f"{n}", f"{n}a", f"{n}b") for n in range(40)]
    rules += [rule(f"{n}{x}", f"{n}{x}", f"{n + 1}") for n in range(40) for x in "ab"]
    assert only(asked("35", *rules)).lines == lines(("40", 32))
    beyond = asked("0", *rules)
    assert (beyond.newest, beyond.stopped) == (
        (),
        "a chain of more than 1,000,000 pieces is not shown",
    )


def test_dead_end():
    rules = (rule("1", "A", "B"), rule("2", "B"))
    number = only(asked("A", *rules, can="A"))
    assert (number.lines, number.dead_ends) == (lines("B"), ("B",))
    assert (number.is_orderable, number.last_orderable) == (False, "A")
    assert only(asked("B", *rules, can="B")).dead_ends == ("B",)
    half = only(asked("A", rule("1", "A", "B", "C"), rule("2", "B")))
    assert (half.lines, half.dead_ends) == (lines("B", "C"), ("B",))


def test_last_number_that_can_still_be_ordered():
    chain = (rule("1", "A", "B"), rule("2", "B", "C"), rule("3", "C", "D"))
    assert only(asked("A", *chain, can="AB")).last_orderable == "B"
    assert only(asked("A", *chain, can="ABD")).last_orderable is None
    assert only(asked("A", *chain, can="")).last_orderable is None
    assert only(asked("C", *chain, can="AB")).last_orderable is None  # Nothing leads back.
    assert only(asked("A", *chain)).last_orderable is None


def test_return_to_an_earlier_number_takes_a_statement_of_its_own():
    assert asked("B", rule("1", "A", "B")).may_go_back_to == ()
    (back,) = asked("B", rule("1", "A", ("B", 2), may_go_back=True)).may_go_back_to
    assert (back.part_id, back.supersession_id, back.ratio) == ("A", "1", Fraction(1, 2))
    assert back.question is None
    assert asked("B", rule("1", "A", "B", "C", may_go_back=True)).may_go_back_to == ()
    (open_,) = asked("B", rule("1", "A", "B", may_go_back=True, serial_from="5")).may_go_back_to
    assert "serial number not given" in open_.question
    no = asked("B", rule("1", "A", "B", may_go_back=True, serial_from="5"), serial="4")
    assert no.may_go_back_to == ()


BREAK = (
    rule("to", "screws", "screws-tightened", serial_to="341506E"),
    rule("from", "screws", "screws-with-sealant", serial_from="341506E"),
)


@pytest.mark.parametrize(
    ("serial", "right"),
    [
        ("99999E", [("screws-tightened", False)]),
        ("341505E", [("screws-tightened", False)]),
        ("341506E", [("screws-with-sealant", True), ("screws-tightened", True)]),
        ("341507E", [("screws-with-sealant", False)]),
        ("341506", [("screws", True), ("screws-with-sealant", True), ("screws-tightened", True)]),
        (None, [("screws", True), ("screws-with-sealant", True), ("screws-tightened", True)]),
    ],
)
def test_serial_break_whose_halves_share_a_number(serial, right):
    found = asked("screws", *BREAK, serial=serial)
    assert sets(found) == right
    if serial == "341506E":
        assert all("two rules claim this unit" in n.questions[0] for n in found.newest)


def test_what_does_not_hold_here_is_refused_with_its_reason():
    later = rule("1", "A", "B", effective_on=date(2027, 1, 1))
    found = asked("A", later)
    assert sets(found) == [("A", False)]
    assert [(one.part_id, one.record_id) for one in found.refused] == [("B", "1")]
    assert "2027-01-01" in found.refused[0].reason
    assert sets(asked("A", later, as_of=date(2027, 1, 1))) == [("B", False)]
    elsewhere = rule("1", "A", "B", assembly_id="gearbox")
    assert sets(asked("A", elsewhere, assembly="pump")) == [("A", False)]
    assert sets(asked("A", elsewhere, assembly="gearbox")) == [("B", False)]
    assert sets(asked("A", elsewhere)) == [("A", True), ("B", True)]


def test_a_rule_that_may_hold_makes_one_that_holds_a_question():
    rules = (rule("1", "A", "B"), rule("2", "A", "C", built_to_on=date(2000, 1, 1)))
    assert sets(asked("A", *rules)) == [("B", True), ("C", True)]
    assert sets(asked("A", *rules, built=date(2010, 1, 1))) == [("B", False)]


def test_of_equal_rules_the_surest_is_named():
    rules = (rule("1", "A", "B", evidence=EvidenceKind.TOLD), rule("2", "A", "B"))
    assert only(asked("A", *rules)).supersession_ids == ("2",)
    unsure = rule("0", "A", "B", serial_from="100")
    assert only(asked("A", unsure, *rules)).questions == ()


def test_what_equal_rules_take_along_is_taken_along_once():
    rules = (
        rule("1", "A", "B", with_=["K", ("G", 2)]),
        rule("2", "A", "B", with_=["G"]),
        rule("3", "A", "B", with_=[("K", 4), "H"], evidence=EvidenceKind.TOLD),
    )
    number = only(asked("A", *rules))
    assert number.companions == lines(("G", 2), "H", ("K", 4))
    assert (number.supersession_ids, number.questions) == (("1", "3"), ())


def test_a_rule_that_may_hold_and_takes_more_along_leaves_a_question():
    rules = (rule("1", "A", "B"), rule("2", "A", "B", with_=["K"], serial_to="200"))
    (question,) = only(asked("A", *rules)).questions
    assert question.startswith("it may take more along, by the supersession 2: serial number not")
    assert only(asked("A", *rules, serial="150")).companions == lines("K")
    number = only(asked("A", *rules, serial="250"))
    assert (number.companions, number.questions) == ((), ())


def test_a_record_that_is_given_twice_counts_once():
    once = asked("A", *CHAIN_WITH_A_CIRCLE, can="CK")
    assert asked("A", *CHAIN_WITH_A_CIRCLE, *CHAIN_WITH_A_CIRCLE, can="CK") == once
    back = rule("1", "A", "B", may_go_back=True)
    assert len(asked("B", back, back).may_go_back_to) == 1


def test_the_last_number_before_a_circle_that_nobody_supplies():
    found = asked("A", *CHAIN_WITH_A_CIRCLE, can="A")
    assert sets(found) == [("B", True), ("C", True)]
    assert [number.last_orderable for number in found.newest] == ["A", "A"]
    assert [number.is_orderable for number in found.newest] == [False, False]


def test_the_order_of_the_records_does_not_matter():
    rules = (*CHAIN_WITH_A_CIRCLE, rule("4", "A", "D", serial_from="3"))
    first = asked("A", *rules, can="CDK")
    assert all(asked("A", *some, can="CDK") == first for some in permutations(rules))


def chain_of(length, **conditions):
    return [rule(f"{n}", f"p{n}", f"p{n + 1}", **conditions) for n in range(length)]


def test_a_thousand_numbers_one_after_another():
    chain = chain_of(1000)
    found = asked("p0", *chain, can=["p1000"])
    assert only(found).lines == lines("p1000")
    assert len(only(found).supersession_ids) == 1000
    circle = asked("p0", *chain, rule("back", "p1000", "p0"), can=["p500"])
    assert only(circle).lines == lines("p500")
    assert len(circle.loops[0].part_ids) == 1001
    assert len(asked("p0", *chain_of(1000, serial_from="1")).newest) == MOST_ANSWERS


@pytest.mark.parametrize("end", [(), [rule("back", "p100", "p0")]])
def test_a_chain_or_a_circle_twice_as_long_is_about_twice_the_work(end):
    short, long = ([*chain_of(length), *end] for length in (200, 400))
    work = [lines_run(lambda rules=rules: asked("p0", *rules)) for rules in (short, long)]
    assert work[1] < 2.4 * work[0]


def test_the_work_of_a_chain_in_doubt_does_not_grow_when_all_answers_are_found():
    work = [
        lines_run(lambda n=n: asked("p0", *chain_of(n, serial_from="1"))) / n for n in (100, 400)
    ]
    assert work[1] < work[0]


def test_too_many_records_are_never_a_yes():
    found = asked("p0", *chain_of(MOST_RECORDS + 50))
    assert only(found).lines == lines(f"p{MOST_RECORDS}")
    assert only(found).questions == ("what supersedes it was not looked at",)
    assert "more than 2,000" in found.stopped


def test_a_part_whose_records_were_not_all_read_is_never_the_newest_for_sure():
    chain = [rule("1", "A", "B"), rule("2", "B", "C"), rule("3", "D", "A", may_go_back=True)]
    for unread, end in (("A", "A"), ("B", "B"), ("C", "C"), ("D", "C")):
        found = newest(Place("A", DAY), chain, None, unread=frozenset(unread))
        assert only(found).lines == lines(end)
        asks = ("what supersedes it was not looked at",) if unread == end else ()
        assert only(found).questions == asks and bool(found.stopped) == bool(asks)
        # A rival of the way back may be among what was not read.
        assert bool(found.may_go_back_to) == (unread != "D")


def test_five_thousand_successors():
    many = [rule(f"{n:04}", "A", f"p{n}") for n in range(5000)]
    found = asked("A", *many)
    assert len(found.newest) == MOST_ANSWERS
    assert all(number.questions for number in found.newest)
    assert found.stopped == "it may be in too many ways: 100 of them are shown"
    ranges = [
        rule(f"{n:04}", "A", f"p{n}", serial_from=f"{10 * n}", serial_to=f"{10 * n + 9}")
        for n in range(5000)
    ]
    assert sets(asked("A", *ranges, serial="41234")) == [("p4123", False)]
    each = [f"p{n}" for n in range(300)]
    assert asked("p0", *(rule(part, part, *each) for part in each)).stopped is not None
    one = rule("1", "A", *(f"p{n}" for n in range(5000)))
    assert len(only(asked("A", one)).lines) == 5000


# Evidence that does not count

POLICY = frozenset(EvidenceKind) - {EvidenceKind.TOLD}
NOT_COUNTED = "not counted: evidence 'told' is not accepted by the shop's policy"


def heard(id_, earlier, *later, **facts):
    return rule(id_, earlier, *later, evidence=EvidenceKind.TOLD, **facts)


def by_policy(part, *rules, can=None):
    return newest(Place(part, DAY), rules, can, POLICY)


def test_hearsay_neither_leads_on_nor_makes_undecided():
    rules = (rule("1", "A", "B"), heard("2", "A", "C"), heard("3", "A"), heard("4", "B", "D"))
    found = by_policy("A", *rules)
    assert sets(found) == [("B", False)]
    assert [(one.part_id, one.record_id, one.reason) for one in found.refused] == [
        ("C", "2", NOT_COUNTED),
        ("A", "3", NOT_COUNTED),
        ("D", "4", NOT_COUNTED),
    ]
    assert sets(asked("A", *rules)) == [("D", True), ("C", True), ("A", True)]


def test_by_hearsay_alone_a_number_stays():
    found = by_policy("A", heard("1", "A", "B"))
    assert (sets(found), found.refused[0].record_id) == ([("A", False)], "1")


def test_hearsay_takes_nothing_along_and_nothing_back():
    rules = (rule("1", "A", "B"), heard("2", "A", "B", with_=["K"], may_go_back=True))
    assert only(by_policy("A", *rules)).companions == ()
    back = by_policy("B", *rules)
    assert back.may_go_back_to == ()
    assert [(one.part_id, one.record_id) for one in back.refused] == [("A", "2")]


def test_the_way_back_is_sure_whatever_hearsay_says_of_the_earlier_number():
    rules = (rule("1", "A", "B", may_go_back=True), heard("2", "A", "C"))
    (back,) = by_policy("B", *rules).may_go_back_to
    assert (back.part_id, back.question) == ("A", None)


def test_more_refused_records_than_are_shown_are_counted():
    later = tuple(PartLine(f"P{number}") for number in range(200))
    rules = [
        Supersession(f"{number}", "A", EvidenceKind.TOLD, "heard", later) for number in range(11)
    ]
    found = by_policy("A", *rules)
    assert len(found.refused) == MOST_RECORDS
    assert found.stopped == "200 more ways back and refused records are not shown"
