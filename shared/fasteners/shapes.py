"""What a screw's shape does to tightening: whether the formulas hold for it, how large its head is.

Common practice, no source, unless said.
"""

from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import why_by_the_maker_only, words_of

_THIN: Final = frozenset("waisted reduced hollow banjo bleed bleeder drilled cross-drilled".split())
_HEADLESS: Final = frozenset("grub cup cone dog point pointed tip tipped".split())
_SET: Final = frozenset({"set", "setscrew"})
_HEXAGON: Final = frozenset("hex hexagon head".split())
_STUDS: Final = frozenset("stud studding rod".split())

_COUNTERSUNK: Final = frozenset("countersunk csk flat flat-head fhcs oval raised".split())
_WIDE: Final = frozenset(
    "flange flanged washer pan button bhcs round truss mushroom dome domed carriage coach cheese"
    " fillister thumb wing".split()
)
_SOCKET: Final = frozenset("socket cap shcs capscrew".split())
_SOCKET_HEAD: Final = 2.0
"""Greatest outside diameter of a socket cap head per major diameter (ISO 4762, from memory: M8
13.27 mm, M3 5.68 mm)."""
_WIDE_HEAD: Final = 2.5
"""Outside diameter of flange, pan and button heads at the most, per major diameter."""
_COUNTERSUNK_HEAD: Final = 4.0
"""The flat ring on which as much friction acts as on the cone: its mean diameter, about 1.55 d,
over the sine of half its angle, which is 0.66 for 82 degrees."""


def check_is_screw(fastener: Fastener, pointer: str = "/designation") -> None:
    """Raise InvalidInput for a nut: it has no strength of its own to tighten to."""
    if fastener.form is FastenerForm.NUT:
        raise InvalidInput(
            pointer,
            f"{fastener.canonical} is a nut; a torque is that of the screw in it.",
            "Give the screw, and the nut's class as nut_class.",
            "not-a-screw",
        )


def check_can_be_tightened(fastener: Fastener, pointer: str = "/designation") -> None:
    """Raise InvalidInput for a nut, and for a screw that breaks or strips at less than computed.

    One with less metal in its shank than in its thread, or without a head: then all the torque
    goes into the thread. And one that is fitted by its maker's procedure only: where a life hangs
    on it, where it is made to stretch or to break.
    """
    check_is_screw(fastener, pointer)
    words = words_of(fastener)
    if words & _THIN and not ("drilled" in words and "head" in words):
        raise InvalidInput(
            pointer,
            "Its shank is hollow or thinner than its thread and breaks first: no table tells at"
            " what torque.",
            "Take the maker's torque.",
            "not-a-plain-screw",
        )
    if words & _HEADLESS or (words & _SET and not words & _HEXAGON):
        raise InvalidInput(
            pointer,
            "A set screw without a head presses with its point: no tightening torque of a screw"
            " with a head is its own.",
            "Take the maker's torque; write hexagon set screw where it has a hexagon head.",
            "not-a-plain-screw",
        )

    why = why_by_the_maker_only(fastener)
    if why is not None:
        raise InvalidInput(
            pointer,
            f"No torque is computed for it. {why}",
            "Take the maker's torque and procedure.",
            "by-the-maker-only",
        )


def is_stud(fastener: Fastener) -> bool:
    """Whether it has two ends, one in a hole and one with a nut."""
    return bool(words_of(fastener) & _STUDS)


def widest_head(fastener: Fastener) -> float | None:
    """Return the outside diameter, mm, of the widest ring such a head turns on; None: a hexagon.

    A countersunk head wedges: the diameter of the flat ring with as much friction.
    """
    words, major = words_of(fastener), fastener.thread.major
    if words & _COUNTERSUNK:
        return _COUNTERSUNK_HEAD * major
    if words & _WIDE:
        return _WIDE_HEAD * major
    return _SOCKET_HEAD * major if words & _SOCKET else None
