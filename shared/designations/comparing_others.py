"""Whether a seal, ring, key or shim may take another's place, by designation alone."""

from typing import Final

from shared.designations.comparing_model import Differences
from shared.designations.model import (
    Comparison,
    Key,
    ORing,
    RetainingRing,
    ShaftSeal,
    Shim,
    StandIn,
)
from shared.designations.shaft_seals import ARROW

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
    if wanted.spin is offered.spin is None and ARROW in wanted.words and ARROW in offered.words:
        found.ask("Both bear an arrow, and which way it points is written on neither.")
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
            found.ask(f"The {named} is written on neither: choose it by fluid and temperature.")
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


def _lengths(mine: float | None, theirs: float | None, found: Differences) -> None:
    if mine is None or theirs is None:
        sides = "neither" if mine is theirs else "one side only"
        found.ask(f"A length is written on {sides}: measure it.")
    elif mine != theirs:
        found.refuse(f"length {mine:g} mm: the offered one has {theirs:g} mm")


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
    if wanted.form != offered.form or wanted.form is None:
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
