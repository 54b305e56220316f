"""A unit changes hands only by a release that has been, and never under an open job."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of

RELEASED = "2026-02-11"
OWNED = {"is_owned": True, "undisturbed_worth": bodies.money("90.00")}


def change(shop: Shop, path: str, patch: dict[str, Any]) -> Any:
    etag = shop.get(path).headers["etag"]
    headers = {"If-Match": etag, "Content-Type": "application/merge-patch+json"}
    return shop.call("PATCH", path, json=patch, headers=headers)


class Yard:
    """A design with one position, and a customer's unit of it."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        shop.make("/shop-settings", bodies.settings())
        self.assembly = shop.make("/assemblies", bodies.assembly())
        about = {"assembly_id": self.assembly, "name": "Input bearing"}
        self.position = shop.make("/positions", about)
        self.unit = self.customers()

    def customers(self) -> str:
        return self.shop.make("/units", {"assembly_id": self.assembly, "kind": "customer"})

    def job(self, unit: str, **more: Any) -> str:
        return self.shop.make("/jobs", {"unit_id": unit, "complaint": "Noisy.", **more})

    def close(self, job: str) -> None:
        assert change(self.shop, f"/jobs/{job}", {"state": "closed"}).status_code == 200

    def becomes(self, kind: str, unit: str | None = None, **more: Any) -> Any:
        patch = {"kind": kind, "donor": OWNED, "released_on": RELEASED, **more}
        return change(self.shop, f"/units/{unit or self.unit}", patch)

    def given_to(self, job: str) -> set[str]:
        """The units of which the options of a job speak."""
        answer = self.shop.get(f"/jobs/{job}/options")
        assert answer.status_code == 200, answer.text
        return {unit for unit in (self.unit,) if unit in answer.text}


@pytest.fixture
def yard(shop: Shop) -> Yard:
    return Yard(shop)


@pytest.mark.parametrize("kind", ["donor", "stock"])
def test_a_release_is_a_day_that_has_been(yard: Yard, kind: str) -> None:
    assert error_of(yard.becomes(kind, released_on="2099-01-01"), "/released_on")
    assert error_of(yard.becomes(kind, released_on=None), "/released_on")
    assert yard.becomes(kind).status_code == 200


def test_a_release_is_not_taken_back_while_the_unit_is_the_shops(yard: Yard) -> None:
    assert yard.becomes("stock").status_code == 200
    where = f"/units/{yard.unit}"
    assert error_of(change(yard.shop, where, {"released_on": None}), "/released_on")
    assert error_of(change(yard.shop, where, {"released_on": "2099-01-01"}), "/released_on")


def test_an_old_release_does_not_serve_again(yard: Yard) -> None:
    assert yard.becomes("donor").status_code == 200
    back = {"kind": "customer", "donor": None}
    where = f"/units/{yard.unit}"
    assert error_of(change(yard.shop, where, back), "/released_on")
    assert change(yard.shop, where, {**back, "released_on": None}).status_code == 200
    again = {"kind": "donor", "donor": OWNED}
    assert error_of(change(yard.shop, where, again), "/released_on")


@pytest.mark.parametrize("kind", ["donor", "stock"])
def test_no_unit_changes_hands_under_an_open_job(yard: Yard, kind: str) -> None:
    job = yard.job(yard.unit)
    answer = yard.becomes(kind)
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/state-conflict")
    yard.close(job)
    assert yard.becomes(kind).status_code == 200


def test_a_stock_unit_under_its_own_job_becomes_no_donor_and_is_not_stripped(yard: Yard) -> None:
    assert yard.becomes("stock").status_code == 200
    yard.job(yard.unit)
    assert yard.becomes("donor").status_code == 409
    part = bodies.salvaged_part(yard.unit, yard.position)
    assert error_of(yard.shop.post("/salvaged-parts", part), "/donor_unit_id")


