"""Turns questions on torque into the values that the computation takes, and asks it.

Every InvalidInput points at the member of the question that it is about.
"""

from dataclasses import dataclass

from shared.designations.model import Fastener
from shared.designations.reading import read_fastener
from shared.errors import InvalidInput
from shared.fasteners.asked import (
    AngleAsked,
    ChartAsked,
    ChartRowAsked,
    EngagementAsked,
    FaceAsked,
    FrictionAsked,
    SettingAsked,
    TorqueAsked,
)
from shared.fasteners.charts import ChartReading, ChartRow, JudgedRow, judge_rows, read_chart
from shared.fasteners.engagement import EngagementAnswer, engagement_needed
from shared.fasteners.faces import face_of, stated_face, widest_face_of
from shared.fasteners.friction import FrictionRange, friction_for, stated_friction
from shared.fasteners.joint import Joint, NutUsed, PermittedTorque, TappedHole
from shared.fasteners.nut import nut_used
from shared.fasteners.shapes import check_is_screw
from shared.fasteners.strength import screw_strength
from shared.fasteners.tightening import AngleTightening, tighten_by_angle
from shared.fasteners.torque import permitted_torque
from shared.fasteners.turning import BearingFace
from shared.fasteners.wrench import ANGLE_OF, WrenchSetting, wrench_setting
from shared.quantities import Quantity, canonical_without_doubt
from shared.standards.hole_materials import HoleMaterial, hole_material_of


@dataclass(frozen=True, slots=True)
class JointTorque:
    """The answer to TorqueAsked: the joint as understood, and what it may be turned to."""

    joint: Joint
    permitted: PermittedTorque


def ask_torque(asked: TorqueAsked) -> JointTorque:
    """Return what the joint asked of may be turned to."""
    fastener = _screw(asked.designation)
    stated = asked.stated_torque
    joint = Joint(
        fastener=fastener,
        friction=_friction(fastener, asked.lubrication, asked.friction),
        face=_face(fastener, asked.bearing_face),
        widest_face=None if asked.bearing_face else widest_face_of(fastener),
        hole=_hole(asked),
        nut=_nut(fastener, asked),
        seat=_material(asked.head_seat_material, "/head_seat_material"),
        replaces=None if asked.replaces is None else read_fastener(asked.replaces, "/replaces"),
        stated_torque=None if stated is None else amount(stated, "torque", "/stated_torque"),
        tightening_factor=float(asked.tightening_factor),
    )
    return JointTorque(joint, permitted_torque(joint))


def ask_angle(asked: AngleAsked) -> tuple[Fastener, FrictionRange, AngleTightening]:
    """Return the screw and friction as understood, and what the angle gives."""
    fastener = _screw(asked.designation)
    friction = _friction(fastener, asked.lubrication, asked.friction)
    found = tighten_by_angle(
        fastener,
        friction,
        _face(fastener, asked.bearing_face),
        snug=amount(asked.snug_torque, "torque", "/snug_torque"),
        angle=amount(asked.angle, "angle", "/angle"),
        clamp_length=amount(asked.clamp_length, "length", "/clamp_length"),
    )
    return fastener, friction, found


def ask_engagement(asked: EngagementAsked) -> tuple[Fastener, HoleMaterial, EngagementAnswer]:
    """Return the screw and material as understood, and what the hole bears."""
    fastener = _screw(asked.designation)
    material = hole_material_of(asked.hole_material)
    found = engagement_needed(
        fastener,
        material,
        _length(asked.engagement, "/engagement"),
        _length(asked.chamfer, "/chamfer"),
        _length(asked.incomplete_threads, "/incomplete_threads"),
    )
    return fastener, material, found


def ask_setting(asked: SettingAsked) -> WrenchSetting:
    """Return what to set on the wrench.

    Raises InvalidInput unless either position or angle is given, and for lengths of no wrench.
    """
    if (asked.position is None) is (asked.angle is None):
        raise InvalidInput(
            "/position",
            "Wanted either position or angle, one of them.",
            "Give position (in line, square, backwards), or the angle between them.",
            "position",
        )
    degrees = 0.0
    if asked.angle is not None:
        degrees = amount(asked.angle, "angle", "/angle")
    elif asked.position is not None:
        degrees = ANGLE_OF[asked.position]
    return wrench_setting(
        amount(asked.target, "torque", "/target"),
        amount(asked.wrench_length, "length", "/wrench_length"),
        amount(asked.adapter_length, "length", "/adapter_length"),
        degrees,
    )


