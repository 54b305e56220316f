"""O-rings in their grooves, seal materials: questions and answers."""

from decimal import Decimal
from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    QuantityIn,
    QuantityOut,
    SharePercent,
    to_domain,
)
from api.schemas.figures import computed, computed_quantity
from shared.interchange.grooves import (
    USUAL_FILL,
    USUAL_SQUEEZE,
    USUAL_STRETCH,
    Checked,
    Groove,
    GrooveAnswer,
    GrooveVerdict,
    Limits,
    Motion,
    Sized,
    checked_limits,
    cord_sized,
    judge_groove,
    sized,
)
from shared.interchange.seal_materials import RatedFluid, RatedMaterial
from shared.quantities import Quantity
from shared.standards.reader import Basis
from shared.standards.seal_materials import Rating

_MM = "mm"
_PERCENT = 100


class ORingGrooveQuestion(Body):
    """A ring or cord, its groove, and the limits to keep; plus_minus of a size is its tolerance."""

    cord: QuantityIn = Field(
        description="Section of the ring or cord. Without plus_minus the tolerance of the list"
        " that has the section is taken, else ISO 3601-1 class B.",
        examples=[{"value": "2.5", "unit": "mm", "plus_minus": "0.08"}],
    )
    groove_depth: QuantityIn = Field(
        description="From the bottom of the groove to the surface that faces it, any gap included.",
        examples=[{"value": "0.077", "unit": "in"}],
    )
    groove_width: QuantityIn | None = Field(
        default=None,
        description="Across the groove; with it the fill is judged.",
        examples=[{"value": "3.6", "unit": "mm"}],
    )
    groove_diameter: QuantityIn | None = Field(
        default=None,
        description="Diameter that the ring is stretched over; with ring_inside the stretch is"
        " judged.",
        examples=[{"value": "26", "unit": "mm"}],
    )
    ring_inside: QuantityIn | None = Field(
        default=None,
        description="Inside diameter of the loose ring.",
        examples=[{"value": "24.99", "unit": "mm"}],
    )
    motion: Motion = Field(
        default=Motion.STILL,
        description="Whether the sealed parts move against each other; it chooses the usual"
        " squeeze: still 20 to 30 %, moving 10 to 20 % (common practice).",
        examples=["still"],
    )
    squeeze_least_percent: SharePercent | None = Field(
        default=None,
        description="Least squeeze in place of the usual; give both.",
        examples=["20"],
    )
    squeeze_most_percent: SharePercent | None = Field(
        default=None, description="Greatest squeeze in place of the usual.", examples=["30"]
    )
    stretch_least_percent: SharePercent | None = Field(
        default=None, description="Least stretch; 1 if not given.", examples=["1"]
    )
    stretch_most_percent: SharePercent | None = Field(
        default=None, description="Greatest stretch; 5 if not given.", examples=["5"]
    )
    fill_most_percent: SharePercent | None = Field(
        default=None,
        description="Greatest share of the groove that the cord may fill; 85 if not given.",
        examples=["85"],
    )

    def judged(self) -> GrooveAnswer:
        """Judge what was asked; raises InvalidInput with a pointer to the member."""
        groove = Groove(
            _sized(self.groove_depth, "/groove_depth"),
            _sized_if(self.groove_diameter, "/groove_diameter"),
            _sized_if(self.groove_width, "/groove_width"),
        )
        squeeze = _limits(
            self.squeeze_least_percent,
            self.squeeze_most_percent,
            USUAL_SQUEEZE[self.motion],
            "/squeeze_least_percent",
        )
        stretch = _limits(
            self.stretch_least_percent,
            self.stretch_most_percent,
            USUAL_STRETCH,
            "/stretch_least_percent",
        )
        fill = _limits(None, self.fill_most_percent, USUAL_FILL, "/fill_most_percent")
        return judge_groove(
            cord_sized(to_domain(self.cord, Quantity), "/cord"),
            groove,
            inside=_sized_if(self.ring_inside, "/ring_inside"),
            squeeze=squeeze,
            stretch=stretch,
            fill=fill,
        )


def _sized(quantity: QuantityIn, pointer: str) -> Sized:
    return sized(to_domain(quantity, Quantity), pointer)


def _sized_if(quantity: QuantityIn | None, pointer: str) -> Sized | None:
    return None if quantity is None else _sized(quantity, pointer)


def _limits(least: Decimal | None, most: Decimal | None, usual: Limits, pointer: str) -> Limits:
    return checked_limits(
        usual.least if least is None else float(least) / _PERCENT,
        usual.most if most is None else float(most) / _PERCENT,
        pointer,
    )


class GrooveCheckOut(Answer):
    """One share, at nominal sizes and at the ends of the tolerances, against its limits."""

    verdict: GrooveVerdict = Field(
        description="fits; marginal: outside its limits at the end of the tolerances; does not"
        " fit: outside at nominal sizes.",
        examples=["marginal"],
    )
    nominal_percent: DecimalOut = Field(
        description="At nominal sizes, the ring loose.", examples=["21.7680000"]
    )
    least_percent: DecimalOut = Field(
        description="At the ends of the tolerances that make it least; a squeeze counts in that"
        " the ring thins as it is stretched.",
        examples=["19.1818182"],
    )
    most_percent: DecimalOut = Field(
        description="At the ends of the tolerances that make it most.", examples=["24.1937984"]
    )
    allowed_least_percent: DecimalOut = Field(description="Least allowed.", examples=["20.0000000"])
    allowed_most_percent: DecimalOut = Field(description="Most allowed.", examples=["30.0000000"])

    @classmethod
    def of(cls, checked: Checked) -> Self:
        """Carry a checked share over the border."""
        return cls(
            verdict=checked.verdict,
            nominal_percent=_percent(checked.nominal),
            least_percent=_percent(checked.least),
            most_percent=_percent(checked.most),
            allowed_least_percent=_percent(checked.limits.least),
            allowed_most_percent=_percent(checked.limits.most),
        )


