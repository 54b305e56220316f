"""A shop that records things: makes believable records, so that a test states only what matters."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import TypeVar

from db.engine import Sessions
from db.ids import new_id
from db.queries import records
from db.queries.access import Principal, now
from db.queries.listing import Place
from db.queries.mapping import Stored
from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    CautionNote,
    Characteristic,
    Grade,
    HoursBasis,
    InspectionMethod,
    LabourOperation,
    OperationKind,
    Position,
    PositionSet,
    Ruling,
    ServiceabilityRuling,
    SetKind,
)
from shared.condition.model import (
    DonorTerms,
    Finding,
    Gauge,
    Shim,
    ShimEffect,
    ShimPack,
    ShimStage,
    Unit,
    UnitKind,
)
from shared.condition.shim_place import ShimPlace
from shared.decision.outcome import Outcome
from shared.decision.settings import PricingRules, ShopSettings, WarrantyTerms
from shared.decision.snapshot import Job
from shared.evidence import CautionKind, EvidenceKind
from shared.fasteners.model import SpecialTool, StockItem, ToolFunction
from shared.interchange.model import (
    Fitment,
    InterchangeClaim,
    NumberRule,
    Part,
    PartLine,
    Supersession,
)
from shared.money import Money
from shared.quantities import Quantity
from shared.salvage.model import Reservation, SalvagedPart, SalvagedPartState
from shared.sourcing.model import Delivery, DeliveryLine, ExchangeRate, Offer, OfferKind, Supplier

T = TypeVar("T")

FOUND_AT = datetime(2031, 3, 4, 9, 15, tzinfo=UTC)
REMOVED_ON = date(2026, 2, 18)
INSPECTED_AT = datetime(2026, 2, 17, 9, 15, tzinfo=UTC)
"""A day that has come: what is recorded as done lies behind."""


def euro(amount: str) -> Money:
    return Money(Decimal(amount), "EUR")


def mm(value: str, **doubt: str) -> Quantity:
    return Quantity(Decimal(value), "mm", **{name: Decimal(text) for name, text in doubt.items()})


@dataclass
class Workshop:
    sessions: Sessions
    principal: Principal

    def keep(self, record: T) -> T:
        """Record something in a transaction of its own."""
        with self.sessions.writing() as session:
            return records.create(session, self.principal, record).record

    def read(self, kind: type[T], record_id: str) -> Stored[T]:
        with self.sessions.reading() as session:
            return records.read(session, self.principal, kind, record_id)

    def page(
        self, of: type[T], limit: int = 50, after: str | None = None, /, **filters: str
    ) -> list[T]:
        with self.sessions.reading() as session:
            place = Place(filters, limit=limit, after=(after, after) if after else None)
            found = records.page(session, self.principal, of, place)
        return [stored.record for stored in found]

    # Each maker below takes the fields that the test cares about.

    def assembly(self, **fields) -> Assembly:
        record_id = new_id("asm")
        return self.keep(
            replace(Assembly(record_id, "Oakhollow Drives", record_id, "feed drive"), **fields)
        )

    def position(self, assembly: Assembly, **fields) -> Position:
        return self.keep(replace(Position(new_id("pos"), assembly.id, "Input bearing"), **fields))

    def group(self, assembly: Assembly, **fields) -> AccessGroup:
        return self.keep(replace(AccessGroup(new_id("grp"), assembly.id, "Cover off"), **fields))

    def position_set(self, assembly: Assembly, *positions: Position, **fields) -> PositionSet:
        ids = tuple(position.id for position in positions)
        plain = PositionSet(new_id("pst"), assembly.id, SetKind.MATCHED, "Gear pair", ids)
        return self.keep(replace(plain, **fields))

    def operation(self, assembly: Assembly, **fields) -> LabourOperation:
        plain = LabourOperation(
            new_id("opr"),
            assembly.id,
            OperationKind.PROVE,
            "Test run",
            Decimal("0.5"),
            Decimal("0.8"),
            HoursBasis.SHOP_RECORD,
        )
        return self.keep(replace(plain, **fields))

    def characteristic(self, position: Position, **fields) -> Characteristic:
        plain = Characteristic(new_id("chr"), position.id, "Bore", service_upper=mm("20.02"))
        return self.keep(replace(plain, **fields))

    def attribute(self, position: Position, **fields) -> Characteristic:
        plain = Characteristic(
            new_id("chr"), position.id, "Scoring", worst_acceptable_grade=Grade.LIGHT
        )
        return self.keep(replace(plain, **fields))

    def ruling(self, position: Position, ruling: Ruling, **fields) -> ServiceabilityRuling:
        plain = ServiceabilityRuling(new_id("rul"), position.id, ruling, reason="Set with a rig.")
        return self.keep(replace(plain, **fields))

    def part(self, **fields) -> Part:
        record_id = new_id("prt")
        return self.keep(
            replace(Part(record_id, "Oakhollow Drives", record_id, "Bearing", "bearing"), **fields)
        )

    def claim(self, part: Part, stand_in: Part, **fields) -> InterchangeClaim:
        plain = InterchangeClaim(
            new_id("clm"), part.id, stand_in.id, EvidenceKind.FITTED_AND_RUN, "Fitted, ran a year."
        )
        return self.keep(replace(plain, **fields))

    def unit(self, assembly: Assembly, **fields) -> Unit:
        return self.keep(replace(Unit(new_id("unt"), assembly.id, UnitKind.CUSTOMER), **fields))

    def donor(self, assembly: Assembly, **fields) -> Unit:
        plain = Unit(
            new_id("unt"),
            assembly.id,
            UnitKind.DONOR,
            released_on=FOUND_AT.date(),
            donor=DonorTerms(is_owned=True, undisturbed_worth=euro("120.00")),
        )
        return self.keep(replace(plain, **fields))

    def finding(self, unit: Unit, characteristic: Characteristic, **fields) -> Finding:
        plain = Finding(
            new_id("fnd"),
            unit.id,
            characteristic.position_id,
            characteristic.id,
            "bench two",
            INSPECTED_AT,
            InspectionMethod.GAUGE,
            measured=mm("20.010", standard_uncertainty="0.002"),
        )
        return self.keep(replace(plain, **fields))

    def gauge(self, **fields) -> Gauge:
        record_id = new_id("gau")
        return self.keep(replace(Gauge(record_id, f"Micrometer {record_id}"), **fields))

    def salvaged_part(self, donor: Unit, position: Position, **fields) -> SalvagedPart:
        record_id = new_id("slv")
        plain = SalvagedPart(
            record_id,
            donor.id,
            position.id,
            REMOVED_ON,
            "bench two",
            record_id,
            state=SalvagedPartState.SHELVED,
            inspected_by="bench one",
            inspected_on=REMOVED_ON,
        )
        return self.keep(replace(plain, **fields))

    def reservation(self, part: SalvagedPart, job: Job, **fields) -> Reservation:
        ends = now() + timedelta(days=7)
        plain = Reservation(new_id("rsv"), part.id, job.id, "service desk", ends)
        return self.keep(replace(plain, **fields))

    def fitment(self, job: Job, position: Position, **fields) -> Fitment:
        plain = Fitment(new_id("fit"), job.id, position.id, REMOVED_ON, "bench two")
        return self.keep(replace(plain, **fields))

    def supplier(self, **fields) -> Supplier:
        return self.keep(
            replace(Supplier(new_id("sup"), "Millrace Bearings", euro("9.80")), **fields)
        )

    def offer(self, supplier: Supplier, **fields) -> Offer:
        plain = Offer(
            new_id("ofr"),
            supplier.id,
            OfferKind.GOODS,
            "Bearing, new",
            euro("18.40"),
            Decimal(2),
            Decimal(4),
        )
        return self.keep(replace(plain, **fields))

    def rate(self, **fields) -> ExchangeRate:
        plain = ExchangeRate(
            new_id("xrt"), "SEK", "EUR", Decimal("0.0874"), REMOVED_ON, "Bank's selling rate"
        )
        return self.keep(replace(plain, **fields))

    def settings(self, **fields) -> ShopSettings:
        plain = ShopSettings(
            new_id("set"),
            "EUR",
            PricingRules(euro("78.00"), euro("41.00")),
            WarrantyTerms(Decimal(500)),
        )
        return self.keep(replace(plain, **fields))

    def job(self, unit: Unit, **fields) -> Job:
        return self.keep(replace(Job(new_id("job"), unit.id, "Noisy, oil under it"), **fields))

    def caution(self, **fields) -> CautionNote:
        plain = CautionNote(new_id("cau"), CautionKind.HAZARD, "Hot oil.", "Maker's book")
        return self.keep(replace(plain, **fields))

    def supersession(self, earlier: Part, *later: Part, **fields) -> Supersession:
        lines = tuple(PartLine(part.id) for part in later)
        plain = Supersession(
            new_id("sps"), earlier.id, EvidenceKind.MAKER_BULLETIN, "Bulletin 12", lines
        )
        return self.keep(replace(plain, **fields))

    def number_rule(self, maker: str, **fields) -> NumberRule:
        return self.keep(replace(NumberRule(new_id("nrl"), maker, "Its parts book"), **fields))

    def tool(self, **fields) -> SpecialTool:
        plain = SpecialTool(new_id("stl"), "Cover puller", ToolFunction.SEPARATE)
        return self.keep(replace(plain, **fields))

    def stock_item(self, **fields) -> StockItem:
        plain = StockItem(new_id("stk"), "Hexagon screw M8x60", "screw", 12)
        return self.keep(replace(plain, **fields))

    def shim_pack(self, unit: Unit, **fields) -> ShimPack:
        plain = ShimPack(
            new_id("shm"),
            unit.id,
            "pinion depth",
            "end float",
            ShimEffect.MORE_SHIMS_INCREASE,
            ShimStage.AS_FOUND,
            "bench two",
            date(2026, 3, 4),
            (Shim(mm("0.15"), 2), Shim(mm("0.40"))),
        )
        return self.keep(replace(plain, **fields))

    def shim_place(self, position: Position, **fields) -> ShimPlace:
        plain = ShimPlace(
            new_id("spl"), position.id, "pinion depth", ShimEffect.MORE_SHIMS_INCREASE
        )
        return self.keep(replace(plain, **fields))

    def delivery(self, supplier: Supplier, **fields) -> Delivery:
        line = DeliveryLine(2, description="Grease, one tin")
        plain = Delivery(new_id("dlv"), supplier.id, FOUND_AT, (line,))
        return self.keep(replace(plain, **fields))

    def outcome(self, job: Job, **fields) -> Outcome:
        return self.keep(replace(Outcome(new_id("out"), job.id), **fields))
