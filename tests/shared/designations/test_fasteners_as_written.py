"""Screws, nuts and threads as people write them: one meaning, several, or none."""

import pytest

from shared.designations.model import FastenerForm, Hand, PartKind
from shared.designations.reading import canonical, read_fastener, readings_of
from shared.errors import Ambiguous, InvalidInput

ONE_MEANING = {
    "M8": "M8x1.25",
    "m10": "M10x1.5",
    "8x1.25": "M8x1.25",
    "8-1.25": "M8x1.25",
    "M8 x 1,25": "M8x1.25",
    "M8x1.25mm": "M8x1.25",
    "M8x1.250": "M8x1.25",
    "M6x1": "M6x1",
    "M20x2": "M20x2",
    "M5x8": "M5x0.8x8",
    "M8x40": "M8x1.25x40",
    "M8x1.25x40 8.8": "M8x1.25x40 8.8",
    "8x1.25x40 8,8": "M8x1.25x40 8.8",
    "M8x1.25x40-8.8": "M8x1.25x40 8.8",
    "M8-1.25 x 40 mm cl. 10.9": "M8x1.25x40 10.9",
    "M8-1.25-40": "M8x1.25x40",
    "M8*1.25*40": "M8x1.25x40",
    "M8 grade 8.8": "M8x1.25 8.8",
    'M8x1.25 x 1 1/2"': "M8x1.25x38.1",
    "M8x1-LH": "M8x1-LH",
    "M8x1 L.H.": "M8x1-LH",
    "M8x1 links": "M8x1-LH",
    "G 1/2 A LH": "G 1/2 A-LH",
    "G 1/2 A-LH": "G 1/2 A-LH",
    "M8x1 Rechtsgewinde": "M8x1",
    "M10 P1.25": "M10x1.25",
    "M10 x 1.25 mm pitch x 30": "M10x1.25x30",
    "M8x25 8.8.": "M8x1.25x25 8.8",
    "M8 30 mm": "M8x1.25x30",
    "M8 13 mm long": "M8x1.25x13",
    "M12 nut 19 mm AF": "M12x1.75 nut AF 19",
    "M8x20 titanium": "M8x1.25x20 titanium",
    "M10x1.25 left-hand stud": "M10x1.25-LH stud",
    "M8x1.25-6g": "M8x1.25-6g",
    "M8-4g6g x 20": "M8x1.25-4g6g x 20",
    "M8 6H": "M8x1.25-6H",
    "M10 10.9 hex flange": "M10x1.5 10.9 hex flange",
    "M6x20 A2-70 socket cap hex key 5": "M6x1x20 A2-70 socket cap hex key 5",
    "M6 x 20 A4/80": "M6x1x20 A4-80",
    "M8x20 13 AF 10.9": "M8x1.25x20 10.9 AF 13",
    "M8 nut 8 AF 13": "M8x1.25 nut 8 AF 13",
    "M6 A4-80x20": "M6x1x20 A4-80",
    "M6 8.8x20": "M6x1x20 8.8",
    "M12 stainless A4": "M12x1.75 stainless A4",
    "ISO 4017 M8x25-8.8": "M8x1.25x25 8.8 ISO 4017",
    "DIN 933 M8x25": "M8x1.25x25 DIN 933",
    "DIN EN ISO 4014 - M12 x 80 - 10.9": "M12x1.75x80 10.9 DIN EN ISO 4014",
    "M8 nut 8": "M8x1.25 nut 8",
    "M8 nut class 10": "M8x1.25 nut 10",
    "M8 8 nut": "M8x1.25 nut 8",
    "ISO 4032 - M12 - 8": "M12x1.75 nut 8 ISO 4032",
    "M8 class 8": "M8x1.25 nut 8",
    "M12x1.5 nut 04 thin": "M12x1.5 nut 04 thin",
    "M8x40 8.8 bolt with nut": "M8x1.25x40 8.8 bolt with nut",
    "M5x0.8 12.9 T25 countersunk black": "M5x0.8 12.9 T25 countersunk black",
    "1/4-20 UNC": "1/4-20 UNC",
    "1/4-20UNC-2A": "1/4-20 UNC-2A",
    "1/4-20-UNC-2A-LH": "1/4-20 UNC-2A-LH",
    "1/4 UNC 20 tpi": "1/4-20 UNC",
    "UNC 1/4": "1/4-20 UNC",
    "5/16 UNC": "5/16-18 UNC",
    "1/4-20 UNC x 1-1/2 grade 5": "1/4-20 UNC x 1 1/2 SAE 5",
    '1/4"-20x1 1/2" gr.8': "1/4-20 UNC x 1 1/2 SAE 8",
    "1/4-28 G5": "1/4-28 UNF SAE 5",
    "7/16 UNF x 1.25 in SAE J429 8": "7/16-20 UNF x 1 1/4 SAE 8",
    "3/4-16 gr 5 x 2 zinc plated": "3/4-16 UNF x 2 SAE 5 zinc plated",
    "1/4-20 UNC x 25 mm": "1/4-20 UNC x 25 mm",
    "1/4 x 1 BSF": "1/4-26 BSF x 1",
    "M8X1.25X30MM FLANGE BOLT CLASS 10.9": "M8x1.25x30 10.9 flange bolt",
    "5/16-18X1-1/4IN HEX CAP SCREW GR 5 ZP": "5/16-18 UNC x 1 1/4 SAE 5 hex cap zp",
    "Bolt, M8x40": "M8x1.25x40 bolt",
    "2BAx1/2 screw": "2 BA x 1/2",
    "M5 washer head screw": "M5x0.8 screw washer head",
    "#10-32": "10-32 UNF",
    "10-32 x 3/4": "10-32 UNF x 3/4",
    ".190-32": "10-32 UNF",
    "No. 8-32": "8-32 UNC",
    "10-24": "10-24 UNC",
    "#0": "0-80 UNF",
    "1-1/8-12": "1 1/8-12 UNF",
    "1-14": "1-14 UNS",
    "2-4 1/2 UNC": "2-4.5 UNC",
    "3/8 BSW": "3/8-16 BSW",
    "3/8W": "3/8-16 BSW",
    '3/8" Whit': "3/8-16 BSW",
    "3/8 B.S.F.": "3/8-20 BSF",
    "1/4 fine unified": "1/4-28 UNF",
    "2 BA": "2 BA",
    "0BA": "0 BA",
    "2BA x 1/2": "2 BA x 1/2",
    "1/4-26 cycle": "1/4-26 BSC",
    "G1/4A": "G 1/4 A",
    "1/4 BSPP": "G 1/4",
    "G 1 1/4": "G 1 1/4",
    "1/8 NPT": "1/8-27 NPT",
    "1/8-27": "1/8-27 NPT",
    "R 1/8": "R 1/8",
    "Rc 1/8": "Rc 1/8",
    "1/8 BSPT male": "R 1/8 male",
    "1-11.5 NPT": "1-11.5 NPT",
}


