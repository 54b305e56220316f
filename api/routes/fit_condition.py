"""Calculations on fits and on makers' tables."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.fit_condition import FitConditionAnswer, FitConditionQuestion
from api.schemas.table_choice import TableChoiceAnswer, TableChoiceQuestion
from shared.condition.fits.fit_condition import FitAsked, fit_condition
from shared.condition.table_choice import choose_row
from shared.condition.table_rows import TableRow, WornPart
from shared.quantities import Quantity


@post(
    "/calculations/fit-condition",
    operation_id="calculateFitCondition",
    summary="What is left of a fit by its measured parts, cold and warm",
    tags=["condition"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_fit_condition(data: JSONBody[FitConditionQuestion]) -> FitConditionAnswer:
    """Clearance of the measured parts against the fit as designed by ISO 286.

    With its doubt, the probability that it is still within, and what temperatures make of it over
    the whole range of both metals' expansion.
    """
    return FitConditionAnswer.of(fit_condition(to_domain(data, FitAsked)))


@post(
    "/calculations/table-choice",
    operation_id="calculateTableChoice",
    summary="Which row of a maker's table a worn assembly comes to",
    tags=["condition"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_table_choice(data: JSONBody[TableChoiceQuestion]) -> TableChoiceAnswer:
    """Take out the wear of parts that are renewed anyhow, then use the table.

    A value between two rows, a table that contradicts itself and doubt that reaches over several
    rows are told; no row is guessed.
    """
    found = choose_row(
        to_domain(data.measured, Quantity),
        [to_domain(part, WornPart) for part in data.corrections],
        [to_domain(row, TableRow) for row in data.rows],
        float(data.acceptance_probability),
    )
    return TableChoiceAnswer.of(found, data)


CALCULATION_ROUTES = (calculate_fit_condition, calculate_table_choice)
