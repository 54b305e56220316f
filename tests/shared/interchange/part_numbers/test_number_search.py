"""Which numbers on record a text names, how each was matched, and when one part is settled."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.interchange.model import NumberKind, NumberRule
from shared.interchange.part_numbers.near import near_forms
from shared.interchange.part_numbers.search import (
    HowMatched,
    NumberRow,
    plan_search,
    ranked,
    wants_near,
)
from shared.interchange.part_numbers.settling import NumbersFound, rank

EXACT, NORMAL = HowMatched.EXACT, HowMatched.NORMAL_FORM
SUFFIX_RULE = NumberRule(
    "nrl_1", "Oak Hollow", "its parts list", base_length=5, default_suffix="001"
)
KEPT_RULE = NumberRule("nrl_2", "Stone Mill", "its parts list", kept_separators="-")


def maker_number(text, part_id=None, maker="Oak Hollow"):
    return NumberRow(NumberKind.MAKER, text, maker, "part", part_id or f"prt_{text}")


def casting(text, part_id, maker="Oak Hollow"):
    return NumberRow(NumberKind.CASTING, text, maker, "piston", part_id)


def trade(text, part_id=None, is_listed=False):
    part_id = part_id or f"prt_{text}"
    return NumberRow(NumberKind.TRADE, text, "Oak Hollow", "bearing", part_id, is_listed=is_listed)


def book(text, part_id=None, position_id="pos_1"):
    return NumberRow(
        NumberKind.BOOK_POSITION, text, "Oak Hollow", "bearing", part_id, position_id, "asm_1"
    )


def search(text, *rows, rules=(), maker=None, **more) -> NumbersFound:
    return rank(plan_search(text, rules, maker), rows, rules, **more)


def hits(found):
    return [(one.match.value, one.kind.value, one.written) for one in found.matches]


# The situations from the trade: three identifiers of one bearing, a casting number that is a live
# number too, suffixes by the maker's own rule, O for 0 and a worn B or 8.
THREE = (
    book("3-11-28", "prt_1"),
    maker_number("0417-0263580", "prt_1"),
    trade("306SZZG", "prt_1", is_listed=True),
    maker_number("31128", "prt_2"),
    maker_number("28-11-2003", "prt_3"),
)


@pytest.mark.parametrize(
    ("text", "match", "kind"),
    [
        ("3-11-28", "exact", "book-position"),
        ("03/11/28", "normal-form", "book-position"),
        ("3.11.28", "normal-form", "book-position"),
        ("0417-0263580", "exact", "maker"),
        ("0417 026 3580", "normal-form", "maker"),
        ("306szzg", "exact", "trade"),
        ("306-SZZG", "normal-form", "trade"),
    ],
)
def test_each_kind_of_number_is_found_and_told_as_what_it_is(text, match, kind):
    found = search(text, *THREE)
    first = found.matches[0]
    assert (first.match.value, first.kind.value, first.part_id) == (match, kind, "prt_1")
    assert found.settled_part_id == (None if kind == "book-position" else "prt_1")


def test_a_position_in_a_book_is_no_spelling_of_a_makers_number():
    assert search("3-11-28", *THREE).why_not_settled == (
        "It is a line of a parts book (Oak Hollow): make sure that the book in hand is that one."
    )
    assert search("31128", *THREE).settled_part_id == "prt_2"
    assert not any(one.kind is NumberKind.BOOK_POSITION for one in search("31128", *THREE).matches)
    alone = search("3-11-28", maker_number("31128"))
    assert alone.settled_part_id is None
    assert "3-11-28 may be a position in a parts book" in alone.why_not_settled
    assert search("417-026-358", maker_number("417026358")).settled_part_id == "prt_417026358"


def test_equal_sorts_of_match_of_a_position_and_a_makers_number_settle_nothing():
    found = search("3.11.28", book("3-11-28", "prt_1"), maker_number("31128"))
    assert found.settled_part_id is None


def test_a_line_that_is_the_number_of_the_same_part_stands_in_no_ones_way():
    rows = book("3-11-28", "prt_1"), maker_number("3-11-28", "prt_1")
    assert search("3-11-28", *rows).settled_part_id == "prt_1"
    in_a_list = replace(rows[0], position_id=None, assembly_id=None, source="Book of 1974")
    assert "(Book of 1974)" in search("3-11-28", in_a_list).why_not_settled


def test_a_line_alone_names_no_part():
    found = search("28", book("28", "prt_1"))
    assert found.settled_part_id is None
    assert "say of which assembly" in found.why_not_settled


def test_a_position_without_a_part_names_none():
    found = search("3-11-28", book("3-11-28"))
    assert found.matches[0].position_id == "pos_1"
    assert found.why_not_settled == (
        "It names a position in a parts book, and no part is on record for it."
    )
    two = search("3-11-28", book("3-11-28"), book("3-11-28", "prt_1", "pos_2"))
    assert two.settled_part_id is None
    assert "which book" in two.why_not_settled


def test_a_casting_number_that_is_a_live_number_is_asked_about():
    found = search(
        "2084176",
        maker_number("2084176", "prt_one_relief"),
        casting("2084176", "prt_one_relief"),
        casting("2084176", "prt_two_reliefs"),
    )
    assert found.settled_part_id is None
    assert {one.part_id for one in found.matches} == {"prt_one_relief", "prt_two_reliefs"}
    assert "which was read" in found.why_not_settled
    assert "stamped or inked" in found.why_not_settled


@pytest.mark.parametrize("text", ["2084176", "208-4176", "２０８４１７６"])
@pytest.mark.parametrize("cast", ["2084176", "2084 176"])
def test_a_casting_number_never_settles(text, cast):
    for rows in (
        [casting(cast, "prt_1")],
        [casting(cast, "prt_1"), casting(cast, "prt_2")],
        [casting(cast, "prt_1"), maker_number("2084176", "prt_1")],
    ):
        found = search(text, *rows)
        assert found.settled_part_id is None
        assert "stamped or inked" in found.why_not_settled


def test_a_suffix_is_left_off_by_the_makers_own_rule():
    rows = [maker_number("12345-001"), maker_number("12345-789")]
    found = search("12345", *rows, rules=[SUFFIX_RULE])
    assert hits(found) == [
        ("maker-rule", "maker", "12345-001"),
        ("prefix", "maker", "12345-789"),
    ]
    assert found.settled_part_id == "prt_12345-001"
    assert search("12345", *rows).settled_part_id is None
    other = [replace(row, maker="Stone Mill") for row in rows]
    assert search("12345", *other, rules=[SUFFIX_RULE]).settled_part_id is None


def test_a_rule_for_numbers_says_nothing_of_castings():
    found = search("12345", casting("12345-001", "prt_1"), rules=[SUFFIX_RULE])
    assert found.matches[0].match is HowMatched.PREFIX


def test_the_spellings_to_look_up_are_each_makers_own():
    rules = [SUFFIX_RULE, replace(KEPT_RULE, last_letter_is_optional=True)]
    by_maker = {one.maker_key: one.keys for one in plan_search("123-45", rules).rule_spellings}
    assert by_maker["oak hollow"] == ("12345001",)
    assert "12345A" in by_maker["stone mill"]
    only = plan_search("123-45", rules, maker=" OAK  hollow").rule_spellings
    assert [one.maker_key for one in only] == ["oak hollow"]


def test_a_letter_behind_a_number_is_not_dropped_without_a_rule():
    found = search("100-521-00", maker_number("100-521-00A"))
    assert found.settled_part_id is None
    assert found.matches[0].match not in {EXACT, NORMAL, HowMatched.MAKER_RULE}
    assert found.why_not_settled.startswith("It is only the beginning of what is on record")


def test_the_makers_form_is_kept_for_ordering():
    found = search("12345001", maker_number("12345-001"))
    assert hits(found) == [("normal-form", "maker", "12345-001")]
    assert found.settled_part_id == "prt_12345-001"


@pytest.mark.parametrize(
    ("text", "words"), [("716B04", "B/8 at character 4"), ("7168O4", "O/0 at character 5")]
)
def test_a_look_alike_is_offered_and_not_taken(text, words):
    found = search(text, maker_number("716804"))
    assert hits(found) == [("look-alike", "maker", "716804")]
    assert words in found.matches[0].note
    assert found.settled_part_id is None


def test_where_both_spellings_exist_none_is_chosen_silently():
    found = search("716B04", maker_number("716804"), maker_number("716B04"))
    assert hits(found) == [("exact", "maker", "716B04"), ("look-alike", "maker", "716804")]
    assert found.settled_part_id is None
    assert "716804 is on record too (look-alike B/8 at character 4)" in found.why_not_settled
    same = search("716B04", maker_number("716B04"), trade("716804", "prt_716B04"))
    assert same.settled_part_id == "prt_716B04"


def test_two_makers_with_one_number_are_asked_about():
    rows = [maker_number("5102", "prt_1"), maker_number("5102", "prt_2", "Stone Mill")]
    found = search("5102", *rows)
    assert found.settled_part_id is None
    assert "Oak Hollow, Stone Mill have this number" in found.why_not_settled
    assert search("5102", *rows, maker="stone  MILL").settled_part_id == "prt_2"


def test_exact_goes_before_normal_form():
    rows = [maker_number("51-02"), maker_number("5-102")]
    assert search("51-02", *rows).settled_part_id == "prt_51-02"
    found = search("5102", *rows)
    assert found.settled_part_id is None
    assert found.why_not_settled == "It names 2 parts: 5-102, 51-02. Say which."


def test_how_it_is_spelt_does_not_choose_between_makers():
    rows = [maker_number("51-02", "prt_1"), maker_number("5102", "prt_2", "Stone Mill")]
    for text in ("51-02", "5102"):
        found = search(text, *rows)
        assert found.matches[0].match is EXACT and found.settled_part_id is None
        assert "Oak Hollow, Stone Mill have this number" in found.why_not_settled
        assert search(text, *rows, maker="Oak Hollow").settled_part_id == "prt_1"
    by_rule = [maker_number("12345", "prt_1", "Stone Mill"), maker_number("12345-001", "prt_2")]
    found = search("12345", *by_rule, rules=[SUFFIX_RULE])
    assert [one.match.value for one in found.matches] == ["exact", "maker-rule"]
    assert found.settled_part_id is None and "say whose" in found.why_not_settled
    assert search("12345", *by_rule).settled_part_id == "prt_1"


def test_a_makers_number_that_is_a_designation_too_is_asked_about():
    own = maker_number("6205-2RS", "prt_1")
    found = search("6205-2RS", own, trade("6205 2RS", "prt_2"))
    assert found.settled_part_id is None
    assert "by another kind of number" in found.why_not_settled
    assert search("6205-2RS", own, trade("6205 2RS", "prt_1")).settled_part_id == "prt_1"
    assert search("6205-2RS", own, trade("6205-2RS C3", "prt_2")).settled_part_id == "prt_1"
    line = search("11-28", book("11-28", "prt_1"), maker_number("1128", "prt_2"))
    assert line.settled_part_id is None


def test_separators_that_carry_meaning_are_told():
    row = maker_number("51-02", maker="Stone Mill")
    found = search("5-102", row, rules=[KEPT_RULE])
    assert found.matches[0].match is HowMatched.TYPING_ERROR
    assert "separators carry meaning" in found.matches[0].note
    assert found.settled_part_id is None
    assert search("51 - 02", row, rules=[KEPT_RULE]).settled_part_id == "prt_51-02"


def test_a_designation_is_read_by_its_standard():
    found = search("6205-2RS", trade("6205 2RS1"))
    assert found.matches[0].match is HowMatched.STANDARD
    assert found.settled_part_id == "prt_6205 2RS1"
    several = search("6205-2RS", trade("6205-2RS"), trade("6205 2RS1"), trade("6205 2rs"))
    assert several.settled_part_id is None
    assert several.why_not_settled == "3 parts have this trade number: say whose."


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("M8x1.25", "M8x125"),
        ("6205-2RS", "6205"),
        ("6205-2RS C3", "6205-2RS"),
        ("M8", "M8"),
        ("214", "214"),
        ("M8x1.25-6g", "M8x1.25-6G"),
        ("62/22", "6222"),
    ],
)
def test_a_designation_that_reads_otherwise_or_leaves_open_settles_nothing(text, designation):
    for one, other in ((text, designation), (designation, text)):
        assert search(one, trade(other)).settled_part_id is None


def test_marks_of_one_maker_name_a_part_only_where_they_are_listed_as_its_own():
    assert search("306SZZG", trade("306SZZG", is_listed=True)).settled_part_id == "prt_306SZZG"
    found = search("306SZZG", trade("306SZZG"))
    assert hits(found) == [("exact", "trade", "306SZZG")]
    assert "leaves open" in found.why_not_settled
    assert search("214", trade("214", is_listed=True)).settled_part_id is None
    assert search("M8x1.25", trade("M8x125", is_listed=True)).settled_part_id is None


def test_hidden_marks_and_other_alphabets_do_not_hide_a_number():
    marked = search("\u200f306SZZG\u200b", maker_number("306SZZG"))
    assert hits(marked) == [("exact", "maker", "306SZZG")]
    assert marked.has_hidden_characters
    bearing = search("6205\u200b-2RS", trade("6205 2RS1"))
    assert bearing.matches[0].match is HowMatched.STANDARD
    for text in ("３０６ＳＺＺＧ", "306ЅZZG"):  # The second has a Cyrillic letter.
        found = search(text, maker_number("306SZZG"))
        assert hits(found) == [("normal-form", "maker", "306SZZG")]
        assert not found.has_hidden_characters


def test_a_beginning_is_offered():
    rows = [maker_number("716804"), maker_number("716"), maker_number("71"), book("716-1")]
    assert hits(search("716", *rows)) == [
        ("exact", "maker", "716"),
        ("prefix", "book-position", "716-1"),
        ("prefix", "maker", "716804"),
    ]
    assert hits(search("71", maker_number("716804"))) == []
    assert plan_search("7-1").beginning is None


def test_typing_errors_are_looked_for_when_nothing_better_was_found():
    query = plan_search("716840")
    assert wants_near(ranked(query, []))
    assert wants_near(ranked(query, [maker_number("716804")]))
    for better in ("716840", "716-840", "7I6840", "7168401"):
        assert not wants_near(ranked(query, [maker_number(better)]))


def test_nothing_found_is_said():
    found = search("716804", maker_number("999999"))
    assert found.matches == ()
    assert found.why_not_settled == "Nothing is on record under this number."


def test_a_limit_and_rows_not_read_do_not_make_one_part_of_several():
    rows = [maker_number("51-02"), maker_number("5-102")]
    found = search("5102", *rows, limit=1)
    assert (len(found.matches), found.left_out, found.settled_part_id) == (1, 1, None)
    assert search("51-02", rows[0]).settled_part_id == "prt_51-02"
    cut = search("51-02", rows[0], is_cut=True)
    assert cut.settled_part_id is None
    assert "of which maker" in cut.why_not_settled


TEXTS = st.text("018BO-. ", min_size=1, max_size=5).filter(lambda text: text.strip() != "")
ROWS = st.lists(
    st.builds(
        NumberRow,
        st.sampled_from(NumberKind),
        TEXTS,
        st.sampled_from(["Oak Hollow", "Stone Mill"]),
        st.just("part"),
        st.sampled_from(["prt_1", "prt_2", None]),
        st.sampled_from(["pos_1", None]),
    ).filter(lambda row: row.part_id or row.position_id),
    max_size=6,
)


@given(TEXTS, ROWS, st.randoms(use_true_random=False))
def test_what_is_found_does_not_hang_on_the_order_of_the_rows(text, rows, random):
    found = search(text, *rows, rules=[KEPT_RULE])
    shuffled = [*rows, *rows]
    random.shuffle(shuffled)
    assert search(text, *shuffled, rules=[KEPT_RULE]) == found


@given(TEXTS, ROWS)
def test_what_is_settled_is_the_one_part_with_this_number(text, rows):
    found = search(text, *rows, rules=[KEPT_RULE])
    assert (found.settled_part_id is None) == (found.why_not_settled is not None)
    if found.settled_part_id is None:
        return
    characters = [one.upper() for one in text if one not in "-. "]
    best = found.matches[0].match
    for one in found.matches:
        if one.match in {EXACT, NORMAL}:
            assert one.kind is not NumberKind.CASTING
        if one.match is best:
            assert one.part_id == found.settled_part_id
    settling = [one for one in found.matches if one.does_name]
    assert any(one.part_id == found.settled_part_id for one in settling)
    for one in settling:
        if one.kind is NumberKind.MAKER:
            assert [
                sign for sign in one.written if sign not in "-. "
            ] == characters or not characters


@given(st.text("78BO4/", min_size=4, max_size=7), st.data())
def test_a_near_miss_is_never_settled(key, data):
    other = data.draw(st.sampled_from(near_forms(key)))
    found = search(key, maker_number(other))
    assert found.settled_part_id is None
    assert found.matches[0].match in {
        HowMatched.LOOK_ALIKE,
        HowMatched.TYPING_ERROR,
        HowMatched.PREFIX,
    }


@given(st.text(max_size=200))
def test_any_text_is_searched_for_or_refused(text):
    rows = [maker_number("716804"), trade("6205-2RS"), book("3-11-28", "prt_1")]
    try:
        found = search(text, *rows)
    except InvalidInput as refused:
        assert refused.pointer == "/text"
        return
    assert found.why_not_settled or found.settled_part_id in {one.part_id for one in rows}
