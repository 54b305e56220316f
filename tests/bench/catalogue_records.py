"""Single records of the invented catalogue: how a number, a claim, a supersession looks."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any, Final

from shared.assemblies.traits import Hand
from shared.condition.model import DonorTerms, Unit, UnitKind
from shared.evidence import EvidenceKind, ReasonRetired
from shared.interchange.model import (
    InterchangeClaim,
    NumberKind,
    NumberRule,
    OtherNumber,
    Part,
    PartLine,
    Sameness,
    Supersession,
)
from shared.money import Money

MAKERS: Final = tuple(f"Bench works {number:02}" for number in range(40))
RATIOS: Final = ("3.07", "3.55", "3.73", "4.10")
GENERATIONS: Final = ("A", "B", "C")
FIRST_DAY: Final = date(1990, 1, 1)

PLAIN_SHAPES: Final = 20
"""How many of the shapes of a claim have no condition: two thirds of all."""

_KINDS: Final = ("ball-bearing", "seal", "gear", "shaft", "screw", "housing", "pump", "valve")
_EVIDENCE: Final = tuple(EvidenceKind)
_SERIES: Final = ("60", "62", "63")
_SEALED: Final = ("", "-2RS", "-2Z", "-Z", "-2RS C3", " C3")


def part_id(number: int) -> str:
    return f"prt_{number:026}"


def assembly_id(number: int) -> str:
    return f"asm_{number:026}"


def position_id(number: int) -> str:
    return f"pos_{number:026}"


def written(number: int) -> str:
    """A number in its maker's style, of 6 to 14 characters; no two parts of a maker share one.

    A family's numbers lie side by side, as a maker's do; the families are scattered.
    """
    block, member = divmod(number, 20)
    base = block * 7_654_321 % 9_999_991  # both have no common factor: no block meets another
    style = block % len(MAKERS) % 6
    digits = f"{base:07}{member:02}"
    match style:
        case 0:
            return digits
        case 1:
            return f"{digits[:3]}-{digits[3:]}"
        case 2:
            return f"{digits[:3]} {digits[3:6]} {digits[6:]} {'ABCDEF'[member % 6]}"
        case 3:
            return f"{'HKRT'[block % 4]}{digits[:5]}/{digits[5:]}"
        case 4:
            return f"{digits[:5]}-{digits[5:]}-{'XYZ'[member % 3]}00"
        case _:
            return f"{'BM'[block % 2]}{'OISA'[block % 4]}.{digits}"


def part_of(number: int, random: Random) -> Part:
    kind = random.choice(_KINDS)
    return Part(
        part_id(number),
        MAKERS[number // 20 % len(MAKERS)],
        written(number),
        f"Bench {kind} {number}",
        kind,
        generic_designation=_designation(random) if random.random() < 0.1 else None,
        other_numbers=_other_numbers(number, random) if random.random() < 0.05 else (),
    )


def _designation(random: Random) -> str:
    """One of a few hundred: a bearing, a seal or a screw."""
    match random.randrange(3):
        case 0:
            return f"{random.choice(_SERIES)}{random.randint(0, 12):02}{random.choice(_SEALED)}"
        case 1:
            inner = random.choice((20, 25, 30, 35, 40))
            return f"{inner}x{inner + random.choice((12, 22))}x{random.choice((7, 8, 10))}"
        case _:
            return f"M{random.choice((6, 8, 10, 12))}x{random.choice((20, 30, 40, 60))} 8.8"


def _other_numbers(number: int, random: Random) -> tuple[OtherNumber, ...]:
    match random.randrange(3):
        case 0:
            # One casting, several finished parts.
            return (OtherNumber(NumberKind.CASTING, f"C{number // 8 * 13 + 40_000}"),)
        case 1:
            return (OtherNumber(NumberKind.TRADE, f"{number * 17 % 999_983:06}K", "Trade list"),)
        case _:
            text = f"{number // 400 + 1}-{number // 20 % 20 + 1}-{number % 20 + 1}"
            return (OtherNumber(NumberKind.BOOK_POSITION, text, "Parts book"),)


def rules() -> Iterator[NumberRule]:
    """A fifth of the makers have one."""
    for number, maker in enumerate(MAKERS[::5]):
        yield NumberRule(
            f"nrl_{number:026}",
            maker,
            "Maker's book",
            base_length=9 if number % 2 else None,
            default_suffix="00" if number % 2 else None,
            last_letter_is_optional=number % 4 == 0,
            kept_separators="-" if number % 4 == 2 else None,
        )


def superseded(earlier: int, *later: int) -> Supersession:
    return Supersession(
        "",
        part_id(earlier),
        EvidenceKind.MAKER_BULLETIN,
        "Bulletin of the bench",
        tuple(PartLine(part_id(number)) for number in later),
    )


def family_link(number: int, others: list[int], random: Random) -> Supersession:
    """Now and then a dead end, two later numbers, a companion, a serial range, a way back."""
    draw = random.random()
    if draw < 0.05:
        return superseded(number)
    count = 2 if draw < 0.1 and len(others) > 2 else 1
    chosen = random.sample(others, min(count + 1, len(others)))
    one = superseded(number, *chosen[:count])
    if draw > 0.9:
        one = replace(one, may_go_back=True)
    if 0.2 < draw < 0.25 and len(chosen) > count:
        one = replace(one, companion_lines=(PartLine(part_id(chosen[count]), 2),))
    if 0.3 < draw < 0.4:
        one = replace(one, serial_from="1000", serial_to="1999")
    return one


def claim_shapes() -> tuple[InterchangeClaim, ...]:
    """What a claim may look like besides its parts: two thirds without a condition."""
    plain = [
        InterchangeClaim(
            "clm_shape",
            part_id(0),
            part_id(1),
            kind,
            "Seen on the bench: same bore, same width, ran a season",
            form=Sameness.SAME,
            stated_on=FIRST_DAY,
        )
        for kind in _EVIDENCE
    ]
    first = plain[0]
    conditions: tuple[dict[str, Any], ...] = (
        {"assembly_id": assembly_id(0)},
        {"serial_from": "1000", "serial_to": "4999"},
        {"serial_from": "5000"},
        {"hand": Hand.LEFT},
        {"ratio": Decimal(RATIOS[1])},
        {"generation": GENERATIONS[1]},
        {"built_from_on": FIRST_DAY + timedelta(days=3_000)},
        {
            "assembly_id": assembly_id(0),
            "serial_to": "2500",
            "to_check": ("End float by a dial gauge",),
        },
        {
            "hand": Hand.RIGHT,
            "rework_note": "Ream the bore",
            "rework_p50_hours": Decimal("0.5"),
            "rework_p90_hours": Decimal(1),
            "rework_cost": Money(Decimal("4.00"), "EUR"),
        },
        {
            "built_to_on": FIRST_DAY + timedelta(days=6_000),
            "companion_lines": (PartLine(part_id(2)),),
        },
    )
    bound = [replace(first, **one) for one in conditions]
    return (*plain * (PLAIN_SHAPES // len(plain)), *bound)


def unit_of(number: int, assembly: int, random: Random) -> Unit:
    return Unit(
        f"unt_{number:026}",
        assembly_id(assembly),
        UnitKind.DONOR,
        serial_number=f"{random.randint(100, 9_999)}-{number}",
        reason_retired=random.choice((ReasonRetired.WEAR, ReasonRetired.SEIZURE)),
        released_on=FIRST_DAY,
        donor=DonorTerms(is_owned=True, undisturbed_worth=Money(Decimal("150.00"), "EUR")),
        hand=random.choice((Hand.LEFT, Hand.RIGHT)),
        ratio=Decimal(random.choice(RATIOS)),
        generation=random.choice(GENERATIONS),
    )
