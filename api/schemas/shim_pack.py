"""A shim pack: the calculation's question and answer."""

from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    Count,
    DecimalOut,
    DecimalText,
    Flag,
    IdText,
    PositiveDecimalText,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    ShortText,
    WholeNumber,
    whole_between,
    without_last_zeros,
)
from api.schemas.figures import computed, computed_or_null
from api.schemas.shim_places import ShimRuleFields, ShimSizeFields
from api.schemas.shims_by_marks import MarkText
from api.schemas.units import ShimFields
from shared.condition.marks_asked import LargerMark
from shared.condition.model import ShimEffect
from shared.condition.shims.asked import (
    MOST_PACKS,
    MOST_SHIMS,
    MOST_SIZES,
    MOST_TERMS,
    MadeTo,
    MarkCounts,
)
from shared.condition.shims.found import (
    NeededFound,
    OldPackFound,
    PackFound,
    ShimAdvice,
    ShimPackFound,
)
from shared.quantities import Quantity

MOST_READINGS = 100
_TWELVE_PLACES = Decimal("1E-12")
PackCount = Annotated[int, whole_between(1, MOST_PACKS), Field(ge=1, le=MOST_PACKS)]
ShimsOfAPack = Annotated[int, whole_between(1, MOST_SHIMS), Field(ge=1, le=MOST_SHIMS)]


def mm(value: str, **more: str) -> dict[str, str]:
    """Return a length as an example shows it."""
    return {"value": value, "unit": "mm", **more}


class DepthTermIn(Body):
    """A length of a depth sum."""

    name: ShortText = Field(description="Which length.", examples=["housing depth"])
    measured: QuantityIn = Field(
        description="The length, with how far it may be off.",
        examples=[mm("75.01", standard_uncertainty="0.005")],
    )
    factor: DecimalText = Field(
        default=Decimal(1), description='What it is multiplied by; "-1": taken off.', examples=["1"]
    )
    gauge: ShortText | None = Field(
        default=None,
        description="With which gauge it was measured, by name: readings of one gauge may go"
        " together, and the worse case counts.",
        examples=["Depth gauge No. 1"],
    )


class DepthMarkIn(Body):
    """A mark that counts parts of a length."""

    name: ShortText = Field(description="Which mark.", examples=["pinion"])
    mark: MarkText = Field(description="The mark as it is stamped.", examples=["+5"])
    unit: QuantityIn = Field(
        description="The length that a mark of 1 stands for, by the maker.", examples=[mm("0.01")]
    )
    larger_mark: MarkCounts = Field(
        description="Whether a larger mark adds to the thickness or subtracts from it, by the"
        " maker.",
        examples=["subtracts"],
    )


class DepthSumIn(Body):
    """The room that the shims fill: lengths, an offset and marks added up."""

    terms: tuple[DepthTermIn, ...] = Field(
        min_length=1, max_length=MOST_TERMS, description="The lengths."
    )
    offset: QuantityIn | None = Field(
        default=None, description="A fixed length of the maker's formula.", examples=[mm("-11.30")]
    )
    marks: tuple[DepthMarkIn, ...] = Field(
        default=(), max_length=MOST_TERMS, description="Marks that count with."
    )


class PartChangeIn(Body):
    """A part that was exchanged for one of another size, in one stack with the shims."""

    old: QuantityIn = Field(description="Size of the old part.", examples=[mm("30.802")])
    new: QuantityIn = Field(description="Size of the new part.", examples=[mm("30.83")])
    larger_part: LargerMark = Field(
        description="What a larger part wants of the shims.", examples=["thinner"]
    )
    threshold: QuantityIn | None = Field(
        default=None,
        description="A difference that is not more than that leaves the shims as they are.",
        examples=[mm("0.025")],
    )


class StockShimIn(Body):
    """Shims on hand."""

    thickness: QuantityIn = Field(
        description="Thickness of one; where it was measured, with how far it may be off.",
        examples=[mm("0.15")],
    )
    quantity: WholeNumber | None = Field(
        default=None,
        description="How many are there; left out: as many as are needed.",
        examples=[4],
    )
    part_id: IdText | None = Field(
        default=None, description="The part, if it matters.", examples=["prt_1c3"]
    )


