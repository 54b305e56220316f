"""Whether common hardware does a special tool's work: the answer."""

from collections.abc import Iterable
from datetime import datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import isfinite
from typing import Any, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    DecimalOut,
    Flag,
    IdText,
    MoneyOut,
    QuantityOut,
    UtcDateTime,
    WholeNumber,
)
from api.schemas.figures import computed, computed_quantity
from shared.fasteners.model import ItemForm, ToolFunction
from shared.fasteners.substitutes.answer import (
    CostComparison,
    MissingFact,
    SubstitutesAnswer,
    Unread,
    Way,
    WayKind,
)
from shared.fasteners.substitutes.costs import cost_of
from shared.fasteners.substitutes.model import Candidate, Check, Family, Need, PartUsed
from shared.fasteners.substitutes.refusals import Refusal
from shared.money import Money

_KEY = (
    "Which piece: the id of the stock item or of the item sent, items/3 for the fourth that was"
    " sent without an id, standard/... for one that is bought."
)
_LONG = 2_000
_DIGITS = 3
_MEMBERS = {
    "hand": "thread_hand",
    "workpiece": "workpiece_material",
    "pushed": "pushed_material",
    "uncertainty": "size/plus_minus",
}
"""What a missing fact is called here, where the domain calls it otherwise."""


def _down(value: float | None, unit: str) -> QuantityOut | None:
    """Carry what may be set, or is surely there: three digits, rounded down."""
    return _rounded(value, unit, ROUND_FLOOR)


def _up(value: float | None, unit: str) -> QuantityOut | None:
    """Carry what may be there at the most: three digits, rounded up."""
    return _rounded(value, unit, ROUND_CEILING)


def _rounded(value: float | None, unit: str, way: str) -> QuantityOut | None:
    if value is None or not isfinite(value):
        return None
    figure = computed(value)
    place = Decimal(1).scaleb(figure.adjusted() - _DIGITS + 1)
    digits = figure.quantize(place, rounding=way)
    return QuantityOut(value=Decimal(f"{digits:f}"), unit=unit)


def _member(name: str | None) -> str | None:
    return None if name is None else _MEMBERS.get(name, name)


def _money(amount: Money | None) -> MoneyOut | None:
    return None if amount is None else MoneyOut(amount=amount.amount, currency=amount.currency)


class NeedOut(Answer):
    """What the work asks of the tool."""

    least: QuantityOut = Field(
        description="The least it may come to.", examples=[{"value": "6000.00000", "unit": "N"}]
    )
    most: QuantityOut = Field(
        description="The most it may come to: what a substitute has to give surely.",
        examples=[{"value": "9000.00000", "unit": "N"}],
    )
    basis: str = Field(description="Where that is from.", examples=["as stated"], max_length=_LONG)
    is_estimate: Flag = Field(description="Whether it is an estimate.", examples=[False])
    notes: tuple[str, ...] = Field(description="What the figures rest on.", max_length=20)

    @classmethod
    def of(cls, need: Need | None, unit: str) -> Self | None:
        """Carry a need over the border, None for none."""
        if need is None:
            return None
        return cls(
            least=computed_quantity(need.amount.least, unit),
            most=computed_quantity(need.amount.most, unit),
            basis=need.basis,
            is_estimate=need.is_estimate,
            notes=need.notes,
        )


class CheckOut(Answer):
    """One thing that was checked."""

    name: str = Field(description="What was checked.", examples=["hole thread"], max_length=60)
    passes: Flag = Field(description="Whether it holds.", examples=[True])
    margin: DecimalOut | None = Field(
        description="What is allowed over what is asked, 1 is just enough; null where the answer is"
        " yes or no.",
        examples=["1.42000000"],
    )
    detail: str = Field(
        description="The figures, or what to state or to do.",
        examples=["allowed 9450 N at each of 2, asked 6000 N in all"],
        max_length=_LONG,
    )
    basis: str = Field(
        description="By what rule, and where that is from.",
        examples=["VDI 2230-1, from memory"],
        max_length=_LONG,
    )
    missing: str | None = Field(
        description="The member of the tool or of the item without which it cannot hold, as it is"
        " sent: features/wall is a feature of the kind wall. Null where nothing is missing.",
        examples=["features/wall"],
        max_length=100,
    )

    @classmethod
    def of(cls, check: Check) -> Self:
        """Carry a check over the border."""
        margin = check.margin
        is_number = margin is not None and isfinite(margin)
        return cls(
            name=check.name,
            passes=check.passes,
            margin=computed(margin) if margin is not None and is_number else None,
            detail=check.detail,
            basis=check.basis,
            missing=_member(check.missing),
        )


