"""What a service writer must know of a plan before it is agreed."""

from collections.abc import Iterable

from shared.assemblies.model import MakerSupply
from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.building.planned import WHOLE, PlannedPosition
from shared.decision.building.renewed import why_new_does_not_mend
from shared.decision.planning.case import CHANCE_ONE, CostClass
from shared.decision.result import PlanLine, Route
from shared.decision.snapshot import WaitingKind
from shared.decision.telling.figures import amount_told, percent_down
from shared.decision.telling.words import CLASS_WORDS, Told, counted, proofs, unproven


def notes(told: Told) -> tuple[str, ...]:
    """What a service writer must know of a plan before it is agreed."""
    return (
        *_support_notes(told),
        *_doubt_notes(told),
        *_proof_notes(told),
        *_shim_notes(told),
        *_measure_notes(told),
        *_money_notes(told),
        *_date_notes(told),
        *_bound_notes(told),
    )


def outside_support(built: Built, lines: Iterable[PlanLine]) -> list[str]:
    """Positions worked on although the maker does not sell them singly."""
    by_id = {planned.id: planned for planned in built.bench.planned}
    return [
        planned.name
        for line in lines
        if line.disposition != "keep"
        and (planned := by_id.get(line.position_id)) is not None
        and _is_outside_support(planned)
    ]


def _support_notes(told: Told) -> list[str]:
    found = []
    outside = outside_support(told.built, told.lines)
    if outside:
        found.append(
            "Outside the maker's support: the maker does not sell singly: " + ", ".join(outside)
        )
    return found + [
        f"The whole unit: {'; '.join(line.notes)}."
        for line in told.lines
        if line.position_id == WHOLE and line.notes
    ]


def _doubt_notes(told: Told) -> list[str]:
    doubtful = unproven(one for one in told.facts if one.disposition == "keep")
    found = [f"Kept without proof that it conforms: {', '.join(doubtful)}"] if doubtful else []
    return found + _shelf_notes([one for one in told.facts if one.salvaged_part_ids])


def _shelf_notes(shelved: list[SourceFacts]) -> list[str]:
    """What to do about parts from the shelf, and which of them nothing proves good."""
    found = []
    if shelved:
        named = "; ".join(f"{one.position_name}: {one.description}" for one in shelved)
        found.append(f"Reserve for this job, unless that is done: {named}.")
    doubtful = unproven(shelved)
    if doubtful:
        found.append("From the shelf without proof that it conforms: " + ", ".join(doubtful))
    return found


def _proof_notes(told: Told) -> list[str]:
    found = []
    awaited = proofs(told.built, told.plan)
    if awaited:
        found.append(
            "The price holds only if this turns out: " + "; ".join(awaited) + ". Agree beforehand "
            "with the customer what is done if it does not."
        )
    unsettled = [
        one.position_name for one in told.facts if one.disposition == "rework" and is_unsettled(one)
    ]
    if unsettled:
        found.append("Reworked though not all of it is settled: " + ", ".join(unsettled))
    return found


def _shim_notes(told: Told) -> list[str]:
    """Where shims are measured and chosen anew, in the order of their charges."""
    shims = told.built.draft.shims
    return [note for key in told.plan.charge_ids if key in shims for note in shims[key].notes]


def _measure_notes(told: Told) -> list[str]:
    """Measures between parts of which one stays and another is renewed or reworked.

    Whichever of them the measure is kept with: none of the plan's verdicts covers it.
    """
    bench = told.built.bench
    other = _other_parts(told)
    kept = {
        place.id
        for planned in _kept(told)
        for place in (planned.position, *bench.inside(planned.position))
        if place.id not in other
    }
    found = []
    for one in bench.derivations:
        if one.position_id not in bench.positions:
            continue  # of another assembly, whose donor gives a part
        places = bench.places_behind(one)
        names = sorted(name for place, name in other.items() if place in places)
        if names and (places | {one.position_id}) & kept:
            found.append(
                f"{one.name} of {bench.positions[one.position_id].name} was worked out with what "
                f"was in {', '.join(names)}: measure again with what goes in there."
            )
            left = why_new_does_not_mend(bench, one, other)
            if left is not None:
                found.append(f"{one.name}: new in {', '.join(names)} does not mend it: {left}.")
    return found


