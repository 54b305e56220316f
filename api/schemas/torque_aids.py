"""Tightening by angle, a wrench with an adapter, torque charts: questions and answers."""

from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    PositiveDecimalText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.figures import computed, computed_quantity
from api.schemas.torque import (
    CAUTIONS,
    DESIGNATION,
    LUBRICATION,
    NOTES,
    AsReadOut,
    BearingFaceIn,
    FrictionIn,
    FrictionOut,
    PreloadOut,
    ScrewOut,
)
from shared.designations.model import Fastener
from shared.fasteners.charts import ChartReading, Condition, JudgedRow, RowVerdict
from shared.fasteners.friction import FrictionRange
from shared.fasteners.tightening import AngleTightening
from shared.fasteners.wrench import Position, WrenchSetting


class AngleQuestion(Body):
    """A snug torque and then an angle; without the clamped length no force can be told."""

    designation: ShortText = Field(description=DESIGNATION, examples=["M10x1.5x70 10.9"])
    snug_torque: QuantityIn = Field(
        description="Torque before the angle.", examples=[{"value": "30", "unit": "N·m"}]
    )
    angle: QuantityIn = Field(
        description="Angle turned further, at most 360 degrees.",
        examples=[{"value": "90", "unit": "deg"}],
    )
    clamp_length: QuantityIn = Field(
        description="Thickness of all that lies between head and first engaged thread.",
        examples=[{"value": "50", "unit": "mm"}],
    )
    lubrication: ShortText | None = Field(default=None, description=LUBRICATION, examples=["oiled"])
    friction: FrictionIn | None = Field(
        default=None, description="The range of friction, where it is known better than in words."
    )
    bearing_face: BearingFaceIn | None = Field(
        default=None, description="The face under the head; that of its standard if not given."
    )


class AngleAnswer(Answer):
    """What force a snug torque and an angle give."""

    screw: ScrewOut = Field(description="The screw as understood.")
    friction: FrictionOut = Field(description="The friction counted with.")
    travel: QuantityOut = Field(
        description="How far the thread advances in the angle, shared by screw and parts.",
        examples=[{"value": "0.375000000", "unit": "mm"}],
    )
    snug_preload: PreloadOut = Field(description="The force at the snug torque.")
    preload: PreloadOut = Field(
        description="The force after the angle: soft and stiff parts, ended at yield and at"
        " breaking."
    )
    preload_allowed: QuantityOut = Field(
        description="Force at 90 % of yield, tension and torsion together.",
        examples=[{"value": "41000.0000", "unit": "N"}],
    )
    goes_beyond_yield: Flag = Field(
        description="Whether the screw may yield: then only one made for it, and once.",
        examples=[False],
    )
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = CAUTIONS

    @classmethod
    def of(cls, fastener: Fastener, friction: FrictionRange, found: AngleTightening) -> Self:
        """Carry it over the border."""
        return cls(
            screw=ScrewOut.of(fastener, found.counted_class),
            friction=FrictionOut.of(friction),
            travel=computed_quantity(found.stretch, "mm"),
            snug_preload=PreloadOut.of(found.snug_least, found.snug_most),
            preload=PreloadOut.of(found.preload_least, found.preload_most),
            preload_allowed=computed_quantity(found.preload_allowed, "N"),
            goes_beyond_yield=found.goes_beyond_yield,
            notes=found.notes,
            cautions=found.cautions,
        )


class WrenchSettingQuestion(Body):
    """A torque to reach with an adapter on the wrench; position or angle says how it stands."""

    target: QuantityIn = Field(
        description="Torque wanted at the screw.", examples=[{"value": "90", "unit": "N·m"}]
    )
    wrench_length: QuantityIn = Field(
        description="Middle of the grip to middle of the square drive.",
        examples=[{"value": "300", "unit": "mm"}],
    )
    adapter_length: QuantityIn = Field(
        description="Middle of the square drive to middle of the screw; 0 for a socket or a"
        " straight extension.",
        examples=[{"value": "25", "unit": "mm"}],
    )
    position: Position | None = Field(
        default=None,
        description="How the adapter stands to the wrench.",
        examples=["in line"],
    )
    angle: QuantityIn | None = Field(
        default=None,
        description="The angle between them instead: 0 in line, 90 square, 180 backwards.",
        examples=[{"value": "0", "unit": "deg"}],
    )