def test_a_unit_in_work_is_not_offered_to_another_job(yard: Yard) -> None:
    first = yard.job(yard.unit)
    yard.close(first)
    assert yard.becomes("stock").status_code == 200
    other = yard.job(yard.customers())
    assert yard.given_to(other) == {yard.unit}
    answer = change(yard.shop, f"/jobs/{first}", {"state": "came-back"})
    assert answer.status_code == 200, answer.text
    assert yard.given_to(other) == set()


def test_a_job_does_not_come_back_on_a_donor_but_is_still_written_to(yard: Yard) -> None:
    job = yard.job(yard.unit)
    yard.close(job)
    assert yard.becomes("donor").status_code == 200
    assert change(yard.shop, f"/jobs/{job}", {"notes": "Paid."}).status_code == 200
    answer = change(yard.shop, f"/jobs/{job}", {"state": "came-back"})
    assert error_of(answer, "/unit_id")["code"] == "unit-is-donor"


def test_a_core_is_the_shops_own_and_complete(yard: Yard) -> None:
    other = yard.customers()
    body = {"unit_id": yard.unit, "complaint": "Noisy.", "core_unit_id": other}
    assert error_of(yard.shop.post("/jobs", body), "/core_unit_id")["code"] == "core-not-own"
    assert yard.becomes("stock", other).status_code == 200
    job = yard.job(yard.unit, core_unit_id=other)
    yard.close(job)
    part = bodies.salvaged_part(other, yard.position)
    yard.shop.make("/salvaged-parts", part)
    assert error_of(yard.shop.post("/jobs", body), "/core_unit_id")["code"] == "core-incomplete"


def test_a_salvaged_part_that_sits_in_a_donor_is_taken_back_not_recorded_anew(yard: Yard) -> None:
    shop = yard.shop
    donor = shop.make("/units", bodies.donor(yard.assembly, released_on=RELEASED))
    part = shop.make("/salvaged-parts", bodies.salvaged_part(donor, yard.position))
    job = yard.job(yard.unit)
    shop.make("/fitments", bodies.fitment(job, yard.position, salvaged_part_id=part))
    yard.close(job)
    assert yard.becomes("donor").status_code == 200
    again = bodies.salvaged_part(yard.unit, yard.position)
    told = error_of(shop.post("/salvaged-parts", again), "/position_id")
    assert told["code"] == "fitted-there"
    assert part in told["fix"]
    taken_back = {"state": "uninspected", "inspected_by": None, "inspected_on": None}
    assert change(shop, f"/salvaged-parts/{part}", taken_back).status_code == 200


def test_a_part_is_not_fitted_before_it_was_taken_out(yard: Yard) -> None:
    shop = yard.shop
    donor = shop.make("/units", bodies.donor(yard.assembly, released_on=RELEASED))
    part = shop.make("/salvaged-parts", bodies.salvaged_part(donor, yard.position))
    early = bodies.fitment(
        yard.job(yard.unit), yard.position, salvaged_part_id=part, fitted_on="2026-02-17"
    )
    assert error_of(shop.post("/fitments", early), "/fitted_on")


def test_closing_a_job_lets_go_of_what_was_held_for_it(yard: Yard) -> None:
    shop = yard.shop
    donor = shop.make("/units", bodies.donor(yard.assembly, released_on=RELEASED))
    part = shop.make("/salvaged-parts", bodies.salvaged_part(donor, yard.position))
    job = yard.job(yard.unit)
    held = shop.make("/reservations", bodies.reservation(part, job))
    yard.close(job)
    read = shop.get(f"/reservations/{held}").json()
    assert (read["state"], read["version"]) == ("released", 2)
    told = shop.get("/audit-entries", record_id=held).json()["items"][-1]
    assert (told["kind"], told["record_id"]) == ("job", job)
    assert told["touched"][0]["detail"] == {"state": {"before": "held", "after": "released"}}
    shop.make("/reservations", bodies.reservation(part, yard.job(yard.customers())))