def _kept(told: Told) -> list[PlannedPosition]:
    """Positions whose own part stays, also around what is dealt with part by part."""
    sources = {source.id: source for source in told.built.case.sources}
    chosen = [sources[source_id] for source_id in told.plan.source_ids]
    kept = {one.position_id for one in chosen if one.is_keep or one.resolves_children}
    return [planned for planned in told.built.bench.planned if planned.id in kept]


def _other_parts(told: Told) -> dict[str, str]:
    """Names of the positions, by id, that get another part, or theirs reworked."""
    bench = told.built.bench
    other = {line.position_id for line in told.lines if line.disposition != "keep"}
    return {
        place.id: place.name
        for planned in bench.planned
        if planned.id in other
        for place in (planned.position, *bench.inside(planned.position))
    }


def is_unsettled(facts: SourceFacts) -> bool:
    """Whether a rework leaves something on the part that nobody has settled."""
    return any("not settled" in note for note in facts.notes)


def _money_notes(told: Told) -> list[str]:
    found = []
    limit = told.built.bench.job.spending_limit
    if told.is_within_limit is not None and limit is not None:
        side = "Within" if told.is_within_limit else "ABOVE"
        found.append(f"{side} the customer's spending limit of {amount_told(limit)}.")
        chance = told.total.chance_within_limit
        if chance is not None and told.is_within_limit and chance < 1:
            found.append(f"Chance to stay within it, {counted(told)}: {percent_down(chance)}.")
    deposit = told.billed(CostClass.CORE_DEPOSIT)
    if deposit:
        found.append(
            f"{told.money(deposit)} of the price is a core deposit: paid now, credited "
            "only when the core is accepted."
        )
    for cost_class in (CostClass.TOP_UP, CostClass.SMALL_ORDER_FEE):
        amount = told.billed(cost_class)
        if amount:
            found.append(f"{told.money(amount)} of the price is for {CLASS_WORDS[cost_class]}.")
    return found


def waiting_told(told: Told) -> str | None:
    """The loan unit or the hire to the promised day, with what it comes to; None: there is none."""
    waiting = told.built.bench.job.waiting
    if waiting is None or told.route is Route.RETIRE:
        return None
    promised = told.built.days[told.plan.ready_day]
    days = (promised - told.built.bench.today).days
    what = "Loan unit" if waiting.kind is WaitingKind.LOAN else "Hired unit"
    amount = told.billed(CostClass.WAITING)
    count = f"{days} calendar {'day' if days == 1 else 'days'}"
    return f"{what} for {count}, to {promised}: {told.money(amount)} of the price."


def _date_notes(told: Told) -> list[str]:
    found = []
    waiting = waiting_told(told)
    if waiting is not None:
        found.append(waiting)
    asked = told.built.confidence
    if told.promise_chance * CHANCE_ONE < asked and told.route is not Route.RETIRE:
        found.append(
            "The promised day takes every operation at its P90 as certain. Counting that the work "
            f"may last longer still, it is kept with {percent_down(told.promise_chance)}."
        )
    return found


def _bound_notes(told: Told) -> list[str]:
    """What the figures per hour and per year are worth where a part's life is not on record."""
    missing = told.risk.not_counted
    if not missing or told.risk.expected_service_hours is None:
        return []
    return [
        "Nothing on record tells how long these last: "
        + ", ".join(missing)
        + ". Hours of service are an upper bound, price per hour and per year lower bounds."
    ]


def _is_outside_support(planned: PlannedPosition) -> bool:
    return planned.position.maker_supply is MakerSupply.WHOLE_ONLY
