"""A life fitted to a record of failures: question and answer. All times are running hours."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    PositiveDecimalText,
    ProbabilityText,
    WholeNumber,
)
from api.schemas.figures import computed, computed_or_null, rounded_down
from shared.life.bounds import Bounds
from shared.life.fitted import FitMethod, FittedLife
from shared.life.observed import MOST_TIMES, Alike, Observed

_ASKED = "Chance that a new part reaches so many hours"


class AlikeIn(Body):
    """So many parts with the same running hours."""

    hours: PositiveDecimalText = Field(
        description="Running hours, above 0, at most 1000000000.", examples=["410"]
    )
    count: WholeNumber = Field(
        default=1, description="How many parts, from 1 to 1000000; 1 if not given.", examples=[1]
    )


_Entries = Annotated[tuple[AlikeIn, ...], Field(max_length=MOST_TIMES)]


class LifeFitQuestion(Body):
    """Parts that failed and parts that had not, and how to fit a Weibull life to them."""

    failures: _Entries = Field(
        default=(),
        description="Parts that failed, with the hours at which they did; at most 5000 entries"
        " with the suspended ones.",
        examples=[[{"hours": "410"}, {"hours": "700"}, {"hours": "960"}]],
    )
    suspended: _Entries = Field(
        default=(),
        description="Parts that had not failed: running still, or taken out for another reason,"
        " with the hours run so far.",
        examples=[[{"hours": "1500", "count": 12}]],
    )
    method: FitMethod = Field(
        default=FitMethod.MAXIMUM_LIKELIHOOD,
        description="How to fit: maximum-likelihood (if not given), assumed-shape (few failures or"
        " none), rank-regression (median ranks, times on ranks). They differ.",
        examples=["maximum-likelihood"],
    )
    shape: PositiveDecimalText | None = Field(
        default=None,
        description="The shape, from 0.1 to 100; with assumed-shape alone.",
        examples=["2"],
    )
    confidence: ProbabilityText = Field(
        default=Decimal("0.9"),
        description="With which the bounds hold, two-sided, from 0.5 to 0.999; 0.9 if not given.",
        examples=["0.9"],
    )
    at_hours: tuple[PositiveDecimalText, ...] = Field(
        default=(),
        max_length=50,
        description=_ASKED + " is told for each of these.",
        examples=[["500"]],
    )

    def observed(self) -> Observed:
        """Carry the record over the border."""

        def entries(alike: tuple[AlikeIn, ...]) -> tuple[Alike, ...]:
            return tuple(Alike(float(one.hours), one.count) for one in alike)

        return Observed(entries(self.failures), entries(self.suspended))


class BoundsOut(Answer):
    """Two-sided bounds; null: the record sets none on that side."""

    lower: DecimalOut | None = Field(description="Lower bound.", examples=["917.956505"])
    upper: DecimalOut | None = Field(description="Upper bound.", examples=["2727.22769"])

    @classmethod
    def of(cls, bounds: Bounds) -> Self:
        """Carry bounds of hours or of a shape over the border."""
        return cls(lower=computed_or_null(bounds.lower), upper=computed_or_null(bounds.upper))

    @classmethod
    def of_chance(cls, bounds: Bounds) -> Self:
        """Carry bounds of a chance over the border, the lower one rounded down."""
        lower = None if bounds.lower is None else rounded_down(bounds.lower)
        return cls(lower=lower, upper=computed_or_null(bounds.upper))


class ReachedOut(Answer):
    """Chance that a new part reaches so many hours."""

    hours: DecimalOut = Field(description="The hours asked about.", examples=["500"])
    reliability: DecimalOut | None = Field(
        description=_ASKED + "; null: nothing failed, there are bounds alone.",
        examples=["0.878594"],
    )
    bounds: BoundsOut = Field(description="Bounds of that chance.")


class OtherShapeOut(Answer):
    """The scale that goes with another shape."""

    shape: DecimalOut = Field(description="A shape assumed.", examples=["1.50000000"])
    scale: DecimalOut | None = Field(
        description="The scale in hours that then fits best; null where nothing failed.",
        examples=["1444.61531"],
    )
    bounds: BoundsOut = Field(description="Bounds of that scale.")


class LifeFitAnswer(Answer):
    """A Weibull life in running hours, and how well it is known."""

    method: FitMethod = Field(
        description="How it was fitted: keep it with the figures.", examples=["maximum-likelihood"]
    )
    basis: str = Field(
        max_length=200,
        description="What the figures stand on, in one line, to be stored with them.",
        examples=["maximum likelihood, 4 failed of 6"],
    )
    failures: WholeNumber = Field(description="How many parts failed.", examples=[4])
    suspended: WholeNumber = Field(description="How many had not.", examples=[2])
    confidence: DecimalOut = Field(description="With which the bounds hold.", examples=["0.9"])
    shape: DecimalOut = Field(description="Weibull shape.", examples=["1.99399886"])
    shape_bounds: BoundsOut = Field(
        description="Bounds of the shape; none where it was assumed, or by rank regression."
    )
    scale: DecimalOut | None = Field(
        description="Weibull scale in hours: 63 % of new parts have failed by then. Null: nothing"
        " failed, there are bounds alone.",
        examples=["1394.07371"],
    )
    scale_bounds: BoundsOut = Field(description="Bounds of the scale in hours.")
    b10: DecimalOut | None = Field(
        description="Hours by which one part in ten has failed.", examples=["450.976600"]
    )
    b10_bounds: BoundsOut = Field(description="Bounds of those hours.")
    at_hours: tuple[ReachedOut, ...] = Field(
        max_length=50, description="The hours asked about, in their order."
    )
    other_shapes: tuple[OtherShapeOut, ...] = Field(
        max_length=10,
        description="With fewer than ten failures: how far the scale moves with the shape.",
    )
    warnings: tuple[str, ...] = Field(
        max_length=10,
        description="What speaks against trusting the figures.",
        examples=[["Only 4 failed: the shape is barely known. See the scales for other shapes."]],
    )

    @classmethod
    def of(cls, found: FittedLife, question: LifeFitQuestion) -> Self:
        """Carry a fitted life over the border."""
        return cls(
            method=question.method,
            basis=found.basis,
            failures=found.failures,
            suspended=found.suspended,
            confidence=question.confidence,
            shape=computed(found.shape),
            shape_bounds=BoundsOut.of(found.shape_bounds),
            scale=computed_or_null(None if found.life is None else found.life.scale_hours),
            scale_bounds=BoundsOut.of(found.scale_bounds),
            b10=computed_or_null(found.b10_hours),
            b10_bounds=BoundsOut.of(found.b10_bounds),
            at_hours=tuple(
                ReachedOut(
                    hours=asked,
                    reliability=None if one.reliability is None else rounded_down(one.reliability),
                    bounds=BoundsOut.of_chance(one.bounds),
                )
                for asked, one in zip(question.at_hours, found.at_hours, strict=True)
            ),
            other_shapes=tuple(
                OtherShapeOut(
                    shape=computed(one.shape),
                    scale=computed_or_null(one.scale_hours),
                    bounds=BoundsOut.of(one.bounds),
                )
                for one in found.at_shapes
            ),
            warnings=found.warnings,
        )