class PieceUsedOut(Answer):
    """Pieces that a candidate takes."""

    key: str = Field(description=_KEY, examples=["stk_5b1"], max_length=200)
    name: str = Field(description="What it is.", examples=["Hexagon screw M8x60"], max_length=400)
    form: ItemForm = Field(description="Its form.", examples=["screw"])
    count: WholeNumber = Field(description="How many are taken.", examples=[2])
    preparation: str | None = Field(
        description="What is done to them first; null: nothing.",
        examples=["grind a dog point, edges broken"],
        max_length=_LONG,
    )
    is_on_hand: Flag = Field(description="Whether they lie in the shop.", examples=[True])
    price: MoneyOut | None = Field(
        description="What one piece is worth, or costs; null: not known.",
        examples=[{"amount": "0.45", "currency": "EUR"}],
    )
    notes: tuple[str, ...] = Field(
        description="How the piece was understood.", examples=[[]], max_length=20
    )

    @classmethod
    def of(cls, part: PartUsed) -> Self:
        """Carry pieces over the border."""
        return cls(
            key=part.piece.key,
            name=part.piece.name,
            form=part.piece.form,
            count=part.count,
            preparation=part.preparation,
            is_on_hand=part.piece.is_on_hand,
            price=_money(part.piece.price),
            notes=part.piece.notes,
        )


class CandidateOut(Answer):
    """A set of pieces tested for the work: a yes with its steps, or a no with its reasons."""

    family: Family = Field(description="In which way it works.", examples=["jacking screws"])
    accepted: Flag = Field(description="Whether every check holds.", examples=[True])
    items: tuple[PieceUsedOut, ...] = Field(description="The pieces it takes.", max_length=50)
    is_on_hand: Flag = Field(
        description="Whether every piece of it lies in the shop.", examples=[True]
    )
    margin: DecimalOut | None = Field(
        description="The margin of the check that decides; null where that is yes or no.",
        examples=["1.42000000"],
    )
    governing_check: str | None = Field(
        description="The check that decides: the worst that fails, else the one with the least"
        " margin.",
        examples=["hole thread"],
        max_length=60,
    )
    reasons: tuple[str, ...] = Field(
        description="Why it is refused, each check that fails; empty where it is accepted.",
        examples=[[]],
        max_length=60,
    )
    torque: QuantityOut | None = Field(
        description="The most to set at each screw, nut or spanner, three digits rounded down; null"
        " where nothing is set, or the candidate is refused.",
        examples=[{"value": "14.2", "unit": "N·m"}],
    )
    torque_per_step: tuple[QuantityOut, ...] = Field(
        description="The steps up to it.", max_length=20
    )
    force_least: QuantityOut | None = Field(
        description="What all together surely give, highest friction, three digits rounded down;"
        " null where not computed.",
        examples=[{"value": "12800", "unit": "N"}],
    )
    force_most: QuantityOut | None = Field(
        description="What all together may give, lowest friction, three digits rounded up; null"
        " where not computed.",
        examples=[{"value": "31000", "unit": "N"}],
    )
    checks: tuple[CheckOut, ...] = Field(description="Everything that was checked.", max_length=60)
    steps: tuple[str, ...] = Field(
        description="How it is done, in order; empty for what is refused.",
        examples=[["Take every fastener and dowel out first."]],
        max_length=60,
    )
    cautions: tuple[str, ...] = Field(
        description="What to mind. The maker's procedure, local codes and licensed practice come"
        " first.",
        examples=[["Stand off the axis of the screws."]],
        max_length=60,
    )
    notes: tuple[str, ...] = Field(description="What the figures rest on.", max_length=60)
    cost: MoneyOut | None = Field(
        description="What it takes from till and drawer, once: pieces that are bought, and those"
        " that are cut, ground or drilled; null: not known.",
        examples=[{"amount": "0.90", "currency": "EUR"}],
    )
    cost_note: str | None = Field(
        description="Why there is no cost: not known, or every piece goes back as it was; null"
        " where there is one.",
        examples=[None],
        max_length=400,
    )

    @classmethod
    def of(cls, candidate: Candidate) -> Self:
        """Carry a candidate over the border; what is refused carries no torque and no steps."""
        is_accepted, governing = candidate.is_accepted, candidate.governing
        cost = cost_of(candidate)
        checks = tuple(CheckOut.of(check) for check in candidate.checks)
        return cls(
            family=candidate.family,
            accepted=is_accepted,
            items=tuple(PieceUsedOut.of(part) for part in candidate.parts),
            is_on_hand=candidate.is_on_hand,
            margin=None if governing is None else CheckOut.of(governing).margin,
            governing_check=None if governing is None else governing.name,
            reasons=tuple(f"{one.name}: {one.detail}" for one in checks if not one.passes),
            torque=_down(candidate.torque, "N·m") if is_accepted else None,
            torque_per_step=_steps(candidate.torque_steps) if is_accepted else (),
            force_least=_down(candidate.force_least, "N"),
            force_most=_up(candidate.force_most, "N"),
            checks=checks,
            steps=(*_before(candidate), *candidate.steps) if is_accepted else (),
            cautions=candidate.cautions,
            notes=candidate.notes,
            cost=None if isinstance(cost, str) else _money(cost),
            cost_note=cost if isinstance(cost, str) else None,
        )