@pytest.mark.parametrize(("text", "name"), ONE_MEANING.items())
def test_what_has_one_meaning_comes_out_under_one_name(text, name):
    assert read_fastener(text).canonical == name


SEVERAL_MEANINGS = {
    "1/4-20": ["1/4-20 UNC", "1/4-20 BSW"],
    ".250-20": ["1/4-20 UNC", "1/4-20 BSW"],
    "0.3125-18": ["5/16-18 UNC", "5/16-18 BSW"],
    "1/4-26": ["1/4-26 BSF", "1/4-26 BSC"],
    "1/8-28": ["G 1/8", "R 1/8", "Rc 1/8", "Rp 1/8"],
    "1/4 BSP": ["G 1/4", "R 1/4", "Rc 1/4", "Rp 1/4"],
    "1/8 BSPT": ["R 1/8", "Rc 1/8"],
    "1/8 pipe": ["G 1/8", "R 1/8", "Rc 1/8", "Rp 1/8", "1/8-27 NPT"],
    "1/4 coarse": ["1/4-20 UNC", "1/4-20 BSW"],
    "M10 fine": ["M10x1", "M10x1.25", "M10x0.75"],
    "M8 grade 8": ["M8x1.25 8.8", "M8x1.25 SAE 8"],
    "1/4-20 UNC x 40": ["1/4-20 UNC x 40 mm", "1/4-20 UNC x 40 in"],
    "8x1": ["M8x1", "O-ring 8x1"],
    "R2": ["R 2", "R2 rolling bearing"],
    "214": ["6214", "AS568-214"],
}


@pytest.mark.parametrize(("text", "names"), SEVERAL_MEANINGS.items())
def test_what_has_several_meanings_is_answered_with_all_and_never_guessed(text, names):
    assert [part.canonical for part in readings_of(text)] == names
    assert canonical(text) is None


