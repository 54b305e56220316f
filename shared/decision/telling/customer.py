"""A plan as the customer may see it: no cost, no margin, no supplier, no money set aside for risk.

Only the shop's own words, positions' names and prices go in; the words of offers do not, since they
may name who sells. What a buyer must be told of used, interchanged and unproved parts is told.
"""

from collections.abc import Callable, Iterable, Iterator

from shared.condition.model import Verdict
from shared.decision.building.draft import SourceFacts
from shared.decision.building.planned import WHOLE
from shared.decision.planning.case import AmountLine, CostClass
from shared.decision.result import CustomerLine, CustomerPlan, PlanLine, Route
from shared.decision.settings import SourceKind
from shared.decision.telling.figures import amount_told
from shared.decision.telling.notes import is_unsettled, outside_support, waiting_told
from shared.decision.telling.words import Told, other_machine, title, what_is_done, when
from shared.money import Money
from shared.sourcing.model import GoodsCondition, Offer

_PART = {
    SourceKind.KEEP: "kept",
    SourceKind.REWORK: "reworked",
    SourceKind.NEW: "renewed with a new part",
    SourceKind.KIT: "renewed with a new part",
    SourceKind.OLD_STOCK: "renewed with an unused part of old stock",
    SourceKind.INTERCHANGE: "renewed with a part that stands in for the maker's",
    SourceKind.GENERIC: "renewed with a standard part of the same designation",
    SourceKind.USED: "renewed with a used part",
    SourceKind.SALVAGED: "renewed with a used part out of another unit",
    SourceKind.EXCHANGE: "renewed with a rebuilt part",
}
_WHOLE = {
    SourceKind.NEW: "replaced by a new unit",
    SourceKind.OLD_STOCK: "replaced by an unused unit of old stock",
    SourceKind.USED: "replaced by a used unit",
    SourceKind.EXCHANGE: "replaced by a rebuilt unit",
    SourceKind.SEND_OUT: "your own unit, rebuilt by others",
}
_KIT = {
    GoodsCondition.OLD_STOCK: SourceKind.OLD_STOCK,
    GoodsCondition.USED: SourceKind.USED,
    GoodsCondition.REBUILT: SourceKind.EXCHANGE,
}
"""What the parts of a kit are that is not new."""
_OTHER_MACHINE = "not repaired: another machine takes its place"
_STANDS_IN = (SourceKind.INTERCHANGE, SourceKind.GENERIC)


def customer_plan(told: Told, net_total: Money) -> CustomerPlan:
    """A plan in the customer's words; amounts are those of the plan, tax apart."""
    deposit = deposit_coming_back(told)
    is_promised = told.route is not Route.RETIRE
    return CustomerPlan(
        title=title(told.route, told.lines, is_for_customer=True),
        summary=_summary(told),
        lines=tuple(CustomerLine(line.position_name, _what(told, line)) for line in told.lines),
        net_total=net_total,
        tax=told.tax,
        to_pay=told.to_pay,
        deposit=Money.of_minor(deposit, net_total.currency),
        promise_on=told.built.days[told.plan.ready_day] if is_promised else None,
        confidence=told.promise_chance if is_promised else None,
        warranty_hours=told.risk.warranty_hours,
        notes=_notes(told, deposit),
    )


def deposit_coming_back(told: Told) -> int:
    """What may be refunded for cores that are sent back, in minor units, freight not deducted.

    A core that is refused, not worth its return freight, or taken apart as a donor, brings nothing.
    """
    return sum(
        _refund(offer, lines) for offer, lines in _bought(told) if offer.core and _is_sent(lines)
    )


def _bought(told: Told) -> Iterator[tuple[Offer, tuple[AmountLine, ...]]]:
    """Offers of a plan whose core is at hand, with the lines that go with each."""
    offers = {offer.id: offer for offer in told.built.bench.snapshot.offers}
    opened = set(told.plan.charge_ids)
    for source in told.built.case.sources:
        offer = offers.get(told.built.draft.facts[source.id].offer_id or "")
        is_lost = source.core_charge is not None and source.core_charge in opened
        if offer is not None and source.id in told.plan.source_ids and not is_lost:
            yield offer, source.lines
    for charge in told.built.case.charges:
        offer = offers.get(charge.id.removeprefix("kit:"))
        if offer is not None and charge.kind == "kit" and charge.id in opened:
            yield offer, charge.lines


