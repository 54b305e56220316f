"""Which standard size a measured part may be: one look-up for each kind of part."""

from typing import Any

from litestar import Request, get
from litestar.handlers import HTTPRouteHandler

from api.access import Right, needs
from api.schemas.identifications import IdentificationAnswer, identification_query
from shared.interchange.identification.asking import Kind, answer
from shared.interchange.identification.kinds import KINDS

TAG = "identification"


def identification_route(kind: Kind) -> HTTPRouteHandler:
    """Make the look-up of one kind of part."""
    query_model = identification_query(kind)
    # A single letter is no word of a name: "o-rings" is Orings.
    name = "".join(word.capitalize() for word in kind.path.replace("o-", "o").split("-"))

    @get(
        f"/identifications/{kind.path}",
        operation_id=f"identify{name}",
        summary=f"Which standard size {kind.part} may be, by measuring it",
        tags=[TAG],
        sync_to_thread=True,
        opt={**needs(Right.CALCULATE), "query": query_model},
    )
    def identify(request: Request[Any, Any, Any]) -> IdentificationAnswer:
        """Sizes with their probability, that of none of these, and what to trust.

        Any one dimension is enough to ask; each more narrows the answer.
        """
        query = query_model.model_validate(dict(request.query_params.items()))
        answered = answer(
            kind,
            query.asked(kind),
            state=query.state,
            chosen=query.words(kind.choices),
            texts=query.words(kind.texts),
            limit=query.limit,
        )
        return IdentificationAnswer.of(answered)

    return identify


ROUTES = tuple(identification_route(kind) for kind in KINDS)
