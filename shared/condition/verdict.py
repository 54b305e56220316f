"""Verdicts: a finding against its characteristic, and what a position's findings amount to.

Worst counts: nonconforming, then indeterminate, then not-inspected, then conforming. What was not
inspected is said to be so, never assumed good.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from math import prod

from shared.assemblies.model import Characteristic
from shared.condition.attribute import judge_attribute
from shared.condition.case import first_size
from shared.condition.dimension import judge_dimension
from shared.condition.doubt import NO_GAUGES
from shared.condition.judgement import (
    VERDICTS_WORST_LAST,
    FindingJudgement,
    Judged,
    PositionJudgement,
)
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Finding, Gauge, Verdict, Zone
from shared.condition.standing import current_findings, standing_findings

__all__ = [
    "FindingJudgement",
    "PositionJudgement",
    "current_findings",
    "judge_finding",
    "judge_position",
    "standing_findings",
]


def judge_finding(
    finding: Finding,
    characteristic: Characteristic | None,
    rule: ConformityRule,
    probability: float,
    *,
    is_kept: bool = True,
    gauges: Mapping[str, Gauge] = NO_GAUGES,
) -> FindingJudgement:
    """Judge one finding by the shop's rule; ``probability`` is the acceptance probability.

    ``is_kept`` False: a new or reworked part, to be judged by the limits when new. A characteristic
    that is not on record (None), or a finding that says nothing, is indeterminate. ``gauges``: the
    shop's, by id. Raises InvalidInput for a reading of another kind than the limits.
    """
    if characteristic is None:
        judged = _nothing_to_judge("the characteristic is not on record")
    elif first_size(finding) is not None:
        judged = judge_dimension(
            finding, characteristic, rule, probability, is_kept=is_kept, gauges=gauges
        )
    elif finding.grade is not None:
        judged = judge_attribute(finding, characteristic)
    else:
        judged = _nothing_to_judge("neither a reading nor a grade was recorded")
    return FindingJudgement(
        finding.id,
        finding.characteristic_id,
        judged.verdict,
        judged.zone,
        judged.probability,
        judged.detail,
        judged.settling,
    )


def judge_position(
    position_id: str,
    characteristics: Sequence[Characteristic],
    findings: Sequence[Finding],
    rule: ConformityRule,
    probability: float,
    *,
    is_kept: bool = True,
    pieces: int = 1,
    gauges: Mapping[str, Gauge] = NO_GAUGES,
    inputs: Collection[str] = (),
) -> PositionJudgement:
    """Judge a position of one unit from its standing findings of today, history left aside.

    ``characteristics`` and ``findings`` may hold other positions' too: those are left out. The
    findings are of one unit (ValueError otherwise: a donor's reading says nothing of the customer's
    part). With several ``pieces`` each characteristic wants a finding for each piece; a grade
    without a piece number speaks for all of them, a reading without one for one of them. Measures
    that follow from others are among the findings (``derived.derived_findings``) or not inspected.
    ``inputs`` (``standing.only_inputs``) are judged by what follows from them, not by themselves.
    """
    if len({finding.unit_id for finding in findings}) > 1:
        raise ValueError("findings of several units cannot be judged as one")
    own = [item for item in characteristics if item.position_id == position_id]
    wanted = [item for item in own if item.id not in inputs]
    standing = [
        item
        for item in current_findings(findings)
        if item.position_id == position_id
        # What was seen of an input, and not measured, goes into no other measure.
        and (item.characteristic_id not in inputs or first_size(item) is None)
    ]
    on_record = {item.id: item for item in own}
    judgements = tuple(
        judge_finding(
            item,
            on_record.get(item.characteristic_id),
            rule,
            probability,
            is_kept=is_kept,
            gauges=gauges,
        )
        for item in standing
    )
    missing = tuple(name for item in wanted for name in _not_inspected(item, standing, pieces))
    return PositionJudgement(
        position_id,
        _worst_verdict(judgements, is_complete=not missing),
        _joint_probability(zip(standing, judgements, strict=True)),
        judgements,
        missing,
    )


def _nothing_to_judge(why: str) -> Judged:
    return Judged(Verdict.INDETERMINATE, Zone.NO_LIMIT, None, f"indeterminate, {why}")


def _not_inspected(
    characteristic: Characteristic, standing: Sequence[Finding], pieces: int
) -> list[str]:
    """Names of what has no finding: the characteristic, or its pieces one by one."""
    own = [item for item in standing if item.characteristic_id == characteristic.id]
    if not own:
        return [characteristic.name]
    if pieces == 1 or any(item.piece is None and item.grade is not None for item in own):
        return []
    numbered = {item.piece for item in own if item.piece is not None}
    open_pieces = [piece for piece in range(1, pieces + 1) if piece not in numbered]
    nameless = [item for item in own if item.piece is None]
    # A measure reckoned from readings of no piece in particular is of one of them, however often
    # it is told and whatever was read beside it.
    read = sum(not isinstance(item, DerivedFinding) for item in nameless)
    unnumbered = max(read, min(1, len(nameless)))
    return [f"{characteristic.name} (piece {piece})" for piece in open_pieces[unnumbered:]]


def _worst_verdict(judgements: Sequence[FindingJudgement], *, is_complete: bool) -> Verdict:
    verdicts = [item.verdict for item in judgements]
    if not verdicts or not is_complete:
        verdicts.append(Verdict.NOT_INSPECTED)
    return max(verdicts, key=VERDICTS_WORST_LAST.index)


def _joint_probability(judged: Iterable[tuple[Finding, FindingJudgement]]) -> float | None:
    """Product over characteristics and pieces of the worst finding's probability.

    None: none is known.
    """
    worst: dict[tuple[str, int | None], FindingJudgement] = {}
    for finding, item in judged:
        key = (item.characteristic_id, finding.piece)
        known = worst.get(key)
        if known is None or _badness(item) > _badness(known):
            worst[key] = item
    chances = [item.probability for item in worst.values() if item.probability is not None]
    return prod(chances) if chances else None


def _badness(judgement: FindingJudgement) -> tuple[int, float]:
    chance = 1.0 if judgement.probability is None else judgement.probability
    return VERDICTS_WORST_LAST.index(judgement.verdict), -chance
