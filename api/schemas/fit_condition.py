"""What is left of a fit: the calculation's question and answer."""

from decimal import Decimal
from typing import Any, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.figures import computed_or_null, computed_quantity, quantity_or_null
from shared.condition.fits.fit_condition import ClearanceAt, FitCondition, FitNow, PartInFit
from shared.condition.fits.temperature import Expansion
from shared.condition.model import Verdict
from shared.standards.iso286 import FitKind

MOST_TEMPERATURES = 20


def _mm(value: str, **doubt: str) -> dict[str, Any]:
    return {"value": value, "unit": "mm", **doubt}


class PartTemperaturesIn(Body):
    """Temperatures of both parts at one moment."""

    hole: QuantityIn = Field(
        description="Temperature of the part with the hole.",
        examples=[{"value": "80", "unit": "°C"}],
    )
    shaft: QuantityIn = Field(
        description="Temperature of the shaft.", examples=[{"value": "80", "unit": "°C"}]
    )


class FitConditionQuestion(Body):
    """A fit as designed, and its two parts as measured at 20 °C."""

    nominal: QuantityIn = Field(description="Nominal size, up to 500 mm.", examples=[_mm("52")])
    hole_class: ShortText = Field(
        description="Tolerance class of the hole, ISO 286: a capital.", examples=["H7"]
    )
    shaft_class: ShortText = Field(
        description="Tolerance class of the shaft: a small letter.", examples=["h6"]
    )
    hole: QuantityIn = Field(
        description="The hole as measured, with its uncertainty.",
        examples=[_mm("52.021", standard_uncertainty="0.005")],
    )
    shaft: QuantityIn = Field(
        description="The shaft as measured, with its uncertainty.",
        examples=[_mm("51.992", standard_uncertainty="0.004")],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of both uncertainties that the readings share (one setting master):"
        " it cancels in the clearance. Left out: none, the safe side.",
        examples=[_mm("0.002")],
    )
    hole_material: ShortText | None = Field(
        default=None,
        description="Metal of the part with the hole, by the table thermal_expansion; left out, the"
        " widest range of all metals counts.",
        examples=["cast aluminium"],
    )
    shaft_material: ShortText | None = Field(
        default=None, description="Metal of the shaft, likewise.", examples=["steel"]
    )
    temperatures: tuple[PartTemperaturesIn, ...] = Field(
        default=(),
        max_length=MOST_TEMPERATURES,
        description="Temperatures at which the clearance is asked for, -40 to 150 °C.",
    )
    acceptance_probability: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability at which something counts as shown, from 0.5 to below 1; 0.95 if"
        " not given.",
        examples=["0.95"],
    )


class DesignedFitOut(Answer):
    """The fit as designed."""

    kind: FitKind = Field(description="What kind of fit it is.", examples=["clearance"])
    least_clearance: QuantityOut = Field(
        description="The tightest; below 0 an interference.", examples=[_mm("0.00000000")]
    )
    most_clearance: QuantityOut = Field(description="The loosest.", examples=[_mm("0.0490000000")])


class PartInFitOut(Answer):
    """One part against its own limits of size."""

    least: QuantityOut = Field(description="Least size when new.", examples=[_mm("52.0000000")])
    most: QuantityOut = Field(description="Greatest size when new.", examples=[_mm("52.0300000")])
    measured: QuantityOut = Field(description="As measured.", examples=[_mm("52.0210000")])
    probability: DecimalOut | None = Field(
        description="Probability that it lies within; null where its doubt is not known.",
        examples=["0.964055919"],
    )

    @classmethod
    def of(cls, part: PartInFit) -> Self:
        """Carry one part over the border."""
        return cls(
            least=computed_quantity(part.limits.least, "mm"),
            most=computed_quantity(part.limits.most, "mm"),
            measured=computed_quantity(part.measured, "mm"),
            probability=computed_or_null(part.probability),
        )


class ExpansionOut(Answer):
    """The linear expansion that a part was reckoned with."""

    taken_as: str = Field(description="As which metal.", examples=["steel"], max_length=200)
    least_per_million: DecimalOut = Field(
        description="Least coefficient, 10^-6 for each kelvin.", examples=["10.5"]
    )
    most_per_million: DecimalOut = Field(
        description="Greatest coefficient, 10^-6 for each kelvin.", examples=["12.6"]
    )

    @classmethod
    def of(cls, found: Expansion) -> Self:
        """Carry a range of coefficients over the border."""
        return cls(
            taken_as=found.taken_as,
            least_per_million=Decimal(str(found.least)),
            most_per_million=Decimal(str(found.most)),
        )


