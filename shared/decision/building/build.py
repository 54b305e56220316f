"""From a snapshot to a planning case: verdicts, sources, charges, whole numbers."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from shared.assemblies.model import RenewalRule, SetKind
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.arrivals import add_replacements
from shared.decision.building.currency import Converted, in_shop_currency
from shared.decision.building.draft import Draft, minutes, p90_minutes
from shared.decision.building.gifts import add_gifts
from shared.decision.building.harvest import add_harvests
from shared.decision.building.planned import WHOLE, Bench
from shared.decision.building.position_facts import candidates_for
from shared.decision.building.pricing import Pricing
from shared.decision.building.proofs import add_proofs
from shared.decision.building.retire import add_retire
from shared.decision.building.risk_weights import weighed
from shared.decision.building.shelf import add_shelf
from shared.decision.building.shims import add_shims
from shared.decision.building.sources import add_position_sources, complete_matched_sets
from shared.decision.building.waiting import waiting_tables
from shared.decision.building.whole import add_whole_sources
from shared.decision.planning.case import CHANCE_ONE, CasePosition, CaseSet, PlanningCase, Source
from shared.decision.planning.timing import whole_days
from shared.decision.snapshot import Snapshot
from shared.sourcing.calendar import (
    can_start_on_day_zero,
    day_zero,
    has_subdivisions,
    order_day_index,
    working_days,
)
from shared.sourcing.lead_time import LeadTime, confidence_in_chances, first_day_meeting

LONGEST_CALENDAR_DAYS = 750
"""A plan that takes longer than three working years is not looked for."""


@dataclass(frozen=True, slots=True)
class Built:
    """A planning case with all that is needed to read its answer."""

    case: PlanningCase
    draft: Draft
    days: tuple[date, ...]
    confidence: int
    deadline: int | None
    """Last working day that meets the required date; -1: none does; None: no date is required."""

    @property
    def bench(self) -> Bench:
        """The snapshot as laid out for planning."""
        return self.draft.bench


def build(snapshot: Snapshot, *, proved: Mapping[str, Verdict] | None = None) -> Built:
    """Make the planning case of a checked snapshot.

    ``proved``: verdicts taken as settled, by planning id, whatever was found.
    """
    converted = in_shop_currency(snapshot)
    snapshot = converted.snapshot
    bench = Bench(snapshot, proved)
    calendar = snapshot.settings.calendar
    start = day_zero(snapshot.as_of, calendar)
    cutoffs = {supplier.order_cutoff for supplier in snapshot.suppliers} | {None}
    order_days = {c: order_day_index(snapshot.as_of, calendar, c) for c in cutoffs}
    confidence = asked_confidence(snapshot)
    draft = Draft(bench, Pricing(snapshot.settings.pricing), order_days, last_day=0)
    last_day = calendar_end(
        snapshot, max(order_days.values()), confidence, longest_adapting_minutes(draft)
    )
    working = working_days(calendar)
    days = working.days_from(start, last_day)
    draft.last_day, draft.days = last_day, days
    _note_calendar(draft)
    _note_claims_left_out(draft)
    _note_currencies(draft, converted)
    add_whole_sources(draft)
    add_retire(draft)
    for planned in bench.planned:
        add_position_sources(draft, planned)
    add_harvests(draft)
    add_gifts(draft)
    add_shelf(draft)
    complete_matched_sets(draft)
    add_shims(draft)
    add_proofs(draft)
    add_replacements(draft)
    _note_quoted(draft, converted)
    required = snapshot.job.required_by_on
    return Built(
        case=_case(draft, can_start_on_day_zero(snapshot.as_of, calendar)),
        draft=draft,
        days=days,
        confidence=round(confidence * CHANCE_ONE),
        deadline=None
        if required is None
        else min(working.last_index_by(start, required), last_day),
    )


def asked_confidence(snapshot: Snapshot) -> Decimal:
    """How sure the promise must be: the job's word before the shop's."""
    own = snapshot.job.confidence
    return own if own is not None else snapshot.settings.rules.promise_confidence


def longest_adapting_minutes(draft: Draft) -> int:
    """Minutes of work, at the P90, if every position took what is longest to be made to fit.

    That is a candidate that has to be adapted, or a rework with hours of the shop's own bench.
    """
    total = 0
    for planned in draft.bench.planned:
        hours = [one.rework_p90_hours for one in candidates_for(draft, planned)[0]]
        offers = draft.bench.offers_for((None, planned.position.id, None))
        hours += [offer.rework.p90_hours for offer in offers if offer.rework is not None]
        total += minutes(max(hours, default=Decimal(0)) * planned.quantity)
    return total


def calendar_end(
    snapshot: Snapshot, latest_order_day: int, confidence: Decimal, adapting_minutes: int
) -> int:
    """A working day by which any plan is ready with the asked chance, if it ever is.

    ``adapting_minutes``: the most that making parts fit may take in one plan.

    Each of n awaited things reaches the n-th root of the confidence by its own day; a fallback is
    ordered only when the first part has been judged, hence twice the slowest, and three times where
    goods may prove bad and are replaced; then all the work.
    """
    leads = [(offer.p50_days, offer.p90_days) for offer in snapshot.offers]
    leads += [(u.donor.p50_days, u.donor.p90_days) for u in snapshot.units if u.donor]
    each = Decimal(f"{min(float(confidence), 1 - 1e-9) ** (1 / max(1, 2 * len(leads))):.9f}")
    each = min(each, Decimal("0.999999999"))
    wanted = confidence_in_chances(each)
    telling = _slow(leads) if wanted > CHANCE_ONE // 2 else leads
    slowest = max(
        (
            LONGEST_CALENDAR_DAYS if day is None else day
            for day in (first_day_meeting((LeadTime(*one),), wanted) for one in telling)
        ),
        default=0,
    )
    work = p90_minutes(snapshot.operations)
    work += sum(minutes(u.donor.strip_p90_hours) for u in snapshot.units if u.donor)
    work += 2 * adapting_minutes
    per_day = minutes(snapshot.settings.calendar.bench_hours_per_day)
    legs = 3 if any(offer.reject_probability for offer in snapshot.offers) else 2
    return min(
        latest_order_day + legs * slowest + 2 * whole_days(work, per_day) + 5, LONGEST_CALENDAR_DAYS
    )


def _slow(leads: Iterable[tuple[Decimal, Decimal]]) -> list[tuple[Decimal, Decimal]]:
    """The lead times of which no other is as slow in both quotes and in how far they spread.

    At a chance above one half a longer P50 with a P90 that is as many times longer, or more, is
    never there sooner.
    """
    kept: list[tuple[Decimal, Decimal]] = []
    for p50, p90 in sorted(set(leads), reverse=True):
        if not any(a >= p50 and b * p50 >= p90 * a for a, b in kept):
            kept.append((p50, p90))
    return kept


def _note_calendar(draft: Draft) -> None:
    calendar = draft.bench.settings.calendar
    place = calendar.country or "no country: public holidays are not known"
    if calendar.country and calendar.subdivision:
        place = f"{calendar.country}-{calendar.subdivision}"
    draft.assume(
        f"Lead times count in the shop's working days ({place}); goods that arrive during a day "
        f"are worked on from the next, {calendar.bench_hours_per_day:f} bench hours a day, labour "
        "at its P90 for the date and at its P50 for the price."
    )
    if calendar.country and not calendar.subdivision and has_subdivisions(calendar.country):
        draft.assume("No subdivision is given: holidays of parts of the country are not counted.")
    draft.assume("The clock starts at the customer's approval, taken as the time of this answer.")
    later = sum(f.found_at > draft.bench.snapshot.as_of for f in draft.bench.snapshot.findings)
    if later:
        draft.assume(f"{later} findings are later than the moment of this answer; they count.")


def _note_claims_left_out(draft: Draft) -> None:
    count = draft.bench.snapshot.claims_left_out
    if count:
        records, are = ("record", "is") if count == 1 else ("records", "are")
        draft.assume(
            f"{count} {records} on what may stand in {are} not reckoned with: claims of other "
            "shops whose rework is in another currency or larger than a plan takes in, "
            "supersessions of more pieces than that, or more claims, numbers and donors of other "
            "assemblies than one plan looks at."
        )


def _note_currencies(draft: Draft, converted: Converted) -> None:
    for note in converted.notes:
        draft.assume(note)
    for offer, why_not in converted.left_out:
        supplier = charges.draft_supplier(draft, offer)
        draft.bar(f"{offer.description} from {supplier.name}", offer.position_id, why_not)


def _note_quoted(draft: Draft, converted: Converted) -> None:
    """Tell, at each source bought abroad, the price as it was quoted."""
    quoted = dict(converted.quoted)
    for source_id, facts in draft.facts.items() if quoted else ():
        notes = []
        price = quoted.get(facts.offer_id or "")
        if price is not None:
            notes.append(f"quoted at {price.amount} {price.currency}")
        for along in facts.along:
            price = quoted.get(along.offer.id)
            if price is not None:
                number = f"{along.part.maker} {along.part.number}"
                notes.append(f"{number} quoted at {price.amount} {price.currency}")
        if notes:
            draft.facts[source_id] = replace(facts, notes=(*facts.notes, *notes))


def _case(draft: Draft, starts_on_day_zero: bool) -> PlanningCase:
    bench = draft.bench
    positions = [CasePosition(WHOLE)]
    for planned in bench.planned:
        position = planned.position
        group = position.access_group_id
        is_tied = position.renewal_rule is RenewalRule.ALWAYS and group is not None
        charge = f"access:{group}" if is_tied and f"access:{group}" in draft.charges else None
        positions.append(CasePosition(planned.id, planned.parent_id, charge))
    kept = set(draft.sources)
    sources = weighed(draft, tuple(sorted(draft.sources.values(), key=lambda s: s.id)))
    items = {item_id for source in sources for item_id, _ in source.purchases}
    return PlanningCase(
        positions=tuple(sorted(positions, key=lambda p: p.id)),
        sources=tuple(_without_idle_core(source, draft) for source in sources),
        charges=tuple(sorted(draft.charges.values(), key=lambda c: c.id)),
        lead_tables=tuple(sorted(draft.lead_tables.values(), key=lambda t: t.id)),
        capacities=tuple(
            replace(c, uses=tuple(sorted(use for use in c.uses if use[0] in kept)))
            for c in sorted(draft.capacities.values(), key=lambda c: c.id)
        ),
        matched_sets=_case_sets(bench, SetKind.MATCHED),
        renewed_together=_case_sets(bench, SetKind.RENEWED_TOGETHER),
        bench_minutes_per_day=minutes(bench.settings.calendar.bench_hours_per_day),
        starts_on_day_zero=starts_on_day_zero,
        last_day=draft.last_day,
        counts_price=draft.counts_price,
        items=tuple(draft.items[key] for key in sorted(items)),
        waiting=waiting_tables(draft),
        arrival_dependence=bench.settings.rules.arrival_dependence,
    )


def _without_idle_core(source: Source, draft: Draft) -> Source:
    """The core is at risk only where its unit could be taken apart as a donor."""
    if source.core_charge is None or source.core_charge in draft.charges:
        return source
    return replace(source, core_charge=None, core_credit_price=0, core_credit_cost=0)


def _case_sets(bench: Bench, kind: SetKind) -> tuple[CaseSet, ...]:
    """Declared sets as planning positions.

    A member inside a position that is dealt with whole goes where that goes; members that all lie
    inside one such position move together anyway.
    """
    planned_ids: dict[str, list[str]] = {}
    for planned in bench.planned:
        planned_ids.setdefault(planned.position.id, []).append(planned.id)
    found = []
    for declared in bench.sets(kind):
        members = [i for p in bench.members(declared) for i in planned_ids.get(p, ())]
        if len(members) > 1:
            found.append(CaseSet(declared.id, tuple(sorted(members))))
    return tuple(found)
