"""Who can give a part: the question in the address, and the answer."""

from dataclasses import replace
from typing import Self

from pydantic import Field

from api.schemas.base import (
    LARGEST_INTEGER,
    Answer,
    DecimalOut,
    IdText,
    MoneyOut,
    ShortText,
    WholeNumber,
    from_domain,
)
from api.schemas.candidates import CandidateTold, CautionOut
from api.schemas.figures import computed, rounded_down
from api.schemas.places import Parts, TraitsOut, UnitQuery
from shared.assemblies.traits import Traits
from shared.condition.model import Verdict
from shared.decision.giving.found import (
    CannotGive,
    DonorsFound,
    Giver,
    GiverKind,
    Giving,
    Likeness,
    Loss,
    PositionNamed,
    TraitCompared,
)
from shared.evidence import Caution, ReasonRetired
from shared.money import Money

_LONG = 10_000
_MOST_GIVERS = 10_000
_MOST_POSITIONS = 500


class DonorsQuery(UnitQuery):
    """For which unit a part is sought, and out of which donors."""

    variant: ShortText | None = Field(
        default=None,
        description="What else tells the unit from others of its design, in the maker's words.",
        examples=["with brake"],
    )
    reason_retired: ReasonRetired | None = Field(
        default=None,
        description="Only out of donors that went out of service for this reason.",
        examples=["wear"],
    )
    provenance: ShortText | None = Field(
        default=None,
        description="Only out of donors whose provenance holds these words.",
        examples=["yard lot"],
    )

    def traits(self) -> Traits:
        """Return what is said of the unit."""
        return replace(super().traits(), variant=self.variant)

    def takes(self, giver: Giver) -> bool:
        """Whether a giver is of those asked for."""
        if self.reason_retired not in (None, giver.reason_retired):
            return False
        words = " ".join((self.provenance or "").casefold().split())
        return words in " ".join((giver.provenance or "").casefold().split())


class PositionOut(Answer):
    """A position with its name."""

    id: IdText = Field(description="The position.", examples=["pos_4hd"])
    name: str = Field(description="Its name.", examples=["Input bearing"], max_length=200)

    @classmethod
    def of(cls, one: PositionNamed) -> Self:
        """Carry a position over the border."""
        return cls(id=one.id, name=one.name)


class TraitComparedOut(Answer):
    """One trait of the receiving unit beside the giver's."""

    name: str = Field(description="Which trait.", examples=["ratio"], max_length=60)
    own: str | None = Field(
        description="The receiving unit's; null: not on record.", examples=["1.98"], max_length=200
    )
    other: str | None = Field(
        description="The giver's; null: not on record.", examples=["1.84"], max_length=200
    )
    likeness: Likeness = Field(
        description="Whether they are alike; one that is not on record cannot be told.",
        examples=["differs"],
    )
    output_speed_percent: DecimalOut | None = Field(
        description="Of ratios: by how many percent faster the output would turn with the giver's;"
        " null: no ratio, or one is not on record.",
        examples=["7.60869565"],
    )

    @classmethod
    def of(cls, one: TraitCompared) -> Self:
        """Carry a comparison over the border."""
        speed = one.output_speed_percent
        return cls(
            name=one.name,
            own=one.own,
            other=one.other,
            likeness=one.likeness,
            output_speed_percent=None if speed is None else computed(float(speed)),
        )


