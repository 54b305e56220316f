"""A planning case in the making: what is collected on the way from snapshot to case."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal

from shared.assemblies.model import LabourOperation
from shared.condition.model import Verdict
from shared.decision.case import Capacity, Charge, LeadTable, Source
from shared.decision.planned import Bench
from shared.decision.pricing import Pricing
from shared.decision.result import Exclusion, ReasonCode
from shared.decision.risk import Prospect
from shared.decision.settings import SourceKind
from shared.life.weibull import LifeSpec


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


@dataclass
class Draft:
    """Sources, charges and tables as they are found, and why others were left out."""

    bench: Bench
    pricing: Pricing
    order_day_of: dict[str | None, int]
    """Index of the working day on which an order is placed, by cut-off ("HH:MM" or None)."""
    last_day: int
    sources: dict[str, Source] = field(default_factory=dict)
    charges: dict[str, Charge] = field(default_factory=dict)
    lead_tables: dict[str, LeadTable] = field(default_factory=dict)
    capacities: dict[str, Capacity] = field(default_factory=dict)
    facts: dict[str, SourceFacts] = field(default_factory=dict)
    exclusions: list[Exclusion] = field(default_factory=list)
    assumptions: dict[str, None] = field(default_factory=dict)
    outlooks: dict[tuple[str, bool], dict[str, None]] = field(default_factory=dict)
    """What each basis of a failure chance stands for; the flag: nothing is known."""
    rejects: list[tuple[str, str]] = field(default_factory=list)
    """Rework sources (source id, offer id) whose service may turn out to be refused."""
    proof_donor: dict[str, str] = field(default_factory=dict)
    """Donor by charge under which its part has yet to prove good."""
    proof_chances: dict[str, float] = field(default_factory=dict)
    """Chance that a harvested part proves good, by source id."""

    def add(self, source: Source, facts: SourceFacts) -> None:
        """Take a source in, with what a person is told of it."""
        self.sources[source.id] = source
        self.facts[source.id] = facts

    def bar(
        self,
        subject: str,
        position_id: str | None,
        detail: str,
        code: ReasonCode = ReasonCode.BARRED,
    ) -> None:
        """Note why something is no source here."""
        self.exclusions.append(Exclusion(subject, position_id, code, detail))

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


def p90_minutes(operations: Iterable[LabourOperation]) -> int:
    """Bench time to reckon with, each operation at its P90."""
    return sum(minutes(operation.p90_hours) for operation in operations)


def p50_hours(operations: Iterable[LabourOperation]) -> Decimal:
    """Hours to quote, each operation at its P50."""
    return sum((operation.p50_hours for operation in operations), Decimal(0))
