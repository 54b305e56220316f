"""What a shop's own words add to a screw's, rod's or nut's designation, and what contradicts it."""

import re
from dataclasses import replace
from functools import lru_cache
from typing import Final, NamedTuple

from shared.designations.fastener_names import name_of
from shared.designations.model import Fastener, FastenerForm, Hand
from shared.designations.reading import read_fastener
from shared.designations.words import WORDS
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.asked import ItemAsked
from shared.standards.property_classes import ClassFamily, family_of

TIPS: Final = frozenset("dog cone cup point pointed tip tipped rounded chamfered".split())
_TOKEN: Final = re.compile(r"[a-z]+(?:-[a-z]+)*")
_LEFT: Final = re.compile(r"\b(?:lh|left[ -]?(?:hand(?:ed)?|thread(?:ed)?))\b", re.IGNORECASE)
_NOT_ADDED: Final = frozenset(
    "with and for of new used special short medium free part full cut".split()
)
_FULL: Final = re.compile(r"\bfull[ -]thread(?:ed)?\b", re.IGNORECASE)
"""A box may be full too: only of a thread does a name say that it goes to the head."""
_CUT: Final = re.compile(r"\b(?:cut(?![ -]thread)|shortened|sawn|trimmed|cropped)\b", re.IGNORECASE)
_SPOILT: Final = frozenset(
    "bent damaged cracked worn stripped scrap rusty rusted corroded pitted stretched necked"
    " defective faulty broken welded bad reject rejects rejected suspect overtightened".split()
)
_SOFT: Final = frozenset("brass bronze copper nylon plastic".split())
_ONLY_OUTSIDE: Final = frozenset("plated plating coated coating patch locking head cap".split())
"""Words beside a soft metal that say that the screw itself is of another."""
_SET_SCREW_CLASS: Final = re.compile(r"\b(?:14|22|33|45)H\b", re.IGNORECASE)
_BENT_BOLT: Final = re.compile(r"\b[ujt][ -]?bolts?\b", re.IGNORECASE)
_PLAIN_OF_A_BAR: Final = frozenset({"welded", "scrap"})
"""A tube may be welded, and a bar from the scrap; not so a screw."""
_STAINLESS_MARK: Final = re.compile(
    r"\b(?:A[1-5](?:-[0-9]{2,3})?|V[24]A|inox|18-8|30[34]L?|316L?)\b", re.IGNORECASE
)
_SIZE: Final = re.compile(
    r"\bM([0-9]+(?:\.[0-9]+)?)((?: ?[x×] ?[0-9]+(?:\.[0-9]+)?)*)(?![0-9]|\.[0-9])"
    r"(?! ?(?:m|cm|in|inch|inches)\b| ?\")"
)
"""A metric size in mm, as a name writes it."""
_COMMA: Final = re.compile(r"(?<=[0-9]),(?=[0-9])")
_CLASS: Final = re.compile(r"(?<![0-9.x])(?:[34568]\.[68]|9\.8|10\.9|12\.9)(?![0-9.]| ?mm)")
_HEADED: Final = frozenset({"hex", "hexagon"})
_HEADLESS: Final = frozenset({"socket", "grub", "set", "setscrew"})
_OTHER_SCREWS: Final = frozenset(
    "wood self-tapping tapping self-drilling drywall chipboard coach lag anchor hanger toggle"
    " u-bolt j-bolt t-bolt eyebolt hook eye ring knob lever foot feet mount buffer spacer standoff"
    " handle insert swivel leveling levelling nipple thread-forming thread-rolling thread-cutting"
    " tri-lobular plunger expansion vented furniture turnbuckle clevis plow plough printed barrel"
    " break-off plug".split()
)
_OTHER_METALS: Final = frozenset(
    "pom ptfe peek ceramic polyamide acetal polypropylene polycarbonate iron"
    " magnesium fibreglass fiberglass rubber wooden".split()
)
"""Metals and plastics that no designation's words hold; a name may."""
_OTHER_ALLOY: Final = re.compile(
    r"\b(?:nickel|zinc)[ -](?:base|alloy|copper|die[ -]?cast\w*)\b(?![ -](?:plat|coat))",
    re.IGNORECASE,
)


class Classed(NamedTuple):
    """A fastener with the class that is counted, and why where it is not what was written."""

    fastener: Fastener
    notes: tuple[str, ...] = ()


def why_words_contradict(item: ItemAsked, fastener: Fastener) -> str | None:
    """Return why a shop's words and the designation cannot both be true; None: they can."""
    said = f"{item.kind} {item.name}"
    if _LEFT.search(said) and fastener.hand is Hand.RIGHT:
        return f"its name says left-hand and {fastener.canonical} does not. State it as LH."
    if not _agrees(said, fastener):
        return f"its name says another size than {fastener.canonical}. Measure it."
    is_measured = item.size is not None or any(
        feature.kind is FeatureKind.LENGTH for feature in item.features
    )
    if _CUT.search(said) and not is_measured:
        return "its name says that it was cut. State its length as it is."
    if _BENT_BOLT.search(said) or _SET_SCREW_CLASS.search(f"{said} {item.property_class or ''}"):
        return "it is a bent bolt or a set screw without a head: no screw to turn hard."
    alloys = {found.casefold() for found in _OTHER_ALLOY.findall(said)}
    words = {part for word in _words(said) for part in (word, *word.split("-"))}
    # A drawer holds several of a kind: eyebolts are an eyebolt.
    words |= {word.removesuffix("s") for word in words}
    for found, told in (
        (words & _SPOILT, "its name says {}: what it still bears nobody knows."),
        ((words & _OTHER_METALS) | alloys, "the house has no strength of screws of {}."),
        (words & _OTHER_SCREWS, "its name says {}: that is no screw for a tapped hole."),
    ):
        if found:
            return told.format(", ".join(sorted(found)))
    return None