class ShimPackQuestion(Body):
    """One way to the thickness, the shims there are, how sure is sure enough."""

    pack_lower: QuantityIn | None = Field(
        default=None,
        description="Thinnest pack that is right; with pack_upper. Or one of the other ways.",
        examples=[mm("0.36")],
    )
    pack_upper: QuantityIn | None = Field(
        default=None, description="Thickest pack that is right.", examples=[mm("0.41")]
    )
    measured_gap: QuantityIn | None = Field(
        default=None,
        description="What was measured without any shims; with clearance_lower and"
        " clearance_upper.",
        examples=[mm("0.47", standard_uncertainty="0.004")],
    )
    clearance_lower: QuantityIn | None = Field(
        default=None,
        description="Least that the shims may set; a preload is a negative clearance.",
        examples=[mm("0.06")],
    )
    clearance_upper: QuantityIn | None = Field(
        default=None, description="Most that the shims may set.", examples=[mm("0.11")]
    )
    old_pack: tuple[ShimFields, ...] | None = Field(
        default=None,
        max_length=MOST_SIZES,
        description="The shims that sat there; an empty list: none. Broken and unlisted ones as"
        " measured, with how far they may be off. Alone: a pack as it was; or with measured,"
        " change or part_change.",
        examples=[[{"thickness": mm("0.30"), "quantity": 2}]],
    )
    old_total: QuantityIn | None = Field(
        default=None,
        description="What the old pack comes to, in place of its shims.",
        examples=[mm("1.12")],
    )
    measured: QuantityIn | None = Field(
        default=None,
        description="What was measured over the old pack; with effect and both clearances.",
        examples=[mm("0.19", standard_uncertainty="0.004")],
    )
    readings: tuple[QuantityIn, ...] = Field(
        default=(),
        max_length=MOST_READINGS,
        description="Several readings in place of measured, or of measured_gap: their mean counts.",
        examples=[[mm("0.77"), mm("0.78")]],
    )
    change: QuantityIn | None = Field(
        default=None,
        description="What is added to the old pack; negative: taken off.",
        examples=[mm("-0.20")],
    )
    part_change: PartChangeIn | None = Field(
        default=None, description="A part of another size that came in; with the old pack."
    )
    depth_sum: DepthSumIn | None = Field(
        default=None,
        description="The room for the shims added up; with both clearances, or without: then the"
        " room is the pack.",
    )
    effect: ShimEffect | None = Field(
        default=None,
        description="What more shims do to what they set; never guessed where it matters. Without"
        " shims and in a depth sum they decrease it, if not given.",
        examples=["more-shims-decrease"],
    )
    factor: PositiveDecimalText = Field(
        default=Decimal(1),
        description="By how many mm what is set changes for each mm of shims.",
        examples=["1"],
    )
    leeway: QuantityIn | None = Field(
        default=None,
        description="How far a pack may be off a thickness that has no range; exactly, if not"
        " given.",
        examples=[mm("0.01")],
    )
    stock: tuple[StockShimIn, ...] = Field(
        default=(), max_length=MOST_SIZES, description="Shims on hand."
    )
    sizes: tuple[ShimSizeFields, ...] = Field(
        default=(),
        max_length=MOST_SIZES,
        description="Thicknesses that are sold; a discontinued one counts only as far as it is on"
        " hand.",
    )
    max_shims: ShimsOfAPack = Field(
        default=MOST_SHIMS, description="No more shims than that in a pack.", examples=[4]
    )
    rule: ShimRuleFields | None = Field(
        default=None, description="The maker's rule: goes before the order of this service."
    )
    uncertainty: QuantityIn | None = Field(
        default=None,
        description="Standard uncertainty of what was measured, where it states none; of a range of"
        " the pack as a whole.",
        examples=[mm("0.004")],
    )
    gauge_kind: ShortText | None = Field(
        default=None,
        description="With what it was measured: its usual uncertainty counts where none is stated.",
        examples=["dial-indicator"],
    )
    gauge_step: QuantityIn | None = Field(
        default=None,
        description="Step between the blades, or of the scale; 0.05 mm for feeler blades if not"
        " given.",
        examples=[mm("0.01")],
    )
    shim_uncertainty: QuantityIn | None = Field(
        default=None,
        description="Standard uncertainty of one shim's thickness, where it states none.",
        examples=[mm("0.002")],
    )
    shim_common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of it that all shims share (one micrometer).",
        examples=[mm("0.001")],
    )
    made_to: MadeTo | None = Field(
        default=None,
        description="The standard that says how far a shim nobody measured may be off.",
        examples=["din-988"],
    )
    acceptance_probability: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="How likely a pack must land in the range, from 0.5 to below 1; 0.95 if not"
        " given.",
        examples=["0.95"],
    )
    most_packs: PackCount = Field(
        default=5, description="How many packs are told at most.", examples=[5]
    )


