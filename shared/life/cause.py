"""Chance that what broke a unit breaks it again: by why it failed, how, and what was done about it.

The shop's own figures, read off by rules; nothing is computed. Mechanism and cause are two things
(ISO 14224, from memory): a bearing that failed by fatigue may have been fitted askew or just old.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.evidence import CauseKind, FailureMechanism
from shared.life.model import CauseChance


class RecurrenceRow(StrEnum):
    """Which of the shop's figures counts."""

    KIND_AND_MECHANISM = "kind-and-mechanism"
    KIND = "kind"
    KNOWN = "known"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Failed:
    """What a job says of its failure; None: nothing is recorded."""

    cause: str | None = None
    cause_kind: CauseKind | None = None
    mechanism: FailureMechanism | None = None
    is_cause_removed: bool | None = None


@dataclass(frozen=True, slots=True)
class Recurrence:
    """Chance that the cause strikes again within the warranty, and what it stands on.

    ``row`` is the figure that the failure leads to; ``counts`` the one used: ``unknown`` where the
    cause stays and that figure is the greater. ``index`` is the place of the row among the chances.
    """

    chance: Decimal
    row: RecurrenceRow
    counts: RecurrenceRow
    index: int | None
    basis: str


def recurrence(
    failed: Failed, chances: Sequence[CauseChance], known: Decimal, unknown: Decimal
) -> Recurrence:
    """Read the chance of the same failure again off the shop's figures.

    First that applies: the row for kind of cause and mechanism, the row for the kind alone,
    ``known`` where a cause is recorded, else ``unknown``. All but the last hold once the cause is
    removed: where it stays, or where a kind is recorded and nothing says that it was removed,
    ``unknown`` counts if it is greater. A cause in words alone counts as known and removed, which
    the basis then tells. Kind and mechanism name one row at most: that is the caller's check.

    >>> recurrence(Failed(), (), Decimal("0.02"), Decimal("0.10")).chance
    Decimal('0.10')
    """
    row, index = _row(failed, chances)
    base = {RecurrenceRow.KNOWN: known, RecurrenceRow.UNKNOWN: unknown}.get(row)
    if base is None:
        assert index is not None
        base = chances[index].probability
    said = _said(failed, row, None if index is None else chances[index])
    if row is RecurrenceRow.UNKNOWN:
        return Recurrence(base, row, row, None, said)
    is_taken_as_removed, removal = _removal(failed)
    if is_taken_as_removed or unknown <= base:
        return Recurrence(base, row, row, index, f"{said}; {removal}")
    told = f"{said}; {removal}, so the chance for an unknown cause counts"
    return Recurrence(unknown, row, RecurrenceRow.UNKNOWN, index, told)


def _row(failed: Failed, chances: Sequence[CauseChance]) -> tuple[RecurrenceRow, int | None]:
    kind, mechanism = failed.cause_kind, failed.mechanism
    places = {(row.cause_kind, row.mechanism): index for index, row in enumerate(chances)}
    if kind is not None:
        if mechanism is not None and (kind, mechanism) in places:
            return RecurrenceRow.KIND_AND_MECHANISM, places[kind, mechanism]
        if (kind, None) in places:
            return RecurrenceRow.KIND, places[kind, None]
        return RecurrenceRow.KNOWN, None
    return (RecurrenceRow.KNOWN if failed.cause else RecurrenceRow.UNKNOWN), None


def _said(failed: Failed, row: RecurrenceRow, chance: CauseChance | None) -> str:
    if row is RecurrenceRow.UNKNOWN:
        how = f"failed by {failed.mechanism}, but why" if failed.mechanism else "the cause"
        also = "; a cause that is not known cannot count as removed"
        return f"{how} is not known" + (also if failed.is_cause_removed else "")
    if chance is None:
        kind = f" ({failed.cause_kind})" if failed.cause_kind else ""
        return f"cause known{kind}, the shop's chance for a known cause"
    by = f" and failure by {chance.mechanism}" if chance.mechanism else ""
    source = chance.basis or "the shop's own judgement, no source stated"
    return f"the shop's chance for a cause of kind {chance.cause_kind}{by} ({source})"


def _removal(failed: Failed) -> tuple[bool, str]:
    """Whether the cause counts as removed, and how that is told."""
    if failed.is_cause_removed:
        return True, "the cause is removed"
    if failed.is_cause_removed is False:
        return False, "the cause is not removed"
    if failed.cause_kind is None:
        return True, "whether the cause was removed is not recorded, it is taken as removed"
    return False, "whether the cause was removed is not recorded"
