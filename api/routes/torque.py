"""Fasteners by their designation: strength and tightening; calculations on torque."""

from typing import Annotated

from litestar import get, post
from litestar.params import JSONBody, QueryParameter

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.fastener_sheet import FastenerSheetOut
from api.schemas.thread_engagement import EngagementQuestion, ThreadEngagementAnswer
from api.schemas.torque import TorqueAnswer, TorqueQuestion
from api.schemas.torque_aids import (
    AngleAnswer,
    AngleQuestion,
    TorqueChartAnswer,
    TorqueChartQuestion,
    WrenchSettingAnswer,
    WrenchSettingQuestion,
)
from shared.designations.reading import read_fastener
from shared.fasteners.asked import (
    AngleAsked,
    ChartAsked,
    EngagementAsked,
    SettingAsked,
    TorqueAsked,
)
from shared.fasteners.asking import (
    ask_angle,
    ask_chart,
    ask_engagement,
    ask_setting,
    ask_torque,
)
from shared.fasteners.lookup import look_up

TAG = "fasteners"


@get(
    "/fasteners",
    operation_id="readFastener",
    summary="Thread, strength and tightening of a fastener",
    tags=[TAG],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def read_fastener_sheet(
    designation: Annotated[
        str,
        QueryParameter(
            description="A screw, nut or thread as people write it, at most 120 characters:"
            " M8x1.25x40 8.8, 8x1,25, 1/4-20 UNC x 1 1/2 grade 5. Write + as %2B."
        ),
    ],
) -> FastenerSheetOut:
    """What the standards say of it; an unmarked screw counts as the lowest class.

    What is not understood, or has two meanings, is 422 with the readings offered.
    """
    return FastenerSheetOut.of(look_up(read_fastener(designation)))


@post(
    "/calculations/torque",
    operation_id="calculateTorque",
    summary="What a joint may be turned to, and what governs that",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_torque(data: JSONBody[TorqueQuestion]) -> TorqueAnswer:
    """Torque at the lowest friction, force at the highest, the weakest part named."""
    return TorqueAnswer.of(ask_torque(to_domain(data, TorqueAsked)))


@post(
    "/calculations/tightening-angle",
    operation_id="calculateTighteningAngle",
    summary="What force a snug torque and an angle give",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_tightening_angle(data: JSONBody[AngleQuestion]) -> AngleAnswer:
    """The force from stretch and stiffness as a range, and whether the screw may yield."""
    return AngleAnswer.of(*ask_angle(to_domain(data, AngleAsked)))


@post(
    "/calculations/thread-engagement",
    operation_id="calculateThreadEngagement",
    summary="What a tapped hole bears, and the engagement for full strength",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_thread_engagement(data: JSONBody[EngagementQuestion]) -> ThreadEngagementAnswer:
    """Strip loads of effective engagement, by limits of size and the low end of the material."""
    return ThreadEngagementAnswer.of(*ask_engagement(to_domain(data, EngagementAsked)))


@post(
    "/calculations/wrench-setting",
    operation_id="calculateWrenchSetting",
    summary="What to set on a torque wrench that carries an adapter",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_wrench_setting(data: JSONBody[WrenchSettingQuestion]) -> WrenchSettingAnswer:
    """By statics: in line, square, backwards, or at any angle."""
    return WrenchSettingAnswer.of(ask_setting(to_domain(data, SettingAsked)))


@post(
    "/calculations/torque-chart",
    operation_id="calculateTorqueChart",
    summary="A chart's torque for your threads, and whether its rows hold water",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_torque_chart(data: JSONBody[TorqueChartQuestion]) -> TorqueChartAnswer:
    """A lubricated chart is not reduced twice; rows are tested along the sizes."""
    return TorqueChartAnswer.of(*ask_chart(to_domain(data, ChartAsked)))


ROUTES = (read_fastener_sheet,)
CALCULATION_ROUTES = (
    calculate_torque,
    calculate_tightening_angle,
    calculate_thread_engagement,
    calculate_wrench_setting,
    calculate_torque_chart,
)
