"""What is answered to the question whether common hardware does a special tool's work."""

from dataclasses import dataclass
from enum import StrEnum

from shared.fasteners.substitutes.model import Candidate, Family, Requirement
from shared.fasteners.substitutes.refusals import Refusal
from shared.money import Money


@dataclass(frozen=True, slots=True)
class MissingFact:
    """A fact that, if stated, may change a no: ``count`` candidates lack it.

    ``member`` is that of the requirement or of the piece; ``detail`` says what to state.
    """

    member: str
    detail: str
    count: int


@dataclass(frozen=True, slots=True)
class Unread:
    """An item that is not counted, and why; ``key`` as that of a piece."""

    key: str
    name: str
    why: str


class WayKind(StrEnum):
    """A way to come by the tool."""

    SUBSTITUTE = "substitute"
    BUY = "buy"
    HIRE = "hire"


@dataclass(frozen=True, slots=True)
class Way:
    """What a way costs over all jobs to come, in exact money.

    ``once`` is paid once, ``per_job`` at each job; ``total`` None: not known or not compared, and
    ``note`` says why.
    """

    kind: WayKind
    name: str
    once: Money | None = None
    per_job: Money | None = None
    total: Money | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class CostComparison:
    """The ways side by side over ``jobs``; ``cheapest`` the least of those whose total is known.

    ``buying_pays_from`` is the first job at which the cheapest offer to buy has cost less than
    hiring; None: there are not both, or it never does.
    """

    jobs: int
    ways: tuple[Way, ...]
    cheapest: Way | None
    buying_pays_from: int | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found: the accepted candidates, best first, then the refused, closest first.

    The counts are of all, also of those left out. ``families`` are those that were searched.
    """

    candidates: tuple[Candidate, ...]
    accepted_count: int
    refused_count: int
    families: tuple[Family, ...]
    refusals: tuple[Refusal, ...]
    missing: tuple[MissingFact, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SubstitutesAnswer:
    """The answer to SubstitutesAsked.

    ``requirement`` is the question as understood, with its needs. ``comparison`` is None where the
    special tool is not offered. A key of a piece or of an unread item is its ``id``, else
    "items/<index>"; "standard/..." of a standard item.
    """

    requirement: Requirement
    found: Found
    unread: tuple[Unread, ...]
    unread_count: int
    comparison: CostComparison | None
    notes: tuple[str, ...]
