"""A planning case in the making: what is collected on the way from snapshot to case."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_CEILING, Decimal

from shared.assemblies.model import LabourOperation
from shared.condition.model import Verdict
from shared.decision.building.planned import Bench
from shared.decision.building.pricing import Pricing
from shared.decision.building.risk import Prospect
from shared.decision.planning.case import AmountLine, Capacity, Charge, LeadTable, Source, StockItem
from shared.decision.result import Exclusion, ReasonCode
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Aim
from shared.interchange.candidates import Candidate, Refused
from shared.interchange.model import Part
from shared.life.weibull import LifeSpec
from shared.sourcing.model import Offer

Spans = tuple[tuple[Decimal, Decimal], ...]
"""Work: P50 and P90 hours of each operation."""

OfferTarget = tuple[str | None, str | None, str | None]
"""What an offer is for: part, position, assembly; exactly one is there."""


@dataclass(frozen=True, slots=True)
class Along:
    """So many pieces of a part that goes in with another one, bought at one offer."""

    part: Part
    offer: Offer
    pieces: int
    line: AmountLine | None = None
    """What they come to; None: they are taken out of a stock item."""


@dataclass(frozen=True, slots=True)
class SourceFacts:
    """What a person is told of a source; the solver does not need it."""

    kind: SourceKind
    description: str
    disposition: str
    position_name: str
    piece: int | None = None
    supplier_name: str | None = None
    offer_id: str | None = None
    donor_unit_id: str | None = None
    salvaged_part_ids: tuple[str, ...] = ()
    verdict: Verdict | None = None
    spec: LifeSpec | None = None
    notes: tuple[str, ...] = ()
    is_stand_in: bool = False
    """Not the part called for, whatever kind of goods it is sold as."""
    candidate: Candidate | None = None
    """The part that is fitted, with its path; None: what sat there, a whole unit, or several."""
    along: tuple[Along, ...] = ()
    """What is bought along for it."""
    donor_position_id: str | None = None
    """Where it sits in a donor of another assembly."""

    def subject(self, told: str) -> "Subject":
        """These words on where it is to come from."""
        if self.salvaged_part_ids:
            return Subject(told, Origin(salvaged_part_ids=self.salvaged_part_ids))
        return Subject(told, Origin(self.donor_unit_id, self.donor_position_id))


@dataclass(frozen=True, slots=True)
class Proof:
    """What a proof charge stands for: with ``chance`` the part proves good, else the fallback.

    Amounts in minor units, of the fallback in full (not times 1 - chance); ``billed_price`` is
    what of ``price`` the customer finds on the bill. None: no fallback.
    """

    chance: float
    price: int | None
    cost: int | None
    billed_price: int | None
    fallback: str | None


@dataclass(frozen=True, slots=True)
class ShimWork:
    """What a charge for shims stands for: the place, what a person must know, what is bought."""

    place: str
    position_id: str
    notes: tuple[str, ...]
    bought: tuple[tuple[str, AmountLine], ...]
    """Offer and amount of each part that is had at hand."""


@dataclass(frozen=True, slots=True)
class Again:
    """What it takes to buy something once more, priced by the rule it was priced by."""

    cost: int
    price: int

    @classmethod
    def of(cls, line: AmountLine) -> "Again":
        """The amounts of a line."""
        return cls(line.cost, line.price)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a used part is to come from, by ids: serial numbers and labels may be there twice.

    ``salvaged_part_ids``: parts on the shelf; else a donor, with ``donor_position_id`` if that is
    of another assembly.
    """

    donor_unit_id: str | None = None
    donor_position_id: str | None = None
    salvaged_part_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Subject:
    """How a person is told of something that a donor or the shelf might give, and its origin."""

    told: str
    origin: Origin

    def __str__(self) -> str:
        """The words."""
        return self.told


