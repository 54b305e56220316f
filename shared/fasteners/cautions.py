"""What travels with every torque. Common practice, no source, unless said."""

from typing import Final

from shared.designations.model import Fastener, Hand
from shared.fasteners.equivalence_traps import cautions_by_words, words_of
from shared.fasteners.joint import Joint
from shared.fasteners.limits import NUT
from shared.fasteners.strength import ScrewStrength

MAKER_FIRST: Final = (
    "The maker's own torque for this joint comes first, and so do local codes and licensed"
    " practice; this is computed for a plain static joint of rigid metal parts."
)
NEVER_BY_THIS: Final = (
    "Brakes, steering, suspension, lifting, pressure parts, wheels and whatever a life hangs on:"
    " by the maker's procedure only, never by this figure."
)
NOT_WHOLE: Final = (
    "Not every part of the joint was checked: what is marked as not checked may strip or sink in"
    " at less."
)
ONCE_ONLY: Final = (
    "A stretch bolt is tightened by the maker's torque and angle, and used once: this figure does"
    " not stand in for them."
)
MADE_TO_BREAK: Final = (
    "A shear bolt is made to break first: renew it with the maker's own, never with a stronger one."
)
GALLS: Final = (
    "Stainless on stainless may gall and seize: use paste, turn slowly, and expect the force to be"
    " uncertain."
)
BRITTLE_WHEN_PLATED: Final = (
    "Plated screws of class 10.9 and above may break days later from hydrogen: use uncoated,"
    " phosphated or zinc-flake coated ones."
)

PLUG: Final = (
    "A plug is turned only as far as its seal needs, by its maker's torque: the sump's thread is"
    " weaker than the plug."
)
LOCKING: Final = (
    "A locking thread, insert or patch takes part of the torque before the head seats: the force is"
    " less than stated by that part; feel or measure it while it turns free."
)
USED: Final = (
    "A used screw may be stretched, worn or rusted: compare its length and thread with a new one; a"
    " locking coat is spent."
)
_LOCKING: Final = frozenset("locking self-locking prevailing patch insert locknut clinch".split())
_STRETCH: Final = frozenset("stretch yield tty torque-to-yield".split())
_MADE_TO_BREAK: Final = frozenset("shear frangible breakaway tamper tamperproof".split())
_PLUG: Final = frozenset("plug drain".split())
_PLATED: Final = (
    "plated", "plating", "zinc", "galvani", "chrome", "nickel", "cadmium", "zp", "hdg", "hot-dip",
)  # fmt: skip
_HARD: Final = 1000.0
"""Tensile strength, MPa, from which electroplating is a risk. ISO 4042, from memory."""


def cautions_for(
    joint: Joint, screw: ScrewStrength, *, is_whole: bool, governed_by: str
) -> tuple[str, ...]:
    """Return what to mind with a joint's torque."""
    found = [MAKER_FIRST, NEVER_BY_THIS]
    if not is_whole:
        found.append(NOT_WHOLE)
    if governed_by == NUT:
        found.append("The nut governs: fit one of the screw's class rather than turn harder.")
    found.extend(cautions_of(joint.fastener, screw))
    if is_hard(screw) and _is_plated(joint.friction.basis):
        found.append(BRITTLE_WHEN_PLATED)
    return tuple(dict.fromkeys(found))


def cautions_of(fastener: Fastener, screw: ScrewStrength | None) -> tuple[str, ...]:
    """Return what to mind with a screw by its own nature."""
    words = words_of(fastener)
    found = []
    if screw is not None and screw.is_assumed:
        found.append(
            f"Unmarked, it counts as class {screw.counted_class}: it may be stronger, nobody knows."
        )
    if screw is not None and screw.is_stainless:
        found.append(GALLS)
    if words & _STRETCH:
        found.append(ONCE_ONLY)
    if words & _MADE_TO_BREAK:
        found.append(MADE_TO_BREAK)
    if words & _PLUG:
        found.append(PLUG)
    if "used" in words:
        found.append(USED)
    if words & _LOCKING:
        found.append(LOCKING)
    if is_hard(screw) and _is_plated(" ".join(fastener.words)):
        found.append(BRITTLE_WHEN_PLATED)
    found.extend(cautions_by_words(fastener))
    if fastener.hand is Hand.LEFT:
        found.append("Left-hand thread: it tightens anticlockwise.")
    return tuple(found)


def is_hard(screw: ScrewStrength | None) -> bool:
    """Whether electroplating may make it break later."""
    return screw is not None and screw.strength.tensile_least >= _HARD


def _is_plated(said: str) -> bool:
    plain = said.casefold().replace("zinc flake", "").replace("zinc-flake", "")
    plain = plain.replace("anti-seize, nickel", "")
    return any(word in plain for word in _PLATED)
