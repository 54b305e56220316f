"""What figures hide when one fastener takes another's place. Common practice, no source, unless
said: the words are told to whoever reads the answer.
"""

import re
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.standards.nuts import nut_classes_for
from shared.standards.part_standards import part_standard
from shared.standards.property_classes import ClassFamily, ClassStrength, family_of

GENERAL: Final = (
    "Local codes, licensed practice and the maker's own instructions come first; on brakes,"
    " steering, seats and belts, lifting gear and pressure parts only the maker's fastener.",
    "Equal in class is not equal in shape: length, thread length, head, shank, fit, coating and"
    " locking must be the original's too.",
    "The figures hold at room temperature; near an exhaust or in a furnace other steels are used.",
    "Stretch bolts are used once and shear bolts are renewed like for like, whatever the mark says:"
    " look at the maker's procedure.",
    "An unmarked fastener counts as the lowest class, wherever it came from.",
)

_WEAK_LINK: Final = frozenset(
    "shear breakaway break-away break-off frangible fusible sacrificial weak-link tamper "
    "tamperproof security".split()
)
_STRETCH: Final = frozenset("stretch stretched tty torque-to-yield yield torque-angle".split())
_ENGINE: Final = frozenset("connecting conrod con-rod main flywheel crankshaft camshaft".split())
_SHANK: Final = frozenset("waisted reduced hollow drilled cross-drilled fitted shoulder".split())
DIPPED: Final = frozenset("hdg hot-dip galvanised galvanized".split())
"""Words of a thick coat of zinc, for which the mating thread is cut to limits of its own."""
_WEAK_HEADS: Final = frozenset("button countersunk csk low low-profile".split())
_LIFE: Final = frozenset(
    "brake brakes caliper steering suspension seat belt seatbelt airbag wheel lug lifting eye hook "
    "eyebolt hoist sling crane bleed bleeder banjo pressure safety".split()
)
_POINTS: Final = frozenset("grub set point pointed dog cone".split())
_OTHER_METALS: Final = frozenset(
    "stainless brass bronze copper titanium aluminium aluminum nylon plastic alloy".split()
)
_WORD = re.compile(r"[a-z0-9-]+")
_NOT_STEEL: Final = frozenset("stainless brass bronze titanium aluminium aluminum".split())
_OTHER_GRADE = re.compile(
    r"\b(a[0-9]{3}|a[1-5]|c[134]|f1|b7|b8|b16|2h|18-8|303|304|316l?|410|416)\b"
)

_HYDROGEN_FROM: Final = 1000.0
"""Tensile strength, MPa, from which plating may embrittle. ISO 4042:2018 (from memory)."""
_HYDROGEN_SURE: Final = 1200.0
_DUCTILE: Final = frozenset({"4.6", "5.6"})
_WORK_HARDENED: Final = frozenset({"4.8", "5.8", "6.8"})
_LESS_RESISTANT: Final = {
    "C4": 0, "C1": 1, "C3": 2, "F1": 3, "A1": 4, "A2": 5, "A3": 5, "A4": 6, "A5": 6,
}  # fmt: skip
_STABILISED: Final = frozenset({"A3", "A5"})

_OF_ITS_SHANK: Final = (
    "Its shank, not its thread alone, does the work (waisted, reduced, hollow, drilled, fitted or"
    " shouldered): the class does not tell its strength. Renew it like for like."
)
_OF_AN_ENGINE: Final = (
    "Bolts of connecting rods, main bearings, flywheels and cylinder heads are mostly stretch bolts"
    " with a procedure of their own: fit the maker's own, as the maker says."
)
_LIKE_FOR_LIKE: Final = (
    (
        _WEAK_LINK,
        "A shear bolt is made to break first or to be taken off by nobody: a stronger one moves the"
        " break into the machine. Fit the maker's own.",
    ),
    (
        _STRETCH,
        "A stretch bolt is turned into yield and used once; its shank and steel belong to its"
        " tightening procedure. Fit a new one from the maker, never a class that looks alike.",
    ),
    (_ENGINE, _OF_AN_ENGINE),
    (
        frozenset({"structural"}),
        "Structural bolting is fitted as screw, nut and washer tested together (EN 14399, ASTM"
        " F3125): no single class stands in for a part of the set, a higher one least of all.",
    ),
    (
        _LIFE,
        "A life may hang on this fastener: the maker's own is fitted, and no class stands in for"
        " it.",
    ),
    (_SHANK, _OF_ITS_SHANK),
)
"""Words and the reason why a fastener with one of them is renewed like for like, gravest first."""
_BY_THE_MAKER: Final = _LIKE_FOR_LIKE[:-1]
"""Those of which the tightening too is the maker's; a shank is looked at by its own rules."""


def why_nothing_stands_in(fastener: Fastener) -> str | None:
    """Say why a fastener with these words is renewed like for like only; None: nothing said."""
    words = words_of(fastener)
    for marks, reason in _LIKE_FOR_LIKE:
        if words & marks:
            return reason
    # A fit bolt (DIN 609) fills its hole; a close, medium or free fit is the thread's.
    if {"fit", "hexagon"} <= words and not words & {"close", "medium", "free"}:
        return _OF_ITS_SHANK
    # "Cylinder head cap screw" is a form of head, "cylinder head bolt" is of an engine.
    if "cylinder" in words and not words & {"socket", "cap"}:
        return _OF_AN_ENGINE
    return None


