"""What words beside a thread do to its torque, and the sheet that is read by condition."""

from math import radians, sin

import pytest

from shared.designations.reading import read_fastener
from shared.errors import InvalidInput
from shared.fasteners.cautions import (
    BRITTLE_WHEN_PLATED,
    LOCKING,
    MADE_TO_BREAK,
    ONCE_ONLY,
    PLUG,
)
from shared.fasteners.engagement import engagement_needed
from shared.fasteners.faces import face_of
from shared.fasteners.friction import friction_for, stated_friction
from shared.fasteners.joint import TappedHole
from shared.fasteners.lookup import look_up
from shared.fasteners.nut import nut_used
from shared.fasteners.shapes import check_can_be_tightened
from shared.fasteners.strength import largest_preload, screw_strength
from shared.fasteners.turning import BearingFace, force_by_friction
from shared.standards.friction import friction_rows
from shared.standards.hole_materials import hole_material_of
from shared.standards.threads import thread_named, threads
from tests.shared.fasteners.joints import permitted, screw

FASTENING = [thread for thread in threads() if thread.stress_area is not None]


def test_every_fastening_thread_of_the_tables_is_looked_up_and_tightened():
    for thread in FASTENING:
        found = look_up(screw(thread))
        assert 0 < found.proof_load < found.tensile_load
        assert found.counted_class in {"4.6", "SAE 1"}
        assert found.tightening[0].condition == "unknown"
        for one in found.tightening:
            assert one.friction < one.friction_highest
            assert one.preload < 0.6 * one.preload_most < 0.54 * found.yield_load
    for thread in threads():
        if thread.stress_area is None:
            found = look_up(screw(thread))
            assert found.tensile_load is None
            assert found.tightening == ()


def test_oil_does_not_make_stainless_steel_sure():
    plain = friction_for("oiled", is_stainless=False)
    stainless = friction_for("oiled", is_stainless=True)
    assert stainless.most > plain.most
    assert friction_for(None, is_stainless=True).most >= 0.5
    for row in friction_rows():
        found = friction_for(row.condition, is_stainless=False)
        if row.condition.startswith("stainless"):
            # A steel screw in stainless steel may bear the film of oil that new screws have.
            assert found.least <= 0.1
        else:
            assert (found.least, found.most) == (row.mu_least, row.mu_most)
        wider = friction_for(row.condition, is_stainless=True)
        assert 0.02 <= wider.least < wider.most <= 0.8


@pytest.mark.parametrize(
    ("words", "caution"),
    [
        (("stretch",), ONCE_ONLY),
        (("shear",), MADE_TO_BREAK),
        (("zinc plated",), BRITTLE_WHEN_PLATED),
        (("nylon", "patch"), LOCKING),
        (("drain", "plug"), PLUG),
    ],
)
def test_what_a_screw_is_made_for_is_said(words, caution):
    if caution not in {ONCE_ONLY, MADE_TO_BREAK}:
        assert caution in permitted(screw("M8x1.25", "12.9", *words)).cautions
    assert caution in look_up(screw("M8x1.25", "12.9", *words)).cautions
    assert caution not in permitted(screw("M8x1.25", "8.8")).cautions


def test_a_row_of_the_sheet_is_safe_at_any_friction_of_its_condition():
    fastener = screw("M8x1.25", "8.8")
    limit, face = screw_strength(fastener).strength.yield_least, face_of(fastener)
    for row in look_up(fastener).tightening:
        step = (row.friction_highest - row.friction) / 4
        for mu in (row.friction + step * count for count in range(5)):
            force = force_by_friction(1.06 * row.torque, fastener.thread, face, mu, mu)
            assert force <= largest_preload(fastener.thread, limit, mu) * (1 + 1e-9)
            assert row.preload <= force <= row.preload_most * (1 + 1e-9)


@pytest.mark.parametrize(
    ("property_class", "words", "counted"),
    [
        (None, ("stainless",), "A2-50"),
        (None, ("A4",), "A2-50"),
        (None, ("alloy", "steel"), "4.6"),
        ("8.8", ("nylon", "patch"), "8.8"),
        (None, ("brass",), None),
        (None, ("nylon",), None),
        (None, ("410",), None),
        ("SAE 5", ("titanium",), None),
        ("8.8", ("stainless",), None),
    ],
)
def test_another_metal_is_never_counted_as_steel(property_class, words, counted):
    fastener = screw("M8x1.25", property_class, *words)
    found = look_up(fastener)
    assert found.counted_class == counted
    if counted is None:
        assert found.tensile_load is None
        assert found.tightening == ()
        with pytest.raises(InvalidInput) as refused:
            permitted(fastener)
        assert refused.value.code == "metal-unknown"


