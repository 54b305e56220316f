"""Seals, O-rings, rings, keys and shims as people write them."""

from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.designations.keys import read_key
from shared.designations.o_rings import read_o_ring
from shared.designations.reading import readings_of
from shared.designations.retaining_rings import read_retaining_ring
from shared.designations.shaft_seals import read_shaft_seal
from shared.designations.shims import read_shim
from shared.designations.text import tidy
from shared.errors import InvalidInput
from shared.standards.keys import key_lengths, keys
from shared.standards.o_rings import o_rings
from shared.standards.retaining_rings import retaining_rings
from shared.standards.seal_materials import seal_materials
from shared.standards.shaft_seals import shaft_seals
from shared.standards.shims import shim_thicknesses, shims

READERS = (read_shaft_seal, read_o_ring, read_retaining_ring, read_key, read_shim)


def names(text):
    plain = tidy(text)
    return [part.canonical for read in READERS for part in read(plain)]


SEAL = "shaft seal 25x47x7"


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("25x47x7", SEAL),
        ("25 X 47 X 7 mm", SEAL),
        ("25-47-7", SEAL),
        ("25/47/7", SEAL),
        ("25*47*7 NBR", f"{SEAL} NBR"),
        ("oil seal 25x47x7 FPM", f"{SEAL} FKM"),
        ("25 x 47 x 7 TC", f"{SEAL} TC"),
        ("DIN 3760 A25x47x7", f"{SEAL} rubber-covered without dust lip"),
        ("AS 25x47x7", f"{SEAL} rubber-covered dust lip"),
        ("DIN 3760 - BS 25 x 47 x 7 - NBR", f"{SEAL} metal-cased dust lip NBR"),
        ("ISO 6194-1:2007 type 4 25x47x7", f"{SEAL} rubber-covered dust lip"),
        ("25x47x7 metal case, reinforced", f"{SEAL} metal-cased reinforced"),
        ("25x47x7 arrow right", f"{SEAL} right spin"),
        ("25x47x7 LH", f"{SEAL} left spin"),
        ("25x47x7 both ways", f"{SEAL} arrow both ways"),
        ("25x47x7 with arrow", f"{SEAL} arrow"),
        ("25x47x7 QZ4", f"{SEAL} QZ4"),
        ("seal 1.000x1.500x0.250 in", "shaft seal 25.4x38.1x6.35"),
        ("AS568-214", "AS568-214"),
        ("AS 568A 214", "AS568-214"),
        ("-214", "AS568-214"),
        ("dash 214 NBR70", "AS568-214 NBR 70"),
        ("214", "AS568-214"),
        ("24,99 x 3,53", "AS568-214"),
        ("0.984x0.139 in", "AS568-214"),
        ('O-ring 1" x 1/8"', "AS568-214"),
        ("O-ring 24.99x32.05x3.53", "AS568-214"),
        ("ID 25 x 3.5", "O-ring 25x3.5"),
        ("o ring 25x3.55 FKM 75 Shore A", "O-ring 25x3.55 FKM 75"),
        ("O-ring 33.3x2.2 green", "O-ring 33.3x2.2 green"),
        ("ISO 3601-1 25x3.55", "O-ring 25x3.55"),
        ("P22A", "JIS B 2401 P22A"),
        ("JIS B2401 G50", "JIS B 2401 G50"),
        ("9.8x1.9", "JIS B 2401 P10"),
        ("9.8x2.4", "JIS B 2401 P10A"),
        ("DIN 471 25x1.2", "DIN 471 25x1.2"),
        ("DIN471-25", "DIN 471 25x1.2"),
        ("25x1.2 DIN 471", "DIN 471 25x1.2"),
        ("shaft ring 25", "DIN 471 25x1.2"),
        ("internal circlip 52 mm", "DIN 472 52x2"),
        ("DIN 472 52 stainless", "DIN 472 52x2 stainless"),
        ("DIN 6885 A 8x7x40", "DIN 6885 A 8x7x40"),
        ("DIN 6885-1-A8x7x40", "DIN 6885 A 8x7x40"),
        ("8x7x40", "DIN 6885 8x7x40"),
        ("key 8x7", "DIN 6885 8x7"),
        ("DIN 988 25x35x0.1", "DIN 988 25x35x0.1"),
        ("25x35x0,10", "DIN 988 25x35x0.1"),
        ("DIN 988-S 25x35x2", "DIN 988 S 25x35x2"),
        ("supporting ring 25x35x2", "DIN 988 S 25x35x2"),
    ],
)
def test_what_people_write_has_one_name(text, canonical):
    assert names(text) == [canonical]
    assert names(canonical) == [canonical]


def test_a_ring_for_shaft_or_bore_unsaid_may_be_either():
    assert names("circlip 25") == ["DIN 471 25x1.2", "DIN 472 25x1.2"]
    assert names("circlip 5") == ["DIN 471 5x0.6"]
    assert names("circlip for a bore 25") == ["DIN 472 25x1.2"]


@pytest.mark.parametrize(
    "text",
    [
        "M8x1.25", "8x1.25", "M8x1.25x40 8.8", "25x1.2", "6205-2RS", "1/4-20", "25x47x7 banana",
        "25x47x7 A B C", "25x47x7 TC without dust lip", "25x20x7", "1x2x9000", "AS568-200",
        "O-ring 1/0 x 2", "O-ring 25x3.5 steel", "O-ring 25x3.5 NBR FKM", "NBR 70", "P22B",
        "DIN 471 DIN 472 25", "DIN 471 27", "circlip", "key 7x8x40", "8x7", "8x7x3", "woodruff 8x7",
        "DIN 988 35x25x1", "25x35x0.17", "0x47x7", "O-ring 0x0",
        "bore 25", "shaft 25x1.2", "214 mm", "G50 in", "25x47x7 left", "25x47x7 FRONT",
        "25x47x7x10", "25x47x7 x10",
    ],
)  # fmt: skip
def test_what_is_no_such_part_is_left_alone(text):
    assert names(text) == []


