"""Whether common hardware does a special tool's work: the question that is sent whole."""

from typing import Annotated

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    Flag,
    IdText,
    MoneyIn,
    ShortText,
    UtcDateTime,
    refuse,
    whole_between,
)
from api.schemas.fasteners import PieceFields, Pieces, ToolWork
from api.schemas.queries import (
    FlagInAddress,
    UpToThousandInAddress,
    UpToTwentyInAddress,
)
from api.schemas.records import check_distinct
from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.asked import OfferKind, SubstitutesAsked
from shared.typed import convert

MOST_ITEMS = 5_000
MOST_CANDIDATES = 20
MOST_JOBS = 1_000

Jobs = Annotated[int, whole_between(1, MOST_JOBS), Field(ge=1, le=MOST_JOBS)]
Candidates = Annotated[int, whole_between(1, MOST_CANDIDATES), Field(ge=1, le=MOST_CANDIDATES)]

_JOBS = "Over how many jobs the tool and its substitute are compared, this one among them."
_STANDARD_ITEMS = "Whether standard items that can be bought are tried too, besides what is there."
_LIMIT = "How many candidates are told: so many that hold, and so many that do not."


class RequirementIn(ToolWork):
    """What the tool has to do, and what it must fit."""

    function: ToolFunction = Field(description="What the tool does.", examples=["separate"])
    name: ShortText | None = Field(
        default=None, description="What the tool is called.", examples=["Cover puller"]
    )


class ItemIn(PieceFields):
    """Pieces of one kind that may be used."""

    name: ShortText = Field(description="What it is.", examples=["Hexagon screw M8x60"])
    kind: ShortText | None = Field(
        default=None, description="The shop's word for it.", examples=["screw"]
    )
    quantity: Pieces = Field(default=1, description="How many there are.", examples=[12])
    is_on_hand: Flag = Field(
        default=True, description="Whether they lie in the shop already.", examples=[True]
    )
    id: IdText | None = Field(
        default=None,
        description="A name of yours, by which the answer tells it; its place if not given.",
        examples=["drawer-4-m8x60"],
    )


class ToolOfferIn(Body):
    """An offer of the special tool itself."""

    kind: OfferKind = Field(description="Sold, or hired out by the job.", examples=["hire"])
    name: ShortText = Field(description="Who offers what.", examples=["Puller, hired, one day"])
    price: MoneyIn = Field(
        description="Of the piece, or of one hire.",
        examples=[{"amount": "38.00", "currency": "EUR"}],
    )


class SubstitutesQuestion(Body):
    """A special tool's work, the pieces there are, and what the tool itself would cost."""

    requirement: RequirementIn = Field(description="What the tool has to do.")
    items: tuple[ItemIn, ...] = Field(
        default=(), max_length=MOST_ITEMS, description="The pieces there are."
    )
    offers: tuple[ToolOfferIn, ...] = Field(
        default=(), max_length=100, description="Offers of the special tool, to compare with."
    )
    jobs_to_come: Jobs = Field(default=1, description=_JOBS, examples=[5])
    include_standard_items: Flag = Field(default=True, description=_STANDARD_ITEMS, examples=[True])
    limit: Candidates = Field(default=MOST_CANDIDATES, description=_LIMIT, examples=[5])

    @model_validator(mode="after")
    def _told_apart(self) -> "SubstitutesQuestion":
        named = [(place, item.id) for place, item in enumerate(self.items) if item.id is not None]
        seen: set[str] = set()
        for place, one in named:
            if one in seen:
                refuse(
                    "repeated",
                    f"Two items have the id {one}.",
                    "Give each item an id of its own, or leave the ids out.",
                    f"/items/{place}/id",
                )
            seen.add(one)
        check_distinct(self.requirement.uses or (), "/requirement/uses", "use")
        return self

    def asked(self) -> SubstitutesAsked:
        """Return the question in the words of the domain; what was left out stays out."""
        return convert(self.model_dump(exclude_none=True, exclude={"limit"}), SubstitutesAsked)


class SubstitutesQuery(Body):
    """What the substitutes of a stored tool take."""

    as_of: UtcDateTime | None = Field(
        default=None,
        description="The moment at which offers have to hold; left out: now. The answer repeats"
        " it. The stock is that of now.",
        examples=["2031-03-04T09:15:00Z"],
    )

    jobs_to_come: UpToThousandInAddress = Field(default=1, description=_JOBS, examples=[5])
    include_standard_items: FlagInAddress = Field(
        default=True, description=_STANDARD_ITEMS, examples=[True]
    )
    limit: UpToTwentyInAddress = Field(default=MOST_CANDIDATES, description=_LIMIT, examples=[5])
