"""At least as strong by every figure, never rounded up; and what figures hide is told."""

import pytest

from shared.designations.reading import read_fastener
from shared.fasteners.equivalence_model import Outcome
from shared.fasteners.equivalents import equivalents
from shared.standards.property_classes import class_names, family_of, strength_of


def found(text):
    return equivalents(read_fastener(text))


def classes(text, *outcomes):
    return [item.property_class for item in found(text).items if item.outcome in outcomes]


def item(text, name):
    return next(one for one in found(text).items if one.property_class == name)


def test_what_is_at_least_as_strong_comes_first_and_the_nearest_before_the_strongest():
    assert classes("M8x1.25x40 8.8", Outcome.SAME, Outcome.AT_LEAST) == [
        "8.8",
        "9.8",
        "10.9",
        "12.9",
    ]
    assert classes("1/2-13 UNC x 2 grade 5", Outcome.SAME, Outcome.AT_LEAST) == [
        "SAE 5",
        "SAE 5.2",
        "SAE 7",
        "SAE 8",
        "SAE 8.2",
    ]
    assert item("M8x1.25x40 8.8", "10.9").designation == "M8x1.25x40 10.9"


@pytest.mark.parametrize("name", class_names())
def test_at_least_as_strong_is_so_by_every_figure(name):
    is_sae = name.startswith("SAE")
    answer = found(f"1/2-13 UNC {name}" if is_sae else f"M12 {name}")
    wanted = strength_of(name, 12)
    for one in answer.items:
        short = [figure for figure in one.figures if figure.shortfall]
        if one.outcome is Outcome.AT_LEAST:
            assert all(figure.shortfall == 0 for figure in one.figures)
            offered = strength_of(one.property_class, 12)
            assert offered.tensile_least >= wanted.tensile_least
            assert offered.yield_least >= wanted.yield_least
            assert offered.is_stainless is wanted.is_stainless
        if one.outcome is Outcome.WEAKER:
            assert short and len(one.reasons) == len(short)
        assert (one.thread == answer.items[0].thread) is (one.outcome is not Outcome.OTHER_THREAD)


def test_stainless_is_not_8_8():
    weaker = classes("M8x1.25x40 8.8", Outcome.WEAKER)
    assert {"A2-70", "A4-80", "6.8"} <= set(weaker)
    (short,) = [one for one in item("M8x40 8.8", "A4-80").figures if one.shortfall]
    assert (short.what, short.shortfall) == ("yield strength", 40)
    assert any("galls" in trap for trap in item("M8x40 8.8", "A4-80").traps)
    assert not classes("M8 4.6", Outcome.AT_LEAST)[0].startswith("A")
    steel = item("M8x40 A2-70", "8.8")
    assert steel.outcome is Outcome.NOT_COMPARABLE
    assert any("rusts" in trap for trap in steel.traps)


def test_a_lesser_stainless_steel_is_no_stand_in_for_a_better_one():
    assert item("M8x40 A4-70", "A2-80").outcome is Outcome.NOT_COMPARABLE
    assert item("M8x40 A2-70", "A4-70").outcome is Outcome.AT_LEAST
    assert item("M8x40 A2-70", "A1-80").outcome is Outcome.NOT_COMPARABLE


def test_grade_8_falls_just_short_of_10_9():
    one = next(one for one in found("M12 10.9").items if one.property_class == "SAE 8")
    assert one.outcome is Outcome.OTHER_THREAD
    stress = {figure.what: figure for figure in one.figures if figure.unit == "MPa"}
    assert stress["proof stress"].shortfall_percent == pytest.approx(0.317, abs=0.001)
    assert any("only where screw and hole" in reason for reason in one.reasons)


def test_grade_5_is_not_quite_8_8_and_a_smaller_screw_carries_less():
    one = next(
        one
        for one in found("M8 8.8").items
        if (one.property_class, one.thread) == ("SAE 5", "5/16-18 UNC")
    )
    short = {figure.what: figure.shortfall_percent for figure in one.figures if figure.shortfall}
    assert short["yield strength"] == pytest.approx(0.89, abs=0.01)
    assert short["proof load"] == pytest.approx(6.6, abs=0.1)


