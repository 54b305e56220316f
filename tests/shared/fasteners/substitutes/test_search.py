"""How candidates are put together, ranked, counted and cut off."""

from dataclasses import replace
from decimal import Decimal

import pytest

from shared.designations.reading import read_fastener
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction, ToolUse
from shared.fasteners.substitutes.checking import AS_THE_WEAKEST
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    Feature,
    Need,
    PartUsed,
    Piece,
    Range,
    Requirement,
)
from shared.fasteners.substitutes.search import FAMILIES, find_substitutes
from shared.money import Money
from shared.standards.hole_materials import hole_material_of

M8 = read_fastener("M8x60 8.8")
WANTED = 3
STEEL_BAR = Piece("bar", "Flat bar", ItemForm.BAR, 1)


def piece(key, margin=2.0, quantity=WANTED, **members):
    """A screw whose margin the fake family reads off its length."""
    sizes = ((FeatureKind.LENGTH, margin),)
    told = {"name": f"screw {key}", "fastener": M8, "sizes": sizes, **members}
    return Piece(key, form=ItemForm.SCREW, quantity=quantity, **told)


def fake(per_torque=1000.0, extra=(), others=()):
    """A family whose every screw gives ``per_torque`` N per N·m at a torque of ten times margin."""

    def candidates(requirement, drawer):
        for one in drawer.of(ItemForm.SCREW):
            margin = one.length
            torque = 10 * margin
            share = WANTED * torque * per_torque * (0.5 if "dry" in one.notes else 1.0)
            checks = (
                Check("force", share >= requirement.force.amount.most, "d", "b",
                      share / requirement.force.amount.most),
                Check("count", one.quantity >= WANTED, "d", "b", one.quantity / WANTED),
                Check("length", True, "d", "b", margin),
                *extra,
                *(Check("wall", False, f"state {name}", "b", None, name) for name in one.notes
                  if name.startswith("features/")),
            )  # fmt: skip
            yield Candidate(
                Family.JACKING_SCREWS,
                (PartUsed(one, WANTED, "grind"), *others),
                checks,
                torque=torque,
                torque_steps=(0.3 * torque, torque),
                force_least=share,
                force_most=2 * share,
                steps=(f"to {torque:g}",),
                cautions=("stand aside",),
            )

    return {Family.JACKING_SCREWS: candidates}


def requirement(force=30_000.0, **members):
    told = {
        "force": Need(Range(force, force), "as stated", False),
        "uses": frozenset(),
        "features": (Feature(FeatureKind.THREAD, fastener=read_fastener("M8"), count=WANTED),),
        **members,
    }
    return Requirement(ToolFunction.SEPARATE, **told)


def find(*pieces, most=20, searches=None, **members):
    return find_substitutes(
        requirement(**members), Drawer(pieces), most, fake() if searches is None else searches
    )


def keys(found):
    return [tuple(part.piece.key for part in one.parts) for one in found.candidates]


def test_what_holds_comes_first_on_hand_first_then_by_margin_then_by_cost():
    def cheap(amount):
        return Money(Decimal(amount), "EUR")

    found = find(
        piece("weak", 0.9),
        piece("bought", 5.0, is_on_hand=False),
        piece("good", 2.0, price=cheap("0.90")),
        piece("alike", 2.004, price=cheap("0.40")),
        piece("unpriced", 2.0),
        piece("best", 3.0),
        piece("weaker", 0.5),
    )
    names = [key for (key,) in keys(found)]
    assert names == ["best", "alike", "good", "unpriced", "bought", "weak", "weaker"]
    assert (found.accepted_count, found.refused_count) == (5, 2)


def test_the_answer_is_cut_off_and_the_counts_are_of_all():
    pieces = [piece(f"a{n:03}", 1 + n / 100) for n in range(200)]
    pieces += [piece(f"r{n:03}", 0.1 + n / 1000) for n in range(200)]
    found = find(*pieces, most=3)
    assert keys(found) == [("a199",), ("a195",), ("a196",), ("r199",), ("r198",), ("r197",)] or (
        keys(found)[3:] == [("r199",), ("r198",), ("r197",)]
    )
    assert (found.accepted_count, found.refused_count) == (200, 200)


def test_equal_pieces_of_two_items_count_together_and_come_apart_in_the_answer():
    found = find(piece("one", quantity=1), piece("two", quantity=5))
    assert found.accepted_count == 1
    parts = found.candidates[0].parts
    assert [(part.piece.key, part.count) for part in parts] == [("one", 1), ("two", 2)]
    assert find(piece("one", quantity=1), piece("two", quantity=1)).accepted_count == 0
    assert find(piece("same", quantity=1), piece("same", quantity=2)).accepted_count == 1


def test_two_pieces_with_one_key_are_not_taken_for_each_other():
    good, bad = piece("x", 2.0, name="good"), piece("x", 0.5, name="bad")
    for pieces in ((good, bad), (bad, good)):
        found = find(*pieces)
        taken = [[part.piece.name for part in one.parts] for one in found.candidates]
        assert (taken, found.accepted_count) == ([["good"], ["bad"]], 1)