def test_an_unlisted_seal_is_told_from_a_listed_one():
    (listed,), (other,) = read_shaft_seal("25x47x7"), read_shaft_seal("25x52x15")
    assert listed.is_listed
    assert not other.is_listed
    assert "bearing" in other.notes[0]


def test_bare_sizes_of_a_bearing_are_not_guessed_to_be_a_seal():
    assert [part.canonical for part in readings_of("25x52x15")][:3] == ["6205", "7205", "1205"]
    assert {"608", "shaft seal 8x22x7"} <= {part.canonical for part in readings_of("8x22x7")}
    assert [part.canonical for part in readings_of("oil seal 8x22x7")] == ["shaft seal 8x22x7"]
    assert [part.canonical for part in readings_of("bearing 1/2 x 1 1/8 x 5/16 in")] == ["R8"]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("oil seal 25 47 7", "shaft seal 25x47x7"), ("1 x 1/8 O-ring", "AS568-214"),
        ("DIN 3760 A 25 47 7", "shaft seal 25x47x7 rubber-covered without dust lip"),
    ],
)  # fmt: skip
def test_sizes_with_the_word_need_no_unit_nor_x(text, name):
    assert [part.canonical for part in readings_of(text)] == [name]


def test_what_letters_and_arrows_mean_is_said():
    (seal,) = read_shaft_seal("25x47x7 TC RH")
    assert (seal.lip_type, seal.has_dust_lip, seal.spin) == ("rubber-covered", True, "right")
    assert "no standard's" in seal.notes[0]
    assert "direction of rotation" in seal.notes[1]
    (odd,) = read_shaft_seal("25x47x7 QZ4")
    assert odd.words == ("QZ4",)
    assert "not known here" in odd.notes[0]


def test_an_o_ring_near_a_listed_one_is_not_taken_for_it():
    (ring,) = read_o_ring("O-ring 25x3.53")
    assert ring.dash is None
    assert ring.notes[0].startswith("No list holds this size. Near it: ")
    assert "AS568-214" in ring.notes[0]


def canonical_names():
    for seal in shaft_seals():
        yield read_shaft_seal, f"shaft seal {seal.shaft:g}x{seal.housing:g}x{seal.width:g}"
    for ring in o_rings():
        yield read_o_ring, ring.name
    for ring in retaining_rings():
        yield read_retaining_ring, f"{ring.standard} {ring.nominal:g}x{ring.thickness:g}"
    for key in keys():
        for length in key_lengths():
            if length.length >= key.width:
                size = f"{key.width:g}x{key.height:g}x{length.length:g}"
                yield read_key, f"DIN 6885 {size}"
                yield read_key, f"DIN 6885 A {size}"
    for shim in shims():
        size = f"{shim.inside:g}x{shim.outside:g}"
        yield read_shim, f"DIN 988 S {size}x{shim.supporting_thickness:g}"
        for one in shim_thicknesses():
            yield read_shim, f"DIN 988 {size}x{one.thickness:g}"


def test_every_row_of_every_table_reads_back_as_itself():
    count = 0
    for read, name in canonical_names():
        (part,) = read(tidy(name))
        assert part.canonical == name
        count += 1
    assert count > 3500


SIZES = [f"{s.shaft:g}x{s.housing:g}x{s.width:g}" for s in shaft_seals()] + ["31.75x50.8x9.5"]
MATERIALS = ["", *(f" {row.code}" for row in seal_materials())]


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(SIZES),
    st.sampled_from(["", "A ", "AS ", "B ", "type 3 "]),
    st.sampled_from(["", " TC", " arrow", " RH", " left spin", " KB", " BA1"]),
    st.sampled_from(MATERIALS),
)
def test_a_seal_reads_back_as_the_same_value(size, form, mark, material):
    for seal in read_shaft_seal(f"oil seal {form}{size}{mark}{material}"):
        assert read_shaft_seal(tidy(seal.canonical)) == (seal,)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from([ring.name for ring in o_rings()] + ["O-ring 33.3x2.2", "O-ring 500x9.75"]),
    st.sampled_from(MATERIALS),
    st.sampled_from(["", " 70", " 90", " 75 shore", " green", " 80 irhd black"]),
)
def test_an_o_ring_reads_back_as_the_same_value(name, material, more):
    (ring,) = read_o_ring(f"{name}{material}{more}")
    assert read_o_ring(tidy(ring.canonical)) == (ring,)


WORDS = st.sampled_from(
    "25 47 7 x 1/8 1/0 0 . - .5 9999 99999 DIN 471 988 6885 3760 A S key shim circlip seal O-ring"
    ' AS568 dash -214 P22 JIS NBR 70 mm in " TC arrow left x x x'.split()
)


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=130), st.lists(WORDS, max_size=14).map(" ".join)))
def test_any_text_is_read_or_refused_but_never_breaks(text):
    try:
        plain = tidy(text)
    except InvalidInput:
        return
    for read in READERS:
        for part in read(plain):
            assert part in read(tidy(part.canonical))


def test_long_texts_take_no_time():
    start = perf_counter()
    for piece in ("1/1 ", "1x", "25x47x7 ", "-214 ", "1 1/8 x ", "a ", "P1 "):
        text = (piece * 120)[:120].strip()
        for read in READERS:
            read(text)
    assert perf_counter() - start < 5  # a pattern that tries every split would take minutes