class ShimLineOut(Answer):
    """Shims of one thickness in a pack."""

    thickness: QuantityOut = Field(description="Thickness of one.", examples=[mm("0.15")])
    quantity: Count = Field(description="How many.", examples=[1])
    from_stock: WholeNumber = Field(description="How many of them are on hand.", examples=[1])
    part_id: str | None = Field(
        description="The part; null where none was given.", examples=["prt_1c3"], max_length=64
    )


class PackOut(Answer):
    """A pack."""

    shims: tuple[ShimLineOut, ...] = Field(
        description="Its shims by rising thickness; empty: no shims at all.", max_length=MOST_SHIMS
    )
    total: QuantityOut = Field(description="Its thickness.", examples=[mm("0.4")])
    comes_to: QuantityOut | None = Field(
        description="What it sets; null where that is not known.", examples=[mm("0.07")]
    )
    probability_in_range: DecimalOut | None = Field(
        description="Probability that what it sets lies in its range; null: there is no range, or"
        " the doubt of what was measured is not known.",
        examples=["0.978679640"],
    )
    is_likely_enough: Flag | None = Field(
        description="Whether that is enough; null where it cannot be told.", examples=[True]
    )
    from_stock: Flag = Field(description="Whether all its shims are on hand.", examples=[True])

    @classmethod
    def of(cls, pack: PackFound) -> Self:
        """Carry a pack over the border."""
        return cls(
            shims=tuple(
                ShimLineOut(
                    thickness=length(line.thickness),
                    quantity=line.quantity,
                    from_stock=line.from_stock,
                    part_id=line.part_id,
                )
                for line in pack.shims
            ),
            total=length(pack.total),
            comes_to=length_or_null(pack.comes_to),
            probability_in_range=computed_or_null(pack.probability_in_range),
            is_likely_enough=pack.is_likely_enough,
            from_stock=pack.from_stock,
        )


class NeededOut(Answer):
    """The thickness that is wanted."""

    value: QuantityOut = Field(
        description="Thickness aimed at, before any rounding.", examples=[mm("0.385")]
    )
    rounded: QuantityOut | None = Field(
        description="What the maker's rule rounds it to; null: it rounds nothing.",
        examples=[mm("0.4")],
    )
    lower: QuantityOut | None = Field(
        description="Thinnest that is right; null: no range is known. Below 0: no shims are right"
        " too.",
        examples=[mm("0.36")],
    )
    upper: QuantityOut | None = Field(
        description="Thickest that is right; null: no range is known.", examples=[mm("0.41")]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="How far it may be off, shims that come in left aside; null: not known.",
        examples=[mm("0.004")],
    )
    measured: QuantityOut | None = Field(
        description="What counted as measured; null: nothing was.", examples=[mm("0.47")]
    )
    mean: QuantityOut | None = Field(
        description="Mean of the readings before it was cut off; null: no readings.",
        examples=[mm("0.4725")],
    )
    how: str = Field(
        description="How it was reckoned.",
        examples=["measured 0.47 mm, wanted 0.06 mm to 0.11 mm"],
        max_length=500,
    )

    @classmethod
    def of(cls, needed: NeededFound) -> Self:
        """Carry it over the border."""
        u = needed.standard_uncertainty
        return cls(
            value=length(needed.value),
            rounded=length_or_null(needed.rounded),
            lower=length_or_null(needed.lower),
            upper=length_or_null(needed.upper),
            standard_uncertainty=None
            if u is None
            else QuantityOut(value=computed(float(u.value)), unit=u.unit),
            measured=length_or_null(needed.measured),
            mean=length_or_null(needed.mean),
            how=needed.how,
        )


class OldShimOut(Answer):
    """Shims of one thickness of the old pack."""

    thickness: QuantityOut = Field(description="As it was read.", examples=[mm("0.05")])
    quantity: Count = Field(description="How many.", examples=[1])
    is_broken: Flag = Field(description="Whether they are broken.", examples=[True])
    could_be: tuple[QuantityOut, ...] = Field(
        description="Thicknesses of the list that lie within its doubt.",
        examples=[[mm("0.05"), mm("0.08")]],
        max_length=20,
    )


