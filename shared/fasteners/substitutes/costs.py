"""What the ways to come by a tool cost over the jobs to come: exact, in one currency.

The work of preparing pieces is not counted.
"""

from collections.abc import Iterable
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.substitutes.answer import CostComparison, Way, WayKind
from shared.fasteners.substitutes.asked import OfferKind, ToolOfferAsked
from shared.fasteners.substitutes.model import Candidate, PartUsed
from shared.money import Money

MOST_JOBS: Final = 100_000
ALL_GO_BACK: Final = "nothing: every piece lies in the shop and goes back as it was"
_NOT_TOLD: Final = "Whether the substitute is cheaper is not told: its cost is not known."
_WORK_NOT_COUNTED: Final = (
    "The time to cut, grind and drill pieces is not counted, nor that a maker's tool may be quicker"
    " at the job."
)


def cost_of(candidate: Candidate) -> Money | str:
    """Return what a candidate takes out of the till or the drawer, once; or why it is not known.

    Pieces to be bought count, and pieces in the drawer that are cut, ground or drilled for it; the
    others go back, whatever they are worth: where all do, and none has a price, ALL_GO_BACK. A
    piece that counts and has no price makes the cost unknown, never nothing.
    """
    if not candidate.parts:
        return "it takes no pieces"
    prices: list[Money] = []
    for part in candidate.parts:
        price, counted = part.piece.price, _counted(part)
        if price is not None:
            prices.append(Money.of_minor(price.minor * counted, price.currency))
        elif counted:
            state = ": state its worth" if part.piece.is_on_hand else ""
            return f"no price known for {part.piece.name}{state}"
    if not prices:
        return ALL_GO_BACK
    if len({price.currency for price in prices}) > 1:
        return "its pieces are priced in several currencies"
    return Money.of_minor(sum(price.minor for price in prices), prices[0].currency)


def compare_costs(
    best: Candidate | None, offers: tuple[ToolOfferAsked, ...], jobs: int
) -> CostComparison | None:
    """Compare the best substitute with buying and hiring the tool, over ``jobs``.

    None without offers. ``best`` None: no substitute holds, and none is compared. Raises OutOfRange
    for a number of jobs below 1 or beyond reason, InvalidInput at "/offers/<index>/price" for a
    negative price or one finer than its currency.
    """
    if not 1 <= jobs <= MOST_JOBS:
        raise OutOfRange("jobs_to_come", jobs, f"from 1 to {MOST_JOBS}")
    for index, offer in enumerate(offers):
        _check_price(offer, index)
    if not offers:
        return None
    currency = offers[0].price.currency
    ways = [_way_of_offer(offer, jobs, currency) for offer in offers]
    if best is not None:
        ways.insert(0, _way_of_substitute(best, currency))
    known = [way for way in ways if way.total is not None]
    return CostComparison(
        jobs=jobs,
        ways=tuple(ways),
        cheapest=min(known, key=_total, default=None),
        buying_pays_from=_pays_from(offers, currency),
        notes=tuple(_notes(ways, best)),
    )


def _counted(part: PartUsed) -> int:
    is_used_up = part.preparation is not None
    return part.count if is_used_up or not part.piece.is_on_hand else 0


def _check_price(offer: ToolOfferAsked, index: int) -> None:
    try:
        if offer.price.minor >= 0:
            return
    except InvalidInput as error:
        raise error.below(f"/offers/{index}/price") from None
    raise InvalidInput(
        f"/offers/{index}/price/amount",
        f"Got {offer.price.amount}; a price is not below 0.",
        "Give what the tool costs, or one hire of it.",
        "out-of-range",
    )


def _way_of_offer(offer: ToolOfferAsked, jobs: int, currency: str) -> Way:
    kind = WayKind(offer.kind.value)
    is_hire = offer.kind is OfferKind.HIRE
    once, per_job = (None, offer.price) if is_hire else (offer.price, None)
    if offer.price.currency != currency:
        note = f"not compared: priced in {offer.price.currency}, the others in {currency}"
        return Way(kind, offer.name, once, per_job, None, note)
    total = Money.of_minor(offer.price.minor * (jobs if is_hire else 1), currency)
    return Way(kind, offer.name, once, per_job, total)


def _way_of_substitute(best: Candidate, currency: str) -> Way:
    cost, name = cost_of(best), str(best.family)
    if cost == ALL_GO_BACK:
        return Way(WayKind.SUBSTITUTE, name, None, None, Money.of_minor(0, currency))
    if isinstance(cost, str):
        return Way(WayKind.SUBSTITUTE, name, note=f"not compared: {cost}")
    if cost.currency != currency:
        note = f"not compared: priced in {cost.currency}, the offers in {currency}"
        return Way(WayKind.SUBSTITUTE, name, cost, None, None, note)
    return Way(WayKind.SUBSTITUTE, name, cost, None, cost)


def _total(way: Way) -> int:
    assert way.total is not None
    return way.total.minor


def _pays_from(offers: Iterable[ToolOfferAsked], currency: str) -> int | None:
    """Return the first job at which buying has cost less than hiring."""
    of_one = [offer for offer in offers if offer.price.currency == currency]
    bought = [offer.price.minor for offer in of_one if offer.kind is OfferKind.BUY]
    hired = [offer.price.minor for offer in of_one if offer.kind is OfferKind.HIRE]
    if not bought or not hired or min(hired) == 0:
        return None
    return min(bought) // min(hired) + 1


def _notes(ways: Iterable[Way], best: Candidate | None) -> Iterable[str]:
    for way in ways:
        if way.note is not None:
            yield f"{way.name} is {way.note}."
    if best is None:
        yield "No substitute is accepted: only the offers are compared."
    else:
        if any(way.kind is WayKind.SUBSTITUTE and way.total is None for way in ways):
            yield _NOT_TOLD
        yield _WORK_NOT_COUNTED
