"""Whether an offered bearing may take the place of a wanted one, by number and marks alone.

Directions follow what a mark does, from memory of the trade (common practice): a seal may be
gained where grease suits, never lost; clearance, cage and outer-ring features are asked after;
a finer tolerance class serves. Equal boundary dimensions are necessary, not sufficient.
"""

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from shared.designations.bearing_marks import BORE, SEALS
from shared.designations.bearing_sizes import BY_SIZES
from shared.designations.bearings import OLD_FORM
from shared.designations.comparing_model import Differences
from shared.designations.described import type_conflict
from shared.designations.model import Bearing, Comparison, Mark, StandIn

NOT_SUFFICIENT: Final = (
    "Equal sizes are necessary, not sufficient: covers, snap rings, shields and seal lands may"
    " belong to one variant. Compare the parts side by side, or order bearing and cover of one"
    " variant."
)
_ONE_MAKER: Final = (
    "'{}' on both is no mark that the whole trade shares: only where one maker wrote both does it"
    " say the same."
)
_CLEARANCES: Final = ("C1", "C2", "CN", "C3", "C4", "C5")
_WIDTH_CLASS: Final = "P6X"
_CLASSES: Final = ("PN", "P6", "P5", "P4", "P2")
_HEATS: Final = ("", "S0", "S1", "S2", "S3")
_POLYAMIDE: Final = frozenset({"TN", "TN9", "TV", "TVH", "TVP"})
_SHIELDS: Final = frozenset({"Z", "2Z"})
_GAPS: Final = _SHIELDS | {"RZ", "2RZ"}
"""Closures that do not rub."""
_TWO_SIDED: Final = frozenset({"DD", "LLH"})
"""Marks of two closures that do not begin with a 2."""
_TWO_MEANINGS: Final = frozenset({"DD", "RS2"})
"""Marks of which makers differ: shields or seals, one or two."""
_MAKERS_DIFFER: Final = _TWO_MEANINGS | {"A", "W", "2RS2"}
"""Marks that say another thing with another maker, on both sides too."""
_SAYING_NOTHING: Final = frozenset({"new", "metric", "radial", "number", "row"})
_ONE_ROW_ANGULAR: Final = "angular contact ball bearing"
_RINGS: Final = frozenset({"cone", "cup"})
_UNSTATED: Final = MappingProxyType({"clearance": "CN", "tolerance": "PN"})


def compare_bearings(wanted: Bearing, offered: Bearing) -> Comparison:
    """Return the outcome for ``offered`` in the place of ``wanted``, with what to check."""
    found = Differences()
    if not _same_number(wanted, offered, found):
        return found.found()
    if _is_old_form(wanted) is not _is_old_form(offered):
        found.ask("One number is in the old form of three figures: compare the sizes.")
    if wanted != offered and BY_SIZES in (*wanted.notes, *offered.notes):
        found.ask(BY_SIZES)
    if wanted.type_name.startswith("tapered") and _of(wanted, "tolerance") != _of(
        offered, "tolerance"
    ):
        found.ask("Classes of tapered bearings differ in the limits of the assembled width too.")
    for family, rule in _RULES:
        mine, theirs = _of(wanted, family), _of(offered, family)
        if mine != theirs:
            rule(mine, theirs, found)
    if wanted.canonical != offered.canonical:
        _compare_unknown(wanted, offered, found)
        _compare_words(wanted, offered, found)
    else:
        _compare_one_name(wanted, found)
    if found.outcome in {StandIn.SERVES, StandIn.ON_CONDITION}:
        found.conditions.append(NOT_SUFFICIENT)
    return found.found()


