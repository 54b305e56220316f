"""Evidence and cautions: how sure something is, and what it may cost to get it wrong."""

from dataclasses import dataclass
from enum import StrEnum


class EvidenceKind(StrEnum):
    """Where a claim comes from, strongest first."""

    MAKER_BULLETIN = "maker-bulletin"
    PUBLISHED_CROSS_REFERENCE = "published-cross-reference"
    FITTED_AND_RUN = "fitted-and-run"
    MEASURED_MATCH = "measured-match"
    TOLD = "told"


class ReasonRetired(StrEnum):
    """Why a donor went out of service: a filter, not a note."""

    WEAR = "wear"
    SEIZURE = "seizure"
    FIRE = "fire"
    FLOOD = "flood"
    CRASH = "crash"
    OBSOLETE = "obsolete"
    UNKNOWN = "unknown"


class CautionKind(StrEnum):
    """What a caution protects: people, the parts, or the shop's good standing in law."""

    HAZARD = "hazard"
    HANDLING = "handling"
    LEGAL = "legal"


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning that travels with every answer it bears on."""

    kind: CautionKind
    text: str