@dataclass
class Draft:
    """Sources, charges and tables as they are found, and why others were left out."""

    bench: Bench
    pricing: Pricing
    order_day_of: dict[str | None, int]
    """Index of the working day on which an order is placed, by cut-off ("HH:MM" or None)."""
    last_day: int
    days: tuple[date, ...] = ()
    """Date of each working day of the case."""
    sources: dict[str, Source] = field(default_factory=dict)
    charges: dict[str, Charge] = field(default_factory=dict)
    lead_tables: dict[str, LeadTable] = field(default_factory=dict)
    capacities: dict[str, Capacity] = field(default_factory=dict)
    items: dict[str, StockItem] = field(default_factory=dict)
    facts: dict[str, SourceFacts] = field(default_factory=dict)
    exclusions: list[Exclusion] = field(default_factory=list)
    barred_of: dict[Origin, list[Exclusion]] = field(default_factory=dict)
    """Exclusions of what donors and the shelf might give; they are in ``exclusions`` too."""
    assumptions: dict[str, None] = field(default_factory=dict)
    outlooks: dict[tuple[str, bool], dict[str, None]] = field(default_factory=dict)
    """What each basis of a failure chance stands for; the flag: nothing is known."""
    rejects: list[tuple[str, str, int]] = field(default_factory=list)
    """Sources (source id, offer id, pieces) whose service may turn out to fail."""
    doubtful: list[tuple[str, str, int]] = field(default_factory=list)
    """Sources (source id, offer id, pieces) whose goods may prove bad on arrival."""
    doubtful_kits: list[tuple[str, str, int]] = field(default_factory=list)
    """Kits (charge id, offer id, pieces) that may prove bad on arrival."""
    proof_donor: dict[str, str] = field(default_factory=dict)
    """Donor by charge under which its part has yet to prove good."""
    proof_chances: dict[str, float] = field(default_factory=dict)
    """Chance that a harvested part proves good, by source id."""
    proof_bases: dict[str, str] = field(default_factory=dict)
    """What that chance stands on, by source id."""
    proofs: dict[str, Proof] = field(default_factory=dict)
    """By id of the charge of kind "proof"."""
    shims: dict[str, ShimWork] = field(default_factory=dict)
    """By id of the charge of kind "shims"."""
    work: dict[str, Spans] = field(default_factory=dict)
    """Operations behind a source's or a charge's bench minutes, by its id; the minutes are the sum
    of the P90 hours of each, in minutes rounded up."""
    offers_at: dict[OfferTarget, tuple[Offer, ...]] = field(default_factory=dict)
    """Offers of the day that were looked up already, by what they are for."""
    candidates_at: dict[str, tuple[tuple[Candidate, ...], tuple[Refused, ...]]] = field(
        default_factory=dict
    )
    """Candidates that were looked up already, by position."""
    along_at: dict[tuple[str, str, int], tuple[str, ...]] = field(default_factory=dict)
    """Offers of what goes in with another part, as looked up already: by planning id, part and
    pieces."""
    again_at: dict[str, Again] = field(default_factory=dict)
    """What renewing takes, as worked out already, by planning id."""
    reopening_at: dict[str, Decimal] = field(default_factory=dict)
    """Hours of doing the work again, as worked out already, by planning id."""

    @property
    def counts_price(self) -> bool:
        """Whether the aim sums prices, the customer's; else costs, the shop's."""
        return self.bench.snapshot.aim is Aim.PRICE

    def add(self, source: Source, facts: SourceFacts, work: Spans = ()) -> None:
        """Take a source in, with what a person is told of it and the work behind it."""
        self.sources[source.id] = source
        self.facts[source.id] = facts
        if work:
            self.work[source.id] = work

    def bar(
        self,
        subject: str | Subject,
        position_id: str | None,
        detail: str,
        code: ReasonCode = ReasonCode.BARRED,
    ) -> None:
        """Note why something is no source here."""
        barred = Exclusion(str(subject), position_id, code, detail)
        self.exclusions.append(barred)
        if isinstance(subject, Subject):
            self.barred_of.setdefault(subject.origin, []).append(barred)

    def assume(self, text: str) -> None:
        """Note what the answer stands on; each is told once."""
        self.assumptions[text] = None

    def note_outlook(self, what: str, outlook: Prospect) -> None:
        """Note where the chance that ``what`` fails comes from, or that it is not on record."""
        key = (outlook.basis, outlook.spec is None)
        self.outlooks.setdefault(key, {})[what] = None

    def all_assumptions(self) -> tuple[str, ...]:
        """Every assumption once, the chances of failure by what they stand on."""
        told = list(self.assumptions)
        for (basis, is_unknown), subjects in self.outlooks.items():
            end = "; cost and risk of failure are not counted" if is_unknown else ""
            told.append(f"Chance of failure of {', '.join(subjects)}: {basis}{end}.")
        return tuple(told)


def minutes(hours: Decimal) -> int:
    """Hours as whole minutes, rounded up."""
    return int((hours * 60).to_integral_value(rounding=ROUND_CEILING))


def spans(operations: Iterable[LabourOperation]) -> Spans:
    """P50 and P90 hours of operations."""
    return tuple((operation.p50_hours, operation.p90_hours) for operation in operations)


def p90_minutes(operations: Iterable[LabourOperation]) -> int:
    """Bench time to reckon with, each operation at its P90."""
    return sum(minutes(operation.p90_hours) for operation in operations)


def p50_hours(operations: Iterable[LabourOperation]) -> Decimal:
    """Hours to quote, each operation at its P50."""
    return sum((operation.p50_hours for operation in operations), Decimal(0))
