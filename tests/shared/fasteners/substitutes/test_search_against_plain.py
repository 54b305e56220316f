"""The search against the plain rules: no set that works is overlooked, no lots put together badly.

Small random drawers, of which every set is tried.
"""

from dataclasses import replace

import pytest

from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.model import Drawer, Family
from shared.fasteners.substitutes.search import FAMILIES, find_substitutes
from tests.shared.fasteners.substitutes.plain_families import (
    WAYS,
    at_the_edge,
    found_for,
)
from tests.shared.fasteners.substitutes.plain_sets import sets_of
from tests.shared.fasteners.substitutes.random_facts import Dice, fastener
from tests.shared.fasteners.substitutes.test_against_plain import TIMES, beyond_the_plain

WHOLE = 120
SOME = {Family.ROD_WITH_NUTS: 60}
MOST_STORED = 1.0
"""Joule."""


@pytest.mark.parametrize("family", list(Family))
def test_a_set_that_works_is_found(family):
    """Where the plain rules allow a set, the house accepts one."""
    way, works = WAYS[family], 0
    for number in range(SOME.get(family, WHOLE) * TIMES):
        dice = Dice(f"{family} whole {number}")
        requirement, pieces = way.made(dice)
        found = found_for(way, requirement, pieces)
        requirement = at_the_edge(dice, requirement, found) or requirement
        plains = (way.plain(requirement, parts) for parts in sets_of(family, requirement, pieces))
        if any(not one.reasons and not one.is_on_the_limit for one in plains):
            works += 1
            accepted = [one.is_accepted for one in found_for(way, requirement, pieces)]
            assert any(accepted), (family, number)

    assert works >= TIMES


@pytest.mark.parametrize("function", list(ToolFunction))
def test_what_the_search_accepts_the_plain_rules_accept(function):
    """Lots put together too; and nothing at all where a life hangs on it or energy is stored."""
    accepted = lots = 0
    for number in range(200 * TIMES):
        dice = Dice(f"{function} {number}")
        family = dice.choice(FAMILIES[function])
        requirement, pieces = WAYS[family].made(dice)
        requirement = replace(requirement, function=function)
        found = find_substitutes(requirement, Drawer(tuple(_in_small_lots(dice, pieces))))
        taken = [candidate for candidate in found.candidates if candidate.is_accepted]
        if requirement.uses or _stores_energy(requirement):
            assert not found.candidates
        for candidate in taken:
            way = WAYS[candidate.family]
            why = beyond_the_plain(way, requirement, candidate)
            assert not why, (why, number, candidate)
            accepted += 1
            forms = [part.piece.form for part in candidate.parts]
            lots += forms.count(ItemForm.SCREW) > 1 or forms.count(ItemForm.PIN) > 1

    if function is not ToolFunction.COMPRESS:
        assert accepted > 4 * TIMES
    if function in {ToolFunction.SEPARATE, ToolFunction.RETAIN}:
        assert lots > 5 * TIMES


def _in_small_lots(dice, pieces):
    """Return the pieces with screws and pins in ones, each with a like one beside it."""
    for piece in pieces:
        if piece.form not in {ItemForm.SCREW, ItemForm.PIN} or dice.chance(0.3):
            yield piece
            continue
        yield replace(piece, quantity=1)
        twin = replace(piece, key=f"{piece.key} twin", quantity=dice.choice((1, 2)))
        if piece.fastener is not None and dice.chance(0.5):
            name = piece.fastener.thread.designation
            twin = replace(twin, fastener=fastener(f"{name} {dice.choice(('', 'waxed', 'pan'))}"))
        yield twin


def _stores_energy(requirement):
    if requirement.function is not ToolFunction.COMPRESS:
        return False
    travel, force = requirement.size(FeatureKind.TRAVEL), requirement.force
    if travel is None or force is None:
        return True
    return travel * force.amount.most / 1000 > MOST_STORED
