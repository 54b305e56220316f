"""What a shop decides once: rates, pricing, calendar, decision rules, policy, experience.

Every rate is money per hour or a percentage as written ("35" means 35 %). Nothing here has a
hidden default that would move a price: what is not given is not charged, and the answer says so.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.condition.model import ConformityRule
from shared.evidence import EvidenceKind, ReasonRetired
from shared.interchange.rules import InterchangeRules
from shared.life.model import CauseChance, ComebackExperience, InspectionExperience, LifeRecord
from shared.money import Money
from shared.salvage.model import SalvageExperience
from shared.sourcing.model import ArrivalDependence, WorkCalendar


class SourceKind(StrEnum):
    """The ways to fill a position, or the whole."""

    KEEP = "keep"
    REWORK = "rework"
    NEW = "new"
    OLD_STOCK = "old-stock"
    INTERCHANGE = "interchange"
    GENERIC = "generic"
    USED = "used"
    KIT = "kit"
    SALVAGED = "salvaged"
    EXCHANGE = "exchange"
    SEND_OUT = "send-out"
    RETIRE = "retire"
    PART_BY_PART = "part-by-part"


class Permission(StrEnum):
    """A policy's answer."""

    ALLOWED = "allowed"
    BARRED = "barred"


@dataclass(frozen=True, slots=True)
class MarkupBand:
    """Mark-up on parts: the band with the highest ``cost_from`` not above the piece's cost."""

    percent: Decimal
    cost_from: Money | None = None
    part_kind: str | None = None
    """None: every kind that has no band of its own."""


@dataclass(frozen=True, slots=True)
class PricingRules:
    """From cost to price, per line."""

    labour_price_per_hour: Money
    labour_cost_per_hour: Money
    parts_markup: tuple[MarkupBand, ...] = ()
    sublet_markup_percent: Decimal = Decimal(0)
    freight_markup_percent: Decimal = Decimal(0)
    unit_markup_percent: Decimal = Decimal(0)
    """On whole units bought (exchange, used, new)."""
    supplies_percent_of_labour: Decimal = Decimal(0)
    disposal: Money | None = None
    """Charged once where old parts, oil or the old unit stay with the shop."""
    tax_percent: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class DecisionRules:
    """How readings are judged, how sure a promise must be, at what interest years are compared."""

    conformity_rule: ConformityRule = ConformityRule.ISO_14253_1
    conformity_probability: Decimal = Decimal("0.95")
    promise_confidence: Decimal = Decimal("0.9")
    arrival_dependence: ArrivalDependence = ArrivalDependence.INDEPENDENT
    interest_percent_per_year: Decimal | None = None
    """None: equivalent annual costs are not worked out."""
    inspection_cap_hours: Decimal | None = None
    """No longer than that until a worn part is looked at again; None: no cap of the shop's."""


@dataclass(frozen=True, slots=True)
class Policy:
    """What the shop allows."""

    keep_indeterminate: Permission = Permission.ALLOWED
    keep_not_inspected: Permission = Permission.ALLOWED
    refit_nonconforming: Permission = Permission.BARRED
    harvest_without_fallback: Permission = Permission.BARRED
    safety_critical_sources: tuple[SourceKind, ...] = (
        SourceKind.KEEP,
        SourceKind.NEW,
        SourceKind.OLD_STOCK,
        SourceKind.KIT,
    )
    barred_donor_reasons: tuple[ReasonRetired, ...] = (ReasonRetired.FIRE,)
    shelf_worth_percent: Decimal = Decimal(0)
    """What a good part counts for that no open job wants, in percent of the cheapest offer."""
    accepted_evidence: tuple[EvidenceKind, ...] = (
        EvidenceKind.MAKER_BULLETIN,
        EvidenceKind.PUBLISHED_CROSS_REFERENCE,
        EvidenceKind.FITTED_AND_RUN,
        EvidenceKind.MEASURED_MATCH,
    )


@dataclass(frozen=True, slots=True)
class WarrantyTerms:
    """The shop's warranty on its work, in running hours, and what a comeback costs besides.

    ``comeback_fixed_cost`` is loan, freight, goodwill per comeback. The common-cause terms are the
    chance that what broke the unit breaks it again, cause known and removed, or unknown.
    """

    warranty_hours: Decimal
    comeback_fixed_cost: Money | None = None
    common_cause_known: Decimal = Decimal(0)
    common_cause_unknown: Decimal = Decimal(0)
    cause_chances: tuple[CauseChance, ...] = ()


@dataclass(frozen=True, slots=True)
class ShopSettings:
    """Everything a shop settles once; a new version replaces the old one, none is lost."""

    id: str
    currency: str
    pricing: PricingRules
    warranty: WarrantyTerms
    calendar: WorkCalendar = WorkCalendar()
    rules: DecisionRules = DecisionRules()
    policy: Policy = Policy()
    comeback_experience: tuple[ComebackExperience, ...] = ()
    salvage_experience: tuple[SalvageExperience, ...] = ()
    life_records: tuple[LifeRecord, ...] = ()
    inspection_experience: tuple[InspectionExperience, ...] = ()
    interchange: InterchangeRules = InterchangeRules()
