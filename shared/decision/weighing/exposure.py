"""How much of a plan's amount hangs on each input, and how near another plan is by that.

Only an estimate, to know where to look first: order terms, packs and failure over long horizons
make cost lines bend. What it says is never told, only where the exact search begins.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from shared.decision.building.build import Built
from shared.decision.building.draft import Along, SourceFacts
from shared.decision.building.planned import WHOLE
from shared.decision.building.risk import experience_for, kept_kind
from shared.decision.building.whole import UNIT_PART_KIND
from shared.decision.planning.case import AmountLine, Charge, CostClass, Plan, Source
from shared.decision.settings import SourceKind
from shared.decision.weighing.what_if import chosen_again
from shared.life.model import ExperienceKind

Key = tuple[str, str]
"""What an input is: ("price", offer id), ("donor", unit id), ("freight", supplier id),
("replacement", ""), ("chance", number of the experience), ("life", number of the record)."""

_BOUGHT = frozenset({CostClass.GOODS, CostClass.SERVICE})
_FAILING = frozenset({CostClass.COMEBACK, CostClass.LATER_FAILURE})


@dataclass(frozen=True, slots=True)
class Rough:
    """A plan's amount, roughly, and how much of it moves in proportion with each input."""

    source_ids: tuple[str, ...]
    amount: int
    parts: dict[Key, int]


@dataclass(frozen=True, slots=True, order=True)
class Nearest:
    """The share of its value by which an input must move for this rival to draw level."""

    share: float
    source_ids: tuple[str, ...]


