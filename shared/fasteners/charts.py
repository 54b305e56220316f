"""Torque charts as printed: their own condition of the threads, and whether their rows hold water.

Torques in N·m. A chart states dry or lubricated threads; its figure is turned to the own condition
once, never twice. Rows are tested along the sizes: torque grows about as the diameter cubed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, log
from statistics import median
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.strength import fastening_area
from shared.standards.property_classes import strength_of

REDUCING_SHARE: Final = 0.75
"""Lubricated over dry torque where the chart names no share: K 0.15 over K 0.20."""
RAISING_SHARE: Final = 0.8
"""The same for raising: the share that raises less of the two found in print."""
_NUT_FACTOR: Final = 0.2
_USUAL_STRESS: Final = 435.0
"""Three quarters of the proof stress of class 8.8, MPa: what an everyday row comes to."""
_PROOF_SHARE: Final = 0.75
_ODD: Final = 1.8
"""A row whose implied stress is off the others' by this factor wants a look. Common practice."""
_CREDIBLE: Final = (40.0, 1250.0)
"""Implied stress, MPa, outside of which no fastening row lies: class 12.9 at yield comes to 1200
where K is 0.24."""
_OVER_CLASS: Final = 2.2
"""Implied stress over the class's usual one from which a row would stretch a dry screw for good."""


class Condition(StrEnum):
    """What state of thread and head a chart or a joint means."""

    DRY = "dry"
    LUBRICATED = "lubricated"


class RowVerdict(StrEnum):
    """What is to be thought of a row."""

    PLAUSIBLE = "plausible"
    COPIED = "copied"
    """The same figure as for another size, to which it fits better."""
    ODD = "out of line"
    """Far from what the other rows, or any screw of the size, come to."""
    SWAPPED = "headings swapped"
    """More torque lubricated than dry: the two columns change places."""