class OldPackOut(Answer):
    """The old pack added up."""

    total: QuantityOut = Field(description="What it reads as.", examples=[mm("0.08")])
    lower: QuantityOut = Field(
        description="Least that it may be, as stated.", examples=[mm("0.03")]
    )
    upper: QuantityOut = Field(description="Most that it may be, as stated.", examples=[mm("0.13")])
    standard_uncertainty: QuantityOut | None = Field(
        description="How far it may be off; null: not known.", examples=[mm("0.0294")]
    )
    is_certain: Flag = Field(
        description="Whether it is known which shims they are, or does not matter.",
        examples=[False],
    )
    listed_within: tuple[QuantityOut, ...] = Field(
        description="Single thicknesses of the list, still had, that the total may be.",
        examples=[[mm("0.08"), mm("0.10"), mm("0.13")]],
        max_length=2 * MOST_SIZES,
    )
    possible_totals: tuple[QuantityOut, ...] = Field(
        description="What it comes to if each shim is one of the list; empty: none, or too many.",
        examples=[[mm("0.10"), mm("0.13")]],
        max_length=60,
    )
    shims: tuple[OldShimOut, ...] = Field(description="Its shims.", max_length=MOST_SIZES)

    @classmethod
    def of(cls, old: OldPackFound) -> Self:
        """Carry it over the border."""
        u = old.standard_uncertainty
        return cls(
            total=length(old.total),
            lower=length(old.lower),
            upper=length(old.upper),
            standard_uncertainty=None
            if u is None
            else QuantityOut(value=computed(float(u.value)), unit=u.unit),
            is_certain=old.is_certain,
            listed_within=tuple(length(one) for one in old.listed_within),
            possible_totals=tuple(length(one) for one in old.possible_totals),
            shims=tuple(
                OldShimOut(
                    thickness=length(one.thickness),
                    quantity=one.quantity,
                    is_broken=one.is_broken,
                    could_be=tuple(length(size) for size in one.could_be),
                )
                for one in old.shims
            ),
        )


Told = Annotated[tuple[str, ...], Field(max_length=300)]


class ShimPackAnswer(Answer):
    """The thickness that is wanted, the packs that make it, and what to do first."""

    advice: ShimAdvice = Field(
        description="What is to be done. Only fit-and-check says that the first pack is likely"
        " enough.",
        examples=["fit-and-check"],
    )
    reason: str = Field(
        description="Why.", examples=["likely enough, at least 0.95: the first"], max_length=500
    )
    needed: NeededOut = Field(description="The thickness that is wanted.")
    packs: tuple[PackOut, ...] = Field(
        description="Packs, best first: likely enough, then fewest shims, then on hand, then"
        " nearest what is aimed at. Where none is likely enough, the likeliest first.",
        max_length=MOST_PACKS,
    )
    nearest_below: PackOut | None = Field(
        description="Where no pack is right: the thickest that is too thin."
    )
    nearest_above: PackOut | None = Field(
        description="Where no pack is right: the thinnest that is too thick."
    )
    old_pack: OldPackOut | None = Field(description="The old pack; null: none was given.")
    to_measure: Told = Field(
        description="What to measure before anything is ordered or fitted.",
        examples=[["measure each shim of the old pack with a micrometer"]],
    )
    assumptions: Told = Field(
        description="What the answer rests on.",
        examples=[["u = 0.006 mm as usual for a dial indicator"]],
    )
    cautions: Told = Field(
        description="What to look out for.",
        examples=[["fit the pack, measure again, and record the pack that stays"]],
    )
    is_complete: Flag = Field(
        description="Whether every pack there is was looked at.", examples=[True]
    )

    @classmethod
    def of(cls, found: ShimPackFound) -> Self:
        """Carry the answer over the border."""
        return cls(**pack_members(found))


def pack_members(found: ShimPackFound) -> dict[str, Any]:
    """Return the members of an answer on a shim pack."""
    below, above, old = found.nearest_below, found.nearest_above, found.old_pack
    return {
        "advice": found.advice,
        "reason": found.reason,
        "needed": NeededOut.of(found.needed),
        "packs": tuple(PackOut.of(pack) for pack in found.packs),
        "nearest_below": None if below is None else PackOut.of(below),
        "nearest_above": None if above is None else PackOut.of(above),
        "old_pack": None if old is None else OldPackOut.of(old),
        "to_measure": found.to_measure,
        "assumptions": found.assumptions,
        "cautions": found.cautions,
        "is_complete": found.is_complete,
    }


def length(size: Quantity) -> QuantityOut:
    """Return a length as it is reckoned: exact, but for what has no end in its unit."""
    exponent = size.value.as_tuple().exponent
    is_long = isinstance(exponent, int) and exponent < -12
    value = size.value.quantize(_TWELVE_PLACES) if is_long else size.value
    return QuantityOut(value=without_last_zeros(value + 0), unit=size.unit)


def length_or_null(size: Quantity | None) -> QuantityOut | None:
    """Return ``length(size)``, None for none."""
    return None if size is None else length(size)
