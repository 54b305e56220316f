"""Gear ratios, as input turns to one output turn: counted by hand or by teeth, and compared.

Source: turns and teeth are the definition; that a wheel turned alone reads half follows from the
open differential, whose case turns at the mean of its two wheels (from memory, mechanics of gears).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import prod

from shared.assemblies.ratio_counts import (
    Held,
    ToothPair,
    TurnsCounted,
    check_pairs,
    check_ratio,
    check_stated,
    check_turns,
)
from shared.assemblies.traits import FEWEST_RATIO_PLACES
from shared.quantities.units import as_decimal


class Agreement(StrEnum):
    """How many of the stated ratios the figure found may be."""

    ONE = "one"
    SEVERAL = "several"
    NONE = "none"
    NOTHING_STATED = "nothing-stated"


@dataclass(frozen=True, slots=True)
class StatedRatio:
    """A ratio that somebody states, beside the one found.

    ``deviation_percent``: by how much the found one is greater. ``output_speed_percent``: by how
    much faster the output turns with this one than with the needed ratio; None: none is needed.
    """

    ratio: Decimal
    agrees: bool
    deviation_percent: Decimal
    output_speed_percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class RatioFound:
    """A ratio with the range in which it lies, and what agrees with it.

    ``if_nothing_held`` and ``if_other_wheel_held``: both readings of counted turns; None with
    teeth. ``teeth``: all driven over all driving teeth, in lowest terms; None with turns.
    """

    ratio: Decimal
    lower: Decimal
    upper: Decimal
    agreement: Agreement
    candidates: tuple[StatedRatio, ...]
    needed: StatedRatio | None = None
    if_nothing_held: Decimal | None = None
    if_other_wheel_held: Decimal | None = None
    teeth: Fraction | None = None
    notes: tuple[str, ...] = ()


def output_speed_change(needed: Decimal, other: Decimal) -> Decimal:
    """By how many percent the output turns faster with the ratio ``other`` than with ``needed``.

    Input turns to one output turn, both above 0: (needed / other - 1) x 100; negative: slower.
    Raises InvalidInput for a ratio that is not above 0.

    >>> round(output_speed_change(Decimal("1.98"), Decimal("1.84")), 1)
    Decimal('7.6')
    """
    for pointer, ratio in (("/needed", needed), ("/other", other)):
        check_ratio(ratio, pointer, "a ratio")
    return _percent_over(Fraction(needed), Fraction(other))


def speed_change_told(needed: Decimal, other: Decimal) -> str:
    """The change of output speed in words, in tenths of a percent; raises as the figure does.

    >>> speed_change_told(Decimal("1.98"), Decimal("1.84"))
    'turns the output 7.6 % faster'
    """
    change = output_speed_change(needed, other)
    size = abs(change).quantize(Decimal("0.1"))
    if size == 0:
        return "turns the output as fast, within 0.05 %"
    return f"turns the output {size} % {'faster' if change > 0 else 'slower'}"


def ratio_by_turns(
    turns: TurnsCounted, candidates: Sequence[Decimal] = (), needed: Decimal | None = None
) -> RatioFound:
    """The ratio from turns counted by hand, beside the stated ones.

    Turned alone, a wheel turns twice as far as the case of its open differential, so the ratio is
    twice the reading. A stated ratio agrees where the range of the reading and its own rounding
    (two places at least) meet. Raises InvalidInput at /turns, /candidates, /needed.
    """
    check_turns(turns)
    check_stated(candidates, needed)
    reading = Fraction(turns.input_turns) / Fraction(turns.output_turns)
    doubt = _doubt(turns) / Fraction(turns.output_turns)
    factor = 2 if turns.held is Held.OTHER_WHEEL else 1
    return _found(
        _Range(reading * factor, doubt * factor),
        candidates,
        needed,
        free=_Range(reading, doubt),
        other_held=_Range(reading * 2, doubt * 2),
        notes=_turn_notes(turns),
    )


def ratio_by_teeth(
    pairs: Sequence[ToothPair], candidates: Sequence[Decimal] = (), needed: Decimal | None = None
) -> RatioFound:
    """The ratio of gears in a row, each pair on the shaft of the one before, beside stated ones.

    Product of driven over driving teeth, exact. Raises InvalidInput at /pairs, /candidates,
    /needed.
    """
    check_pairs(pairs)
    check_stated(candidates, needed)
    teeth = prod((Fraction(pair.driven, pair.driving) for pair in pairs), start=Fraction(1))
    check_ratio(as_decimal(teeth), "/pairs", "the ratio of all pairs")
    notes = ("Holds for gears on fixed shafts; a planetary set is reckoned otherwise.",)
    return _found(_Range(teeth, Fraction(0)), candidates, needed, teeth=teeth, notes=notes)


@dataclass(frozen=True, slots=True)
class _Range:
    middle: Fraction
    doubt: Fraction

    def agrees_with(self, stated: Decimal) -> bool:
        """Whether what a ratio as written stands for meets the range."""
        exponent = stated.as_tuple().exponent
        assert isinstance(exponent, int)
        step = Fraction(Decimal(1).scaleb(min(exponent, -FEWEST_RATIO_PLACES)))
        return abs(self.middle - Fraction(stated)) <= self.doubt + step / 2


def _found(
    own: _Range,
    candidates: Sequence[Decimal],
    needed: Decimal | None,
    *,
    free: _Range | None = None,
    other_held: _Range | None = None,
    teeth: Fraction | None = None,
    notes: tuple[str, ...] = (),
) -> RatioFound:
    stated = tuple(_stated(own, ratio, needed) for ratio in sorted(candidates))
    agreement = _agreement(stated)
    readings = () if free is None or other_held is None else (free, other_held)
    return RatioFound(
        ratio=as_decimal(own.middle),
        lower=as_decimal(max(Fraction(0), own.middle - own.doubt)),
        upper=as_decimal(own.middle + own.doubt),
        agreement=agreement,
        candidates=tuple(sorted(stated, key=lambda one: (abs(one.deviation_percent), one.ratio))),
        needed=None if needed is None else _stated(own, needed, needed),
        if_nothing_held=None if free is None else as_decimal(free.middle),
        if_other_wheel_held=None if other_held is None else as_decimal(other_held.middle),
        teeth=teeth,
        notes=(*notes, *_agreement_notes(agreement, own, readings, candidates)),
    )


def _stated(own: _Range, ratio: Decimal, needed: Decimal | None) -> StatedRatio:
    return StatedRatio(
        ratio,
        own.agrees_with(ratio),
        _percent_over(own.middle, Fraction(ratio)),
        None if needed is None else output_speed_change(needed, ratio),
    )


def _agreement(stated: Sequence[StatedRatio]) -> Agreement:
    if not stated:
        return Agreement.NOTHING_STATED
    agreeing = sum(one.agrees for one in stated)
    if agreeing == 0:
        return Agreement.NONE
    return Agreement.ONE if agreeing == 1 else Agreement.SEVERAL


def _agreement_notes(
    agreement: Agreement, own: _Range, readings: Sequence[_Range], candidates: Sequence[Decimal]
) -> list[str]:
    notes = []
    if agreement is Agreement.SEVERAL:
        notes.append(
            "More than one stated ratio agrees: this does not tell them apart. Count over more"
            " turns, or count teeth."
        )
    if agreement is Agreement.NONE:
        notes.append("None of the stated ratios agrees: nothing is taken for the nearest.")
    for other in readings:
        agreeing = [f"{one:f}" for one in candidates if other.agrees_with(one)]
        if other.middle != own.middle and agreeing:
            notes.append(
                f"Read the other way it would be {_short(other.middle)}, with which"
                f" {', '.join(agreeing)} agrees: make sure of what was held."
            )
    return notes


def _turn_notes(turns: TurnsCounted) -> tuple[str, ...]:
    notes = []
    if turns.plus_minus is None:
        doubt = as_decimal(_doubt(turns))
        notes.append(
            f"No doubt is stated: taken are {doubt:f} input turns either way, half of the last"
            " place written; the output is taken as turned exactly."
        )
    if turns.held is Held.OTHER_WHEEL:
        notes.append(
            "One wheel turned alone: the ratio is twice the reading. That holds for an open"
            " differential only; a locked one turns both wheels, and nothing is doubled."
        )
    else:
        notes.append(
            "Read with nothing held. If one wheel of two was turned while the other stood still,"
            " the ratio is twice the reading."
        )
    return tuple(notes)


def _doubt(turns: TurnsCounted) -> Fraction:
    if turns.plus_minus is not None:
        return Fraction(turns.plus_minus)
    exponent = turns.input_turns.as_tuple().exponent
    assert isinstance(exponent, int)
    return Fraction(Decimal(1).scaleb(min(exponent, 0))) / 2


def _percent_over(one: Fraction, other: Fraction) -> Decimal:
    return as_decimal((one / other - 1) * 100)


def _short(value: Fraction) -> str:
    return f"{Decimal(f'{float(value):.4g}'):f}"
