"""Hexagon heads by their width across flats: the question in the address, and the answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, Body, QuantityOut, ShortText
from api.schemas.figures import computed_quantity, quantity_or_null
from shared.fasteners.heads import PossibleHeads
from shared.standards.hexagons import HeadThreads, Hexagon
from shared.standards.reader import Basis

_MOST_HEADS = 120
_FLATS = {"value": "14.0000000", "unit": "mm"}
_PITCH = {"value": "1.25000000", "unit": "mm"}


class HexagonHeadsQuery(Body):
    """What was measured on a hexagon head."""

    across_flats: ShortText = Field(
        description="Width across flats as the trade writes it: 14, 9/16 in.", examples=["14"]
    )
    major: ShortText | None = Field(
        default=None,
        description="Outside diameter of the thread, measured or nominal.",
        examples=["10"],
    )
    unit: ShortText | None = Field(
        default=None,
        description="Unit code of the figures that name none: mm or in; mm if not given, and then"
        " a bare fraction is asked about.",
        examples=["mm"],
    )
    plus_minus: ShortText | None = Field(
        default=None,
        description="Half-width of the doubt of the width across flats; 0.1 mm if not given.",
        examples=["0.1"],
    )


class HexagonHeadOut(Answer):
    """One head that it may be."""

    kind: str = Field(
        description="Which hexagon.", examples=["small hexagon, Japanese standard"], max_length=60
    )
    size: str = Field(description="Size of the thread.", examples=["M10"], max_length=20)
    threads: HeadThreads = Field(description="Family of threads.", examples=["metric"])
    across_flats: QuantityOut = Field(
        description="Nominal and greatest width across flats.", examples=[_FLATS]
    )
    across_flats_least: QuantityOut = Field(
        description="Least width of a new one; rough and worn ones are some 3 per cent under"
        " nominal.",
        examples=[{"value": "13.7300000", "unit": "mm"}],
    )
    usual_pitches: tuple[QuantityOut, ...] = Field(
        description="Pitches usual with this head, the commonest first; empty: it does not tell.",
        examples=[[_PITCH]],
        max_length=10,
    )
    standard: str = Field(
        description="Where the head is from.", examples=["JIS B 1180"], max_length=200
    )
    edition: str = Field(description="Its edition.", examples=["1982 and 2011"], max_length=60)
    basis: Basis = Field(description="How far the row is confirmed.", examples=["two-sources"])
    note: str = Field(
        description="What to know of it.",
        examples=["Pitch as vehicles use it."],
        max_length=300,
    )

    @classmethod
    def of(cls, head: Hexagon) -> Self:
        """Carry a head over the border."""
        return cls(
            kind=head.kind,
            size=head.nominal,
            threads=head.threads,
            across_flats=computed_quantity(head.across_flats, "mm"),
            across_flats_least=computed_quantity(head.across_flats_least, "mm"),
            usual_pitches=tuple(computed_quantity(pitch, "mm") for pitch in head.usual_pitches),
            standard=head.standard,
            edition=head.edition,
            basis=head.basis,
            note=head.note,
        )


class HexagonHeadsAnswer(Answer):
    """The heads that it may be, the nearest first."""

    items: tuple[HexagonHeadOut, ...] = Field(
        description="Empty: none of the tables has it.", max_length=_MOST_HEADS
    )
    pitch: QuantityOut | None = Field(
        description="The one pitch usual with every head found; null: the head does not tell, as"
        " always without the outside diameter.",
        examples=[_PITCH],
    )
    advice: tuple[str, ...] = Field(
        description="What to do next.",
        examples=[["The head does not tell the pitch: measure it, do not guess."]],
        max_length=10,
    )
    assumptions: tuple[str, ...] = Field(
        description="What was taken because it was not said.",
        examples=[["Figures without a unit are in mm."]],
        max_length=10,
    )

    @classmethod
    def of(cls, found: PossibleHeads, assumptions: tuple[str, ...]) -> Self:
        """Carry the heads over the border."""
        return cls(
            items=tuple(HexagonHeadOut.of(head) for head in found.items),
            pitch=quantity_or_null(found.pitch, "mm"),
            advice=found.advice,
            assumptions=assumptions,
        )
