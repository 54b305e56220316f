"""Looking closer before deciding: is it worth what it costs?

For each position whose verdict is open: the cheapest plan once it is proved to conform, and once
it is proved not to, weighed with the chance p of either, against the plan chosen without knowing.
What is gained is the value of perfect information on that one position; the looking itself is
taken to settle it. Source: preposterior analysis, any text on statistical decision theory.

The ranking and the looking stand on one belief. Where the plan keeps the part in doubt, its total
as ranked lies between what it comes to if the part conforms (K_good) and if it does not (K_bad, by
the shop's experience with kept nonconforming parts), and p = (K_bad - total) / (K_bad - K_good).
Where it does not keep the part, or nothing prices K_bad, p is what is on record of its condition.
The total now is the one that is ranked in either case, and the gain is held at zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shared.condition.model import Verdict
from shared.decision.building.build import Built, build
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.pricing import total
from shared.decision.building.risk import experience_for
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan, Source
from shared.decision.planning.solver import SolverStopped
from shared.decision.result import Settling
from shared.decision.settings import Permission
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.proof_chance import all_of, proof_chance
from shared.decision.weighing.settling_asked import Look, chosen_by_position, look_of, worth_asking
from shared.decision.weighing.settling_weighed import Kept, Members, Outcome, Weighed, believed
from shared.decision.weighing.settling_words import settling_view
from shared.decision.weighing.what_if import chosen_again, proven
from shared.life.model import ExperienceKind

MOST = 4
"""Positions worked out unless more are asked for: each takes two full answers, or four."""


@dataclass(frozen=True, slots=True)
class Settlings:
    """The net value highest first, what is not known last; positions left out are counted."""

    found: tuple[Settling, ...]
    left_out: int


def settlings(
    snapshot: Snapshot,
    built: Built,
    best: Plan,
    budget: Budget | None = None,
    *,
    most: int = MOST,
) -> Settlings:
    """What settling each open verdict is worth beside the recommended plan ``best``.

    Those first where most could be saved; at most ``most`` positions. Raises Cancelled.
    """
    wanted = worth_asking(built, best)
    found: list[Settling] = []
    for members in wanted:
        if len(found) >= most or (budget is not None and budget.is_spent):
            break
        if budget is not None:
            budget.check()
        try:
            weighed = _weigh(snapshot, built, best, members, budget)
        except SolverStopped:
            break
        found.append(settling_view(built, best, weighed))
    ordered = sorted(found, key=lambda s: (s.net_value is None, _less(s), s.position_id))
    return Settlings(tuple(ordered), len(wanted) - len(found))


def _less(one: Settling) -> Decimal:
    return Decimal(0) if one.net_value is None else -one.net_value.amount


def _weigh(
    snapshot: Snapshot, built: Built, best: Plan, members: Members, budget: Budget | None
) -> Weighed:
    look = look_of(built, members)
    good = _outcome(snapshot, members, Verdict.CONFORMING, look, budget)
    bad = _outcome(snapshot, members, Verdict.NONCONFORMING, look, budget)
    kept, is_priced = _kept(snapshot, built, best, members, good)
    own = all_of([proof_chance(built, planned) for planned in members])
    return Weighed(
        members=members,
        chance=own if kept is None else believed(own, kept, best.objective),
        is_costed=look.is_costed,
        what=_what(built, members, look),
        work=look.amount + look.opening,
        good=good,
        bad=bad,
        now=best.objective,
        kept=kept,
        is_priced=is_priced,
        own_chance=own.chance,
    )


def _with_open(snapshot: Snapshot, closed: Sequence[str]) -> Snapshot:
    groups = tuple(sorted({*snapshot.job.opened_group_ids, *closed}))
    return replace(snapshot, job=replace(snapshot.job, opened_group_ids=groups))


def _outcome(
    snapshot: Snapshot,
    members: Members,
    verdict: Verdict,
    look: Look,
    budget: Budget | None,
) -> Outcome:
    proved = {planned.id: verdict for planned in members}
    built = build(snapshot, proved=proved)
    plan = proven(built, budget, breaks_ties=True).plan
    if plan is None:
        return Outcome(built, None, None, None)
    if look.is_opened_by(plan):
        # Whatever else there is, this plan saves the opening and stays the cheapest.
        return Outcome(built, plan, plan.objective, plan.objective - look.opening)
    other = proven(build(_with_open(snapshot, look.closed), proved=proved), budget).plan
    return Outcome(built, plan, plan.objective, None if other is None else other.objective)


def _kept(
    snapshot: Snapshot, built: Built, best: Plan, members: Members, good: Outcome
) -> tuple[Kept | None, bool]:
    """What keeping the part comes to either way, and whether that is known (or not kept at all)."""
    at = chosen_by_position(built, best)
    kept = {p.id: at[p.id] for p in members if p.id in at and at[p.id].is_keep}
    if not kept:
        return None, True
    if_good = chosen_again(good.built, best.source_ids)
    change = _change_if_bad(snapshot, built, kept, members)
    if if_good is None or change is None:
        return None, False
    return Kept(if_good.objective, best.objective + change), True


def _change_if_bad(
    snapshot: Snapshot, built: Built, kept: dict[str, Source], members: Members
) -> int | None:
    """By how much the plan's total changes if what it keeps does not conform; None: not known.

    By the shop's experience with kept nonconforming parts. Of several members the one counts whose
    failing costs least: one that is bad is bad enough.
    """
    if not all(_is_experienced(snapshot, built, planned) for planned in members):
        return None
    settings = snapshot.settings
    policy = replace(settings.policy, refit_nonconforming=Permission.ALLOWED)
    allowed = replace(snapshot, settings=replace(settings, policy=policy))
    other = build(allowed, proved=dict.fromkeys(kept, Verdict.NONCONFORMING))
    again = {source.id: source for source in other.case.sources}
    counts_price = built.case.counts_price
    changes = [
        total(again[source.id].lines, counts_price) - total(source.lines, counts_price)
        for source in kept.values()
        if source.id in again
    ]
    return min(changes) if len(changes) == len(kept) else None


def _is_experienced(snapshot: Snapshot, built: Built, planned: PlannedPosition) -> bool:
    part_kind = built.bench.part_kind(planned.position)
    return experience_for(snapshot, ExperienceKind.KEEP_NONCONFORMING, part_kind) is not None


def _what(built: Built, members: Members, look: Look) -> tuple[str, ...]:
    """What has to be done to know: what is opened, outermost first, and what is looked at.

    Of readings that leave it open also how fine a gauge, or how many readings, would settle it.
    """
    opened = tuple(f"open: {built.bench.groups[group_id].name}" for group_id in look.closed)
    told = look.names or ("look closer (no operation on record)",)
    left = tuple(
        f"not inspected so far: {name}" + (f" ({planned.name})" if len(members) > 1 else "")
        for planned in members
        for name in built.bench.judgements[planned.id].not_inspected
    )
    settles = tuple(
        dict.fromkeys(
            text for planned in members for text in built.bench.judgements[planned.id].settlings
        )
    )
    return (*opened, *told, *left, *settles)
