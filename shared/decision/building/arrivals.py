"""Goods that may prove bad on arrival: the supplier then replaces them, from the day it is found.

A piece is good with chance q. With F the chance by day that a delivery is here, f(k) = F(k) -
F(k - 1), and a replacement ordered on the day after day k on which it is found, n pieces are all
here and good by day a with

    q^n F(a) + (Q^n - q^n) sum over k < a of f(k) F(a - k - 1),   Q = q + (1 - q) q:

one replacement, and where that is bad, too, the piece counts as never there.
Source: planning method of this project (total probability).
"""

from collections.abc import Sequence
from dataclasses import replace
from operator import mul

from shared.decision.building import charges
from shared.decision.building.draft import Draft
from shared.decision.planning.case import CHANCE_ONE, Charge, LeadTable
from shared.sourcing.lead_time import chance_by_day
from shared.sourcing.model import DeliveryMode, Offer


def good_chances(offer: Offer, pieces: int) -> tuple[int, int]:
    """Chances (10^-9, rounded down) that all pieces are good: as delivered, and after replacing."""
    bad = offer.reject_probability
    return (
        int((1 - bad) ** pieces * CHANCE_ONE),
        int((1 - bad * bad) ** pieces * CHANCE_ONE),
    )


def replaced_chance(arrives: Sequence[int], again: Sequence[int]) -> tuple[int, ...]:
    """Chance (10^-9) by day that what arrived, proved bad and was replaced is here.

    ``arrives``: chance by day index of the first delivery; ``again``: chance that a replacement
    takes at most 0, 1, ... working days.

    >>> replaced_chance((0, 10**9, 10**9, 10**9), (0, 10**9, 10**9, 10**9))
    (0, 0, 0, 1000000000)
    """
    steps = [now - before for before, now in zip((0, *arrives), arrives, strict=False)]
    backwards = list(again[: len(steps)])[::-1]
    last = len(backwards)
    return tuple(
        sum(map(mul, steps[:day], backwards[last - day :])) // CHANCE_ONE
        for day in range(len(steps))
    )


def here_and_good(
    arrives: Sequence[int], replaced: Sequence[int], good: tuple[int, int]
) -> tuple[int, ...]:
    """Chance (10^-9, rounded down) by day that a delivery, or what replaced it, is here and good.

    ``good``: as delivered, and after replacing what was bad.

    >>> here_and_good((0, 10**9, 10**9), (0, 0, 10**9), (9 * 10**8, 99 * 10**7))
    (0, 900000000, 990000000)
    """
    at_once, mended = good[0], good[1] - good[0]
    return tuple(
        (at_once * first + mended * second) // CHANCE_ONE
        for first, second in zip(arrives, replaced, strict=True)
    )


def good_by_day(draft: Draft, offer: Offer, order_day: int, pieces: int) -> tuple[int, ...]:
    """Chance by day that what is ordered of an offer on a day is here and good; before it: none."""
    table = charges.lead_table(draft, offer.p50_days, offer.p90_days, order_day).chance_by_day
    arrives = tuple(chance if day >= order_day else 0 for day, chance in enumerate(table))
    if offer.reject_probability == 0:
        return arrives
    replaced = replaced_chance(arrives, _again(draft, offer))
    return here_and_good(arrives, replaced, good_chances(offer, pieces))


def _again(draft: Draft, offer: Offer) -> tuple[int, ...]:
    return chance_by_day(offer.p50_days, offer.p90_days, 0, draft.last_day)


def add_replacements(draft: Draft) -> None:
    """Make every source of goods that may prove bad await that it is good or replaced.

    Called once all deliveries are known: what comes in one parcel with other lines is looked at
    only when the slowest of them is here, so each line of such a supplier is taken as found bad no
    sooner than the slowest that could come with it.
    """
    for source_id, offer_id, pieces in draft.doubtful:
        source = draft.sources.get(source_id)
        if source is None:
            continue  # left out meanwhile: its matched set is incomplete
        key = _replacement_charge(draft, source_id, offer_id, pieces)
        draft.sources[source_id] = replace(source, charges=(*source.charges, key))
    for kit_charge, offer_id, pieces in draft.doubtful_kits:
        kit = draft.charges[kit_charge]
        key = _replacement_charge(draft, kit_charge, offer_id, pieces)
        draft.charges[kit_charge] = replace(kit, requires=(*kit.requires, key))


def _replacement_charge(draft: Draft, owner: str, offer_id: str, pieces: int) -> str:
    facts = draft.facts.get(owner)
    is_along = owner in draft.shims or (facts is not None and facts.offer_id != offer_id)
    key = f"good:{owner}:{offer_id}" if is_along else f"good:{owner}"
    table_key = f"good:{offer_id}:{pieces}"
    offer = draft.bench.offers[offer_id]
    if table_key not in draft.lead_tables:
        draft.lead_tables[table_key] = LeadTable(table_key, _good_given_here(draft, offer, pieces))
    label = f"{offer.description} proves good, or is replaced"
    draft.charges[key] = Charge(key, "replacement", label, lead_table_id=table_key)
    return key


def _good_given_here(draft: Draft, offer: Offer, pieces: int) -> tuple[int, ...]:
    """Chance by day that a delivery is good or has been replaced, given that it is here.

    Made never to fall, downwards, so that nothing is promised that a later day takes back.
    """
    arrives = _slowest(draft, offer)
    good = good_chances(offer, pieces)
    found = here_and_good(arrives, replaced_chance(arrives, _again(draft, offer)), good)
    given = [
        min(CHANCE_ONE, both * CHANCE_ONE // here) if here else good[0]
        for both, here in zip(found, arrives, strict=True)
    ]
    for day in range(len(given) - 2, -1, -1):
        given[day] = min(given[day], given[day + 1])
    return tuple(given)


def _slowest(draft: Draft, offer: Offer) -> tuple[int, ...]:
    """Chance by day that all that may come in one parcel with an offer's goods is here."""
    delivery = draft.charges[f"delivery:{offer.id}"]
    supplier = charges.draft_supplier(draft, offer)
    lines = [delivery]
    if supplier.delivery is DeliveryMode.CONSOLIDATED:
        lines = [c for c in draft.charges.values() if c.shipment == delivery.shipment]
    tables = [draft.lead_tables[c.lead_table_id or ""].chance_by_day for c in lines]
    return tuple(min(chances) for chances in zip(*tables, strict=True))