class GiverOut(Answer):
    """A donor, or a part on the shelf with the donor it comes from."""

    kind: GiverKind = Field(description="On the shelf, or still in its donor.", examples=["donor"])
    unit_id: IdText | None = Field(
        description="The donor; null of a part held for another job.", examples=["unt_2f8"]
    )
    assembly_id: IdText | None = Field(description="Its design.", examples=["asm_7kq"])
    position: PositionOut = Field(
        description="Where the part sits or sat; of another assembly, that one's own position."
    )
    salvaged_part_id: IdText | None = Field(
        description="The part on the shelf.", examples=["sal_2f8"]
    )
    label: str | None = Field(description="Its label.", examples=["S-0418"], max_length=200)
    part_id: IdText | None = Field(description="The part that it is.", examples=["prt_1c3"])
    traits: TraitsOut = Field(description="What tells its unit apart.")
    compared: tuple[TraitComparedOut, ...] = Field(
        description="Its traits beside those of the receiving unit.", max_length=20
    )
    lower_hours: DecimalOut | None = Field(
        description="Least running hours of the part.", examples=["800"]
    )
    upper_hours: DecimalOut | None = Field(
        description="Most running hours of the part.", examples=["1400"]
    )
    provenance: str | None = Field(
        description="Where the donor comes from.",
        examples=["Yard lot, stood in the wet."],
        max_length=2000,
    )
    reason_retired: ReasonRetired | None = Field(
        description="Why it went out of service.", examples=["wear"]
    )

    @classmethod
    def of(cls, one: Giver) -> Self:
        """Carry a giver over the border."""
        return cls(
            kind=one.kind,
            unit_id=one.unit_id,
            assembly_id=one.assembly_id,
            position=PositionOut.of(one.position),
            salvaged_part_id=one.salvaged_part_id,
            label=one.label,
            part_id=one.part_id,
            traits=TraitsOut.of(one.traits),
            compared=tuple(TraitComparedOut.of(each) for each in one.compared),
            lower_hours=one.lower_hours,
            upper_hours=one.upper_hours,
            provenance=one.provenance,
            reason_retired=one.reason_retired,
        )


class LossOut(Answer):
    """What is given up by taking the part; null: not on record."""

    taken: MoneyOut | None = Field(description="What the part counts for.")
    rest_before: MoneyOut | None = Field(description="Worth of the donor's rest as it stands.")
    rest_after: MoneyOut | None = Field(description="The same without the part.")
    outlay: MoneyOut | None = Field(
        description="What the donor costs to buy, or its worth undisturbed."
    )
    is_owned: bool = Field(description="Whether the shop owns it already.", examples=[True])
    still_gives: tuple[PositionOut, ...] = Field(
        description="Other positions of the receiving unit that it can give besides.",
        max_length=_MOST_POSITIONS,
    )

    @classmethod
    def of(cls, one: Loss) -> Self:
        """Carry a loss over the border."""
        return cls(
            taken=_money(one.taken),
            rest_before=_money(one.rest_before),
            rest_after=_money(one.rest_after),
            outlay=_money(one.outlay),
            is_owned=one.is_owned,
            still_gives=_positions(one.still_gives),
        )


def _money(money: Money | None) -> MoneyOut | None:
    return None if money is None else from_domain(money, MoneyOut)


def _positions(positions: tuple[PositionNamed, ...]) -> tuple[PositionOut, ...]:
    return tuple(PositionOut.of(one) for one in positions)


def _cautions(cautions: tuple[Caution, ...]) -> tuple[CautionOut, ...]:
    return tuple(from_domain(caution, CautionOut) for caution in cautions)


class GivingOut(Answer):
    """One way to get the part for this position."""

    giver: GiverOut = Field(description="Where it comes from.")
    pieces: int = Field(
        description="How many pieces are taken.", examples=[1], ge=1, le=LARGEST_INTEGER
    )
    verdict: Verdict = Field(
        description="What its findings say; not-inspected is no yes.", examples=["not-inspected"]
    )
    chance: DecimalOut | None = Field(
        description="Chance that it proves good; null: nothing on record tells.",
        examples=["0.700000"],
    )
    basis: str = Field(
        description="What the chance stands on.",
        examples=["12 of 15 parts out of donors retired for wear"],
        max_length=_LONG,
    )
    candidate: CandidateTold | None = Field(
        description="The path by which another part takes the place; null: it is what is called"
        " for, or sat in this very position."
    )
    take_p50_hours: DecimalOut = Field(
        description="Labour hours to take it and what comes along, without stripping the donor,"
        " five in ten.",
        examples=["0.6"],
    )
    take_p90_hours: DecimalOut = Field(description="The same, nine in ten.", examples=["0.9"])
    strip_p50_hours: DecimalOut = Field(
        description="Hours to strip the donor, five in ten.", examples=["1.5"]
    )
    strip_p90_hours: DecimalOut = Field(description="The same, nine in ten.", examples=["2.5"])
    has_take_hours: bool = Field(
        description="Whether hours to take it are on record.", examples=[True]
    )
    loss: LossOut = Field(description="What is given up.")
    comes_along: tuple[PositionOut, ...] = Field(
        description="Positions of its matched set: they come from the same unit.",
        max_length=_MOST_POSITIONS,
    )
    cautions: tuple[CautionOut, ...] = Field(
        description="Warnings about the donor's own position, of another assembly.",
        max_length=10_000,
    )
    notes: tuple[str, ...] = Field(
        description="What else is to be known.", examples=[[]], max_length=1_000
    )

    @classmethod
    def of(cls, one: Giving, parts: Parts) -> Self:
        """Carry a giving over the border."""
        candidate = one.candidate
        return cls(
            giver=GiverOut.of(one.giver),
            pieces=one.pieces,
            verdict=one.verdict,
            chance=None if one.chance is None else rounded_down(one.chance),
            basis=one.basis,
            candidate=None if candidate is None else CandidateTold.told(candidate, parts),
            take_p50_hours=one.take_p50_hours,
            take_p90_hours=one.take_p90_hours,
            strip_p50_hours=one.strip_p50_hours,
            strip_p90_hours=one.strip_p90_hours,
            has_take_hours=one.has_take_hours,
            loss=LossOut.of(one.loss),
            comes_along=_positions(one.comes_along),
            cautions=_cautions(one.cautions),
            notes=one.notes,
        )