def test_short_lots_are_put_together_at_the_least_torque():
    found = find(
        piece("two", 1.5, quantity=2),
        piece("best", 3.0, quantity=1),
        piece("poor", 1.2, quantity=2),
        piece("fails", 0.9, quantity=2),
    )
    best = found.candidates[0]
    assert [(part.piece.key, part.count) for part in best.parts] == [("best", 1), ("two", 2)]
    assert best.torque == 15
    assert best.torque_steps == (4.5, 15)
    assert best.steps == ("to 15",)
    assert best.force_least == pytest.approx(45_000)
    assert best.force_most == pytest.approx(90_000)
    margins = {check.name: check.margin for check in best.checks}
    assert margins == {"force": pytest.approx(1.5), "length": 1.5, "count": None}
    assert (found.accepted_count, found.refused_count) == (1, 4)
    failing = find(piece("best", 3.0, quantity=1), piece("fails", 0.9, quantity=2))
    assert (failing.accepted_count, failing.refused_count) == (0, 2)


def test_lots_of_another_friction_or_with_other_pieces_are_not_put_together():
    dry = piece("dry", 3.0, quantity=2, notes=("dry",))
    assert find(dry, piece("two", 1.5, quantity=2)).accepted_count == 0
    other = replace(STEEL_BAR, quantity=0)
    searches = fake(others=(PartUsed(other, 1),))
    lots = (piece("one", quantity=2), piece("two", 2.5, quantity=2))
    assert find(*lots, searches=searches).accepted_count == 0
    whole = fake(others=(PartUsed(STEEL_BAR, 1),))
    found = find(*lots, searches=whole)
    assert [part.piece.key for part in found.candidates[0].parts] == ["two", "one", "bar"]


def test_lots_on_hand_are_put_together_before_any_is_bought():
    found = find(
        piece("bought", 5.0, quantity=2, is_on_hand=False),
        piece("one", 1.5, quantity=2),
        piece("two", 1.2, quantity=2),
    )
    assert keys(found)[0] == ("one", "two")
    mixed = find(piece("bought", 5.0, quantity=2, is_on_hand=False), piece("one", 1.5, quantity=2))
    assert keys(mixed)[0] == ("bought", "one")
    assert not mixed.candidates[0].is_on_hand


def test_only_facts_that_may_change_a_no_are_missing():
    found = find(
        piece("a", 2.0, notes=("features/wall",)),
        piece("b", 2.1, notes=("features/wall", "features/reach")),
        piece("c", 0.5, notes=("features/depth",)),
        piece("d", 2.2, quantity=1, notes=("features/wall",)),
    )
    assert [(fact.member, fact.count) for fact in found.missing] == [
        ("features/wall", 3),
        ("features/reach", 1),
    ]
    assert found.missing[0].detail == "state features/wall"


def test_facts_at_their_worst_are_asked_for_only_where_numbers_alone_fail():
    def asked(*extra, **members):
        pieces = (piece("a", 0.5), piece("b", 0.5, notes=("features/wall",)))
        found = find(*pieces, searches=fake(extra=extra), **members)
        return [(fact.member, fact.count) for fact in found.missing if "/" not in fact.member]

    weak = Check("face", False, "d", f"of an unknown material, {AS_THE_WEAKEST} (x)", 0.1)
    assert asked() == [("lubrication", 1)]
    assert asked(weak) == [("workpiece", 1), ("pushed", 1), ("lubrication", 1)]
    steel = hole_material_of("steel")
    assert asked(weak, workpiece=steel, lubrication="oiled") == [("pushed", 1)]
    assert asked(weak, Check("thread", False, "another", "b")) == []


def test_what_a_fact_may_save_stands_before_another_thread():
    def candidates(requirement, drawer):
        weak = Check("column", False, "d", "b", 0.9)
        yield from fake(extra=(weak,))[Family.JACKING_SCREWS](requirement, drawer)
        other = (PartUsed(piece("other"), WANTED),)
        yield Candidate(Family.JACKING_SCREWS, other, (Check("thread", False, "M10", "b"),))

    weak, unsaid = piece("weak", 0.9), piece("unsaid", notes=("features/wall",))
    bought = piece("bought", is_on_hand=False)
    found = find(weak, unsaid, bought, searches={Family.JACKING_SCREWS: candidates})
    assert keys(found) == [("unsaid",), ("weak",), ("bought",), ("other",)]


def test_a_use_on_which_a_life_hangs_is_refused_before_anything_is_computed():
    def never(requirement, drawer):
        raise AssertionError

    found = find(
        piece("a"),
        searches={Family.JACKING_SCREWS: never},
        uses=frozenset({ToolUse.LIFTING}),
    )
    assert (found.candidates, found.accepted_count) == ((), 0)
    assert found.refusals
    assert found.notes


def test_an_empty_drawer_is_told():
    found = find()
    assert found.candidates == ()
    assert "jacking screws" in found.notes[0]


def test_every_function_has_its_families_and_every_family_a_function():
    assert set(FAMILIES) == set(ToolFunction)
    assert {family for families in FAMILIES.values() for family in families} == set(Family)
    for function in ToolFunction:
        found = find_substitutes(Requirement(function, uses=frozenset()), Drawer(()))
        assert found.accepted_count == 0