@dataclass(frozen=True, slots=True)
class ChartReading:
    """A chart's torque turned to the own condition; ``share`` is lubricated over dry."""

    torque: float
    is_changed: bool
    share: float | None
    note: str


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One row of a chart: a screw, its torque (or the middle of its range), its column."""

    fastener: Fastener
    torque: float
    heading: Condition | None = None


@dataclass(frozen=True, slots=True)
class JudgedRow:
    """A row, the tension stress that it comes to with K = 0.2, MPa, and what to think of it."""

    row: ChartRow
    implied_stress: float
    verdict: RowVerdict
    reason: str


def read_chart(
    torque: float, chart: Condition, own: Condition, share: float | None = None
) -> ChartReading:
    """Return the chart's torque for the own condition of the threads.

    ``share`` is the chart's own rule (wet needs 80 % of dry: 0.8); where it states none, 0.75
    reduces and 0.8 raises: the cautious one of two found in print. Raises InvalidInput. Source:
    common practice; the chart's own rule comes first.

    >>> read_chart(23, Condition.LUBRICATED, Condition.DRY, 0.8).torque
    28.75
    """
    _check_torque(torque, "/torque")
    if share is not None and not 0.5 <= share <= 1:
        raise InvalidInput(
            "/lubricated_share",
            f"lubricated_share is {share:g}; wanted 0.5 to 1.",
            "Give lubricated over dry torque: 0.8 where wet needs 80 % of dry.",
            "out-of-range",
        )
    if chart is own:
        return ChartReading(
            torque, False, None, f"The chart is for {chart} threads already: nothing is changed."
        )
    default = REDUCING_SHARE if own is Condition.LUBRICATED else RAISING_SHARE
    used = default if share is None else share
    whose = "the chart's own rule" if share is not None else "common practice, no source"
    turned = torque * used if own is Condition.LUBRICATED else torque / used
    note = f"Turned once from {chart} to {own}: lubricated is {used:g} of dry ({whose})."
    if own is Condition.DRY:
        note += " New screws bear oil from their making: clean and dry means wiped off."
    return ChartReading(turned, True, used, note)


def implied_stress(row: ChartRow) -> float:
    """Return the tension stress, MPa, that a torque comes to by T = K F d with K = 0.2."""
    thread = row.fastener.thread
    force = row.torque * 1000 / (_NUT_FACTOR * thread.major)
    return force / fastening_area(thread)


def judge_rows(rows: Sequence[ChartRow]) -> tuple[JudgedRow, ...]:
    """Return each row with what to think of it, in the order given.

    The same torque for two sizes is a copying fault: the row that fits a screw best stays. Dry
    below lubricated is a swapped heading. A row far out of line with the others is named, its own
    class taken into account where it is given. Source: common practice, no source.
    """
    for index, row in enumerate(rows):
        _check_torque(row.torque, f"/rows/{index}/torque")
        fastening_area(row.fastener.thread, f"/rows/{index}/designation")
    copied, swapped = _copied(rows), _swapped(rows)
    kept = [row for row in rows if id(row) not in copied]
    usual = median(_against_class(row) for row in kept) if len(kept) >= 3 else None
    return tuple(_judged(row, copied, swapped, usual) for row in rows)


def _judged(
    row: ChartRow, copied: dict[int, ChartRow], swapped: set[int], usual: float | None
) -> JudgedRow:
    stress = implied_stress(row)
    relative = _against_class(row)
    if id(row) in copied:
        fits = copied[id(row)].fastener.thread.designation
        return JudgedRow(
            row,
            stress,
            RowVerdict.COPIED,
            f"The same torque stands for {fits}, which it fits: torque grows about with the cube"
            " of the diameter.",
        )
    if not _CREDIBLE[0] <= stress <= _CREDIBLE[1]:
        return JudgedRow(
            row, stress, RowVerdict.ODD, "No fastening screw of this size is tightened so."
        )
    if id(row) in swapped:
        return JudgedRow(
            row,
            stress,
            RowVerdict.SWAPPED,
            "Lubricated threads need less torque than dry ones for the same force: the columns"
            " are exchanged.",
        )
    if row.fastener.property_class is not None and relative > _OVER_CLASS:
        return JudgedRow(
            row, stress, RowVerdict.ODD, "A screw of this class yields at less, even dry."
        )
    if usual is not None and not 1 / _ODD <= relative / usual <= _ODD:
        return JudgedRow(
            row, stress, RowVerdict.ODD, "It is far out of line with the other rows of the chart."
        )
    return JudgedRow(row, stress, RowVerdict.PLAUSIBLE, "In line as far as can be told.")


def _against_class(row: ChartRow) -> float:
    """Return the implied stress over the usual one of the row's class."""
    return implied_stress(row) / _usual_stress(row.fastener)


def _usual_stress(fastener: Fastener) -> float:
    if fastener.property_class is None:
        return _USUAL_STRESS
    found = strength_of(fastener.property_class, fastener.thread.major)
    return _USUAL_STRESS if found is None else _PROOF_SHARE * (found.proof or found.yield_least)


def _copied(rows: Sequence[ChartRow]) -> dict[int, ChartRow]:
    """Return the rows that another size with the same torque fits better, with that row."""
    found = {}
    for row in rows:
        same = [
            other
            for other in rows
            if abs(other.torque - row.torque) <= 1e-6 * row.torque
            and other.heading is row.heading
            and other.fastener.property_class == row.fastener.property_class
        ]
        best = min(same, key=lambda other: abs(log(_against_class(other))))
        if abs(best.fastener.thread.major / row.fastener.thread.major - 1) > 0.1:
            found[id(row)] = best
    return found


def _swapped(rows: Sequence[ChartRow]) -> set[int]:
    found = set()
    for dry in rows:
        for wet in rows:
            if (
                dry.heading is Condition.DRY
                and wet.heading is Condition.LUBRICATED
                and dry.fastener.thread == wet.fastener.thread
                and dry.fastener.property_class == wet.fastener.property_class
                and wet.torque > dry.torque
            ):
                found |= {id(dry), id(wet)}
    return found


def _check_torque(torque: float, pointer: str) -> None:
    if not (isfinite(torque) and 0 < torque <= 1e6):
        raise InvalidInput(
            pointer,
            f"Got {torque:g} N·m; wanted a torque above 0.",
            "Give the torque as printed, with its unit.",
            "out-of-range",
        )