def why_spoilt(item: ItemAsked) -> str | None:
    """Return why a bar, tube, washer or ring is not counted on, as its words tell."""
    words = set(_words(f"{item.kind} {item.name}")) & (_SPOILT - _PLAIN_OF_A_BAR)
    return f"its name says {', '.join(sorted(words))}." if words else None


def with_words(item: ItemAsked, fastener: Fastener, *, is_stainless: bool) -> Fastener:
    """Return the fastener with the words of kind, name and material that its designation lacks.

    ``is_stainless``: its material is, whatever it is called. "Brass screw" must not count as steel
    because the designation is bare. The words of a point on a screw with a hexagon head are left
    out: there they do not say that it has no head.
    """
    said = f"{item.kind} {item.name} {item.material or ''}".casefold()
    own = " ".join(fastener.words).casefold()
    had = set(_TOKEN.findall(own))
    added = [
        word
        for word in dict.fromkeys(_words(said))
        if word in WORDS and word not in had and word not in _NOT_ADDED
    ]
    if _FULL.search(said) and "full" not in had:
        added.append("full")
    is_marked = _STAINLESS_MARK.search(f"{item.kind} {item.name}") is not None
    if (is_stainless or is_marked) and "stainless" not in had and "stainless" not in added:
        added.append("stainless")
    words = (*fastener.words, *added)
    every = set(_TOKEN.findall(" ".join(words).casefold()))
    if every & _HEADED and not every & _HEADLESS:
        words = tuple(word for word in words if not _is_of_tip(word))
    if words == fastener.words:
        return fastener
    named = replace(fastener, words=words)
    return replace(named, canonical=name_of(named))


def _words(said: str) -> list[str]:
    """Return the words of a text; one of no list that has a hyphen is two: countersunk-head."""
    return [
        part
        for word in _TOKEN.findall(_POINTS_OF_A_HEAD.sub(" ", said.casefold()))
        for part in ((word,) if word in WORDS or word in _OTHER_SCREWS else word.split("-"))
    ]


def _agrees(said: str, fastener: Fastener) -> bool:
    """Whether the metric sizes that a name writes are those of the designation."""
    own = (fastener.thread.major, fastener.thread.pitch, fastener.length)
    for major, rest in _SIZE.findall(_COMMA.sub(".", said)):
        if abs(float(major) - fastener.thread.major) > _ALIKE:
            return False
        for figure in map(float, _FIGURE.findall(rest)):
            is_length = fastener.length is None and figure > _MOST_PITCH
            if not is_length and not any(
                size is not None and abs(figure - size) <= _ALIKE for size in own[1:]
            ):
                return False
    return True


_POINTS_OF_A_HEAD: Final = re.compile(r"\b12[ -]point\b")
_FIGURE: Final = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_ALIKE: Final = 0.01
_MOST_PITCH: Final = 6.0


def _is_of_tip(word: str) -> bool:
    return set(_TOKEN.findall(word.casefold())) <= TIPS and bool(word)


def with_class(written: str | None, fastener: Fastener, name: str = "") -> Classed | str:
    """Return the fastener with the class that its item states beside the designation.

    Two classes of one family contradict: none is believed, and the lowest of the size counts; so
    it is with one that its ``name`` writes otherwise, or that is said to be unmarked. Two of
    several families: why it is not counted at all.
    """
    found = _with_stated(written, fastener)
    if isinstance(found, str) or found.fastener.property_class is None:
        return found
    own, others = found.fastener.property_class, set(_CLASS.findall(name))
    words = set(_words(name))
    soft = words & _SOFT
    if soft and not words & _ONLY_OUTSIDE:
        return f"its name says {', '.join(sorted(soft))}, and class {own} is not of that."
    if "unmarked" in words_of(fastener):
        note = f"Class {own} is stated of a piece said to be unmarked: the lowest counts."
    elif others - {own} and family_of(own) is ClassFamily.STEEL:
        note = f"Its name says {', '.join(sorted(others))} and class {own} is stated: the lowest"
        note += " counts."
    else:
        return found
    return Classed(_classed(fastener, None), (*found.notes, note))


def _with_stated(written: str | None, fastener: Fastener) -> Classed | str:
    if not written:
        return Classed(fastener)
    stated = _class_read(written, fastener.thread.designation, fastener.form)
    own = fastener.property_class
    if stated is None:
        note = f"The class {written[:20]} is not read: counts as the lowest."
        return Classed(_classed(fastener, None), (note,))
    if own is None or own == stated:
        return Classed(_classed(fastener, stated))
    if family_of(own) is not family_of(stated):
        return f"{own} and {stated} are classes of different metals. Read the mark on it."
    note = f"Two classes are stated, {own} and {stated}: neither is believed, the lowest counts."
    return Classed(_classed(fastener, None), (note,))


def _classed(fastener: Fastener, name: str | None) -> Fastener:
    changed = replace(fastener, property_class=name)
    return replace(changed, canonical=name_of(changed))


@lru_cache(maxsize=1024)
def _class_read(written: str, thread: str, form: FastenerForm) -> str | None:
    """Return a class as designations have it: "gr 5" is SAE 5."""
    what = " nut" if form is FastenerForm.NUT else ""
    for text in (f"{thread}{what} {written}", f"{thread}{what} class {written}"):
        try:
            found = read_fastener(text).property_class
        except InvalidInput:
            continue
        if found is not None:
            return found
    return None