class WrenchSettingAnswer(Answer):
    """What to set on the wrench."""

    setting: QuantityOut = Field(
        description="Target times L / (L + E cos angle).",
        examples=[{"value": "83.0769231", "unit": "N·m"}],
    )
    setting_as_read: AsReadOut = Field(description="The same as the trade reads it.")
    torque_per_setting: DecimalOut = Field(
        description="Torque at the screw over torque set.", examples=["1.08333333"]
    )
    notes: tuple[str, ...] = NOTES

    @classmethod
    def of(cls, found: WrenchSetting) -> Self:
        """Carry it over the border."""
        return cls(
            setting=computed_quantity(found.setting, "N·m"),
            setting_as_read=AsReadOut.of(found.setting),
            torque_per_setting=computed(found.ratio),
            notes=found.notes,
        )


class ChartRowIn(Body):
    """One row of a chart, as printed."""

    designation: ShortText = Field(description="The screw or thread.", examples=["M8 8.8"])
    torque: QuantityIn = Field(
        description="Its torque, or the lower end of its range.",
        examples=[{"value": "25", "unit": "N·m"}],
    )
    highest_torque: QuantityIn | None = Field(
        default=None,
        description="The upper end of its range.",
        examples=[{"value": "28", "unit": "N·m"}],
    )
    heading: Condition | None = Field(
        default=None,
        description="The column that it stands in, where the chart has two.",
        examples=["dry"],
    )


class TorqueChartQuestion(Body):
    """A chart's torque to turn to the own threads, or rows to be looked at, or both."""

    torque: QuantityIn | None = Field(
        default=None,
        description="The chart's torque; with chart_condition and own_condition.",
        examples=[{"value": "23", "unit": "ft-lb"}],
    )
    chart_condition: Condition | None = Field(
        default=None, description="Threads that the chart is for.", examples=["lubricated"]
    )
    own_condition: Condition | None = Field(
        default=None, description="The threads at hand.", examples=["dry"]
    )
    lubricated_share: PositiveDecimalText | None = Field(
        default=None,
        description="The chart's own rule: lubricated over dry torque (wet needs 80 %: 0.8).",
        examples=["0.8"],
    )
    rows: tuple[ChartRowIn, ...] = Field(
        default=(),
        description="Rows of one chart, to be held against each other.",
        max_length=100,
    )


class ChartReadingOut(Answer):
    """The chart's torque for the threads at hand."""

    torque: QuantityOut = Field(
        description="The torque.", examples=[{"value": "38.9797660", "unit": "N·m"}]
    )
    torque_as_read: AsReadOut = Field(description="The same as the trade reads it.")
    is_changed: Flag = Field(
        description="Whether it differs from the chart's own figure.", examples=[True]
    )
    note: str = Field(
        description="By what rule, or why not.",
        examples=["Turned once from lubricated to dry."],
        max_length=300,
    )

    @classmethod
    def of(cls, reading: ChartReading) -> Self:
        """Carry it over the border."""
        return cls(
            torque=computed_quantity(reading.torque, "N·m"),
            torque_as_read=AsReadOut.of(reading.torque),
            is_changed=reading.is_changed,
            note=reading.note,
        )


class JudgedRowOut(Answer):
    """A row of the chart and what to think of it."""

    designation: str = Field(
        description="The screw as understood.", examples=["M8x1.25 8.8"], max_length=200
    )
    torque: QuantityOut = Field(
        description="Its torque, the middle of its range.",
        examples=[{"value": "25.0000000", "unit": "N·m"}],
    )
    implied_stress: QuantityOut = Field(
        description="Tension that it comes to with a nut factor of 0.2.",
        examples=[{"value": "426.813000", "unit": "MPa"}],
    )
    verdict: RowVerdict = Field(
        description="plausible; copied from another size; out of line; headings swapped.",
        examples=["plausible"],
    )
    reason: str = Field(
        description="Why.", examples=["In line as far as can be told."], max_length=300
    )

    @classmethod
    def of(cls, judged: JudgedRow) -> Self:
        """Carry it over the border."""
        return cls(
            designation=judged.row.fastener.canonical,
            torque=computed_quantity(judged.row.torque, "N·m"),
            implied_stress=computed_quantity(judged.implied_stress, "MPa"),
            verdict=judged.verdict,
            reason=judged.reason,
        )


class TorqueChartAnswer(Answer):
    """The chart's torque for the own threads, and its rows."""

    reading: ChartReadingOut | None = Field(description="Null where no torque was asked.")
    rows: tuple[JudgedRowOut, ...] = Field(
        description="Row by row, in the order given.", max_length=100
    )

    @classmethod
    def of(cls, reading: ChartReading | None, rows: tuple[JudgedRow, ...]) -> Self:
        """Carry both over the border."""
        return cls(
            reading=None if reading is None else ChartReadingOut.of(reading),
            rows=tuple(JudgedRowOut.of(row) for row in rows),
        )