def _before(candidate: Candidate) -> Iterable[str]:
    """Say what is done to the pieces before anything is set up."""
    for part in candidate.parts:
        if part.preparation is not None:
            yield f"Before, of {part.count} x {part.piece.name}: {part.preparation.rstrip('.')}."


def _steps(torques: Iterable[float]) -> tuple[QuantityOut, ...]:
    steps = (_down(torque, "N·m") for torque in torques)
    return tuple(step for step in steps if step is not None)


class RefusalOut(Answer):
    """A no that no piece in the drawer changes."""

    code: str = Field(description="A stable code.", examples=["stored-energy"], max_length=60)
    detail: str = Field(
        description="Why, and what to do instead.",
        examples=["A spring is held by the maker's own clamp."],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, refusal: Refusal) -> Self:
        """Carry a refusal over the border."""
        return cls(code=refusal.reason_code, detail=refusal.detail)


class MissingOut(Answer):
    """A fact that, if stated, may change a no."""

    member: str = Field(
        description="The member of the tool or of the item, as it is sent: features/wall is a"
        " feature of the kind wall, and a changed list of features is sent whole.",
        examples=["features/wall"],
        max_length=100,
    )
    detail: str = Field(
        description="What to state.",
        examples=["State the metal between the hole and the next edge."],
        max_length=_LONG,
    )
    count: WholeNumber = Field(description="How many candidates lack it.", examples=[4])

    @classmethod
    def of(cls, fact: MissingFact) -> Self:
        """Carry a missing fact over the border."""
        member = _MEMBERS.get(fact.member, fact.member)
        return cls(member=member, detail=fact.detail, count=fact.count)


class UnreadOut(Answer):
    """An item that was not counted."""

    key: str = Field(description=_KEY, examples=["stk_9c2"], max_length=200)
    name: str = Field(description="What it is called.", examples=["Odd screw"], max_length=400)
    why: str = Field(
        description="Why it is not counted.",
        examples=["Nothing says what it is: give its form."],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, item: Unread) -> Self:
        """Carry an item over the border."""
        return cls(key=item.key, name=item.name, why=item.why)


class WayOut(Answer):
    """A way to come by the tool's work, over all jobs to come."""

    kind: WayKind = Field(description="Substitute, buying or hiring.", examples=["hire"])
    name: str = Field(description="Which.", examples=["Puller, hired, one day"], max_length=500)
    once: MoneyOut | None = Field(
        description="Paid once; null: nothing, or not known.",
        examples=[{"amount": "0.90", "currency": "EUR"}],
    )
    per_job: MoneyOut | None = Field(
        description="Paid at each job; null: nothing.",
        examples=[{"amount": "38.00", "currency": "EUR"}],
    )
    total: MoneyOut | None = Field(
        description="Over all jobs; null where it is not known or not compared.",
        examples=[{"amount": "190.00", "currency": "EUR"}],
    )
    note: str | None = Field(
        description="Why there is no total; null where there is one.",
        examples=[None],
        max_length=500,
    )

    @classmethod
    def of(cls, way: Way) -> Self:
        """Carry a way over the border."""
        return cls(
            kind=way.kind,
            name=way.name,
            once=_money(way.once),
            per_job=_money(way.per_job),
            total=_money(way.total),
            note=way.note,
        )


