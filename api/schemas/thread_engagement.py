"""What a tapped hole bears and how deep a screw must stand in it: question and answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, Body, DecimalOut, QuantityOut, ShortText
from api.schemas.figures import computed_or_null, computed_quantity, quantity_or_null
from api.schemas.torque import (
    CAUTIONS,
    DESIGNATION,
    NOTES,
    ChamferIn,
    EngagementIn,
    IncompleteThreadsIn,
    ScrewOut,
)
from shared.designations.model import Fastener
from shared.fasteners.engagement import EngagementAnswer
from shared.standards.hole_materials import HoleMaterial


class EngagementQuestion(Body):
    """A screw and the material of its hole; with the engagement, the loads at it."""

    designation: ShortText = Field(description=DESIGNATION, examples=["M8x1.25 8.8"])
    hole_material: ShortText = Field(
        description="Material of the tapped hole, a word of the table.", examples=["cast aluminium"]
    )
    engagement: EngagementIn = None
    chamfer: ChamferIn = None
    incomplete_threads: IncompleteThreadsIn = None


class HoleMaterialOut(Answer):
    """A material and what is counted of it."""

    material: str = Field(description="Its name.", examples=["EN AC-46000"], max_length=40)
    title: str = Field(
        description="What it is.", examples=["die-cast aluminium, as cast"], max_length=80
    )
    tensile_strength: QuantityOut = Field(
        description="Tensile strength counted on, the low end.",
        examples=[{"value": "150.000000", "unit": "MPa"}],
    )
    shear_strength: QuantityOut = Field(
        description="Shear strength counted on.",
        examples=[{"value": "90.0000000", "unit": "MPa"}],
    )
    source: str = Field(
        description="Where the figures are from, and how far they may be trusted.",
        examples=["EN 1706 (aluminium castings) 2010, memory"],
        max_length=200,
    )

    @classmethod
    def of(cls, material: HoleMaterial) -> Self:
        """Carry a material over the border."""
        return cls(
            material=material.material,
            title=material.title,
            tensile_strength=computed_quantity(material.tensile_least, "MPa"),
            shear_strength=computed_quantity(material.shear_least, "MPa"),
            source=f"{material.source} {material.edition}, {material.basis.value}",
        )


class ThreadEngagementAnswer(Answer):
    """What the hole bears, and the engagement for full strength."""

    screw: ScrewOut = Field(description="The screw as understood.")
    hole: HoleMaterialOut = Field(description="The hole's material.")
    effective_engagement: QuantityOut | None = Field(
        description="What carries: the engagement less chamfer and incomplete threads, counted up"
        " to 2.5 diameters; null where no engagement was given.",
        examples=[{"value": "13.5000000", "unit": "mm"}],
    )
    hole_strip_load: QuantityOut | None = Field(
        description="Load at which the hole's thread may strip; null without an engagement.",
        examples=[{"value": "18339.0000", "unit": "N"}],
    )
    screw_strip_load: QuantityOut | None = Field(
        description="Load at which the screw's own thread may strip; null without an engagement.",
        examples=[{"value": "70700.0000", "unit": "N"}],
    )
    tensile_load: QuantityOut = Field(
        description="Least load at which the screw breaks.",
        examples=[{"value": "29286.8326", "unit": "N"}],
    )
    gives_first: str | None = Field(
        description="What gives first, the screw taken a fifth stronger than its class promises:"
        " screw, screw thread, hole thread; null without an engagement or a class.",
        examples=["hole thread"],
        max_length=20,
    )
    engagement_for_full_strength: QuantityOut | None = Field(
        description="Engagement, chamfer and incomplete threads included, from which the screw"
        " breaks before a thread strips; null where no length does or the class is not known.",
        examples=[None],
    )
    equal_strength_engagement: QuantityOut = Field(
        description="Full threads needed in a hole as strong as the screw (FED-STD-H28/2).",
        examples=[{"value": "6.02000000", "unit": "mm"}],
    )
    weaker_hole_factor: DecimalOut | None = Field(
        description="The factor J by which the weaker hole lengthens that; counts above 1; null"
        " where the class is not known.",
        examples=["3.85000000"],
    )
    area_basis: str = Field(
        description="What the shear areas rest on.",
        examples=["limits of size 6g/6H"],
        max_length=120,
    )
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = CAUTIONS

    @classmethod
    def of(cls, fastener: Fastener, material: HoleMaterial, found: EngagementAnswer) -> Self:
        """Carry it over the border."""
        return cls(
            screw=ScrewOut.of(fastener, found.counted_class),
            hole=HoleMaterialOut.of(material),
            effective_engagement=quantity_or_null(
                None if found.engaged is None else found.engaged.counted, "mm"
            ),
            hole_strip_load=quantity_or_null(found.hole_strip_load, "N"),
            screw_strip_load=quantity_or_null(found.screw_strip_load, "N"),
            tensile_load=computed_quantity(found.tensile_load, "N"),
            gives_first=found.gives_first,
            engagement_for_full_strength=quantity_or_null(found.full_strength, "mm"),
            equal_strength_engagement=computed_quantity(found.equal_strength, "mm"),
            weaker_hole_factor=computed_or_null(found.weaker_hole_factor),
            area_basis=found.areas.basis,
            notes=found.notes,
            cautions=found.cautions,
        )