def test_a_bare_fraction_may_be_any_thread_of_that_size():
    names = {part.canonical for part in readings_of("3/8")}
    assert names >= {
        "3/8-16 UNC",
        "3/8-24 UNF",
        "3/8-32 UNEF",
        "3/8-16 BSW",
        "3/8-20 BSF",
        "3/8-26 BSC",
        "G 3/8",
        "R 3/8",
        "3/8-18 NPT",
    }
    with pytest.raises(Ambiguous) as asked:
        read_fastener("3/8")
    assert asked.value.pointer == "/designation"
    assert "3/8-16 BSW (British Standard Whitworth, 55 degrees)" in asked.value.readings


def test_a_grade_or_a_tolerance_class_leaves_the_threads_of_its_standard():
    assert canonical("1/4-20 grade 5") == "1/4-20 UNC SAE 5"
    assert canonical("1/4-20-2A") == "1/4-20 UNC-2A"
    assert any("1/4-20 BSW" in note for note in read_fastener("1/4-20 grade 5").notes)


def test_a_name_written_exactly_is_that_part_and_what_is_near_it_is_noted():
    (thread,) = readings_of("R 2")
    assert thread.kind is PartKind.FASTENER
    assert any("R2 rolling bearing" in note for note in thread.notes)


def test_a_screw_is_no_pipe_thread():
    assert all(part.thread.stress_area for part in readings_of("3/8 bolt"))


REFUSED = {
    # The width across flats, which the trade writes like a length.
    "M12 nut 19mm": ("designation-unknown", "M12x1.75 nut AF 19"),
    "M8 13mm head": ("designation-unknown", "M8x1.25 AF 13"),
    "1/4-20 UNC 7/16": ("designation-unknown", "1/4-20 UNC AF 7/16"),
    "1/4-28 UNF nut 7/16": ("designation-unknown", "1/4-28 UNF nut AF 7/16"),
    # Grade 5 of titanium is an alloy; a washer's standard is no thread's.
    "M8x20 titanium grade 5": ("designation-unknown", "M8x1.25 titanium"),
    "DIN 125 M8": ("designation-unknown", "M8x1.25"),
    "M8x1.3": ("designation-unknown", "M8x1.25"),
    "M8x1.3x40": ("designation-unknown", "M8x1.25"),
    "M10x3": ("designation-unknown", "M10x1.5"),
    "M8x20 AF 10.9": ("designation-unknown", "M8x1.25x20"),
    "M20x2/8": ("designation-unknown", "decimal"),
    "M65": ("designation-unknown", "M64x6"),
    "M8x1.25x0": ("out-of-range", "in mm"),
    "M8x1.25x99999": ("out-of-range", "in mm"),
    "M8x1.25x-40": ("designation-unknown", "M8x1.25"),
    "M8x10.9": ("designation-unknown", "M8x1.25 10.9"),
    "M8 A2-75": ("designation-unknown", "A2-70"),
    "M8 8.7": ("designation-unknown", "8.8"),
    "M8 10.9 8.8": ("designation-unknown", "one property class"),
    "M8x20x30": ("designation-unknown", "M8x1"),
    "M8x1.25x20x30": ("designation-unknown", "one length"),
    "M8 nut 8.8": ("designation-unknown", "nut 8"),
    "M8x20 cl 8": ("designation-unknown", "8.8"),
    "M8 8": ("designation-unknown", "M8x1.25"),
    "M8-10": ("designation-unknown", "nut 10"),
    "M8x40-10": ("designation-unknown", "nut 10"),
    "3/8-16 UNC x 1 - 5": ("designation-unknown", "nut 5"),
    "M8-10 nut A2-70": ("designation-unknown", "M8x1.25 x 10 mm"),
    "M8-8 nut gr 8": ("designation-unknown", "M8x1.25 x 8 mm"),
    "M8 1 1/2": ("designation-unknown", "inch mark"),
    "M8 A4 80": ("designation-unknown", "M8x1.25x80 A4"),
    "M8-8": ("designation-unknown", "x 8 mm"),
    "M8 grade 10": ("designation-unknown", "10.9"),
    "M8 nut bolt": ("designation-unknown", "with nut"),
    "M8 washer": ("designation-unknown", "washers"),
    "M8x25 hexagn": ("designation-unknown", "hexagon"),
    "M8x1 LH RH": ("designation-unknown", "one hand"),
    "M10x1.5 fine": ("designation-unknown", "M10x1.5"),
    "M8-2A": ("designation-unknown", "M8x1.25"),
    "1/4-21": ("designation-unknown", "1/4-20 UNC"),
    "1/4-28 UNC": ("designation-unknown", "1/4-28 UNF"),
    "1/4 x 20": ("designation-unknown", "x 20 mm"),
    "1/4-20 x 1/3": ("designation-unknown", "decimal"),
    "Tr 20x4": ("designation-not-held", "gauge"),
    "1/8-27 NPTF": ("designation-not-held", "gauge"),
    "Acme": ("designation-unknown", "M8x1.25"),
    "8": ("designation-unknown", "M8"),
    ".25": ("designation-unknown", "1/4 in"),
    "hello": ("designation-unknown", "6205-2RS"),
}


