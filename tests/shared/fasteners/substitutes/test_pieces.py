"""What a shop's words for its hardware are read as, and what is not counted."""

from decimal import Decimal

import pytest

from shared.errors import InvalidInput
from shared.fasteners.model import FeatureKind, ItemForm, ScrewTip, ToolFeature
from shared.fasteners.substitutes.asked import ItemAsked
from shared.fasteners.substitutes.hardness_text import read_hardness
from shared.fasteners.substitutes.model import Piece
from shared.fasteners.substitutes.pieces import piece_of, read_items
from shared.money import Money
from shared.quantities import Quantity

F, K = ItemForm, FeatureKind


def mm(value, **doubt):
    return Quantity(Decimal(str(value)), "mm", **doubt)


def sized(**sizes):
    return tuple(ToolFeature(K(name.replace("_", "-")), size=mm(s)) for name, s in sizes.items())


def read(name, kind="", designation=None, **members) -> Piece:
    found = piece_of(ItemAsked(name, kind, 4, designation, **members), "k")
    assert isinstance(found, Piece), found
    return found


def why_not(name, kind="", designation=None, **members) -> str:
    found = piece_of(ItemAsked(name, kind, 4, designation, **members), "k")
    assert isinstance(found, str), found
    return found


@pytest.mark.parametrize(
    ("name", "kind", "designation", "form", "canonical"),
    [
        ("Hexagon screw M8x60", "screw", None, F.SCREW, "M8x1.25x60 hexagon"),
        ("Lot of screws", "screw", "M8x60 8.8", F.SCREW, "M8x1.25x60 8.8"),
        ("Threaded rod", "rod", "M12x1000 8.8", F.THREADED_ROD, "M12x1.75x1000 8.8 rod threaded"),
        ("By the metre", "", "DIN 975 M12x1000", F.THREADED_ROD, "M12x1.75x1000 DIN 975"),
        ("Nuts", "nut", "M12", F.NUT, "M12x1.75 nut"),
        ("Spares", "hardware", "M12 nut 8", F.NUT, "M12x1.75 nut 8"),
        ("M8 large washer", "washer", None, F.WASHER, "M8x1.25"),
        ("Washer", "washer", "DIN 125-A M8", F.WASHER, "M8x1.25"),
        ("Stud", "stud", "M8x60 8.8", F.SCREW, "M8x1.25x60 8.8 stud"),
    ],
)
def test_the_designation_then_the_plain_words_tell_what_it_is(
    name, kind, designation, form, canonical
):
    piece = read(name, kind, designation)
    assert (piece.form, piece.fastener.canonical) == (form, canonical)


@pytest.mark.parametrize(
    ("name", "form"),
    [
        ("Flat bar 40x10", F.BAR),
        ("Pipe offcut", F.TUBE),
        ("Brass strip", F.STRIP),
        ("Shim stock", F.STRIP),
        ("Dowel pin", F.PIN),
        ("Impact socket 32", F.SOCKET),
        ("Bearing ring, turned down", F.RING),
        ("Hook spanner 45-50", F.HOOK_SPANNER),
        ("Nylon sleeve", F.SLEEVE),
        ("Pin plate", F.PLATE),
    ],
)
def test_plain_words_name_the_form(name, form):
    assert read(name).form is form


