"""What may take a place: by which path, how sure, with what along; what not, and why."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from shared.assemblies.traits import Hand
from shared.evidence import EvidenceKind
from shared.interchange.found import Holds, Path, Place, StepKind
from shared.interchange.model import (
    DutyAspect,
    DutyDifference,
    FitmentCount,
    PartLine,
    Sameness,
)
from shared.interchange.rules import EvidenceBelief, InterchangeRules
from shared.money import Money
from tests.shared.interchange.small_catalogues import (
    BELOW,
    OPEN,
    TODAY,
    TOLD,
    USABLE,
    by_id,
    by_records,
    certain,
    claim,
    denial,
    find,
    part,
    place,
    refused,
    rule,
    standings,
)


def test_a_part_takes_its_own_place():
    (only,) = find().candidates
    assert (only.part.id, only.path, only.standing, only.confidence) == (
        "a",
        Path.ITSELF,
        USABLE,
        1,
    )
    assert only.steps == only.companions == only.questions == ()


def test_nothing_is_found_for_a_part_that_nobody_knows():
    assert find(at=place("nobody")).candidates == ()


def test_a_claim_runs_one_way():
    # One-way steps are never walked back: a public page on cross-references asks this first.
    records = (claim("ab"), claim("cb"))
    assert list(by_id(find(*records))) == ["a", "b"]
    assert list(by_id(find(*records, at=place("b")))) == ["b"]


def test_claims_follow_each_other_and_trust_decays():
    found = by_id(find(claim("ab"), claim("bc"), rules=certain(hop_discount=Decimal("0.95"))))
    assert found["b"].confidence == pytest.approx(0.9)
    assert found["c"].confidence == pytest.approx(0.9 * 0.9 * 0.95)
    assert by_records(found["c"]) == ["ab", "bc"]


def test_no_path_has_more_than_the_most_steps():
    chain = (claim("ab"), claim("bc"), claim("cd"))
    rules = certain(most_steps=2, least_confidence=Decimal("0.1"))
    assert list(by_id(find(*chain, rules=rules))) == ["a", "b", "c"]


def test_a_shorter_path_leads_on_where_a_surer_one_has_used_up_its_steps():
    records = (claim("ab"), claim("bc"), claim("ac", "x", EvidenceKind.MEASURED_MATCH), claim("cd"))
    found = by_id(find(*records, rules=InterchangeRules(Decimal("0.5"), most_steps=2)))
    assert by_records(found["c"]) == ["ab", "bc"]
    assert by_records(found["d"]) == ["x", "cd"]
    assert found["d"].confidence == pytest.approx(0.85 * 0.98 * 0.95)


def test_a_surer_path_that_ends_in_another_kind_of_step_leaves_a_row_to_go_on():
    # By claims b is surer; by supersession the row goes on to c without a further step.
    records = (claim("ab"), rule("ab", evidence=EvidenceKind.FITTED_AND_RUN), rule("bc"))
    found = by_id(find(*records, rules=InterchangeRules(Decimal("0.5"), most_steps=1)))
    assert by_records(found["b"]) == ["ab"]
    assert [step.record_id for step in found["c"].steps] == ["s-ab", "s-bc"]


def test_supersessions_in_a_row_count_as_one_step():
    chain = (rule("ab"), rule("bc"), rule("cd"), claim("de"))
    rules = certain("0.99", most_steps=2, hop_discount=Decimal("0.9"))
    found = by_id(find(*chain, rules=rules))
    assert found["d"].confidence == pytest.approx(0.99**3)
    assert found["e"].confidence == pytest.approx(0.99**4 * 0.9)
    assert (found["d"].path, found["e"].path) == (Path.SUPERSESSION, Path.INTERCHANGE)


def test_the_surest_path_stands_and_others_are_no_further_evidence():
    records = (claim("ab", evidence=EvidenceKind.MEASURED_MATCH), claim("ac"), claim("cb"))
    found = by_id(find(*records))
    assert [step.to_part_id for step in found["b"].steps] == ["c", "b"]
    assert found["b"].confidence == pytest.approx(0.98 * 0.98 * 0.95)
    assert (found["b"].other_paths, found["c"].other_paths) == (1, 0)


def test_a_way_back_through_the_part_itself_is_no_other_path():
    found = by_id(find(claim("ab"), claim("bc"), claim("cb")))
    assert found["b"].other_paths == 0


def test_of_two_records_of_one_step_the_surer_is_taken():
    found = by_id(find(claim("ab", "1", EvidenceKind.FITTED_AND_RUN), claim("ab", "2")))
    assert by_records(found["b"]) == ["2"]
    assert found["b"].other_paths == 1


def test_a_record_that_stands_twice_counts_once():
    twice = (claim("ab"), claim("ab"))
    assert find(*twice) == find(twice[0])
    assert find(parts="aabb") == find(parts="ab")


def test_a_path_that_is_not_sure_enough_is_shown_and_not_used():
    weak = claim("ab", evidence=EvidenceKind.MEASURED_MATCH)
    rules = InterchangeRules(least_confidence=Decimal("0.86"))
    found = by_id(find(weak, rules=rules))["b"]
    assert found.standing is BELOW
    assert found.cautions == ("the path is sure to 85 %; the shop asks for 86 %",)
    enough = InterchangeRules(least_confidence=Decimal("0.85"))
    assert by_id(find(weak, rules=enough))["b"].standing is USABLE


def test_evidence_that_the_policy_does_not_take_is_shown_and_not_used():
    found = by_id(find(claim("ab", evidence=TOLD), claim("bc")))
    for one in (found["b"], found["c"]):
        assert one.standing is BELOW
        assert "evidence 'told' is not accepted by the shop's policy" in one.cautions


def test_an_accepted_path_is_taken_even_where_one_that_is_not_is_surer():
    hearsay = EvidenceBelief(TOLD, Decimal("0.99"), Decimal(50))
    rules = InterchangeRules(least_confidence=Decimal("0.5"), beliefs=(hearsay,))
    records = (claim("ab", "1", TOLD), claim("ab", "2", EvidenceKind.MEASURED_MATCH))
    found = by_id(find(*records, rules=rules))["b"]
    assert (by_records(found), found.standing, found.cautions) == (["2"], USABLE, ())


def test_fitments_move_the_confidence_and_running_ones_are_told():
    counts = (FitmentCount("ab", served=2, against=3, running=4),)
    found = by_id(find(claim("ab"), fitments=counts))["b"]
    assert found.confidence == pytest.approx((0.98 * 50 + 2) / 55)
    told = "fitted here before: 2 served, 3 did not; 4 still running, not counted"
    assert told in found.notes
    assert found.cautions == (
        "more fitments here that tried the claim 'ab' went wrong than served: 3 against 2",
    )
    assert by_id(find(claim("ab"), fitments=(FitmentCount("ab", 2, 2),)))["b"].cautions == ()


def test_what_went_wrong_by_one_claim_is_told_of_the_part_by_any_other():
    several = claim("ab", "tried", TOLD), claim("ab", "bulletin"), claim("ac", "other")
    found = find(*several, fitments=(FitmentCount("tried", served=1, against=2),))
    assert by_records(by_id(found)["b"]) == ["bulletin"]
    (caution,) = by_id(found)["b"].cautions
    assert caution.startswith("fitted here by another claim, 'tried', it went wrong")
    assert caution.endswith("2 against 1") and by_id(found)["c"].cautions == ()
    served = find(*several, fitments=(FitmentCount("tried", served=2, against=2),))
    assert by_id(served)["b"].cautions == ()
    newer = find(claim("ab", "tried"), rule("ab"), fitments=(FitmentCount("tried", 0, 3),))
    assert by_id(newer)["b"].path is Path.SUPERSESSION and len(by_id(newer)["b"].cautions) == 1


# Conditions


def test_a_condition_on_an_unknown_fact_is_never_a_yes():
    found = find(claim("ab", serial_from="100", serial_to="200"), claim("bc"))
    for one in (by_id(found)["b"], by_id(found)["c"]):
        assert one.standing is OPEN
        assert one.questions == ("serial number not given: it is claimed for 100 to 200",)
    known = find(claim("ab", serial_from="100"), claim("bc"), at=place(serial_number="150"))
    assert standings(known) == {"a": USABLE, "b": USABLE, "c": USABLE}


@pytest.mark.parametrize(
    ("condition", "traits"),
    [
        ({"assembly_id": "other"}, {}),
        ({"position_id": "other"}, {}),
        ({"hand": Hand.LEFT}, {"hand": Hand.RIGHT}),
        ({"ratio": Decimal("1.98")}, {"ratio": Decimal("1.84")}),
        ({"generation": "2"}, {"generation": "1"}),
        ({"serial_from": "500"}, {"serial_number": "499"}),
        ({"built_to_on": date(2001, 1, 1)}, {"built_on": date(2001, 1, 2)}),
        ({"stated_on": date(2031, 3, 5)}, {}),
    ],
)
def test_a_claim_that_does_not_hold_is_refused_and_not_passed(condition, traits):
    found = find(claim("ab", **condition), claim("bc"), at=place(**traits))
    assert list(by_id(found)) == ["a"]
    ((key, reason),) = refused(found).items()
    assert key == ("b", "ab") and reason.startswith("claim not used: ")
    assert [step.holds for step in found.steps] == [Holds.NO]


def test_asked_of_a_part_alone_what_depends_on_the_assembly_is_a_question():
    found = find(claim("ab", assembly_id="drive"), at=Place("a", TODAY))
    assert by_id(found)["b"].questions == (
        "assembly not given: it is claimed for one assembly only",
    )


def test_a_sure_path_wins_over_a_surer_one_that_cannot_be_told():
    records = (
        claim("ab", "1", EvidenceKind.MEASURED_MATCH),
        claim("ab", "2", serial_from="100"),
    )
    found = by_id(find(*records))["b"]
    assert (by_records(found), found.standing, found.questions) == (["1"], USABLE, ())


def test_what_is_not_told_and_not_accepted_is_neither_usable_nor_lost():
    found = by_id(find(claim("ab", evidence=TOLD, serial_from="100"), claim("bc")))["c"]
    assert found.standing is OPEN and found.questions and found.cautions


def test_records_that_fail_further_on_are_refused_too():
    found = find(claim("ab"), claim("bc", assembly_id="other"))
    assert list(refused(found)) == [("c", "bc")]


# Claims that something does not fit


def test_what_is_claimed_not_to_fit_is_refused_by_any_path():
    records = (claim("ab"), claim("ac"), claim("cb"), claim("bd"), denial("ab"))
    found = find(*records)
    assert list(by_id(found)) == ["a", "c"]
    assert refused(found) == {("b", "no-ab"): "claimed not to fit (maker-bulletin: seen)"}


def test_a_bare_denial_is_told():
    found = find(denial("ab"))
    assert list(refused(found)) == [("b", "no-ab")]


def test_a_denial_between_two_stand_ins_bars_that_step_only():
    records = (claim("ab"), claim("bc"), claim("ad"), claim("dc"), denial("bc"))
    found = by_id(find(*records))
    assert [step.to_part_id for step in found["c"].steps] == ["d", "c"]
    assert list(by_id(find(*records[:2], denial("bc")))) == ["a", "b"]


def test_a_denial_of_which_it_cannot_be_told_whether_it_holds_refuses_and_asks():
    found = find(claim("ab"), denial("ab", serial_from="100"))
    assert list(by_id(found)) == ["a"]
    assert (
        "whether that holds here cannot be told: serial number not given"
        in (refused(found)["b", "no-ab"])
    )


def test_a_denial_that_does_not_hold_here_says_nothing():
    found = find(claim("ab"), denial("ab", assembly_id="other"))
    assert standings(found)["b"] is USABLE
    assert refused(found) == {}


def test_a_denial_by_hearsay_is_a_caution():
    for records in (
        (claim("ab"), claim("bc"), denial("ac", evidence=TOLD)),
        (claim("ab"), claim("bc"), denial("bc", evidence=TOLD)),
    ):
        found = by_id(find(*records))
        assert (found["b"].standing, found["b"].cautions) == (USABLE, ())
        (caution,) = found["c"].cautions
        assert found["c"].standing is USABLE
        assert "claimed not to fit (told: seen)" in caution and "not accepted" in caution


def test_a_denial_bars_generic_equals_and_later_numbers_alike():
    parts = (part("a", "6205-2RS"), part("b", "6205 2RS"), part("c"))
    assert list(by_id(find(denial("ab"), rule("ac"), denial("ac"), parts=parts))) == ["a"]
    assert list(by_id(find(rule("ac"), parts=parts))) == ["a", "c", "b"]


def test_a_part_is_not_denied_its_own_place():
    found = find(denial("aa"), claim("ab"), denial("ba"))
    assert list(by_id(found)) == ["a", "b"]
    assert refused(found) == {}


# Quantities, companions, rework


def test_ratios_multiply_along_the_path():
    records = (claim("ab", stand_in_quantity=2), claim("bc", part_quantity=3, stand_in_quantity=1))
    found = by_id(find(*records))
    assert (found["b"].ratio, found["c"].ratio) == (Fraction(2), Fraction(2, 3))


def test_companions_of_two_steps_multiply():
    # Two b for one a, each with three k; one c for one b, each with one e and one k.
    records = (
        claim("ab", stand_in_quantity=2, companion_lines=(PartLine("k", 3),)),
        claim("bc", companion_lines=(PartLine("e"), PartLine("k"))),
    )
    found = by_id(find(*records))
    assert found["b"].companions == (PartLine("k", 6),)
    assert found["c"].companions == (PartLine("e", 2), PartLine("k", 8))


def test_one_for_two_takes_whole_companions():
    found = by_id(find(claim("ab", part_quantity=2, companion_lines=(PartLine("k"),))))["b"]
    assert (found.ratio, found.companions) == (Fraction(1, 2), (PartLine("k", 1),))
    assert "what goes in with it is rounded up to whole pieces (1/2 for one piece)" in found.notes


def test_rework_is_summed_for_one_piece_called_for():
    work = {
        "rework_p50_hours": Decimal("0.5"),
        "rework_p90_hours": Decimal(1),
        "rework_cost": Money(Decimal("3.01"), "EUR"),
    }
    records = (
        claim("ab", stand_in_quantity=2, rework_note="turn the bore", **work),
        claim("bc", rework_note="drill", **(work | {"rework_cost": Money(Decimal(100), "JPY")})),
        claim("ad", part_quantity=3, **work),
    )
    found = by_id(find(*records))
    assert (found["c"].rework_p50_hours, found["c"].rework_p90_hours) == (2, 4)
    assert found["c"].rework_costs == (Money(Decimal("6.02"), "EUR"), Money(Decimal(200), "JPY"))
    assert found["c"].rework_notes == ("turn the bore", "drill")
    third = found["d"]
    assert third.rework_p50_hours == Decimal("0.1667")  # Rounded up, as is the money: 301 / 3.
    assert third.rework_costs == (Money(Decimal("1.01"), "EUR"),)


def test_what_differs_and_what_to_check_is_gathered_along_the_path():
    softer = DutyDifference(DutyAspect.MATERIAL, "softer", "wears sooner")
    slower = DutyDifference(DutyAspect.SPEED, "slower", "runs hot")
    same = dict.fromkeys(("form", "fit", "function"), Sameness.SAME)
    records = (
        claim("ab", to_check=("bore",), differences=(softer,), **same),
        claim("bc", to_check=("bore", "face"), differences=(slower,), **same),
        claim("cd", **(same | {"fit": Sameness.DIFFERS})),
        rule("de"),
    )
    found = by_id(find(*records, rules=certain("0.95")))
    assert found["c"].to_check == ("bore", "face")
    assert found["c"].differences == (softer, slower)
    assert found["c"].fit is Sameness.SAME
    end = found["e"]
    assert (end.form, end.fit) == (Sameness.NOT_TOLD, Sameness.DIFFERS)


# Supersession


def test_a_later_number_is_offered_and_the_earlier_is_not():
    found = find(rule("ab"))
    assert by_id(found)["b"].path is Path.SUPERSESSION
    assert by_id(found)["a"].notes == ("superseded by N-b (supersession 's-ab')",)
    assert list(by_id(find(rule("ab"), at=place("b")))) == ["b"]


def test_the_earlier_number_is_offered_where_the_maker_lets_it():
    back = rule("ab", may_go_back=True, later=(PartLine("b", 2),), companion_lines=(PartLine("k"),))
    (_, found) = find(back, at=place("b")).candidates
    assert (found.part.id, found.ratio, found.companions) == ("a", Fraction(1, 2), ())
    assert found.steps[0].kind is StepKind.SUPERSESSION_BACK
    assert found.path is Path.INTERCHANGE
    assert "changed along with the later number" in found.to_check[0]


def test_there_is_no_way_back_from_a_split():
    split = rule("abc", may_go_back=True)
    assert list(by_id(find(split, at=place("b")))) == ["b"]


def test_a_split_brings_its_further_lines_along():
    split = rule(
        "abc", later=(PartLine("b", 2), PartLine("c", 3)), companion_lines=(PartLine("k"),)
    )
    found = by_id(find(split))
    assert list(found) == ["a", "b"]
    assert found["b"].ratio == 2
    assert found["b"].companions == (PartLine("c", 3), PartLine("k", 1))


def test_companions_of_a_chain_multiply_by_the_pieces_before_the_step():
    chain = (
        rule("ab", later=(PartLine("b", 2),)),
        rule("bc", companion_lines=(PartLine("k"),)),
    )
    assert by_id(find(*chain))["c"].companions == (PartLine("k", 2),)


def test_a_dead_end_is_told():
    (found,) = find(rule("a")).candidates
    assert found.notes == ("ended by its maker without a later number (supersession 's-a')",)


def test_many_later_numbers_are_told_in_few_words():
    (found, *_) = find(*(rule("ab", f"s{number}") for number in range(9))).candidates
    assert len(found.notes) == 4
    assert found.notes[-1] == "6 more supersessions of it hold or may hold here"


def test_a_supersession_of_a_later_day_is_refused_until_then():
    found = find(rule("ab", effective_on=date(2031, 3, 5)))
    assert refused(found) == {("b", "s-ab"): "supersession not used: it takes effect on 2031-03-05"}


def test_a_chain_with_a_one_way_step_a_kit_and_a_circle():
    # A public page on cross-references: A to B, B to C with kit K, C listed back to B. The circle
    # is made up to exercise it.
    records = (rule("ab"), rule("bc", companion_lines=(PartLine("k"),)), rule("cb"))
    found = find(*records)
    assert by_id(found)["c"].companions == (PartLine("k", 1),)
    assert [loop.part_ids for loop in found.loops] == [("b", "c")]
    backwards = find(*records, at=place("c"))
    assert "a" not in by_id(backwards)
    assert [loop.part_ids for loop in backwards.loops] == [("b", "c")]


def test_two_rules_that_both_claim_the_unit_leave_it_undecided():
    # A workshop manual's wording, figures filled in: both halves of the break name 341506E.
    rules = (rule("ab", serial_to="341506E"), rule("ac", serial_from="341506E"))
    at_break = find(*rules, at=place(serial_number="341506E"))
    assert standings(at_break) == {"a": USABLE, "b": OPEN, "c": OPEN}
    for one in ("b", "c"):
        assert by_id(at_break)[one].questions == (
            "two rules claim this unit: bulletin (s-ab), bulletin (s-ac); look at the unit",
        )
    before = find(*rules, at=place(serial_number="99999E"))
    assert standings(before) == {"a": USABLE, "b": USABLE}
    unknown = find(*rules, at=place(serial_number="341506"))
    assert standings(unknown) == {"a": USABLE, "b": OPEN, "c": OPEN}


def test_a_rule_is_no_yes_while_another_may_claim_the_unit():
    rules = (rule("ab"), rule("ac", serial_from="500"))
    assert standings(find(*rules)) == {"a": USABLE, "b": OPEN, "c": OPEN}


# Generic equals


BEARINGS = (part("a", "6205"), part("b", "6205"), part("c", "6205 P5"), part("d", "6205 C3"))


def test_further_paths_are_counted_from_none_up_whatever_walk_a_part_was_reached_by():
    records = (
        claim("ab", "told", TOLD),
        claim("ab", "by-serial", serial_from="500"),
        claim("bc", serial_from="500"),
    )
    found = by_id(find(*records))
    assert {one: found[one].standing for one in "bc"} == {"b": BELOW, "c": OPEN}
    assert [found[one].other_paths for one in "abc"] == [0, 0, 0]


def test_a_name_that_no_standard_here_reads_tells_neither_form_nor_fit():
    named = (part("a", "14x18x1.5 copper"), part("b", "14x18x1.5 copper"))
    found = by_id(find(parts=named))["b"]
    assert {found.form, found.fit, found.function} == {Sameness.NOT_TOLD}


def test_a_generic_equal_serves_and_says_what_its_size_does_not():
    found = by_id(find(parts=BEARINGS))
    assert list(found) == ["a", "b", "c"]
    assert (found["b"].path, found["b"].confidence) == (Path.GENERIC, pytest.approx(0.97))
    assert (found["b"].form, found["b"].fit) == (Sameness.SAME, Sameness.SAME)
    assert found["b"].function is Sameness.NOT_TOLD, "its name tells neither load nor speed"
    assert any("Same size is not same duty" in line for line in found["b"].to_check)
    assert found["b"].differences == ()


def test_a_finer_one_serves_this_way_only():
    finer = by_id(find(parts=BEARINGS))["c"]
    assert (finer.function, finer.form) == (Sameness.NOT_TOLD, Sameness.SAME)
    assert [one.aspect for one in finer.differences] == [DutyAspect.SPEED]
    assert finer.notes == ("gains finer tolerance class P5",)
    assert list(by_id(find(parts=BEARINGS, at=place("c")))) == ["c"]


def test_the_same_size_with_another_clearance_is_refused_with_what_differs():
    found = find(parts=BEARINGS)
    assert "6205 C3 is of the size of 6205, which is not enough" in refused(found)["d", None]
    allowed = find(claim("ad"), parts=BEARINGS)
    assert "d" in by_id(allowed) and refused(allowed) == {}


def test_equals_of_a_stand_in_are_found_once_and_by_the_nearer_way():
    parts = (part("a"), part("b", "6205"), part("c", "6205"), part("d", "6205"))
    found = by_id(find(claim("ab"), claim("bd"), parts=parts))
    assert [step.from_part_id for step in found["c"].steps] == ["a", "b"]
    assert by_records(found["d"]) == ["ab", "bd"]
    assert found["c"].path is Path.INTERCHANGE


def test_an_equal_that_was_barred_from_one_part_is_reached_from_another():
    parts = (part("a"), part("b", "6205"), part("c", "6205"), part("d", "6205"))
    found = by_id(find(claim("ab"), claim("ac"), denial("bd"), parts=parts))
    assert [step.to_part_id for step in found["d"].steps] == ["c", "d"]


def test_an_equal_of_an_equal_is_no_way_round_what_bars_the_equal_itself():
    parts = (part("a"), part("b", "6205"), part("c", "6205"), part("d", "6205"))
    assert list(by_id(find(claim("ab"), denial("bd"), parts=parts))) == ["a", "b", "c"]


def test_an_equal_leads_on_by_a_claim_and_that_to_its_own_equals():
    parts = (part("a", "6205"), part("b", "6205"), part("c", "6206"), part("d", "6206"))
    found = by_id(find(claim("bc"), parts=parts))
    assert [step.kind.value for step in found["d"].steps] == ["generic", "claim", "generic"]


def test_a_less_sure_way_in_by_a_claim_leads_on_to_equals():
    # By d, whose equal it is, b is surer; from there c would be an equal of an equal.
    parts = (part("a"), part("d", "6205"), part("b", "6205"), part("c", "6205"), part("e"))
    weak = claim("ae", evidence=EvidenceKind.MEASURED_MATCH)
    found = by_id(find(claim("ad"), denial("dc"), weak, claim("eb"), parts=parts))
    assert [step.to_part_id for step in found["b"].steps] == ["d", "b"]
    assert [step.to_part_id for step in found["c"].steps] == ["e", "b", "c"]


def test_a_part_of_the_same_designation_as_one_that_does_not_fit_is_told():
    parts = (part("a"), part("b", "6205-2RS"), part("c", "6205 2RS"), part("d", "6205 C3"))
    found = by_id(find(denial("ab"), claim("ac"), claim("ad"), parts=parts))
    assert (found["c"].standing, found["d"].cautions) == (USABLE, ())
    assert found["c"].cautions == (
        "'N-b', which its standard names the same, is claimed not to fit (maker-bulletin: seen)",
    )
