"""A threaded rod through the bore: a ring pulls on the part, a bar or tube holds the housing.

mm, N, N·m. For pulling out, pressing in and compressing.
"""

from collections.abc import Iterator
from heapq import nlargest
from math import inf
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput
from shared.fasteners.faces import face_of
from shared.fasteners.friction import FrictionRange
from shared.fasteners.model import ItemForm
from shared.fasteners.substitutes.common import friction_of, strength_of_piece
from shared.fasteners.substitutes.families.rod_answer import (
    Rod,
    SetUp,
    candidate_of,
    without,
)
from shared.fasteners.substitutes.families.rod_chosen import Chosen, RingEnd, Window
from shared.fasteners.substitutes.families.rod_model import Facts, Role, facts_of, gives
from shared.fasteners.substitutes.families.rod_nuts import (
    Nuts,
    nut_parts,
    sets_of_nuts,
    why_no_nut,
)
from shared.fasteners.substitutes.families.rod_own import (
    ends_of,
    least_between,
    length_checks,
    rod_checks,
)
from shared.fasteners.substitutes.families.rod_rings import Rings
from shared.fasteners.substitutes.families.rod_search import ThreadSearch
from shared.fasteners.substitutes.model import Candidate, Check, Drawer, Piece, Requirement
from shared.fasteners.substitutes.screw_work import (
    PartAllows,
    PartTorque,
    screw_allows,
    surely_given,
)
from shared.fasteners.turning import BearingFace
from shared.standards.thread_model import Thread

_MOST_PER_ROD: Final = 3
_MOST_TESTED: Final = 5
"""Sets of a rod that are tested as a whole, the best first."""
_GRAIN: Final = 1e-9

