"""Questions on torque as they are asked: quantities in their own units, words of the tables."""

from dataclasses import dataclass
from decimal import Decimal

from shared.fasteners.charts import Condition
from shared.fasteners.wrench import Position
from shared.quantities import Quantity
from shared.standards.nuts import NutStyle


@dataclass(frozen=True, slots=True)
class FrictionAsked:
    """Lowest and highest coefficient of friction that may be."""

    lowest: Decimal
    highest: Decimal


@dataclass(frozen=True, slots=True)
class FaceAsked:
    """The ring under the head, as measured."""

    outside: Quantity
    inside: Quantity | None = None


@dataclass(frozen=True, slots=True)
class TorqueAsked:
    """What is asked of ``permitted_torque``."""

    designation: str
    lubrication: str | None = None
    friction: FrictionAsked | None = None
    hole_material: str | None = None
    engagement: Quantity | None = None
    chamfer: Quantity | None = None
    incomplete_threads: Quantity | None = None
    nut_class: str | None = None
    nut_style: NutStyle | None = None
    nut_is_older: bool | None = None
    head_seat_material: str | None = None
    bearing_face: FaceAsked | None = None
    replaces: str | None = None
    stated_torque: Quantity | None = None
    tightening_factor: Decimal = Decimal("1.8")


@dataclass(frozen=True, slots=True)
class AngleAsked:
    """What is asked of ``tighten_by_angle``."""

    designation: str
    snug_torque: Quantity
    angle: Quantity
    clamp_length: Quantity
    lubrication: str | None = None
    friction: FrictionAsked | None = None
    bearing_face: FaceAsked | None = None


@dataclass(frozen=True, slots=True)
class EngagementAsked:
    """What is asked of ``engagement_needed``."""

    designation: str
    hole_material: str
    engagement: Quantity | None = None
    chamfer: Quantity | None = None
    incomplete_threads: Quantity | None = None


@dataclass(frozen=True, slots=True)
class SettingAsked:
    """What is asked of ``wrench_setting``; ``position`` or ``angle``."""

    target: Quantity
    wrench_length: Quantity
    adapter_length: Quantity
    position: Position | None = None
    angle: Quantity | None = None


@dataclass(frozen=True, slots=True)
class ChartRowAsked:
    """One row of a chart; ``highest_torque`` where it gives a range."""

    designation: str
    torque: Quantity
    highest_torque: Quantity | None = None
    heading: Condition | None = None


@dataclass(frozen=True, slots=True)
class ChartAsked:
    """What is asked of ``read_chart`` and ``judge_rows``: either or both."""

    torque: Quantity | None = None
    chart_condition: Condition | None = None
    own_condition: Condition | None = None
    lubricated_share: Decimal | None = None
    rows: tuple[ChartRowAsked, ...] = ()
