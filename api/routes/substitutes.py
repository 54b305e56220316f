"""Whether common hardware does a special tool's work: from the shop's stock, or from what is sent.

What is stored is read and the session closed before anything is computed.
"""

from datetime import UTC, datetime
from typing import Any

from litestar import Request, get, post
from litestar.params import FromPath, JSONBody

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.substitutes import SubstitutesQuery, SubstitutesQuestion
from api.schemas.substitutes_found import SubstitutesOut, ToolSubstitutesOut
from api.settings import SNAPSHOT_LIMIT
from db.queries.fasteners import tool_at_hand
from shared.decision.building.buying import purchase_alone
from shared.fasteners.substitutes.asked import OfferKind, SubstitutesAsked, ToolOfferAsked
from shared.fasteners.substitutes.asking import ask_substitutes, asked_of_stock, asked_of_tool
from shared.money import Money
from shared.sourcing.model import Offer

TAG = "fasteners"


@get(
    "/special-tools/{record_id:str}/substitutes",
    operation_id="readSubstitutes",
    summary="What in the shop's stock does a special tool's work, or why nothing does",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": SubstitutesQuery},
)
def read_substitutes(
    record_id: FromPath[str], request: Request[Any, Any, Any]
) -> ToolSubstitutesOut:
    """Test the shop's stock, and standard items, for a stored tool; compare the tool's offers.

    A no names the check that fails. An estimate is called one; nobody has tried the set-up out.
    """
    query = SubstitutesQuery.model_validate(dict(request.query_params.items()))
    as_of = query.as_of or datetime.now(UTC).replace(microsecond=0)
    with sessions_of(request).reading() as session:
        there = tool_at_hand(session, caller_of(request), record_id, as_of)
    offers = tuple(_offered(name, offer) for name, offer in there.offers)
    asked = SubstitutesAsked(
        asked_of_tool(there.tool),
        tuple(asked_of_stock(item) for item in there.stock),
        tuple(offer for offer in offers if offer is not None),
        query.jobs_to_come,
        query.include_standard_items,
    )
    answer = ask_substitutes(asked, most=query.limit, is_stored=True)
    return ToolSubstitutesOut.of_tool(answer, there.tool.id, as_of, there.stock_left_out)


@post(
    "/calculations/substitutes",
    operation_id="calculateSubstitutes",
    summary="What of the pieces sent does a special tool's work, or why nothing does",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    request_max_body_size=SNAPSHOT_LIMIT,
    opt=needs(Right.CALCULATE),
)
def calculate_substitutes(data: JSONBody[SubstitutesQuestion]) -> SubstitutesOut:
    """Test the pieces sent, and standard items, for a tool's work; nothing is stored.

    A no names the check that fails. An estimate is called one; nobody has tried the set-up out.
    """
    return SubstitutesOut.of(ask_substitutes(data.asked(), most=data.limit))


def _offered(supplier: str, offer: Offer) -> ToolOfferAsked | None:
    """Return what one tool costs by an offer, freight aside; None where it is not sold singly.

    Where only packs or more pieces are sold, the cheapest way to come by one is paid whole.
    """
    bought = purchase_alone(offer, 1)
    if bought is None:
        return None
    sold = "" if bought.pieces == 1 else f", {bought.pieces} pieces at least"
    total = Money.of_minor(bought.cost, offer.price.currency)
    return ToolOfferAsked(
        OfferKind.BUY, f"{supplier}: {offer.description}{sold}, without freight", total
    )


ROUTES = (read_substitutes,)
CALCULATION_ROUTES = (calculate_substitutes,)