@pytest.mark.parametrize(
    ("told", "members"),
    [
        ("strength of screws and nuts of brass", {"kind": "screw", "material": "brass"}),
        ("left-hand", {"name": "Left-hand screw"}),
        ("different metals", {"designation": "M8x60 8.8", "property_class": "A2-70"}),
        ("contradict", {"designation": "M8 nut 8", "form": F.SCREW}),
        ("State its form", {"name": "Thing", "kind": "thing", "designation": "M8"}),
        ("State its form", {"name": "Bearing", "kind": "bearing", "designation": "6205"}),
        ("State its form", {"name": "Roll pin 6x30", "kind": "pin", "designation": None}),
        ("State its form", {"name": "Spring washer", "kind": "", "designation": "DIN 127 M8"}),
        ("no plain pin", {"name": "Roll pin", "designation": None, "form": F.PIN}),
        ("no plain pin", {"name": "Coiled pin", "designation": None, "form": F.PIN}),
        ("no plain pin", {"name": "Pin, hollow", "designation": None, "form": F.PIN}),
        ("no plain pin", {"name": "Pin", "designation": "ISO 8752 6x20", "form": F.PIN}),
        ("no plain pin", {"name": "DIN EN ISO 13337 - 6x20", "form": F.PIN, "designation": None}),
        ("no plain bar", {"name": "Box section 40x20", "form": F.BAR, "designation": None}),
        ("no plain bar", {"name": "Sections, 40 wide", "form": F.BAR, "designation": None}),
        ("no plain bar", {"name": "Square tube", "form": F.BAR, "designation": None}),
        ("no plain plate", {"name": "Perforated plate", "form": F.PLATE, "designation": None}),
        ("without a thread", {"name": "Washer", "kind": "washer", "designation": "DIN 433 M8"}),
        ("wood", {"name": "Wood screw"}),
        ("could not be read", {"designation": "M8x60 twelve"}),
        ("State its designation, such as", {"designation": "M8x60 twelve"}),
        ("3/8-16 BSW x 2 (British", {"designation": "3/8-16 x 2"}),
        ("left-hand", {"name": "Left thread screw"}),
        ("bent", {"name": "Screws, bent"}),
        ("cracked", {"name": "Flat bar, cracked", "kind": "bar", "designation": None}),
        ("another size", {"name": "Screw M10x60"}),
        ("another size", {"name": "Screw M8x40"}),
        ("another size", {"name": "Screw M8x1"}),
        ("was cut", {"name": "Screws cut to 35"}),
        ("brass", {"name": "Brass screw", "designation": "M8x60 8.8"}),
        ("rubber", {"name": "Rubber mount"}),
        ("eyebolt", {"name": "Eyebolts"}),
        ("break-off", {"name": "Break-off bolts"}),
        ("vented", {"name": "Vented screws"}),
        ("of nickel-copper", {"name": "Nickel-copper screw"}),
        ("of zinc die-cast", {"name": "Zinc die-cast screw"}),
        ("no plain nut", {"name": "Rivet nuts", "designation": "M8 nut 8", "kind": "nut"}),
        ("no plain nut", {"name": "Stiff nuts", "designation": "M8 nut 8", "kind": "nut"}),
        ("no plain nut", {"name": "Nylring nuts", "designation": "M8 nut 8", "kind": "hardware"}),
        ("bent bolt", {"name": "U bolt"}),
        ("without a head", {"property_class": "45H"}),
        ("State its form", {"name": "Thing", "kind": "thing"}),
        ("200 mm", {"size": mm(200)}),
    ],
)
def test_what_is_not_sure_is_not_counted_and_says_why(told, members):
    plain = {"name": "Screw", "kind": "screw", "designation": "M8x60", **members}
    assert told in why_not(**plain)


def test_words_beside_a_bare_designation_are_not_lost():
    assert "brass" in read("Brass screw", "screw", "M8x60").fastener.words
    assert "grub" in read("Grub screw", "screw", "M8x60").fastener.words
    assert "stainless" in read("Screw", "screw", "M8x60", material="1.4301").fastener.words
    steel = read("Screw", "screw", "M8x60", material="zinc plated steel")
    assert steel.fastener.words == ("zinc", "plated", "steel")


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("Countersunk-head screw", "countersunk"),
        ("Stainless-steel screw", "stainless"),
        ("A2 hexagon screw", "stainless"),
        ("Full-thread screw M8x1.25x60", "full"),
    ],
)
def test_words_with_a_hyphen_and_marks_in_a_name_count(name, word):
    assert word in read(name, "screw", "M8x60").fastener.words