def why_by_the_maker_only(fastener: Fastener) -> str | None:
    """Say why a fastener is tightened by its maker's procedure only; None: nothing said."""
    words = words_of(fastener)
    return next((reason for marks, reason in _BY_THE_MAKER if words & marks), None)


def cautions_by_words(fastener: Fastener) -> tuple[str, ...]:
    """Return what to mind besides the general cautions because of a fastener's words."""
    words = words_of(fastener)
    found = []
    if words & DIPPED:
        found.append(
            "Hot-dip galvanised threads are cut to their own limits and M8 and M10 carry less"
            " (ISO 10684, from memory): screw and nut only as a matching pair."
        )
    if words & _WEAK_HEADS and fastener.form is not FastenerForm.NUT:
        found.append(
            "With a button, countersunk or low head the head may fail before the thread (ISO 7380-1"
            " and ISO 10642 promise 80 % of the tensile load, from memory), whatever the class."
        )
    return tuple(found)


def why_class_is_unknown(fastener: Fastener) -> str | None:
    """Say why an unmarked fastener cannot even count as the lowest class of steel."""
    words = words_of(fastener)
    name = fastener.property_class
    if name is not None:
        family = family_of(name)
        if words & _NOT_STEEL and family in {ClassFamily.STEEL, ClassFamily.SAE}:
            return (
                f"Class {name} is a steel's, and its words name another metal: one of the two is"
                " wrong. Read the mark on its head again."
            )
        if words & (_NOT_STEEL - {"stainless"}) and family is ClassFamily.STAINLESS:
            return (
                f"Class {name} is a stainless steel's, and its words name another metal: one of the"
                " two is wrong. Read the mark on its head again."
            )
        return None
    if words & _POINTS and fastener.form is FastenerForm.SCREW:
        return (
            "A set screw presses with its point and is marked with a hardness (45H), for which the"
            " house has no figures: renew it with the same point and hardness."
        )
    if words & _OTHER_METALS or _OTHER_GRADE.search(" ".join(fastener.words).casefold()):
        return (
            "Its words name a metal or a grade that the house has no figures for: state the"
            " property class on its head, such as A2-70."
        )
    return None


def words_of(fastener: Fastener) -> frozenset[str]:
    """Return the single words kept of a designation, in small letters.

    With those of the title of a standard that it names: DIN 439 says that a nut is thin.
    """
    named = (part_standard(word) for word in fastener.words)
    titles = [standard.what for standard in named if standard is not None]
    return frozenset(_WORD.findall(" ".join((*fastener.words, *titles)).casefold()))


def traps_of(
    wanted: ClassStrength, offered: ClassStrength, *, is_same_thread: bool = True
) -> tuple[str, ...]:
    """Return what to mind when ``offered`` takes the place of ``wanted``.

    On another thread the nut is another one anyhow, so its class is not compared.
    """
    found = []
    if offered.is_stainless and not wanted.is_stainless:
        found.append(
            f"Stainless is not {wanted.name}: it galls and seizes on itself (use paste, turn"
            " slowly), and in wet aluminium it eats the aluminium."
        )
    if wanted.is_stainless and not offered.is_stainless:
        found.append("Not stainless: it rusts where the original did not, coated or not.")
    if offered.tensile_least >= _HYDROGEN_SURE:
        found.append(
            "Never plate it or buy it electroplated: at this hardness hydrogen from plating or acid"
            " cleaning breaks it days after tightening. Brittle, too, where it is bent or notched."
        )
    elif offered.tensile_least >= _HYDROGEN_FROM:
        found.append(
            "Electroplated or acid-cleaned it may break later from hydrogen: plain, phosphated or"
            " zinc-flake coated instead."
        )
    if wanted.name in _DUCTILE and offered.name in _WORK_HARDENED:
        found.append("Work-hardened: it stretches less before it breaks than the original.")
    nuts, others = nut_classes_for(wanted.name), nut_classes_for(offered.name)
    if (
        is_same_thread
        and nuts
        and others
        and others[0] not in nuts[:1]
        and offered.tensile_least > wanted.tensile_least
    ):
        found.append(
            f"It wants a nut of class {others[0]}; with a nut of class {nuts[0]} the nut's thread"
            " strips before the screw breaks, and nobody sees it."
        )
    if offered.tensile_least > wanted.tensile_least:
        found.append(
            "Where the tapped hole, the nut or the seat governs, the higher class holds no more:"
            " keep the original's torque."
        )
    return tuple(found)


def is_less_resistant(wanted: ClassStrength, offered: ClassStrength) -> bool:
    """Tell whether an offered stainless steel corrodes sooner than the wanted one.

    By the groups of ISO 3506-1 (from memory): A4 and A5 hold more than A2 and A3, these more than
    A1 (free-cutting), then F1, C3, C1, and C4 (free-cutting) least. A3 and A5 are stabilised: A2
    and A4 do not take their place where it was welded or gets hot.
    """
    if not (wanted.is_stainless and offered.is_stainless):
        return False
    steel, other = (one.name.partition("-")[0] for one in (wanted, offered))
    if steel in _STABILISED and other not in _STABILISED:
        return True
    return _resistance(offered.name) < _resistance(wanted.name)


def _resistance(name: str) -> int:
    steel = name.partition("-")[0]
    return _LESS_RESISTANT.get(steel, 0)
