"""A candidate part at a position: what kind of goods it is there, how many, what it takes to fit.

Amounts are integer minor units. Source: planning method of this project.
"""

from collections.abc import Iterable
from decimal import Decimal

from shared.decision.building.draft import Draft, Spans
from shared.decision.building.risk import Prospect, prospect
from shared.decision.planning.case import AmountLine
from shared.decision.settings import SourceKind
from shared.evidence import EvidenceKind
from shared.interchange.candidates import Candidate, Path

_BY_PATH = {
    Path.ITSELF: SourceKind.NEW,
    Path.SUPERSESSION: SourceKind.NEW,
    Path.GENERIC: SourceKind.GENERIC,
    Path.INTERCHANGE: SourceKind.INTERCHANGE,
}
_BY_THE_MAKER = frozenset({EvidenceKind.MAKER_BULLETIN, EvidenceKind.PUBLISHED_CROSS_REFERENCE})
"""Evidence on which a later number is the maker's own word."""


def path_kind(candidate: Candidate) -> SourceKind:
    """What a candidate is by its path; the maker's own later number is the maker's part.

    A later number that stands on hearsay or on a trial is an interchange: nobody has read that the
    maker says so.
    """
    if candidate.path is Path.SUPERSESSION and not all(
        step.evidence_kind in _BY_THE_MAKER for step in candidate.steps
    ):
        return SourceKind.INTERCHANGE
    return _BY_PATH[candidate.path]


def is_stand_in(candidate: Candidate) -> bool:
    """Whether a candidate is another part than the one that the maker calls for by now."""
    return path_kind(candidate) is not SourceKind.NEW


def kinds_taken(candidates: Iterable[Candidate]) -> tuple[SourceKind, ...]:
    """All that parts out of donors or from the shelf are: salvaged, and what they stand in for."""
    others = (path_kind(candidate) for candidate in candidates if is_stand_in(candidate))
    return tuple(dict.fromkeys((SourceKind.SALVAGED, *others)))


def pieces_of(candidate: Candidate, pieces: int) -> int | None:
    """Pieces of a candidate that take the place of so many; None: not a whole number of them."""
    needed = candidate.ratio * pieces
    return int(needed) if needed.denominator == 1 else None


def why_not_whole(candidate: Candidate, pieces: int) -> str:
    """Why a candidate cannot be reckoned where so many pieces are called for."""
    return (
        f"{why_not_one_for_one(candidate)}; {pieces} {'is' if pieces == 1 else 'are'} called for "
        "here, which makes no whole number"
    )


def why_not_one_for_one(candidate: Candidate) -> str:
    """Why a candidate is not counted where one part goes for one."""
    ratio = candidate.ratio
    takes = "takes" if ratio.numerator == 1 else "take"
    return f"{ratio.numerator} of it {takes} the place of {ratio.denominator}"


def adaptation(
    draft: Draft, candidate: Candidate, pieces: int, name: str
) -> tuple[tuple[AmountLine, ...], Spans]:
    """What it takes to make a candidate fit for so many pieces called for: amounts, and the work.

    ``name`` is that of the position. Nothing where the path asks for no rework.
    """
    p50, p90 = candidate.rework_p50_hours * pieces, candidate.rework_p90_hours * pieces
    label = f"adapt {candidate.part.number} to {name}"
    lines = draft.pricing.labour(label, p50)
    for cost in candidate.rework_costs:
        if cost.minor:
            lines = (*lines, draft.pricing.service(label, cost.minor * pieces))
    return lines, ((p50, p90),) if p90 else ()


def worst_outlook(
    draft: Draft,
    kinds: Iterable[SourceKind],
    part_kind: str | None,
    run_hours: tuple[Decimal, Decimal] | None = None,
) -> Prospect:
    """How it is expected to last; what is several kinds at once as the worst of those known.

    ``run_hours``: of a part that has run, by its first kind.
    """
    snapshot = draft.bench.snapshot
    warranty = float(snapshot.settings.warranty.warranty_hours)
    found = [
        prospect(snapshot, kind, part_kind, run_hours if place == 0 else None)
        for place, kind in enumerate(kinds)
    ]
    known = [(one.spec.survival(warranty), one) for one in found if one.spec is not None]
    return min(known, key=lambda one: one[0])[1] if known else found[0]
