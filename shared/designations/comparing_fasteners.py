"""Whether a screw, nut or bare thread may take another's place, by designation alone.

What is written on neither side is not the same on both: it is asked for.
"""

from typing import Final

from shared.designations.comparing_model import Differences
from shared.designations.model import Comparison, Fastener, FastenerForm, StandIn
from shared.standards.part_standards import part_standard
from shared.standards.property_classes import strength_of

_ORDERED_CLASSES: Final = (
    ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"),
    ("04", "05"),
    ("4", "5", "6", "8", "9", "10", "12"),
    ("SAE 1", "SAE 2", "SAE 5", "SAE 8"),
    ("A2-50", "A2-70", "A2-80"),
    ("A4-50", "A4-70", "A4-80"),
)
"""Simple orders within one family; across families the strengths decide, not the names."""

_CROSSED: Final = {"4.8", "5.6"}
"""5.6 has the higher tensile strength, 4.8 the higher proof stress (ISO 898-1)."""

_HARD_CLASSES: Final = frozenset({"10.9", "12.9", "SAE 7", "SAE 8", "SAE 8.1", "SAE 8.2"})
_PLATINGS: Final = (
    "zinc",
    "zn",
    "zp",
    "plated",
    "galvan",
    "hdg",
    "dip",
    "nickel",
    "chrom",
    "cadmium",
)
"""Finishes that are electroplated or follow an acid bath; zinc flake is neither."""

_THIN: Final = frozenset({"thin", "half", "jam"})
_THREADED: Final = frozenset({"full", "fully", "full-thread"})
_LIKE_FOR_LIKE: Final = frozenset(
    "shear stretch yield tty torque-to-yield frangible breakaway used special brake caliper"
    " steering suspension belt airbag wheel lug lifting hoist sling crane connecting cylinder"
    " flywheel crankshaft camshaft".split()
)


def compare_fasteners(wanted: Fastener, offered: Fastener) -> Comparison:
    """Thread, hand and length must be the same; another class needs the strengths compared."""
    found = Differences()
    if wanted.thread.designation != offered.thread.designation:
        found.refuse(f"thread {wanted.thread.designation}: {offered.thread.designation} is another")
    if wanted.hand is not offered.hand:
        found.refuse(f"{wanted.hand}-hand thread: the offered one is {offered.hand}-hand")
    _forms(wanted, offered, found)
    _lengths(wanted, offered, found)
    _classes(wanted, offered, found)
    _thin_nuts(wanted, offered, found)
    if wanted.tolerance_class != offered.tolerance_class:
        found.ask("The thread tolerance classes differ or one is not written.")
    _words(wanted, offered, found)
    _plating(wanted, offered, found)
    return found.found()


