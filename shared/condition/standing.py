"""What counts: findings that no later one supersedes, those of today, and what is judged at all."""

from collections.abc import Sequence
from decimal import Decimal

from shared.assemblies.model import Characteristic
from shared.condition.model import Finding


def standing_findings(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings that no other finding supersedes, in the order given."""
    superseded = {finding.supersedes_id for finding in findings}
    return tuple(finding for finding in findings if finding.id not in superseded)


def current_findings(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Standing findings without the history of wear, in the order given.

    Of one characteristic and piece those count that were found at the greatest hours stated; what
    was found at fewer hours tells how it wore, not how it is. A finding without hours always
    counts. Piece by piece, and unit by unit.
    """
    standing = standing_findings(findings)
    newest: dict[tuple[str, str, int | None], Decimal] = {}
    for finding in standing:
        if finding.unit_hours is not None:
            key = _of_what(finding)
            newest[key] = max(finding.unit_hours, newest.get(key, finding.unit_hours))
    return tuple(
        finding
        for finding in standing
        if finding.unit_hours is None or finding.unit_hours >= newest[_of_what(finding)]
    )


def _of_what(finding: Finding) -> tuple[str, str, int | None]:
    return finding.unit_id, finding.characteristic_id, finding.piece


def only_inputs(characteristics: Sequence[Characteristic]) -> frozenset[str]:
    """Return the ids of what is measured only to work out another measure that has limits.

    Such a size has no limit of its own, and needs none: what follows from it is judged.
    """
    by_id = {one.id: one for one in characteristics}
    waiting = [one for one in characteristics if _is_judged(one)]
    found: set[str] = set()
    while waiting:
        derivation = waiting.pop().derivation
        for term in () if derivation is None else derivation.terms:
            one = by_id.get(term.characteristic_id)
            if one is not None and one.id not in found and not _is_judged(one):
                found.add(one.id)
                waiting.append(one)
    return frozenset(found)


def _is_judged(one: Characteristic) -> bool:
    limits = (one.new_lower, one.new_upper, one.service_lower, one.service_upper)
    has_limit = any(limit is not None for limit in limits)
    return has_limit or one.worst_acceptable_grade is not None or one.is_crack