def ask_chart(asked: ChartAsked) -> tuple[ChartReading | None, tuple[JudgedRow, ...]]:
    """Return the chart's torque for the own threads, and its rows judged, as asked.

    Raises InvalidInput where a condition is missing, or the torque to which it belongs.
    """
    reading = None
    if asked.torque is None and (asked.own_condition or asked.lubricated_share is not None):
        raise InvalidInput(
            "/torque",
            "Got own_condition or lubricated_share without the chart's torque: rows are judged as"
            " printed, and not turned to other threads.",
            "Give the chart's torque for your screw; or leave both out, to have the rows judged.",
            "torque-missing",
        )
    if asked.torque is not None:
        if asked.chart_condition is None or asked.own_condition is None:
            missing = "chart_condition" if asked.chart_condition is None else "own_condition"
            raise InvalidInput(
                f"/{missing}",
                f"Got a torque without {missing}: whether it changes cannot be told.",
                "Say dry or lubricated: what the chart states, and what your threads are.",
                "condition-missing",
            )
        reading = read_chart(
            amount(asked.torque, "torque", "/torque"),
            asked.chart_condition,
            asked.own_condition,
            None if asked.lubricated_share is None else float(asked.lubricated_share),
        )
    if reading is None and not asked.rows:
        raise InvalidInput(
            "/torque", "Got neither a torque nor rows.", "Give one of them.", "nothing-asked"
        )
    return reading, judge_rows([_row(row, index) for index, row in enumerate(asked.rows)])


def amount(quantity: Quantity, kind: str, pointer: str) -> float:
    """Return a quantity in the canonical unit of ``kind``.

    Raises InvalidInput for another dimension, and for one that states its doubt: which of its ends
    is the safe one, the asker decides.
    """
    return canonical_without_doubt(
        quantity,
        kind,
        pointer,
        detail="This figure states an uncertainty, which would not be counted here.",
        fix="Give the least favourable value that it may have.",
    )


def _length(quantity: Quantity | None, pointer: str) -> float | None:
    return None if quantity is None else amount(quantity, "length", pointer)


def _screw(text: str) -> Fastener:
    fastener = read_fastener(text)
    check_is_screw(fastener)
    return fastener


def _friction(
    fastener: Fastener, lubrication: str | None, stated: FrictionAsked | None
) -> FrictionRange:
    if stated is None:
        is_stainless = screw_strength(fastener).is_stainless
        return friction_for(lubrication, is_stainless=is_stainless, finish=fastener.words)
    if lubrication is not None:
        raise InvalidInput(
            "/lubrication",
            "Got friction and lubrication: two answers to one question.",
            "Keep one of them.",
            "friction-twice",
        )
    return stated_friction(float(stated.lowest), float(stated.highest))


def _face(fastener: Fastener, stated: FaceAsked | None) -> BearingFace:
    if stated is None:
        return face_of(fastener)
    outside = amount(stated.outside, "length", "/bearing_face/outside")
    return stated_face(outside, _length(stated.inside, "/bearing_face/inside"), fastener)


def _material(words: str | None, pointer: str) -> HoleMaterial | None:
    return None if words is None else hole_material_of(words, pointer)


def _hole(asked: TorqueAsked) -> TappedHole | None:
    material = _material(asked.hole_material, "/hole_material")
    engagement = _length(asked.engagement, "/engagement")
    if material is None and engagement is None:
        if asked.chamfer is not None or asked.incomplete_threads is not None:
            raise _half_told("/engagement", "the chamfer or incomplete threads of a hole")
        return None
    if material is None or engagement is None:
        missing, given = ("hole_material", "engagement")
        if engagement is None:
            missing, given = given, missing
        raise InvalidInput(
            f"/{missing}",
            f"Got {given} without {missing}: what the hole bears cannot be told.",
            "Give both, or neither: the hole then counts as not checked.",
            "hole-half-known",
        )
    return TappedHole(
        material,
        engagement,
        _length(asked.chamfer, "/chamfer"),
        _length(asked.incomplete_threads, "/incomplete_threads"),
    )


def _nut(fastener: Fastener, asked: TorqueAsked) -> NutUsed | None:
    if asked.nut_class is None:
        if asked.nut_style is not None or asked.nut_is_older is not None:
            raise _half_told("/nut_class", "a nut's height or age")
        return None
    return nut_used(fastener, asked.nut_class, asked.nut_style, asked.nut_is_older)


def _half_told(pointer: str, what: str) -> InvalidInput:
    return InvalidInput(
        pointer,
        f"Got {what} without {pointer[1:]}.",
        f"Give {pointer[1:]} too, or leave it out.",
        "half-told",
    )


def _row(row: ChartRowAsked, index: int) -> ChartRow:
    at = f"/rows/{index}"
    torque = amount(row.torque, "torque", f"{at}/torque")
    if row.highest_torque is not None:
        highest = amount(row.highest_torque, "torque", f"{at}/highest_torque")
        if highest < torque:
            raise InvalidInput(
                f"{at}/highest_torque",
                "The range is upside down.",
                "Exchange torque and highest_torque.",
                "upside-down",
            )
        torque = (torque + highest) / 2
    return ChartRow(read_fastener(row.designation, f"{at}/designation"), torque, row.heading)
