"""Buying for a position: single parts by any path, with what has to go in along."""

from shared.assemblies.model import RenewalRule
from shared.decision.building import charges
from shared.decision.building.buying import purchase_notes, why_not_sold
from shared.decision.building.core import NO_CORE, CoreOutcome, core_charge, core_outcome
from shared.decision.building.draft import (
    Along,
    Draft,
    SourceFacts,
    minutes,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.duty import with_duty
from shared.decision.building.goods import (
    Goods,
    choices_along,
    companion_lines,
    goods_along,
    goods_of,
    note_rejects,
    notes_along,
    residual_along,
    together,
    with_along,
)
from shared.decision.building.path_notes import path_notes
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    UNUSED,
    condition_kind,
    failure_of,
    fitting_operations,
    is_in_set,
    may_be_bought,
    note_outlook,
    reject_notes,
    residual,
)
from shared.decision.building.risk import failure_lines
from shared.decision.building.stand_ins import (
    adaptation,
    is_stand_in,
    path_kind,
    pieces_of,
    why_not_whole,
    worst_outlook,
)
from shared.decision.planning.case import AmountLine, Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate, Path
from shared.sourcing.model import GoodsCondition, Offer


def source_kind(candidate: Candidate, offer: Offer) -> SourceKind:
    """What kind of source an offer for a candidate part is: its condition first, then its path."""
    return condition_kind(offer, path_kind(candidate))


def add_goods(draft: Draft, planned: PlannedPosition, candidate: Candidate, offer: Offer) -> None:
    """One offer for one candidate part: a source for each choice of what goes in along."""
    subject = f"{offer.description} from {charges.draft_supplier(draft, offer).name}"
    if is_in_set(draft, planned):
        draft.bar(
            subject,
            planned.id,
            f"{planned.name} belongs to a matched set; a single part does not complete it",
            ReasonCode.SET_INCOMPLETE,
        )
        return
    if not may_be_bought(draft, planned, kinds_of(candidate, offer), offer, subject):
        return
    pieces = pieces_of(candidate, planned.quantity)
    if pieces is None:
        draft.bar(subject, planned.id, why_not_whole(candidate, planned.quantity))
        return
    why_not = _why_not_reckoned(offer, planned.quantity, pieces)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    needed = companion_lines(candidate.companions, planned.quantity)
    if any(line.part_id == candidate.part.id for line in needed):
        draft.bar(subject, planned.id, "it is recorded as going in with itself: not reckoned")
        return
    for along in choices_along(draft, planned, needed, subject, offer):
        _add_choice(draft, planned, candidate, offer, pieces, along)


def _why_not_reckoned(offer: Offer, called_for: int, pieces: int) -> str | None:
    """Why so many pieces of an offer are no source; None when they can be had and counted."""
    if offer.core is not None and pieces != called_for:
        return (
            f"it has a core deposit for each of {pieces} pieces, and {called_for} come out: what "
            "is credited cannot be told"
        )
    return why_not_sold(offer, pieces)


def _add_choice(
    draft: Draft,
    planned: PlannedPosition,
    candidate: Candidate,
    offer: Offer,
    pieces: int,
    along: tuple[Along, ...],
) -> None:
    part = candidate.part
    label = f"{pieces} x {part.maker} {part.number} ({planned.name})"
    goods = goods_of(draft, part, offer, pieces, label)
    source = add_bought(
        draft,
        planned,
        candidate,
        offer,
        source_kind(candidate, offer),
        goods=goods,
        matched_unit=None,
        core=core_outcome(draft, offer, pieces, planned),
        along=along,
    )
    if offer.reject_probability > 0:
        draft.doubtful.append((source, offer.id, pieces))


def kinds_of(candidate: Candidate, offer: Offer) -> tuple[SourceKind, ...]:
    """All that an offer for a candidate part is: by its condition, and by what it stands in for.

    Old stock of another number is both; whoever bars one of the two does not want it.
    """
    kind = source_kind(candidate, offer)
    if not is_stand_in(candidate):
        return (kind,)
    return tuple(dict.fromkeys((kind, path_kind(candidate))))


