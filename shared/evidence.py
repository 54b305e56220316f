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


class FailureMechanism(StrEnum):
    """How a part failed, as it shows on the part; why it did is another question.

    Words of ISO 15243 (damage to rolling bearings) and ISO 14224 (failure mechanisms), from memory.
    """

    WEAR = "wear"
    FATIGUE = "fatigue"
    CORROSION = "corrosion"
    EROSION = "erosion"
    ELECTRICAL_EROSION = "electrical-erosion"
    PLASTIC_DEFORMATION = "plastic-deformation"
    FRACTURE = "fracture"
    OVERHEATING = "overheating"
    AGEING = "ageing"
    LEAKAGE = "leakage"
    LOOSENESS = "looseness"
    OTHER = "other"


class CauseKind(StrEnum):
    """Why something failed: where the root lies. Kinds of ISO 14224, table B.3, from memory."""

    DESIGN = "design"
    MANUFACTURE = "manufacture"
    INSTALLATION = "installation"
    OPERATION = "operation"
    MAINTENANCE = "maintenance"
    CONTAMINATION = "contamination"
    NEIGHBOURING_PART = "neighbouring-part"
    EXPECTED_WEAR = "expected-wear"
