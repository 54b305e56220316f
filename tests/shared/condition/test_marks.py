"""Shims by marks: worked situations from the trade, both signs, and what marks do not tell."""

from dataclasses import replace
from decimal import Decimal

import pytest

from shared.condition.marks import Advice, shims_by_marks
from shared.condition.marks_asked import Changed, LargerMark, MarkedOn, MarkedPlace, MarksAsked
from shared.condition.shim_choice import ChoiceRule, choose_shim
from shared.errors import InvalidInput
from shared.quantities import Quantity


def mm(text: str) -> Quantity:
    return Quantity(Decimal(text), "mm")


def asked(*places, unit="0.01", changed=(Changed.GEARS,), larger=LargerMark.THICKER, **more):
    return MarksAsked(mm(unit), places, changed, larger, **more)


def place(name="pinion", old=None, new=None, shim=None, base=None, on=MarkedOn.GEARS):
    marks = [None if mark is None else Decimal(mark) for mark in (old, new)]
    return MarkedPlace(name, on, *marks, shim and mm(shim), base and mm(base))


def on_case(*texts, **more):
    return place(*texts, **more, on=MarkedOn.CASE)


def only(question):
    (found,) = shims_by_marks(question).places
    return found


def test_a_larger_mark_and_a_thicker_shim():
    """+8 to +22 hundredths: the page of the manual prints 0.13 by way of rounded inches."""
    found = only(asked(place(old="8", new="22", shim="1.00")))
    assert (found.change, found.new_shim) == (mm("0.14"), mm("1.14"))


def test_a_larger_mark_and_a_thinner_shim_in_thousandths():
    """A page of another maker's manual: +20 to -10, the nearest shim that is not thicker."""
    shims = tuple(mm(text) for text in ("1.20", "1.21", "1.22", "1.23", "1.24"))
    question = asked(
        place(old="20", new="-10", shim="1.2"),
        unit="0.001",
        larger=LargerMark.THINNER,
        shims=shims,
        rule=ChoiceRule.NOT_THICKER,
    )
    found = only(question)
    assert found.new_shim == mm("1.230")
    assert (found.chosen, found.chosen_over) == (mm("1.23"), mm("0"))
    assert only(replace(question, larger_mark=LargerMark.THICKER)).new_shim == mm("1.17")


def test_a_bare_case_with_a_missing_mark_and_an_unknown_direction():
    """Pages of a manual: each shim by the difference, a missing P as 0 and checked, the direction
    not printed; target 0.20 mm + P hundredths."""
    answer = shims_by_marks(
        asked(
            on_case("F", "3", "-1"),
            on_case("R", "-2", "-2", shim="0.50"),
            on_case("P", "1", None, base="0.20"),
            changed=(Changed.CASE,),
            larger=None,
        )
    )
    assert answer.advice is Advice.BY_MARKS
    f, r, p = answer.places
    assert (f.difference, f.change, f.new_shim) == (mm("-0.04"), None, None)
    assert "ask the manual for the direction" in f.to_check[0]
    assert (r.difference, r.change, r.new_shim, r.to_check) == (mm("0"), mm("0"), mm("0.50"), ())
    assert (p.old_target, p.new_target, p.new_shim) == (mm("0.21"), mm("0.20"), None)
    assert "missing and counts as 0: check" in p.to_check[0]


@pytest.mark.parametrize(
    ("changed", "advice"),
    [
        ((Changed.BEARINGS,), Advice.MEASURE_ANEW),
        ((Changed.CASE, Changed.BEARINGS), Advice.MEASURE_ANEW),
        ((Changed.CASE, Changed.GEARS), Advice.MEASURE_ANEW),
        ((Changed.GEARS,), Advice.BY_MARKS),
        ((), Advice.NO_CHANGE),
    ],
)
def test_what_was_changed_says_whether_marks_are_enough(changed, advice):
    """Rule of the same manual; that cases and gears together are measured: common practice."""
    rule = {"shims": (mm("0.5"),), "rule": ChoiceRule.NEAREST}
    answer = shims_by_marks(asked(place(old="1", new="1", shim="0.5"), changed=changed, **rule))
    assert answer.advice is advice
    figures = (answer.places[0].new_shim, answer.places[0].change, answer.places[0].chosen)
    assert (figures == (None, None, None)) is (advice is not Advice.BY_MARKS)


@pytest.mark.parametrize(
    ("on", "changed"),
    [(MarkedOn.CASE, Changed.GEARS), (MarkedOn.GEARS, Changed.CASE)],
)
def test_marks_of_what_was_kept_tell_no_shim(on, changed):
    """Rule of the same manual: with any gear changed the case's marks are not enough.

    That a pinion's mark says nothing of another case: common practice, no source.
    """
    kept = place("F", old="3", new="3", shim="0.5", on=on)
    answer = shims_by_marks(asked(kept, changed=(changed,)))
    assert answer.advice is Advice.MEASURE_ANEW and "full selection" in answer.reason
    (found,) = answer.places
    figures = (found.difference, found.change, found.new_shim, found.new_target, found.chosen)
    assert (found.advice, figures) == (Advice.MEASURE_ANEW, (None,) * 5)
    assert f"marks of the {on} say nothing" in found.to_check[0]
    other = place("P", old="1", new="2", on=MarkedOn(changed.value))
    both = shims_by_marks(asked(kept, other, changed=(changed,)))
    assert both.advice is Advice.BY_MARKS and f"marks of the {changed};" in both.reason
    assert [one.advice for one in both.places] == [Advice.MEASURE_ANEW, Advice.BY_MARKS]


