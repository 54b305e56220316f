"""Rating life of a rolling bearing by ISO 281: question and answer."""

from decimal import Decimal
from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    NonNegativeDecimalText,
    PositiveDecimalText,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    ShortText,
    to_domain,
)
from api.schemas.figures import computed, computed_or_null, quantity_or_null, rounded_down
from shared.assemblies.model import RollingKind
from shared.life.bearing_life import BearingAnswer, BearingQuestion
from shared.quantities import Quantity

_HOURS = {"value": "8794.87179", "unit": "h"}


class BearingLifeQuestion(Body):
    """A new bearing and what it carries; a rating, wanted hours, or both."""

    rolling: RollingKind = Field(description="What rolls in it.", examples=["ball"])
    dynamic_rating: QuantityIn | None = Field(
        default=None,
        description="Dynamic load rating C from the bearing's table. Without it only the rating"
        " that the wanted hours need is told.",
        examples=[{"value": "14", "unit": "kN"}],
    )
    equivalent_load: QuantityIn | None = Field(
        default=None,
        description="Equivalent load P, shocks and misalignment in it; or give its parts.",
        examples=[{"value": "2", "unit": "kN"}],
    )
    radial_load: QuantityIn | None = Field(
        default=None,
        description="Radial load Fr; with axial_load, x and y.",
        examples=[{"value": "2500", "unit": "N"}],
    )
    axial_load: QuantityIn | None = Field(
        default=None, description="Axial load Fa.", examples=[{"value": "1000", "unit": "N"}]
    )
    x: NonNegativeDecimalText | None = Field(
        default=None, description="Radial factor X from the bearing's table.", examples=["0.56"]
    )
    y: NonNegativeDecimalText | None = Field(
        default=None, description="Axial factor Y from the bearing's table.", examples=["1.67"]
    )
    speed: QuantityIn = Field(
        description="Speed, above 0.", examples=[{"value": "650", "unit": "1/min"}]
    )
    reliability: ProbabilityText = Field(
        default=Decimal("0.90"),
        description="Share of such bearings that reach the life, from 0.90 to 0.9995; 0.90 if not"
        " given.",
        examples=["0.95"],
    )
    life_factor: PositiveDecimalText | None = Field(
        default=None,
        description="Life modification factor of ISO 281 for oil, cleanliness and fatigue limit,"
        " from 0.1 to 50: your own figure, with its basis. Never guessed here.",
        examples=["0.8"],
    )
    life_factor_basis: ShortText | None = Field(
        default=None,
        description="Where the life factor comes from.",
        examples=["viscosity ratio 1.2, slight contamination, from the maker's chart"],
    )
    wanted: QuantityIn | None = Field(
        default=None,
        description="Hours wanted at the reliability.",
        examples=[{"value": "8000", "unit": "h"}],
    )

    def asked(self) -> BearingQuestion:
        """Carry the question over the border."""

        def quantity(given: QuantityIn | None) -> Quantity | None:
            return None if given is None else to_domain(given, Quantity)

        return BearingQuestion(
            rolling=self.rolling,
            speed=to_domain(self.speed, Quantity),
            dynamic_rating=quantity(self.dynamic_rating),
            equivalent_load=quantity(self.equivalent_load),
            radial_load=quantity(self.radial_load),
            axial_load=quantity(self.axial_load),
            x=None if self.x is None else float(self.x),
            y=None if self.y is None else float(self.y),
            reliability=self.reliability,
            life_factor=None if self.life_factor is None else float(self.life_factor),
            life_factor_basis=self.life_factor_basis,
            wanted=quantity(self.wanted),
        )


class BearingLifeAnswer(Answer):
    """Rating life of a new bearing: fatigue alone."""

    equivalent_load: QuantityOut = Field(
        description="The load P reckoned with, never below the radial load.",
        examples=[{"value": "2000.00000", "unit": "N"}],
    )
    load_ratio: DecimalOut | None = Field(
        description="Load over rating, P / C.", examples=["0.142857143"]
    )
    l10_million_revolutions: DecimalOut | None = Field(
        description="L10: nine in ten reach it. Null without a rating, and where it does not hold.",
        examples=["343.000000"],
    )
    l10: QuantityOut | None = Field(description="L10 in hours.", examples=[_HOURS])
    reliability_factor: DecimalOut = Field(
        description="a1 for the reliability, from the table of ISO 281:2007.", examples=["0.64"]
    )
    table_reliability: DecimalOut = Field(
        description="The row of that table: the asked one or the next higher.", examples=["0.95"]
    )
    modified_million_revolutions: DecimalOut | None = Field(
        description="Life at the reliability, the life factor in it.", examples=["343.000000"]
    )
    modified: QuantityOut | None = Field(description="The same in hours.", examples=[_HOURS])
    weibull_shape: DecimalOut | None = Field(
        description="Shape of the Weibull life that goes with it.", examples=["1.11111111"]
    )
    weibull_scale: QuantityOut | None = Field(
        description="Scale of that life.", examples=[{"value": "66652.9559", "unit": "h"}]
    )
    chance_to_reach_wanted: DecimalOut | None = Field(
        description="Chance that a new one reaches the wanted hours, by that Weibull life.",
        examples=["0.945297"],
    )
    required_rating: QuantityOut | None = Field(
        description="Rating C that the wanted hours need, at least twice the load; null where none"
        " are wanted.",
        examples=[{"value": "13458.0315", "unit": "N"}],
    )
    is_rating_enough: Flag | None = Field(
        description="Whether the life at the reliability reaches the wanted hours; null where"
        " that cannot be told.",
        examples=[True],
    )
    reason: str | None = Field(
        max_length=300, description="Why no life is told; null where one is.", examples=[None]
    )
    cautions: tuple[str, ...] = Field(
        max_length=10,
        description="What is not in the life.",
        examples=[["Not for a bearing that has run: what it went through is not in the rating."]],
    )

    @classmethod
    def of(cls, found: BearingAnswer) -> Self:
        """Carry the answer over the border."""
        life = found.life
        chance = found.chance
        return cls(
            equivalent_load=QuantityOut(value=computed(found.equivalent_load_n), unit="N"),
            load_ratio=computed_or_null(found.load_ratio),
            l10_million_revolutions=computed_or_null(found.l10_mrev),
            l10=quantity_or_null(found.l10_hours, "h"),
            reliability_factor=Decimal(repr(found.a1)),
            table_reliability=found.a1_reliability,
            modified_million_revolutions=computed_or_null(found.lnm_mrev),
            modified=quantity_or_null(found.lnm_hours, "h"),
            weibull_shape=computed_or_null(None if life is None else life.shape),
            weibull_scale=quantity_or_null(None if life is None else life.scale_hours, "h"),
            chance_to_reach_wanted=None if chance is None else rounded_down(chance),
            required_rating=quantity_or_null(found.required_rating_n, "N"),
            is_rating_enough=found.is_enough,
            reason=found.reason,
            cautions=found.cautions,
        )