@pytest.mark.parametrize(
    "word", ["grub", "set", "waisted", "hollow", "banjo", "bleeder", "drilled"]
)
def test_no_torque_is_told_for_a_screw_that_gives_way_sooner(word):
    fastener = screw("M10x1.5", "8.8", word)
    found = look_up(fastener)
    assert found.tightening == ()
    assert found.notes
    with pytest.raises(InvalidInput) as refused:
        permitted(fastener)
    assert refused.value.code == "not-a-plain-screw"
    assert look_up(screw("M10x1.5", "8.8", "hexagon head", "drilled")).tightening
    assert look_up(screw("M10x1.5", "8.8", "hexagon", "set")).tightening


def test_a_wide_or_countersunk_head_takes_of_the_force():
    plain, flange, countersunk = (
        look_up(screw("M8x1.25", "8.8", *words)).tightening[0]
        for words in ((), ("hexagon flange",), ("countersunk head",))
    )
    assert plain.torque == flange.torque == countersunk.torque
    assert plain.preload > 1.1 * flange.preload > 1.1 * countersunk.preload
    # ISO 10642 M8: cone of 90 degrees from the hole, 9 mm, to the head, 17.9 mm.
    thread, mean = thread_named("M8x1.25"), (9 + 17.9) / 2 / sin(radians(45))
    face = BearingFace(2 * mean - 9, 9)
    by_the_cone = force_by_friction(0.94 * countersunk.torque, thread, face, 0.24, 0.24)
    assert countersunk.preload <= by_the_cone


def test_a_slippery_finish_in_the_words_is_counted():
    waxed = look_up(screw("M8x1.25", "10.9", "waxed"))
    assert {row.friction for row in waxed.tightening} == {0.04}
    assert friction_for("wet", is_stainless=False).least == 0.04
    assert friction_for(None, is_stainless=False, finish=("hot-dip", "zinc")).most == 0.35
    for words in ("galvanized", "stainless", "plated"):
        with pytest.raises(InvalidInput):
            friction_for(words, is_stainless=False)
    assert any("nut factor" in note for note in stated_friction(0.2, 0.22).notes)


def test_no_screw_stands_deeper_than_it_is_long():
    hole = TappedHole(hole_material_of("S355"), 15)
    with pytest.raises(InvalidInput) as refused:
        permitted(screw("M8x1.25", "8.8", length=12.0), hole=hole)
    assert refused.value.code == "engagement-too-long"
    with pytest.raises(InvalidInput):
        engagement_needed(screw("M8x1.25", "8.8", length=12.0), hole.material, 15)
    # A stud's length leaves out its end in the hole, and a nut is on its other end.
    stud = screw("M8x1.25", "8.8", "stud", length=12.0)
    assert not permitted(stud, hole=hole, seat=hole.material).is_whole
    both = permitted(stud, hole=hole, seat=hole.material, nut=nut_used(stud, "8"))
    assert both.is_whole


@pytest.mark.parametrize("word", ["shear", "stretch", "brake", "waisted"])
def test_nothing_stands_in_for_what_is_renewed_like_for_like(word):
    with pytest.raises(InvalidInput) as refused:
        permitted(screw("M8x1.25", "10.9"), replaces=screw("M8x1.25", "8.8", word))
    assert refused.value.pointer == "/replaces"


def test_a_hard_screw_is_not_plated():
    zinc = permitted(screw("M8x1.25", "12.9"), friction_for("zinc", is_stainless=False))
    assert BRITTLE_WHEN_PLATED in zinc.cautions
    for condition in ("zinc flake", "anti-seize, nickel", "oiled"):
        other = permitted(screw("M8x1.25", "12.9"), friction_for(condition, is_stainless=False))
        assert BRITTLE_WHEN_PLATED not in other.cautions


def test_a_nut_is_told_by_the_load_of_either_standard():
    notes = " ".join(look_up(read_fastener("M8 nut 8")).notes)
    assert "8 (ISO 898-2" in notes and "8 (DIN 267-4" in notes
    assert "N without stripping" not in " ".join(look_up(read_fastener("M8 thin nut 8")).notes)


@pytest.mark.parametrize("words", ["brake", "steering", "lifting", "shear", "stretch", "wheel"])
def test_no_torque_is_computed_where_a_life_hangs_on_the_screw(words):
    fastener = read_fastener(f"M12x1.5x60 10.9 {words} bolt")
    sheet = look_up(fastener)
    assert sheet.tightening == ()
    assert any("No torque is computed" in note for note in (*sheet.notes, *sheet.cautions))
    with pytest.raises(InvalidInput, match="No torque is computed"):
        check_can_be_tightened(fastener)


def test_the_sheet_tells_the_key_of_a_socket_screw():
    keys = {one.form: one.key for one in look_up(read_fastener("M8x25")).socket_keys}
    assert keys["socket cap"] == 6  # ISO 4762
    inch = {one.form: one.key for one in look_up(read_fastener("1/4-20 UNC")).socket_keys}
    assert inch["socket cap"] == pytest.approx(3 / 16 * 25.4, abs=0.01)  # ASME B18.3
