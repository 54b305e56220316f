"""Newest numbers of which somebody has recorded that they do not fit: no longer sure."""

from collections.abc import Container, Iterable
from dataclasses import replace

from shared.evidence import EvidenceKind
from shared.interchange.conditions import holds
from shared.interchange.found import Holds, Place
from shared.interchange.model import ClaimSays, InterchangeClaim
from shared.interchange.supersession import Resolution


def with_denials(
    found: Resolution,
    place: Place,
    claims: Iterable[InterchangeClaim],
    accepted: Container[EvidenceKind] = tuple(EvidenceKind),
) -> Resolution:
    """Return newest numbers, with a question for every claim that a line of theirs does not fit.

    A claim counts that speaks of the part asked for, may hold at the place, and whose evidence is
    ``accepted``. What its maker says is left as it is: whether it goes in is another matter.
    """
    against: dict[str, list[str]] = {}
    for claim in claims:
        if claim.says is not ClaimSays.DOES_NOT_FIT or claim.part_id != place.part_id:
            continue
        outcome, question = holds(claim, place)
        if outcome is Holds.NO or claim.evidence_kind not in accepted:
            continue
        told = f"the claim '{claim.id}' says that it does not fit: {claim.evidence}"
        against.setdefault(claim.stand_in_part_id, []).append(
            told if question is None else f"{told} ({question})"
        )
    if not against:
        return found
    numbers = [
        replace(
            one,
            questions=(
                *one.questions,
                *(text for line in one.lines for text in against.get(line.part_id, ())),
            ),
        )
        for one in found.newest
    ]
    return replace(found, newest=tuple(sorted(numbers, key=lambda one: bool(one.questions))))