def _compare_one_name(part: Bearing, found: Differences) -> None:
    """What one name on both sides leaves open."""
    for mark in part.marks:
        if not mark.is_known or mark.mark in _MAKERS_DIFFER:
            found.ask(_ONE_MAKER.format(mark.mark))
        elif mark.family == "pairing":
            found.conditions.append(
                "Matched bearings are ground to each other: change all of the set, from one box."
            )
    if part.type_name == _ONE_ROW_ANGULAR and not _of(part, "design"):
        found.ask("The contact angle is written on neither: compare it, makers differ.")
    if "used" in part.words:
        found.ask("A used bearing is not told by its number: look at how it runs.")


def _compare_words(wanted: Bearing, offered: Bearing, found: Differences) -> None:
    """What is written beside the numbers, where it is more than the kind of bearing."""
    if not (_is_half(wanted) or _is_half(offered)):
        asked, given = _RINGS & set(wanted.words), _RINGS & set(offered.words)
        if given and given != asked:
            found.refuse(f"the whole bearing: the offered one is the {' and '.join(given)} alone")
            return
        if asked and not given:
            found.ask(
                "Fit cup and cone of the set together: they wear in as a pair.",
                gained="the other half of the set",
            )
            return
    said = _words_beside(wanted) ^ _words_beside(offered)
    kind = (set(wanted.type_name.replace(",", "").split()) | _SAYING_NOTHING) - {"open", "groove"}
    if said - kind:
        found.ask(
            "What is written beside the number (sealed, open, used) differs: compare the parts."
        )
    for part in (wanted, offered):
        conflict = type_conflict(" ".join(part.words), part.basic, [part.type_name])
        if conflict is not None:
            found.at_best(StandIn.UNKNOWN)
            found.conditions.append(conflict)


def _words_beside(part: Bearing) -> set[str]:
    """The words, without those of a deep groove: a groove alone may be that of a snap ring."""
    words = set(part.words)
    return words - {"groove", "grooved"} if words & {"deep", "ball"} else words


def bearing_key(part: Bearing) -> str:
    """Return the coarse key: bearings that could stand in for each other share it.

    Inch tapered numbers end in two figures that tell cone from cup: a set, its cone and its cup
    share what stands before them.
    """
    first = part.basic.partition("/")[0]
    if part.type_name.startswith("tapered") and (_is_half(part) or _is_inch_set(part)):
        return f"bearing inch tapered {first.rstrip('ABCSX')[:-2]}"
    bore = "".join(f" bore {mark.mark}" for mark in part.marks if mark.family == BORE)
    return f"bearing {part.basic}{bore}"


def _is_old_form(part: Bearing) -> bool:
    return any(note.startswith(OLD_FORM) for note in part.notes)


def _is_half(part: Bearing) -> bool:
    return part.type_name.endswith("alone")


def _is_inch_set(part: Bearing) -> bool:
    before, _, behind = part.basic.partition("/")
    return len(behind) > len("22") and len(before) > len("320") - 1


def _same_number(wanted: Bearing, offered: Bearing, found: Differences) -> bool:
    if _halves(wanted, offered, found):
        return found.outcome is not StandIn.NO
    if wanted.type_name != offered.type_name:
        found.refuse(
            f"kind, {wanted.type_name}: the offered one is of the kind {offered.type_name}"
        )
        return False
    for dimension in ("bore", "outside", "width"):
        mine, theirs = getattr(wanted, dimension), getattr(offered, dimension)
        if mine is not None and theirs is not None and mine != theirs:
            named = "outside diameter" if dimension == "outside" else dimension
            found.refuse(f"{named} {mine:g} mm: the offered one has {theirs:g} mm")
    if found.outcome is StandIn.NO:
        return False
    if wanted.basic != offered.basic:
        found.refuse(f"number {wanted.basic}: {offered.basic} is another plan")
        return False
    if wanted.outside is None:
        found.conditions.append("No table of the house holds the number: measure all three sizes.")
    return True