@pytest.mark.parametrize(("text", "code", "mend"), [(text, *why) for text, why in REFUSED.items()])
def test_what_cannot_be_read_is_refused_with_the_nearest_readable_form(text, code, mend):
    with pytest.raises(InvalidInput) as refused:
        readings_of(text)
    assert refused.value.code == code
    assert mend in refused.value.fix


def test_the_piece_that_could_not_be_read_is_named():
    with pytest.raises(InvalidInput) as refused:
        read_fastener("M8x40 8.8 qwerty zinc")
    assert "'qwerty'" in refused.value.detail
    assert "M8x1.25x40 8.8" in refused.value.fix


def test_a_bare_metric_size_is_coarse_and_names_its_fine_pitches():
    notes = " ".join(read_fastener("M10").notes)
    assert "1.5 mm, by ISO 965-1" in notes
    assert "M10x1.25" in notes


def test_the_hand_is_the_designations_and_no_claim_about_a_part():
    silent, said = read_fastener("M20x1.5"), read_fastener("M20x1.5 RH")
    assert silent.hand is said.hand is Hand.RIGHT
    assert any("No LH is written" in note for note in silent.notes)
    assert not any("No LH is written" in note for note in said.notes)
    assert read_fastener("M20x1.5 left").hand is Hand.LEFT


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("M8 grade 5", "no strength is sure"),
        ("1/4-20 UNC 8.8", "maker's word"),
        ("M20x2", "M20x2.5x2"),
        ("M8 A2", "not a strength"),
        ("M2.6", "measure the pitch"),
        ("3/8 BSW grade 5", "covers unified threads"),
    ],
)
def test_odd_pairs_are_read_with_a_note(text, note):
    assert any(note in one for one in read_fastener(text).notes)


def test_what_carries_the_thread_is_told_by_word_length_class_or_standard():
    forms = {text: read_fastener(text).form for text in ("M8", "M8x20", "M8 8.8", "M8 nut")}
    assert list(forms.values()) == [
        FastenerForm.THREAD,
        FastenerForm.SCREW,
        FastenerForm.SCREW,
        FastenerForm.NUT,
    ]
    assert read_fastener("DIN 934 M8").form is FastenerForm.NUT
    assert read_fastener("DIN 975 M8").form is FastenerForm.SCREW


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("6205-2RS C3", PartKind.BEARING),
        ("62/22", PartKind.BEARING),
        ("R6-2RS", PartKind.BEARING),
        ("25x47x7", PartKind.SHAFT_SEAL),
        ("AS568-214", PartKind.O_RING),
        ("DIN 471 25x1.2", PartKind.RETAINING_RING),
        ("DIN 472 52x2", PartKind.RETAINING_RING),
        ("DIN 6885 A 8x7x40", PartKind.KEY),
        ("8x7x40", PartKind.KEY),
        ("DIN 988 25x35x0.1", PartKind.SHIM),
    ],
)
def test_other_parts_are_read_by_their_own_parsers(text, kind):
    (part,) = readings_of(text)
    assert part.kind is kind


def test_only_the_kinds_asked_for_are_read():
    assert canonical("8x1") is None
    assert read_fastener("8x1").canonical == "M8x1"
    with pytest.raises(InvalidInput):
        read_fastener("6205-2RS")


@pytest.mark.parametrize("text", ["3/16 key", "M8x1.25 key"])
def test_a_key_is_no_thread(text):
    with pytest.raises(InvalidInput, match="names a key"):
        readings_of(text)
    assert readings_of("M8 hex key")


@pytest.mark.parametrize(("text", "note"), [("1/2-26", "brass thread"), ("1/8-27", "NPTF")])
def test_threads_without_a_table_are_named_beside_the_one_that_has_it(text, note):
    [found] = readings_of(text)
    assert any(note in one for one in found.notes)
    [said] = readings_of(found.canonical)
    assert not any(note in one for one in said.notes)
