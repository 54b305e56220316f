"""Searches a drawer for every set of pieces that may do a special tool's work, and ranks them.

Complete within the families of the function: each says what it tries.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from heapq import nsmallest
from itertools import chain
from math import isnan
from types import MappingProxyType
from typing import Final

from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.answer import Found, MissingFact
from shared.fasteners.substitutes.checking import AS_THE_WEAKEST
from shared.fasteners.substitutes.costs import ALL_GO_BACK, cost_of
from shared.fasteners.substitutes.families import (
    aligning_pins,
    bar_across_screws,
    bar_in_slots,
    counterhold_bar,
    guide_sleeve,
    guide_studs,
    holding_screws,
    hook_spanner,
    jacking_screws,
    measured_piece,
    pins_in_a_plate,
    press_ring,
    rod_with_nuts,
    soft_strip,
)
from shared.fasteners.substitutes.grouping import apart, grouped
from shared.fasteners.substitutes.lots import COUNT, Lot, lot_of, put_together
from shared.fasteners.substitutes.model import Candidate, Check, Drawer, Family, Requirement
from shared.fasteners.substitutes.refusals import Refusal, refused_whatever

Search = Callable[[Requirement, Drawer], Iterable[Candidate]]

FAMILIES: Final = MappingProxyType(
    {
        ToolFunction.SEPARATE: (Family.JACKING_SCREWS,),
        ToolFunction.PULL: (Family.BAR_ACROSS_SCREWS, Family.ROD_WITH_NUTS),
        ToolFunction.PRESS_IN: (Family.PRESS_RING, Family.ROD_WITH_NUTS),
        ToolFunction.HOLD_ROTATION: (Family.COUNTERHOLD_BAR, Family.SOFT_STRIP),
        ToolFunction.TURN: (Family.PINS_IN_A_PLATE, Family.BAR_IN_SLOTS, Family.HOOK_SPANNER),
        ToolFunction.ALIGN: (Family.GUIDE_STUDS, Family.ALIGNING_PINS),
        ToolFunction.GUIDE: (Family.GUIDE_STUDS, Family.GUIDE_SLEEVE),
        ToolFunction.COMPRESS: (Family.ROD_WITH_NUTS,),
        ToolFunction.RETAIN: (Family.HOLDING_SCREWS,),
        ToolFunction.GAUGE: (Family.MEASURED_PIECE,),
    }
)
"""The families that are searched for each function."""

_SEARCHES: Final = MappingProxyType[Family, Search](
    {
        Family.JACKING_SCREWS: jacking_screws.candidates,
        Family.BAR_ACROSS_SCREWS: bar_across_screws.candidates,
        Family.ROD_WITH_NUTS: rod_with_nuts.candidates,
        Family.PRESS_RING: press_ring.candidates,
        Family.COUNTERHOLD_BAR: counterhold_bar.candidates,
        Family.SOFT_STRIP: soft_strip.candidates,
        Family.GUIDE_STUDS: guide_studs.candidates,
        Family.ALIGNING_PINS: aligning_pins.candidates,
        Family.GUIDE_SLEEVE: guide_sleeve.candidates,
        Family.PINS_IN_A_PLATE: pins_in_a_plate.candidates,
        Family.BAR_IN_SLOTS: bar_in_slots.candidates,
        Family.HOOK_SPANNER: hook_spanner.candidates,
        Family.HOLDING_SCREWS: holding_screws.candidates,
        Family.MEASURED_PIECE: measured_piece.candidates,
    }
)

_MOST: Final = 20
_AT_WORST: Final = MappingProxyType(
    {
        "workpiece": "State of what the workpiece is made: it counts as the weakest.",
        "pushed": "State of what the pushed face is made: it counts as the weakest.",
        "lubrication": "State what is on the threads (dry, oiled): the widest range counts.",
    }
)
"""Facts that were not stated and are counted at their worst."""
_REFUSED_WHOLE: Final = "Nothing was computed: the use is refused whatever the pieces are."
_NOTHING_TO_TRY: Final = "Of {}, nothing in the drawer could be tried."
_TOO_MANY: Final = 50
"""Refused candidates are thinned out when there are so many times more than are shown."""


def find_substitutes(
    requirement: Requirement,
    drawer: Drawer,
    most: int = _MOST,
    searches: Mapping[Family, Search] = _SEARCHES,
) -> Found:
    """Return the candidates of all families of the requirement's function, and the number of all.

    At most ``most`` accepted ones: all on hand first, then the larger margin (to two digits), then
    the lesser cost. And at most ``most`` refused ones: a plain no (another thread) last, else all
    on hand first, then those with the fewest failing checks, then the nearest, the first of
    each family always. None where the use is refused whatever the numbers.
    """
    families = FAMILIES[requirement.function]
    refusals = _refusals(requirement, drawer)
    if refusals:
        return Found((), 0, 0, families, refusals, (), (_REFUSED_WHOLE,))
    lots = grouped(drawer)
    tallies = [
        _searched(family, searches[family], requirement, lots.drawer, most) for family in families
    ]
    accepted = list(chain.from_iterable(tally.accepted for tally in tallies))
    shown = (*nsmallest(most, accepted, key=_rank), *_closest(tallies, most))
    return Found(
        candidates=tuple(apart(candidate, lots.members) for candidate in shown),
        accepted_count=sum(tally.accepted_count for tally in tallies),
        refused_count=sum(tally.refused_count for tally in tallies),
        families=families,
        refusals=(),
        missing=_missing(tallies),
        notes=tuple(_NOTHING_TO_TRY.format(tally.family) for tally in tallies if tally.is_empty),
    )


@dataclass(slots=True)
class _Tally:
    """What one family found: its best, its closest, and the facts that were wanted."""

    family: Family
    requirement: Requirement
    most: int
    accepted: list[Candidate] = field(default_factory=list)
    refused: list[Candidate] = field(default_factory=list)
    accepted_count: int = 0
    refused_count: int = 0
    facts: Counter[str] = field(default_factory=Counter)
    details: dict[str, str] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        return self.accepted_count + self.refused_count == 0

    def add(self, candidate: Candidate) -> None:
        if candidate.is_accepted:
            self.accepted_count += 1
            self.accepted = _with(self.accepted, candidate, self.most, _rank)
            return
        self.refused_count += 1
        self.refused = _with(self.refused, candidate, self.most, _far)
        self._note_facts(candidate)

    def _note_facts(self, candidate: Candidate) -> None:
        """Count what would have to be stated, where nothing but facts stands in the way.

        A margin of nothing follows from a fact that is wanted: no wall is known, no thread holds.
        """
        failing = [check for check in candidate.checks if not check.passes]
        self._note_worst(candidate, failing)
        if any(
            check.missing is None and check.margin != 0 and check.name != COUNT for check in failing
        ):
            return
        wanted = {check.missing: check.detail for check in failing if check.missing is not None}
        self.facts.update(wanted.keys())
        self.details = wanted | self.details

    def _note_worst(self, candidate: Candidate, failing: list[Check]) -> None:
        """Count the facts that were taken at their worst where only numbers fail."""
        if any(check.margin is None for check in failing):
            return
        asked = self.requirement
        is_weak = any(
            AS_THE_WEAKEST in check.basis or AS_THE_WEAKEST in check.detail for check in failing
        )
        is_turned = candidate.torque is not None and any(one.name == "force" for one in failing)
        is_unlubricated = asked.lubrication is None and asked.friction is None
        for member, is_wanted in (
            ("workpiece", is_weak and asked.workpiece is None),
            ("pushed", is_weak and asked.pushed is None),
            ("lubrication", is_turned and is_unlubricated),
        ):
            if is_wanted:
                self.facts[member] += 1
                self.details.setdefault(member, _AT_WORST[member])


def _with(
    kept: list[Candidate],
    candidate: Candidate,
    most: int,
    key: Callable[[Candidate], tuple[object, ...]],
) -> list[Candidate]:
    """Return the list with one more, thinned out to the best when it has grown long."""
    kept.append(candidate)
    return nsmallest(most, kept, key=key) if len(kept) > _TOO_MANY * most else kept


def _searched(
    family: Family, search: Search, requirement: Requirement, drawer: Drawer, most: int
) -> _Tally:
    tally = _Tally(family, requirement, most)
    short: list[Lot] = []
    for candidate in search(requirement, drawer):
        tally.add(candidate)
        lot = lot_of(candidate)
        if lot is not None:
            short.append(lot)
    for candidate in put_together(short, requirement):
        tally.add(candidate)
    return tally


def _refusals(requirement: Requirement, drawer: Drawer) -> tuple[Refusal, ...]:
    found = refused_whatever(requirement)
    untraced = measured_piece.why_not_traceable(requirement, drawer)
    return found if untraced is None else (*found, untraced)


def _closest(tallies: Iterable[_Tally], most: int) -> tuple[Candidate, ...]:
    """Return the closest refused ones, the first of each family among them."""
    firsts, others = [], []
    for tally in tallies:
        ranked = nsmallest(most, tally.refused, key=_far)
        firsts += ranked[:1]
        others += ranked[1:]
    rest = nsmallest(max(most - len(firsts), 0), others, key=_far)
    return tuple(sorted((*firsts, *rest), key=_far))


def _missing(tallies: Iterable[_Tally]) -> tuple[MissingFact, ...]:
    facts: Counter[str] = Counter()
    details: dict[str, str] = {}
    for tally in tallies:
        facts.update(tally.facts)
        details = tally.details | details
    return tuple(MissingFact(name, details[name], count) for name, count in facts.most_common())


def _rank(candidate: Candidate) -> tuple[object, ...]:
    # Three of three screws are enough: that is no margin.
    margins = [
        check.margin
        for check in candidate.checks
        if check.margin is not None and check.name != COUNT
    ]
    cost = cost_of(candidate)
    price = (cost != ALL_GO_BACK, "", 0)
    if not isinstance(cost, str):
        price = (False, cost.currency, cost.minor)
    # A yes without a number is just enough, and no more.
    shown = float(f"{min(margins, default=1.0):.2g}")
    return not candidate.is_on_hand, -shown, *price, _names(candidate)


def _far(candidate: Candidate) -> tuple[object, ...]:
    """Sort what was refused by how far it is from holding.

    A plain no (another thread) ends the trying early, and fails little else: it comes after what
    a fact may still save, or a stronger piece. Why what lies there does not hold is asked first.
    """
    failing = [check for check in candidate.checks if not check.passes]
    is_plain_no = any(check.margin is None and check.missing is None for check in failing)
    least = min((_reaches(check) for check in failing), default=0.0)
    return (
        is_plain_no,
        not candidate.is_on_hand,
        len(failing),
        1.0 if isnan(least) else -least,
        _names(candidate),
    )


def _reaches(check: Check) -> float:
    """Return how near a failing check is to holding; what only lacks a fact may hold as it is."""
    if check.margin is not None:
        return check.margin
    return -1.0 if check.missing is None else 1.0


def _names(candidate: Candidate) -> tuple[str, ...]:
    return tuple(part.piece.name for part in candidate.parts)
