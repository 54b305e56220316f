"""Calculations on lead times."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import from_domain, to_domain
from api.schemas.sourcing import LeadTimeAnswer, LeadTimeQuestion
from shared.sourcing.model import WorkCalendar
from shared.sourcing.promise import Arrival, promise


@post(
    "/calculations/lead-time",
    operation_id="calculateLeadTime",
    summary="When all is there and the work is done",
    tags=["sourcing"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_lead_time(data: JSONBody[LeadTimeQuestion]) -> LeadTimeAnswer:
    """Promise date from lead times, order cut-offs, working calendar and bench hours."""
    found = promise(
        arrivals=[to_domain(arrival, Arrival) for arrival in data.arrivals],
        confidence=data.confidence,
        as_of=data.as_of,
        calendar=to_domain(data.calendar, WorkCalendar),
        bench_hours=data.bench_hours,
    )
    return from_domain(found, LeadTimeAnswer)


CALCULATION_ROUTES = (calculate_lead_time,)
