"""What counts: findings that no later one supersedes, those of today, and what is judged at all."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from shared.assemblies.model import Characteristic, DerivationKind
from shared.condition.model import Finding


def standing_findings(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings that no other finding supersedes, in the order given."""
    superseded = {finding.supersedes_id for finding in findings}
    return tuple(finding for finding in findings if finding.id not in superseded)


def current_findings(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Standing findings without the history of wear, in the order given.

    Of the sizes of one characteristic and piece those count that were found at the greatest hours
    stated; what was found at fewer hours tells how it wore, not how it is. A size without hours
    always counts, and so does a grade: a crack does not heal, and one that was not seen again is
    superseded by whoever can tell why. Piece by piece, and unit by unit.
    """
    standing = standing_findings(findings)
    newest: dict[tuple[str, str, int | None], Decimal] = {}
    for finding in standing:
        if finding.unit_hours is not None and finding.grade is None:
            key = _of_what(finding)
            newest[key] = max(finding.unit_hours, newest.get(key, finding.unit_hours))
    return tuple(
        finding
        for finding in standing
        if finding.unit_hours is None
        or finding.grade is not None
        or finding.unit_hours >= newest[_of_what(finding)]
    )


def _of_what(finding: Finding) -> tuple[str, str, int | None]:
    return finding.unit_id, finding.characteristic_id, finding.piece


def only_inputs(characteristics: Sequence[Characteristic]) -> frozenset[str]:
    """Return the ids of what is measured only to work out another measure that has limits.

    Such a size has no limit of its own, and needs none: the sum that follows from it is judged.
    Only at its own position: a bore whose play is judged at the shaft is judged by nobody once the
    shaft is renewed. And only by sums: a bore that is round may be worn all around.
    """
    by_id = {one.id: one for one in characteristics}
    found: set[str] = set()
    for judged in characteristics:
        waiting, seen = [judged] if _is_judged(judged) else [], {judged.id}
        while waiting:
            for one in _terms_of(waiting.pop(), by_id):
                if one.id in seen or _is_judged(one):
                    continue
                seen.add(one.id)
                waiting.append(one)
                if one.position_id == judged.position_id:
                    found.add(one.id)
    return frozenset(found)


def _terms_of(one: Characteristic, by_id: Mapping[str, Characteristic]) -> list[Characteristic]:
    """Return what a sum is made of, as far as on record; what is no sum is made of nothing."""
    if one.derivation is None or one.derivation.kind is not DerivationKind.SUM:
        return []
    named = (by_id.get(term.characteristic_id) for term in one.derivation.terms)
    return [term for term in named if term is not None]


def _is_judged(one: Characteristic) -> bool:
    limits = (one.new_lower, one.new_upper, one.service_lower, one.service_upper)
    has_limit = any(limit is not None for limit in limits)
    return has_limit or one.worst_acceptable_grade is not None or one.is_crack
