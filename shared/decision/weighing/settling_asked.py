"""Which open verdicts are worth asking about first, and what looking at them takes.

Worked out without a search: what could be gained at most, less the looking.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from shared.assemblies.model import LabourOperation, OperationKind, RenewalRule
from shared.condition.model import Verdict
from shared.decision.building.build import Built
from shared.decision.building.draft import p50_hours
from shared.decision.building.planned import WHOLE, PlannedPosition
from shared.decision.building.position_facts import failure_of, replacement, unit_age
from shared.decision.building.pricing import total
from shared.decision.building.risk import failure_lines, prospect
from shared.decision.building.taken import why_gone
from shared.decision.planning.case import AmountLine, CostClass, Plan, Source
from shared.decision.settings import SourceKind
from shared.decision.weighing.exposure import Exposure
from shared.decision.weighing.settling_weighed import Members
from shared.sourcing.model import WarrantyCover

_OPEN = frozenset({Verdict.INDETERMINATE, Verdict.NOT_INSPECTED})
_FAILING = frozenset({CostClass.COMEBACK, CostClass.LATER_FAILURE})


@dataclass(frozen=True, slots=True)
class Look:
    """What looking at some positions takes, in minor units of what is compared.

    ``closed``: access groups to open first, outer ones first, for ``opening``; ``names`` of the
    work that looks, for ``amount``. ``is_costed``: such work is on record at each of them.
    """

    closed: tuple[str, ...]
    opening: int
    names: tuple[str, ...]
    amount: int
    is_costed: bool

    def is_opened_by(self, plan: Plan) -> bool:
        """Whether a plan opens what is closed anyway."""
        return all(f"access:{group_id}" in plan.charge_ids for group_id in self.closed)


def look_of(built: Built, members: Members) -> Look:
    """What looking at the members takes."""
    bench = built.bench
    chains = [bench.chain(planned.position.access_group_id) for planned in members]
    groups = dict.fromkeys(group.id for chain in chains for group in reversed(chain))
    closed = tuple(group_id for group_id in groups if group_id not in bench.open_groups)
    opening = [
        one
        for group_id in closed
        for one in bench.operations(OperationKind.OPEN, group_id=group_id)
    ]
    looks = [bench.work_at(planned, OperationKind.INSPECT) for planned in members]
    looking = [one for operations in looks for one in operations]
    return Look(
        closed=closed,
        opening=_amount(built, opening),
        names=tuple(one.name for one in looking),
        amount=_amount(built, looking),
        is_costed=all(looks),
    )


def _amount(built: Built, operations: Sequence[LabourOperation]) -> int:
    """Labour as it is compared, in minor units."""
    lines = built.draft.pricing.labour("look closer", p50_hours(operations))
    return total(lines, built.case.counts_price)


def chosen_by_position(built: Built, plan: Plan) -> dict[str, Source]:
    """What a plan does, by position."""
    ids = set(plan.source_ids)
    return {source.position_id: source for source in built.case.sources if source.id in ids}


def worth_asking(built: Built, best: Plan) -> list[Members]:
    """Open positions that could be kept if they conform; where most could be gained first.

    The open members of a matched set are settled together, and not where another member bars the
    set anyway: one of them alone would change nothing. Those whose looking is not on record come
    last: whether it pays is not known of them.
    """
    bench = built.bench
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
    stakes = _Stakes(built, best)
    wanted = [tuple(members) for key, members in found.items() if key not in barred]
    return sorted(wanted, key=stakes.order)


def _could_be_kept(built: Built, planned: PlannedPosition) -> bool:
    """Whether proof that it conforms would let the part stay: nothing but the doubt is against."""
    bench, position = built.bench, planned.position
    if position.renewal_rule is RenewalRule.ALWAYS or bench.is_resolved(position):
        return False
    allowed = bench.settings.policy.safety_critical_sources
    if planned.is_safety_critical and SourceKind.KEEP not in allowed:
        return False
    return why_gone(bench, bench.unit, position) is None


class _Stakes:
    """What could be gained at most by settling a verdict, without a search."""

    def __init__(self, built: Built, best: Plan) -> None:
        self.built, self.best = built, best
        self.chosen = chosen_by_position(built, best)
        self.exposure = Exposure(built)
        self.above = {planned.id: planned.parent_id for planned in built.bench.planned}

    def order(self, members: Members) -> tuple[bool, int, str, str]:
        """Sort key: costed before uncosted, the most that could be left over the looking first."""
        look = look_of(self.built, members)
        opening = 0 if look.is_opened_by(self.best) else look.opening
        at_most = sum(self._at_stake(planned) for planned in members)
        name = members[0].name
        return not look.is_costed, look.amount + opening - at_most, name, members[0].id

    def _at_stake(self, planned: PlannedPosition) -> int:
        """Kept: the doubt that knowing spares; renewed, alone or with what is around it: all of it.

        Proof that the part conforms takes no more than the doubt off the cheapest plan. Proof that
        it does not spares what keeping it then leads to, at the price of renewing it at the least.
        """
        source = self._doing(planned)
        if source is None:
            return 0
        if not source.is_keep:
            return self.exposure.of((source.id,)).amount
        good = self._failing(planned, Verdict.CONFORMING) or 0
        bad = self._failing(planned, Verdict.NONCONFORMING)
        now = self._amount([line for line in source.lines if line.cost_class in _FAILING])
        doubt = max(0, now - good)
        if bad is None or bad <= good:
            return doubt
        others = [s for s in self._at[source.position_id] if not s.is_keep]
        renewed = min((self.exposure.alone(s) for s in others), default=0)
        return min(doubt, max(0, doubt * (bad - renewed) // (bad - good)))

    def _amount(self, lines: Sequence[AmountLine]) -> int:
        return total(tuple(lines), self.built.case.counts_price)

    def _doing(self, planned: PlannedPosition) -> Source | None:
        """What the plan does at a position, or at the nearest one around it."""
        place: str | None = planned.id
        while place is not None and place not in self.chosen:
            place = self.above.get(place)
        return self.chosen.get(place if place is not None else WHOLE)

    @cached_property
    def _at(self) -> dict[str, list[Source]]:
        found: dict[str, list[Source]] = {}
        for source in self.built.case.sources:
            found.setdefault(source.position_id, []).append(source)
        return found

    def _failing(self, planned: PlannedPosition, verdict: Verdict) -> int | None:
        """What failing of the kept part comes to with a verdict; None: nothing on record tells."""
        draft = self.built.draft
        snapshot, kind = draft.bench.snapshot, draft.bench.part_kind(planned.position)
        outlook = prospect(snapshot, SourceKind.KEEP, kind, unit_age(draft), verdict)
        if outlook.spec is None:
            return None
        failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
        return self._amount(failure_lines(snapshot, planned.name, outlook.spec, failure))