def test_a_plated_12_9_and_the_governing_hole_and_nut_are_named():
    traps = " ".join(item("M8x1.25x40 8.8", "12.9").traps)
    assert "hydrogen" in traps and "electroplated" in traps
    assert "hole" in traps and "keep the original's torque" in traps
    assert "nut of class 12" in traps
    assert not any("hydrogen" in trap for trap in item("M8x1.25x40 8.8", "9.8").traps)
    assert item("M8x1.25x40 8.8", "10.9").nut_classes == ("10", "12")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("M8x1.25x40 8.8 shear bolt", "shear bolt"),
        ("M10x1.5x80 10.9 stretch bolt", "stretch bolt"),
        ("M10x80 10.9 torque-to-yield", "stretch bolt"),
        ("M12x1.5 wheel bolt 10.9", "life"),
        ("M8 eye bolt 8.8", "life"),
        ("M8 stainless", "metal"),
        ("1/4-20 BSW grade 5", "BSW"),
        ("G 1/8", "G threads"),
        ("M42x4.5 8.8", "39 mm"),
        ("M8 grade 5", "inch threads"),
        ("M8x40 10.9 waisted", "shank"),
        ("M8 nut", "lowest"),
        ("M8 thin nut 8", "thin nut"),
        ("M8 nut 8 DIN 439", "thin nut"),
        ("M8 DIN 580", "life"),
        ("M8 8.8 DIN 609", "shank"),
        ("M10 10.9 flywheel bolt", "stretch"),
        ("M10 10.9 cylinder head bolt", "stretch"),
        ("M12x1.25 connecting rod bolt 10.9", "stretch"),
        ("M16 10.9 structural bolt", "tested together"),
        ("M8x40 8.8 stainless", "another metal"),
        ("M8x40 A2", "metal"),
        ("M6 grub screw", "45H"),
        ("M8x20 DIN 913", "45H"),
    ],
)
def test_what_is_renewed_like_for_like_is_refused_with_the_reason(text, word):
    answer = found(text)
    assert answer.items == ()
    assert word in answer.refusal
    assert answer.cautions


def test_unmarked_counts_as_the_lowest_and_nothing_is_promised_for_it():
    for text, lowest in (("M8x1.25x40", "4.6"), ("1/2-13 UNC x 2", "SAE 1")):
        answer = found(text)
        assert (answer.counted_class, answer.is_assumed) == (lowest, True)
        assert not {Outcome.SAME, Outcome.AT_LEAST} & {one.outcome for one in answer.items}
        assert "not known" in answer.cautions[0]
    unmarked = next(one for one in found("M8x40 8.8").items if not one.is_marked)
    assert (unmarked.outcome, unmarked.property_class) == (Outcome.WEAKER, "4.6")


def test_studs_only_grades_stand_in_for_studs_only():
    assert item("1/2-13 UNC x 2 grade 7", "SAE 8.1").outcome is Outcome.NOT_COMPARABLE
    assert item("1/2-13 UNC stud grade 7", "SAE 8.1").outcome is Outcome.AT_LEAST


def test_a_nut_of_the_older_standard_carries_less():
    items = found("M8 nut 8").items
    assert not any("e+" in reason for one in items for reason in one.reasons)
    outcomes = {one.property_class: one.outcome for one in items}
    assert outcomes["8"] is Outcome.SAME
    assert outcomes["10"] is outcomes["12"] is Outcome.AT_LEAST
    assert outcomes["|8|"] is outcomes["05"] is outcomes["6"] is Outcome.WEAKER
    assert outcomes["|10|"] is Outcome.NOT_COMPARABLE


def test_a_head_that_may_fail_first_is_told():
    assert any("80 %" in one for one in found("M8x40 10.9 button head").cautions)
    assert any("matching pair" in one for one in found("M8x40 8.8 hdg").cautions)
    assert any("matching pair" in one for one in found("M8 nut 8 hdg").cautions)
    assert any("80 %" in one for one in found("M8x40 10.9 ISO 10642").cautions)
    assert not any("80 %" in one for one in found("M8 nut 8 DIN 985").cautions)


def test_a_form_of_head_is_no_engine_and_another_thread_needs_another_nut():
    assert found("M8x40 12.9 cylinder head cap screw").refusal is None
    for one in found("M8x1.25x40 8.8").items:
        if one.outcome is Outcome.OTHER_THREAD:
            assert not any("nut of class" in trap for trap in one.traps)


def test_every_offered_name_can_be_read_again():
    for one in found("M8x1.25x40 8.8").items + found("1/2-13 UNC x 2 SAE 5").items:
        again = read_fastener(one.designation)
        assert again.thread.designation == one.thread
        assert again.property_class == (one.property_class if one.is_marked else None)
        assert family_of(one.property_class) is not None


@pytest.mark.parametrize(
    ("wanted", "offered"),
    [
        ("M8 8.8 hdg", "10.9"),
        ("M8 F1-60", "C1-70"),
        ("M5 C1-70", "C4-70"),
        ("M8 A5-70", "A4-80"),
        ("M8 nut 8 castle", "10"),
        ("M8 nut 8 nylon insert", "12"),
    ],
)
def test_strong_enough_is_not_at_least_as_good(wanted, offered):
    found = equivalents(read_fastener(wanted))
    [item] = [one for one in found.items if one.property_class == offered]
    assert item.outcome is Outcome.NOT_COMPARABLE
    assert item.reasons


def test_a_class_of_stainless_steel_with_another_metal_is_refused():
    assert "another metal" in equivalents(read_fastener("M10 A4-80 brass")).refusal