class ORingGrooveAnswer(Answer):
    """Whether the ring serves in the groove by its sizes."""

    verdict: GrooveVerdict = Field(
        description="The worst of what was judged; what was not is named in the cautions.",
        examples=["marginal"],
    )
    squeeze: GrooveCheckOut = Field(description="How far the cord is pressed together.")
    installed_squeeze_percent: DecimalOut | None = Field(
        description="The same of the stretched ring at nominal sizes; null where the stretch is"
        " not known.",
        examples=["20.3438168"],
    )
    stretch: GrooveCheckOut | None = Field(
        description="How far the ring is stretched; null: not judged."
    )
    fill: GrooveCheckOut | None = Field(
        description="How much of the groove the cord fills; null: not judged."
    )
    cord: QuantityOut = Field(
        description="The section judged.", examples=[{"value": "2.50000000", "unit": "mm"}]
    )
    cord_plus_minus: QuantityOut = Field(
        description="The tolerance either way that was taken for it.",
        examples=[{"value": "0.0800000000", "unit": "mm"}],
    )
    cords_that_fit: tuple[QuantityOut, ...] = Field(
        description="Sections of the published lists whose squeeze (and fill, where the width is"
        " given) keeps the limits here over their tolerances, before any stretch.",
        examples=[[{"value": "2.62000000", "unit": "mm"}]],
        max_length=40,
    )
    cautions: tuple[str, ...] = Field(
        description="What was not judged, what to beware of.",
        examples=[["Fill was not judged: give groove_width; the groove must not be overfull."]],
        max_length=10,
    )

    @classmethod
    def of(cls, answer: GrooveAnswer) -> Self:
        """Carry an answer over the border."""
        installed = answer.installed_squeeze
        return cls(
            verdict=answer.verdict,
            squeeze=GrooveCheckOut.of(answer.squeeze),
            installed_squeeze_percent=None if installed is None else _percent(installed),
            stretch=None if answer.stretch is None else GrooveCheckOut.of(answer.stretch),
            fill=None if answer.fill is None else GrooveCheckOut.of(answer.fill),
            cord=computed_quantity(answer.cord.value, _MM),
            cord_plus_minus=computed_quantity(answer.cord.plus_minus, _MM),
            cords_that_fit=tuple(computed_quantity(cord, _MM) for cord in answer.cords),
            cautions=answer.cautions,
        )


class RatedMaterialOut(Answer):
    """A material in the fluid."""

    material: str = Field(
        description="Its name by ISO 1629; PTFE by ISO 1043-1.", examples=["NBR"], max_length=8
    )
    name: str = Field(
        description="The same in full.", examples=["acrylonitrile-butadiene rubber"], max_length=60
    )
    rating: Rating = Field(
        description="suitable; limited: within what the reasons name; unknown: ask; unsuitable.",
        examples=["suitable"],
    )
    reasons: tuple[str, ...] = Field(
        description="Why, where there is more to say.", examples=[[]], max_length=5
    )
    coldest: QuantityOut = Field(
        description="Down to this all usual grades serve.",
        examples=[{"value": "-20.0000000", "unit": "°C"}],
    )
    hottest: QuantityOut = Field(
        description="Up to this all usual grades serve, the fluid left aside.",
        examples=[{"value": "100.000000", "unit": "°C"}],
    )
    hottest_in_fluid: QuantityOut | None = Field(
        description="Up to this the rating holds in the fluid; null: no figure held.",
        examples=[{"value": "100.000000", "unit": "°C"}],
    )
    source: str = Field(
        description="Where the rating is from.",
        examples=["common practice, no source"],
        max_length=200,
    )
    edition: str = Field(description="Its edition.", examples=["trade usage"], max_length=60)
    basis: Basis = Field(description="How far it may be trusted.", examples=["common-practice"])

    @classmethod
    def of(cls, rated: RatedMaterial) -> Self:
        """Carry a rated material over the border."""
        material, row = rated.material, rated.row
        return cls(
            material=material.code,
            name=material.name,
            rating=rated.rating,
            reasons=rated.reasons,
            coldest=_degrees(material.lower_surely),
            hottest=_degrees(material.upper_surely),
            hottest_in_fluid=None if row.upper is None else _degrees(row.upper),
            source=row.source,
            edition=row.edition,
            basis=row.basis,
        )


class RatedMaterialsOut(Answer):
    """How the materials of seals bear a fluid, the best first."""

    fluid: str = Field(description="The fluid understood.", examples=["mineral oil"], max_length=60)
    temperature: QuantityOut | None = Field(
        description="The temperature asked; null: none.",
        examples=[{"value": "90.0000000", "unit": "°C"}],
    )
    items: tuple[RatedMaterialOut, ...] = Field(description="Material by material.", max_length=40)
    cautions: tuple[str, ...] = Field(
        description="What to beware of with this fluid and with such ratings.",
        examples=[["In a mixture the worst part counts."]],
        max_length=10,
    )

    @classmethod
    def of(cls, rated: RatedFluid) -> Self:
        """Carry a rated fluid over the border."""
        temperature = rated.temperature
        return cls(
            fluid=rated.fluid.name,
            temperature=None if temperature is None else _degrees(temperature),
            items=tuple(RatedMaterialOut.of(item) for item in rated.items),
            cautions=rated.cautions,
        )


def _percent(share: float) -> Decimal:
    return computed(_PERCENT * share)


def _degrees(value: float) -> QuantityOut:
    return computed_quantity(value, "°C")
