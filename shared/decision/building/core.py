"""The deposit on an exchange item, and what of it comes back: when, for which core, or why nothing.

A core is refused for what is on record of it, or comes too late, or is not worth its freight; then
nothing is credited. Otherwise chance of acceptance x refund - return freight is expected back. All
amounts are integer minor units. Source: planning method of this project.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from shared.assemblies.model import OperationKind
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Unit, Verdict
from shared.decision.building import charges
from shared.decision.building.draft import Draft, p90_minutes
from shared.decision.building.kept import is_crack
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.taken import why_gone, why_incomplete
from shared.decision.planning.case import CHANCE_ONE, AmountLine, CostClass
from shared.decision.telling.figures import percent_down
from shared.money import Money, times
from shared.sourcing.calendar import working_days
from shared.sourcing.model import CoreFault, CoreTerms, Offer

LIKELY = CHANCE_ONE // 10
"""A delivery is likely from the first day on which it is there with this chance."""


@dataclass(frozen=True, slots=True)
class CoreOutcome:
    """What an exchange item's core does to a plan: amounts, and what a person is told.

    ``credit``: what is expected back, and would be lost with the core; 0: nothing.
    """

    lines: tuple[AmountLine, ...] = ()
    credit: int = 0
    notes: tuple[str, ...] = ()


NO_CORE = CoreOutcome()


def core_outcome(
    draft: Draft, offer: Offer, quantity: int, planned: PlannedPosition | None
) -> CoreOutcome:
    """Deposit, expected credit and notes for an offer at a position, or (None) for the whole.

    What goes back is out of the unit that the job names, else out of the customer's own. The
    offer's delivery must be among the draft's charges.
    """
    core = offer.core
    if core is None:
        return NO_CORE
    name = planned.name if planned else "whole unit"
    deposit = core.deposit.minor * quantity
    paid = AmountLine(CostClass.CORE_DEPOSIT, f"core deposit, {name}", deposit, deposit)
    refund, freight = _expected(core, quantity), _return_freight(core)
    why_not = _why_refused(draft, core, planned) or _why_late(draft, offer, core, planned)
    if why_not is None and refund <= freight:
        why_not = (
            f"it is not worth sending back: {_told(draft, refund)} expected, "
            f"{_told(draft, freight)} to send it, so it stays here"
        )
    if why_not is not None:
        lost = f"no core is credited, the deposit of {_told(draft, deposit)} is lost: {why_not}"
        return CoreOutcome((paid,), 0, (lost,))
    credit = refund - freight
    notes = (*_time_notes(draft, offer, core, planned), *_doubts(draft, core, planned))
    return CoreOutcome((paid, _credit_line(name, credit)), credit, notes)


def kit_core(draft: Draft, offer: Offer, name: str, pieces: int) -> tuple[AmountLine, ...]:
    """Deposit on a kit and expected credit; none where the supplier sets terms to the core.

    What goes back for a kit is not on record: whether it keeps to such terms cannot be told.
    """
    core = offer.core
    if core is None:
        return ()
    deposit = core.deposit.minor * pieces
    paid = AmountLine(CostClass.CORE_DEPOSIT, f"core deposit, {name}", deposit, deposit)
    if core.refused_when or core.return_within_days is not None:
        draft.assume(
            f"Core deposit on '{name}': what goes back for a kit is not on record, so whether it "
            "keeps to the supplier's terms cannot be told: nothing is credited."
        )
        return (paid,)
    credit = _expected(core, pieces) - _return_freight(core)
    return (paid, _credit_line(name, credit)) if credit > 0 else (paid,)


def _expected(core: CoreTerms, quantity: int) -> int:
    return times((core.refund or core.deposit).minor * quantity, core.acceptance_probability)


def _return_freight(core: CoreTerms) -> int:
    return core.return_freight.minor if core.return_freight else 0


def _credit_line(name: str, credit: int) -> AmountLine:
    label = f"core credit expected, {name}, less return freight"
    return AmountLine(CostClass.CORE_CREDIT, label, -credit, -credit, is_billed=False)


def core_charge(draft: Draft) -> str:
    """Charge that, once opened, uses up the unit which would go back as core."""
    return f"donor:{draft.bench.job.core_unit_id or draft.bench.unit.id}"


def core_unit(draft: Draft) -> Unit:
    """The unit that the core comes from."""
    return draft.bench.units[draft.bench.job.core_unit_id or draft.bench.unit.id]


def _told(draft: Draft, minor: int) -> str:
    money = Money.of_minor(minor, draft.bench.settings.currency)
    return f"{money.amount} {money.currency}"


# --- what is wrong with it ----------------------------------------------------------------------


def _why_refused(draft: Draft, core: CoreTerms, planned: PlannedPosition | None) -> str | None:
    """Why the supplier credits nothing for this core; None when nothing on record says so."""
    unit = core_unit(draft)
    if planned is not None and planned.position.id in unit.taken_position_ids:
        return "there is none to send back: it was taken out already"
    if CoreFault.CRACKED in core.refused_when:
        cracks = cracks_of_core(draft, planned)
        if cracks:
            return f"it is cracked ({'; '.join(cracks)}), and the supplier takes no cracked core"
    if CoreFault.INCOMPLETE in core.refused_when:
        missing = _missing(draft, planned)
        if missing is not None:
            return f"it is not complete ({missing}), and the supplier takes no incomplete core"
    return None


def _missing(draft: Draft, planned: PlannedPosition | None) -> str | None:
    unit = core_unit(draft)
    if planned is None:
        return why_incomplete(draft.bench, unit)
    return why_gone(draft.bench, unit, planned.position)


def cracks_of_core(draft: Draft, planned: PlannedPosition | None) -> tuple[str, ...]:
    """Cracks found on what would go back, each once, in words."""
    return tuple(
        dict.fromkeys(
            finding.detail
            for judgement in _judgements(draft, planned)
            for finding in judgement.findings
            if finding.verdict is Verdict.NONCONFORMING
            and is_crack(draft, finding.characteristic_id)
        )
    )


def _judgements(draft: Draft, planned: PlannedPosition | None) -> Iterator[PositionJudgement]:
    bench, unit = draft.bench, core_unit(draft)
    if planned is not None and planned.piece is None:
        yield bench.judge_whole(planned.position, unit.id)
    elif planned is not None:
        yield bench.judge(planned.position, unit.id, planned.piece)
    elif unit.id == bench.unit.id:
        yield from bench.judgements.values()
    else:
        for position in sorted(bench.snapshot.positions, key=lambda p: p.id):
            yield bench.judge(position, unit.id)


def _doubts(draft: Draft, core: CoreTerms, planned: PlannedPosition | None) -> Iterator[str]:
    """What speaks against the core though the supplier's terms do not refuse it."""
    missing = _missing(draft, planned)
    if missing is not None:
        yield f"the core is not complete, {missing}: ask whether it is accepted at all"
    cracks = cracks_of_core(draft, planned)
    if cracks:
        chance = percent_down(core.acceptance_probability)
        yield (
            f"the core is cracked ({'; '.join(cracks)}): ask whether it is accepted at all; the "
            f"credit counted takes it as accepted with {chance}"
        )


