"""What the shop knows of how long things last."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.evidence import CauseKind, FailureMechanism


class ExperienceKind(StrEnum):
    """What a comeback rate is kept for: source kinds, and the doubtful ways of keeping a part."""

    KEEP = "keep"
    KEEP_INDETERMINATE = "keep-indeterminate"
    KEEP_NOT_INSPECTED = "keep-not-inspected"
    KEEP_NONCONFORMING = "keep-nonconforming"
    REWORK = "rework"
    NEW = "new"
    OLD_STOCK = "old-stock"
    INTERCHANGE = "interchange"
    GENERIC = "generic"
    USED = "used"
    SALVAGED = "salvaged"
    EXCHANGE = "exchange"
    SEND_OUT = "send-out"


@dataclass(frozen=True, slots=True)
class ComebackExperience:
    """Comebacks within the warranty for one kind of source: a beta prior and what happened since.

    The prior is Beta(mean x weight, (1 - mean) x weight). ``basis`` says where it comes from.
    """

    kind: ExperienceKind
    prior_mean: Decimal
    prior_weight: Decimal
    comebacks: int = 0
    trials: int = 0
    part_kind: str | None = None
    basis: str | None = None


@dataclass(frozen=True, slots=True)
class InspectionExperience:
    """How often a part that was not inspected proves conforming once it is: a beta prior and after.

    The prior is Beta(mean x weight, (1 - mean) x weight). ``part_kind`` None: every other kind.
    """

    prior_mean: Decimal
    prior_weight: Decimal
    conforming: int = 0
    trials: int = 0
    part_kind: str | None = None
    basis: str | None = None


class LifeMethod(StrEnum):
    """How the figures of a life were found: they differ by it."""

    MAXIMUM_LIKELIHOOD = "maximum-likelihood"
    ASSUMED_SHAPE = "assumed-shape"
    RANK_REGRESSION = "rank-regression"
    JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True)
class LifeRecord:
    """Weibull life of a kind of part, in running hours, with where the figures come from.

    ``failures``: how many failed parts the figures stand on.
    """

    part_kind: str
    shape: Decimal
    scale_hours: Decimal
    basis: str
    method: LifeMethod | None = None
    failures: int | None = None


@dataclass(frozen=True, slots=True)
class CauseChance:
    """Chance that what broke a unit breaks it again within the warranty, once it is removed.

    For a kind of cause, and a mechanism where one is named; ``basis`` says where it comes from.
    """

    cause_kind: CauseKind
    probability: Decimal
    mechanism: FailureMechanism | None = None
    basis: str | None = None
