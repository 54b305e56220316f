"""Identification by measuring: the question in the address, and the answer."""

from collections.abc import Iterable, Iterator
from typing import Any, Literal, Self

from pydantic import Field, create_model

from api.schemas.base import Answer, Body, DecimalOut, QuantityOut, ShortText, UnitCode
from api.schemas.figures import computed, computed_quantity
from api.schemas.queries import UpToTenInAddress
from shared.interchange.identification.asking import Answered, Kind
from shared.interchange.identification.calling import Asked
from shared.interchange.identification.model import Doubt, Likely, Measured, PartState

_MOST_LISTED = 10
_MOST_SIZES = 8
_PLUS_MINUS = "plus_minus"
_U = "standard_uncertainty"


class IdentificationQuery(Body):
    """What every identification takes besides its dimensions."""

    unit: UnitCode | None = Field(
        default=None,
        description="Unit code of the figures that name none; mm if not given, and then a bare"
        " fraction is asked about.",
        examples=["mm"],
    )
    plus_minus: ShortText | None = Field(
        default=None,
        description="Half-width within which every reading surely lies (rectangular), where it has"
        " none of its own. Neither this nor standard_uncertainty: a caliper's is taken, and the"
        " answer says so.",
        examples=["0.05"],
    )
    standard_uncertainty: ShortText | None = Field(
        default=None,
        description="Standard uncertainty of every reading (normal), where it has none of its own.",
        examples=["0.02"],
    )
    state: PartState = Field(
        default=PartState.UNKNOWN,
        description="new, used, or unknown: whether use may have changed what was measured.",
        examples=["used"],
    )
    limit: UpToTenInAddress = Field(
        default=_MOST_LISTED, description="How many sizes are listed at most.", examples=[5]
    )

    def words(self, names: Iterable[str]) -> dict[str, str]:
        """Return what was given of the named parameters."""
        given = self.model_dump(exclude_none=True)
        return {name: str(given[name]) for name in names if name in given}

    def asked(self, kind: Kind) -> Asked:
        """Return the readings and their doubts as texts."""
        return Asked(
            readings=self.words(kind.dimensions),
            unit=self.unit,
            plus_minus=self._doubts(kind, _PLUS_MINUS),
            standard_uncertainty=self._doubts(kind, _U),
        )

    def _doubts(self, kind: Kind, ending: str) -> dict[str, str]:
        given = self.words([ending, *(f"{name}_{ending}" for name in kind.dimensions)])
        return {name.removesuffix(ending).removesuffix("_"): text for name, text in given.items()}


def identification_query(kind: Kind) -> type[IdentificationQuery]:
    """Make the query of one kind of part: its dimensions, their doubts, its choices and texts."""
    name = "".join(word.capitalize() for word in kind.path.split("-"))
    made: type[IdentificationQuery] = create_model(
        f"{name}Query",
        __base__=IdentificationQuery,
        __doc__=f"What was measured on {kind.part}.",
        **dict(_fields(kind)),
    )
    return made


def _fields(kind: Kind) -> Iterator[tuple[str, Any]]:
    for name, about in kind.dimensions.items():
        how = "As the trade writes it: 19.05, 19,05, 3/4 in."
        yield name, _text(f"{about} {how}", kind.examples[name])
        yield f"{name}_{_PLUS_MINUS}", _text(f"Half-width of the doubt of {name} alone.", "0.05")
        yield f"{name}_{_U}", _text(f"Standard uncertainty of {name} alone.", "0.02")
    for name, choice in kind.choices.items():
        words = choice.words
        made = Field(default=words[0], description=choice.about, examples=[words[-1]])
        yield name, (Literal[words], made)
    for name, about in kind.texts.items():
        yield name, _text(about, kind.examples[name])


def _text(about: str, example: str) -> tuple[Any, Any]:
    return ShortText | None, Field(default=None, description=about, examples=[example])


class MeasuredOut(Answer):
    """One reading as it was understood."""

    value: QuantityOut = Field(
        description="The reading.", examples=[{"value": "20.0000000", "unit": "mm"}]
    )
    doubt: Doubt = Field(
        description="What width means: rectangular, the half-width within which it surely lies;"
        " normal, its standard uncertainty.",
        examples=["rectangular"],
    )
    width: QuantityOut = Field(
        description="How wide the doubt is.", examples=[{"value": "0.0500000000", "unit": "mm"}]
    )

    @classmethod
    def of(cls, measured: Measured) -> Self:
        """Carry a reading over the border."""
        return cls(
            value=computed_quantity(measured.value, "mm"),
            doubt=measured.doubt,
            width=computed_quantity(measured.width, "mm"),
        )


class LikelyOut(Answer):
    """A standard size that the part may be."""

    designation: str = Field(
        description="The size as the trade writes it.", examples=["6204"], max_length=200
    )
    standard: str = Field(
        description="The standard that it is from.", examples=["ISO 15"], max_length=200
    )
    probability: DecimalOut = Field(
        description="Probability that the part is of this size.", examples=["0.985420310"]
    )
    sizes: dict[str, QuantityOut] = Field(
        description="Its nominal dimensions by name.",
        examples=[{"bore": {"value": "20.0000000", "unit": "mm"}}],
        max_length=_MOST_SIZES,
    )
    notes: tuple[str, ...] = Field(
        description="What else has this size, and what to look at.", examples=[[]], max_length=50
    )

    @classmethod
    def of(cls, likely: Likely) -> Self:
        """Carry a size over the border."""
        return cls(
            designation=likely.designation,
            standard=likely.standard,
            probability=computed(likely.probability),
            sizes={name: computed_quantity(size, "mm") for name, size in likely.sizes.items()},
            notes=likely.notes,
        )


class IdentificationAnswer(Answer):
    """What the part may be. Probabilities of items, others and none_of_these add up to 1."""

    measured: dict[str, MeasuredOut] = Field(
        description="The readings by name, as understood.", max_length=_MOST_SIZES
    )
    items: tuple[LikelyOut, ...] = Field(
        description="Sizes, likeliest first; those below one in a thousand are in others.",
        max_length=_MOST_LISTED,
    )
    others: DecimalOut = Field(
        description="Probability of all other sizes together.", examples=["0.000412330"]
    )
    none_of_these: DecimalOut = Field(
        description="Probability that the part is of no size in the tables.",
        examples=["0.0141673600"],
    )
    advice: tuple[str, ...] = Field(
        description="Which dimension to trust, what contradicts, what to measure next.",
        examples=[[]],
        max_length=50,
    )
    assumptions: tuple[str, ...] = Field(
        description="What was taken for granted because the question does not say.",
        examples=[["Whether the part is new is not said: it may be worn."]],
        max_length=20,
    )

    @classmethod
    def of(cls, answered: Answered) -> Self:
        """Carry an identification over the border."""
        found = answered.identified
        return cls(
            measured={name: MeasuredOut.of(one) for name, one in answered.measured.items()},
            items=tuple(LikelyOut.of(one) for one in found.items),
            others=computed(found.others),
            none_of_these=computed(found.none_of_these),
            advice=found.advice,
            assumptions=answered.assumptions,
        )
