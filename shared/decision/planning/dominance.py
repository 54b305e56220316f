"""One source at least as good as another wherever that other could be used.

Compared by what the rules and the amounts can see, without a search: whatever plan takes the worse
source, it stays a plan, no dearer, no riskier and, at the asked chance, no later, with the better
one in its place. What
is not certain of every plan counts against the better one, so a pair may be missed and none is
wrong: a shared charge is not saved, an own one is paid in full, a core credit is lost.
"""

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from shared.decision.planning.case import Charge, PlanningCase, Source
from shared.decision.planning.formulation import CaseReader
from shared.decision.planning.timing import CHANCE_TOLERANCE, chance_on


class Dominance:
    """Compares the sources of one position with one another."""

    def __init__(
        self, case: PlanningCase, confidence: int, barred: frozenset[str] = frozenset()
    ) -> None:
        self.case = case
        self.least_chance = confidence - CHANCE_TOLERANCE
        self.reader = CaseReader(case)
        self.barred = barred

    def better_than(self, worse: Source, chosen: frozenset[str] = frozenset()) -> Source | None:
        """What may always take a source's place: one of ``chosen``, else the cheapest; None: none.

        Of two that may stand for each other only the smaller id is better, unless it is chosen.
        """
        found = [
            other
            for other in self.reader.at[worse.position_id]
            if other.id != worse.id and other.id not in self.barred
            if self.dominates(other, worse)
            if other.id in chosen or other.id < worse.id or not self.dominates(worse, other)
        ]
        return min(
            found,
            key=lambda one: (one.id not in chosen, self.reader.amount(one), one.id),
            default=None,
        )

    def dominates(self, better: Source, worse: Source) -> bool:
        """Whether ``better`` may stand wherever ``worse`` does, at no loss."""
        return (
            better.position_id == worse.position_id
            and not (better.resolves_children or worse.resolves_children)
            and self._keeps_rules(better, worse)
            and self._keeps_purchases(better, worse)
            and self._keeps_charges(better, worse)
        )

    def _keeps_rules(self, better: Source, worse: Source) -> bool:
        sets = self._sets_at[better.position_id]
        return (
            better.risk <= worse.risk
            and set(better.physical_parts) <= set(worse.physical_parts)
            and better.only_while_closed in (None, worse.only_while_closed)
            and (better.is_unused or not worse.is_unused or better.position_id not in self._always)
            and (worse.refit_only or not better.refit_only)
            and (self._is_beyond_refit(worse) or not self._is_beyond_refit(better))
            and (
                "matched" not in sets
                or (better.matched_unit is not None and better.matched_unit == worse.matched_unit)
            )
            and ("together" not in sets or better.fits_another_part == worse.fits_another_part)
            and all(uses.get(better.id, 0) <= uses.get(worse.id, 0) for uses in self._uses)
        )

    def _keeps_purchases(self, better: Source, worse: Source) -> bool:
        """No more pieces of anything, and no goods value lost that an order's terms may need."""
        pieces = self.reader.pieces
        for item in self.reader.items:
            more, less = pieces[item.id].get(better.id, 0), pieces[item.id].get(worse.id, 0)
            if more > less or (more < less and self._has_terms(item.order_charge)):
                return False
        values, other = _sums(better.goods_values), _sums(worse.goods_values)
        return all(
            values.get(charge_id, 0) >= value or not self._has_terms(charge_id)
            for charge_id, value in other.items()
        ) and all(value >= 0 for value in values.values())

    def _has_terms(self, charge_id: str | None) -> bool:
        return charge_id is not None and self.reader.charges[charge_id].order is not None

    def _keeps_charges(self, better: Source, worse: Source) -> bool:
        """What is opened besides costs and delays no more than what it takes the place of."""
        ours, theirs = self._opened[better.id], self._opened[worse.id]
        extra = [self.reader.charges[key] for key in sorted(ours - theirs)]
        dropped = [self.reader.charges[key] for key in sorted(theirs - ours)]
        saved = [charge for charge in dropped if self._users[charge.id] == {worse.id}]
        if any(self.reader.amount(c) < 0 or c.goods_values for c in dropped):
            return False
        if not (all(map(self._is_plain, extra)) and self._are_in_time(extra, dropped, saved)):
            return False
        gain = self.reader.amount(worse) + sum(map(self.reader.amount, saved))
        loss = self.reader.amount(better) + sum(max(0, self.reader.amount(c)) for c in extra)
        lost_credit = self.reader.core_credit(better) if better.core_charge else 0
        if better.core_charge and better.core_charge == worse.core_charge:
            lost_credit = max(0, lost_credit - self.reader.core_credit(worse))
        minutes = better.bench_minutes + sum(c.bench_minutes for c in extra)
        most_minutes = worse.bench_minutes + sum(c.bench_minutes for c in saved)
        return loss + lost_credit <= gain and minutes <= most_minutes

    def _is_plain(self, charge: Charge) -> bool:
        """Whether opening a charge has no effect but its amount, its minutes and its arrival."""
        return charge.order is None and charge.id not in self._telling

    def _are_in_time(
        self, extra: Iterable[Charge], dropped: Iterable[Charge], saved: Iterable[Charge]
    ) -> bool:
        """Whether each charge awaited besides is no later than one that falls away for it.

        One of the same shipment sets its pace even if it stays; of those that arrive by themselves
        each makes up for one only.
        """
        alone = [c for c in saved if c.shipment is None and c.lead_table_id is not None]
        for charge in extra:
            if charge.lead_table_id is None:
                continue
            if charge.shipment is not None:
                paced = (c for c in dropped if c.shipment == charge.shipment)
                if not any(self._is_sooner(charge, other) for other in paced):
                    return False
                continue
            other = next((c for c in alone if self._is_sooner(charge, c)), None)
            if other is None:
                return False
            alone.remove(other)
        return True

    def _is_sooner(self, charge: Charge, other: Charge) -> bool:
        """Whether a charge that is awaited is at least as likely there on every day that counts.

        On a day on which the other one alone falls short of the confidence no plan has it.
        """
        if charge.lead_table_id is None or other.lead_table_id is None:
            return charge.lead_table_id is None
        mine, theirs = (self.reader.tables[c.lead_table_id or ""] for c in (charge, other))
        days = range(max(len(mine.chance_by_day), len(theirs.chance_by_day)))
        return mine is theirs or all(
            chance_on(mine, day) >= chance_on(theirs, day)
            for day in days
            if chance_on(theirs, day) >= self.least_chance
        )

    def _is_beyond_refit(self, source: Source) -> bool:
        return not source.is_keep and source.position_id not in self._always

    @cached_property
    def _always(self) -> frozenset[str]:
        """Positions whose renewal falls due when a group is opened."""
        return frozenset(p.id for p in self.case.positions if p.always_renew_with is not None)

    @cached_property
    def _sets_at(self) -> dict[str, set[str]]:
        """Kinds of sets of which a position fills a part and others the rest."""
        found: dict[str, set[str]] = defaultdict(set)
        for kind, groups in (
            ("matched", self.case.matched_sets),
            ("together", self.case.renewed_together),
        ):
            for group in groups:
                above = [{m, *self.reader.upward(m)} for m in group.position_ids]
                for position_id in (
                    set[str]().union(*above).difference(set[str].intersection(*above))
                ):
                    found[position_id].add(kind)
        return found

    @cached_property
    def _uses(self) -> list[dict[str, int]]:
        """What each source takes of each capacity; what is not named takes nothing."""
        return [_sums(capacity.uses) for capacity in self.case.capacities]

    @cached_property
    def _opened(self) -> dict[str, frozenset[str]]:
        """Charges that each source opens, directly or through another, and that are not open."""
        return {source.id: self._closure(source.charges) for source in self.reader.sources}

    def _closure(self, charge_ids: Iterable[str]) -> frozenset[str]:
        found: set[str] = set()
        waiting = list(charge_ids)
        while waiting:
            charge = self.reader.charges[waiting.pop()]
            if not charge.is_open and charge.id not in found:
                found.add(charge.id)
                waiting.extend(charge.requires)
        return frozenset(found)

    @cached_property
    def _users(self) -> dict[str, set[str]]:
        """Sources that open each charge."""
        users: dict[str, set[str]] = defaultdict(set)
        for source_id, opened in self._opened.items():
            for charge_id in opened:
                users[charge_id].add(source_id)
        return users

    @cached_property
    def _telling(self) -> frozenset[str]:
        """Charges whose opening something else looks at: renewals due, parts left, cores."""
        looked_at = {p.always_renew_with for p in self.case.positions}
        for source in self.case.sources:
            looked_at |= {source.only_while_closed, source.core_charge}
        return frozenset(key for key in looked_at if key is not None)


def _sums(pairs: Iterable[tuple[str, int]]) -> dict[str, int]:
    sums: dict[str, int] = defaultdict(int)
    for key, quantity in pairs:
        sums[key] += quantity
    return sums
