"""The whole of it: what is asked of a shim pack, the thickness wanted, the packs, the advice."""

from fractions import Fraction
from typing import Final

from shared.condition.gauges import usual_gauge
from shared.condition.shims.asked import ShimPackAsked
from shared.condition.shims.asked_check import check_asked
from shared.condition.shims.choose import Wanted
from shared.condition.shims.found import (
    NeededFound,
    OldPackFound,
    OldShimFound,
    ShimPackFound,
)
from shared.condition.shims.lengths import above_zero_mm, exact_mm, in_unit, plain_mm, told
from shared.condition.shims.needed import Needed, needed_thickness
from shared.condition.shims.old_pack import OldPack, read_old_pack
from shared.condition.shims.outcome import Search
from shared.condition.shims.shelf import listed_of, shelf_of
from shared.condition.shims.uncertainty import common_doubt, measured_doubt, shim_doubt
from shared.quantities import Quantity
from shared.quantities.units import as_decimal

_FEELER_STEP_MM: Final = Fraction(1, 20)
_INCOMPLETE: Final = "there are more packs than were looked at: a better one may be among them"
_AFTER: Final = "fit the pack, measure again, and record the pack that stays"


def shim_pack(asked: ShimPackAsked) -> ShimPackFound:
    """Return the thickness that is wanted and the packs that make it, best first.

    Among packs likely enough to land in the range: fewest shims, then on hand before to be bought,
    then nearest the middle (or what the rule aims at). A maker's rule that names one thickness goes
    before that. Where none is likely enough the likeliest come first, and the advice says so; where
    the doubt of what was measured is not known no probability is told. Raises InvalidInput as
    ``check_asked`` does; "thicker-than-gap" where every shim is thicker than the room; "too-fine".
    """
    check_asked(asked)
    unit = _unit_of(asked)
    doubt, assumed = shim_doubt(asked)
    listed = listed_of(asked)
    old, more = _old(asked, read_old_pack(asked.old_pack or (), listed, doubt))
    needed = needed_thickness(asked, old, unit)
    wanted = _wanted(asked, needed)
    shelf = shelf_of(asked, doubt, listed)
    search = Search(asked, unit, needed, wanted, shelf, old)
    outcome = search.outcome()
    packs = tuple(search.told(pack) for pack in outcome.chosen.packs)
    uses_doubt = any(one.probability_in_range is not None for one in packs)
    assumptions = (*needed.assumptions, *more, *(assumed if uses_doubt else ()))
    cautions = (
        *outcome.cautions,
        *(() if old is None else old.cautions),
        *_of_gauge(asked, needed, unit),
        *(() if outcome.chosen.is_complete else (_INCOMPLETE,)),
        *((_AFTER,) if packs else ()),
    )
    return ShimPackFound(
        outcome.advice,
        outcome.reason,
        _needed_found(needed, outcome.rounded, unit),
        packs,
        *outcome.beside,
        None if old is None else _old_found(old, unit),
        outcome.to_measure,
        tuple(dict.fromkeys(assumptions)),
        tuple(dict.fromkeys(cautions)),
        outcome.chosen.is_complete,
    )


def _wanted(asked: ShimPackAsked, needed: Needed) -> Wanted:
    leeway = Fraction(0)
    if asked.leeway is not None:
        leeway = plain_mm(asked.leeway, "/leeway")
    return Wanted(needed.aim, needed.lower, needed.upper, needed.u, common_doubt(asked), leeway)


def _old(asked: ShimPackAsked, read: OldPack) -> tuple[OldPack | None, tuple[str, ...]]:
    """Return the old pack, from its shims or as a total; None: none is given."""
    if asked.old_pack is not None:
        return read, ()
    if asked.old_total is None:
        return None, ()
    total = exact_mm(asked.old_total, "/old_total")
    u, assumed = measured_doubt(asked, asked.old_total, "/old_total")
    return OldPack(total, total, total, u), assumed


def _of_gauge(asked: ShimPackAsked, needed: Needed, unit: str) -> tuple[str, ...]:
    """Say so where the step of feeler blades is as large as the range."""
    width = needed.setting_width
    usual = usual_gauge(asked.gauge_kind)
    step = None
    if asked.gauge_step is not None:
        step = above_zero_mm(asked.gauge_step, "/gauge_step")
    elif usual is not None and usual.kind == "feeler":
        step = _FEELER_STEP_MM
    if step is None or width is None or step < width:
        return ()
    return (
        f"the step of the feeler, {told(step, unit)}, is as large as the window of"
        f" {told(width, unit)}: use finer blades or a dial indicator before shims are chosen",
    )


def _unit_of(asked: ShimPackAsked) -> str:
    """Return the unit of the first length that was given: the answer speaks in it."""
    lengths = (
        asked.pack_lower,
        asked.measured_gap,
        *(one.thickness for one in asked.old_pack or ()),
        asked.old_total,
        asked.measured,
        *asked.readings,
        *(() if asked.depth_sum is None else (one.measured for one in asked.depth_sum.terms)),
    )
    return next((one.unit for one in lengths if one is not None), "mm")


def _needed_found(needed: Needed, goal: Fraction | None, unit: str) -> NeededFound:
    def out(size: Fraction | None) -> Quantity | None:
        return None if size is None else in_unit(size, unit)

    u = None if needed.u is None else Quantity(as_decimal(Fraction(needed.u)), "mm")
    return NeededFound(
        in_unit(needed.aim, unit),
        out(goal),
        out(needed.lower),
        out(needed.upper),
        u,
        needed.how,
        out(needed.mean),
        out(needed.measured),
    )


def _old_found(old: OldPack, unit: str) -> OldPackFound:
    return OldPackFound(
        in_unit(old.total, unit),
        in_unit(old.lower, unit),
        in_unit(old.upper, unit),
        None if old.u is None else Quantity(as_decimal(Fraction(old.u)), "mm"),
        old.is_certain,
        tuple(in_unit(size, unit) for size in old.listed_within),
        tuple(in_unit(size, unit) for size in old.possible_totals),
        tuple(
            OldShimFound(
                in_unit(one.thickness, unit),
                one.quantity,
                one.is_broken,
                tuple(in_unit(size, unit) for size in one.could_be),
            )
            for one in old.shims
        ),
    )
