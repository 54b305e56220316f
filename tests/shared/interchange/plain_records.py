"""What one record says of one unit, and how far it is believed: told again plainly."""

import re

YES, OPEN, NO = "yes", "open", "no"
HOUSE = {
    "maker-bulletin": (0.98, 50),
    "published-cross-reference": (0.93, 20),
    "fitted-and-run": (0.90, 10),
    "measured-match": (0.85, 8),
    "told": (0.60, 4),
}


def letters_and_number(text):
    found = re.fullmatch(r"(\D*)(\d+)(\D*)", text or "")
    return None if found is None else (found[1].upper(), found[3].upper(), int(found[2]))


def in_range(own, first, last):
    if first is None and last is None:
        return YES
    mine, outcome = letters_and_number(own), YES
    for bound, sign in ((first, 1), (last, -1)):
        if bound is None:
            continue
        edge = letters_and_number(bound)
        if mine is None or mine[:2] != edge[:2]:
            outcome = OPEN
        elif sign * (mine[2] - edge[2]) < 0:
            return NO
    return outcome


def one_of(asked, given):
    if asked is None:
        return YES
    if given is None:
        return OPEN
    return YES if asked == given else NO


def worst(outcomes):
    return next(one for one in (NO, OPEN, YES) if one in [*outcomes, YES])


def within(day, first, last):
    if first is None and last is None:
        return YES
    if day is None:
        return OPEN
    return YES if (first or day) <= day <= (last or day) else NO


def unit_holds(record, place):
    """Whether the conditions that claims and supersessions share hold."""
    unit = place.traits
    return [
        one_of(record.assembly_id, place.assembly_id),
        in_range(unit.serial_number, record.serial_from, record.serial_to),
        within(unit.built_on, record.built_from_on, record.built_to_on),
    ]


def claim_holds(claim, place):
    unit = place.traits
    is_of_later = claim.stated_on is not None and claim.stated_on > place.as_of
    return worst(
        [
            *unit_holds(claim, place),
            one_of(claim.position_id, place.position_id),
            one_of(claim.hand, unit.hand),
            one_of(claim.ratio, unit.ratio),
            one_of(claim.generation, unit.generation),
            NO if is_of_later else YES,
        ]
    )


def rules_hold(rules, place, accepted=None):
    """By id: whether each holds, once those of one earlier part that rival it are seen.

    A record that the shop does not count rivals only others that it does not count.
    """

    def counts(rule):
        return accepted is None or rule.evidence_kind in accepted

    alone = {}
    for rule in rules:
        is_of_later = rule.effective_on is not None and rule.effective_on > place.as_of
        alone[rule.id] = worst([*unit_holds(rule, place), NO if is_of_later else YES])
    found = dict(alone)
    for rule in rules:
        for other in rules:
            if (
                other.earlier_part_id == rule.earlier_part_id
                and alone[other.id] != NO
                and alone[rule.id] == YES
                and set(other.later_lines) != set(rule.later_lines)
                and (counts(other) or not counts(rule))
            ):
                found[rule.id] = OPEN
    return found


def goes_along(rule, rules, place, accepted):
    """What is changed along with a rule's later lines: the most of each by all that say the same.

    By those that hold by their own conditions; where none does, by all that may.
    """
    alone = {one.id: rules_hold([one], place)[one.id] for one in rules}
    alike = [
        one
        for one in rules
        if one.earlier_part_id == rule.earlier_part_id
        and set(one.later_lines) == set(rule.later_lines)
        and alone[one.id] != NO
        and (one.evidence_kind in accepted or rule.evidence_kind not in accepted)
    ]
    heeded = [one for one in alike if alone[one.id] == YES] or alike
    most = {}
    for one in (rule, *heeded):
        for part, quantity in pairs(one.companion_lines):
            most[part] = max(most.get(part, 0), quantity)
    return tuple(most.items())


def belief(kind, catalogue, claim_id=None):
    mean, weight = HOUSE[kind.value]
    for own in catalogue.rules.beliefs:
        if own.evidence_kind == kind:
            mean, weight = float(own.mean), float(own.weight)
    good, bad = mean * weight, (1 - mean) * weight
    for count in catalogue.fitments:
        if count.claim_id == claim_id:
            good, bad = good + count.served, bad + count.against
    return good / (good + bad)


def pairs(lines):
    return tuple((line.part_id, line.quantity) for line in lines)