class ComparisonOut(Answer):
    """The substitute beside buying and hiring the tool."""

    jobs: WholeNumber = Field(description="Jobs to come, this one among them.", examples=[5])
    ways: tuple[WayOut, ...] = Field(description="The ways side by side.", max_length=200)
    cheapest: WayOut | None = Field(
        description="The least of those whose total is known; null: none is."
    )
    buying_pays_from: WholeNumber | None = Field(
        description="The first job at which buying has cost less than hiring; null: there are not"
        " both, or it never does.",
        examples=[None],
    )
    notes: tuple[str, ...] = Field(description="What is not counted.", max_length=200)

    @classmethod
    def of(cls, comparison: CostComparison | None) -> Self | None:
        """Carry a comparison over the border, None for none."""
        if comparison is None:
            return None
        cheapest = comparison.cheapest
        return cls(
            jobs=comparison.jobs,
            ways=tuple(WayOut.of(way) for way in comparison.ways),
            cheapest=None if cheapest is None else WayOut.of(cheapest),
            buying_pays_from=comparison.buying_pays_from,
            notes=comparison.notes,
        )


class SubstitutesOut(Answer):
    """What of the pieces there are does the tool's work, what does not, and why."""

    function: ToolFunction = Field(description="What the tool does.", examples=["separate"])
    force: NeedOut | None = Field(
        description="The force that the work asks for; null: nothing tells."
    )
    torque: NeedOut | None = Field(
        description="The torque that the work asks for; null: nothing tells."
    )
    refused_whatever: tuple[RefusalOut, ...] = Field(
        description="Why no piece may stand in, whatever the numbers; then nothing is accepted.",
        examples=[[]],
        max_length=40,
    )
    families: tuple[Family, ...] = Field(
        description="The ways that were searched, completely.",
        examples=[["jacking screws"]],
        max_length=20,
    )
    candidates: tuple[CandidateOut, ...] = Field(
        description="Those accepted, best first: on hand, then by margin, then by cost; then those"
        " refused: on hand, then the closest; last what cannot be at all, such as another thread.",
        max_length=100,
    )
    accepted_count: WholeNumber = Field(
        description="How many are accepted, those not told among them.", examples=[1]
    )
    refused_count: WholeNumber = Field(
        description="How many are refused, those not told among them.", examples=[7]
    )
    missing: tuple[MissingOut, ...] = Field(
        description="What to state: it may change a no, never a yes.", max_length=100
    )
    unread: tuple[UnreadOut, ...] = Field(
        description="Items that were not counted.", max_length=5_000
    )
    unread_count: WholeNumber = Field(
        description="How many were not counted, those not told among them.", examples=[0]
    )
    comparison: ComparisonOut | None = Field(
        description="The substitute beside the offers; null where the tool is not offered."
    )
    notes: tuple[str, ...] = Field(
        description="How the question was understood.",
        examples=[["The force is an estimate."]],
        max_length=200,
    )

    @classmethod
    def of(cls, answer: SubstitutesAnswer) -> Self:
        """Carry an answer over the border."""
        return cls(**_members(answer))


class ToolSubstitutesOut(SubstitutesOut):
    """The same for a stored tool, from the shop's own stock and offers."""

    special_tool_id: IdText = Field(description="The tool.", examples=["stl_3x9"])
    as_of: UtcDateTime = Field(
        description="The moment at which the offers hold.",
        examples=["2031-03-04T09:15:00Z"],
    )
    stock_left_out: WholeNumber = Field(
        description="Stock items beyond the 5000 that one question looks at.", examples=[0]
    )

    @classmethod
    def of_tool(
        cls, answer: SubstitutesAnswer, tool_id: str, as_of: datetime, left_out: int
    ) -> Self:
        """Carry the answer for a stored tool over the border."""
        return cls(
            **_members(answer),
            special_tool_id=tool_id,
            as_of=as_of,
            stock_left_out=left_out,
        )


def _members(answer: SubstitutesAnswer) -> dict[str, Any]:
    found, requirement = answer.found, answer.requirement
    return {
        "function": requirement.function,
        "force": NeedOut.of(requirement.force, "N"),
        "torque": NeedOut.of(requirement.torque, "N·m"),
        "refused_whatever": tuple(RefusalOut.of(one) for one in found.refusals),
        "families": found.families,
        "candidates": tuple(CandidateOut.of(one) for one in found.candidates),
        "accepted_count": found.accepted_count,
        "refused_count": found.refused_count,
        "missing": tuple(MissingOut.of(one) for one in found.missing),
        "unread": tuple(UnreadOut.of(one) for one in answer.unread),
        "unread_count": answer.unread_count,
        "comparison": ComparisonOut.of(answer.comparison),
        "notes": (*answer.notes, *found.notes),
    }
