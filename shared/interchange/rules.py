"""What a shop settles once for interchange: how far evidence goes, and what may be planned with."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from shared.evidence import EvidenceKind

MOST_PIECES: Final = 1_000_000
"""Pieces for one piece, or the other way round, beyond which no path and no chain is followed."""


@dataclass(frozen=True, slots=True)
class EvidenceBelief:
    """How far one kind of evidence goes before anything was fitted on it.

    ``mean`` is the chance that such a claim holds, ``weight`` the fitments that this is worth.
    """

    evidence_kind: EvidenceKind
    mean: Decimal
    weight: Decimal


@dataclass(frozen=True, slots=True)
class InterchangeRules:
    """How sure a path must be for the planner to use it, and how trust decays along it.

    The confidence of a path is the product of its steps', times ``hop_discount`` for each step
    after the first; steps of supersession in a row count as one. No path has more than
    ``most_steps``. ``beliefs``: the shop's own; a kind that is not among them has the house's.
    """

    least_confidence: Decimal = Decimal("0.8")
    hop_discount: Decimal = Decimal("0.95")
    most_steps: int = 4
    beliefs: tuple[EvidenceBelief, ...] = ()
