"""A number as it is kept, and the forms of it in which spellings meet."""

import unicodedata
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.interchange.part_numbers.normal import (
    book_form,
    folded_form,
    hidden_characters,
    maker_key,
    normal_form,
    plain,
    written,
)

KEYS = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/+#,", min_size=1, max_size=20)
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
MARKED = st.text("AtαуßẞİΪ-. \u0301\u0308\u0345\u0327", max_size=8)
KEPT = st.sets(st.sampled_from(" -._")).map("".join)

# The Unicode Character Database, by name: letters of other alphabets drawn like Latin ones.
LOOK_LIKE_LATIN = {
    "CYRILLIC": {
        "A": "A",
        "VE": "B",
        "IE": "E",
        "KA": "K",
        "EM": "M",
        "EN": "H",
        "O": "O",
        "ER": "P",
        "ES": "C",
        "TE": "T",
        "HA": "X",
        "U": "Y",
        "BYELORUSSIAN-UKRAINIAN I": "I",
        "DZE": "S",
        "JE": "J",
    },
    "GREEK": {
        "ALPHA": "A",
        "BETA": "B",
        "EPSILON": "E",
        "ZETA": "Z",
        "ETA": "H",
        "IOTA": "I",
        "KAPPA": "K",
        "MU": "M",
        "NU": "N",
        "OMICRON": "O",
        "RHO": "P",
        "TAU": "T",
        "UPSILON": "Y",
        "CHI": "X",
    },
}


@given(ANY_TEXT | MARKED, KEPT)
def test_a_normal_form_is_its_own(text, kept):
    form = normal_form(text, kept)
    assert normal_form(form, kept) == form


def test_every_character_has_a_normal_form_that_is_its_own():
    # Beyond the ideographs and syllables, which have no case and no separators among them.
    codes = (
        *range(0x3400),
        *range(0xD7B0, 0xD800),
        *range(0xF900, 0x17000),
        *range(0x1A000, 0x20000),
    )
    for code in codes:
        if unicodedata.category(chr(code)) not in {"Cn", "Co", "Cs"}:
            form = normal_form(f"A{chr(code)}1")
            assert normal_form(form) == form, hex(code)
            assert unicodedata.normalize("NFD", form)[0] == "A", hex(code)
            assert form[-1] == "1", hex(code)


@given(KEYS, st.data())
def test_case_and_what_parts_the_groups_never_matter(key, data):
    apart = data.draw(
        st.lists(st.text(" -._–—−·\u00a0\t", max_size=2), min_size=len(key), max_size=len(key))
    )
    text = "".join(gap + one for gap, one in zip(apart, key, strict=True))
    assert normal_form(text) == normal_form(text.lower()) == normal_form(key) == key


@given(KEYS, st.integers(0, 20), st.sampled_from("/+#,"))
def test_a_sign_that_is_no_separator_tells_two_numbers_apart(key, at, sign):
    assert normal_form(key[:at] + sign + key[at:]) != normal_form(key)


@given(KEYS, st.integers(1, 4))
def test_leading_zeros_count(key, count):
    assert normal_form("0" * count + key) == "0" * count + key


@given(KEYS)
def test_letters_are_never_taken_for_figures(key):
    assert normal_form(key) == key


@pytest.mark.parametrize(("alphabet", "letters"), LOOK_LIKE_LATIN.items())
@pytest.mark.parametrize("case", ["CAPITAL", "SMALL"])
def test_letters_of_another_alphabet_that_look_latin_are_read_so(alphabet, letters, case):
    for name, latin in letters.items():
        letter = unicodedata.lookup(f"{alphabet} {case} LETTER {name}")
        assert normal_form(letter) == latin
        assert plain(letter) != plain(latin)


def test_other_letters_of_another_alphabet_stay():
    assert normal_form("Ж12") == "Ж12"
    assert normal_form("Ω12") == "Ω12"
    assert normal_form("É12") == "É12"


# The two capitals of this letter: Unicode Character Database, case folding.
def test_letters_with_more_than_one_capital_meet():
    assert normal_form("4ß") == normal_form("4ẞ") == normal_form("4ss")


# Full-width forms: Unicode Standard Annex 15, compatibility mappings.
def test_full_width_and_plain_are_one_number():
    assert normal_form("３０６−ＳＺＺＧ") == normal_form("306SZZG") == "306SZZG"


