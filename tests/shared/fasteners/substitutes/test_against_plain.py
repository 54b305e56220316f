"""The house against the plain implementation: over a hundred thousand random pairs.

No set of pieces that the house accepts may be refused by the plain rules, no torque be more and no
surely given force be more than theirs. PAIRS_TIMES in the environment makes it so many times more.
"""

import os
from collections import Counter
from dataclasses import replace
from itertools import count

import pytest

from shared.fasteners.substitutes.model import Family, Need, Range
from tests.shared.fasteners.substitutes.plain_families import (
    WAYS,
    at_the_edge,
    found_for,
    parts_of,
)
from tests.shared.fasteners.substitutes.random_facts import Dice

TIMES = int(os.environ.get("PAIRS_TIMES", "1"))
SAME = 1 + 1e-9
TURNED = {Family.PINS_IN_A_PLATE, Family.BAR_IN_SLOTS, Family.HOOK_SPANNER}
"""Their torque is the most that the hand may give: asked for, it must still be accepted."""


def compared(family, times):
    """Judge random works both ways; return the numbers and what is to be looked at."""
    way, seen, wrong = WAYS[family], Counter(), []
    for number in count():
        if seen["pairs"] >= way.pairs * times:
            break
        dice = Dice(f"{family} {number}")
        requirement, pieces = way.made(dice)
        found = found_for(way, requirement, pieces)
        wrong += _judged(way, requirement, found, seen)
        sharper = at_the_edge(dice, requirement, found)
        if sharper is not None:
            wrong += _judged(way, sharper, found_for(way, sharper, pieces), seen)
    return seen, wrong


def _judged(way, requirement, found, seen):
    for candidate in found:
        plain = way.plain(requirement, parts_of(candidate))
        seen["pairs"] += 1
        if not candidate.is_accepted:
            seen["plain alone"] += not plain.reasons and not plain.is_on_the_limit
            continue
        seen["accepted"] += 1
        seen["accepted by both"] += not plain.reasons
        why = beyond_the_plain(way, requirement, candidate, plain)
        if why:
            yield why, requirement, candidate


def beyond_the_plain(way, requirement, candidate, plain=None):
    """Return why the plain rules refuse an accepted candidate or promise less; empty if not."""
    plain = plain or way.plain(requirement, parts_of(candidate))
    why = plain.reasons or _more_than(candidate, plain)
    if not why and candidate.family in TURNED:
        turned = Need(Range(0.0, candidate.torque), "as answered", is_estimate=False)
        why = way.plain(replace(requirement, torque=turned), parts_of(candidate)).reasons
    return why


def _more_than(candidate, plain):
    """Return what the house promises beyond the plain rules."""
    torque, force = candidate.torque_steps[-1:], candidate.force_least
    if plain.torque is not None and (not torque or torque[0] > plain.torque * SAME):
        return ["torque", torque, plain.torque]
    if plain.force is not None and (force is None or force > plain.force * SAME):
        return ["force", force, plain.force]
    return []


@pytest.mark.parametrize("family", list(Family))
def test_no_set_is_accepted_that_the_plain_rules_refuse(family):
    """What the house accepts, promises and permits, the plain rules do too."""
    seen, wrong = compared(family, TIMES)

    assert not wrong, wrong[0]
    # The test is not empty, and the house refuses little that the plain rules would allow.
    assert seen["accepted"] > 0.01 * seen["pairs"]
    assert seen["plain alone"] <= 0.01 * seen["pairs"]


def test_there_are_over_a_hundred_thousand_pairs():
    """In the short run already."""
    assert sum(way.pairs for way in WAYS.values()) > 100_000
    assert set(WAYS) == set(Family)
