"""The newest numbers of a part by trying all choices; only without circles."""

from collections import Counter
from itertools import product

from tests.shared.interchange.plain_records import NO, YES, pairs, rules_hold


def choices(part, rules, place):
    """What may be so for a part: later lines, companions, whether for sure; no lines: it stays."""
    own = [rule for rule in rules if rule.earlier_part_id == part]
    here, found = rules_hold(own, place), []
    alone = {rule.id: rules_hold([rule], place)[rule.id] for rule in own}
    for later in {frozenset(rule.later_lines) for rule in own}:
        group = [r for r in own if frozenset(r.later_lines) == later and alone[r.id] != NO]
        firm = [rule for rule in group if alone[rule.id] == YES] or group
        along = {}
        for part_id, quantity in (pair for rule in firm for pair in pairs(rule.companion_lines)):
            along[part_id] = max(along.get(part_id, 0), quantity)
        is_all = all(
            along.get(part_id, 0) >= quantity
            for rule in group
            for part_id, quantity in pairs(rule.companion_lines)
        )
        if group:
            found.append((pairs(later), along, is_all and here[firm[0].id] == YES))
    return found if YES in alone.values() else [((), {}, not found), *found]


def plain_newest(place, rules, accepted):
    """Every outcome by trying all choices of all parts, as if what does not count was not there."""
    rules = [rule for rule in rules if rule.evidence_kind in accepted]
    parts = sorted({rule.earlier_part_id for rule in rules})
    outcomes = set()
    for several in product(*(choices(part, rules, place) for part in parts)):
        chosen = dict(zip(parts, several, strict=True))
        lines, companions, doubts = Counter(), Counter(), []
        waiting = [(place.part_id, 1)]
        while waiting:
            part, pieces = waiting.pop()
            later, along, is_sure = chosen.get(part, ((), {}, True))
            doubts += [] if is_sure else [part]
            if not later:
                lines[part] += pieces
                continue
            waiting += [(after, quantity * pieces) for after, quantity in later]
            for other, quantity in along.items():
                companions[other] += quantity * pieces
        outcomes.add((frozenset(lines.items()), frozenset(companions.items()), not doubts))
    return outcomes
