"""Records that rival, add to or doubt each other: what counts, what is told, what is undecided."""

from shared.evidence import EvidenceKind
from shared.interchange.found import Place
from shared.interchange.model import PartLine
from tests.shared.interchange.small_catalogues import (
    BELOW,
    OPEN,
    TODAY,
    TOLD,
    USABLE,
    by_id,
    by_records,
    claim,
    denial,
    find,
    part,
    place,
    rule,
    standings,
)


def test_hearsay_does_not_make_a_makers_own_number_undecided():
    heard = (rule("ac", evidence=TOLD), rule("a", "end", evidence=TOLD))
    found = by_id(find(rule("ab"), *heard))
    assert (found["b"].standing, found["c"].standing) == (USABLE, OPEN)
    assert found["b"].questions == ()
    assert found["b"].cautions == (
        "supersession 'end' has 'N-a' ended without a later number (told: bulletin); "
        "evidence 'told' is not accepted by the shop's policy",
        "supersession 's-ac' has 'N-a' superseded by N-c (told: bulletin); "
        "evidence 'told' is not accepted by the shop's policy",
    )
    assert "two rules claim this unit" in found["c"].questions[0]
    assert found["a"].notes == (
        "perhaps ended by its maker without a later number (supersession 'end'): "
        "evidence 'told' is not accepted by the shop's policy",
        "superseded by N-b (supersession 's-ab')",
        "perhaps superseded by N-c (supersession 's-ac'): "
        "evidence 'told' is not accepted by the shop's policy",
    )
    # A shop that counts hearsay has two rules for one unit.
    counted = by_id(find(rule("ab"), *heard, accepted=tuple(EvidenceKind)))
    assert (counted["b"].standing, counted["c"].standing) == (OPEN, OPEN)


def test_hearsay_alone_is_shown_and_not_used():
    assert standings(find(rule("ac", evidence=TOLD)))["c"] is BELOW


def test_hearsay_about_an_earlier_number_leaves_the_way_back():
    back = rule("ab", may_go_back=True)
    found = by_id(find(back, rule("ac", evidence=TOLD), at=place("b")))
    assert found["a"].standing is USABLE
    assert "superseded by N-c (told: bulletin)" in found["a"].cautions[0]


def test_what_goes_along_is_gathered_from_records_that_say_the_same():
    k, d = PartLine("k", 2), PartLine("d")
    published = EvidenceKind.PUBLISHED_CROSS_REFERENCE
    records = (
        rule("ab", "1"),
        rule("ab", "2", published, companion_lines=(k, d)),
        rule("ab", "3", published, companion_lines=(PartLine("k"),)),
        rule("ab", "4", serial_from="500", companion_lines=(PartLine("e"),)),
        rule("ab", "5", TOLD, companion_lines=(PartLine("c"),)),
    )
    found = by_id(find(*records, parts="abcdek"))["b"]
    assert (found.standing, [step.record_id for step in found.steps]) == (USABLE, ["1"])
    assert found.companions == (d, k)
    (more,) = found.to_check
    assert more.startswith("it may take more along, by the supersession 4: serial number not given")
    (heard,) = found.cautions
    assert heard.startswith("supersession '5' has 'N-a' superseded by N-b with N-c along (told: ")
    known = by_id(find(*records, at=place(serial_number="500")))["b"]
    assert (known.companions, known.to_check) == ((d, PartLine("e"), k), ())


def test_the_way_back_tells_what_any_record_changed_along():
    records = (rule("ab", "1", may_go_back=True), rule("ab", "2", companion_lines=(PartLine("k"),)))
    found = by_id(find(*records, at=place("b")))["a"]
    assert "changed along with the later number" in found.to_check[0]


def test_the_note_of_a_supersession_is_told_along_the_path():
    found = by_id(find(rule("ab", note="ream the bush"), claim("bc")))
    assert found["c"].notes == ("supersession 's-ab': ream the bush",)


def test_claims_for_one_step_that_ask_for_other_things_are_told():
    records = (
        claim("ab", "1"),
        claim("ab", "2", EvidenceKind.FITTED_AND_RUN, stand_in_quantity=2, rework_note="drill"),
        claim("ab", "3", EvidenceKind.FITTED_AND_RUN, companion_lines=(PartLine("k"),)),
        claim("ab", "4", assembly_id="other", stand_in_quantity=3),
    )
    found = by_id(find(*records))["b"]
    assert (by_records(found), found.ratio) == (["1"], 1)
    assert found.to_check == (
        "The claim '2' (fitted-and-run) has it otherwise: 2 for one piece in place of 1, rework. "
        "Look at both before fitting.",
        "The claim '3' (fitted-and-run) has it otherwise: other parts along with it. "
        "Look at both before fitting.",
    )
    assert by_id(find(claim("ab", "1"), claim("ab", "2")))["b"].to_check == ()


def test_what_is_claimed_of_a_stand_in_holds_where_it_is_claimed_only():
    """An equal stands where the part called for stands: its claims are asked of that very place."""
    parts = (part("a", "6205"), part("b", "6205"), part("c"), part("d"))
    elsewhere = (claim("bc", position_id="other"), claim("bd", assembly_id="other"))
    assert list(by_id(find(*elsewhere, parts=parts))) == ["a", "b"]
    here = (claim("bc", position_id="seat"), claim("bd", assembly_id="drive"))
    assert list(by_id(find(*here, parts=parts))) == ["a", "b", "c", "d"]
    alone = find(*here, parts=parts, at=Place("a", TODAY))
    assert standings(alone) == {"a": USABLE, "b": USABLE, "c": OPEN, "d": OPEN}
    said_no = (claim("bc"), denial("ac", position_id="seat"))
    assert "c" not in by_id(find(*said_no, parts=parts))
    assert "c" not in by_id(find(*said_no, parts=parts, at=Place("a", TODAY)))
    assert "c" in by_id(find(*said_no, parts=parts, at=place(position="other")))


def test_back_steps_never_lead_further_back_than_they_say():
    chain = (rule("ab", may_go_back=True), rule("bc"))
    assert list(by_id(find(*chain, at=place("c")))) == ["c"]
    assert list(by_id(find(*chain, at=place("b")))) == ["b", "a", "c"]


def test_a_part_that_does_not_fit_need_not_be_in_the_catalogue():
    assert standings(find(denial("ax"), claim("ab"))) == {"a": USABLE, "b": USABLE}
