"""The shims of one unit: the question in the address, and the choice at each place."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Answer,
    Body,
    DecimalText,
    IdText,
    PositiveDecimalText,
    UnitCode,
    refuse,
)
from api.schemas.queries import FlagInAddress
from api.schemas.shim_pack import ShimPackAnswer
from shared.condition.model import ShimEffect
from shared.condition.shims.choices_of_unit import MeasuredNow, ShimChoice
from shared.quantities import Quantity, kind_of

_MOST_PLACES = 200
Told = Annotated[tuple[str, ...], Field(max_length=100)]


class ShimChoicesQuery(Body):
    """Which place, and what has just been measured there."""

    shim_place_id: IdText | None = Field(
        default=None, description="One place; left out: all of the design.", examples=["spl_3fk"]
    )
    measured: DecimalText | None = Field(
        default=None,
        description="What has just been measured at that place, instead of a finding.",
        examples=["0.19"],
    )
    unit: UnitCode = Field(default="mm", description="Unit of what was measured.", examples=["mm"])
    standard_uncertainty: PositiveDecimalText | None = Field(
        default=None, description="Its standard uncertainty.", examples=["0.004"]
    )
    is_without_shims: FlagInAddress = Field(
        default=False,
        description="Whether it was measured without any shims, not over the pack on record.",
        examples=[False],
    )

    @model_validator(mode="after")
    def _of_one_place(self) -> Self:
        if self.measured is None:
            for name in ("standard_uncertainty", "is_without_shims"):
                if getattr(self, name):
                    refuse("missing", f"Got {name} without measured.", "Give measured.", f"/{name}")
            return self
        if self.shim_place_id is None:
            refuse(
                "missing",
                "Got measured, and not at which place.",
                "Give shim_place_id.",
                "/shim_place_id",
            )
        if kind_of(self.unit) != "length":
            refuse(
                "unit-wrong-dimension",
                f"Unit '{self.unit}' measures {kind_of(self.unit)}; wanted length.",
                "Give a unit of length, such as mm.",
                "/unit",
            )
        return self

    def asked(self) -> MeasuredNow | None:
        """Return what was measured; None: the findings count."""
        if self.measured is None:
            return None
        value = Quantity(self.measured, self.unit, standard_uncertainty=self.standard_uncertainty)
        return MeasuredNow(value, self.is_without_shims)


class ShimChoiceOut(Answer):
    """One place for shims of the unit."""

    shim_place_id: IdText = Field(description="The place.", examples=["spl_3fk"])
    name: str = Field(description="Its name.", examples=["pinion depth"], max_length=200)
    position_id: IdText = Field(description="Its position.", examples=["pos_4hd"])
    sets: str | None = Field(
        description="What the shims set; null: that is not on record. Name, sets, effect and"
        " shim_place_id are those under which a pack is recorded.",
        examples=["end float"],
        max_length=200,
    )
    effect: ShimEffect = Field(
        description="What more shims do to what they set.", examples=["more-shims-decrease"]
    )
    seating: str | None = Field(
        description="What is done before it is measured; null: nothing is on record.",
        examples=["Turn the shaft ten times each way: the bearings seat."],
        max_length=2000,
    )
    shim_pack_id: str | None = Field(
        description="The pack that counts as sitting there; null: none is on record.",
        examples=["shm_2f8"],
        max_length=64,
    )
    finding_id: str | None = Field(
        description="The finding that counts; null: none does, or measured was given.",
        examples=["fnd_7kq"],
        max_length=200,
    )
    choice: ShimPackAnswer | None = Field(
        description="The packs; null: too little is known, missing says what."
    )
    missing: Told = Field(
        description="What is not on record.", examples=[["no as-found pack is recorded"]]
    )
    cautions: Told = Field(
        description="What to look out for.",
        examples=[["shims stay with the unit they were measured in"]],
    )

    @classmethod
    def of(cls, choice: ShimChoice) -> Self:
        """Carry a choice over the border."""
        place, found = choice.place, choice.found
        return cls(
            shim_place_id=place.id,
            name=place.name,
            position_id=place.position_id,
            sets=choice.sets,
            effect=place.effect,
            seating=place.seating,
            shim_pack_id=None if choice.pack is None else choice.pack.id,
            finding_id=choice.finding_id,
            choice=None if found is None else ShimPackAnswer.of(found),
            missing=choice.missing,
            cautions=choice.cautions,
        )


class ShimChoicesOut(Answer):
    """The choice at each place for shims of one unit."""

    unit_id: IdText = Field(description="The unit.", examples=["unt_7kq"])
    items: tuple[ShimChoiceOut, ...] = Field(
        description="Place by place, by rising id.", max_length=_MOST_PLACES
    )

    @classmethod
    def of(cls, unit_id: str, choices: tuple[ShimChoice, ...]) -> Self:
        """Carry the choices over the border."""
        return cls(unit_id=unit_id, items=tuple(ShimChoiceOut.of(one) for one in choices))
