"""One shop, one currency, whoever comes first; and kits that never hold each other in a ring."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from db.ids import new_id
from db.queries import interchange, records
from db.queries.currency import check_no_other_currency
from db.queries.references import DEEPEST
from shared.decision.outcome import Comeback
from shared.decision.settings import PricingRules
from shared.errors import InvalidInput
from shared.fasteners.model import StockItem
from shared.interchange.model import KitLine, Part
from shared.money import Money
from shared.sourcing.model import CoreTerms, PriceBreak, Supplier
from tests.db.workshop import REMOVED_ON, Workshop, euro


def dollars(amount: str) -> Money:
    return Money(Decimal(amount), "USD")


def settings_in_dollars(workshop: Workshop) -> Any:
    return workshop.settings(
        currency="USD", pricing=PricingRules(dollars("78.00"), dollars("41.00"))
    )


def test_settings_name_whatever_holds_an_amount_in_another_currency(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    kept: list[Callable[[], Any]] = [
        lambda: workshop.donor(assembly),
        lambda: workshop.job(workshop.unit(assembly), spending_limit=euro("900.00")),
        lambda: workshop.stock_item(worth=euro("2.00")),
        lambda: workshop.claim(workshop.part(), workshop.part(), rework_cost=euro("5.00")),
        lambda: workshop.outcome(
            workshop.job(workshop.unit(assembly)),
            comebacks=(Comeback(REMOVED_ON, cost=euro("12.00")),),
        ),
    ]
    for keep in kept:
        other = keep()
        with pytest.raises(InvalidInput) as caught:
            settings_in_dollars(workshop)
        assert caught.value.code == "currency-other"
        assert other.id in caught.value.detail
        with workshop.sessions.writing() as session:
            version = workshop.read(type(other), other.id).version
            records.retire(session, workshop.principal, type(other), other.id, (version,))
    settings_in_dollars(workshop)


def test_every_table_with_amounts_is_looked_at(workshop: Workshop) -> None:
    """Whose rows they are is found for each, however they come to their shop."""
    with workshop.sessions.reading() as session:
        check_no_other_currency(session, workshop.principal, "USD")


def test_another_shops_currency_is_its_own(workshop: Workshop, neighbour: Workshop) -> None:
    neighbour.stock_item(worth=euro("2.00"))
    settings_in_dollars(workshop)


def test_suppliers_count_in_their_own_currency_and_rates_are_of_two(workshop: Workshop) -> None:
    settings_in_dollars(workshop)
    supplier = workshop.supplier(free_freight_from=euro("150.00"))
    breaks = (PriceBreak(10, euro("12.00")),)
    workshop.offer(supplier, part_id=workshop.part().id, price_breaks=breaks)
    workshop.rate(currency="EUR", in_currency="USD", rate=Decimal("1.08"))
    workshop.settings(currency="GBP", pricing=PricingRules(pounds("78.00"), pounds("41.00")))


def pounds(amount: str) -> Money:
    return Money(Decimal(amount), "GBP")


def test_an_offer_is_in_its_suppliers_currency(workshop: Workshop) -> None:
    supplier, part = workshop.supplier(freight=dollars("12.00")), workshop.part()
    workshop.offer(supplier, part_id=part.id, price=dollars("20.00"))
    for fields, pointer in (
        ({"price": euro("18.40")}, "/price/currency"),
        (
            {"price": dollars("18.40"), "price_breaks": (PriceBreak(5, euro("9.00")),)},
            "/price_breaks/0/price/currency",
        ),
        (
            {"price": dollars("18.40"), "core": CoreTerms(euro("9.00"), Decimal(1))},
            "/core/deposit/currency",
        ),
    ):
        with pytest.raises(InvalidInput) as caught:
            workshop.offer(supplier, part_id=part.id, **fields)
        assert (caught.value.pointer, caught.value.code) == (pointer, "currency-other")
        assert "USD" in caught.value.fix


def test_a_supplier_with_offers_keeps_his_currency(workshop: Workshop) -> None:
    def in_dollars(supplier: Supplier) -> None:
        with workshop.sessions.writing() as session:
            records.change(
                session,
                workshop.principal,
                Supplier,
                supplier.id,
                (1,),
                lambda stored: replace(stored.record, freight=dollars("10.00")),
            )

    without, supplier = workshop.supplier(), workshop.supplier()
    in_dollars(without)
    offer = workshop.offer(supplier, part_id=workshop.part().id)
    with pytest.raises(InvalidInput) as caught:
        in_dollars(supplier)
    assert caught.value.pointer == "/freight/currency"
    assert offer.id in caught.value.detail


def test_the_terms_of_a_supplier_are_in_one_currency(workshop: Workshop) -> None:
    with pytest.raises(InvalidInput) as caught:
        workshop.supplier(minimum_order=dollars("50.00"))
    assert caught.value.pointer == "/minimum_order/currency"


def test_settings_wait_for_an_amount_that_is_being_stored(workshop: Workshop) -> None:
    with ThreadPoolExecutor(1) as other:
        with workshop.sessions.writing() as session:
            item = StockItem(new_id("stk"), "Ring", "ring", 3, worth=euro("9.80"))
            records.create(session, workshop.principal, item)
            settings = other.submit(settings_in_dollars, workshop)
            with pytest.raises(TimeoutError):
                settings.result(timeout=0.2)
        with pytest.raises(InvalidInput, match="EUR"):
            settings.result(timeout=30)


def test_two_kits_that_name_each_other_at_one_moment_make_no_ring(workshop: Workshop) -> None:
    one, two = workshop.part(), workshop.part()

    def holds(session: Any, kit: Part, inner: Part) -> None:
        def edit(stored: Any) -> Part:
            return replace(stored.record, kit_lines=(KitLine(inner.id),))

        records.change(session, workshop.principal, Part, kit.id, (1,), edit)

    def second() -> None:
        with workshop.sessions.writing() as session:
            holds(session, two, one)

    with ThreadPoolExecutor(1) as other:
        with workshop.sessions.writing() as session:
            holds(session, one, two)
            waiting = other.submit(second)
            with pytest.raises(TimeoutError):
                waiting.result(timeout=0.2)
        with pytest.raises(InvalidInput) as caught:
            waiting.result(timeout=30)
        assert caught.value.code == "cycle"


def test_kits_within_kits_go_only_so_deep(workshop: Workshop) -> None:
    kit = workshop.part()
    for _ in range(DEEPEST):
        kit = workshop.part(kit_lines=(KitLine(kit.id),))
    with pytest.raises(InvalidInput) as caught:
        workshop.part(kit_lines=(KitLine(kit.id),))
    assert (caught.value.pointer, caught.value.code) == ("/kit_lines", "too-deep")


def test_kits_within_kits_hold_only_so_many_parts(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange, "MOST_IN_A_KIT", 3)
    inner = workshop.part(kit_lines=tuple(KitLine(workshop.part().id) for _ in range(3)))
    with pytest.raises(InvalidInput) as caught:
        workshop.part(kit_lines=(KitLine(inner.id),))
    assert (caught.value.pointer, caught.value.code) == ("/kit_lines", "too-many")
