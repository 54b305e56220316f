"""Newest numbers of random supersessions against all choices, and against what comes out later.

PAIRS_TIMES in the environment makes it so many times more.
"""

import os
from collections import Counter

from shared.interchange.supersession import newest
from tests.shared.interchange.plain_newest import plain_newest
from tests.shared.interchange.random_catalogues import (
    Dice,
    completed,
    forward_rule,
    random_kinds,
    random_place,
    random_rules,
    sister_rule,
)

CASES = 200 * int(os.environ.get("PAIRS_TIMES", "1"))


def test_a_sure_newest_number_stays_it_whatever_else_comes_out():
    opened = 0
    for seed in range(CASES):
        dice = Dice(f"newest {seed}")
        parts = [f"p{n}" for n in range(6)]
        rules = random_rules(dice, dice.randint(2, 8), parts, 0.3)
        accepted = random_kinds(dice)
        place = random_place(dice, parts)
        can = dice.choice([None, frozenset(part for part in parts if dice.random() < 0.6)])
        before = newest(place, rules, can, accepted)
        assert before.newest, seed
        told = {one.lines for one in before.newest}
        sure = {(one.lines, one.companions) for one in before.newest if not one.questions}
        for _ in range(6):
            after = newest(completed(dice, place), rules, can, accepted).newest
            outcome = {(one.lines, one.companions) for one in after}
            assert sure <= outcome, seed
            assert {lines for lines, _ in outcome} <= told, seed
            opened += len(outcome - sure)
    assert opened > CASES // 4


def test_newest_numbers_without_circles_against_every_choice():
    seen = Counter()
    for seed in range(2 * CASES):
        dice = Dice(f"choices {seed}")
        parts = [f"p{n}" for n in range(7)]
        rules = [forward_rule(dice, n, parts) for n in range(dice.randint(1, 7))]
        rules += [
            sister_rule(dice, one, n + 7, parts)
            for n, one in enumerate(rules)
            if dice.random() < 0.3
        ]
        accepted = random_kinds(dice)
        place = random_place(dice, parts[:3])
        answer = newest(place, rules, None, accepted)
        found = answer.newest
        outcomes = {
            (
                frozenset((line.part_id, line.quantity) for line in one.lines),
                frozenset((line.part_id, line.quantity) for line in one.companions),
                not one.questions,
            )
            for one in found
        }
        assert outcomes == plain_newest(place, rules, accepted), seed
        followed = {one for number in found for one in number.supersession_ids}
        followed |= {one.supersession_id for one in answer.may_go_back_to}
        assert followed <= {one.id for one in rules if one.evidence_kind in accepted}, seed
        seen["not counted"] += any("not counted" in one.reason for one in answer.refused)
        seen["sure"] += bool(found[0].supersession_ids) and not found[0].questions
        seen["open"] += len(found) > 1
        seen["split"] += any(len(one.lines) > 1 for one in found)
    assert min(seen.values()) > CASES // 6, seen
