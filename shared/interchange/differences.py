"""What a part that a standard names the same may not do the same: duty, told in words.

Equal sizes say nothing of load, speed, material, clearance or sealing beyond what is written. The
effects are common practice of the trade, no source.
"""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Final

from shared.designations.bearing_marks import BORE, SEALS
from shared.designations.model import Bearing, Designated, ORing, ShaftSeal, StandIn
from shared.interchange.equals import Equal, named_by
from shared.interchange.model import DutyAspect, DutyDifference, Sameness

_READ_AT_ONCE: Final = 4096
_GAINS: Final = "gains "
_LACKS: Final = "lacks "

_ASPECTS: Final = (
    (("clearance",), DutyAspect.CLEARANCE),
    (("material", "hardness", "cage"), DutyAspect.MATERIAL),
    (("seal", "shield", "lip", "rib"), DutyAspect.SEALING),
    (("steel", "heat", "stabilised"), DutyAspect.MATERIAL),
    (("speed", "tolerance class", "accuracy"), DutyAspect.SPEED),
    (("load", "contact angle", "class "), DutyAspect.LOAD),
    (("groove", "ring", "bore", "width"), DutyAspect.FORM),
)
"""Words of what differs, the telling ones first."""

_EFFECTS: Final = {
    DutyAspect.CLEARANCE: "It runs with more or less play, and may grow tight or loose when warm.",
    DutyAspect.SEALING: "Dirt, water and grease are kept apart in another way.",
    DutyAspect.MATERIAL: "Heat, fluid and wear act on it in another way.",
    DutyAspect.SPEED: "It runs more or less true, which counts at speed.",
    DutyAspect.LOAD: "It may carry more or less.",
    DutyAspect.FORM: "What holds it or seals on it may not find the same shape.",
    DutyAspect.OTHER: "What comes of it is not told by the designation.",
}


def differences_of(equal: Equal) -> tuple[DutyDifference, ...]:
    """What a generic equal has besides the part called for, or lacks, each with its effect."""
    return tuple(_difference(note) for note in equal.notes if _is_difference(note))


def conditions_of(equal: Equal) -> tuple[str, ...]:
    """What is to be looked at before a generic equal is fitted, as its comparison says."""
    return tuple(note for note in equal.notes if not _is_difference(note))


@lru_cache(maxsize=_READ_AT_ONCE)
def duty_to_check(wanted: str, offered: str) -> tuple[str, ...]:
    """What equal designations of bearings and seals leave open, as one line to check.

    Of a designation that no standard here reads, nothing but its letters is known.
    """
    part, other = named_by(wanted), named_by(offered)
    if part is None or other is None:
        return (
            f"'{offered}' is the same by its letters alone: compare sizes, load, speed, material, "
            "clearance and sealing as far as they matter here.",
        )
    open_points = list(dict.fromkeys((*_not_told(part), *_not_told(other))))
    if not open_points:
        return ()
    return (
        "Same size is not same duty: the designation does not tell "
        f"{', '.join(open_points)}. Compare them before fitting.",
    )


def sameness_by_name(
    wanted: str, offered: str, equal: Equal
) -> tuple[Sameness, Sameness, Sameness]:
    """Form, fit and function of a generic equal, as far as its name tells.

    A designation that no standard here reads tells none of them. Function is the same only where
    the name leaves nothing of the duty open.
    """
    if named_by(wanted) is None or named_by(offered) is None:
        return Sameness.NOT_TOLD, Sameness.NOT_TOLD, Sameness.NOT_TOLD
    is_whole = equal.outcome is StandIn.SAME and not duty_to_check(wanted, offered)
    return Sameness.SAME, Sameness.SAME, Sameness.SAME if is_whole else Sameness.NOT_TOLD


def _is_difference(note: str) -> bool:
    return note.startswith((_GAINS, _LACKS))


def _difference(note: str) -> DutyDifference:
    aspect = _aspect(note.casefold())
    effect = _EFFECTS[aspect]
    if aspect is DutyAspect.SPEED and note.startswith(_GAINS) and "finer" in note:
        effect = "It runs truer, which does no harm."
    return DutyDifference(aspect, note, effect)


def _aspect(note: str) -> DutyAspect:
    for words, aspect in _ASPECTS:
        if any(word in note for word in words):
            return aspect
    return DutyAspect.OTHER


def _not_told(part: Designated) -> Iterable[str]:
    if isinstance(part, Bearing):
        return _bearing_leaves_open(part)
    if isinstance(part, ShaftSeal):
        return _seal_leaves_open(part)
    if isinstance(part, ORing):
        return _o_ring_leaves_open(part)
    return ()


def _bearing_leaves_open(part: Bearing) -> Iterator[str]:
    told = {mark.family for mark in part.marks if mark.is_known} - {BORE}
    yield "load rating"
    yield "limiting speed"
    if not told & {"material", "cage"}:
        yield "material of rings and cage"
    if "clearance" not in told:
        yield "running clearance"
    if SEALS not in told:
        yield "sealing"


def _seal_leaves_open(part: ShaftSeal) -> Iterator[str]:
    yield "pressure"
    yield "limiting speed of the lip"
    if part.material is None:
        yield "lip material"
    if part.has_dust_lip is None or part.spin is None:
        yield "sealing (dust lip, direction of rotation)"


def _o_ring_leaves_open(part: ORing) -> Iterator[str]:
    yield "pressure"
    if part.material is None:
        yield "material"
    if part.hardness is None:
        yield "hardness"
