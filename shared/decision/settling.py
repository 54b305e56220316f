"""Looking closer before deciding: is it worth what it costs?

For each position whose verdict is open: the cheapest plan once it is proved to conform, and once
it is proved not to, weighed with the chance p of either, against the plan chosen without knowing.
What is gained is the value of perfect information on that one position; the looking itself is
taken to settle it. Source: preposterior analysis, any text on statistical decision theory.

Not knowing, the recommended plan is carried out in both worlds. Where it keeps the part, and the
shop's experience with kept nonconforming parts prices what that leads to, its total is the
p-weighted one of the two worlds, neither of them below the best that could be done there; where
nothing on record prices it, its total is the one it has now. So the gain is never below zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shared.assemblies.model import LabourOperation, OperationKind, RenewalRule
from shared.condition.model import Verdict
from shared.decision.budget import Budget
from shared.decision.build import Built, build
from shared.decision.case import Plan, Source
from shared.decision.draft import p50_hours
from shared.decision.planned import PlannedPosition
from shared.decision.pricing import total
from shared.decision.proof_chance import all_of, proof_chance
from shared.decision.result import Settling
from shared.decision.risk import experience_for
from shared.decision.settings import Permission, SourceKind
from shared.decision.settling_weighed import Members, Outcome, Weighed
from shared.decision.settling_words import settling_view
from shared.decision.snapshot import Snapshot
from shared.decision.solver import SolverStopped
from shared.decision.taken import why_gone
from shared.decision.what_if import chosen_again, proven
from shared.life.model import ExperienceKind

MOST = 4
"""Positions worked out unless more are asked for: each takes two full answers, or four."""
_OPEN = frozenset({Verdict.INDETERMINATE, Verdict.NOT_INSPECTED})


@dataclass(frozen=True, slots=True)
class Settlings:
    """The net value highest first, what is not known last; positions left out are counted."""

    found: tuple[Settling, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class _WayIn:
    """Access groups to open before a position can be looked at; the amount of opening them."""

    closed: tuple[str, ...]
    amount: int

    def is_taken_by(self, plan: Plan) -> bool:
        """Whether a plan opens them all anyway."""
        return all(f"access:{group_id}" in plan.charge_ids for group_id in self.closed)


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
    wanted = _worth_asking(built, best)
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


def _worth_asking(built: Built, best: Plan) -> list[Members]:
    """Open positions that could be kept if they conform, the dearest now first.

    The open members of a matched set are settled together, and not where another member bars the
    set anyway: one of them alone would change nothing.
    """
    bench = built.bench
    chosen = _chosen(built, best)
    found: dict[str, list[PlannedPosition]] = {}
    barred = set()
    for planned in bench.planned:
        matched = bench.matched_set_of(planned.position.id)
        key = f"set:{matched.id}" if matched else planned.id
        verdict = bench.verdict(planned)
        if not _could_be_kept(built, planned) or verdict is Verdict.NONCONFORMING:
            barred.add(key)
        elif verdict in _OPEN:
            found.setdefault(key, []).append(planned)

    def at_stake(members: Members) -> int:
        sources = [chosen[planned.id] for planned in members if planned.id in chosen]
        return sum(total(source.lines, built.case.counts_price) for source in sources)

    wanted = [tuple(members) for key, members in found.items() if key not in barred]
    return sorted(wanted, key=lambda members: (-at_stake(members), members[0].id))


def _could_be_kept(built: Built, planned: PlannedPosition) -> bool:
    """Whether proof that it conforms would let the part stay: nothing but the doubt is against."""
    bench, position = built.bench, planned.position
    if position.renewal_rule is RenewalRule.ALWAYS or bench.is_resolved(position):
        return False
    allowed = bench.settings.policy.safety_critical_sources
    if planned.is_safety_critical and SourceKind.KEEP not in allowed:
        return False
    return why_gone(bench, bench.unit, position) is None


def _chosen(built: Built, plan: Plan) -> dict[str, Source]:
    ids = set(plan.source_ids)
    return {source.position_id: source for source in built.case.sources if source.id in ids}


def _weigh(
    snapshot: Snapshot, built: Built, best: Plan, members: Members, budget: Budget | None
) -> Weighed:
    closed = _closed(built, members)
    looking = tuple(
        one for planned in members for one in built.bench.work_at(planned, OperationKind.INSPECT)
    )
    way_in = _WayIn(closed, _amount(built, _opening(built, closed)))
    good = _outcome(snapshot, members, Verdict.CONFORMING, way_in, budget)
    bad = _outcome(snapshot, members, Verdict.NONCONFORMING, way_in, budget)
    kept_good = chosen_again(good.built, best.source_ids)
    is_kept, kept_bad = _kept_though_bad(snapshot, built, best, members)
    if not is_kept:
        again = chosen_again(bad.built, best.source_ids)
        kept_bad = None if again is None else again.objective
    good = replace(good, kept_total=None if kept_good is None else kept_good.objective)
    return Weighed(
        members=members,
        chance=all_of([proof_chance(built, planned) for planned in members]),
        is_costed=all(built.bench.work_at(p, OperationKind.INSPECT) for p in members),
        what=_what(built, members, looking, closed),
        work=_amount(built, looking) + way_in.amount,
        good=_not_below_best(good),
        bad=_not_below_best(replace(bad, kept_total=kept_bad)),
        now=best.objective,
        is_priced=kept_good is not None and kept_bad is not None,
    )


def _closed(built: Built, members: Members) -> tuple[str, ...]:
    """Access groups to open before the members can be looked at, outer ones first."""
    chains = [built.bench.chain(planned.position.access_group_id) for planned in members]
    groups = dict.fromkeys(group.id for chain in chains for group in reversed(chain))
    return tuple(group_id for group_id in groups if group_id not in built.bench.open_groups)


def _not_below_best(outcome: Outcome) -> Outcome:
    """What is done without knowing counts no less than the best that is allowed when knowing."""
    if outcome.kept_total is None or outcome.total is None:
        return outcome
    return replace(outcome, kept_total=max(outcome.kept_total, outcome.total))


def _with_open(snapshot: Snapshot, closed: Sequence[str]) -> Snapshot:
    groups = tuple(sorted({*snapshot.job.opened_group_ids, *closed}))
    return replace(snapshot, job=replace(snapshot.job, opened_group_ids=groups))


def _outcome(
    snapshot: Snapshot,
    members: Members,
    verdict: Verdict,
    way_in: _WayIn,
    budget: Budget | None,
) -> Outcome:
    proved = {planned.id: verdict for planned in members}
    built = build(snapshot, proved=proved)
    plan = proven(built, budget, breaks_ties=True).plan
    if plan is None:
        return Outcome(built, None, None, None, None)
    if way_in.is_taken_by(plan):
        # Whatever else there is, this plan saves the opening and stays the cheapest.
        return Outcome(built, plan, plan.objective, plan.objective - way_in.amount, None)
    other = proven(build(_with_open(snapshot, way_in.closed), proved=proved), budget).plan
    return Outcome(built, plan, plan.objective, None if other is None else other.objective, None)


def _kept_though_bad(
    snapshot: Snapshot, built: Built, best: Plan, members: Members
) -> tuple[bool, int | None]:
    """Whether the plan keeps the part, and then its total if the part does not conform.

    By the shop's experience with kept nonconforming parts; without any: not known (None). Of
    several members the one counts whose failing costs least: one that is bad is bad enough.
    """
    at = _chosen(built, best)
    kept = {p.id: at[p.id] for p in members if p.id in at and at[p.id].is_keep}
    if not kept:
        return False, None
    if not all(_is_experienced(snapshot, built, planned) for planned in members):
        return True, None
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
    return True, best.objective + min(changes) if len(changes) == len(kept) else None


def _is_experienced(snapshot: Snapshot, built: Built, planned: PlannedPosition) -> bool:
    part_kind = built.bench.part_kind(planned.position)
    return experience_for(snapshot, ExperienceKind.KEEP_NONCONFORMING, part_kind) is not None


def _opening(built: Built, closed: Sequence[str]) -> tuple[LabourOperation, ...]:
    return tuple(
        operation
        for group_id in closed
        for operation in built.bench.operations(OperationKind.OPEN, group_id=group_id)
    )


def _amount(built: Built, operations: Sequence[LabourOperation]) -> int:
    """Labour as it is compared, in minor units."""
    lines = built.draft.pricing.labour("look closer", p50_hours(operations))
    return total(lines, built.case.counts_price)


def _what(
    built: Built,
    members: Members,
    looking: Sequence[LabourOperation],
    closed: Sequence[str],
) -> tuple[str, ...]:
    """What has to be done to know: what is opened, outermost first, and what is looked at."""
    opened = tuple(f"open: {built.bench.groups[group_id].name}" for group_id in closed)
    told = tuple(one.name for one in looking) or ("look closer (no operation on record)",)
    left = tuple(
        f"not inspected so far: {name}" + (f" ({planned.name})" if len(members) > 1 else "")
        for planned in members
        for name in built.bench.judgements[planned.id].not_inspected
    )
    return (*opened, *told, *left)
