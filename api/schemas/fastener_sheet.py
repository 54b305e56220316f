"""All about a fastener: thread, strength, tightening, the sizes that go with it."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, DecimalOut, Flag, QuantityOut
from api.schemas.figures import computed, computed_or_null, computed_quantity, quantity_or_null
from api.schemas.torque import CAUTIONS, NOTES, AsReadOut
from shared.designations.model import Fastener, Hand
from shared.fasteners.lookup import FastenerAnswer, HeadSize, SocketKey, Tightening, WasherSize


class ThreadOut(Answer):
    """A thread of a published series; diameters are basic ones."""

    designation: str = Field(description="Its name.", examples=["M8x1.25"], max_length=60)
    standard: str = Field(
        description="Where its sizes are from, with the edition.",
        examples=["ISO 261 (sizes), ISO 724 (diameters), 1998"],
        max_length=200,
    )
    series: str = Field(description="Its series.", examples=["metric coarse"], max_length=40)
    hand: Hand = Field(
        description="right unless the designation says LH; a part nobody looked at may be either.",
        examples=["right"],
    )
    major_diameter: QuantityOut = Field(
        description="Major diameter.", examples=[{"value": "8.00000000", "unit": "mm"}]
    )
    pitch: QuantityOut = Field(
        description="Pitch.", examples=[{"value": "1.25000000", "unit": "mm"}]
    )
    turns_per_inch: DecimalOut | None = Field(
        description="Threads per inch, where the standard counts so.", examples=[None]
    )
    flank_angle: QuantityOut = Field(
        description="Angle between the flanks.", examples=[{"value": "60.0000000", "unit": "deg"}]
    )
    pitch_diameter: QuantityOut = Field(
        description="Pitch diameter.", examples=[{"value": "7.18810118", "unit": "mm"}]
    )
    minor_diameter: QuantityOut = Field(
        description="Minor diameter of the hole.", examples=[{"value": "6.64683531", "unit": "mm"}]
    )
    root_diameter: QuantityOut = Field(
        description="Diameter at the bottom of the screw's thread.",
        examples=[{"value": "6.46641335", "unit": "mm"}],
    )
    stress_area: QuantityOut | None = Field(
        description="Tensile stress area; null for pipe threads.",
        examples=[{"value": "36.6085408", "unit": "mm2"}],
    )

    @classmethod
    def of(cls, fastener: Fastener) -> Self:
        """Carry a fastener's thread over the border."""
        thread = fastener.thread
        turns = thread.turns_per_inch
        return cls(
            designation=thread.designation,
            standard=f"{thread.standard}, {thread.edition}",
            series=thread.series.value,
            hand=fastener.hand,
            major_diameter=computed_quantity(thread.major, "mm"),
            pitch=computed_quantity(thread.pitch, "mm"),
            turns_per_inch=computed_or_null(turns),
            flank_angle=computed_quantity(thread.flank_angle, "deg"),
            pitch_diameter=computed_quantity(thread.pitch_diameter, "mm"),
            minor_diameter=computed_quantity(thread.minor_internal, "mm"),
            root_diameter=computed_quantity(thread.root_external, "mm"),
            stress_area=quantity_or_null(thread.stress_area, "mm2"),
        )


class TighteningOut(Answer):
    """What the screw alone may be turned to in one condition of thread and head."""

    condition: str = Field(
        description="State of thread and head; unknown where nobody knows: no paste, wax or film.",
        examples=["oiled"],
        max_length=40,
    )
    friction: DecimalOut = Field(
        description="Lowest coefficient of friction of the condition: the torque is safe at it.",
        examples=["0.0800000000"],
    )
    friction_highest: DecimalOut = Field(
        description="Highest coefficient of friction of the condition: preload is what is left.",
        examples=["0.160000000"],
    )
    torque: QuantityOut = Field(
        description="Torque to set. The hole, the nut or the seat of the head may allow less.",
        examples=[{"value": "17.4027503", "unit": "N·m"}],
    )
    torque_as_read: AsReadOut = Field(description="The same as the trade reads it.")
    preload: QuantityOut = Field(
        description="Force in the screw that this torque surely gives, at the highest friction.",
        examples=[{"value": "9094.88000", "unit": "N"}],
    )
    preload_most: QuantityOut = Field(
        description="Force that it may give, at the lowest friction: what the parts have to bear.",
        examples=[{"value": "19548.0000", "unit": "N"}],
    )
    basis: str = Field(
        description="Where the friction is from, and what to know of the condition.",
        examples=["oiled (VDI 2230-1 friction classes, from memory)"],
        max_length=900,
    )

    @classmethod
    def of(cls, found: Tightening) -> Self:
        """Carry it over the border."""
        return cls(
            condition=found.condition,
            friction=computed(found.friction),
            friction_highest=computed(found.friction_highest),
            torque=computed_quantity(found.torque, "N·m"),
            torque_as_read=AsReadOut.of(found.torque),
            preload=computed_quantity(found.preload, "N"),
            preload_most=computed_quantity(found.preload_most, "N"),
            basis=found.basis,
        )


class HexagonOut(Answer):
    """A hexagon that such screws and nuts are made with."""

    kind: str = Field(description="Which.", examples=["hexagon"], max_length=80)
    standard: str = Field(description="Its standard.", examples=["ISO 272"], max_length=80)
    across_flats: QuantityOut = Field(
        description="Width across flats.", examples=[{"value": "13.0000000", "unit": "mm"}]
    )

    @classmethod
    def of(cls, head: HeadSize) -> Self:
        """Carry it over the border."""
        return cls(
            kind=head.kind,
            standard=head.standard,
            across_flats=computed_quantity(head.across_flats, "mm"),
        )


