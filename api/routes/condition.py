"""The condition of a unit, and calculations on condition.

What is stored is read and the session closed before anything is computed.
"""

from typing import Any

from litestar import Request, get, post
from litestar.params import FromPath, JSONBody

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.condition import ConformityAnswer, ConformityQuestion
from api.schemas.derived_measure import DerivedMeasureAnswer, DerivedMeasureQuestion
from api.schemas.form import FormAsked, FormFound
from api.schemas.unit_condition import UnitConditionOut
from db.queries.unit_condition import condition_records
from shared.condition.calculation import judge_size
from shared.condition.derived_asked import judge_measure
from shared.condition.form_asked import judge_form
from shared.condition.unit_condition import condition_of

TAG = "condition"


@get(
    "/units/{record_id:str}/condition",
    operation_id="readUnitCondition",
    summary="What the findings on a unit amount to, position by position",
    tags=[TAG],
    sync_to_thread=True,
    opt=needs(Right.READ),
)
def read_unit_condition(
    record_id: FromPath[str], request: Request[Any, Any, Any]
) -> UnitConditionOut:
    """Judge every finding that counts today by the shop's rule, as of a part that is kept.

    Measures that follow from others are worked out with their uncertainty and judged beside what
    was found. What was not inspected is said to be so, and what would settle what is open.
    """
    with sessions_of(request).reading() as session:
        records = condition_records(session, caller_of(request), record_id)
    return UnitConditionOut.of(records, condition_of(records))


@post(
    "/calculations/conformity",
    operation_id="calculateConformity",
    summary="Whether a reading shows that a size keeps its limits",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_conformity(data: JSONBody[ConformityQuestion]) -> ConformityAnswer:
    """Probability of conformity by JCGM 106, verdict by the rule asked for; what would settle it.

    A reading, several, or an interval. Without a limit: indeterminate, in zone no-limit.
    """
    return ConformityAnswer.of(judge_size(data.asked()), data)


@post(
    "/calculations/form",
    operation_id="calculateForm",
    summary="Size, out-of-round and taper from readings at several places",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_form(data: JSONBody[FormAsked]) -> FormFound:
    """Each with its uncertainty and verdict; what all readings share cancels in the form.

    One reading says nothing of roundness, one plane nothing of taper: not-inspected.
    """
    return FormFound.of(judge_form(data.asked()))


@post(
    "/calculations/derived-measure",
    operation_id="calculateDerivedMeasure",
    summary="A measure made of others, with its uncertainty line by line, and whether it is good",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_derived_measure(
    data: JSONBody[DerivedMeasureQuestion],
) -> DerivedMeasureAnswer:
    """Sum of the terms times their factors, by JCGM 100; a clearance is bore less journal.

    Readings with one gauge or one master share a part of their error; where it is not known how
    much, the greater doubt counts.
    """
    return DerivedMeasureAnswer.of(judge_measure(data.asked()))


ROUTES = (read_unit_condition,)
CALCULATION_ROUTES = (calculate_conformity, calculate_form, calculate_derived_measure)