@pytest.mark.parametrize(("old", "new"), [("1", None), (None, "1"), (None, None)])
def test_a_gear_without_a_mark_is_measured(old, new):
    found = only(asked(place(old=old, new=new, shim="0.5")))
    assert (found.advice, found.new_shim, found.difference) == (Advice.MEASURE_ANEW, None, None)
    assert "measure anew" in found.to_check[0]


def test_a_case_that_bore_no_mark_before_either_is_measured():
    assert only(asked(on_case(shim="0.5"), changed=(Changed.CASE,))).advice is Advice.MEASURE_ANEW


def test_the_formula_of_base_and_mark_follows_the_direction():
    question = asked(on_case(old="1", new="-2", base="0.20"), changed=(Changed.CASE,))
    thicker = only(question)
    assert (thicker.new_target, thicker.new_shim) == (mm("0.18"), mm("0.18"))
    thinner = only(replace(question, larger_mark=LargerMark.THINNER))
    assert (thinner.old_target, thinner.new_shim) == (mm("0.19"), mm("0.22"))


def test_an_unmoved_mark_tells_no_shim_from_a_formula_of_unknown_direction():
    question = asked(on_case(old="5", new="5", base="1"), changed=(Changed.CASE,), larger=None)
    found = only(question)
    assert found.new_shim is None and found.to_check


def test_inches_stay_exact():
    shim = Quantity(Decimal("0.0394"), "in")
    unit = Quantity(Decimal("0.001"), "in")
    one = MarkedPlace("pinion", MarkedOn.GEARS, Decimal(1), Decimal(3), shim)
    question = MarksAsked(unit, (one,), (Changed.GEARS,), LargerMark.THICKER)
    assert only(question).new_shim == Quantity(Decimal("0.0414"), "in")
    in_mm = only(replace(question, mark_unit=mm("0.0254")))
    assert in_mm.new_shim == mm("1.05156")  # 0.0414 in x 25.4


@pytest.mark.parametrize(
    ("wanted", "rule", "index", "told"),
    [
        ("1.21", ChoiceRule.NEAREST, None, "two are equally near"),
        ("1.219", ChoiceRule.NEAREST, 1, ""),
        ("1.219", ChoiceRule.NOT_THICKER, 0, ""),
        ("1.201", ChoiceRule.NOT_THINNER, 1, ""),
        ("1.19", ChoiceRule.NOT_THICKER, None, "none is thin enough"),
        ("1.25", ChoiceRule.NOT_THINNER, None, "none is thick enough"),
        ("1.26", ChoiceRule.NOT_THICKER, 2, ""),
        ("1.27", ChoiceRule.NOT_THICKER, None, "the list ends"),
        ("0.9", ChoiceRule.NEAREST, None, "the list ends"),
    ],
)
def test_the_shim_of_the_list(wanted, rule, index, told):
    lengths = [Decimal(text) for text in ("1.20", "1.22", "1.24")]
    found, why_not = choose_shim(Decimal(wanted), lengths, rule, Decimal("0.001"))
    assert found == index
    assert told in why_not


def test_a_gap_in_the_list_does_not_stretch_its_end():
    lengths = [Decimal(text) for text in ("0.5", "1.20", "1.21")]
    assert choose_shim(Decimal("1.5"), lengths, ChoiceRule.NEAREST, Decimal("0.01"))[0] is None


def test_what_is_left_over_is_told():
    shims = (mm("1.10"), mm("1.15"))
    found = only(asked(place(old="8", new="22", shim="1.00"), shims=shims, rule=ChoiceRule.NEAREST))
    assert (found.chosen, found.chosen_over) == (mm("1.15"), mm("0.01"))
    far = only(asked(place(old="0", new="90", shim="1"), shims=shims, rule=ChoiceRule.NEAREST))
    assert far.chosen is None and "the list ends" in far.to_check[0]


PINION = place(old="8", new="22", shim="1.00")


@pytest.mark.parametrize(
    ("question", "pointer"),
    [
        (asked(PINION, unit="0"), "/mark_unit/value"),
        (asked(PINION, unit="-0.01"), "/mark_unit/value"),
        (replace(asked(PINION), mark_unit=Quantity(Decimal(1), "kg")), "/mark_unit/unit"),
        (asked(), "/places"),
        (asked(*(place(f"P{n}", "1", "1") for n in range(101))), "/places"),
        (asked(PINION, PINION), "/places/1/name"),
        (asked(place(old="22", new="8", shim="0.14")), "/places/0/old_shim"),
        (asked(place(old="0", new="-20", base="0.20")), "/places/0/base"),
        (asked(place(old="1", new="2", shim="0.2", base="0.2")), "/places/0/base"),
        (asked(place(old="1", new="NaN", shim="0.2")), "/places/0/new_mark"),
        (asked(place(old="1", new="1E+9", shim="0.2")), "/places/0/new_mark"),
        (asked(place(old="1", new="2", shim="0")), "/places/0/old_shim/value"),
        (asked(PINION, rule=ChoiceRule.NEAREST), "/shims"),
        (asked(PINION, shims=(mm("1"), mm("0"))), "/shims/1/value"),
        (asked(PINION, changed=()), "/changed"),
        (asked(PINION, changed=(Changed.BEARINGS,)), "/changed"),
        (asked(on_case(old="3", new="-1"), changed=(Changed.GEARS,)), "/changed"),
        (
            asked(
                MarkedPlace(
                    "pinion",
                    MarkedOn.GEARS,
                    Decimal(1),
                    Decimal(2),
                    Quantity(Decimal(1), "mm", plus_minus=Decimal("0.1")),
                )
            ),
            "/places/0/old_shim/plus_minus",
        ),
    ],
)
def test_what_cannot_be_reckoned_with_is_refused(question, pointer):
    with pytest.raises(InvalidInput) as refused:
        shims_by_marks(question)
    assert refused.value.pointer == pointer
    assert refused.value.fix
