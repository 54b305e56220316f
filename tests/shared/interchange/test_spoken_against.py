"""Newest numbers that a record says do not fit."""

from datetime import date

from shared.evidence import EvidenceKind
from shared.interchange.found import Place
from shared.interchange.spoken_against import with_denials
from shared.interchange.supersession import newest
from tests.shared.interchange.small_catalogues import TOLD, claim, denial, rule

HERE = Place("a", date(2031, 3, 5), assembly_id="drive")


def answers(*claims, accepted=tuple(EvidenceKind)):
    found = with_denials(newest(HERE, [rule("ab")], None), HERE, claims, accepted)
    return [("".join(line.part_id for line in one.lines), one.questions) for one in found.newest]


def test_a_number_said_not_to_fit_is_asked_about():
    ((number, (question,)),) = answers(denial("ab"))
    assert number == "b" and question == "the claim 'no-ab' says that it does not fit: seen"
    ((_, (open_,)),) = answers(denial("ab", position_id="seat"))
    assert open_.endswith("(position not given: it is claimed for one position only)")


def test_what_does_not_count_or_speaks_of_another_place_asks_nothing():
    others = (
        denial("ac"),
        denial("cb", "other"),
        claim("ab"),
        denial("ab", "elsewhere", assembly_id="pump"),
        denial("ab", "hearsay", TOLD),
    )
    accepted = tuple(kind for kind in EvidenceKind if kind is not TOLD)
    assert answers(*others, accepted=accepted) == [("b", ())]
    assert len(answers(*others)[0][1]) == 1


def test_a_sure_number_comes_before_one_that_does_not_fit():
    rules = (rule("ab"), rule("bc"), rule("cb"))
    sure = newest(HERE, rules, frozenset("bc"))
    assert [one.questions for one in sure.newest] == [(), ()]
    found = with_denials(sure, HERE, [denial("ab")])
    assert [one.lines[0].part_id for one in found.newest] == ["c", "b"]
