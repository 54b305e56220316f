"""Puts lots together: pieces that hold and are too few, with others of the same kind and thread."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import chain
from math import inf
from typing import Final, NamedTuple

from shared.fasteners.model import ItemForm
from shared.fasteners.substitutes.model import Candidate, Check, PartUsed, Requirement, tightest

COUNT: Final = "count"
"""The name of the check that there are enough pieces."""
FORCE: Final = "force"
_TOGETHER: Final = (
    "Several lots together: set all of them to the one torque named here, which is the least of"
    " what the lots allow."
)
_MIXED: Final = frozenset({ItemForm.SCREW, ItemForm.THREADED_ROD, ItemForm.PIN})


class Lot(NamedTuple):
    """A candidate of which one part alone is too few."""

    candidate: Candidate
    short: PartUsed
    others: tuple[PartUsed, ...]


def lot_of(candidate: Candidate) -> Lot | None:
    """Return a candidate as a lot that others may fill up; None where more than that fails."""
    failing = [check.name for check in candidate.checks if not check.passes]
    if not failing or any(name != COUNT for name in failing):
        return None
    short = [part for part in candidate.parts if part.piece.quantity < part.count]
    if len(short) != 1 or short[0].piece.form not in _MIXED:
        return None
    others = tuple(part for part in candidate.parts if part is not short[0])
    return Lot(candidate, short[0], others)


def put_together(lots: Iterable[Lot], requirement: Requirement) -> Iterator[Candidate]:
    """Return a candidate for each kind of lots that are enough together, the best lots first.

    Lots go together that have one thread, the same other pieces, and, where torque makes the
    force, one friction: screws of another push unevenly at the same torque. Pieces on hand alone
    where they are enough.
    """
    groups: dict[object, list[Lot]] = {}
    for lot in lots:
        groups.setdefault(_kind_of(lot), []).append(lot)
    for group in groups.values():
        wanted = group[0].short.count
        for chosen in (_on_hand(group), group):
            taken = _taken(chosen, wanted)
            if taken is not None:
                yield _together(taken, requirement)
                break


def _on_hand(group: list[Lot]) -> list[Lot]:
    return [lot for lot in group if lot.short.piece.is_on_hand]


def _kind_of(lot: Lot) -> object:
    fastener = lot.short.piece.fastener
    force, torque = lot.candidate.force_least, lot.candidate.torque
    most = lot.candidate.force_most
    per_torque = None
    # Screws that only hold give no force by being turned: what they hold says nothing of friction.
    if force is not None and torque and most is not None:
        per_torque = round(force / torque, 6), round(most / torque, 6)
    return (
        lot.candidate.family,
        lot.short.piece.form,
        lot.short.count,
        None if fastener is None else (fastener.thread.designation, fastener.hand),
        tuple((part.piece.key, part.count, part.preparation) for part in lot.others),
        per_torque,
    )


def _taken(group: list[Lot], wanted: int) -> list[tuple[Lot, int]] | None:
    """Take from the lots with the most margin until there are enough; None: there are not."""
    taken, left = [], wanted
    for lot in sorted(group, key=_margin, reverse=True):
        count = min(left, lot.short.piece.quantity)
        taken.append((lot, count))
        left -= count
        if left == 0:
            return taken
    return None


def _margin(lot: Lot) -> float:
    found = [
        check.margin
        for check in lot.candidate.checks
        if check.margin is not None and check.name != COUNT
    ]
    return min(found, default=inf)


def _together(taken: list[tuple[Lot, int]], requirement: Requirement) -> Candidate:
    candidates = [lot.candidate for lot, _ in taken]
    worst = min(candidates, key=_least_torque)
    torques = [one.torque for one in candidates if one.torque is not None]
    torque = min(torques, default=None)
    forces = [_force(lot, count, torque, lambda one: one.force_least) for lot, count in taken]
    most = [_force(lot, count, torque, lambda one: one.force_most) for lot, count in taken]
    surely = _sum(forces)
    if surely is not None and any(one.force_most is None for one in candidates):
        surely = _evenly(taken)
    checks = tuple(_worst_checks(candidates, taken))
    return Candidate(
        family=worst.family,
        parts=(
            *(replace(lot.short, count=count) for lot, count in taken),
            *taken[0][0].others,
        ),
        checks=tuple(_with_force(check, surely, requirement) for check in checks),
        torque=torque,
        torque_steps=min((one.torque_steps for one in candidates), key=_last),
        force_least=surely,
        force_most=_sum(most),
        steps=worst.steps,
        cautions=tuple(dict.fromkeys(chain.from_iterable(one.cautions for one in candidates))),
        notes=(
            *dict.fromkeys(chain.from_iterable(one.notes for one in candidates)),
            *((_TOGETHER,) if torque is not None else ()),
        ),
    )


def _least_torque(candidate: Candidate) -> float:
    if candidate.torque is not None:
        return candidate.torque
    return _last(candidate.torque_steps)


def _last(steps: tuple[float, ...]) -> float:
    return max(steps, default=inf)


def _force(
    lot: Lot, count: int, torque: float | None, member: Callable[[Candidate], float | None]
) -> float | None:
    """Return what ``count`` screws of a lot give at the common torque, N."""
    force, own = member(lot.candidate), lot.candidate.torque
    if force is None:
        return None
    share = 1.0 if torque is None or not own else torque / own
    return force / lot.short.count * count * share


def _evenly(taken: list[tuple[Lot, int]]) -> float:
    """Return what screws hold that share a load evenly, N: as many times as the weakest holds."""
    each = min((lot.candidate.force_least or 0.0) / lot.short.count for lot, _ in taken)
    return each * sum(count for _, count in taken)


def _sum(forces: list[float | None]) -> float | None:
    known = [force for force in forces if force is not None]
    return sum(known) if len(known) == len(forces) else None


def _worst_checks(candidates: list[Candidate], taken: list[tuple[Lot, int]]) -> Iterator[Check]:
    """Return each check of any of the lots once: the one with the least margin."""
    names = dict.fromkeys(check.name for one in candidates for check in one.checks)
    for name in names:
        if name == COUNT:
            total = sum(count for _, count in taken)
            detail = f"{total} pieces of {len(taken)} lots together"
            yield Check(COUNT, True, detail, "counted")
            continue
        found = [check for one in candidates for check in one.checks if check.name == name]
        worst = tightest(found)
        if worst is not None:
            yield worst


def _with_force(check: Check, surely: float | None, requirement: Requirement) -> Check:
    """Count the force that the lots together surely give at their common torque."""
    need = requirement.force
    if check.name != FORCE or surely is None or need is None:
        return check
    margin = surely / need.amount.most
    if check.margin is not None and check.margin <= margin:
        return check
    return replace(check, margin=margin, passes=margin >= 1)
