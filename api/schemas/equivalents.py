"""What may stand in for a fastener: the answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, DecimalOut
from api.schemas.figures import computed_or_null
from shared.fasteners.equivalence_model import Compared, Equivalent, Equivalents, Outcome

_MOST = 80


class ComparedOut(Answer):
    """One figure of the wanted fastener beside the offered one's."""

    what: str = Field(description="Which figure.", examples=["proof stress"], max_length=40)
    unit: str = Field(description="Unit or scale of the figures.", examples=["MPa"], max_length=10)
    wanted: DecimalOut | None = Field(
        description="The wanted one's; null: none is stated.", examples=["580.000000"]
    )
    offered: DecimalOut | None = Field(
        description="The offered one's; null: none is stated.", examples=["830.000000"]
    )
    shortfall: DecimalOut | None = Field(
        description="By how much the offered one falls short: 0 where it does not, null where a"
        " figure is missing.",
        examples=["0.00000000"],
    )
    shortfall_percent: DecimalOut | None = Field(
        description="The same in per cent of the wanted; null for points of Rockwell hardness.",
        examples=["0.00000000"],
    )
    note: str = Field(description="How it was compared.", examples=[""], max_length=200)

    @classmethod
    def of(cls, figure: Compared) -> Self:
        """Carry a figure over the border."""
        return cls(
            what=figure.what,
            unit=figure.unit,
            wanted=computed_or_null(figure.wanted),
            offered=computed_or_null(figure.offered),
            shortfall=computed_or_null(figure.shortfall),
            shortfall_percent=computed_or_null(figure.shortfall_percent),
            note=figure.note,
        )


class EquivalentOut(Answer):
    """An offered fastener beside the wanted one."""

    designation: str = Field(description="Its name.", examples=["M8x1.25x40 10.9"], max_length=300)
    thread: str = Field(description="Its thread.", examples=["M8x1.25"], max_length=60)
    property_class: str = Field(
        description="Its class, or the one it counts as.", examples=["10.9"], max_length=20
    )
    is_marked: bool = Field(
        description="false: unmarked, so it counts as the lowest class.", examples=[True]
    )
    outcome: Outcome = Field(
        description="At least as strong by proof, yield, tensile strength and hardness; weaker;"
        " not comparable, for the reasons given; or another thread, which never goes into the same"
        " hole or nut.",
        examples=["at least as strong"],
    )
    figures: tuple[ComparedOut, ...] = Field(description="Figure by figure.", max_length=10)
    reasons: tuple[str, ...] = Field(
        description="Why the outcome is what it is.", examples=[[]], max_length=20
    )
    traps: tuple[str, ...] = Field(
        description="What the figures hide.",
        examples=[["Where the tapped hole governs, the higher class holds no more."]],
        max_length=20,
    )
    nut_classes: tuple[str, ...] = Field(
        description="Nut classes that carry it, the least first; empty: none known.",
        examples=[["10", "12"]],
        max_length=20,
    )
    standard: str = Field(
        description="Where the figures are from.", examples=["ISO 898-1"], max_length=60
    )
    edition: str = Field(description="Its edition.", examples=["2013"], max_length=60)

    @classmethod
    def of(cls, item: Equivalent) -> Self:
        """Carry an offered fastener over the border."""
        return cls(
            designation=item.designation,
            thread=item.thread,
            property_class=item.property_class,
            is_marked=item.is_marked,
            outcome=item.outcome,
            figures=tuple(ComparedOut.of(figure) for figure in item.figures),
            reasons=item.reasons,
            traps=item.traps,
            nut_classes=item.nut_classes,
            standard=item.standard,
            edition=item.edition,
        )


class EquivalentsAnswer(Answer):
    """What may stand in for a fastener, and what may not."""

    designation: str = Field(
        description="The fastener as it was understood.",
        examples=["M8x1.25x40 8.8"],
        max_length=300,
    )
    counted_class: str | None = Field(
        description="The class compared with; null: none could be.",
        examples=["8.8"],
        max_length=20,
    )
    is_assumed: bool = Field(
        description="Whether no class was given, so that the lowest was taken.", examples=[False]
    )
    refusal: str | None = Field(
        description="Why nothing stands in for it; null: see the items.",
        examples=[None],
        max_length=500,
    )
    items: tuple[EquivalentOut, ...] = Field(
        description="The same class, then those at least as strong, the nearest first; then the"
        " rest with what they fall short by.",
        max_length=_MOST,
    )
    cautions: tuple[str, ...] = Field(
        description="What goes with every answer.",
        examples=[["An unmarked fastener counts as the lowest class, wherever it came from."]],
        max_length=20,
    )

    @classmethod
    def of(cls, found: Equivalents) -> Self:
        """Carry the comparison over the border."""
        return cls(
            designation=found.designation,
            counted_class=found.counted_class,
            is_assumed=found.is_assumed,
            refusal=found.refusal,
            items=tuple(EquivalentOut.of(item) for item in found.items),
            cautions=found.cautions,
        )
