"""A bar across screws bears on the shaft's end; turned in evenly they pull the hub. mm, N, N·m."""

from collections.abc import Iterator

from shared.designations.model import Fastener
from shared.fasteners.model import FeatureKind, ItemForm, TightRing
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    clearance_hole,
    count_check,
    friction_text,
    head_check,
    part_checks,
    room_check,
    symmetry_check,
    thread_check,
    use_check,
    wall_check,
)
from shared.fasteners.substitutes.families.bar_pull import Pull, best_sets, length_check, pull_of
from shared.fasteners.substitutes.families.bars import (
    Place,
    bar_checks,
    cut_to,
    is_drilled,
    place_checks,
    place_of,
    worth_trying,
)
from shared.fasteners.substitutes.instructions import (
    PROTECT,
    STOP_RULES,
    WHEN_IT_DOES_NOT_MOVE,
    together_in_turn,
)
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.washer_stack import Stack, stacks_of

_FAMILY = Family.BAR_ACROSS_SCREWS


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield the sets of screws, a bar or plate and washers that may pull the hub.

    Needs two or more holes (THREAD, DEPTH, WALL), SPACING of two or PIN_CIRCLE of more, REACH (hub
    face to shaft end), OUTSIDE_DIAMETER of the shaft's end and TRAVEL. Every screw comes with the
    bar and washers that give it the most force, and with those on hand that do. Bars that will not
    do whatever the screws come alone.
    """
    thread, count = requirement.thread, requirement.count(FeatureKind.THREAD)
    place = place_of(requirement)
    bars: list[Piece] = []
    for piece in drawer.of(ItemForm.BAR, ItemForm.PLATE):
        if thread is None or not isinstance(place, Place):
            break
        checks = bar_checks(piece, thread, place)
        if all(check.passes for check in checks):
            bars.append(piece)
        else:
            yield Candidate(_FAMILY, (PartUsed(piece, 1),), (use_check(requirement), *checks))
    tried = () if thread is None else worth_trying(bars, thread, place)
    stacks = (Stack(),) if thread is None else stacks_of(drawer, thread)
    sets: dict[tuple[Fastener, float, float], tuple[tuple[Piece, Stack], ...]] = {}
    for screw in drawer.of(ItemForm.SCREW):
        parts = (PartUsed(screw, max(count, 1)),)
        first = (use_check(requirement), thread_check(requirement, screw))
        # Of another thread nothing else is worth telling.
        if not first[1].passes:
            yield Candidate(_FAMILY, parts, first)
            continue
        checks = (*first, *_screw_checks(requirement, screw, place))
        pull = pull_of(requirement, screw, place)
        if isinstance(pull, Pull) and tried:
            alike = (pull.fastener, pull.length, pull.threaded)
            if alike not in sets:
                sets[alike] = best_sets(requirement, pull, tried, stacks)
            for bar, stack in sets[alike]:
                yield _set_of(requirement, pull, checks, bar, stack)
            continue
        if not isinstance(pull, Pull):
            checks = (*checks, *pull)
        if not tried and isinstance(place, Place):
            checks = (*checks, _no_bar(place))
        yield Candidate(_FAMILY, parts, checks)


def _screw_checks(
    requirement: Requirement, screw: Piece, place: Place | tuple[Check, ...]
) -> tuple[Check, ...]:
    thread, length = requirement.thread, screw.length
    checks = [
        head_check(screw),
        symmetry_check(requirement),
        count_check(screw, max(requirement.count(FeatureKind.THREAD), 1)),
        wall_check(requirement),
        *_through_a_bearing(requirement),
    ]
    if length is not None and thread is not None:
        # Before it is turned in, it stands on the hub with all its length, bar and all.
        checks.append(room_check(requirement, length + thread.major))
    if thread is not None and isinstance(place, Place):
        checks += place_checks(place, thread)
    elif not isinstance(place, Place):
        checks += place
    return tuple(checks)


def _through_a_bearing(requirement: Requirement) -> tuple[Check, ...]:
    """Return the check that fails where a bearing is said to sit tight on the shaft."""
    if requirement.tight_ring not in {TightRing.INNER, TightRing.BOTH}:
        return ()
    detail = "A bearing's inner ring is said to sit tight on the shaft: pulled by the hub, it is"
    detail += " pulled through its balls. Pull it by that ring."
    return (Check("tight ring", False, detail, COMMON_PRACTICE),)


def _set_of(
    requirement: Requirement, pull: Pull, checks: tuple[Check, ...], bar: Piece, stack: Stack
) -> Candidate:
    place, thread, count = pull.place, pull.fastener.thread, pull.place.count
    parts = (
        PartUsed(pull.screw, count),
        PartUsed(bar, 1, _preparation(bar, place, clearance_hole(thread), thread.major)),
        *stack.used(count),
    )
    checks = (
        *checks,
        *bar_checks(bar, thread, place),
        *stack.checks(count),
        length_check(pull, bar, stack),
    )
    work = pull.work(requirement, bar, stack)
    if isinstance(work, Check):
        return Candidate(_FAMILY, parts, (*checks, work))
    steps = work.steps
    return Candidate(
        _FAMILY,
        parts,
        (*checks, *part_checks(work, count, requirement.force)),
        torque=work.torque if steps else None,
        torque_steps=steps,
        force_least=count * work.force_least,
        force_most=count * work.force_most,
        steps=_steps(steps, pull, stack),
        cautions=cautions_for(requirement, _FAMILY, is_stainless=pull.strength.is_stainless),
        notes=_notes(requirement, pull),
    )


def _no_bar(place: Place) -> Check:
    what = "bar or plate" if place.count == 2 else "plate"
    detail = f"No {what} in the drawer spans the {place.count} screws and may be bent."
    return Check("bar", False, detail, "the drawer as stated")


def _preparation(bar: Piece, place: Place, hole: float, major: float) -> str | None:
    cut = cut_to(bar, place, major)
    if is_drilled(bar, place, major):
        return f"{cut}, its holes in the middle" if cut else None
    where = f"{place.span:.4g} mm apart" if place.count == 2 else f"on a {place.span:.4g} mm circle"
    first = f"{cut}, and " if cut else ""
    return f"{first}drill {place.count} holes of {hole:.3g} mm {where}, the load in the middle"


def _steps(torque_steps: tuple[float, ...], pull: Pull, stack: Stack) -> tuple[str, ...]:
    place = pull.place
    washers = ""
    if stack.washer is not None:
        washers = f", {stack.each} washer{'s' if stack.each > 1 else ''} under each head"
    return (
        "Take off what holds the hub; leave the shaft's nut on by two turns where there is one and"
        " it does not stand in the bar's way: the hub may come off with a jerk.",
        "Clean the threads. A stripped hole gets a thread insert of its own size: tapped larger, it"
        " no longer takes its own part.",
        f"Lay the bar on the shaft's end and put the screws through it into the hub{washers}. Pull"
        " at these holes only, never at the rim.",
        "Where a bearing sits in the hub and its inner ring tight on the shaft, do not begin: it"
        " would be pulled through its balls.",
        "See that the bar bears on sound metal, not on the edge of a thread: half of the shaft's"
        " end was counted, so a bore in it is at most 0.7 of its diameter, or do not begin. What is"
        " laid between adds to the reach: state it anew.",
        friction_text(pull.friction),
        PROTECT,
        *together_in_turn(torque_steps, place.count, "screw"),
        f"Stop when the hub has moved {place.travel:.3g} mm: the length was checked for no more.",
        *STOP_RULES,
        *WHEN_IT_DOES_NOT_MOVE,
    )


def _notes(requirement: Requirement, pull: Pull) -> tuple[str, ...]:
    estimate = estimate_note(requirement.force)
    return (
        *pull.strength.notes,
        *pull.friction.notes,
        *((estimate,) if estimate else ()),
        "What the hub bears as a whole was not checked: a thin one bends between the holes.",
    )
