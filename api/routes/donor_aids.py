"""Calculations beside a donor: its gear ratio counted by hand, and shims by marks."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.donor_aids import GearRatioAnswer, GearRatioQuestion
from api.schemas.shims_by_marks import ShimsByMarksAnswer, ShimsByMarksQuestion
from shared.assemblies.ratio_counts import ToothPair, TurnsCounted
from shared.assemblies.ratios import ratio_by_teeth, ratio_by_turns
from shared.condition.marks import shims_by_marks
from shared.condition.marks_asked import MarksAsked


@post(
    "/calculations/gear-ratio",
    operation_id="calculateGearRatio",
    summary="Which ratio turns or teeth counted by hand come to",
    tags=["assemblies"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_gear_ratio(data: JSONBody[GearRatioQuestion]) -> GearRatioAnswer:
    """Both readings of a wheel turned alone, and which stated ratios agree: near is not the same.

    Input turns to one output turn. No ratio is taken for the nearest that does not agree.
    """
    if data.turns is None:
        pairs = [to_domain(pair, ToothPair) for pair in data.pairs]
        return GearRatioAnswer.of(ratio_by_teeth(pairs, data.candidates, data.needed))
    turns = to_domain(data.turns, TurnsCounted)
    return GearRatioAnswer.of(ratio_by_turns(turns, data.candidates, data.needed))


@post(
    "/calculations/shims-by-marks",
    operation_id="calculateShimsByMarks",
    summary="What the marks of a changed case or gear make of its shims",
    tags=["condition"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_shims_by_marks(data: JSONBody[ShimsByMarksQuestion]) -> ShimsByMarksAnswer:
    """By the difference of the marks where the case alone, or the gears alone, were changed.

    Exact decimals in the unit of the marks. Which way a larger mark counts is the maker's to say.
    """
    return ShimsByMarksAnswer.of(shims_by_marks(to_domain(data, MarksAsked)))


CALCULATION_ROUTES = (calculate_gear_ratio, calculate_shims_by_marks)