def _halves(wanted: Bearing, offered: Bearing, found: Differences) -> bool:
    """Cone, cup or set of an inch tapered bearing; False where neither is a half."""
    if not (_is_half(wanted) or _is_half(offered)):
        return False
    mine, theirs = wanted.basic.split("/"), offered.basic.split("/")
    missing = [half for half in mine if half not in theirs]
    if missing or wanted.type_name[:7] != offered.type_name[:7]:
        found.refuse(f"{' and '.join(missing) or wanted.basic} is not in the offered part")
    elif len(theirs) > len(mine):
        found.ask(
            "Fit cup and cone of the set together: they wear in as a pair.",
            gained="the other half of the set",
        )
    return True


def _of(part: Bearing, family: str) -> tuple[Mark, ...]:
    own = tuple(mark for mark in part.marks if mark.family == family and mark.is_known)
    unstated = _UNSTATED.get(family)
    return tuple(mark for mark in own if mark.mark != unstated)


def _said(marks: tuple[Mark, ...]) -> str:
    return " and ".join(mark.meaning for mark in marks)


def _count(seals: tuple[Mark, ...]) -> int:
    return sum(2 if seal.mark.startswith("2") or seal.mark in _TWO_SIDED else 1 for seal in seals)


def _seals(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    unsure = sorted({seal.mark for seal in (*mine, *theirs)} & _TWO_MEANINGS)
    if unsure and mine and theirs:
        found.ask(
            f"Makers differ in what {' and '.join(unsure)} means: see how both sides of both"
            " bearings are closed.",
            gained=_said(theirs),
            lost=_said(mine),
        )
        return
    if _count(theirs) < _count(mine):
        found.refuse(f"{_said(mine)}: the offered one has {_said(theirs) or 'none'}")
        return
    gained, lost = _said(theirs), _said(mine)
    if _count(theirs) > _count(mine):
        found.ask(
            "Only where the bearing lives on its own grease: a seal or shield keeps out the oil"
            " that fed an open bearing. Some take one off the oil side, by the shop's decision.",
            gained=gained,
            lost=lost,
        )
    else:
        found.ask("Compare how both sides are closed and to which side dirt comes.",
                  gained=gained, lost=lost)  # fmt: skip
    rubs_now = any(seal.mark not in _GAPS for seal in theirs)
    rubbed = any(seal.mark not in _GAPS for seal in mine)
    if rubs_now and (not rubbed or not mine):
        found.ask(
            "Contact seals rub: less speed, more drag; the lip must bear the heat and the fluid."
        )
    if rubbed and not rubs_now:
        found.ask("A gap closure keeps out less water and dust than a contact seal.")


def _outer_ring(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    if mine:
        found.ask(
            "Accept it only if the outer-ring feature (groove, ring or slot) is not used: look at"
            " what holds the bearing in its place.",
            lost=f"outer-ring feature: {_said(mine)}",
        )
    if theirs:
        found.ask(
            "See that the groove, ring or slot finds room and that nothing seals on the outer"
            " ring there.",
            gained=f"outer-ring feature: {_said(theirs)}",
        )


def _clearance(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    asked, given = mine[0].mark if mine else "CN", theirs[0].mark if theirs else "CN"
    if asked not in _CLEARANCES or given not in _CLEARANCES:
        text = "The clearance groups differ: ask the maker whether it matters here."
    elif _CLEARANCES.index(given) < _CLEARANCES.index(asked):
        text = (
            f"{given} has less running clearance than {asked}: with a tight fit or a hot shaft it"
            " may run without clearance and seize. Only where neither is the case."
        )
    else:
        text = (
            f"{given} has more running clearance than {asked}: more play and noise, and a shaft"
            " guided less closely; usual with tight fits and heat."
        )
    found.ask(
        text,
        gained=f"clearance {given}" if theirs else "",
        lost=f"clearance {asked}" if mine else "",
    )


def _tolerance(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    asked, given = mine[0].mark if mine else "PN", theirs[0].mark if theirs else "PN"
    if _WIDTH_CLASS in {asked, given}:
        found.ask(
            "6X narrows the limits of the widths, not those of bore and outside diameter: compare"
            " both classes where the width sets the clearance.",
            gained=f"tolerance class {given}" if theirs else "",
            lost=f"tolerance class {asked}" if mine else "",
        )
        return
    if _CLASSES.index(given) > _CLASSES.index(asked):
        found.better(f"finer tolerance class {given}")
        return
    found.ask(
        "Only where ordinary running accuracy is enough: never in a spindle that needs its class.",
        lost=f"tolerance class {asked}",
    )


def _heat(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    asked, given = mine[0].mark if mine else "", theirs[0].mark if theirs else ""
    if _HEATS.index(given) > _HEATS.index(asked):
        found.ask(
            "Rings stabilised for heat are somewhat softer and may carry less: compare the load"
            " ratings (from memory).",
            gained=_said(theirs),
            lost=_said(mine),
        )
        return
    found.ask(
        "Only where the rings stay below 120 °C (common practice).",
        gained=_said(theirs),
        lost=_said(mine),
    )


def _cage(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    soft = any(mark.mark in _POLYAMIDE for mark in theirs)
    text = "Another cage: heat, oil additives, speed and noise differ."
    if soft:
        text = "A polyamide cage ages above about 120 °C and in some gear oils (common practice)."
    found.ask(text, gained=_said(theirs), lost=_said(mine))


def _bore_form(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    if mine:
        found.refuse(f"{_said(mine)}: the offered one has another bore")
    else:
        found.refuse(f"cylindrical bore: the offered one has a {_said(theirs)}")


def _design(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    found.ask(
        "Another inner design or contact angle: load, preload and stiffness differ; change both"
        " rings, and both bearings of a pair.",
        gained=_said(theirs),
        lost=_said(mine),
    )


def _pairing(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    if mine:
        found.refuse(
            f"{_said(mine)}: the offered one is"
            f" {_said(theirs) or 'single, not ground to stand beside another'}"
        )
    else:
        found.ask(
            "Matched pairs are ground to each other: never mix a single one in.",
            gained=_said(theirs),
            lost=_said(mine),
        )


def _material(mine: tuple[Mark, ...], theirs: tuple[Mark, ...], found: Differences) -> None:
    if any(mark.mark == "W" for mark in (*mine, *theirs)):
        found.ask(
            "W before the number is stainless steel with some makers, a wide bearing with others:"
            " look at the part.",
            gained=_said(theirs),
            lost=_said(mine),
        )
    elif mine:
        found.ask("Only where nothing rusts it.", lost=_said(mine))
    else:
        found.ask(
            "Stainless steel usually carries less: compare the load ratings.", gained=_said(theirs)
        )


def _compare_unknown(wanted: Bearing, offered: Bearing, found: Differences) -> None:
    """Marks of makers, the old form of a number. One unknown mark of two makers may mean two."""
    mine = {mark.mark for mark in wanted.marks if not mark.is_known}
    theirs = {mark.mark for mark in offered.marks if not mark.is_known}
    for mark in sorted(mine ^ theirs):
        where = "wanted" if mark in mine else "offered"
        found.ask(
            f"'{mark}' on the {where} bearing is no mark that the whole trade shares: find out what"
            " it says (seals, grease, clearance, cage) before relying on the match."
        )
    shared = {mark.mark for mark in wanted.marks} & {mark.mark for mark in offered.marks}
    for mark in sorted((mine & theirs) | (shared & _MAKERS_DIFFER)):
        found.ask(_ONE_MAKER.format(mark))


_Rule = Callable[[tuple[Mark, ...], tuple[Mark, ...], Differences], None]
_RULES: Final[tuple[tuple[str, _Rule], ...]] = (
    (SEALS, _seals),
    ("outer ring", _outer_ring),
    ("clearance", _clearance),
    ("tolerance", _tolerance),
    ("cage", _cage),
    ("bore form", _bore_form),
    ("design", _design),
    ("heat", _heat),
    ("pairing", _pairing),
    ("material", _material),
)
