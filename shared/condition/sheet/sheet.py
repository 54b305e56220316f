"""The inspection sheet of one unit, put together."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import cached_property
from typing import Final

from shared.assemblies.model import (
    AccessGroup,
    Characteristic,
    LabourOperation,
    OperationKind,
    Position,
    RenewalRule,
    SetKind,
)
from shared.condition.derived import derived_findings, why_not_derived
from shared.condition.model import Finding
from shared.condition.sheet.lines import line_of
from shared.condition.sheet.missing import missing_from
from shared.condition.sheet.model import (
    InspectionSheet,
    SheetPosition,
    SheetRecords,
    SheetSet,
    SheetStep,
    ToolCalledFor,
    Treatment,
)
from shared.condition.sheet.order import Opening, order_of_dismantling
from shared.condition.sheet.shims import shims_at
from shared.condition.sheet.treatment import treatment_of
from shared.condition.shim_place import ShimPlace
from shared.condition.standing import current_findings, only_inputs, standing_findings
from shared.condition.verdict import judge_position

GENERAL: Final = (
    "Local codes and licensed practice come first: what they forbid, or keep for others, is not"
    " done by this sheet.",
    "Wash and dry a part before it is measured or looked at for cracks: nothing read on dirt counts"
    " as good.",
    "Sizes are those at 20 °C: let part and gauge lie side by side until they are as warm as each"
    " other, and record the part's temperature where it is another.",
    "Shims, selected parts and matched sets stay with this unit: mark place and side as they come"
    " out.",
)
"""For every sheet. 20 °C is the reference temperature of ISO 1 (from memory); the others are common
practice, no source."""


def inspection_sheet(records: SheetRecords) -> InspectionSheet:
    """Return what is looked at and measured on a unit, in the order of dismantling.

    Hours are sums of what is on record; that of the P90 is on the safe side. Raises InvalidInput
    for findings of another kind of quantity than their limits.
    """
    maker = _Maker(records)
    steps = tuple(maker.step(one) for one in maker.openings)
    return InspectionSheet(
        unit_id=records.unit.id,
        assembly_id=records.assembly.id,
        today=records.today,
        rule=records.rule,
        acceptance_probability=records.acceptance_probability,
        general=GENERAL,
        cautions=records.assembly.cautions,
        steps=steps,
        p50_hours=_total(_all_hours(steps, "p50_hours")),
        p90_hours=_total(_all_hours(steps, "p90_hours")),
        missing=missing_from(records, steps, maker.current, maker.why_not_derived, maker.inputs),
    )


def _total(hours: Iterable[Decimal]) -> Decimal:
    return sum(hours, Decimal(0))


def _all_hours(steps: Sequence[SheetStep], name: str) -> list[Decimal]:
    return [getattr(one, name) for step in steps for one in (step, *step.positions)]


class _Maker:
    """The records of one sheet, by what they belong to."""

    def __init__(self, records: SheetRecords) -> None:
        self.records = records
        self.positions = {one.id: one for one in records.positions}
        self.names = {one.id: one.name for one in records.characteristics}
        self.parents = frozenset(one.parent_id for one in records.positions)
        self.gauges = {one.id: one for one in records.gauges}
        self.openings = order_of_dismantling(records.positions, records.access_groups)

    @cached_property
    def current(self) -> tuple[Finding, ...]:
        """Findings of the unit that count today, and what follows from them."""
        records = self.records
        standing = standing_findings(records.findings)
        derived = derived_findings(records.characteristics, standing, self.gauges)
        return (*current_findings(standing), *derived)

    @cached_property
    def inputs(self) -> frozenset[str]:
        """What is measured only for a measure that follows from it."""
        return only_inputs(self.records.characteristics)

    @cached_property
    def why_not_derived(self) -> Mapping[str, str]:
        """What measures that follow from others wait for, by characteristic."""
        records = self.records
        standing = standing_findings(records.findings)
        return why_not_derived(records.characteristics, standing, self.gauges)

    @cached_property
    def _current_at(self) -> Mapping[str, Sequence[Finding]]:
        found: dict[str, list[Finding]] = {}
        for one in self.current:
            found.setdefault(one.position_id, []).append(one)
        return found

    @cached_property
    def open_group_ids(self) -> frozenset[str]:
        """Groups that stand open; an inner one cannot be open in a closed one."""
        outer = {one.id: one.outer_group_id for one in self.records.access_groups}
        found: set[str] = set()
        for group_id in self.records.opened_group_ids:
            above: str | None = group_id
            while above is not None and above in outer and above not in found:
                found.add(above)
                above = outer[above]
        return frozenset(found)

    def step(self, opening: Opening) -> SheetStep:
        """One opening with its positions."""
        positions = tuple(self.position(one) for one in opening.positions)
        group = opening.group
        if group is None:
            none = Decimal(0)
            return SheetStep(None, "From outside", None, True, none, none, (), positions)
        is_open = group.id in self.open_group_ids
        work = () if is_open else self._operations(OperationKind.OPEN, group=group)
        return SheetStep(
            access_group_id=group.id,
            name=group.name,
            outer_group_id=group.outer_group_id,
            is_open=is_open,
            p50_hours=_total(one.p50_hours for one in work),
            p90_hours=_total(one.p90_hours for one in work),
            tools=self._tools(work, None),
            positions=positions,
        )

    def position(self, position: Position) -> SheetPosition:
        """One position with its lines."""
        treatment, told = treatment_of(position, self.positions, self.parents)
        is_reached = treatment is not Treatment.NEVER_REACHED
        work = self._operations(OperationKind.INSPECT, position=position) if is_reached else ()
        own = self._characteristics.get(position.id, ())
        found = self._current_at.get(position.id, ())
        judged = judge_position(
            position.id,
            own,
            found,
            self.records.rule,
            float(self.records.acceptance_probability),
            pieces=position.quantity,
            gauges=self.gauges,
            inputs=self.inputs,
        )
        due = self._due(position) if is_reached else None
        ruled = position.serviceability
        return SheetPosition(
            position_id=position.id,
            name=position.name,
            reference=position.reference,
            parent_id=position.parent_id,
            access_group_id=position.access_group_id,
            part_id=position.part_id,
            quantity=position.quantity,
            is_safety_critical=position.is_safety_critical,
            ruling=ruled.ruling,
            ruling_reason=ruled.reason,
            treatment=treatment,
            treatment_told=told,
            is_due=due is not None,
            due=due,
            select_fit=self._select_fit(position),
            verdict=judged.verdict if own or judged.findings else None,
            matched_sets=self._matched(position),
            lines=tuple(
                line_of(one, position, self.records, found, judged.findings, self.names)
                for one in own
            ),
            shims=tuple(
                shims_at(one, self.records, self.names) for one in self._shim_places(position)
            ),
            cautions=position.cautions,
            p50_hours=_total(one.p50_hours for one in work),
            p90_hours=_total(one.p90_hours for one in work),
            tools=self._tools(work, position.id) if is_reached else (),
        )

    @cached_property
    def _characteristics(self) -> Mapping[str, tuple[Characteristic, ...]]:
        found: dict[str, list[Characteristic]] = {}
        for one in sorted(self.records.characteristics, key=lambda one: one.id):
            found.setdefault(one.position_id, []).append(one)
        # What others follow from is measured first.
        return {
            position_id: tuple(sorted(some, key=lambda one: one.derivation is not None))
            for position_id, some in found.items()
        }

    def _due(self, position: Position) -> str | None:
        if position.renewal_rule is not RenewalRule.ALWAYS:
            return None
        group = self._groups.get(position.access_group_id or "")
        if group is None:
            return "renewed whatever is found: nothing has to be opened for it"
        return f"renewed whatever is found, as soon as '{group.name}' is opened"

    @cached_property
    def _groups(self) -> Mapping[str, AccessGroup]:
        return {one.id: one for one in self.records.access_groups}

    def _select_fit(self, position: Position) -> str | None:
        if position.renewal_rule is not RenewalRule.SELECT_FIT:
            return None
        return (
            "chosen to fit this unit: record what is found in place, keep it with this unit; it is"
            " never taken from another"
        )

    def _matched(self, position: Position) -> tuple[SheetSet, ...]:
        found = []
        for one in sorted(self.records.position_sets, key=lambda one: one.id):
            others = tuple(other for other in one.position_ids if other != position.id)
            if one.kind is SetKind.MATCHED and others and position.id in one.position_ids:
                names = [self.positions[other].name for other in others if other in self.positions]
                advice = (
                    f"keep together with {', '.join(names)}: one that is not good condemns the set"
                )
                found.append(SheetSet(one.id, one.name, others, advice))
        return tuple(found)

    def _shim_places(self, position: Position) -> list[ShimPlace]:
        places = [one for one in self.records.shim_places if one.position_id == position.id]
        return sorted(places, key=lambda one: one.id)

    def _operations(
        self,
        kind: OperationKind,
        *,
        position: Position | None = None,
        group: AccessGroup | None = None,
    ) -> Sequence[LabourOperation]:
        at = position.id if position else group.id if group else None
        return self._operations_at.get((kind, at), ())

    @cached_property
    def _operations_at(
        self,
    ) -> Mapping[tuple[OperationKind, str | None], Sequence[LabourOperation]]:
        found: dict[tuple[OperationKind, str | None], list[LabourOperation]] = {}
        for one in sorted(self.records.operations, key=lambda one: one.id):
            at = (one.kind, one.position_id or one.access_group_id)
            found.setdefault(at, []).append(one)
        return found

    def _tools(
        self, work: Sequence[LabourOperation], position_id: str | None
    ) -> tuple[ToolCalledFor, ...]:
        at_work = {one.id for one in work}
        return tuple(
            tool
            for tool in sorted(self.records.tools, key=lambda tool: tool.id)
            if (position_id is not None and tool.position_id == position_id)
            or at_work.intersection(tool.labour_operation_ids)
        )
