"""From the question in its own units to the answer: what is read, refused, noted."""

from dataclasses import fields, replace
from decimal import Decimal

import pytest

from shared.designations.model import Hand
from shared.errors import InvalidInput
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    PressFitAsked,
    ScrewTip,
    SpecialTool,
    StockItem,
    TightRing,
    ToolFeature,
    ToolFunction,
    ToolUse,
)
from shared.fasteners.substitutes.asked import (
    ItemAsked,
    OfferKind,
    RequirementAsked,
    SubstitutesAsked,
    ToolOfferAsked,
)
from shared.fasteners.substitutes.asking import (
    ask_substitutes,
    asked_of_stock,
    asked_of_tool,
)
from shared.fasteners.substitutes.requirements import requirement_of
from shared.money import Money
from shared.quantities import Quantity

K = FeatureKind


def q(value, unit="mm", **doubt):
    return Quantity(Decimal(str(value)), unit, **doubt)


def feature(name, size, unit="mm", count=1):
    return ToolFeature(K(name), size=q(size, unit), count=count)


COVER = RequirementAsked(
    ToolFunction.SEPARATE,
    (
        ToolFeature(K.THREAD, "M8", count=2),
        feature("plate-thickness", 12),
        feature("reach", "0.55", "in"),
        feature("travel", 6),
        feature("wall", 8),
    ),
    force=q(3, "kN"),
    workpiece_material="EN AC-46000",
    pushed_material="S235",
    is_symmetric=True,
    uses=(),
    in_the_way="Nothing",
    lubrication="oiled",
    name="Cover puller",
)
SCREWS = ItemAsked("Hexagon screw", "screw", 4, "ISO 4017 M8x50 8.8", tip=ScrewTip.DOG, id="stk_1")


def ask(*items, requirement=COVER, **members):
    return ask_substitutes(
        SubstitutesAsked(requirement, items, include_standard_items=False, **members)
    )


def test_a_cover_is_pushed_off_by_the_screws_in_the_drawer():
    euro = Money(Decimal("80.00"), "EUR")
    answer = ask(
        replace(SCREWS, worth=Money(Decimal("0.45"), "EUR")),
        ItemAsked("Gasket", "gasket"),
        offers=(ToolOfferAsked(OfferKind.BUY, "Cover puller", euro),),
        jobs_to_come=3,
    )
    best = answer.found.candidates[0]
    assert best.is_accepted, best.governing
    assert best.parts[0].piece.key == "stk_1"
    assert best.force_least > 3000
    assert (answer.unread_count, answer.unread[0].key) == (1, "items/1")
    assert answer.comparison.cheapest.total == Money(Decimal("0.00"), "EUR")
    assert answer.requirement.force.amount.most == pytest.approx(3000)
    assert answer.requirement.size(K.REACH) == pytest.approx(13.97)
    assert answer.requirement.nothing_in_the_way


def test_the_same_screws_are_not_enough_for_ten_times_the_force():
    answer = ask(SCREWS, requirement=replace(COVER, force=q(30, "kN")))
    assert answer.found.accepted_count == 0
    assert not answer.found.candidates[0].is_accepted
    assert answer.comparison is None


@pytest.mark.parametrize(
    ("change", "member"),
    [
        ({"uses": None}, "uses"),
        ({"is_symmetric": None}, "is_symmetric"),
        ({"force": None}, "force"),
        ({"features": COVER.features[:-1]}, "features/wall"),
        ({"features": COVER.features[1:]}, "features/thread"),
        ({"in_the_way": None}, "in_the_way"),
    ],
)
def test_a_fact_left_out_makes_a_no_that_names_it(change, member):
    found = ask(SCREWS, requirement=replace(COVER, **change)).found
    assert found.accepted_count == 0
    assert member in {fact.member for fact in found.missing}


