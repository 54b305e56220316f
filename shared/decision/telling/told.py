"""What every answer tells besides its plans: verdicts and cautions."""

from shared.condition.verdict import PositionJudgement
from shared.decision.building.build import Built
from shared.decision.building.planned import PlannedPosition
from shared.decision.result import FindingVerdict, PositionVerdict
from shared.decision.telling.figures import chance_number
from shared.evidence import Caution, CautionKind

TELL_THE_CUSTOMER = Caution(
    CautionKind.LEGAL,
    "Tell the customer which parts are used, interchanged or kept without proof, and offer "
    "the old parts back, except cores and warranty returns.",
)
"""For the shop; what the customer reads says so in each plan's own notes."""
_ALWAYS_TOLD = (
    Caution(
        CautionKind.LEGAL,
        "Local codes and licensed practice come first; this answer replaces neither.",
    ),
    TELL_THE_CUSTOMER,
)


def position_verdict(built: Built, planned: PlannedPosition) -> PositionVerdict:
    """What a position's findings amount to."""
    judged: PositionJudgement = built.bench.judgements[planned.id]
    return PositionVerdict(
        position_id=planned.id,
        name=planned.name,
        verdict=judged.verdict,
        probability=None if judged.probability is None else chance_number(judged.probability),
        findings=tuple(
            FindingVerdict(
                finding_id=one.finding_id,
                characteristic_id=one.characteristic_id,
                verdict=one.verdict,
                zone=one.zone,
                probability=None if one.probability is None else chance_number(one.probability),
                detail=one.detail,
            )
            for one in judged.findings
        ),
        not_inspected=judged.not_inspected,
    )


def cautions(built: Built) -> tuple[Caution, ...]:
    """The assembly's, its positions' and the general cautions, each once."""
    own = built.bench.snapshot.assembly.cautions
    inside = tuple(c for p in built.bench.snapshot.positions for c in p.cautions)
    return tuple(dict.fromkeys((*own, *inside, *_ALWAYS_TOLD)))
