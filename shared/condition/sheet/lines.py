"""One line of an inspection sheet: a characteristic, and what is known of it already."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    Position,
)
from shared.condition.case import first_size
from shared.condition.judgement import FindingJudgement
from shared.condition.limits import as_entered
from shared.condition.measured import DerivedFinding
from shared.condition.model import Finding, Verdict, Zone
from shared.condition.sheet.gauges import gauges_for
from shared.condition.sheet.model import FollowsFrom, FoundAlready, SheetLine, SheetRecords

_HOW_DERIVED = {
    DerivationKind.SUM: "worked out from the measures below, each times its factor",
    DerivationKind.OUT_OF_ROUND: "worked out from the readings of the measure below: greatest less"
    " least of one plane, in two directions at least",
    DerivationKind.OUT_OF_ROUND_OVERALL: "worked out from the readings of the measure below:"
    " greatest in one direction less least in another, whatever the plane",
    DerivationKind.TAPER: "worked out from the readings of the measure below: greatest less least"
    " of the planes, in two planes at least",
}


def line_of(
    characteristic: Characteristic,
    position: Position,
    records: SheetRecords,
    current: Sequence[Finding],
    judged: Sequence[FindingJudgement],
    names: Mapping[str, str],
) -> SheetLine:
    """Return the line of one characteristic.

    ``current``: the position's findings that count today, derived ones among them; ``judged``: what
    they amount to; ``names``: of all characteristics, by id.
    """
    derivation = characteristic.derivation
    own = {one.id: one for one in current if one.characteristic_id == characteristic.id}
    return SheetLine(
        characteristic_id=characteristic.id,
        name=characteristic.name,
        is_crack=characteristic.is_crack,
        how=characteristic.how,
        settling_method=characteristic.settling_method,
        unit=characteristic.unit,
        new_lower=characteristic.new_lower,
        new_upper=characteristic.new_upper,
        service_lower=characteristic.service_lower,
        service_upper=characteristic.service_upper,
        service_limit_is=characteristic.service_limit_is,
        limits_source=characteristic.limits_source,
        worst_acceptable_grade=characteristic.worst_acceptable_grade,
        minimum_readings=characteristic.minimum_readings,
        counted_by=characteristic.counted_by,
        derivation=_derivation_told(derivation),
        follows_from=tuple(
            FollowsFrom(
                term.characteristic_id,
                names.get(term.characteristic_id, term.characteristic_id),
                term.factor,
                term.piece,
            )
            for term in (derivation.terms if derivation else ())
        ),
        gauges=gauges_for(
            characteristic,
            records.gauges,
            float(records.acceptance_probability),
            records.today,
        ),
        found=tuple(
            FoundAlready(
                one.finding_id,
                own[one.finding_id].piece,
                own[one.finding_id].found_at,
                isinstance(own[one.finding_id], DerivedFinding),
                one.verdict,
                one.zone,
                one.detail,
                None if one.settling is None else one.settling.text,
            )
            for one in (*judged, *_only_read(own.values(), judged))
            if one.finding_id in own
        ),
        open_pieces=open_pieces(characteristic, position.quantity, tuple(own.values())),
    )


def _only_read(
    own: Iterable[Finding], judged: Sequence[FindingJudgement]
) -> Iterator[FindingJudgement]:
    """Findings that count in another measure and are not judged by themselves, as read."""
    told = {one.finding_id for one in judged}
    for one in own:
        if one.id not in told:
            size = as_entered(first_size(one)) or "read"
            detail = f"{size}: judged by what follows from it"
            yield FindingJudgement(
                one.id, one.characteristic_id, Verdict.INDETERMINATE, Zone.NO_LIMIT, None, detail
            )


def open_pieces(
    characteristic: Characteristic, pieces: int, own: Sequence[Finding]
) -> tuple[int | None, ...]:
    """Return the pieces of which nothing is found; None: the position as a whole.

    ``own``: the findings of the characteristic that count. A grade without a piece speaks for all
    pieces, a measure without one for one of them.
    """
    is_graded = characteristic.is_crack or characteristic.worst_acceptable_grade is not None
    if pieces == 1 or (is_graded and not own):
        return () if own else (None,)
    if any(one.piece is None and one.grade is not None for one in own):
        return ()
    numbered = {one.piece for one in own if one.piece is not None}
    unnumbered = sum(one.piece is None for one in own)
    wanting = [piece for piece in range(1, pieces + 1) if piece not in numbered]
    return tuple(wanting[unnumbered:])


def readings_of(finding: Finding) -> int:
    """Return how many readings a finding holds."""
    return len(finding.readings) or 1


def _derivation_told(derivation: Derivation | None) -> str | None:
    if derivation is None:
        return None
    told = _HOW_DERIVED[derivation.kind]
    if derivation.offset is None:
        return told
    return f"{told}, plus {derivation.offset.value:f} {derivation.offset.unit}"
