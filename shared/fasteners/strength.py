"""How strong a screw is: proof, yield and tensile load, and what tightening may take of it.

Stresses in MPa, loads in N, lengths in mm, torques in N·m. A screw without a mark counts as the
lowest class, a class beyond its standard's sizes as unmarked too: nothing better is promised.
"""

from dataclasses import dataclass
from math import pi, sqrt
from types import MappingProxyType
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.metals import Metal, metal_of
from shared.fasteners.turning import MM_PER_M, thread_arm
from shared.standards.property_classes import (
    ClassFamily,
    ClassStrength,
    lowest_class,
    strength_of,
    why_no_strength,
)
from shared.standards.thread_model import Thread, ThreadSeries

YIELD_SHARE: Final = 0.9
"""Share of yield that tightening may use, tension and torsion together. VDI 2230-1 tables."""
MOST_OVER_LEAST_TENSILE: Final = 1.2
"""A screw may be stronger than its class promises, by so much. VDI 2230-1, from memory."""

_LOWEST: Final = "4.6"
_LOWEST_STAINLESS: Final = "A2-50"
_LARGEST: Final = 39.0
_SMALLEST: Final = 1.6
UNIFIED: Final = frozenset({ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN})


@dataclass(frozen=True, slots=True)
class ScrewStrength:
    """The strength that a screw is counted with.

    ``counted_class`` is the class of the figures; ``is_assumed`` says that the screw bears no mark
    that holds for its size, so that the lowest class stands in. ``proof_load`` is None where the
    standard states no proof stress (stainless). ``notes`` say why.
    """

    counted_class: str
    is_assumed: bool
    strength: ClassStrength
    area: float
    notes: tuple[str, ...]

    @property
    def proof_load(self) -> float | None:
        """Load that leaves no lasting stretch, N."""
        return None if self.strength.proof is None else self.strength.proof * self.area

    @property
    def yield_load(self) -> float:
        """Least load at which it yields, N, without torsion."""
        return self.strength.yield_least * self.area

    @property
    def tensile_load(self) -> float:
        """Least load at which it breaks, N."""
        return self.strength.tensile_least * self.area

    @property
    def is_stainless(self) -> bool:
        """Whether it is austenitic, ferritic or martensitic stainless steel."""
        return self.strength.family is ClassFamily.STAINLESS


def screw_strength(fastener: Fastener, pointer: str = "/designation") -> ScrewStrength:
    """Return the strength to count a screw with.

    Raises InvalidInput for a thread that is no fastening thread (pipe threads), for a property
    class that its standard does not give for this thread and size, and for a metal that the house
    has no figures for. Sources: ISO 898-1, ISO 3506-1, SAE J429 as each class says; that an
    unmarked screw counts as the lowest is common practice.
    """
    thread = fastener.thread
    area = fastening_area(thread, pointer)
    metal = metal_of(fastener, pointer)
    marked = fastener.property_class
    if marked is not None:
        found = strength_of(marked, thread.major, length=fastener.length)
        if found is None:
            why = why_no_strength(marked, thread.major) or f"Class {marked} has no such size."
            raise InvalidInput(
                pointer, why, "Leave the class out: it then counts as the lowest.", "class-size"
            )
        return ScrewStrength(marked, False, found, area, _notes(found, thread))
    counted, found, is_covered = _lowest(thread, metal)
    note = f"No property class is given: counted as the lowest, {counted}."
    if metal is Metal.STAINLESS:
        note = f"Stainless without a property class: counted as {counted}, the softest usual one."
    if not is_covered:
        note += " No standard of classes covers this thread; these figures stand in."
    if thread.series is ThreadSeries.BA and metal is Metal.STEEL:
        note += " BA screws are often brass, which is weaker still: look."
    return ScrewStrength(counted, True, found, area, (note,))


def fastening_area(thread: Thread, pointer: str = "/designation") -> float:
    """Return the tensile stress area, mm2; raises InvalidInput for a thread that has none."""
    if thread.stress_area is None:
        raise InvalidInput(
            pointer,
            f"{thread.designation} is a pipe thread: no standard gives its strength as a screw.",
            "Give a fastening thread; for fittings, their maker's torque.",
            "not-a-fastener",
        )
    return thread.stress_area


def largest_preload(
    thread: Thread, yield_stress: float, mu_thread: float, share: float = YIELD_SHARE
) -> float:
    """Return the preload, N, at which tension and torsion together reach ``share`` of yield.

    F = A0 nu Rp / sqrt(1 + 3 [1.5 (d2/d0) (P / (pi d2) + mu / cos a)]^2), A0 = pi d0^2 / 4 the
    stress area, a half the flank angle (1 / cos 30 = 1.155). Holds while the screw is being turned;
    stress in MPa, share above 0 and at most 1. Raises OutOfRange. Source: VDI 2230-1 (2003, 2015).
    """
    if not 0 < share <= 1:
        raise OutOfRange("share", share, "above 0 and at most 1")
    if not 0 <= mu_thread <= 1:
        raise OutOfRange("mu_thread", mu_thread, "from 0 to 1")
    area = fastening_area(thread)
    stressed = sqrt(4 * area / pi)
    # thread_arm = d2 / 2 (P / (pi d2) + mu / cos a)
    twist = 1.5 * 2 * thread_arm(thread, mu_thread) / stressed
    return share * yield_stress * area / sqrt(1 + 3 * twist**2)


# ISO 898-7 (from memory): shear strength over tensile strength in the breaking-torque test.
_BREAKING_SHARE: Final = MappingProxyType({"8.8": 0.84, "9.8": 0.815, "10.9": 0.79, "12.9": 0.75})


def least_breaking_torque(root_least: float, tensile: float, property_class: str) -> float:
    """Return the torque, N·m, that a free screw bears at least before its core shears off.

    X Rm pi d^3 / 16 with the least root diameter, mm, and tensile strength, MPa. For metric screws
    to M10 of classes 8.8 to 12.9; raises OutOfRange for others. Never a torque to tighten to.
    Source: ISO 898-7:1992, formula and X from memory.

    >>> round(least_breaking_torque(3.869, 800, "8.8"), 1)
    7.6
    """
    if property_class not in _BREAKING_SHARE:
        raise OutOfRange("property_class", property_class, f"one of {', '.join(_BREAKING_SHARE)}")
    return _BREAKING_SHARE[property_class] * tensile * pi * root_least**3 / 16 / MM_PER_M


def _notes(found: ClassStrength, thread: Thread) -> tuple[str, ...]:
    notes = [found.note] if found.note else []
    is_inch_class = found.family is ClassFamily.SAE
    is_for_it = thread.series in UNIFIED if is_inch_class else thread.is_metric
    if not is_for_it:
        notes.append(
            f"{found.name} is a class of {found.standard}, which is not for threads of this family:"
            " see that the mark is read rightly."
        )
    if found.proof is None:
        notes.append(
            f"{found.standard} states no proof stress; 0.2 % yield of the full screw is the limit."
        )
    return tuple(notes)


def _lowest(thread: Thread, metal: Metal) -> tuple[str, ClassStrength, bool]:
    name, fallback = lowest_class(is_metric=thread.series not in UNIFIED), _LOWEST
    is_covered = thread.is_metric or thread.series in UNIFIED
    if metal is Metal.STAINLESS:
        name = fallback = _LOWEST_STAINLESS
        is_covered = thread.is_metric
    found = strength_of(name, thread.major)
    if found is None:
        name, is_covered = fallback, False
        found = strength_of(name, min(max(thread.major, _SMALLEST), _LARGEST))
    assert found is not None, "the table holds its lowest class"
    return name, found, is_covered
