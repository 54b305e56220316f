"""Limits and fits, and the list of the tables that the answers rest on."""

import re
from typing import Any, Final

from litestar import Request, get

from api.access import Right, needs
from api.schemas.standards import FitsAnswer, FitsQuery, StandardsAnswer, TableOut
from shared.errors import InvalidInput
from shared.interchange.identification.calling import check_unit, read_length
from shared.standards.catalogue import catalogue
from shared.standards.iso286 import limits

TAG = "standards"
_MOST_CLASSES = 8
_BETWEEN_CLASSES: Final = re.compile(r"\s*[,/]\s*|\s+")


@get(
    "/fits",
    operation_id="readFits",
    summary="Limits of size and the fit of tolerance classes",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.CALCULATE), "query": FitsQuery},
)
def read_fits(request: Request[Any, Any, Any]) -> FitsAnswer:
    """Deviations and limits of each class by ISO 286-1, and the fit of one hole and one shaft."""
    query = FitsQuery.model_validate(dict(request.query_params.items()))
    check_unit(query.unit)
    nominal = read_length(query.nominal, query.unit, "nominal")
    wanted = _BETWEEN_CLASSES.split(query.classes.strip())
    if len(wanted) > _MOST_CLASSES:
        raise InvalidInput(
            "/classes",
            f"Got {len(wanted)} classes; wanted at most {_MOST_CLASSES}.",
            f"Ask for at most {_MOST_CLASSES} at once.",
            "too-many",
        )
    return FitsAnswer.of(nominal, tuple(limits(nominal, one) for one in wanted))


@get(
    "/standards",
    operation_id="listStandards",
    summary="The tables that answers rest on, their sources and editions",
    tags=[TAG],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def list_standards() -> StandardsAnswer:
    """Every table: what it holds, from which publications, how far it is confirmed."""
    return StandardsAnswer(items=tuple(TableOut.of(one) for one in catalogue()))


ROUTES = (read_fits, list_standards)