class SocketKeyOut(Answer):
    """The hexagon key of a socket screw."""

    form: str = Field(description="Which screw.", examples=["socket cap"], max_length=80)
    standard: str = Field(description="Its standard.", examples=["ISO 4762"], max_length=80)
    key: QuantityOut = Field(
        description="Width across flats of the key.",
        examples=[{"value": "6.00000000", "unit": "mm"}],
    )

    @classmethod
    def of(cls, socket: SocketKey) -> Self:
        """Carry it over the border."""
        return cls(
            form=socket.form,
            standard=socket.standard,
            key=computed_quantity(socket.key, "mm"),
        )


class WasherOut(Answer):
    """A washer made for such screws."""

    form: str = Field(description="Which.", examples=["plain"], max_length=80)
    standard: str = Field(description="Its standard.", examples=["ISO 7089"], max_length=80)
    inside: QuantityOut = Field(
        description="Hole.", examples=[{"value": "8.40000000", "unit": "mm"}]
    )
    outside: QuantityOut = Field(
        description="Outside diameter.", examples=[{"value": "16.0000000", "unit": "mm"}]
    )
    thickness: QuantityOut = Field(
        description="Thickness.", examples=[{"value": "1.60000000", "unit": "mm"}]
    )

    @classmethod
    def of(cls, washer: WasherSize) -> Self:
        """Carry it over the border."""
        return cls(
            form=washer.form,
            standard=washer.standard,
            inside=computed_quantity(washer.inside, "mm"),
            outside=computed_quantity(washer.outside, "mm"),
            thickness=computed_quantity(washer.thickness, "mm"),
        )


class FastenerSheetOut(Answer):
    """What is known of a fastener by its designation."""

    designation: str = Field(
        description="Its canonical designation.", examples=["M8x1.25x40 8.8"], max_length=200
    )
    form: str = Field(
        description="screw, nut, or thread where not said.", examples=["thread"], max_length=10
    )
    thread: ThreadOut = Field(description="Its thread.")
    length: QuantityOut | None = Field(
        description="Nominal length, where written.",
        examples=[{"value": "40.0000000", "unit": "mm"}],
    )
    property_class: str | None = Field(
        description="Its property class, where written.", examples=["8.8"], max_length=20
    )
    counted_class: str | None = Field(
        description="The class of the loads below: the lowest where none is written; null where"
        " there is none to count.",
        examples=["8.8"],
        max_length=20,
    )
    is_class_assumed: Flag = Field(
        description="Whether counted_class stands in for a mark that is missing.", examples=[False]
    )
    proof_load: QuantityOut | None = Field(
        description="Load that leaves no lasting stretch; null where the standard states none.",
        examples=[{"value": "21232.9536", "unit": "N"}],
    )
    yield_load: QuantityOut | None = Field(
        description="Least load at which it yields.",
        examples=[{"value": "23429.4661", "unit": "N"}],
    )
    tensile_load: QuantityOut | None = Field(
        description="Least load at which it breaks.",
        examples=[{"value": "29286.8326", "unit": "N"}],
    )
    tightening: tuple[TighteningOut, ...] = Field(
        description="Torque and force by condition of thread and head, the unknown first; empty"
        " where none can be told (notes say why). Torque by the lowest friction that the condition"
        " may have, force by the highest.",
        max_length=12,
    )
    tap_drill: QuantityOut | None = Field(
        description="Tap drill, where one is listed.",
        examples=[{"value": "6.80000000", "unit": "mm"}],
    )
    tap_drill_name: str | None = Field(
        description="Its name where it has one.", examples=["6.8"], max_length=20
    )
    clearance_hole: QuantityOut | None = Field(
        description="Clearance hole, medium series, where one is listed.",
        examples=[{"value": "9.00000000", "unit": "mm"}],
    )
    hexagons: tuple[HexagonOut, ...] = Field(
        description="Heads and nuts that such threads are made with.", max_length=30
    )
    socket_keys: tuple[SocketKeyOut, ...] = Field(
        description="Hexagon keys of the socket screws of such threads.", max_length=30
    )
    washers: tuple[WasherOut, ...] = Field(
        description="Washers made for such screws.", max_length=30
    )
    words: tuple[str, ...] = Field(
        description="What was written besides, kept as it stood.",
        examples=[["hexagon head"]],
        max_length=30,
    )
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = CAUTIONS

    @classmethod
    def of(cls, found: FastenerAnswer) -> Self:
        """Carry it over the border."""
        fastener = found.fastener
        return cls(
            designation=fastener.canonical,
            form=fastener.form.value,
            thread=ThreadOut.of(fastener),
            length=quantity_or_null(fastener.length, "mm"),
            property_class=fastener.property_class,
            counted_class=found.counted_class,
            is_class_assumed=found.counted_class is not None and fastener.property_class is None,
            proof_load=quantity_or_null(found.proof_load, "N"),
            yield_load=quantity_or_null(found.yield_load, "N"),
            tensile_load=quantity_or_null(found.tensile_load, "N"),
            tightening=tuple(TighteningOut.of(one) for one in found.tightening),
            tap_drill=quantity_or_null(found.tap_drill, "mm"),
            tap_drill_name=found.tap_drill_name,
            clearance_hole=quantity_or_null(found.clearance_hole, "mm"),
            hexagons=tuple(HexagonOut.of(head) for head in found.heads),
            socket_keys=tuple(SocketKeyOut.of(one) for one in found.socket_keys),
            washers=tuple(WasherOut.of(washer) for washer in found.washers),
            words=fastener.words,
            notes=found.notes,
            cautions=found.cautions,
        )
