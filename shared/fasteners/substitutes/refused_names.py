"""Names of tools that warn of a use which nothing from the drawer is answered for.

A name is a warning, even where the uses stated say nothing of it. Common practice, no source.
"""

import re
from collections.abc import Iterator
from typing import Final, NamedTuple

from shared.fasteners.model import ToolFunction, ToolUse
from shared.fasteners.substitutes.cautions import plain_name

_STANDS: Final = (
    r"jack ?stands?|axle stands?|safety stands?|support (?:stands?|beams?|bars?)|trestles?"
    r"|(?:engine|gearbox|transmission|subframe|axle|vehicle|cab) (?:support|stand|cradle)s?"
    r"|(?:floor|trolley|bottle|scissor|transmission|gearbox|engine|hydraulic) jacks?"
    r"|jack adapt(?:e|o)rs?"
    r"|(?:safety|engine|cab|body|bed|tipper|bonnet|hood|tailgate) props?"
)
_BY_NAME: Final = (
    (
        ToolUse.LIFTING,
        r"\w*lift(?:s|ing|ed|er|ers)?|hoist\w*|slings?|cranes?|winch\w*|rais(?:e|es|ing)"
        r"|eye ?bolts?|chain (?:blocks?|falls?)",
    ),
    (
        ToolUse.SUSPENDING,
        r"suspend(?:s|ed|ing|er|ers)?|hung|hangs?|hanging"
        r"|(?:engine|motor|gearbox|transmission) hangers?",
    ),
    (ToolUse.WORK_UNDER_LOAD, _STANDS),
    (
        ToolUse.STORED_ENERGY,
        r"accumulators?|gas (?:struts?|springs?)|air springs?|pre ?tensioners?|air ?bags?"
        r"|torsion bars?|capacitors?",
    ),
    (
        ToolUse.HOLDING_PRESSURE,
        r"pressure (?:test|tests|tester|testing|holding|plugs?|caps?)|holding pressure"
        r"|pressuri[sz]\w+|(?:boost )?leak (?:test\w*|down|plugs?|caps?)|burst test\w*"
        r"|proof test\w*|compression test\w*|blanking (?:plates?|plugs?|caps?|flanges?)"
        r"|(?:line|feed|hose|pipe|port|gallery) (?:plugs?|blanks?|caps?)",
    ),
    (
        ToolUse.ELECTRICAL_ISOLATION,
        r"isolation|isolating|insulat(?:ed|ing|ion)|(?:high|live|mains|traction) voltage"
        r"|(?:battery|mains|electrical|service|hv) (?:isolators?|disconnects?)"
        r"|hv (?:battery|cables?|plugs?|connectors?)|lock ?out|live (?:working|parts?|lines?)",
    ),
)  # fmt: skip
_WARNINGS: Final = tuple((use, re.compile(rf"\b({words})\b")) for use, words in _BY_NAME)
_HARMLESS: Final = re.compile(
    r"\b((?:valve|cam|hydraulic|roller) lifters?|lifter bores?|(?:valve|cam|needle) lift"
    r"|lift pumps?|lift ?gates?|fork ?lifts?|lift trucks?|face ?lifts?"
    r"|(?:vibration|sound|noise|heat|thermal) (?:isolation|isolating|insulation|insulating)"
    r"|(?:support|torsion bar|mount) (?:bearings?|bush\w*))\b"
)
"""Parts whose names only sound like it: a valve lifter is lifted by the cam."""
_SPRING: Final = re.compile(r"\b(springs? compress(?:or|ors|ing|ion)?|compress(?:ing)? springs?)\b")
_LOADED_SPRING: Final = re.compile(
    r"(?<!clock )(?<!hair )\bsprings?\b"
    r"(?! (?:pins?|washers?|clips?|dowels?|steel|collets?|bush\w*|eyes?|shackles?|hangers?)\b)"
)
_NO_LOAD: Final = frozenset({ToolFunction.GAUGE, ToolFunction.ALIGN, ToolFunction.GUIDE})
_STAYING: Final = re.compile(
    r"(bolt|screw|nut|stud|pin|clip|key|cotter|circlip|retainer|anchor)s?\Z"
)
_BENCH: Final = re.compile(r"\b(locking|timing|align(?:ing|ment)|dummy|slave) \w+\Z")
_STAYS_IN: Final = (
    (ToolUse.STAYS_IN_BRAKES, r"brakes?|calipers?|drums?"),
    (ToolUse.STAYS_IN_STEERING, r"steering|tie rods?|track rods?|ball joints?"),
    (ToolUse.STAYS_IN_SUSPENSION, r"suspension|struts?|wheels?|hubs?|axles?|control arms?"),
    (
        ToolUse.STAYS_IN_RESTRAINT,
        r"(?:seat|lap) ?belts?|belt anchors?|roll (?:cages?|bars?)|seat (?:rails?|runners?|frames?)"
        r"|restraints?|guards?",
    ),
    (
        ToolUse.STAYS_IN_ROTATING_PART,
        r"prop ?shafts?|drive ?shafts?|flywheels?|pulleys?|fans?|couplings?|rotors?|propellers?"
        r"|crankshafts?|blades?",
    ),
)
_PARTS: Final = tuple((use, re.compile(rf"\b({words})\b")) for use, words in _STAYS_IN)


class Warned(NamedTuple):
    """A word of a name, and the use that it warns of."""

    word: str
    use: ToolUse


def warned_by_name(name: str, function: ToolFunction) -> Iterator[Warned]:
    """Yield what a tool's name warns of, whatever uses are stated."""
    plain = plain_name(name)
    told = _HARMLESS.sub("", plain)
    for use, words in _WARNINGS:
        match = words.search(told)
        if match is not None:
            yield Warned(match.group(), use)
    spring = _SPRING.search(plain)
    if spring is not None and function is not ToolFunction.COMPRESS:
        yield Warned(spring.group(), ToolUse.STORED_ENERGY)
    if function is ToolFunction.RETAIN:
        yield from _stays_in(plain)


def spring_in(name: str, function: ToolFunction) -> str | None:
    """Return the word of a spring that the work may load, whatever the function is called.

    A spring pin or the bush of a leaf spring stores nothing; guiding and gauging load nothing.
    """
    found = None if function in _NO_LOAD else _LOADED_SPRING.search(plain_name(name))
    return None if found is None else found.group()


def _stays_in(plain: str) -> Iterator[Warned]:
    """Yield what a name says that stays: the bolts of a caliper are no tool to retain it."""
    if _STAYING.search(plain) is None or _BENCH.search(plain) is not None:
        return
    for use, words in _PARTS:
        match = words.search(plain)
        if match is not None:
            yield Warned(f"{match.group()} ... {plain.rsplit(maxsplit=1)[-1]}", use)
            return