@pytest.mark.parametrize("mark", ["\u200f", "\u200b", "\u00ad", "\ufeff", "\u202e", "\ufe0f"])
def test_hidden_marks_are_left_out_and_told(mark):
    for text in (f"{mark}716804", f"716{mark}804", f"716804{mark}", f"{mark} 716804 {mark}"):
        assert hidden_characters(text)
        assert normal_form(written(text)) == "716804"
        assert plain(text) == plain("716804")
    assert not hidden_characters("716–804 é")


def test_separators_that_a_maker_keeps_stay_in_one_form():
    assert normal_form("ab – 12", kept="-") == "AB-12"
    assert normal_form("ab – 12", kept=" -") == "AB - 12"
    assert normal_form("ab  12\u00a0c", kept=" ") == "AB 12 C"
    assert normal_form("a·b.c", kept=".") == "A.B.C"
    assert normal_form("a_b", kept="_") == "A_B"


def test_a_text_of_separators_alone_stays():
    assert normal_form("--") == "--"
    assert normal_form(" – . ") == "- ."
    assert normal_form("--") != normal_form("-")


def test_a_number_is_kept_as_written():
    assert written("\t 0417-0263580\n") == "0417-0263580"
    assert written("e\u0301 12") == "é 12"
    assert written("x" * 200) == "x" * 200


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1" * 201, "text-length"),
        ("1" * 300, "text-length"),
        ("", "text-empty"),
        ("  \u3000 ", "text-empty"),
        ("\u200b\u200f", "text-empty"),
        ("716\x00804", "text-characters"),
        ("716\t804", "text-characters"),
        ("716\x7f", "text-characters"),
        ("\x1b[2J716804", "text-characters"),
        ("716\ud800", "text-characters"),
    ],
)
def test_what_is_no_number_is_refused(text, code):
    with pytest.raises(InvalidInput) as refused:
        written(text)
    assert (refused.value.pointer, refused.value.code) == ("/text", code)


@given(st.text(max_size=220))
def test_any_text_is_kept_or_refused(text):
    try:
        kept = written(text)
    except InvalidInput:
        return
    assert written(kept) == kept
    assert normal_form(kept)
    assert normal_form(kept) == normal_form(text)


@given(KEYS)
def test_look_alikes_fold_for_offering_alone(key):
    assert folded_form(folded_form(key)) == folded_form(key)
    assert len(folded_form(key)) == len(key)


# Which letters are misread for figures: common practice, no source.
def test_misread_letters_and_figures_meet():
    for group in ("O0", "IL1", "S5", "B8", "Z2"):
        assert len({folded_form(one) for one in group}) == 1
    firsts = [folded_form(group) for group in "O I S B Z A C D G Q 3 4 6 7 9".split()]
    assert len(set(firsts)) == len(firsts)


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("3-11-28", "3-11-28"),
        ("3/11/28", "3-11-28"),
        ("03.11.28", "3-11-28"),
        ("3 – 11 – 28", "3-11-28"),
        ("003 11 28.", "3-11-28"),
        ("28", "28"),
        ("0028", "28"),
        ("00-7a", "0-7A"),
        ("31128", "31128"),
        ("3+11", None),
        ("3_11", None),
        ("-", None),
    ],
)
def test_a_position_in_a_book_keeps_its_groups_apart(text, form):
    assert book_form(text) == form


@given(st.lists(st.integers(0, 999), min_size=1, max_size=5), st.data())
def test_a_position_is_its_groups_however_parted(groups, data):
    zeros = data.draw(st.lists(st.integers(0, 3), min_size=len(groups), max_size=len(groups)))
    texts = ["0" * count + str(group) for count, group in zip(zeros, groups, strict=True)]
    gaps = st.sampled_from(["-", ".", "/", " ", " - ", "–"])
    text = texts[0] + "".join(data.draw(gaps) + one for _, one in pairwise(texts))
    assert book_form(text) == "-".join(map(str, groups))


def test_makers_are_compared_without_case_and_width_of_blanks():
    assert maker_key(" Oak  HOLLOW\u00a0works") == maker_key("oak hollow Works")
    assert maker_key("Oakhollow") != maker_key("Oak Hollow")
