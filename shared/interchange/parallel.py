"""Claims for one step that are at odds: one is taken, what the others say is told."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import islice
from typing import Final

from shared.interchange.conditions import pieces_of
from shared.interchange.model import FitmentCount, InterchangeClaim

_MOST_TOLD: Final = 3

_Asks = tuple[Fraction, frozenset[tuple[str, int]], bool]
"""Pieces for one piece, what goes in along, whether it takes rework."""


def said_otherwise(claims: Iterable[InterchangeClaim]) -> dict[str, tuple[str, ...]]:
    """By id of a claim, what others for the same two parts ask for and it does not, in words.

    Pieces, what goes in along, rework. A claim that no other is at odds with is not there.
    """
    by_step: dict[tuple[str, str], dict[_Asks, list[InterchangeClaim]]] = defaultdict(dict)
    for claim in claims:
        step = by_step[claim.part_id, claim.stand_in_part_id]
        step.setdefault(_asks(claim), []).append(claim)
    return {
        claim.id: tuple(islice(_others(asks, groups), _MOST_TOLD))
        for groups in by_step.values()
        if len(groups) > 1
        for asks, alike in groups.items()
        for claim in alike
    }


def went_wrong(tried: Iterable[tuple[str, FitmentCount | None]]) -> dict[str, dict[str, str]]:
    """By part and claim, in words, where fitments that tried it went wrong more than they served.

    The same part by another claim is no other part.
    """
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for part_id, count in tried:
        if count is not None and count.against > count.served:
            found[part_id][count.claim_id] = (
                f"fitted here by another claim, '{count.claim_id}', it went wrong more often than "
                f"it served: {count.against} against {count.served}"
            )
    return found


def _asks(claim: InterchangeClaim) -> _Asks:
    has_rework = bool(claim.rework_p90_hours or claim.rework_cost or claim.rework_note)
    ratio = Fraction(claim.stand_in_quantity, claim.part_quantity)
    return ratio, frozenset(pieces_of(claim.companion_lines).items()), has_rework


def _others(asks: _Asks, groups: dict[_Asks, list[InterchangeClaim]]) -> Iterator[str]:
    for other, (first, *_) in groups.items():
        if other == asks:
            continue
        ratio, companions, has_rework = other
        odds = []
        if ratio != asks[0]:
            odds.append(f"{ratio} for one piece in place of {asks[0]}")
        if companions != asks[1]:
            odds.append("other parts along with it" if companions else "nothing along with it")
        if has_rework != asks[2]:
            odds.append("rework" if has_rework else "no rework")
        yield (
            f"The claim '{first.id}' ({first.evidence_kind}) has it otherwise: {', '.join(odds)}. "
            "Look at both before fitting."
        )