@pytest.mark.parametrize(
    "name",
    ["Screw M8x60.", "Screws M8 x 1,25 x 60", "M8×60 screw", "Screw M8x0.06m", "Screws left over"],
)
def test_a_size_that_agrees_is_no_contradiction(name):
    assert read(name, "screw", "M8x60 8.8").fastener.length == 60


def test_a_full_box_is_no_full_thread():
    assert read("Box full of screws", "screw", "M8x60 8.8").fastener.words == ()
    assert "point" not in read("12-point screw", "screw", "M8x60 8.8").fastener.words


def test_a_worth_that_is_none_is_not_counted():
    for amount in ("0.333", "-1"):
        piece = read("S", "screw", "M8x60", worth=Money(Decimal(amount), "EUR"))
        assert piece.price is None
        assert "worth" in piece.notes[0]


def test_a_class_that_the_name_denies_is_not_believed():
    for name in ("Screws 8.8", "Unmarked screws"):
        piece = read(name, "screw", "M8x60", property_class="10.9")
        assert piece.fastener.property_class is None
        assert "lowest" in piece.notes[0]
    assert read("Screws 10.9", "screw", "M8x60 10.9").fastener.property_class == "10.9"


def test_a_missing_class_is_filled_and_of_two_none_is_believed():
    assert read("S", "screw", "M8x60", property_class="8.8").fastener.property_class == "8.8"
    assert read("S", "screw", "1/4-20 UNC x 2", property_class="gr 5").fastener.property_class == (
        "SAE 5"
    )
    for own, stated in (("8.8", "10.9"), ("10.9", "8.8"), ("8.8", "good")):
        piece = read("S", "screw", f"M8x60 {own}", property_class=stated)
        assert piece.fastener.property_class is None
        assert own not in piece.fastener.canonical
        assert "lowest" in piece.notes[0]


def test_washers_count_with_the_least_of_their_forms():
    unnamed, large = read("Washer", "washer", "M8 washer"), read("Washer", "", "ISO 7093-1 M8")
    # 1.6 or 2 mm thick: which, nobody said.
    assert dict(unnamed.sizes) == {K.BORE: 8.4, K.OUTSIDE_DIAMETER: 16.0}
    assert "thick" in unnamed.notes[0]
    assert large.size(K.OUTSIDE_DIAMETER) == read("M8 large washer").size(K.OUTSIDE_DIAMETER) == 24
    normal = read("Washer", "washer", "ISO 7089 - M8 - 200 HV")
    assert (normal.size(K.THICKNESS), normal.material.material) == (1.6, "S235")
    assert read("Washer, brass", "washer", "ISO 7089 M8").material is None
    assert unnamed.material is None
    inch = read('1/4" washer', "washer")
    assert inch.fastener.thread.series.value == "UNC"
    own = sized(outside_diameter=20, thickness=3)
    assert read("Washer", "", "M8 washer", features=own).size(K.THICKNESS) == 3
    every = sized(outside_diameter=20, thickness=3, bore=9)
    assert read("Washer", "washer", "special", features=every).fastener is None


def test_a_material_that_the_name_denies_counts_as_unknown():
    for name in ("Aluminium bar", "Wooden bar", "Stainless bar"):
        piece = read(name, "bar", material="S235")
        assert piece.material is None
        assert "another material" in piece.notes[0]
    assert read("Stainless bar", "bar", material="1.4301").material.material == "1.4301"
    assert read("Blue bar", "bar", material="S235").material.material == "S235"


def test_a_strip_of_brass_is_rolled_and_not_cast():
    assert read("Strip", material="brass").material.material == "CuZn37-R300"
    assert read("Ring", material="brass").material.is_brittle