_Given = tuple[Nuts, tuple[BearingFace, ...], Chosen]
"""A set that bears and fits, before it is tested as a whole."""


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Return for every rod of the drawer the best sets that hold, else the one that comes nearest.

    A rod for which any set of the drawer's pieces passes every check is given with one that does.
    Sources: see the checks.
    """
    facts, missing_facts = facts_of(requirement)
    rods = drawer.of(ItemForm.THREADED_ROD, ItemForm.SCREW)
    if facts is None:
        yield from (without(requirement, rod, missing_facts) for rod in rods)
        return
    whole = _Search(requirement, facts, drawer)
    there = Drawer(tuple(piece for piece in drawer.pieces if piece.is_on_hand))
    on_hand = whole if there == drawer else _Search(requirement, facts, there)
    for rod in rods:
        # What lies in the shop comes first: bought pieces are looked at where that is not enough.
        found = list((on_hand if rod.is_on_hand else whole).for_rod(rod))
        if rod.is_on_hand and on_hand is not whole and not any(map(_holds, found)):
            found = list(whole.for_rod(rod))
        yield from found


class _Search:
    """All rods of a drawer against one requirement; what does not hang on the rod is kept."""

    def __init__(self, requirement: Requirement, facts: Facts, drawer: Drawer) -> None:
        self._requirement, self._facts, self._drawer = requirement, facts, drawer
        self._rings = Rings(requirement, drawer)
        self._nuts = drawer.of(ItemForm.NUT)
        self._threads: dict[str, ThreadSearch] = {}
        self._nuts_on: dict[
            tuple[str, str, FrictionRange, int], tuple[tuple[Nuts, ...], tuple[Nuts, ...]]
        ] = {}

    def for_rod(self, piece: Piece) -> Iterator[Candidate]:
        """Yield the best sets with a rod."""
        fastener = piece.fastener
        if fastener is None or fastener.form is FastenerForm.NUT:
            return
        checks = rod_checks(self._facts, piece, fastener)
        strength = strength_of_piece(piece)
        if isinstance(strength, Check):
            yield without(self._requirement, piece, (*checks, strength))
            return
        friction = friction_of(self._requirement, piece, strength)
        if isinstance(friction, Check):
            yield without(self._requirement, piece, (*checks, friction))
            return
        if not all(check.passes for check in checks):
            yield without(self._requirement, piece, checks)
            return
        rod = Rod(piece, fastener, strength, checks)
        found = sorted(self._sets(rod, friction), key=_rank, reverse=True)
        yield from found[:_MOST_PER_ROD]

    def _sets(self, rod: Rod, friction: FrictionRange) -> Iterator[Candidate]:
        wanted = 1 if rod.piece.form is ItemForm.SCREW else 2
        lots, pairs = self._nuts_for(rod.fastener, friction, wanted)
        if not lots and not pairs:
            detail = f"{wanted} plain nut(s) for {rod.fastener.thread.designation} are not there."
            lacking = Check("nut", False, detail, "the drawer as stated")
            yield without(self._requirement, rod.piece, (*rod.checks, lacking))
            return
        if self._is_too_short(rod, (lots or pairs)[0]):
            nuts = (lots or pairs)[0]
            lengths = length_checks(self._facts, rod.piece, rod.fastener, nuts.height, 0.0)
            yield without(self._requirement, rod.piece, (*rod.checks, *lengths))
            return
        search = self._search_for(rod.fastener.thread)
        near: list[Candidate] = []
        is_accepted = False
        for sets in (lots, pairs):
            given = (one for nuts in sets for one in self._give(rod, nuts, search))
            tested = [
                self._candidate(
                    rod,
                    nuts,
                    faces,
                    search.end_of(faces, chosen),
                    search.role_of(chosen.support),
                )
                for nuts, faces, chosen in nlargest(_MOST_TESTED, given, key=_worth)
            ]
            accepted = [one for one in tested if one.is_accepted]
            yield from accepted
            if any(one.is_on_hand for one in accepted):
                return
            near += [one for one in tested if not one.is_accepted]
            is_accepted = is_accepted or bool(accepted)
        if is_accepted:
            return
        if not near:
            nuts = max((*lots, *pairs), key=lambda one: one.proof)
            faces = _faces(rod, nuts)
            near.append(self._candidate(rod, nuts, faces, *search.nearest(faces)))
        yield max(near, key=_rank)

    def _search_for(self, thread: Thread) -> ThreadSearch:
        if thread.designation not in self._threads:
            self._threads[thread.designation] = ThreadSearch(
                self._requirement, self._facts, self._drawer, thread, self._rings
            )
        return self._threads[thread.designation]

    def _is_too_short(self, rod: Rod, nuts: Nuts) -> bool:
        length = rod.piece.length
        ends = ends_of(rod.piece, rod.fastener, nuts.height)
        return length is None or length < self._facts.reach + ends

    def _give(self, rod: Rod, nuts: Nuts, search: ThreadSearch) -> Iterator[_Given]:
        faces = _faces(rod, nuts)
        window = self._window(rod, nuts)
        if window is None:
            return
        for chosen in search.sets(window, faces):
            yield nuts, faces, chosen

    def _window(self, rod: Rod, nuts: Nuts) -> Window | None:
        """Return what a set has to bear and how long it may be; None where no set would do."""
        own = self._own_parts(rod, nuts)
        need = self._requirement.force
        length = rod.piece.length
        if own is None or need is None or length is None:
            return None
        # Least force, N, that every part has to bear so that the need is surely given.
        per_force = gives(1.0, nuts.arms)
        force = need.amount.most / per_force if per_force > 0 else inf
        # The grain keeps rounding from hiding a set: every set is tested again as a whole.
        force *= 1 - _GRAIN
        if not min(part.force for part in own) >= force:
            return None
        screw = self._screw(rod, nuts)
        if not surely_given(screw.torque, nuts.arms) >= need.amount.most * (1 - _GRAIN):
            return None
        most = length - self._facts.reach - ends_of(rod.piece, rod.fastener, nuts.height)
        return Window(least_between(self._facts, rod.piece) - _GRAIN, most + _GRAIN, force)

    def _screw(self, rod: Rod, nuts: Nuts) -> PartTorque:
        return screw_allows(
            rod.fastener.thread, rod.strength, nuts.friction, nuts.arms, twists=False
        )

    def _own_parts(self, rod: Rod, nuts: Nuts) -> tuple[PartAllows, ...] | None:
        try:
            return nut_parts(rod.fastener, rod.strength, nuts)
        except InvalidInput:
            return None

    def _candidate(
        self,
        rod: Rod,
        nuts: Nuts,
        faces: tuple[BearingFace, ...],
        end: RingEnd | None,
        support: Role | None,
    ) -> Candidate:
        screw = self._screw(rod, nuts)
        setup = SetUp(rod, nuts, faces, screw, self._own_parts(rod, nuts), end, support)
        return candidate_of(self._requirement, self._facts, setup)

    def _nuts_for(
        self, rod: Fastener, friction: FrictionRange, wanted: int
    ) -> tuple[tuple[Nuts, ...], tuple[Nuts, ...]]:
        key = (rod.thread.designation, rod.hand.value, friction, wanted)
        if key not in self._nuts_on:
            nuts = tuple(one for one in self._nuts if why_no_nut(one, rod) is None)
            found = tuple(sets_of_nuts(self._requirement, rod, friction, nuts, wanted))
            self._nuts_on[key] = (
                tuple(one for one in found if len(one.used) == 1),
                tuple(one for one in found if len(one.used) > 1),
            )
        return self._nuts_on[key]


def _faces(rod: Rod, nuts: Nuts) -> tuple[BearingFace, ...]:
    if rod.piece.form is ItemForm.SCREW:
        return nuts.face, face_of(rod.fastener)
    return (nuts.face,)


def _holds(candidate: Candidate) -> bool:
    return candidate.is_accepted


def _worth(given: _Given) -> tuple[bool, float, float]:
    """Rank sets before they are tested as a whole: on hand, strong, short."""
    nuts, _, chosen = given
    is_on_hand, bears, short = chosen.worth
    return is_on_hand and nuts.is_on_hand, gives(min(bears, nuts.proof), nuts.arms), short


def _rank(candidate: Candidate) -> tuple[bool, bool, int, float]:
    """Rank what holds first, what is on hand before what is bought, then by the least margin."""
    failing = sum(not check.passes for check in candidate.checks)
    governing = candidate.governing
    margin = 0.0 if governing is None or governing.margin is None else governing.margin
    return candidate.is_accepted, candidate.is_on_hand, -failing, margin