class ClearanceAtOut(Answer):
    """The clearance at temperatures, over both ranges of expansion."""

    hole: QuantityOut = Field(
        description="Temperature of the hole.", examples=[{"value": "80.0000000", "unit": "°C"}]
    )
    shaft: QuantityOut = Field(
        description="Temperature of the shaft.", examples=[{"value": "80.0000000", "unit": "°C"}]
    )
    least: QuantityOut = Field(
        description="The tightest by the metals' range, the readings' doubt left aside.",
        examples=[_mm("0.0489680000")],
    )
    most: QuantityOut = Field(
        description="The loosest by the metals' range, the readings' doubt left aside.",
        examples=[_mm("0.0680000000")],
    )
    clearance_probability: DecimalOut | None = Field(
        description="Probability of play, at the tight end.", examples=["0.999999999"]
    )
    interference_probability: DecimalOut | None = Field(
        description="Probability of interference, at the loose end.", examples=["0.000000000"]
    )
    kind: FitNow = Field(
        description="What is shown; cannot-be-told: neither.", examples=["clearance"]
    )

    @classmethod
    def of(cls, found: ClearanceAt) -> Self:
        """Carry the clearance at one pair of temperatures over the border."""
        return cls(
            hole=computed_quantity(found.hole_celsius, "°C"),
            shaft=computed_quantity(found.shaft_celsius, "°C"),
            least=computed_quantity(found.least, "mm"),
            most=computed_quantity(found.most, "mm"),
            clearance_probability=computed_or_null(found.surely_clear),
            interference_probability=computed_or_null(found.surely_tight),
            kind=found.kind,
        )


class FitConditionAnswer(Answer):
    """What is left of the fit."""

    designed: DesignedFitOut = Field(description="The fit as designed.")
    hole: PartInFitOut = Field(description="The hole against its limits.")
    shaft: PartInFitOut = Field(description="The shaft against its limits.")
    clearance: QuantityOut = Field(
        description="Hole less shaft; below 0 an interference.", examples=[_mm("0.0290000000")]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Of the clearance; null where a doubt is not known.",
        examples=[_mm("0.00640312424")],
    )
    within_design_probability: DecimalOut | None = Field(
        description="Probability that the clearance lies within that of the fit as designed.",
        examples=["0.999091000"],
    )
    verdict: Verdict = Field(
        description="Whether the clearance is still that of the fit as designed, at the probability"
        " asked for. It says nothing of either part by itself.",
        examples=["conforming"],
    )
    clearance_probability: DecimalOut | None = Field(
        description="Probability that there is play.", examples=["0.999997000"]
    )
    kind: FitNow = Field(
        description="What is shown of the two parts; cannot-be-told: neither.",
        examples=["clearance"],
    )
    hole_expansion: ExpansionOut = Field(description="Expansion of the hole's part.")
    shaft_expansion: ExpansionOut = Field(description="Expansion of the shaft.")
    at_temperatures: tuple[ClearanceAtOut, ...] = Field(
        description="The clearance at each pair of temperatures.", max_length=MOST_TEMPERATURES
    )
    notes: tuple[str, ...] = Field(
        description="What the answer rests on, and what to be careful of.",
        examples=[["The sizes count as measured at 20 °C."]],
        max_length=10,
    )

    @classmethod
    def of(cls, found: FitCondition) -> Self:
        """Carry the condition of a fit over the border."""
        designed = found.designed
        return cls(
            designed=DesignedFitOut(
                kind=designed.kind,
                least_clearance=computed_quantity(designed.least_clearance, "mm"),
                most_clearance=computed_quantity(designed.most_clearance, "mm"),
            ),
            hole=PartInFitOut.of(found.hole),
            shaft=PartInFitOut.of(found.shaft),
            clearance=computed_quantity(found.clearance, "mm"),
            standard_uncertainty=quantity_or_null(found.u, "mm"),
            within_design_probability=computed_or_null(found.within_design),
            verdict=found.verdict,
            clearance_probability=computed_or_null(found.clearance_probability),
            kind=found.kind,
            hole_expansion=ExpansionOut.of(found.hole_expansion),
            shaft_expansion=ExpansionOut.of(found.shaft_expansion),
            at_temperatures=tuple(ClearanceAtOut.of(one) for one in found.at_temperatures),
            notes=found.notes,
        )