def test_sizes_are_taken_as_stated_and_doubt_is_not():
    bar = read("Flat bar", features=sized(length=500, width=40), size=mm(10), material="S235")
    assert (bar.length, bar.size(K.WIDTH), bar.size(K.THICKNESS)) == (500, 40, None)
    assert "Which of its sizes" not in " ".join(bar.notes)
    assert read("Brass strip", size=mm("1.5")).size(K.THICKNESS) == 1.5
    assert read("Screw", "screw", "M8", size=mm(60)).length == 60
    doubtful = (ToolFeature(K.LENGTH, size=mm(60, plus_minus=Decimal(1))),)
    tube = read("Tube", features=(*doubtful, *sized(bore=40)))
    assert tube.length is None
    assert "uncertainty" in tube.notes[0]
    twice = (*sized(bore=40), *sized(bore=41))
    assert read("Tube", features=twice).size(K.BORE) is None
    wrong = (ToolFeature(K.BORE, size=Quantity(Decimal(2), "kg")), *sized(length=-3))
    assert read("Tube", features=wrong).sizes == ()
    pin = read("Dowel pin", "pin", "ISO 2338 6 m6 x 30")
    assert (pin.size(K.OUTSIDE_DIAMETER), pin.length) == (6, 30)


def test_a_measured_piece_keeps_its_uncertainty():
    size = mm(25, expanded_uncertainty=Decimal("0.002"))
    piece = read(
        "Block",
        form=F.MEASURED_PIECE,
        features=(ToolFeature(K.LENGTH, size=size),),
        certificate=" 12/2031 ",
    )
    assert (piece.length, piece.uncertainty, piece.certificate) == (25, 0.001, "12/2031")


def test_a_point_is_told_by_its_words_where_nobody_states_it():
    assert read("Hexagon screw, dog point", "", "M8x60 8.8").tip is ScrewTip.DOG
    assert "dog" not in read("Hexagon screw, dog point", "", "M8x60 8.8").fastener.words
    assert read("Hexagon screw", "", "M8x60 8.8").tip is None
    mushroomed = read("Screw, mushroomed", "screw", "M8x60 8.8", tip=ScrewTip.DOG)
    assert mushroomed.tip is ScrewTip.DOG


def test_words_of_no_table_count_as_unknown_and_say_so():
    piece = read("Strip", material="unobtainium", hardness="soft")
    assert (piece.material, piece.hardness) == (None, None)
    assert len(piece.notes) == 2


@pytest.mark.parametrize(
    ("text", "highest", "value", "scale"),
    [
        ("58 HRC", True, 58, "HRC"),
        ("HV 620", True, 620, "HV"),
        ("180 HB", True, 180, "HBW"),
        ("58-62 HRC", True, 62, "HRC"),
        ("58 to 62 hrc", False, 58, "HRC"),
        ("229 HBW 2.5/187.5", True, 229, "HBW"),
        ("245 HV30", True, 245, "HV"),
        ("86,5 HRB", True, 86.5, "HRB"),
    ],
)
def test_hardness_is_read_as_people_write_it(text, highest, value, scale):
    found = read_hardness(text, highest=highest)
    assert (found.value, found.scale.value) == (value, scale)


@pytest.mark.parametrize("text", ["", "hard", "58", "HRC", "58 HRA", "12 HRC and 3", "9" * 50])
def test_what_is_no_hardness_is_refused(text):
    with pytest.raises(InvalidInput):
        read_hardness(text, highest=True)


def test_items_are_read_in_order_and_nothing_in_stock_is_left_out():
    euro = Money(Decimal("0.40"), "EUR")
    found = read_items(
        [
            ItemAsked("Screw", "screw", 0, "M8x60"),
            ItemAsked("Screw", "screw", 4, "M8x60", worth=euro, is_on_hand=False),
            ItemAsked("Thing", "thing", 4),
            ItemAsked("Nut", "nut", 4, "M8", id="stk_1"),
        ]
    )
    assert [(piece.key, piece.price, piece.is_on_hand) for piece in found.pieces] == [
        ("items/1", euro, False),
        ("stk_1", None, True),
    ]
    assert [(one.key, one.name) for one in found.unread] == [("items/2", "Thing")]
