"""Whether a screw, seal, ring, key or shim may take another's place, by designation alone."""

from typing import Final

from shared.designations.comparing_model import Differences
from shared.designations.model import (
    Comparison,
    Fastener,
    FastenerForm,
    Key,
    ORing,
    RetainingRing,
    ShaftSeal,
    Shim,
    StandIn,
)

_ORDERED_CLASSES: Final = (
    ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"),
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

_SECTION_CLASSES: Final = (
    1.02, 1.27, 1.52, 1.6, 1.78, 1.9, 2.0, 2.2, 2.4, 2.5, 2.62, 2.8, 3.0, 3.1, 3.53, 4.0, 4.5, 5.0,
    5.33, 5.7, 6.0, 6.99, 8.0, 8.4, 10.0,
)  # fmt: skip
_SECTION_STEP: Final = 0.05
"""Sections this near are one for the gland, mm: 2.62 and 2.65, 3.53 and 3.55 (ISO 3601-1's
tolerances are wider)."""

_INSIDE_STEP: Final = 0.1
_INSIDE_SHARE: Final = 0.005
"""Inside diameters this near differ by less than the moulding tolerance, from memory."""


def compare_fasteners(wanted: Fastener, offered: Fastener) -> Comparison:
    """Thread, hand and length must be the same; another class needs the strengths compared."""
    found = Differences()
    if wanted.thread.designation != offered.thread.designation:
        found.refuse(f"thread {wanted.thread.designation}: {offered.thread.designation} is another")
    if wanted.hand is not offered.hand:
        found.refuse(f"{wanted.hand}-hand thread: the offered one is {offered.hand}-hand")
    if wanted.form is not offered.form:
        if FastenerForm.THREAD in {wanted.form, offered.form}:
            found.ask("Only the thread is named on one side: see that both are the same part.")
        else:
            found.refuse(f"{wanted.form}: the offered one is a {offered.form}")
    _lengths(wanted.length, offered.length, found)
    is_nut = wanted.form is FastenerForm.NUT
    _classes(wanted.property_class, offered.property_class, found, is_nut=is_nut)
    if wanted.tolerance_class != offered.tolerance_class:
        found.ask("The thread tolerance classes differ or one is not written.")
    if set(wanted.words) != set(offered.words):
        found.ask("Head, drive, finish or standard differ or are not written on one side.")
    elif not wanted.words and wanted.form is offered.form is FastenerForm.SCREW:
        found.conditions.append("Head, drive and finish are written on neither: compare them.")
    if _is_plated(offered) and not _is_plated(wanted) and offered.property_class in _HARD_CLASSES:
        found.ask(
            f"The offered one is plated: at class {offered.property_class} hydrogen from plating or"
            " acid cleaning may break it days after tightening; 12.9 is never plated."
        )
    return found.found()


def _is_plated(screw: Fastener) -> bool:
    words = " ".join(screw.words).casefold().replace("zinc flake", "").replace("zinc-flake", "")
    return any(word.startswith(_PLATINGS) or "plated" in word for word in words.split())


def _lengths(mine: float | None, theirs: float | None, found: Differences) -> None:
    if mine == theirs:
        return
    if mine is None or theirs is None:
        found.ask("A length is written on one side only: measure it.")
    else:
        found.refuse(f"length {mine:g} mm: the offered one has {theirs:g} mm")


def _classes(mine: str | None, theirs: str | None, found: Differences, *, is_nut: bool) -> None:
    if mine == theirs:
        if mine is None:
            found.conditions.append("No property class is written on either: strength is not told.")
        return
    if theirs is None:
        found.refuse(f"class {mine}: the offered one has none, and unmarked counts as the lowest")
    elif mine is None:
        found.ask(
            "The wanted class is not written: find it before fitting, a weak-link bolt must not be"
            " strengthened.",
            gained=f"class {theirs}",
        )
    else:
        _other_class(mine, theirs, found, is_nut=is_nut)


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


def _other_class(mine: str, theirs: str, found: Differences, *, is_nut: bool) -> None:
    for order in _ORDERED_CLASSES:
        if mine in order and theirs in order:
            if {mine, theirs} == _CROSSED:
                break
            if order.index(theirs) < order.index(mine):
                found.refuse(f"class {mine}: {theirs} is weaker")
            else:
                found.ask(_stronger(mine, theirs, is_nut=is_nut), gained=f"class {theirs}")
            return
    found.at_best(StandIn.UNKNOWN)
    found.conditions.append(
        f"Neither of {mine} and {theirs} is the stronger in every way by its name: compare proof"
        " and tensile strength and hardness."
    )


def compare_shaft_seals(wanted: ShaftSeal, offered: ShaftSeal) -> Comparison:
    """Three sizes, then the lip: hand of its ribs, dust lip, casing, material."""
    found = Differences()
    for named, mine, theirs in (
        ("shaft", wanted.shaft, offered.shaft),
        ("housing", wanted.housing, offered.housing),
        ("width", wanted.width, offered.width),
    ):
        if mine != theirs:
            found.refuse(f"{named} {mine:g} mm: the offered one has {theirs:g} mm")
    if found.outcome is StandIn.NO:
        return found.found()
    _spin(wanted.spin, offered.spin, found)
    if wanted.has_dust_lip != offered.has_dust_lip:
        found.ask(
            "A dust lip is on one side only, or not said: without one dirt comes in, with one it"
            " needs room, grease and its own track on the shaft.",
            gained="dust lip" if offered.has_dust_lip else "",
            lost="dust lip" if wanted.has_dust_lip else "",
        )
    _words("casing", wanted.lip_type, offered.lip_type, found)
    _words("lip material", wanted.material, offered.material, found)
    if set(wanted.words) != set(offered.words):
        found.ask("What is written beside the sizes differs.")
    if offered.spin is None:
        found.conditions.append(
            "Arrows or slanted ribs on the lip pump oil back for one direction of rotation only;"
            " the two ends of a shaft need opposite hands. Look for them on the old seal."
        )
    return found.found()


def _spin(mine: str | None, theirs: str | None, found: Differences) -> None:
    if mine == theirs:
        return
    if mine is not None and theirs is not None and "either" not in {mine, theirs}:
        found.refuse(f"ribs for {mine}-hand rotation: the offered one is for {theirs}-hand")
    elif theirs is None:
        found.ask(
            "Size equal, function not proven: the wanted seal has ribs for one direction of"
            " rotation. Take a plain lip only knowingly.",
            lost=f"ribs for {mine} rotation",
        )
    elif theirs == "either":
        found.ask("The offered lip serves both directions; ribs of one hand pump more.")
    else:
        found.ask(
            f"The offered lip serves {theirs}-hand rotation only: see which way the shaft turns.",
            gained=f"ribs for {theirs} rotation",
        )


def _words(named: str, mine: str | None, theirs: str | None, found: Differences) -> None:
    if mine == theirs:
        if mine is None and named.endswith("material"):
            found.conditions.append(
                f"The {named} is written on neither: choose it by fluid and temperature."
            )
        return
    found.ask(
        f"The {named} differs or is written on one side only: {mine or 'not said'} against"
        f" {theirs or 'not said'}.",
        gained=f"{named} {theirs}" if theirs else "",
        lost=f"{named} {mine}" if mine else "",
    )


def compare_o_rings(wanted: ORing, offered: ORing) -> Comparison:
    """Sizes within the moulding tolerance, then material and hardness."""
    found = Differences()
    apart = abs(wanted.inside - offered.inside)
    if abs(wanted.section - offered.section) > _SECTION_STEP + 1e-9:
        found.refuse(f"section {wanted.section:g} mm: the offered one has {offered.section:g} mm")
    if apart > max(_INSIDE_STEP, _INSIDE_SHARE * wanted.inside) + 1e-9:
        found.refuse(
            f"inside diameter {wanted.inside:g} mm: the offered one has {offered.inside:g} mm"
        )
    if found.outcome is StandIn.NO:
        return found.found()
    if (wanted.inside, wanted.section) != (offered.inside, offered.section):
        found.ask(
            f"{wanted.inside:g} x {wanted.section:g} against {offered.inside:g} x"
            f" {offered.section:g} mm: within the tolerance of moulded rings, yet check squeeze and"
            " stretch in the groove."
        )
    _words("material", wanted.material, offered.material, found)
    if wanted.hardness != offered.hardness:
        found.ask("The hardness differs or is written on one side only.")
    if set(wanted.words) != set(offered.words):
        found.ask("The colour differs or is written on one side only: it may stand for a material.")
    return found.found()


def section_class(section: float) -> float:
    """Return the section, mm, by which O-rings that serve the same gland are gathered."""
    nearest = min(_SECTION_CLASSES, key=lambda one: abs(one - section))
    return nearest if abs(nearest - section) <= _SECTION_STEP else round(section, 2)


def compare_retaining_rings(wanted: RetainingRing, offered: RetainingRing) -> Comparison:
    """Shaft or bore, nominal size and thickness must be the same."""
    found = Differences()
    if wanted.is_external is not offered.is_external:
        found.refuse("one is for a shaft, the other for a bore")
    _sizes(
        found,
        ("nominal size", wanted.nominal, offered.nominal),
        ("thickness", wanted.thickness, offered.thickness),
    )
    if wanted.standard != offered.standard:
        found.ask(f"{wanted.standard} against {offered.standard}: compare the lugs and the height.")
    _material_words(wanted.words, offered.words, found)
    return found.found()


def compare_keys(wanted: Key, offered: Key) -> Comparison:
    """Width and height must be the same; ends and length are asked after."""
    found = Differences()
    _sizes(
        found,
        ("width", wanted.width, offered.width),
        ("height", wanted.height, offered.height),
    )
    if found.outcome is StandIn.NO:
        return found.found()
    mine, theirs = wanted.length, offered.length
    if mine is not None and theirs is not None and theirs > mine:
        found.ask(f"Longer by {theirs - mine:g} mm: to be cut to the keyway.")
    else:
        _lengths(mine, theirs, found)
    if wanted.form != offered.form:
        found.ask("The form of the ends differs or is not written: round ends need a round keyway.")
    if wanted.standard != offered.standard:
        found.ask(f"{wanted.standard} against {offered.standard}: compare the tolerances.")
    _material_words(wanted.words, offered.words, found)
    return found.found()


def compare_shims(wanted: Shim, offered: Shim) -> Comparison:
    """Inside, outside and thickness must be the same; a supporting ring is the stiffer one."""
    found = Differences()
    _sizes(
        found,
        ("inside diameter", wanted.inside, offered.inside),
        ("outside diameter", wanted.outside, offered.outside),
        ("thickness", wanted.thickness, offered.thickness),
    )
    if wanted.is_supporting and not offered.is_supporting:
        found.refuse("supporting ring: a shim bends under a retaining ring's load")
    elif offered.is_supporting and not wanted.is_supporting:
        found.ask("A supporting ring is made to wider limits than a shim: measure its thickness.")
    _material_words(wanted.words, offered.words, found)
    return found.found()


def _material_words(mine: tuple[str, ...], theirs: tuple[str, ...], found: Differences) -> None:
    if set(mine) != set(theirs):
        found.ask(
            "Material or finish differs or is written on one side only: stainless steel, brass and"
            " bronze are softer than the usual steel, plain steel rusts."
        )


def _sizes(found: Differences, *compared: tuple[str, float, float]) -> None:
    for named, mine, theirs in compared:
        if mine != theirs:
            found.refuse(f"{named} {mine:g} mm: the offered one has {theirs:g} mm")
