"""Which designated part may stand in for which, in which direction."""

from itertools import product

import pytest

from shared.designations.bearing_sizes import read_bearing_by_sizes
from shared.designations.comparing import compare, group_key
from shared.designations.model import Key, ORing, RetainingRing, ShaftSeal, Shim, StandIn
from shared.designations.reading import read_designation

NO, ON, SERVES, SAME, UNKNOWN = (
    StandIn.NO,
    StandIn.ON_CONDITION,
    StandIn.SERVES,
    StandIn.SAME,
    StandIn.UNKNOWN,
)


def of(text):
    return read_designation(text)


def outcome(wanted, offered):
    return compare(of(wanted), of(offered)).outcome


BEARINGS = [
    ("6800", "61800", SAME),
    ("6205ZZ", "6205-2Z", SAME),
    ("6205 CN", "6205 PN", SAME),
    ("6205", "6205 P6", SERVES),
    ("6205 P6", "6205", ON),
    ("6205", "6205 S1", ON),
    ("6205 S1", "6205", ON),
    ("6205", "6205-2RS", ON),
    ("6205-2RS", "6205", NO),
    ("6205-2RS", "6205-RS", NO),
    ("6205-RS", "6205-2RS", ON),
    ("6205-2RS", "6205-2Z", ON),
    ("6205-2Z", "6205-2RS", ON),
    ("6205-2Z", "6205", NO),
    ("6205", "6205 C3", ON),
    ("6205 C3", "6205", ON),
    ("6205NR", "6205", ON),
    ("6205", "6205N", ON),
    ("6203N1", "6203-2RS", ON),
    ("1205K", "1205", NO),
    ("1205", "1205K", NO),
    ("6205K", "6205", ON),
    ("6205", "62205", NO),
    ("6205", "6305", NO),
    ("6205", "7205B", NO),
    ("NU205", "NJ205", NO),
    ("7205B", "7205", ON),
    ("NU205", "NU205E", ON),
    ("7205 DB", "7205 DF", NO),
    ("7205 DB", "7205", NO),
    ("6205 J", "6205 TN9", ON),
    ("6205", "SS 6205", ON),
    ("SS 6205", "6205", ON),
    ("6203UL", "6203", ON),
    ("6203UL", "6203UL", ON),
    ("6203", "6203-3/4", NO),
    ("6203-3/4", "6203-12", SAME),
    ("62/22", "6222", NO),
    ("R6", "R6-2RS", NO),
    ("R12-2RS", "1630-2RS", NO),
    ("LM11749/LM11710", "LM11749/LM11710", SAME),
    ("LM11749", "LM11749/LM11710", ON),
    ("LM11749/LM11710", "LM11749", NO),
    ("L68149/L68110", "L68149/L68111", NO),
    ("HK1612", "BK1612", NO),
    ("6205 sealed", "6205", ON),
    ("6226", "6226", SAME),
    # One maker's mark on both is one meaning only where all else is the same text.
    ("6205 XYZ", "6205 XYZ P6", ON),
    # Marks that makers use in two ways, or of another rubber or cage.
    ("6205-2RS", "6205-2RS2", ON),
    ("6205-2RS2", "6205-2RS", ON),
    ("6205-2RS", "6205-RS2", ON),
    ("6205 DD", "6205-2RS", ON),
    ("6205 DD", "6205", NO),
    ("6205 LLH", "6205-2RSL", ON),
    ("6205 TN", "6205 P", ON),
    # 6X says nothing of bore and outside; the classes of tapered ones differ in the width too.
    ("30205 P6X", "30205 P6", ON),
    ("30205", "30205 P5", ON),
    ("6205", "6205 P5", SERVES),
    ("305", "6305", ON),
    ("6305", "305", ON),
    ("taper roller bearing 6205", "6205", UNKNOWN),
    ("6205", "6205 taper roller", UNKNOWN),
    ("ball bearing 6205", "6205", SAME),
    ("double row 6205", "6205", UNKNOWN),
    ("6205 used", "6205", ON),
    ("6205 groove", "6205", ON),
    ("deep groove 6205", "6205", SAME),
    ("R8", "R8-1/2", SAME),
    ("6205 DD", "6205 DD", ON),
    ("7205A", "7205A", ON),
    ("7205A", "7205A P5", ON),
    ("SS 6205", "W6205", ON),
    ("W6205", "W6205", ON),
    ("30204", "30204 cone", NO),
    ("30204 cup", "30204 cone", NO),
    ("30204 cone", "30204", ON),
    ("7205B DB", "7205B DB", SAME),
    ("7205", "7205", ON),
    ("7205", "7205 DB", ON),
    ("6205 used", "6205 used", ON),
]


@pytest.mark.parametrize(("wanted", "offered", "expected"), BEARINGS)
def test_bearings(wanted, offered, expected):
    assert outcome(wanted, offered) is expected


def test_what_cannot_do_without_looking_is_said():
    for wanted, offered, expected in BEARINGS:
        found = compare(of(wanted), of(offered))
        if expected in {ON, SERVES}:
            assert any("necessary, not sufficient" in one for one in found.conditions)
        if expected is NO:
            assert found.lost