def _forms(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    if wanted.form is offered.form:
        if wanted.form is FastenerForm.THREAD:
            found.ask("Only the thread is named on both: see that both are the same part.")
    elif FastenerForm.THREAD in {wanted.form, offered.form}:
        found.ask("Only the thread is named on one side: see that both are the same part.")
    else:
        found.refuse(f"{wanted.form}: the offered one is a {offered.form}")


def _lengths(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    mine, theirs = wanted.length, offered.length
    if mine == theirs:
        if mine is None and wanted.form is offered.form is FastenerForm.SCREW:
            found.ask("The length is written on neither: measure it.")
    elif mine is None or theirs is None:
        found.ask("A length is written on one side only: measure it.")
    else:
        found.refuse(f"length {mine:g} mm: the offered one has {theirs:g} mm")


def _classes(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    mine, theirs = wanted.property_class, offered.property_class
    if mine == theirs:
        if mine is None and wanted.thread.stress_area is not None:
            found.ask("No property class is written on either: strength is not told.")
    elif theirs is None:
        found.refuse(f"class {mine}: the offered one has none, and unmarked counts as the lowest")
    elif mine is None:
        found.ask(
            "The wanted class is not written: find it before fitting, a weak-link bolt must not be"
            " strengthened.",
            gained=f"class {theirs}",
        )
    else:
        _other_class(wanted, mine, theirs, found)


def _stronger(mine: str, theirs: str, *, is_nut: bool) -> str:
    if is_nut:
        return (
            f"{theirs} is stronger than {mine}: see that height, coating and locking are the same."
        )
    plated = " 12.9 is never plated." if theirs == "12.9" else ""
    return (
        f"{theirs} is stronger than {mine}: never where the bolt is the weak link by design; the"
        f" torque stays that of the joint.{plated}"
    )


def _other_class(wanted: Fastener, mine: str, theirs: str, found: Differences) -> None:
    is_nut = wanted.form is FastenerForm.NUT
    for order in _ORDERED_CLASSES:
        if mine in order and theirs in order:
            if {mine, theirs} == _CROSSED:
                break
            if order.index(theirs) < order.index(mine):
                found.refuse(f"class {mine}: {theirs} is weaker")
            else:
                found.ask(_stronger(mine, theirs, is_nut=is_nut), gained=f"class {theirs}")
            return
    if not is_nut and _is_weaker_in_all(wanted, mine, theirs):
        found.refuse(f"class {mine}: {theirs} is weaker in yield and in tensile strength")
        return
    if is_nut and _is_thin_class(theirs) and not _is_thin_class(mine):
        found.refuse(f"class {mine}: {theirs} is of a thin nut, which strips first")
        return
    found.at_best(StandIn.UNKNOWN)
    found.conditions.append(
        f"Neither of {mine} and {theirs} is the stronger in every way by its name: compare proof"
        " and tensile strength and hardness."
    )


def _is_weaker_in_all(wanted: Fastener, mine: str, theirs: str) -> bool:
    thread = wanted.thread
    own, other = (
        strength_of(name, thread.major, is_metric=thread.is_metric, length=wanted.length)
        for name in (mine, theirs)
    )
    if own is None or other is None:
        return False
    return other.yield_least < own.yield_least and other.tensile_least < own.tensile_least


def _is_thin_class(name: str) -> bool:
    """Whether a nut's class is that of a thin one: 04, 05, A2-035."""
    return name.rpartition("-")[2].startswith("0")


def _said(part: Fastener) -> frozenset[str]:
    """Single words beside the thread, with those of the titles of the standards named."""
    titles = [row.what for row in map(part_standard, part.words) if row is not None]
    return frozenset(" ".join((*part.words, *titles)).casefold().replace(",", " ").split())


def _thin_nuts(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    if FastenerForm.NUT not in {wanted.form, offered.form}:
        return
    if _said(offered) & _THIN and not _said(wanted) & _THIN:
        found.refuse("full height: the offered nut is a thin one and strips first")
    elif _said(wanted) & _THIN and not _said(offered) & _THIN:
        found.ask("The wanted nut is a thin one: see that a full one finds room and thread.")


def _words(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    if set(wanted.words) != set(offered.words):
        named = _named(wanted, offered)
        found.ask(f"Head, drive, finish or standard differ or are not written on one side{named}.")
    elif wanted.form is offered.form is FastenerForm.SCREW:
        if not wanted.words:
            found.ask("Head, drive and finish are written on neither: compare them.")
        elif not any(map(part_standard, wanted.words)) and not _said(wanted) & _THREADED:
            found.ask("No standard is named: compare how far the thread goes, and the ends.")
    if (_said(wanted) | _said(offered)) & _LIKE_FOR_LIKE:
        found.ask(
            "Class and size do not tell a fastener that shears, stretches, is used or special, or"
            " on which a life or an engine hangs: fit the maker's own, new."
        )


def _named(wanted: Fastener, offered: Fastener) -> str:
    """What the standards on both sides say that their parts are, where both name one."""
    told = []
    for part in (wanted, offered):
        rows = [row for row in map(part_standard, part.words) if row is not None]
        told += [f"{rows[0].standard}, {rows[0].what}"] if rows else []
    return f" ({told[0]}; against {told[1]})" if len(told) > 1 and told[0] != told[1] else ""


def _plating(wanted: Fastener, offered: Fastener, found: Differences) -> None:
    name = offered.property_class
    if name not in _HARD_CLASSES or not _is_plated(offered):
        return
    text = (
        f"The offered one is plated: at class {name} hydrogen from plating or acid cleaning may"
        " break it days after tightening; 12.9 is never plated."
    )
    if _is_plated(wanted) and name != "12.9":
        found.conditions.append(text)
    else:
        found.ask(text)


def _is_plated(screw: Fastener) -> bool:
    words = " ".join(screw.words).casefold().replace("zinc flake", "").replace("zinc-flake", "")
    return any(word.startswith(_PLATINGS) or "plated" in word for word in words.split())
