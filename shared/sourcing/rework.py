"""Whether what a service on a worn part does, as it is told, can be worked with."""

from collections.abc import Iterable
from typing import Final

from shared.errors import InvalidInput
from shared.sourcing.model import Offer, OfferKind

MOST_OF_A_PART: Final = 1_000
"""Pieces of one part that a rework may take; more no plan reckons with."""


def check_rework(offer: Offer) -> None:
    """Refuse rework of what is no service at one position, hours reversed, and what stands twice.

    Raises InvalidInput with a pointer into the offer.
    """
    rework = offer.rework
    if rework is None:
        return
    if offer.kind is not OfferKind.SERVICE or offer.position_id is None:
        raise InvalidInput(
            "/rework",
            "Rework is told of what is no service at one position.",
            "Leave rework out, or give a service with position_id.",
            "rework-misplaced",
        )
    if rework.p90_hours < rework.p50_hours:
        raise InvalidInput(
            "/rework/p90_hours",
            f"p90_hours is {rework.p90_hours:f}, below p50_hours {rework.p50_hours:f}.",
            f"Give p90_hours of at least {rework.p50_hours:f}.",
            "p90-below-p50",
        )
    for index, line in enumerate(rework.parts):
        if not 1 <= line.quantity <= MOST_OF_A_PART:
            raise InvalidInput(
                f"/rework/parts/{index}/quantity",
                f"Got {line.quantity}; wanted a whole number from 1 to {MOST_OF_A_PART}.",
                f"Give a whole number from 1 to {MOST_OF_A_PART}.",
                "out-of-range",
            )
    _check_once(rework.puts_right, "/rework/puts_right", "", "characteristic")
    _check_once([line.part_id for line in rework.parts], "/rework/parts", "/part_id", "part")


def _check_once(ids: Iterable[str], at: str, below: str, word: str) -> None:
    seen: set[str] = set()
    for index, record_id in enumerate(ids):
        if record_id in seen:
            raise InvalidInput(
                f"{at}/{index}{below}",
                f"The {word} '{record_id}' is named twice.",
                "Name it once.",
                "duplicate-item",
            )
        seen.add(record_id)
