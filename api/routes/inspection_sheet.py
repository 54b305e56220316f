"""The inspection sheet of a unit.

What is stored is read and the session closed before anything is computed.
"""

from typing import Any

from litestar import Request, get
from litestar.params import FromPath

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.base import from_domain
from api.schemas.inspection_sheet import InspectionSheetOut, InspectionSheetQuery
from db.queries.inspection_sheet import sheet_records
from shared.condition.sheet.sheet import inspection_sheet


@get(
    "/units/{record_id:str}/inspection-sheet",
    operation_id="readInspectionSheet",
    summary="What to look at and measure on a unit, in the order of dismantling",
    tags=["condition"],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": InspectionSheetQuery},
)
def read_inspection_sheet(
    record_id: FromPath[str], request: Request[Any, Any, Any]
) -> InspectionSheetOut:
    """List every position with its limits, gauges, what is found already and what is missing.

    Rulings are those that hold for the unit's serial number: what is never opened is not opened
    here. Whether a gauge is fine enough is judged by the limits.
    """
    query = InspectionSheetQuery.model_validate(dict(request.query_params.items()))
    with sessions_of(request).reading() as session:
        records = sheet_records(session, caller_of(request), record_id, query.moment, query.job_id)
    return from_domain(inspection_sheet(records), InspectionSheetOut)


ROUTES = (read_inspection_sheet,)
