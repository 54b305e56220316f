"""Limits and fits, and the list of the house's tables: questions in the address, and answers."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, Body, Flag, QuantityOut, ShortText, UnitCode
from api.schemas.figures import computed_quantity
from shared.standards.catalogue import SourceSummary, TableSummary
from shared.standards.iso286 import Fit, FitKind, Limits
from shared.standards.reader import Basis

_MOST_CLASSES = 8


class FitsQuery(Body):
    """A nominal size, and tolerance classes at it."""

    nominal: ShortText = Field(
        description="Nominal size as the trade writes it, above 0 up to 500 mm.", examples=["25"]
    )
    unit: UnitCode | None = Field(
        default=None, description="Unit code of a bare nominal; mm if not given.", examples=["mm"]
    )
    classes: ShortText = Field(
        description="Tolerance classes of ISO 286-1, at most eight, parted by a stroke, comma or"
        " space: capitals for holes, small letters for shafts. One of each gives their fit.",
        examples=["H7/g6"],
    )


class LimitsOut(Answer):
    """What one tolerance class means at the nominal size."""

    tolerance_class: str = Field(description="The class.", examples=["H7"], max_length=4)
    is_hole: Flag = Field(
        description="Whether it is for a hole, a shaft otherwise.", examples=[True]
    )
    lower_deviation: QuantityOut = Field(
        description="Lower limit less the nominal size.",
        examples=[{"value": "0.00000000", "unit": "µm"}],
    )
    upper_deviation: QuantityOut = Field(
        description="Upper limit less the nominal size.",
        examples=[{"value": "21.0000000", "unit": "µm"}],
    )
    least: QuantityOut = Field(
        description="Lower limit of size.", examples=[{"value": "25.0000000", "unit": "mm"}]
    )
    most: QuantityOut = Field(
        description="Upper limit of size.", examples=[{"value": "25.0210000", "unit": "mm"}]
    )

    @classmethod
    def of(cls, limits: Limits) -> Self:
        """Carry limits over the border."""
        return cls(
            tolerance_class=str(limits.tolerance_class),
            is_hole=limits.tolerance_class.is_hole,
            lower_deviation=computed_quantity(limits.lower_um, "µm"),
            upper_deviation=computed_quantity(limits.upper_um, "µm"),
            least=computed_quantity(limits.least, "mm"),
            most=computed_quantity(limits.most, "mm"),
        )


class FitOut(Answer):
    """What a hole and a shaft make together; a clearance below 0 is an interference."""

    kind: FitKind = Field(
        description="clearance: never binds; interference: never has play; transition: either.",
        examples=["clearance"],
    )
    least_clearance: QuantityOut = Field(
        description="The tightest: least hole less largest shaft.",
        examples=[{"value": "0.00700000000", "unit": "mm"}],
    )
    most_clearance: QuantityOut = Field(
        description="The loosest: largest hole less least shaft.",
        examples=[{"value": "0.0410000000", "unit": "mm"}],
    )

    @classmethod
    def of(cls, fit: Fit) -> Self:
        """Carry a fit over the border."""
        return cls(
            kind=fit.kind,
            least_clearance=computed_quantity(fit.least_clearance, "mm"),
            most_clearance=computed_quantity(fit.most_clearance, "mm"),
        )


class FitsAnswer(Answer):
    """Limits of size by ISO 286-1."""

    nominal: QuantityOut = Field(
        description="The nominal size.", examples=[{"value": "25.0000000", "unit": "mm"}]
    )
    items: tuple[LimitsOut, ...] = Field(
        description="Class by class, as asked.", max_length=_MOST_CLASSES
    )
    fit: FitOut | None = Field(
        description="The fit, where one hole and one shaft were asked for; else null."
    )
    notes: tuple[str, ...] = Field(
        description="What the figures hold for.",
        examples=[["Sizes hold at 20 °C."]],
        max_length=10,
    )

    @classmethod
    def of(cls, nominal: float, limits: tuple[Limits, ...]) -> Self:
        """Carry limits over the border, with their fit where they are one hole and one shaft."""
        holes = [one for one in limits if one.tolerance_class.is_hole]
        shafts = [one for one in limits if not one.tolerance_class.is_hole]
        is_pair = len(holes) == len(shafts) == 1
        return cls(
            nominal=computed_quantity(nominal, "mm"),
            items=tuple(LimitsOut.of(one) for one in limits),
            fit=FitOut.of(Fit(holes[0], shafts[0])) if is_pair else None,
            notes=(
                "Limits when made, at 20 °C (ISO 1): they say nothing of a worn part.",
                "Whether a fit carries its load is not told by its limits.",
            ),
        )


class BasisCountOut(Answer):
    """How many rows rest on what."""

    basis: Basis = Field(
        description="formula: computed as the standard defines it; two-sources: two independent"
        " origins agree; one-source; memory: the authors' memory of the standard only;"
        " common-practice: a rule of the trade without a published source.",
        examples=["two-sources"],
    )
    rows: int = Field(description="How many rows.", examples=[124])


class SourceOut(Answer):
    """One publication that rows of a table are from."""

    source: str = Field(description="The publication.", examples=["ISO 286-1"], max_length=500)
    edition: str = Field(
        description="Its edition, and how it was read.",
        examples=["2010, from memory"],
        max_length=500,
    )
    rows: int = Field(description="How many rows are from it.", examples=[124])
    basis: tuple[BasisCountOut, ...] = Field(
        description="How far they are confirmed.", max_length=len(Basis)
    )

    @classmethod
    def of(cls, summary: SourceSummary) -> Self:
        """Carry a source over the border."""
        return cls(
            source=summary.source,
            edition=summary.edition,
            rows=summary.rows,
            basis=tuple(BasisCountOut(basis=one, rows=n) for one, n in summary.basis.items()),
        )


class TableOut(Answer):
    """One table of the house."""

    name: str = Field(description="Its name.", examples=["iso286_grades"], max_length=60)
    title: str = Field(
        description="What it holds, in which range.",
        examples=["Standard tolerances IT01 to IT18, nominal sizes up to 500 mm"],
        max_length=300,
    )
    rows: int = Field(description="How many rows it has.", examples=[260])
    sources: tuple[SourceOut, ...] = Field(
        description="The publications it is from.", max_length=500
    )
    note: str = Field(
        description="What it leaves out, how far it may be trusted; may be empty.",
        examples=["Sizes above 500 mm are left out."],
        max_length=1000,
    )

    @classmethod
    def of(cls, summary: TableSummary) -> Self:
        """Carry a table's summary over the border."""
        return cls(
            name=summary.name,
            title=summary.title,
            rows=summary.rows,
            sources=tuple(SourceOut.of(source) for source in summary.sources),
            note=summary.note,
        )


class StandardsAnswer(Answer):
    """The tables of the house; none was read from a purchased copy of a current standard."""

    items: tuple[TableOut, ...] = Field(description="Table by table, by name.", max_length=500)