def test_standard_items_are_offered_beside_those_on_hand():
    asked = SubstitutesAsked(COVER, (SCREWS,))
    found = ask_substitutes(asked).found
    assert found.candidates[0].is_on_hand
    assert any(
        one.is_accepted and one.parts[0].piece.key.startswith("standard/")
        for one in found.candidates
    )


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"features": (ToolFeature(K.THREAD, "M8x9"),)}, "features/0/designation"),
        ({"features": (ToolFeature(K.THREAD, None, q(8)),)}, "features/0/designation"),
        ({"features": (ToolFeature(K.THREAD, "M8x60 8.8"),)}, "features/0/designation"),
        ({"features": (feature("wall", 3), feature("wall", 4))}, "features/0/kind"),
        ({"features": (feature("wall", 0),)}, "features/0/size"),
        ({"features": (feature("wall", 1, "kg"),)}, "features/0/size/unit"),
        ({"features": (ToolFeature(K.WALL, size=q(1, plus_minus=Decimal(1))),)},
         "features/0/size/plus_minus"),
        ({"features": (ToolFeature(K.BORE, "25H7"),)}, "features/0/size"),
        ({"features": (feature("wall", 3, count=0),)}, "features/0/count"),
        ({"force": q(0, "N")}, "force"),
        ({"force": q(5, "N"), "force_highest": q(4, "N")}, "force_highest"),
        ({"force": None, "force_highest": q(4, "N")}, "force"),
        ({"torque": q(-1, "N·m")}, "torque"),
        ({"torque": q(1, "mm")}, "torque/unit"),
        ({"sealed_area": q(0, "mm2")}, "sealed_area"),
        ({"force": None, "sealant": "silicone"}, "sealed_area"),
        ({"sealed_area": q(50, "mm2"), "sealant": "honey"}, "sealant"),
        ({"workpiece_hardness": "hard"}, "workpiece_hardness"),
        ({"tolerance": q(-1)}, "tolerance"),
        ({"lubrication": "snake oil"}, "lubrication"),
        ({"press_fit": PressFitAsked(q(30), q(20, "kg"), "H7", "p6")}, "press_fit/length/unit"),
        ({"press_fit": PressFitAsked(q(30), q(20), "H7", "zz99")}, "press_fit/shaft_class"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_where_it_stands_and_noted_of_a_stored_tool(
    change, pointer
):
    asked = replace(COVER, **change)
    with pytest.raises(InvalidInput) as refused:
        requirement_of(asked)
    assert refused.value.pointer == f"/requirement/{pointer}"
    assert "Or give friction" not in refused.value.fix, "no member here holds it"
    read = requirement_of(asked, is_stored=True)
    assert any(pointer in note and refused.value.fix in note for note in read.notes)
    member = next(iter(change))
    if member == "features":
        assert read.features == ()
    elif "tolerance" not in change and "torque" not in change and "force" in pointer:
        assert read.force is None


def test_a_need_of_which_a_part_cannot_be_read_is_not_known_at_all():
    asked = replace(COVER, sealed_area=q(5000, "mm2"), sealant="honey")
    assert requirement_of(asked, is_stored=True).force is None


def test_an_estimate_is_added_up_and_says_so():
    read = requirement_of(
        replace(
            COVER,
            force=None,
            sealed_area=q(50, "cm2"),
            sealant="silicone",
            press_fit=PressFitAsked(q(30), q(20), "H7", "p6", shaft_material="unobtainium"),
        )
    )
    assert read.force.is_estimate
    sealed = requirement_of(replace(COVER, force=None, sealed_area=q(50, "cm2")))
    assert read.force.amount.most > 0
    assert sealed.force.is_estimate
    assert any("sealed area alone" in note for note in sealed.notes)
    assert not any("alone" in note for note in read.notes)
    assert any("unobtainium" in note for note in read.notes)


def test_of_a_range_of_hardness_the_softest_of_the_work_counts():
    read = requirement_of(replace(COVER, workpiece_hardness="58-62 HRC"))
    assert read.workpiece_hardness.value == 58


def test_words_of_no_table_and_what_stays_in_the_way_are_noted():
    read = requirement_of(replace(COVER, workpiece_material="pot metal 7", in_the_way="a bracket"))
    assert read.workpiece is None
    assert not read.nothing_in_the_way
    assert any("pot metal 7" in note for note in read.notes)
    assert any("a bracket" in note for note in read.notes)


@pytest.mark.parametrize("jobs", [0, 10**7])
def test_jobs_beyond_reason_are_refused(jobs):
    with pytest.raises(InvalidInput) as refused:
        ask(SCREWS, jobs_to_come=jobs)
    assert refused.value.pointer == "/jobs_to_come"


def test_a_stored_tool_asks_all_that_a_question_can_and_a_stored_item_tells_all():
    fit = PressFitAsked(q(30), q(20), "H7", "p6")
    told = {
        "features": COVER.features,
        "force": q(1, "kN"), "force_highest": q(2, "kN"),
        "torque": q(1, "N·m"), "torque_highest": q(2, "N·m"),
        "sealed_area": q(9, "mm2"), "sealant": "silicone", "press_fit": fit,
        "workpiece_material": "S235", "workpiece_hardness": "58 HRC", "pushed_material": "S355",
        "thread_hand": Hand.LEFT, "tight_ring": TightRing.INNER, "is_symmetric": False,
        "uses": (ToolUse.IMPACT,), "in_the_way": "a bracket", "lubrication": "dry",
        "tolerance": q("0.1"), "name": "Cover puller",
    }  # fmt: skip
    tool = SpecialTool("stl_1", function=ToolFunction.PULL, **told)
    asked = RequirementAsked(ToolFunction.PULL, **told)
    assert asked_of_tool(tool) == asked
    assert {one.name for one in fields(RequirementAsked)} == {"function", *told}
    members = {
        "name": "Block", "kind": "gauge", "quantity": 2, "designation": "M8", "size": q(1),
        "features": COVER.features, "form": ItemForm.MEASURED_PIECE, "material": "S235",
        "property_class": "8.8", "hardness": "58 HRC", "tip": ScrewTip.CUP, "certificate": "12",
        "worth": Money(Decimal("1.00"), "EUR"), "id": "stk_1",
    }  # fmt: skip
    assert asked_of_stock(StockItem(**members)) == ItemAsked(**members)
    assert {one.name for one in fields(ItemAsked)} == {*members, "is_on_hand"}


def test_cast_aluminium_of_an_unknown_alloy_counts_as_the_weakest() -> None:
    asked = RequirementAsked(ToolFunction.SEPARATE, workpiece_material="Cast aluminium")
    found = requirement_of(asked)
    assert found.workpiece is not None
    assert found.workpiece.material == "EN AC-44200"
    assert any("sand-cast" in note for note in found.notes)