FASTENERS = [
    ("M8x1.25x40 8.8 DIN 933", "M8x1.25x40 8.8 DIN 933", SAME),
    ("M8x1.25x40 8.8 DIN 933", "M8x1.25x40 8.8 DIN 931", ON),
    ("M8x1.25x40 8.8", "M8x1.25x40 8.8", ON),
    ("M8x40 8.8 hexagon head", "M8x40 8.8 hexagon head", ON),
    ("M8x40 8.8 hexagon head fully threaded", "M8x40 8.8 hexagon head fully threaded", SAME),
    ("M8x40 8.8 stud", "M8x40 8.8 stud", ON),
    ("M8", "M8", ON),
    ("M8x40 hexagon head", "M8x40 hexagon head", ON),
    ("M8 8.8 DIN 933", "M8 8.8 DIN 933", ON),
    ("M8x40 8.8 shear bolt", "M8x40 8.8 shear bolt", ON),
    ("M8x40 12.9 zinc socket head", "M8x40 12.9 zinc socket head", ON),
    ("G 1/4 A", "G 1/4 A", ON),
    ("M8 nut 8", "M8 nut 8", SAME),
    ("M8 nut 8", "M8 nut 8 thin", NO),
    ("M8 nut 8 thin", "M8 nut 8", ON),
    ("M8 nut 8 DIN 934", "M8 nut 04 DIN 439", NO),
    ("M8 nut A2-70", "M8 nut A2-035", NO),
    ("M8 nut", "M8 nut", ON),
    ("1/2 BSW x 2 hex head", "1/2 BSW x 2 hex head", ON),
    ("M8x1.25x40 8.8", "M8x1.25x40 10.9", ON),
    ("M8x1.25x40 10.9", "M8x1.25x40 8.8", NO),
    ("M8x1.25x40 8.8", "M8x1.25x40", NO),
    ("M8x1.25x40", "M8x1.25x40 8.8", ON),
    ("M8x1.25x40 8.8", "M8x1.25x45 8.8", NO),
    ("M8x1.25x40 8.8", "M8x1x40 8.8", NO),
    ("M8x1.25x40 8.8", "M8x1.25-LH x 40 8.8", NO),
    ("M8x1.25x40 8.8", "M8x1.25x40 A2-70", NO),
    ("M8x1.25x40 10.9", "M8x1.25x40 A4-80", NO),
    ("M8x1.25x40 A2-70", "M8x1.25x40 8.8", UNKNOWN),
    ("M8x1.25x40 A2-70", "M8x1.25x40 A2-80", ON),
    ("M8x1.25x40 8.8", "M8x1.25 8.8", ON),
    ("M8x1.25x40 8.8", "6205", NO),
    ("M8x1.25x40 4.8", "M8x1.25x40 5.6", UNKNOWN),
    ("M8x1.25x40 5.6", "M8x1.25x40 4.8", UNKNOWN),
    ("M8x1.25x40 5.6", "M8x1.25x40 8.8", ON),
]


@pytest.mark.parametrize(("wanted", "offered", "expected"), FASTENERS)
def test_fasteners(wanted, offered, expected):
    assert outcome(wanted, offered) is expected


def test_a_hard_screw_offered_plated_is_told_of_hydrogen():
    for finish, is_told in (("zinc", True), ("hdg", True), ("zinc flake", False), ("black", False)):
        found = compare(of("M8x1.25x40 12.9"), of(f"M8x1.25x40 12.9 {finish}"))
        assert found.outcome is ON
        assert any("hydrogen" in one for one in found.conditions) is is_told
    assert not any("hydrogen" in one for one in compare(*map(of, PLATED_8_8)).conditions)


def test_what_is_written_on_neither_screw_is_asked_for_and_a_nut_is_no_bolt():
    alike = compare(of("M8x1.25x40 8.8"), of("M8 x 40 - 8.8"))
    assert alike.outcome is ON
    assert any("Head" in one for one in alike.conditions)
    [told] = compare(of("M8 nut 8"), of("M8 nut 10")).conditions
    assert "bolt" not in told


PLATED_8_8 = ("M8x1.25x40 8.8", "M8x1.25x40 8.8 zinc")


def seal(**more):
    return ShaftSeal("25x47x7", 25.0, 47.0, 7.0, **more)


@pytest.mark.parametrize(
    ("wanted", "offered", "expected"),
    [
        (seal(), seal(), ON),
        (seal(material="NBR"), seal(material="NBR"), SAME),
        (seal(material="NBR", words=("arrow",)), seal(material="NBR", words=("arrow",)), ON),
        (seal(spin="right"), seal(), ON),
        (seal(), seal(spin="right"), ON),
        (seal(spin="right"), seal(spin="left"), NO),
        (seal(spin="right"), seal(spin="either"), ON),
        (seal(has_dust_lip=True), seal(has_dust_lip=False), ON),
        (seal(has_dust_lip=False), seal(has_dust_lip=True), ON),
        (seal(material="NBR"), seal(material="FKM"), ON),
        (seal(), ShaftSeal("25x47x8", 25.0, 47.0, 8.0), NO),
    ],
)
def test_shaft_seals(wanted, offered, expected):
    found = compare(wanted, offered)
    assert found.outcome is expected
    if expected is not NO and offered.spin is None:
        assert any("Arrows" in one for one in found.conditions)