def add_bought(
    draft: Draft,
    planned: PlannedPosition,
    candidate: Candidate,
    offer: Offer,
    kind: SourceKind,
    *,
    goods: Goods,
    matched_unit: str | None,
    core: CoreOutcome = NO_CORE,
    along: tuple[Along, ...] = (),
) -> str:
    """Add a source of bought goods with what is bought along; returns its id."""
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    outlook = worst_outlook(draft, kinds_of(candidate, offer), candidate.part.kind)
    is_unused = (offer.condition or GoodsCondition.NEW) in UNUSED
    if is_unused:
        outlook = with_duty(bench.snapshot, planned, outlook)
    note_outlook(draft, planned, kind, outlook)
    fitting = fitting_operations(draft, planned)
    adapting, adapting_work = adaptation(draft, candidate, planned.quantity, planned.name)
    more, along = goods_along(draft, planned, along)
    taken = together((goods, more)) if along else goods
    source_id = with_along(f"{planned.id}:{kind}:{offer.id}:{candidate.part.id}", along)
    draft.add(
        Source(
            id=source_id,
            position_id=planned.id,
            kind=kind,
            lines=(
                *taken.lines,
                *core.lines,
                *adapting,
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *_worth_left(planned, candidate, offer, kind),
                *residual_along(along),
                *failure_lines(
                    bench.snapshot,
                    planned.name,
                    outlook.spec,
                    failure_of(draft, planned, taken.again, offer.warranty_cover),
                ),
            ),
            charges=(
                *taken.deliveries,
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
            ),
            bench_minutes=p90_minutes(fitting) + sum(minutes(p90) for _, p90 in adapting_work),
            fits_another_part=True,
            is_unused=is_unused,
            matched_unit=matched_unit,
            core_charge=core_charge(draft) if core.credit else None,
            core_credit_price=core.credit,
            core_credit_cost=core.credit,
            purchases=taken.purchases,
            goods_values=taken.order_values,
        ),
        SourceFacts(
            kind=kind,
            description=offer.description,
            disposition="renew",
            position_name=planned.name,
            piece=planned.piece,
            supplier_name=supplier.name,
            offer_id=offer.id,
            verdict=bench.verdict(planned),
            spec=outlook.spec,
            notes=(
                *_bought_notes(draft, planned, candidate, offer),
                *notes_along(draft, planned, along),
                *core.notes,
            ),
            is_stand_in=is_stand_in(candidate),
            candidate=candidate,
            along=along,
        ),
        (*spans(fitting), *adapting_work),
    )
    note_rejects(draft, source_id, along)
    return source_id


def _worth_left(
    planned: PlannedPosition, candidate: Candidate, offer: Offer, kind: SourceKind
) -> tuple[AmountLine, ...]:
    pieces = pieces_of(candidate, planned.quantity)
    if kind is SourceKind.KIT or pieces is None:
        return ()
    return residual(offer, pieces, planned.name)


def _bought_notes(
    draft: Draft, planned: PlannedPosition, candidate: Candidate, offer: Offer
) -> tuple[str, ...]:
    told = []
    if planned.position.renewal_rule is RenewalRule.SELECT_FIT:
        told.append("the size is known only after measuring: have several at hand, measure again")
    told += path_notes(draft.bench, candidate, planned.position.name)
    wanted = draft.bench.part_kind(planned.position)
    if candidate.path is Path.GENERIC and wanted != candidate.part.kind:
        told.append(
            f"recorded as '{candidate.part.kind}', the maker's part as '{wanted}': make sure "
            "that the designation is of one and the same standard"
        )
    pieces = pieces_of(candidate, planned.quantity)
    if offer.part_id == candidate.part.id and pieces is not None:
        told += purchase_notes(offer, pieces)
    return (*told, *reject_notes(offer))