class CannotGiveOut(Answer):
    """A giver that does not give this position to this unit."""

    giver: GiverOut = Field(description="Who.")
    reasons: tuple[str, ...] = Field(
        description="Every reason found.",
        examples=[["the generation is 'first', the unit's is 'second'"]],
        max_length=1_000,
    )

    @classmethod
    def of(cls, one: CannotGive) -> Self:
        """Carry a refusal over the border."""
        return cls(giver=GiverOut.of(one.giver), reasons=one.reasons)


class DonorsOut(Answer):
    """Who can give one position to one unit: the shelf first, the likeliest first."""

    position: PositionOut = Field(description="The position to be filled.")
    unit_id: IdText | None = Field(
        description="The unit on record that it is for; null: one described.",
        examples=["unt_7kq"],
    )
    traits: TraitsOut = Field(description="What tells the unit apart, as it was understood.")
    pieces: int = Field(
        description="How many pieces the position holds.", examples=[1], ge=0, le=LARGEST_INTEGER
    )
    givings: tuple[GivingOut, ...] = Field(
        description="Ways to get the part, as a decision would take them.", max_length=_MOST_GIVERS
    )
    cannot_give: tuple[CannotGiveOut, ...] = Field(
        description="Those that cannot give it.", max_length=_MOST_GIVERS
    )
    others_left_out: WholeNumber = Field(
        description="How many are not told, for the reason or provenance asked for.", examples=[0]
    )
    select_fit: tuple[PositionOut, ...] = Field(
        description="Positions of the unit whose parts are chosen by measuring: chosen anew, none"
        " comes from a donor.",
        max_length=_MOST_POSITIONS,
    )
    decided_with: PositionOut | None = Field(
        description="The position that is dealt with whole and holds this one; null: none does."
    )
    cautions: tuple[CautionOut, ...] = Field(
        description="Warnings about the position and its assembly.", max_length=10_000
    )
    notes: tuple[str, ...] = Field(
        description="What was taken for granted.", examples=[[]], max_length=1_000
    )

    @classmethod
    def of(cls, found: DonorsFound, query: DonorsQuery, traits: Traits, parts: Parts) -> Self:
        """Carry what was found over the border, as far as it was asked for."""
        givings = tuple(one for one in found.givings if query.takes(one.giver))
        cannot = tuple(one for one in found.cannot_give if query.takes(one.giver))
        all_found = len(found.givings) + len(found.cannot_give)
        decided_with = found.decided_with
        return cls(
            position=PositionOut.of(found.position),
            unit_id=query.unit_id,
            traits=TraitsOut.of(traits),
            pieces=found.pieces,
            givings=tuple(GivingOut.of(one, parts) for one in givings),
            cannot_give=tuple(CannotGiveOut.of(one) for one in cannot),
            others_left_out=all_found - len(givings) - len(cannot),
            select_fit=_positions(found.select_fit),
            decided_with=None if decided_with is None else PositionOut.of(decided_with),
            cautions=_cautions(found.cautions),
            notes=found.notes,
        )
