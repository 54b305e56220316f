"""Standard items offered beside what lies in the drawer."""

import pytest

from shared.designations.reading import read_fastener
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.strength import screw_strength
from shared.fasteners.substitutes.buyable import standard_items
from shared.fasteners.substitutes.model import Feature, Requirement

F = ItemForm


def items(function, thread=None):
    features = ()
    if thread is not None:
        features = (Feature(FeatureKind.THREAD, fastener=read_fastener(thread), count=2),)
    return standard_items(Requirement(function, features=features))


@pytest.mark.parametrize("function", ToolFunction)
def test_nothing_of_them_lies_in_the_shop_and_none_has_a_price(function):
    found = items(function, "M8")
    assert len({piece.key for piece in found}) == len(found)
    for piece in found:
        assert not piece.is_on_hand
        assert piece.price is None
        assert piece.key.startswith("standard/")
        assert piece.fastener is not None or piece.material is not None
        if piece.fastener is not None and piece.form is not F.WASHER:
            again = read_fastener(piece.fastener.canonical)
            assert (again.form, again.length, again.property_class) == (
                piece.fastener.form,
                piece.fastener.length,
                piece.fastener.property_class,
            )


@pytest.mark.parametrize(
    ("thread", "name", "number"),
    [
        ("M8", "M8x1.25x60 8.8 ISO 4017", 26),
        ("M8x1", "M8x1x60 10.9 ISO 8676", 26),
        ("3/8-16 UNC", "3/8-16 UNC x 1 3/4 SAE 5 hexagon head fully threaded", 24),
        ("1/4-20 UNC", "1/4-20 UNC x 2 SAE 5 hexagon head fully threaded", 18),
    ],
)
def test_screws_come_in_the_very_thread_of_the_work(thread, name, number):
    found = items(ToolFunction.SEPARATE, thread)
    assert name in {piece.name for piece in found}
    assert len(found) == number
    wanted = read_fastener(thread)
    for piece in found:
        assert (piece.fastener.thread, piece.fastener.hand) == (wanted.thread, wanted.hand)
        screw_strength(piece.fastener)


@pytest.mark.parametrize("thread", [None, "G 1/4", "1/4 BSW", "M8 LH", "M8x0.75"])
def test_no_screws_without_a_thread_that_is_sold(thread):
    assert items(ToolFunction.SEPARATE, thread) == ()


def test_forms_are_those_that_the_families_of_the_function_use():
    assert {piece.form for piece in items(ToolFunction.PULL, "M8")} == {
        F.SCREW, F.WASHER, F.BAR, F.THREADED_ROD, F.NUT
    }  # fmt: skip
    assert {piece.form for piece in items(ToolFunction.TURN)} == {F.BAR, F.PIN}
    assert items(ToolFunction.GAUGE, "M8") == ()
    strips = [piece for piece in items(ToolFunction.HOLD_ROTATION) if piece.form is F.STRIP]
    assert strips
    assert all(piece.hardness.value == 95 and not piece.material.is_brittle for piece in strips)