class Exposure:
    """Reads the plans of one case."""

    def __init__(self, built: Built) -> None:
        self.built = built
        self.sources = {source.id: source for source in built.case.sources}
        self.charges = {charge.id: charge for charge in built.case.charges}
        self.items = {item.id: item for item in built.case.items}
        self._own: dict[str, Rough] = {}
        self._amounts: dict[tuple[str, ...], int | None] = {}

    def of(self, source_ids: tuple[str, ...]) -> Rough:
        """What a choice comes to, with the charges that it opens."""
        chosen = [self.sources[source_id] for source_id in source_ids]
        found = [self._of_source(source) for source in chosen]
        found += [self._of_charge(charge) for charge in self._opened(chosen)]
        parts: dict[Key, int] = {}
        for one in found:
            for key, amount in one.parts.items():
                parts[key] = parts.get(key, 0) + amount
        return Rough(source_ids, sum(one.amount for one in found), parts)

    def alone(self, source: Source) -> int:
        """What a source comes to without the charges that it opens."""
        return self._of_source(source).amount

    def of_plan(self, plan: Plan) -> Rough:
        """The same with the plan's true amount."""
        return replace(self.of(plan.source_ids), amount=plan.objective)

    def rivals(self, plan: Plan, others: Sequence[Plan]) -> list[Rough]:
        """Other plans in time, and the plan with one source put in another's place, as compared.

        The latter may break a rule or come too late: ``nearest`` asks before it trusts them.
        """
        rough = self.of(plan.source_ids)
        deadline = self.built.case.last_day if self.built.deadline is None else self.built.deadline
        in_time = [one for one in others if one.ready_day <= deadline]
        found = [self.of_plan(one) for one in in_time if one.source_ids != plan.source_ids]
        self._amounts.update((one.source_ids, one.amount) for one in found)
        for swapped in self._swaps(plan):
            one = self.of(swapped)
            found.append(replace(one, amount=plan.objective + one.amount - rough.amount))
        return found

    def nearest(self, plan: Rough, rivals: Iterable[Rough], key: Key) -> Nearest | None:
        """By what share of its value an input must move for a rival to draw level; None: by none.

        For the worse where the plan has a part in it, else for the better. Cost lines are taken as
        straight and in proportion to the input.
        """
        sign = 1 if key in plan.parts else -1
        own = plan.parts.get(key, 0)
        ahead = []
        for rival in rivals:
            slope = (own - rival.parts.get(key, 0)) * sign
            if slope > 0:
                ahead.append((max(0, rival.amount - plan.amount) / slope, slope, rival.source_ids))
        reached: list[Nearest] = []
        for share, slope, source_ids in sorted(ahead):
            if reached and share >= min(reached).share:
                break
            amount = self._amount_of(source_ids)
            if amount is not None:
                reached.append(Nearest(max(0, amount - plan.amount) / slope, source_ids))
        return min(reached, default=None)

    def _amount_of(self, source_ids: tuple[str, ...]) -> int | None:
        """What a choice comes to; None: it breaks a rule or is not ready in time."""
        if source_ids not in self._amounts:
            plan = chosen_again(self.built, source_ids)
            self._amounts[source_ids] = None if plan is None else plan.objective
        return self._amounts[source_ids]

    @cached_property
    def keys(self) -> tuple[Key, ...]:
        """The inputs that matter to some source, sorted."""
        found: set[Key] = set()
        for source in self.sources.values():
            found.update(self._of_source(source).parts)
            found.update(k for c in self._opened([source]) for k in self._of_charge(c).parts)
        return tuple(sorted(found))

    def _swaps(self, plan: Plan) -> Iterator[tuple[str, ...]]:
        at = {self.sources[source_id].position_id: source_id for source_id in plan.source_ids}
        for source in self.built.case.sources:
            chosen = at.get(source.position_id)
            if chosen is None or source.id == chosen:
                continue
            if source.resolves_children or self.sources[chosen].resolves_children:
                continue
            yield tuple(sorted((*(s for s in plan.source_ids if s != chosen), source.id)))

    def _opened(self, chosen: Iterable[Source]) -> list[Charge]:
        found: dict[str, Charge] = {}
        waiting = [charge_id for source in chosen for charge_id in source.charges]
        while waiting:
            charge = self.charges[waiting.pop()]
            if charge.id not in found and not charge.is_open:
                found[charge.id] = charge
                waiting.extend(charge.requires)
        return list(found.values())

    def _counted(self, lines: Iterable[AmountLine], classes: frozenset[CostClass]) -> int:
        return sum(self._amount(line) for line in lines if line.cost_class in classes)

    def _amount(self, line: AmountLine) -> int:
        return line.price if self.built.case.counts_price else line.cost

    def _of_source(self, source: Source) -> Rough:
        if source.id not in self._own:
            self._own[source.id] = self._read_source(source)
        return self._own[source.id]

    def _read_source(self, source: Source) -> Rough:
        facts = self.built.draft.facts[source.id]
        bought = self._counted(source.lines, _BOUGHT)
        packed = sum(self._packed(item_id, pieces) for item_id, pieces in source.purchases)
        parts: dict[Key, int] = {}
        along = {one.offer.id: self._along(one) for one in facts.along}
        if facts.offer_id is not None:
            parts["price", facts.offer_id] = bought + packed - sum(along.values())
        for offer_id, amount in along.items():
            parts["price", offer_id] = parts.get(("price", offer_id), 0) + amount
        if facts.donor_unit_id is not None and source.position_id == WHOLE:
            parts["donor", facts.donor_unit_id] = bought
        replaced = self._counted(source.lines, frozenset({CostClass.REPLACEMENT}))
        if replaced:
            parts["replacement", ""] = replaced
        failing = self._counted(source.lines, _FAILING)
        for key in self._chance_keys(source, facts):
            parts[key] = failing
        return Rough((source.id,), sum(map(self._amount, source.lines)) + packed, parts)

    def _along(self, along: Along) -> int:
        """What is bought along counts: its own line, or its share of a stock item."""
        if along.line is not None:
            return self._amount(along.line)
        return self._packed(f"item:{along.offer.id}", along.pieces)

    def _packed(self, item_id: str, pieces: int) -> int:
        item = self.items[item_id]
        first = item.tiers[0]
        amount = first.price if self.built.case.counts_price else first.cost
        return -(-amount * pieces // item.pack_quantity)

    def _of_charge(self, charge: Charge) -> Rough:
        kind, _, rest = charge.id.partition(":")
        parts: dict[Key, int] = {}
        if kind == "order":
            parts["freight", rest] = self._counted(charge.lines, frozenset({CostClass.FREIGHT}))
        elif kind == "donor":
            parts["donor", rest] = self._counted(charge.lines, frozenset({CostClass.DONOR}))
        elif kind == "kit":
            parts["price", rest] = self._counted(charge.lines, _BOUGHT)
        elif charge.id in self.built.draft.shims:
            for offer_id, line in self.built.draft.shims[charge.id].bought:
                parts["price", offer_id] = parts.get(("price", offer_id), 0) + self._amount(line)
        return Rough((), sum(map(self._amount, charge.lines)), parts)

    def _chance_keys(self, source: Source, facts: SourceFacts) -> Iterator[Key]:
        """Headings of experience and records of life that may stand behind a source."""
        snapshot = self.built.bench.snapshot
        part_kind = self._part_kind(source.position_id)
        for heading in _headings(facts):
            experience = experience_for(snapshot, heading, part_kind)
            if experience is not None:
                place = snapshot.settings.comeback_experience.index(experience)
                yield "chance", str(place)
        for place, record in enumerate(snapshot.settings.life_records):
            if record.part_kind == part_kind:
                yield "life", str(place)

    def _part_kind(self, position_id: str) -> str | None:
        if position_id == WHOLE:
            return UNIT_PART_KIND
        return self._part_kinds[position_id]

    @cached_property
    def _part_kinds(self) -> dict[str, str | None]:
        bench = self.built.bench
        return {planned.id: bench.part_kind(planned.position) for planned in bench.planned}


def _headings(facts: SourceFacts) -> tuple[ExperienceKind, ...]:
    if facts.kind is SourceKind.KEEP:
        own = () if facts.verdict is None else (kept_kind(facts.verdict),)
        return tuple(dict.fromkeys((*own, ExperienceKind.KEEP)))
    if facts.kind is SourceKind.KIT:
        return (ExperienceKind.NEW, ExperienceKind.GENERIC, ExperienceKind.INTERCHANGE)
    known = {kind.value for kind in ExperienceKind}
    return (ExperienceKind(facts.kind.value),) if facts.kind.value in known else ()
