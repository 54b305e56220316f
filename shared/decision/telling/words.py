"""A plan in plain words, from its own facts alone: title and summary. Its notes: notes.py."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shared.condition.model import Verdict
from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.planning.case import CostClass, Plan
from shared.decision.result import ClassAmount, PlanLine, Risk, Route, TotalSpread
from shared.decision.settings import SourceKind
from shared.decision.telling.figures import amount_told, percent_down, percent_up
from shared.money import Money

ROUTE_WORDS = {
    Route.REFIT: "Refit as found, renewing what is always due",
    Route.REBUILD: "Rebuild",
    Route.EXCHANGE: "Exchange unit",
    Route.USED: "Used unit",
    Route.NEW: "New unit",
    Route.SEND_OUT: "Send the unit out",
    Route.RETIRE: "Retire the unit, another machine in its place",
}
CLASS_WORDS = {
    CostClass.GOODS: "parts and units",
    CostClass.SERVICE: "work by others",
    CostClass.LABOUR: "labour",
    CostClass.OPENING: "opening and closing",
    CostClass.SUPPLIES: "workshop supplies",
    CostClass.FREIGHT: "freight",
    CostClass.DONOR: "donors",
    CostClass.CORE_DEPOSIT: "core deposit",
    CostClass.CORE_CREDIT: "core credit expected",
    CostClass.DISPOSAL: "disposal",
    CostClass.FALLBACK: "in place of what proves bad",
    CostClass.COMEBACK: "comebacks expected in warranty",
    CostClass.LATER_FAILURE: "failures expected after warranty",
    CostClass.RESIDUAL_WORTH: "worth left at the horizon",
    CostClass.TOP_UP: "goods added to reach a minimum order",
    CostClass.SMALL_ORDER_FEE: "fees for small orders",
    CostClass.WAITING: "loan or hire while waiting",
    CostClass.STANDSTILL: "standstill",
    CostClass.REPLACEMENT: "another machine",
}
_DONE = (("renew", "Renewed"), ("rework", "Reworked"), ("keep", "Kept"))
_PART_BY_PART = (Route.REFIT, Route.REBUILD)


@dataclass(frozen=True, slots=True)
class Told:
    """What the words of one plan are made from."""

    built: Built
    plan: Plan
    route: Route
    lines: tuple[PlanLine, ...]
    inspection: Money
    tax: Money
    to_pay: Money
    is_within_limit: bool | None
    breakdown: tuple[ClassAmount, ...]
    risk: Risk
    promise_chance: Decimal
    total: TotalSpread
    moves: tuple[str, ...]
    """What the spread of the total counts, in words."""

    @property
    def facts(self) -> tuple[SourceFacts, ...]:
        """Facts of the chosen sources."""
        return tuple(self.built.draft.facts[source_id] for source_id in self.plan.source_ids)

    def money(self, minor: int) -> str:
        """An amount of the shop's currency in words."""
        return amount_told(Money.of_minor(minor, self.built.bench.settings.currency))

    def billed(self, cost_class: CostClass) -> int:
        """What the customer is billed of a class, in minor units."""
        return sum(
            line.price
            for line in self.plan.lines
            if line.cost_class == cost_class and line.is_billed
        )


def title(route: Route, lines: Iterable[PlanLine], *, is_for_customer: bool = False) -> str:
    """One line: the route, what comes rebuilt in it, how much is renewed, reworked and kept.

    For the customer without the words of an offer, which may name who sells it.
    """
    lines = tuple(lines)
    words = ROUTE_WORDS[route]
    if route is Route.REBUILD:
        rebuilt = [one.position_name for one in lines if one.source_kind == SourceKind.EXCHANGE]
        if rebuilt:
            words = f"{words} with rebuilt: {', '.join(rebuilt)}"
        counts = [
            f"{what} {sum(line.disposition == what for line in lines)}"
            for what, _ in _DONE
            if any(line.disposition == what for line in lines)
        ]
        return f"{words}{';' if rebuilt else ':'} {', '.join(counts)}"
    if route not in (Route.REFIT, Route.RETIRE) and lines and not is_for_customer:
        return f"{words}: {lines[0].description}"
    return words


def summary(told: Told) -> str:
    """A few plain sentences: what is done, to pay, ready when, how likely a comeback, what if."""
    return " ".join(
        (
            *what_is_done(told.route, told.lines),
            _to_pay(told),
            when(told),
            other_machine(told) if told.route is Route.RETIRE else _comeback(told.risk),
            *_conditions(told),
        )
    )


def what_is_done(route: Route, lines: Iterable[PlanLine]) -> list[str]:
    """Sentences on what happens at which position."""
    lines = tuple(lines)
    sentences = [f"{ROUTE_WORDS[route]}."]
    if route in _PART_BY_PART:
        for what, word in _DONE:
            names = [line.position_name for line in lines if line.disposition == what]
            if names:
                sentences.append(f"{word}: {', '.join(names)}.")
    return sentences


def _to_pay(told: Told) -> str:
    parts = [
        f"{amount_told(amount)} {what}"
        for amount, what in ((told.inspection, "inspection"), (told.tax, "tax"))
        if amount.amount
    ]
    within = f", of it {' and '.join(parts)}" if parts else ""
    spread = ""
    if told.total.p10 != told.total.p90:
        spread = (
            f"; {counted(told)}, between {amount_told(told.total.p10)} and "
            f"{amount_told(told.total.p90)} in eight cases of ten"
        )
    return f"To pay: {amount_told(told.to_pay)}{within}{spread}."


def counted(told: Told) -> str:
    """What the spread of the total counts."""
    return f"counting {' and '.join(told.moves)}"


def when(told: Told) -> str:
    """One sentence: by which day, with what chance; nothing is promised of another machine."""
    if told.route is Route.RETIRE:
        return "When the other machine is at hand is not on record."
    ready = told.built.days[told.plan.ready_day]
    return f"Ready by {ready} with a chance of {percent_down(told.promise_chance)}."


def other_machine(told: Told) -> str:
    """One sentence on what another machine costs its owner, which is on no bill of the shop's."""
    price = sum(one.price.minor for one in told.breakdown if one.cost_class == "replacement")
    return f"The other machine comes to {told.money(price)}, paid elsewhere."


def _comeback(risk: Risk) -> str:
    when = f"within {risk.warranty_hours:f} h of running"
    if risk.comeback_probability is None:
        return f"How likely a comeback {when} is, nothing on record tells."
    least = "at least " if risk.not_counted else ""
    return f"Chance of a comeback {when}: {least}{percent_up(risk.comeback_probability)}."


def _conditions(told: Told) -> list[str]:
    """What is not proven, and what must turn out for the price to hold."""
    sentences = []
    doubtful = unproven(told.facts)
    if doubtful:
        sentences.append(f"Not proven to conform: {', '.join(doubtful)}.")
    awaited = proofs(told.built, told.plan)
    if awaited:
        sentences.append(f"The price holds only if {', and '.join(awaited)}.")
    return sentences


def unproven(facts: Iterable[SourceFacts]) -> list[str]:
    """Parts that have run and go in or stay in without a verdict of conforming."""
    return [
        f"{one.position_name} ({one.verdict})"
        for one in facts
        if (one.disposition == "keep" or one.salvaged_part_ids)
        and one.verdict not in (None, Verdict.CONFORMING)
    ]


def proofs(built: Built, plan: Plan) -> list[str]:
    """What has yet to turn out for the price to hold."""
    return sorted(
        charge.label
        for charge in built.case.charges
        if charge.kind == "proof" and charge.id in plan.charge_ids
    )
