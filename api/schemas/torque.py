"""What a joint may be turned to: question and answer."""

from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Annotated, Final, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    DecimalText,
    Flag,
    PositiveDecimalText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.figures import computed, computed_quantity, quantity_or_null
from shared.designations.model import Fastener
from shared.fasteners.asking import JointTorque
from shared.fasteners.friction import FrictionRange
from shared.fasteners.joint import PartLimit
from shared.quantities.printed import AsWritten, customary, metric, plain
from shared.standards.nuts import NutStyle

_THREE_DIGITS: Final = Context(prec=3, rounding=ROUND_HALF_EVEN)
DESIGNATION: Final = "The screw as people write it: M8x1.25x40 8.8, 3/8-16 UNC SAE 5."
LUBRICATION: Final = (
    "State of thread and head, a word of the table: dry, oiled, zinc, anti-seize, ... If neither it"
    " nor friction is given, the range is that of a screw nobody knows."
)
NOTES = Field(
    description="How the question was understood, and what the figures rest on.",
    examples=[["What was not given counts one pitch."]],
    max_length=40,
)
CAUTIONS = Field(
    description="What to mind. Local codes and licensed practice come first.",
    examples=[["The maker's own torque for this joint comes first."]],
    max_length=20,
)


class FrictionIn(Body):
    """Coefficients of friction of thread and head alike (ISO 16047), not nut factors."""

    lowest: DecimalText = Field(description="The lowest that may be.", examples=["0.10"])
    highest: DecimalText = Field(description="The highest that may be.", examples=["0.16"])


class BearingFaceIn(Body):
    """The ring under the head or nut that turns on the part."""

    outside: QuantityIn = Field(
        description="Its outside diameter.", examples=[{"value": "11.6", "unit": "mm"}]
    )
    inside: QuantityIn | None = Field(
        default=None,
        description="The hole in the part; the medium one of its standard if not given.",
        examples=[{"value": "9", "unit": "mm"}],
    )


EngagementIn = Annotated[
    QuantityIn | None,
    Field(
        description="Length from the face of the hole to the last thread that meets.",
        examples=[{"value": "16", "unit": "mm"}],
    ),
]
ChamferIn = Annotated[
    QuantityIn | None,
    Field(
        description="Depth of the hole's countersink; one pitch if not given.",
        examples=[{"value": "1", "unit": "mm"}],
    ),
]
IncompleteThreadsIn = Annotated[
    QuantityIn | None,
    Field(
        description="Length of threads that are not full, at the screw's point or the hole's end;"
        " one pitch if not given.",
        examples=[{"value": "1.25", "unit": "mm"}],
    ),
]


class TorqueQuestion(Body):
    """A screw, its friction, and what it goes into; what is left out counts as not checked."""

    designation: ShortText = Field(description=DESIGNATION, examples=["M8x1.25x40 8.8"])
    lubrication: ShortText | None = Field(default=None, description=LUBRICATION, examples=["oiled"])
    friction: FrictionIn | None = Field(
        default=None, description="The range of friction, where it is known better than in words."
    )
    hole_material: ShortText | None = Field(
        default=None,
        description="Material of the tapped hole, a word of the table; with engagement.",
        examples=["cast aluminium"],
    )
    engagement: EngagementIn = None
    chamfer: ChamferIn = None
    incomplete_threads: IncompleteThreadsIn = None
    nut_class: ShortText | None = Field(
        default=None,
        description="Class marked on the nut, where there is one: 8, |8|, SAE 5.",
        examples=["8"],
    )
    nut_style: NutStyle | None = Field(
        default=None,
        description="How high the nut is; regular if not given, where the class has it.",
        examples=["regular"],
    )
    nut_is_older: Flag | None = Field(
        default=None,
        description="Whether the nut is of the older, lower kind (0.8 d high, its mark between two"
        " strokes); the lesser load counts if not given.",
        examples=[False],
    )
    head_seat_material: ShortText | None = Field(
        default=None,
        description="Material under the head, a word of the same table.",
        examples=["S355"],
    )
    bearing_face: BearingFaceIn | None = Field(
        default=None,
        description="The head's own face, not a washer's; that of its standard if not given.",
    )
    replaces: ShortText | None = Field(
        default=None,
        description="The screw of the same thread that this one stands in for: the joint keeps the"
        " torque of the weaker.",
        examples=["M8x1.25x40 8.8"],
    )
    stated_torque: QuantityIn | None = Field(
        default=None,
        description="The joint's own torque by its book: it stands where it is within the ceiling.",
        examples=[{"value": "18", "unit": "N·m"}],
    )
    tightening_factor: PositiveDecimalText = Field(
        default=Decimal("1.8"),
        description="Scatter of the way of tightening, greatest force over least: 1.4 to 1.8 with a"
        " torque wrench; 1.8 if not given.",
        examples=["1.8"],
    )


class AsReadOut(Answer):
    """A torque as the trade reads it, three digits."""

    metric: str = Field(description="In N·m.", examples=["17.3 N·m"], max_length=40)
    customary: str = Field(
        description="In ft-lb, below 10 of them in in-lb.", examples=["12.8 ft-lb"], max_length=40
    )

    @classmethod
    def of(cls, torque: float) -> Self:
        """Print a torque in N·m in both notations."""
        value = _THREE_DIGITS.create_decimal_from_float(torque)
        written = [AsWritten(value, "N·m", plain(value))]
        return cls(metric=metric("torque", written), customary=customary("torque", written))


