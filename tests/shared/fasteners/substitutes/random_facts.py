"""Dice that like the edges, and single random pieces. Seeded: the same each time. mm, N, N·m."""

from functools import cache
from random import Random

from shared.designations.reading import read_fastener
from shared.fasteners.friction import FrictionRange
from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm, ScrewTip, ToolUse
from shared.fasteners.substitutes.model import Feature, Hardness, Need, Piece, Range, Requirement
from shared.standards.hardness import HardnessScale as Scale
from shared.standards.hole_materials import hole_materials

THREADS = ("M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M16", "5/16-18 UNC", "1/4-20 UNC")
CLASSES = ("4.6", "5.8", "8.8", "8.8", "10.9", "12.9", "A2-70", "A2-50", "")
INCH_CLASSES = ("SAE 2", "SAE 5", "SAE 8", "")
WORDS = ("", "", "", "", "", "full thread", "socket cap", "waxed", "countersunk", "stud", "pan")
WEAK = ("PA66", "EN AW-1050A", "EN AC-44200", "EN-GJL-150")
PLATES = ("S235", "C45", "42CrMo4+QT", "EN AW-1050A", "EN AW-6060-T5")
STEELS = ("S235", "S355", "C45", "42CrMo4+QT")
CASTS = ("EN-GJL-250", "EN AC-46000", "S235", "C45", "EN-GJS-400")
SOFT = ("CuZn39Pb3", "EN AW-1050A", "EN AW-6060-T5", "PA66", "CuSn8")
LUBRICATION = (None, "dry", "oiled", "greased", "molybdenum disulfide", "no such word")
_OFF = (0.0, 0.0, 1e-6, -1e-6, 0.01, -0.01, 0.3, -0.3)


class Dice(Random):
    """Random numbers that often fall on the limit itself or a hair beside it."""

    def chance(self, share):
        """Tell whether something happens that happens so often."""
        return self.random() < share

    def near(self, limit, spread=0.6, way=1):
        """Return a length at, beside or beyond ``limit`` in direction ``way``."""
        if self.chance(0.25):
            return max(0.001, limit + self.choice(_OFF))
        share = self.uniform(-0.1, spread)
        return max(0.001, limit * (1 + share if way > 0 else 1 / (1 + share)))

    def material(self, *names, unknown=0.05):
        """Return a material, one of ``names`` mostly; None: not known."""
        if self.chance(unknown):
            return None
        table = materials()
        if names and self.chance(0.85):
            return table[self.choice(names)]
        return table[self.choice(tuple(table))]

    def hardness(self, low, high):
        """Return a hardness of either scale, in HV between ``low`` and ``high``."""
        if self.chance(0.05):
            return None
        value = self.uniform(low, high)
        if self.chance(0.15):
            return Hardness(round(value / 10) * 10.0, Scale.HV)
        scale = self.choice((Scale.HV, Scale.HV, Scale.HBW, Scale.HRC, Scale.HRB))
        if scale is Scale.HRC:
            return Hardness(self.uniform(18, 66), scale)
        if scale is Scale.HRB:
            return Hardness(self.uniform(40, 102), scale)
        return Hardness(value, scale)


@cache
def materials():
    """Return the table of materials by name."""
    return {row.material: row for row in hole_materials()}


@cache
def fastener(text):
    """Return what a designation names."""
    return read_fastener(text)


def thread(dice, like=None):
    """Return a thread, mostly ``like``, now and then its look-alike or the other hand."""
    name = dice.choice(THREADS) if like is None else like
    if like is not None and dice.chance(0.06):
        name = dice.choice(THREADS)
    hand = " LH" if dice.chance(0.03 if like else 0.05) else ""
    return name, hand


def screw(dice, key, like, length):
    """Return a screw of thread ``like`` about ``length`` long, not always to be had."""
    name, hand = thread(dice, like)
    grade = dice.choice(INCH_CLASSES if "UN" in name else CLASSES)
    word = dice.choice(WORDS)
    bare = fastener(f"{name}{hand} {grade} {word}".strip())
    sizes = [(Kind.LENGTH, length)] if dice.chance(0.97) else []
    if dice.chance(0.4):
        sizes.append(
            (Kind.THREAD_LENGTH, dice.near(length * dice.choice((0.2, 0.8, 0.8, 0.8)), 0.4))
        )
    return Piece(
        key,
        f"{name} screw",
        ItemForm.THREADED_ROD if dice.chance(0.04) else ItemForm.SCREW,
        dice.choice((1, 2, 3, 4, 8, 8, 8)),
        fastener=bare,
        sizes=tuple(sizes),
        tip=dice.choice((None, *ScrewTip)),
    )


def piece(dice, key, form, sizes, material, quantity=None, **more):
    """Return a piece of plain stock; now and then one of its sizes is not known."""
    kept = tuple(
        (kind, float(size)) for kind, size in sizes.items() if size is not None and size > 0
    )
    if kept and dice.chance(0.05):
        lacking = dice.choice(kept)
        kept = tuple(one for one in kept if one is not lacking)
    number = dice.choice((0, 1, 1, 2, 4)) if quantity is None else quantity
    return Piece(key, form.value, form, number, sizes=kept, material=material, **more)


def requirement(dice, function, features, height, **more):
    """Return a requirement of these features (kind: size, or count and size), some left out."""
    kept = []
    for kind, stated in features.items():
        if dice.chance(0.012):
            continue
        count, size = stated if isinstance(stated, tuple) else (1, stated)
        if kind is Kind.THREAD:
            kept.append(Feature(kind, fastener=size, count=count))
        elif size > 0:
            kept.append(Feature(kind, float(size), count=count))
    is_clear = dice.chance(0.8)
    if not is_clear and dice.chance(0.9):
        kept.append(Feature(Kind.CLEAR_HEIGHT, dice.near(height)))
    more.setdefault("friction", friction(dice))
    return Requirement(
        function=function,
        features=tuple(kept),
        is_symmetric=True if dice.chance(0.97) else dice.choice((None, False)),
        uses=frozenset()
        if dice.chance(0.98)
        else dice.choice((None, frozenset({ToolUse.LIFTING}))),
        nothing_in_the_way=is_clear,
        lubrication=dice.choice(LUBRICATION),
        **more,
    )


def friction(dice):
    """Return a stated range of friction, or none."""
    if dice.chance(0.3):
        return None
    least = dice.uniform(0.03, 0.2)
    return FrictionRange(least, least * dice.choice((1.0, 1.5, 2.5)), "as stated")


def need(dice, low, high):
    """Return a need with its range; now and then none is stated."""
    if dice.chance(0.02):
        return None
    most = dice.uniform(low, high)
    return Need(Range(most / 3, most), "as stated", is_estimate=False)


def threaded_hole(dice):
    """Return a thread's name and the hole."""
    name, hand = thread(dice)
    return name, fastener(f"{name}{hand}")


def washer(dice, key, name, major, quantity=None):
    """Return washers for a thread."""
    sizes = {
        Kind.OUTSIDE_DIAMETER: major * dice.choice((2.0, 2.1, 3.0)),
        Kind.THICKNESS: dice.uniform(0.15, 0.6) * major,
    }
    if dice.chance(0.2):
        sizes[Kind.BORE] = dice.near(major + 0.1, 0.15)
    return piece(
        dice,
        key,
        ItemForm.WASHER,
        sizes,
        dice.material(*STEELS),
        dice.choice((1, 4, 12, 12)) if quantity is None else quantity,
        fastener=fastener(name),
    )
