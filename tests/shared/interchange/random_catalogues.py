"""Random catalogues and places. Seeded: the same each time."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from shared.assemblies.traits import Hand, Traits
from shared.evidence import EvidenceKind
from shared.interchange.found import Catalogue, Place
from shared.interchange.model import (
    ClaimSays,
    FitmentCount,
    InterchangeClaim,
    Part,
    PartLine,
    Sameness,
    Supersession,
)
from shared.interchange.rules import EvidenceBelief, InterchangeRules

DAY = date(2026, 11, 2)
KINDS = tuple(EvidenceKind)
SAMENESSES = tuple(Sameness)
DESIGNATIONS = (None, None, None, None, "6205", "6205-2RS", "6205 C3", "6206", "608")
RATIOS = (None, None, Decimal("3.73"), Decimal(4))


class Dice(Random):
    """Seeded: the same each time."""

    def now_and_then(self, chance, make):
        return make() if self.random() < chance else None

    def serial(self):
        return f"{self.choice(['', '', 'LF'])}{self.randint(1, 5)}"

    def serials(self):
        first = self.serial()
        last = f"{first.rstrip('12345')}{self.randint(1, 5)}"
        return self.choice([(first, None), (None, last), (first, last)])

    def days(self):
        first, last = sorted(self.day() for _ in range(2))
        return self.choice([(first, None), (None, last), (first, last)])

    def day(self):
        return DAY + timedelta(days=self.randint(-3, 2))


def unit_conditions(dice, often):
    serial_from, serial_to = dice.now_and_then(often, dice.serials) or (None, None)
    built_from_on, built_to_on = dice.now_and_then(often / 2, dice.days) or (None, None)
    return {
        "assembly_id": dice.now_and_then(often, lambda: dice.choice(["a1", "a2"])),
        "serial_from": serial_from,
        "serial_to": serial_to,
        "built_from_on": built_from_on,
        "built_to_on": built_to_on,
    }


def random_place(dice, parts):
    def given(make):
        return dice.now_and_then(0.7, make)

    return Place(
        part_id=dice.choice(parts),
        as_of=DAY,
        assembly_id=given(lambda: "a1"),
        position_id=given(lambda: "p1"),
        traits=Traits(
            serial_number=given(dice.serial),
            built_on=given(dice.day),
            hand=given(lambda: dice.choice(list(Hand))),
            ratio=given(lambda: dice.choice(RATIOS)),
            generation=given(lambda: dice.choice(["1", "2"])),
        ),
    )


def random_lines(dice, parts, most):
    return tuple(
        PartLine(part, dice.choice([1, 1, 2, 3]))
        for part in dice.sample(parts, dice.randint(0, most))
    )


def random_claim(dice, number, parts, often):
    part, stand_in = dice.sample(parts, 2)
    is_no = dice.random() < 0.2
    hours = Decimal(0) if is_no else Decimal(dice.choice([0, 0, 1, 3])) / 2
    return InterchangeClaim(
        id=f"c{number:03}",
        part_id=part,
        stand_in_part_id=stand_in,
        evidence_kind=dice.choice(KINDS),
        evidence="a note",
        says=ClaimSays.DOES_NOT_FIT if is_no else ClaimSays.FITS,
        position_id=dice.now_and_then(often, lambda: dice.choice(["p1", "p2"])),
        hand=dice.now_and_then(often, lambda: dice.choice(list(Hand))),
        ratio=dice.now_and_then(often, lambda: dice.choice(RATIOS)),
        generation=dice.now_and_then(often, lambda: dice.choice(["1", "2"])),
        part_quantity=1 if is_no else dice.choice([1, 1, 1, 2]),
        stand_in_quantity=1 if is_no else dice.choice([1, 1, 1, 2, 3]),
        companion_lines=() if is_no else random_lines(dice, parts, dice.choice([0, 0, 2])),
        stated_on=dice.now_and_then(often, dice.day),
        rework_p50_hours=hours,
        rework_p90_hours=2 * hours,
        form=dice.choice(SAMENESSES),
        fit=dice.choice(SAMENESSES),
        function=dice.choice(SAMENESSES),
        **unit_conditions(dice, often),
    )


def random_rule(dice, number, parts, often):
    earlier, *later = dice.sample(parts, dice.choice([1, 2, 2, 2, 2, 3]))
    return Supersession(
        id=f"s{number:03}",
        earlier_part_id=earlier,
        evidence_kind=dice.choice(KINDS),
        evidence="a bulletin",
        later_lines=tuple(PartLine(part, dice.choice([1, 1, 1, 2])) for part in later),
        companion_lines=random_lines(dice, parts, dice.choice([0, 0, 1])) if later else (),
        effective_on=dice.now_and_then(often, dice.day),
        may_go_back=dice.random() < 0.3,
        **unit_conditions(dice, often),
    )


def sister_rule(dice, rule, number, parts):
    """Another record of the same later lines: other evidence, conditions, what goes along."""
    other = random_rule(dice, number, parts, 0.3)
    return replace(
        other,
        earlier_part_id=rule.earlier_part_id,
        later_lines=rule.later_lines,
        companion_lines=random_lines(dice, parts, 2) if rule.later_lines else (),
    )


def random_rules(dice, number, parts, often):
    """Rules of which some have a sister."""
    found = [random_rule(dice, n, parts, often) for n in range(number)]
    sisters = [one for one in found if dice.random() < 0.25]
    found += [sister_rule(dice, one, number + n, parts) for n, one in enumerate(sisters)]
    return tuple(found)


def random_kinds(dice):
    return tuple(kind for kind in KINDS if dice.random() < 0.8)


def random_catalogue(dice, size, claims, rules):
    parts = [f"p{n:02}" for n in range(size)]
    often = dice.choice([0, 0.05, 0.2])
    known = parts if dice.random() < 0.9 else parts[:-1]
    made = tuple(random_claim(dice, n, parts, often) for n in range(claims))
    tried = [c.id for c in made if c.says is ClaimSays.FITS and dice.random() < 0.3]
    return Catalogue(
        parts=tuple(
            Part(part, "Works", part.upper(), "part", "part", dice.choice(DESIGNATIONS))
            for part in known
        ),
        claims=made,
        supersessions=random_rules(dice, rules, parts, often),
        fitments=tuple(
            FitmentCount(one, dice.randint(0, 9), dice.randint(0, 3), dice.randint(0, 3))
            for one in tried
        ),
        rules=InterchangeRules(
            least_confidence=Decimal(dice.choice(["0.5003", "0.7717", "0.8001"])),
            hop_discount=Decimal(dice.choice(["1", "0.95", "0.8"])),
            most_steps=dice.choice([1, 2, 3, 4, 4, 6]),
            beliefs=tuple(
                EvidenceBelief(kind, Decimal(dice.randint(30, 99)) / 100, Decimal(5))
                for kind in KINDS
                if dice.random() < 0.2
            ),
        ),
        accepted=random_kinds(dice),
    )


def completed(dice, place):
    """The same place with every fact that it lacks."""
    unit = place.traits
    return replace(
        place,
        assembly_id=place.assembly_id or dice.choice(["a1", "a2"]),
        position_id=place.position_id or dice.choice(["p1", "p2"]),
        traits=Traits(
            serial_number=unit.serial_number or dice.serial(),
            built_on=unit.built_on or dice.day(),
            hand=unit.hand or dice.choice(list(Hand)),
            ratio=unit.ratio or dice.choice(RATIOS[2:]),
            generation=unit.generation or dice.choice(["1", "2"]),
        ),
    )


def forward_rule(dice, number, parts):
    """A random rule that leads to later parts of the list only: no circles."""
    made = random_rule(dice, number, parts, 0.2)
    earlier, *later = sorted([made.earlier_part_id, *(line.part_id for line in made.later_lines)])
    lines = tuple(PartLine(part, dice.choice([1, 1, 2])) for part in later)
    return replace(made, earlier_part_id=earlier, later_lines=lines)
