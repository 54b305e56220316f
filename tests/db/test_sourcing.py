"""Order terms, rates and what other jobs want and hold: what is refused, what a snapshot brings."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import insert, update
from sqlalchemy.exc import IntegrityError

from db.ids import new_id
from db.models import sourcing as tables
from db.queries import records
from db.queries.access import now
from db.queries.broken import explained
from db.queries.snapshot import load_snapshot
from shared.assemblies.model import OperationKind
from shared.condition.model import DonorTerms, PartWorth
from shared.decision.job_states import JobState
from shared.decision.snapshot import (
    Aim,
    Asked,
    HeldPart,
    Job,
    PartDemand,
    Snapshot,
    Waiting,
    WaitingKind,
)
from shared.errors import Conflict, InvalidInput
from shared.interchange.model import FitmentResult
from shared.money import Money
from shared.sourcing.model import (
    BelowMinimum,
    CoreFault,
    CoreTerms,
    Offer,
    OfferKind,
    PriceBreak,
)
from tests.db.workshop import REMOVED_ON, Workshop, euro
from tests.db.yard import change, retire

AS_OF = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)


def taken(workshop: Workshop, job: Job, asked: Asked | None = None) -> Snapshot:
    with workshop.sessions.reading() as session:
        return load_snapshot(session, workshop.principal, job.id, AS_OF, Aim.PRICE, asked)


def refused(make: Callable[[], Any], pointer: str, code: str | None = None) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.pointer == pointer
    assert caught.value.detail and caught.value.fix
    assert code in (None, caught.value.code)


# --- what is refused -------------------------------------------------------------------------


def test_order_terms_belong_together(workshop: Workshop) -> None:
    minimum = euro("50.00")
    for fields, pointer in (
        ({"small_order_fee": euro("8.00")}, "/small_order_fee"),
        ({"minimum_order": minimum, "below_minimum": BelowMinimum.FEE}, "/small_order_fee"),
        ({"below_minimum": BelowMinimum.REFUSED}, "/minimum_order"),
        ({"minimum_order": euro("-1.00")}, "/minimum_order"),
        ({"free_freight_from": euro("-1.00")}, "/free_freight_from"),
        ({"freight": euro("-9.80")}, "/freight"),
    ):
        refused(lambda fields=fields: workshop.supplier(**fields), pointer)


def test_packs_breaks_and_quantities_are_possible(workshop: Workshop) -> None:
    supplier, part = workshop.supplier(), workshop.part()

    def breaks(*pairs: tuple[int, str]) -> dict[str, Any]:
        return {"price_breaks": tuple(PriceBreak(number, euro(price)) for number, price in pairs)}

    for fields, pointer, code in (
        (breaks((1, "18.00")), "/price_breaks/0/from_quantity", "breaks-overlap"),
        (breaks((10, "17.00"), (10, "16.00")), "/price_breaks/1/from_quantity", "breaks-overlap"),
        (breaks((20, "17.00"), (10, "16.00")), "/price_breaks/1/from_quantity", "breaks-overlap"),
        (breaks((10, "18.41")), "/price_breaks/0/price", "break-dearer"),
        (breaks((10, "-0.01")), "/price_breaks", "not-true"),
        ({"pack_quantity": 0}, "/pack_quantity", "not-true"),
        ({"minimum_quantity": 0}, "/minimum_quantity", "not-true"),
        ({"available_quantity": -1}, "/available_quantity", "not-true"),
        (
            {"core": CoreTerms(euro("9.00"), Decimal(1), refund_within_days=-1)},
            "/core/refund_within_days",
            "not-true",
        ),
        (
            {"core": CoreTerms(euro("9.00"), Decimal(1), refund=euro("9.01"))},
            "/core/refund",
            "not-true",
        ),
        (
            {
                "core": CoreTerms(
                    euro("9.00"), Decimal(1), refused_when=(CoreFault.CRACKED, CoreFault.CRACKED)
                )
            },
            "/core/refused_when/1",
            "duplicate-item",
        ),
    ):
        refused(
            lambda fields=fields: workshop.offer(supplier, part_id=part.id, **fields), pointer, code
        )
    position = workshop.position(workshop.assembly())
    service = {"kind": OfferKind.SERVICE, "position_id": position.id}
    refused(lambda: workshop.offer(supplier, **service, pack_quantity=5), "/pack_quantity")
    refused(lambda: workshop.offer(supplier, **service, **breaks((5, "9.00"))), "/price_breaks")


def test_the_database_itself_knows_no_break_below_two_and_no_currencies_mixed(
    workshop: Workshop,
) -> None:
    offer = workshop.offer(workshop.supplier(), part_id=workshop.part().id)
    below = {"offer_id": offer.id, "place": 0, "from_quantity": 1}
    price = {"price_minor": 900, "price_currency": "EUR"}
    for statement, pointer in (
        (insert(tables.offer_price_breaks).values(**below, **price), "/price_breaks"),
        (
            update(tables.offers).values(residual_worth_minor=1, residual_worth_currency="USD"),
            "/price/currency",
        ),
    ):

        def write(statement: Any = statement) -> None:
            with workshop.sessions.writing() as session, explained():
                session.execute(statement)

        refused(write, pointer, "not-true")


def test_one_rate_for_two_currencies_and_a_day(workshop: Workshop, neighbour: Workshop) -> None:
    first = workshop.rate()
    neighbour.rate()
    workshop.rate(holds_from=REMOVED_ON + timedelta(days=1))
    workshop.rate(currency="EUR", in_currency="SEK", rate=Decimal("11.4"))
    with pytest.raises(Conflict) as caught:
        workshop.rate(rate=Decimal("0.09"))
    assert caught.value.code == "duplicate"
    assert caught.value.facts["existing_id"] == first.id
    assert caught.value.detail.startswith(
        "An exchange rate with the same currency, in currency and first day is recorded already"
    )
    refused(lambda: workshop.rate(currency="NOK", rate=Decimal(0)), "/rate")
    refused(lambda: workshop.rate(currency="EUR"), "/in_currency")


def test_a_mistyped_rate_is_corrected_or_retired_and_its_day_stays(workshop: Workshop) -> None:
    rate = workshop.rate(currency="SEK", rate=Decimal("9.12"))
    assert change(workshop, rate, rate=Decimal("0.0912")).record.rate == Decimal("0.0912")
    refused(lambda: change(workshop, rate, currency="NOK"), "/currency")
    refused(lambda: change(workshop, rate, in_currency="USD"), "/in_currency")
    refused(lambda: change(workshop, rate, holds_from=date(2019, 1, 2)), "/holds_from")
    retire(workshop, rate)
    assert workshop.rate(currency="SEK", rate=Decimal("0.0912")).id != rate.id


def test_what_a_donors_parts_count_for_is_of_the_donor_and_within_its_rest(
    workshop: Workshop,
) -> None:
    assembly = workshop.assembly()
    inside, elsewhere = workshop.position(assembly), workshop.position(workshop.assembly())

    def donor(*worths: PartWorth, rest: str | None = "60.00", **fields: Any) -> None:
        remainder = euro(rest) if rest else None
        terms = DonorTerms(True, remainder_worth=remainder, part_worths=worths, **fields)
        workshop.donor(assembly, donor=terms)

    fifty = PartWorth(inside.id, euro("50.00"))
    refused(lambda: donor(fifty, fifty), "/donor/part_worths/1", "duplicate-item")
    refused(
        lambda: donor(PartWorth(elsewhere.id, euro("1.00"))),
        "/donor/part_worths/0/position_id",
        "reference-unknown",
    )
    refused(lambda: donor(PartWorth(inside.id, euro("60.01"))), "/donor/part_worths")
    refused(lambda: donor(fifty, rest=None), "/donor/part_worths")
    refused(lambda: donor(PartWorth(inside.id, euro("-1.00"))), "/donor/part_worths")
    refused(lambda: donor(freight=euro("-1.00")), "/donor/freight")
    donor(fifty)


def test_a_job_says_wholly_what_waits_and_runs_no_more_than_a_year_has_hours(
    workshop: Workshop,
) -> None:
    unit = workshop.unit(workshop.assembly())
    for fields, pointer in (
        ({"waiting": Waiting(WaitingKind.LOAN, euro("-1.00"), euro("0"))}, "/waiting/cost_per_day"),
        ({"standstill_cost_per_day": euro("-1.00")}, "/standstill_cost_per_day"),
        ({"replacement_cost": euro("-1.00")}, "/replacement_cost"),
        ({"hours_per_year": Decimal(0)}, "/hours_per_year"),
        ({"hours_per_year": Decimal(8785)}, "/hours_per_year"),
    ):
        refused(lambda fields=fields: workshop.job(unit, **fields), pointer)


def test_an_inspection_is_of_a_position(workshop: Workshop) -> None:
    kind = OperationKind.INSPECT
    refused(lambda: workshop.operation(workshop.assembly(), kind=kind), "/position_id")


def test_a_position_with_a_worth_in_a_donor_is_in_use(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    worths = (PartWorth(position.id, euro("5.00")),)
    terms = DonorTerms(True, remainder_worth=euro("5.00"), part_worths=worths)
    donor = workshop.donor(assembly, donor=terms)
    with pytest.raises(Conflict) as caught, workshop.sessions.writing() as session:
        records.retire(session, workshop.principal, type(position), position.id, (1,))
    assert {"kind": "unit", "id": donor.id} in caught.value.facts["used_by"]


def test_a_new_offer_has_not_lapsed_and_one_on_record_may_be_ended(workshop: Workshop) -> None:
    supplier, part = workshop.supplier(), workshop.part()
    yesterday = now().date() - timedelta(days=1)
    lapsed = {"part_id": part.id, "valid_until": yesterday - timedelta(days=1)}
    refused(lambda: workshop.offer(supplier, **lapsed), "/valid_until", "offer-lapsed")
    offer = workshop.offer(supplier, part_id=part.id)
    with workshop.sessions.writing() as session:
        ended = records.change(
            session,
            workshop.principal,
            Offer,
            offer.id,
            (1,),
            lambda stored: replace(stored.record, valid_until=yesterday),
        )
    assert ended.record.valid_until == yesterday


def test_the_last_day_is_that_of_the_shops_own_clock(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    workshop.settings(calendar=replace(workshop.settings().calendar, timezone="Pacific/Auckland"))
    night = datetime(2031, 3, 4, 20, 0, tzinfo=UTC)  # the fifth in Auckland
    monkeypatch.setattr("db.queries.access.now", lambda: night)
    supplier, part = workshop.supplier(), workshop.part()
    workshop.offer(supplier, part_id=part.id, valid_until=date(2031, 3, 5))
    fourth = {"part_id": part.id, "valid_until": date(2031, 3, 4)}
    refused(lambda: workshop.offer(supplier, **fourth), "/valid_until")


# --- what a snapshot brings ------------------------------------------------------------------


def test_the_newest_rate_of_each_currency_that_is_needed_is_brought(workshop: Workshop) -> None:
    workshop.settings()
    assembly = workshop.assembly()
    krona = workshop.supplier(freight=Money(Decimal("90.00"), "SEK"))
    workshop.offer(krona, assembly_id=assembly.id, price=Money(Decimal("900.00"), "SEK"))
    workshop.offer(workshop.supplier(), assembly_id=assembly.id)
    first, day = date(2031, 3, 1), timedelta(days=1)
    workshop.rate(holds_from=first)
    newest = workshop.rate(holds_from=AS_OF.date(), rate=Decimal("0.088"))
    workshop.rate(holds_from=AS_OF.date() + day, rate=Decimal("0.089"))
    workshop.rate(currency="USD", holds_from=first)
    workshop.rate(currency="EUR", in_currency="SEK", holds_from=first)
    job = workshop.job(workshop.unit(assembly))
    assert taken(workshop, job).exchange_rates == (newest,)


def test_another_shops_rates_are_its_own(workshop: Workshop, neighbour: Workshop) -> None:
    workshop.settings()
    assembly = workshop.assembly()
    krona = workshop.supplier(freight=Money(Decimal("90.00"), "SEK"))
    workshop.offer(krona, assembly_id=assembly.id, price=Money(Decimal("900.00"), "SEK"))
    neighbour.rate()
    assert taken(workshop, workshop.job(workshop.unit(assembly))).exchange_rates == ()


def test_what_other_open_jobs_want_of_the_same_parts_is_counted(
    workshop: Workshop, neighbour: Workshop
) -> None:
    workshop.settings()
    bearing, seal, ring = (workshop.part() for _ in range(3))
    here, there = workshop.assembly(), workshop.assembly()
    workshop.position(here, part_id=bearing.id, quantity=2)
    workshop.position(here, part_id=seal.id)
    pair = workshop.position(there, part_id=bearing.id, quantity=4)
    workshop.position(there, part_id=ring.id)  # nothing here calls for it
    job = workshop.job(workshop.unit(here))
    assert taken(workshop, job).demands == ()
    other = workshop.job(workshop.unit(there))
    same = workshop.job(workshop.unit(here))
    for state in (JobState.CLOSED, JobState.SUPPLIED, JobState.HANDED_OVER):
        workshop.job(workshop.unit(there), state=state)
    neighbour.settings()
    neighbour.job(neighbour.unit(there))
    assert taken(workshop, job).demands == (
        PartDemand(bearing.id, 6, 2),
        PartDemand(seal.id, 1, 1),
    )
    for piece in (1, 2):
        workshop.fitment(other, pair, piece=piece, part_id=bearing.id)
    result = {"result": FitmentResult.DID_NOT_FIT, "result_on": REMOVED_ON}
    workshop.fitment(other, pair, piece=3, part_id=bearing.id, **result)
    assert taken(workshop, job).demands[0] == PartDemand(bearing.id, 4, 2)
    assert taken(workshop, same).demands[0] == PartDemand(bearing.id, 4, 2)


def test_a_part_held_for_another_job_is_told_at_every_position_it_would_fit(
    workshop: Workshop,
) -> None:
    workshop.settings()
    bearing = workshop.part()
    here, there = workshop.assembly(), workshop.assembly()
    positions = [workshop.position(here, part_id=bearing.id) for _ in range(2)]
    elsewhere = workshop.position(there, part_id=bearing.id)
    held, free = (
        workshop.salvaged_part(
            workshop.donor(there, released_on=REMOVED_ON), elsewhere, part_id=bearing.id
        )
        for _ in range(2)
    )
    job, other = (workshop.job(workshop.unit(here)) for _ in range(2))
    reservation = workshop.reservation(held, other)
    snapshot = taken(workshop, job)
    assert [part.id for part in snapshot.salvaged_parts] == [free.id]
    assert snapshot.held_parts == tuple(
        HeldPart(held.id, position.id, bearing.id, reservation.expires_at) for position in positions
    )
    assert taken(workshop, other).held_parts == ()


def test_what_is_asked_is_part_of_the_snapshot(workshop: Workshop) -> None:
    workshop.settings()
    job = workshop.job(workshop.unit(workshop.assembly()))
    assert taken(workshop, job).asked == Asked()
    asked = Asked(alternatives=5, break_evens=0)
    assert taken(workshop, job, asked).asked == asked


def test_a_rate_that_two_record_at_once_is_kept_once(workshop: Workshop) -> None:
    workshop.rate()
    row = {
        "id": new_id("xrt"), "shop_id": workshop.principal.shop_id, "version": 1,
        "created_at": now(), "updated_at": now(), "currency": "SEK", "in_currency": "EUR",
        "rate": Decimal(1), "holds_from": REMOVED_ON, "source": "x",
    }  # fmt: skip
    with pytest.raises(IntegrityError), workshop.sessions.writing() as session:
        session.execute(insert(tables.exchange_rates).values(row))