def ring(inside, section, **more):
    return ORing(f"O-ring {inside}x{section}", inside, section, None, **more)


@pytest.mark.parametrize(
    ("wanted", "offered", "expected"),
    [
        (ring(24.99, 3.53, dash="214"), ring(24.99, 3.53), ON),
        (ring(24.99, 3.53, material="NBR"), ring(24.99, 3.53, material="NBR"), SAME),
        (ring(24.99, 3.53), ring(25.0, 3.55), ON),
        (ring(24.99, 3.53), ring(25.0, 3.5), ON),
        (ring(24.99, 3.53), ring(25.0, 3.0), NO),
        (ring(24.99, 2.62), ring(24.0, 2.62), NO),
        (ring(24.99, 3.53, material="NBR"), ring(24.99, 3.53, material="FKM"), ON),
        (ring(24.99, 3.53, material="NBR"), ring(24.99, 3.53), ON),
        (ring(24.99, 3.53, hardness=70), ring(24.99, 3.53, hardness=90), ON),
    ],
)
def test_o_rings(wanted, offered, expected):
    assert compare(wanted, offered).outcome is expected


def circlip(thickness, *, shaft=True, standard="DIN 471"):
    return RetainingRing("ring", standard, shaft, 25.0, thickness)


def key(length, form="A"):
    return Key("key", "DIN 6885-1", form, 8.0, 7.0, length)


def shim(thickness, *, supporting=False):
    return Shim("shim", "DIN 988", supporting, 25.0, 35.0, thickness)


@pytest.mark.parametrize(
    ("wanted", "offered", "expected"),
    [
        (circlip(1.2), circlip(1.2), SAME),
        (circlip(1.2), circlip(1.5), NO),
        (circlip(1.2), circlip(1.2, shaft=False), NO),
        (circlip(1.2), circlip(1.2, standard="DIN 471, heavy"), ON),
        (key(40.0), key(40.0), SAME),
        (key(40.0), key(45.0), ON),
        (key(40.0), key(36.0), NO),
        (key(40.0), key(40.0, "B"), ON),
        (key(40.0), key(None), ON),
        (key(None), key(None), ON),
        (key(40.0, None), key(40.0, None), ON),
        (shim(0.5), shim(0.5), SAME),
        (shim(0.5), shim(0.6), NO),
        (shim(2.0, supporting=True), shim(2.0), NO),
        (shim(2.0), shim(2.0, supporting=True), ON),
    ],
)
def test_rings_keys_and_shims(wanted, offered, expected):
    assert compare(wanted, offered).outcome is expected


def test_parts_that_could_stand_in_share_a_key_and_no_part_is_less_than_itself():
    texts = {text for pair in (*BEARINGS, *FASTENERS) for text in pair[:2]}
    parts = [of(text) for text in texts]
    rings = [ring(i, s) for i in (24.0, 24.99, 25.0) for s in (2.62, 2.65, 3.5, 3.53, 3.55)]
    others = [seal(), seal(spin="left"), circlip(1.2), key(40.0), shim(0.5), *rings]
    for wanted, offered in product([*parts, *others], repeat=2):
        found = compare(wanted, offered)
        if wanted == offered:
            assert found.outcome in {SAME, ON}
            assert not found.lost
        if group_key(wanted) != group_key(offered):
            assert found.outcome is NO


@pytest.mark.parametrize(
    ("wanted", "offered"),
    [
        ("AS568-214 green", "AS568-214"),
        ("AS568-214 NBR 70 black", "AS568-214 NBR 70 brown"),
        ("DIN 471 25x1.2", "DIN 471 25x1.2 stainless"),
        ("DIN 6885 A 8x7x40", "DIN 6885 A 8x7x40 stainless"),
        ("DIN 988 25x35x0.1", "DIN 988 25x35x0.1 brass"),
    ],
)
def test_material_and_colour_are_asked_after(wanted, offered):
    assert outcome(wanted, offered) is ON
    assert outcome(offered, wanted) is ON
    assert outcome(wanted, wanted) is (ON if "NBR" not in wanted and "AS568" in wanted else SAME)


def test_sizes_alone_do_not_tell_the_bearing():
    [wanted] = read_bearing_by_sizes("6x17x6")
    assert compare(wanted, of("606")).outcome is ON
    assert compare(of("606"), wanted).outcome is ON
    assert compare(wanted, wanted).outcome is SAME


def test_one_unknown_mark_on_both_is_told():
    found = compare(of("6203UL"), of("6203 UL"))
    assert found.outcome is ON
    assert any("one maker" in one for one in found.conditions)
