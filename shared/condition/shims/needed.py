"""The thickness that is wanted, by whichever way it was measured. Exact numbers of mm.

What is set, V, follows the pack's thickness P: V = A + s f (P - T), with A measured over the old
pack T (0: without shims), s = 1 where more shims increase it and -1 where they decrease it, f mm of
setting for each mm of shim. So P = T + s (V - A) / f; without shims, with s = -1 and f = 1, it is
measured gap less clearance, over an old pack the well-known N = T + (A - V). A depth sum is the
gap. Source: the rules of makers' manuals of several trades, common practice.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import hypot, sqrt

from shared.condition.marks_asked import LargerMark
from shared.condition.model import ShimEffect
from shared.condition.shim_place import ShimAim
from shared.condition.shims.asked import DepthSum, MarkCounts, PartChange, ShimPackAsked
from shared.condition.shims.lengths import above_zero_mm, exact_mm, plain_mm, told
from shared.condition.shims.old_pack import NO_PACK, OldPack
from shared.condition.shims.rules import cut_off
from shared.condition.shims.uncertainty import grouped_doubt, measured_doubt, not_negative_mm
from shared.errors import InvalidInput


@dataclass(frozen=True, slots=True)
class Needed:
    """The thickness aimed at and its range (no range: both ends None), mm.

    ``u``: its doubt, shims that come in left aside; None: not known. ``sets``: what a pack of a
    thickness comes to; None: that is not known. ``measured``: what counts as measured. ``stays``:
    the old pack is left as it is. ``how``: how it was reckoned, in words.
    """

    aim: Fraction
    lower: Fraction | None
    upper: Fraction | None
    u: float | None
    how: str
    sets: Callable[[Fraction], Fraction] | None = None
    measured: Fraction | None = None
    mean: Fraction | None = None
    stays: bool = False
    assumptions: tuple[str, ...] = ()

    @property
    def setting_width(self) -> Fraction | None:
        """Width of the range of what is set, mm; None: no range."""
        if self.lower is None or self.upper is None or self.sets is None:
            return None
        return abs(self.sets(self.upper) - self.sets(self.lower))


@dataclass(frozen=True, slots=True)
class _Measured:
    """What was measured, mm, its doubt, and the mean before it was cut off."""

    value: Fraction
    u: float | None
    mean: Fraction | None = None
    assumptions: tuple[str, ...] = ()


def needed_thickness(asked: ShimPackAsked, old: OldPack | None, unit: str) -> Needed:
    """Return the thickness wanted, by the one way that the question takes.

    ``old`` is the old pack added up, None where none is given; ``unit`` is that of words. The
    question is taken as checked (``check_asked``). Raises InvalidInput for lengths of another kind,
    a range upside down.
    """
    if asked.pack_lower is not None or asked.pack_upper is not None:
        return _of_range(asked)
    if asked.depth_sum is not None:
        return _of_gap(asked, _depth(asked, asked.depth_sum), NO_PACK, unit)
    if old is None:
        return _of_gap(asked, _reading(asked), NO_PACK, unit)
    if asked.measured is not None or asked.readings:
        return _of_gap(asked, _reading(asked), old, unit)
    return _of_change(asked, old, unit)


def _of_range(asked: ShimPackAsked) -> Needed:
    assert asked.pack_lower is not None
    assert asked.pack_upper is not None
    lower = not_negative_mm(asked.pack_lower, "/pack_lower")
    upper = not_negative_mm(asked.pack_upper, "/pack_upper")
    _check_ends(lower, upper, "/pack_upper")
    aim = ShimAim.MIDDLE if asked.rule is None else asked.rule.aim
    # What is set is least under the thickest pack where more shims decrease it.
    is_thick = (aim is ShimAim.LOWER) == (asked.effect is ShimEffect.MORE_SHIMS_DECREASE)
    at = {True: upper, False: lower}[is_thick] if aim is not ShimAim.MIDDLE else (lower + upper) / 2
    u = None
    if asked.uncertainty is not None:
        u = float(not_negative_mm(asked.uncertainty, "/uncertainty"))
    return Needed(at, lower, upper, u, "the range of the pack as it is given")


def _of_gap(asked: ShimPackAsked, measured: _Measured, old: OldPack, unit: str) -> Needed:
    decreases = asked.effect is not ShimEffect.MORE_SHIMS_INCREASE
    slope = Fraction(asked.factor) * (-1 if decreases else 1)

    def sets(pack: Fraction) -> Fraction:
        return measured.value + slope * (pack - old.total)

    def pack_for(setting: Fraction) -> Fraction:
        return old.total + (setting - measured.value) / slope

    u = None
    if measured.u is not None and old.u is not None:
        u = hypot(measured.u / float(asked.factor), old.u)
    said = told(measured.value, unit)
    start = f"measured {said}" if old is NO_PACK else f"old pack {told(old.total, unit)}, {said}"
    if asked.clearance_lower is None or asked.clearance_upper is None:
        # A depth sum alone: the room is the pack.
        aim = pack_for(Fraction(0))
        how = f"the sum comes to {told(aim, unit)}"
        return Needed(aim, None, None, u, how, None, measured.value, measured.mean,
                      assumptions=measured.assumptions)  # fmt: skip
    lower = plain_mm(asked.clearance_lower, "/clearance_lower")
    upper = plain_mm(asked.clearance_upper, "/clearance_upper")
    _check_ends(lower, upper, "/clearance_upper")
    aim = pack_for(_aimed(asked, lower, upper))
    ends = sorted((pack_for(lower), pack_for(upper)))
    how = (
        f"{start} measured over it" if old is not NO_PACK else start
    ) + f", wanted {told(lower, unit)} to {told(upper, unit)}"
    return Needed(
        aim,
        ends[0],
        ends[1],
        u,
        how,
        sets,
        measured.value,
        measured.mean,
        assumptions=measured.assumptions,
    )


def _of_change(asked: ShimPackAsked, old: OldPack, unit: str) -> Needed:
    was = told(old.total, unit)
    if asked.change is not None:
        by = plain_mm(asked.change, "/change")
        aim = old.total + by
        return Needed(aim, None, None, old.u, f"{was} changed by {told(by, unit)}")
    if asked.part_change is None:
        return Needed(old.total, None, None, old.u, f"as the old pack was, {was}")
    return _of_part(asked, asked.part_change, old, unit)


def _of_part(asked: ShimPackAsked, change: PartChange, old: OldPack, unit: str) -> Needed:
    at = "/part_change"
    larger_by = exact_mm(change.new, f"{at}/new") - exact_mm(change.old, f"{at}/old")
    adds = larger_by if change.larger_part is LargerMark.THICKER else -larger_by
    threshold = Fraction(0)
    if change.threshold is not None:
        threshold = not_negative_mm(change.threshold, f"{at}/threshold")
    stays = abs(larger_by) <= threshold
    doubts = [measured_doubt(asked, part, at) for part in (change.old, change.new)]
    u = None
    if old.u is not None and all(one[0] is not None for one in doubts):
        parts = [one[0] for one in doubts if one[0] is not None]
        u = hypot(old.u, *parts)
    size = "larger" if larger_by >= 0 else "smaller"
    how = f"the new part is {told(abs(larger_by), unit)} {size}"
    if stays:
        how += f", not more than {told(threshold, unit)}: the shims stay"
        return Needed(old.total, None, None, old.u, how, stays=True)
    word = "thicker" if adds >= 0 else "thinner"
    how += f": the pack gets {told(abs(adds), unit)} {word} than {told(old.total, unit)}"
    assumed = tuple(dict.fromkeys(text for one in doubts for text in one[1]))
    return Needed(old.total + adds, None, None, u, how, assumptions=assumed)


def _reading(asked: ShimPackAsked) -> _Measured:
    if asked.readings:
        return _mean(asked)
    pointer = "/measured" if asked.measured is not None else "/measured_gap"
    length = asked.measured if asked.measured is not None else asked.measured_gap
    assert length is not None
    u, assumed = measured_doubt(asked, length, pointer)
    return _Measured(exact_mm(length, pointer), u, None, assumed)


def _mean(asked: ShimPackAsked) -> _Measured:
    """Mean of the readings, cut off where the rule says so.

    u: the scatter of the mean, s / sqrt(n) (JCGM 100:2008 4.2.3), with the greatest doubt of one
    reading beside it, as if all shared it (to the safe side).
    """
    sizes = [exact_mm(one, f"/readings/{place}") for place, one in enumerate(asked.readings)]
    mean = sum(sizes, Fraction(0)) / len(sizes)
    value = mean
    if asked.rule is not None and asked.rule.mean_cut_to is not None:
        value = cut_off(mean, plain_mm(asked.rule.mean_cut_to, "/rule/mean_cut_to"))
    doubts = [
        measured_doubt(asked, one, f"/readings/{place}") for place, one in enumerate(asked.readings)
    ]
    scatter = 0.0
    if len(sizes) > 1:
        squares = sum(((size - mean) ** 2 for size in sizes), Fraction(0))
        scatter = sqrt(squares / (len(sizes) - 1) / len(sizes))
    known = [one[0] for one in doubts if one[0] is not None]
    u = hypot(scatter, max(known)) if len(known) == len(sizes) else None
    return _Measured(
        value, u, mean, tuple(dict.fromkeys(text for one in doubts for text in one[1]))
    )


def _depth(asked: ShimPackAsked, depths: DepthSum) -> _Measured:
    value = Fraction(0)
    if depths.offset is not None:
        value = plain_mm(depths.offset, "/depth_sum/offset")
    parts: list[tuple[float, str | None]] = []
    assumptions: list[str] = []
    is_known = True
    for place, term in enumerate(depths.terms):
        at = f"/depth_sum/terms/{place}/measured"
        u, assumed = measured_doubt(asked, term.measured, at)
        value += Fraction(term.factor) * exact_mm(term.measured, at)
        is_known = is_known and u is not None
        parts.append((float(term.factor) * (u or 0.0), term.gauge))
        assumptions += assumed
    for place, mark in enumerate(depths.marks):
        each = above_zero_mm(mark.unit, f"/depth_sum/marks/{place}/unit")
        sign = 1 if mark.larger_mark is MarkCounts.ADDS else -1
        value += sign * Fraction(mark.mark) * each
    u_sum = grouped_doubt(parts) if is_known else None
    return _Measured(value, u_sum, None, tuple(dict.fromkeys(assumptions)))


def _aimed(asked: ShimPackAsked, lower: Fraction, upper: Fraction) -> Fraction:
    aim = ShimAim.MIDDLE if asked.rule is None else asked.rule.aim
    return {ShimAim.LOWER: lower, ShimAim.UPPER: upper, ShimAim.MIDDLE: (lower + upper) / 2}[aim]


def _check_ends(lower: Fraction, upper: Fraction, pointer: str) -> None:
    if lower > upper:
        raise InvalidInput(
            pointer,
            f"The upper end, {told(upper)}, is below the lower, {told(lower)}.",
            "Exchange the ends or mend the slip.",
            "limits-upside-down",
        )
