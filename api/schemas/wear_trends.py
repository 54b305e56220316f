"""The wear of one unit: the question in the address, and the trends."""

from decimal import Decimal
from typing import Self

from pydantic import Field

from api.schemas.base import Answer, Body, DecimalOut, Flag, IdText, ProbabilityText, QuantityOut
from api.schemas.figures import computed, computed_or_null, quantity_or_null
from api.schemas.wear import TrendOut, bore, trend_members
from shared.condition.wear.model import NoTrend, Side, WearPoint
from shared.condition.wear.unit_wear import CharacteristicWear

_MOST = 10_000


class WearTrendsQuery(Body):
    """How sure the bounds are to be."""

    confidence: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability with which each bound holds by itself, above 0.5 and below 1; 0.95"
        " if not given.",
        examples=["0.95"],
    )


class WearPointOut(Answer):
    """One point of a trend."""

    hours: DecimalOut = Field(description="Running hours of the unit.", examples=["4000.00000"])
    size: QuantityOut = Field(description="The size.", examples=[bore("35.0180000")])
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null where none is known.",
        examples=[bore("0.00400000000")],
    )
    is_new: Flag = Field(
        description="Not measured: the size when new, from its limits.", examples=[False]
    )

    @classmethod
    def of(cls, point: WearPoint, unit: str) -> Self:
        """Carry a point over the border."""
        size = quantity_or_null(point.size, unit)
        assert size is not None
        return cls(
            hours=computed(point.hours),
            size=size,
            standard_uncertainty=quantity_or_null(point.u, unit),
            is_new=point.is_new,
        )


class WearTrendOut(TrendOut):
    """The wear of one characteristic, of one piece where its position holds several."""

    position_id: IdText = Field(description="The position.", examples=["pos_4hd"])
    position_name: str = Field(description="Its name.", examples=["Input shaft"], max_length=200)
    characteristic_id: IdText = Field(description="What is measured.", examples=["chr_8k2"])
    characteristic_name: str = Field(
        description="Its name.", examples=["bearing seat"], max_length=200
    )
    piece: int | None = Field(
        description="Of which piece; null: the findings name none.", examples=[1], ge=1, le=10000
    )
    wears_towards: Side | None = Field(
        description="Towards which limit the size moves; null where there is no trend.",
        examples=["upper"],
    )
    limit: QuantityOut | None = Field(
        description="That limit; null where there is no trend.", examples=[bore("35.0300000")]
    )
    points: tuple[WearPointOut, ...] = Field(
        description="What the trend goes by, in rising hours.", max_length=_MOST
    )

    @classmethod
    def of(cls, wear: CharacteristicWear) -> Self:
        """Carry one trend over the border."""
        trend = wear.trend
        hours = (wear.estimate, wear.lower, wear.upper)
        return cls(
            **trend_members(trend, trend.unit, hours, wear.inspection),
            warnings=trend.warnings,
            position_id=wear.position.id,
            position_name=wear.position.name,
            characteristic_id=wear.characteristic.id,
            characteristic_name=wear.characteristic.name,
            piece=wear.piece,
            wears_towards=None if isinstance(trend, NoTrend) else trend.side,
            limit=None if isinstance(trend, NoTrend) else quantity_or_null(trend.limit, trend.unit),
            points=tuple(WearPointOut.of(point, trend.unit) for point in trend.points),
        )


class WearTrendsOut(Answer):
    """The wear of a unit, what is to be measured again soonest first."""

    unit_id: IdText = Field(description="The unit.", examples=["unt_2fj"])
    hours_now: DecimalOut | None = Field(
        description="Running hours by now, the most that anything on record says; null: nothing"
        " does.",
        examples=["4000.00000"],
    )
    confidence: DecimalOut = Field(
        description="Probability with which each bound holds by itself.", examples=["0.95"]
    )
    items: tuple[WearTrendOut, ...] = Field(
        description="Characteristics with a size at known hours.", max_length=_MOST
    )

    @classmethod
    def of(
        cls,
        unit_id: str,
        hours_now: float | None,
        confidence: Decimal,
        found: tuple[CharacteristicWear, ...],
    ) -> Self:
        """Carry a unit's wear over the border."""
        return cls(
            unit_id=unit_id,
            hours_now=computed_or_null(hours_now),
            confidence=confidence,
            items=tuple(WearTrendOut.of(one) for one in found),
        )
