"""A rod with nuts put together and tested as a whole: its checks, its torque, how it is used."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from shared.designations.model import Fastener
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.strength import ScrewStrength
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    friction_text,
    missing,
    part_checks,
    ratio,
    room_check,
    symmetry_check,
    use_check,
)
from shared.fasteners.substitutes.families.ring_fit import along_of, ring_cautions
from shared.fasteners.substitutes.families.rod_bars import hole_in
from shared.fasteners.substitutes.families.rod_chosen import RingEnd
from shared.fasteners.substitutes.families.rod_model import Facts, Role
from shared.fasteners.substitutes.families.rod_nuts import Nuts
from shared.fasteners.substitutes.families.rod_own import length_checks
from shared.fasteners.substitutes.families.rod_rings import PLAY, narrowest
from shared.fasteners.substitutes.families.rod_washers import seat_of_nut, washer_checks
from shared.fasteners.substitutes.instructions import (
    PROTECT,
    STOP_RULES,
    WHEN_IT_DOES_NOT_MOVE,
    together_in_turn,
)
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.screw_work import (
    PartAllows,
    PartTorque,
    work_of,
)
from shared.fasteners.turning import BearingFace

_FAMILY: Final = Family.ROD_WITH_NUTS


@dataclass(frozen=True, slots=True)
class Rod:
    """A rod or screw that may do, with what was found of it."""

    piece: Piece
    fastener: Fastener
    strength: ScrewStrength
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class SetUp:
    """One set: what is None is not in the drawer. ``faces`` are those of nuts and head."""

    rod: Rod
    nuts: Nuts
    faces: tuple[BearingFace, ...]
    allowed: PartTorque
    own: tuple[PartAllows, ...] | None
    end: RingEnd | None
    support: Role | None

    @property
    def parts(self) -> tuple[PartUsed, ...]:
        """All its pieces."""
        used = [PartUsed(self.rod.piece, 1), *self.nuts.used]
        if self.end is not None:
            used += [*self.end.role.used, *self.end.ring.used]
        if self.support is not None:
            used += self.support.used
        return tuple(used)


def without(requirement: Requirement, piece: Piece, checks: tuple[Check, ...]) -> Candidate:
    """Return a rod that no set was made for, with why not."""
    every = (use_check(requirement), symmetry_check(requirement), *checks)
    return Candidate(_FAMILY, (PartUsed(piece, 1),), every)


def candidate_of(requirement: Requirement, facts: Facts, setup: SetUp) -> Candidate:
    """Return a set with all its checks, and with its torque where it is whole."""
    checks = [use_check(requirement), symmetry_check(requirement), *setup.rod.checks]
    checks += _counts(setup.parts)
    checks += _set_checks(requirement, facts, setup)
    notes = _notes(requirement, setup)
    end, support, own = setup.end, setup.support, setup.own
    if own is None:
        detail = "The nut is too low for any of its thread to be counted."
        checks.append(Check("rod thread", False, detail, COMMON_PRACTICE))
    if end is None or support is None or own is None or not (end.ring.parts and support.parts):
        # Nothing was counted: what its other checks say is no yes.
        detail = "What it bears cannot be told before its pieces, their sizes and materials are."
        checks.append(Check("force", False, detail, "cannot be computed"))
        return Candidate(_FAMILY, setup.parts, tuple(checks), notes=notes)
    seat = seat_of_nut(
        setup.rod.fastener.thread,
        setup.faces,
        end.washer,
        support.used[-1].piece,
        hole_in(support.used[-1].piece, setup.rod.fastener.thread),
    )
    parts = (*own, *end.ring.parts, *end.role.parts, seat, *support.parts)
    work = work_of(setup.allowed, setup.nuts.arms, parts)
    checks += part_checks(work, 1, requirement.force)
    turned = work.steps
    is_stainless = setup.rod.strength.is_stainless or setup.nuts.is_stainless
    return Candidate(
        _FAMILY,
        setup.parts,
        tuple(checks),
        torque=work.torque if turned else None,
        torque_steps=turned,
        force_least=work.force_least,
        force_most=work.force_most,
        steps=_steps(requirement, facts, setup, turned),
        cautions=(
            *cautions_for(requirement, _FAMILY, is_stainless=is_stainless),
            *ring_cautions(end.ring.used[0].piece),
        ),
        notes=notes,
    )


def _set_checks(requirement: Requirement, facts: Facts, setup: SetUp) -> Iterator[Check]:
    end, support, piece = setup.end, setup.support, setup.rod.piece
    thread = setup.rod.fastener.thread
    if end is None:
        detail = "No ring with a washer over it is in the drawer for this rod."
        yield Check("press ring", False, detail, "the drawer as stated")
    else:
        ring = end.ring.used[0].piece
        yield from end.ring.checks
        if along_of(ring) is None:
            yield missing("ring length", FeatureKind.LENGTH.value, f"State how long {ring.name}.")
        yield from end.role.checks
        yield from washer_checks(end.washer, thread)
        detail = f"The narrowest hole stated through {ring.name} is {narrowest(ring):.4g} mm;"
        detail += f" the rod wants {thread.major + PLAY:.4g} mm."
        if narrowest(ring) <= 0 and ring.form is ItemForm.SOCKET:
            detail += " State of a socket the hole of its drive end as clear-diameter."
        yield ratio(
            "rod in the ring", narrowest(ring), thread.major + PLAY, detail, COMMON_PRACTICE
        )
    if support is None:
        what = "tube and no bar across it" if facts.is_pull else "bar across the housing"
        yield Check("bar", False, f"No {what} is in the drawer.", "the drawer as stated")
    else:
        yield from support.checks
    if end is not None and support is not None:
        between = end.length + support.length
        yield from length_checks(facts, piece, setup.rod.fastener, setup.nuts.height, between)
    length = piece.length
    if length is not None:
        head = thread.major if piece.form is ItemForm.SCREW else 0.0
        yield room_check(requirement, length + facts.travel + head)


def _counts(parts: tuple[PartUsed, ...]) -> list[Check]:
    wanted: dict[str, int] = {}
    pieces: dict[str, Piece] = {}
    for part in parts:
        pieces[part.piece.key] = part.piece
        wanted[part.piece.key] = wanted.get(part.piece.key, 0) + part.count
    return [count_check(piece, wanted[key]) for key, piece in pieces.items()]


def _notes(requirement: Requirement, setup: SetUp) -> tuple[str, ...]:
    estimate = estimate_note(requirement.force)
    notes = (
        *setup.rod.strength.notes,
        *setup.nuts.friction.notes,
        *((estimate,) if estimate else ()),
        "What the housing bears as a whole was not checked, nor how far the bar bends.",
    )
    return tuple(dict.fromkeys(notes))


def _steps(
    requirement: Requirement,
    facts: Facts,
    setup: SetUp,
    turned: tuple[float, ...],
) -> tuple[str, ...]:
    end, support = setup.end, setup.support
    if end is None or support is None or not turned:
        return ()
    bar = support.used[-1].piece.name
    if facts.is_pull:
        stand = f"Stand {support.used[0].piece.name} over the part, clear of it all round, its"
        stand += " whole end on sound metal of the housing, and"
        stand += f" lay {bar} across it, middle on the axis."
    else:
        stand = f"Lay {bar} across the housing on the far side, middle on the axis, each end"
        stand += " bearing on 10 mm of sound metal at the least. Measure that nothing of the part"
        stand += " meets the bar before its travel ends."
    on_ring = f"{end.stacked} washer{'s' if end.stacked > 1 else ''}"
    first = "Put the rod through part and housing"
    if setup.rod.piece.form is ItemForm.SCREW:
        first = "Put the screw through, its head at the ring, a washer or more under it as told"
    held = "the head" if setup.rod.piece.form is ItemForm.SCREW else "the nut at the ring"
    ring = end.ring.used[0].piece.name
    about = "out" if requirement.function is ToolFunction.PULL else "in"
    return (
        f"{first}; then {ring} on the face that takes the load and on nothing else, {on_ring}"
        " on it.",
        f"{stand} One washer under the nut there.",
        "See that the rod stands in the middle of the ring and touches nothing, and that its ends"
        " stand out of the nuts by two threads at the least.",
        friction_text(setup.nuts.friction),
        PROTECT,
        f"Hold {held} with a second wrench, and turn the other nut only.",
        *together_in_turn(turned, 1, "nut"),
        f"Look after every turn that the part goes {about} straight; where it tilts, take the load"
        " off and begin again.",
        f"Stop when it has moved {facts.travel:.3g} mm, or bears on its shoulder: the torque rises"
        " at once.",
        *STOP_RULES,
        *WHEN_IT_DOES_NOT_MOVE,
    )
