"""Keeping what was in there, or having it reworked: the customer's own part."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from shared.assemblies.model import OperationKind, RenewalRule
from shared.condition.judgement import FindingJudgement, PositionJudgement
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.draft import Draft, SourceFacts, p50_hours, p90_minutes, spans
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    OWN_UNIT,
    failure_of,
    is_in_set,
    kinds_told,
    note_outlook,
    replacement,
    unit_age,
)
from shared.decision.building.risk import HEADING_WORDS, failure_lines, prospect
from shared.decision.building.taken import why_gone, why_left
from shared.decision.building.wear import with_wear
from shared.decision.planning.case import Source
from shared.decision.result import ReasonCode
from shared.decision.settings import Permission, Policy, SourceKind
from shared.life.model import ExperienceKind
from shared.sourcing.model import WarrantyCover


def add_keep(draft: Draft, planned: PlannedPosition) -> None:
    """Put back what was in there, where its verdict, the ruling and the policy allow it.

    Behind a closed group there are two ways: the part stays where it is, as long as nothing opens
    the group, or it is cleaned and refitted once something does.
    """
    bench, position = draft.bench, planned.position
    if bench.is_resolved(position):
        return
    judgement = bench.judgements[planned.id]
    subject = f"keep {planned.name}"
    gone = why_gone(bench, bench.unit, position)
    if gone is not None:
        draft.bar(subject, planned.id, gone, ReasonCode.TAKEN)
        return
    why_not = why_not_kept(draft, planned)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    group_id = position.access_group_id
    refit = bench.work_at(planned, OperationKind.REFIT)
    is_closed = group_id is not None and group_id not in bench.open_groups
    access = charges.access_charges(draft, group_id) if refit and is_closed else ()
    age = unit_age(draft)
    outlook = prospect(
        bench.snapshot,
        SourceKind.KEEP,
        bench.part_kind(position),
        age,
        judgement.verdict,
        judgement.probability,
    )
    worn = with_wear(bench, planned, outlook)
    outlook = worn.outlook
    note_outlook(draft, planned, SourceKind.KEEP, outlook)
    failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
    notes = (*_doubts(judgement), *worn.notes, *_measure_again(planned))
    refitted = Source(
        id=f"{planned.id}:keep",
        position_id=planned.id,
        kind=SourceKind.KEEP,
        lines=(
            *draft.pricing.labour(f"clean and refit: {planned.name}", p50_hours(refit)),
            *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
        ),
        charges=access,
        bench_minutes=p90_minutes(refit),
        is_keep=True,
        refit_only=judgement.verdict is Verdict.NONCONFORMING,
        matched_unit=OWN_UNIT if is_in_set(draft, planned) else None,
    )
    facts = SourceFacts(
        kind=SourceKind.KEEP,
        description="put back as found",
        disposition="keep",
        position_name=planned.name,
        piece=planned.piece,
        verdict=judgement.verdict,
        spec=outlook.spec,
        notes=notes,
    )
    draft.add(refitted, facts, spans(refit))
    if access:
        untouched = replace(
            refitted,
            id=f"{planned.id}:keep:untouched",
            lines=failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            charges=(),
            bench_minutes=0,
            only_while_closed=access[0],
        )
        draft.add(untouched, replace(facts, description="left where it is, unopened"))


def add_part_by_part(draft: Draft, planned: PlannedPosition) -> None:
    """Deal with what is inside a position singly; the position itself then stays.

    Where the position itself is inspected for something, it must be fit to stay.
    """
    if not draft.bench.is_resolved(planned.position):
        return
    left = why_left(draft.bench, draft.bench.unit, planned.position)
    if left is not None:
        draft.bar(
            f"keep {planned.name} and deal with what is inside it",
            planned.id,
            left,
            ReasonCode.TAKEN,
        )
        return
    verdict = None
    if draft.bench.has_characteristics(planned.position):
        verdict = draft.bench.verdict(planned)
        why_not = why_not_kept(draft, planned)
        if why_not is None and verdict is Verdict.NONCONFORMING:
            why_not = "nonconforming: what is inside it is not put right around it"
        if why_not is not None:
            draft.bar(f"keep {planned.name} and deal with what is inside it", planned.id, why_not)
            return
    refit = draft.bench.work_at(planned, OperationKind.REFIT)
    group_id = planned.position.access_group_id
    is_reached = group_id is None or group_id in draft.bench.open_groups
    draft.add(
        Source(
            id=f"{planned.id}:{SourceKind.PART_BY_PART}",
            position_id=planned.id,
            kind=SourceKind.PART_BY_PART,
            lines=draft.pricing.labour(
                f"clean and refit: {planned.name}", p50_hours(refit) if is_reached else Decimal(0)
            ),
            bench_minutes=p90_minutes(refit) if is_reached else 0,
            resolves_children=True,
        ),
        SourceFacts(
            kind=SourceKind.PART_BY_PART,
            description="part by part",
            disposition="keep",
            position_name=planned.name,
            verdict=verdict,
        ),
        spans(refit) if is_reached else (),
    )


def why_not_kept(draft: Draft, planned: PlannedPosition) -> str | None:
    """Why a position's own part may not be kept; None when it may."""
    bench, position = draft.bench, planned.position
    policy = bench.settings.policy
    verdict = bench.verdict(planned)
    if bench.is_due(position):
        return (
            "renewed always: its access group is open"
            if position.access_group_id
            else ("renewed always")
        )
    if planned.is_safety_critical:
        return _why_critical_not_kept(draft, planned)
    if verdict is Verdict.CONFORMING:
        return None
    if verdict is Verdict.NONCONFORMING:
        return _why_nonconforming_not_kept(draft, planned)
    if is_barred_unproved(policy, verdict):
        told = "; ".join(_still_open(bench.judgements[planned.id]))
        return f"{verdict}: the shop's policy bars keeping it" + (f" ({told})" if told else "")
    return None


