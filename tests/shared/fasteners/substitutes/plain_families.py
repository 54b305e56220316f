"""Which plain rule, which maker of random work and which module of the house go together."""

from dataclasses import replace
from typing import NamedTuple

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
from shared.fasteners.substitutes.model import Drawer, Family, Need, Range
from tests.shared.fasteners.substitutes import (
    plain_bars,
    plain_fits,
    plain_holding,
    plain_rods,
    plain_screws,
    plain_turning,
    random_drawers,
    random_fits,
    random_turning,
)


class Way(NamedTuple):
    """One way of working: the house's candidates, the plain rule, the maker, how many pairs."""

    candidates: object
    plain: object
    made: object
    pairs: int


WAYS = {
    Family.JACKING_SCREWS: Way(
        jacking_screws.candidates, plain_screws.jacking_screws, random_drawers.jacking_screws, 7700
    ),
    Family.BAR_ACROSS_SCREWS: Way(
        bar_across_screws.candidates,
        plain_screws.bar_across_screws,
        random_drawers.bar_across_screws,
        7700,
    ),
    Family.HOLDING_SCREWS: Way(
        holding_screws.candidates, plain_holding.holding_screws, random_drawers.holding_screws, 7700
    ),
    Family.GUIDE_STUDS: Way(
        guide_studs.candidates, plain_holding.guide_studs, random_drawers.guide_studs, 7700
    ),
    Family.COUNTERHOLD_BAR: Way(
        counterhold_bar.candidates,
        plain_bars.counterhold_bar,
        random_turning.counterhold_bar,
        7700,
    ),
    Family.SOFT_STRIP: Way(
        soft_strip.candidates, plain_turning.soft_strip, random_turning.soft_strip, 7700
    ),
    Family.PINS_IN_A_PLATE: Way(
        pins_in_a_plate.candidates,
        plain_turning.pins_in_a_plate,
        random_turning.pins_in_a_plate,
        7700,
    ),
    Family.BAR_IN_SLOTS: Way(
        bar_in_slots.candidates, plain_turning.bar_in_slots, random_turning.bar_in_slots, 7700
    ),
    Family.HOOK_SPANNER: Way(
        hook_spanner.candidates, plain_turning.hook_spanner, random_turning.hook_spanner, 7700
    ),
    Family.PRESS_RING: Way(
        press_ring.candidates, plain_fits.press_ring, random_fits.press_ring, 7700
    ),
    Family.ROD_WITH_NUTS: Way(
        rod_with_nuts.candidates, plain_rods.rod_with_nuts, random_fits.rod_with_nuts, 2500
    ),
    Family.ALIGNING_PINS: Way(
        aligning_pins.candidates, plain_fits.aligning_pins, random_fits.aligning_pins, 7700
    ),
    Family.GUIDE_SLEEVE: Way(
        guide_sleeve.candidates, plain_fits.guide_sleeve, random_fits.guide_sleeve, 7700
    ),
    Family.MEASURED_PIECE: Way(
        measured_piece.candidates, plain_fits.measured_piece, random_fits.measured_piece, 7700
    ),
}


def found_for(way, requirement, pieces):
    """Return what the house finds."""
    return list(way.candidates(requirement, Drawer(tuple(pieces))))


def parts_of(candidate):
    """Return the pieces of a candidate with their numbers."""
    return [(part.piece, part.count) for part in candidate.parts]


def at_the_edge(dice, requirement, candidates):
    """Return the same work asking about as much as one of the candidates just gives; or None."""
    margins = [one.governing.margin for one in candidates if one.governing is not None]
    margins = [margin for margin in margins if margin is not None and 0 < margin < 1e6]
    if not margins:
        return None
    share = dice.choice(margins) * dice.choice((0.5, 0.9, 0.999, 1 - 1e-6, 1 + 1e-6, 1.001, 1.1))
    return scaled(requirement, share)


def scaled(requirement, share):
    """Return the same work with its force and torque ``share`` times as much."""
    return replace(
        requirement,
        force=_times(requirement.force, share),
        torque=_times(requirement.torque, share),
    )


def _times(need, share):
    if need is None:
        return None
    low, high = need.amount
    return Need(Range(low * share, high * share), need.basis, need.is_estimate)