class FrictionOut(Answer):
    """The range of friction that was counted with."""

    lowest: DecimalOut = Field(description="Lowest coefficient.", examples=["0.0800000000"])
    highest: DecimalOut = Field(description="Highest coefficient.", examples=["0.160000000"])
    basis: str = Field(
        description="Where it is from.",
        examples=["oiled (VDI 2230-1 friction classes, from memory)"],
        max_length=500,
    )

    @classmethod
    def of(cls, friction: FrictionRange) -> Self:
        """Carry a range over the border."""
        return cls(
            lowest=computed(friction.least),
            highest=computed(friction.most),
            basis=friction.basis,
        )


class PreloadOut(Answer):
    """The force in the screw, between these two."""

    least: QuantityOut = Field(
        description="What it can be counted on to give: highest friction, wrench reading low. What"
        " a locking nut or patch takes of the torque comes off it.",
        examples=[{"value": "8900.00000", "unit": "N"}],
    )
    most: QuantityOut = Field(
        description="What it may give: lowest friction, wrench reading high.",
        examples=[{"value": "19551.0000", "unit": "N"}],
    )

    @classmethod
    def of(cls, least: float, most: float) -> Self:
        """Carry a range of force in N over the border."""
        return cls(least=computed_quantity(least, "N"), most=computed_quantity(most, "N"))


class PartLimitOut(Answer):
    """What one part of the joint allows."""

    part: str = Field(
        description="screw, screw thread, hole thread, nut or head seat.",
        examples=["hole thread"],
        max_length=20,
    )
    is_checked: Flag = Field(description="Whether anything is known of it.", examples=[True])
    force: QuantityOut | None = Field(
        description="Force that it allows; null where it was not checked.",
        examples=[{"value": "14671.5295", "unit": "N"}],
    )
    torque: QuantityOut | None = Field(
        description="Torque at which that force may be reached; null where it was not checked.",
        examples=[{"value": "13.8433000", "unit": "N·m"}],
    )
    note: str = Field(
        description="By what rule, or why not.", examples=["90 % of the yield"], max_length=400
    )

    @classmethod
    def of(cls, limit: PartLimit) -> Self:
        """Carry a limit over the border."""
        return cls(
            part=limit.part,
            is_checked=limit.is_checked,
            force=quantity_or_null(limit.force, "N"),
            torque=quantity_or_null(limit.torque, "N·m"),
            note=limit.note,
        )


class ScrewOut(Answer):
    """The screw as it was understood."""

    designation: str = Field(
        description="Its canonical designation.", examples=["M8x1.25x40 8.8"], max_length=200
    )
    thread: str = Field(description="Its thread.", examples=["M8x1.25"], max_length=60)
    counted_class: str = Field(
        description="The property class counted with: that of the mark, or the lowest.",
        examples=["8.8"],
        max_length=20,
    )

    @classmethod
    def of(cls, fastener: Fastener, counted_class: str) -> Self:
        """Carry a screw over the border."""
        return cls(
            designation=fastener.canonical,
            thread=fastener.thread.designation,
            counted_class=counted_class,
        )


class TorqueAnswer(Answer):
    """What the joint may be turned to, what governs that, and what force it surely gives."""

    screw: ScrewOut = Field(description="The screw as understood.")
    friction: FrictionOut = Field(description="The friction counted with.")
    torque: QuantityOut = Field(
        description="What to set: the ceiling less the 6 % that a wrench may read wrong, or the"
        " joint's own torque.",
        examples=[{"value": "13.0597077", "unit": "N·m"}],
    )
    torque_as_read: AsReadOut = Field(description="The same as the trade reads it.")
    preload: PreloadOut = Field(
        description="The force at that torque, before the joint settles (a few per cent)."
    )
    ceiling: QuantityOut = Field(
        description="The torque above which a part may fail at the lowest friction.",
        examples=[{"value": "13.8432902", "unit": "N·m"}],
    )
    governed_by: str = Field(
        description="The part that allows least.", examples=["hole thread"], max_length=20
    )
    is_whole: Flag = Field(
        description="Whether every part was checked; if not, the ceiling may lie lower.",
        examples=[True],
    )
    is_stated_within: Flag | None = Field(
        description="Whether the stated torque is within what is computed here; null: none stated.",
        examples=[None],
    )
    steps: tuple[QuantityOut, ...] = Field(
        description="Torques on the way where several screws hold one part, crosswise.",
        max_length=5,
    )
    checks: tuple[PartLimitOut, ...] = Field(description="Part by part.", max_length=8)
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = CAUTIONS

    @classmethod
    def of(cls, found: JointTorque) -> Self:
        """Carry a joint's torque over the border."""
        permitted = found.permitted
        return cls(
            screw=ScrewOut.of(found.joint.fastener, permitted.counted_class),
            friction=FrictionOut.of(found.joint.friction),
            torque=computed_quantity(permitted.torque, "N·m"),
            torque_as_read=AsReadOut.of(permitted.torque),
            preload=PreloadOut.of(permitted.preload_least, permitted.preload_most),
            ceiling=computed_quantity(permitted.ceiling, "N·m"),
            governed_by=permitted.governed_by,
            is_whole=permitted.is_whole,
            is_stated_within=permitted.is_stated_within,
            steps=tuple(computed_quantity(step, "N·m") for step in permitted.steps),
            checks=tuple(PartLimitOut.of(limit) for limit in permitted.limits),
            notes=permitted.notes,
            cautions=permitted.cautions,
        )