def _is_sent(lines: Iterable[AmountLine]) -> bool:
    return any(line.cost_class == CostClass.CORE_CREDIT for line in lines)


def _refund(offer: Offer, lines: Iterable[AmountLine]) -> int:
    """Refund on the deposits among the lines, in the proportion of the offer's own terms."""
    core = offer.core
    if core is None or core.deposit.minor == 0:
        return 0
    paid = sum(line.price for line in lines if line.cost_class == CostClass.CORE_DEPOSIT)
    refund = core.refund or core.deposit
    return min(paid, paid * refund.minor // core.deposit.minor)


def _summary(told: Told) -> str:
    tax = f", of it {amount_told(told.tax)} tax" if told.tax.amount else ""
    sentences = [
        *what_is_done(told.route, told.lines),
        f"To pay: {amount_told(told.to_pay)}{tax}.",
        when(told),
    ]
    if told.route is Route.RETIRE:
        sentences.append(other_machine(told))
    else:
        sentences.append(f"Warranty: {told.risk.warranty_hours:f} running hours.")
    return " ".join(sentences)


def _what(told: Told, line: PlanLine) -> str:
    if told.route is Route.RETIRE:
        return _OTHER_MACHINE
    facts = told.built.draft.facts[line.source_id]
    if facts.disposition == "keep" and _is_chosen_anew(told, line):
        return "shims measured, and chosen anew where that is needed"
    what = _made_of(told, line, facts)
    if facts.is_stand_in and facts.kind not in _STANDS_IN:
        what += " that stands in for the maker's"
    if facts.verdict is not None and (facts.disposition == "keep" or facts.salvaged_part_ids):
        what += {
            Verdict.CONFORMING: ", inspected and found good",
            Verdict.INDETERMINATE: ", inspected, which did not settle whether it is good",
            Verdict.NOT_INSPECTED: ", not inspected",
            Verdict.NONCONFORMING: ", though beyond its limit",
        }[facts.verdict]
    return what


def _is_chosen_anew(told: Told, line: PlanLine) -> bool:
    """Whether the position is a place for shims that the plan disturbs: none stays as it was."""
    shims = told.built.draft.shims
    places = {shims[key].position_id for key in told.plan.charge_ids if key in shims}
    return any(
        one.id == line.position_id and one.position.id in places for one in told.built.bench.planned
    )


def _made_of(told: Told, line: PlanLine, facts: SourceFacts) -> str:
    """What goes in there, by its condition; an exchange only where the old one is handed in."""
    offer = told.built.bench.offers.get(facts.offer_id or "")
    if line.position_id != WHOLE:
        what = _PART.get(_sold_as(told, facts), line.disposition)
    elif facts.kind is SourceKind.EXCHANGE and not _is_rebuilt(offer):
        what = "replaced by another unit"
    else:
        what = _WHOLE.get(facts.kind, line.disposition)
    if facts.kind is SourceKind.EXCHANGE and offer is not None and offer.core is not None:
        source = next(s for s in told.built.case.sources if s.id == line.source_id)
        what += ", in exchange for the old one" if _is_sent(source.lines) else ""
    return what


def _is_rebuilt(offer: Offer | None) -> bool:
    return offer is not None and offer.condition is GoodsCondition.REBUILT


def _sold_as(told: Told, facts: SourceFacts) -> SourceKind:
    """The kind of source, that of a kit by the condition in which it is sold."""
    offer = told.built.bench.offers.get(facts.offer_id or "")
    if facts.kind is not SourceKind.KIT or offer is None:
        return facts.kind
    return _KIT.get(offer.condition or GoodsCondition.NEW, SourceKind.NEW)


def _notes(told: Told, deposit: int) -> tuple[str, ...]:
    return (*_part_notes(told), *_condition_notes(told), *_money_notes(told, deposit))


def _part_notes(told: Told) -> list[str]:
    """Which parts are not new, not the maker's, or not proved good."""

    def names(is_so: Callable[[SourceFacts], bool]) -> str:
        chosen = (told.built.draft.facts[line.source_id] for line in told.lines)
        return ", ".join(facts.position_name for facts in chosen if is_so(facts))

    run_before = (SourceKind.USED, SourceKind.SALVAGED, SourceKind.EXCHANGE)
    has_run = names(lambda one: _sold_as(told, one) in run_before)
    stands_in = names(lambda facts: facts.is_stand_in)
    # Also what stays around that which is dealt with part by part, and has no line of its own.
    kept = ", ".join(
        one.position_name
        for one in told.facts
        if one.disposition == "keep" and one.verdict not in (None, Verdict.CONFORMING)
    )
    unsettled = names(lambda one: one.disposition == "rework" and is_unsettled(one))
    unproved = names(
        lambda one: bool(one.salvaged_part_ids) and one.verdict is not Verdict.CONFORMING
    )
    outside = ", ".join(outside_support(told.built, told.lines))
    found = (
        (has_run, "Not new, used or rebuilt: "),
        (
            stands_in,
            "Not the part that the maker names here, but one that stands in for it: ",
        ),
        (kept, "Kept without proof that it is within its limits: "),
        (unsettled, "Reworked without proof that all of it is within its limits: "),
        (unproved, "Used part fitted without proof that it is within its limits: "),
        (outside, "Repaired though the maker does not supply it singly: "),
    )
    return [*(f"{words}{which}." for which, words in found if which), *_differences(told)]


def _differences(told: Told) -> list[str]:
    """In what a part that stands in differs from the one the maker names."""
    chosen = [told.built.draft.facts[line.source_id] for line in told.lines]
    differing = [
        f"{facts.position_name}: {one.difference} ({one.effect})"
        for facts in chosen
        if facts.is_stand_in and facts.candidate is not None
        for one in facts.candidate.differences
    ]
    return [f"Differs from the part that the maker names: {'; '.join(differing)}."] * bool(
        differing
    )


def _condition_notes(told: Told) -> list[str]:
    found = []
    opened = set(told.plan.charge_ids)
    keys = {c.id for c in told.built.case.charges if c.kind == "proof" and c.id in opened}
    awaited = [
        told.built.draft.facts[source.id].position_name
        for source in told.built.case.sources
        if source.id in told.plan.source_ids and keys & set(source.charges)
    ]
    if awaited:
        found.append(
            f"Price and date hold only if this proves good once it is here: {', '.join(awaited)}. "
            "If it does not, you are asked before anything else is done."
        )
    if told.route not in (Route.SEND_OUT, Route.RETIRE):
        found.append(
            "Old parts are yours and are offered back to you, except cores and parts that go back "
            "under warranty."
        )
    return found


def _money_notes(told: Told, deposit: int) -> list[str]:
    found = []
    paid = told.billed(CostClass.CORE_DEPOSIT)
    if deposit:
        found.append(
            f"Up to {told.money(deposit)} of what is paid is a deposit on the old part: it comes "
            "back, less the freight, when the old part is accepted."
        )
    if paid > deposit:
        found.append(f"{told.money(paid - deposit)} of deposit is paid and does not come back.")
    more = told.billed(CostClass.TOP_UP) + told.billed(CostClass.SMALL_ORDER_FEE)
    if more:
        found.append(f"{told.money(more)} of the price is due to the small size of an order.")
    waiting = waiting_told(told)
    if waiting is not None:
        found.append(waiting)
    limit = told.built.bench.job.spending_limit
    if limit is not None and told.is_within_limit is not None:
        side = "Within" if told.is_within_limit else "ABOVE"
        found.append(f"{side} your spending limit of {amount_told(limit)}.")
    return found