def is_barred_unproved(policy: Policy, verdict: Verdict) -> bool:
    """Whether the policy bars a part that has run and whose verdict is open."""
    permission = (
        policy.keep_indeterminate if verdict is Verdict.INDETERMINATE else policy.keep_not_inspected
    )
    return permission is Permission.BARRED


def _why_critical_not_kept(draft: Draft, planned: PlannedPosition) -> str | None:
    allowed = draft.bench.settings.policy.safety_critical_sources
    verdict = draft.bench.verdict(planned)
    if SourceKind.KEEP not in allowed:
        return f"safety-critical; the shop's policy allows there only: {kinds_told(allowed)}"
    if verdict is Verdict.CONFORMING:
        return None
    told = "; ".join(_still_open(draft.bench.judgements[planned.id]))
    why = f"safety-critical and {verdict}: it is kept only when it conforms"
    return f"{why} ({told})" if told else why


def _why_nonconforming_not_kept(draft: Draft, planned: PlannedPosition) -> str | None:
    judgement = draft.bench.judgements[planned.id]
    bad = [f for f in judgement.findings if f.verdict is Verdict.NONCONFORMING]
    detail = "; ".join((*(f.detail for f in bad), *_between_parts(draft, planned, bad)))
    if draft.bench.settings.policy.refit_nonconforming is Permission.BARRED:
        return f"nonconforming: {detail}"
    outlook = prospect(
        draft.bench.snapshot,
        SourceKind.KEEP,
        draft.bench.part_kind(planned.position),
        None,
        Verdict.NONCONFORMING,
    )
    if outlook.spec is None:
        return (
            f"nonconforming: {detail}. The policy allows it at its risk, but no experience with "
            f"{HEADING_WORDS[ExperienceKind.KEEP_NONCONFORMING]} is on record to price it"
        )
    return None


def _between_parts(
    draft: Draft, planned: PlannedPosition, bad: Iterable[FindingJudgement]
) -> Iterator[str]:
    """What is found beyond its limits between this part and another that may be the worn one."""
    bench = draft.bench
    inside = {planned.position.id, *(p.id for p in bench.inside(planned.position))}
    for found in bad:
        one = bench.characteristics_by_id.get(found.characteristic_id)
        others = set() if one is None else bench.places_behind(one) - inside
        names = ", ".join(sorted(bench.positions[p].name for p in others if p in bench.positions))
        if one is not None and names:
            yield (
                f"{one.name} lies between it and {names}: whether renewing only that would put it "
                "right is not reckoned with"
            )


def _doubts(judgement: PositionJudgement) -> tuple[str, ...]:
    """What is open of a kept part, and what would settle it."""
    verdict = judgement.verdict
    if verdict is Verdict.NOT_INSPECTED:
        return ("not inspected: its condition is not known", *_still_open(judgement))
    if verdict is Verdict.INDETERMINATE:
        return ("indeterminate: the readings do not settle it", *_still_open(judgement))
    if verdict is Verdict.NONCONFORMING:
        return ("NONCONFORMING, refitted at its risk by the shop's policy",)
    return ()


def _still_open(judgement: PositionJudgement) -> tuple[str, ...]:
    """What is still to be inspected, and what would settle readings that leave it open."""
    missing = ", ".join(dict.fromkeys(judgement.not_inspected))
    return (
        *((f"still to be inspected: {missing}",) if missing else ()),
        *dict.fromkeys(judgement.settlings),
    )


def _measure_again(planned: PlannedPosition) -> tuple[str, ...]:
    if planned.position.renewal_rule is not RenewalRule.SELECT_FIT:
        return ()
    return ("chosen by measuring: measure again once what it sets is fitted",)


def is_crack(draft: Draft, characteristic_id: str) -> bool:
    """Whether a characteristic is looked at for cracks."""
    return any(
        c.id == characteristic_id and c.is_crack for c in draft.bench.snapshot.characteristics
    )