# --- when it can go back ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Return:
    delivered_on: date
    out_on: date

    @property
    def days(self) -> int:
        """Calendar days from the delivery until the core can be sent."""
        return max(0, (self.out_on - self.delivered_on).days)


def _return(draft: Draft, offer: Offer, planned: PlannedPosition | None) -> _Return:
    """Earliest likely delivery, and the day on which the core can then be sent."""
    bench = draft.bench
    delivery = draft.charges[f"delivery:{offer.id}"]
    table = draft.lead_tables[delivery.lead_table_id or ""].chance_by_day
    likely = next((day for day, chance in enumerate(table) if chance >= LIKELY), len(table) - 1)
    delivered_on = draft.days[likely]
    out_on = delivered_on
    if core_unit(draft).id == bench.unit.id:
        out_on = working_days(bench.settings.calendar).add(
            delivered_on, charges.bench_days(draft, _minutes_until_out(draft, planned))
        )
    if bench.job.core_back_on is not None:
        out_on = max(out_on, bench.job.core_back_on)
    return _Return(delivered_on, out_on)


def _minutes_until_out(draft: Draft, planned: PlannedPosition | None) -> int:
    """Bench minutes before the core is out: opening what is closed, and fitting the other one."""
    bench = draft.bench
    if planned is None:
        return p90_minutes(bench.operations(OperationKind.RENEW))
    opening = [
        operation
        for group in bench.chain(planned.position.access_group_id)
        if group.id not in bench.open_groups
        for operation in bench.operations(OperationKind.OPEN, group_id=group.id)
    ]
    return p90_minutes((*opening, *bench.work_at(planned, OperationKind.RENEW)))


def _why_late(
    draft: Draft, offer: Offer, core: CoreTerms, planned: PlannedPosition | None
) -> str | None:
    if core.return_within_days is None:
        return None
    back = _return(draft, offer, planned)
    if back.days <= core.return_within_days:
        return None
    return (
        f"it would be too late: it cannot go back before {back.out_on}, {_days(back.days)} after "
        f"the earliest likely delivery on {back.delivered_on}; the supplier takes it for "
        f"{_days(core.return_within_days)}"
    )


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _time_notes(
    draft: Draft, offer: Offer, core: CoreTerms, planned: PlannedPosition | None
) -> Iterator[str]:
    if core.return_within_days is not None:
        back = _return(draft, offer, planned)
        yield (
            f"the core has to be back within {_days(core.return_within_days)}; it can be sent "
            f"{_days(back.days)} after the earliest likely delivery, its own way not counted"
        )
    if core.refund_within_days is not None:
        yield (
            f"the refund comes within {_days(core.refund_within_days)} after that: until then "
            "the cash is out"
        )
