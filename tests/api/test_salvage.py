"""Salvage over HTTP: taken, inspected, held for one job, fitted, traced; promised once."""

from datetime import timedelta
from typing import Any

import pytest

from db.queries import access
from tests.api import bodies
from tests.api.bodies import Shop, error_of
from tests.fire.race import race, tally


def change(shop: Shop, path: str, patch: dict[str, Any]) -> Any:
    etag = shop.get(path).headers["etag"]
    headers = {"If-Match": etag, "Content-Type": "application/merge-patch+json"}
    return shop.call("PATCH", path, json=patch, headers=headers)


def retire(shop: Shop, path: str) -> Any:
    etag = shop.get(path).headers["etag"]
    return shop.call("DELETE", path, headers={"If-Match": etag})


def problem(answer: Any, status: int, name: str) -> dict[str, Any]:
    assert answer.status_code == status, answer.text
    body: dict[str, Any] = answer.json()
    assert body["type"] == f"/problems/{name}"
    return body


def test_a_part_goes_from_donor_to_job_and_is_traced_both_ways(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Input bearing"})
    wear = {"position_id": position, "name": "Wear", "worst_acceptable_grade": "light"}
    characteristic = shop.make("/characteristics", wear)
    donor = shop.make(
        "/units", bodies.donor(assembly, serial_number="11402", released_on="2026-02-11")
    )
    seen = bodies.finding(donor, position, characteristic, measured=None, grade="none")
    finding = shop.make("/findings", {**seen, "method": "by-eye"})
    part = shop.make(
        "/salvaged-parts",
        bodies.salvaged_part(
            donor,
            position,
            state="uninspected",
            inspected_by=None,
            inspected_on=None,
            finding_ids=[finding],
            worth=bodies.money("35.00"),
        ),
    )
    inspected = {"state": "shelved", "inspected_by": "bench one", "inspected_on": "2026-02-19"}
    assert change(shop, f"/salvaged-parts/{part}", inspected).json()["state"] == "shelved"
    unit = shop.make(
        "/units", {"assembly_id": assembly, "kind": "customer", "serial_number": "12873"}
    )
    job = shop.make("/jobs", {"unit_id": unit, "complaint": "Noisy."})
    held = shop.make("/reservations", bodies.reservation(part, job))
    fitment = shop.make("/fitments", bodies.fitment(job, position, salvaged_part_id=part))
    assert shop.get(f"/salvaged-parts/{part}").json()["state"] == "fitted"
    assert shop.get(f"/reservations/{held}").json()["state"] == "taken"

    traced = shop.get(f"/salvaged-parts/{part}/trace").json()
    assert traced["salvaged_part"]["id"] == part
    assert traced["donor"] == {
        "unit_id": donor,
        "serial_number": "11402",
        "provenance": None,
        "reason_retired": "wear",
        "released_on": "2026-02-11",
    }
    assert traced["position_name"] == "Input bearing"
    assert [one["id"] for one in traced["findings"]] == [finding]
    assert [(one["id"], one["job_id"]) for one in traced["reservations"]] == [(held, job)]
    (fitted,) = traced["fitments"]
    assert (fitted["fitment"]["id"], fitted["fitment"]["job_id"]) == (fitment, job)
    assert (fitted["unit_id"], fitted["serial_number"]) == (unit, "12873")

    of_job = shop.get("/fitments", job_id=job).json()["items"]
    assert [one["salvaged_part_id"] for one in of_job] == [part]
    of_donor = shop.get("/salvaged-parts", donor_unit_id=donor).json()["items"]
    assert [one["id"] for one in of_donor] == [part]


def test_a_trace_is_its_shops_own(shop: Shop, other_shop: Shop) -> None:
    part, _ = bodies.shelved_part(shop)
    problem(other_shop.get(f"/salvaged-parts/{part}/trace"), 404, "not-found")
    problem(shop.get("/salvaged-parts/slv_none/trace"), 404, "not-found")


def test_a_reserved_part_is_promised_to_nobody_else(shop: Shop) -> None:
    part, job = bodies.shelved_part(shop)
    held = shop.make("/reservations", bodies.reservation(part, job))
    unit = shop.get(f"/jobs/{job}").json()["unit_id"]
    other = shop.make("/jobs", {"unit_id": unit, "complaint": "Leaks."})
    twice = problem(shop.post("/reservations", bodies.reservation(part, other)), 409,
                    "already-reserved")  # fmt: skip
    assert twice["existing_id"] == held
    position = shop.get(f"/salvaged-parts/{part}").json()["position_id"]
    fitting = bodies.fitment(other, position, salvaged_part_id=part)
    assert problem(shop.post("/fitments", fitting), 409, "already-reserved")["existing_id"] == held
    thrown = change(shop, f"/salvaged-parts/{part}", {"state": "discarded"})
    assert problem(thrown, 409, "already-reserved")["existing_id"] == held
    assert change(shop, f"/reservations/{held}", {"state": "released"}).status_code == 200
    shop.make("/reservations", bodies.reservation(part, other))


def test_of_64_who_reserve_at_once_one_wins(shop: Shop) -> None:
    part, job = bodies.shelved_part(shop)
    wanted = [bodies.reservation(part, job) for _ in range(64)]
    answers = race(64, lambda number: shop.post("/reservations", wanted[number]))
    assert tally(answers) == {"201": 1, "409 already-reserved": 63}
    (kept,) = shop.get("/reservations", salvaged_part_id=part).json()["items"]
    losers = {answer.json()["existing_id"] for answer in answers if answer.status_code == 409}
    assert losers == {kept["id"]}


def test_of_many_who_fit_one_part_at_once_one_wins(shop: Shop) -> None:
    part, job = bodies.shelved_part(shop)
    position = shop.get(f"/salvaged-parts/{part}").json()["position_id"]
    wanted = [bodies.fitment(job, position, salvaged_part_id=part) for _ in range(12)]
    answers = race(12, lambda number: shop.post("/fitments", wanted[number]))
    assert tally(answers) == {"201": 1, "409 state-conflict": 11}


def test_a_reservation_that_lapsed_is_among_the_changes_once(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    part, job = bodies.shelved_part(shop)
    held = shop.make("/reservations", bodies.reservation(part, job))
    since = shop.get("/reservations", updated_since="0").json()["sequence"]
    began = access.now()
    monkeypatch.setattr(access, "now", lambda: began + timedelta(days=8))
    read = shop.get(f"/reservations/{held}").json()
    told = shop.get("/reservations", updated_since=since).json()
    assert told["items"] == [read]
    assert (read["state"], read["version"]) == ("expired", 2)
    assert shop.get("/reservations", updated_since=told["sequence"]).json()["items"] == []
    assert shop.get(f"/reservations/{held}").json() == read
    written = shop.get("/audit-entries", record_id=held).json()["items"]
    assert written[-1]["detail"] == {"state": {"before": "held", "after": "expired"}}
    assert len(written) == 2


def test_a_reservation_lapses_by_the_clock_and_its_etag_with_it(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    part, job = bodies.shelved_part(shop)
    held = shop.make("/reservations", bodies.reservation(part, job))
    before = shop.get(f"/reservations/{held}")
    began = access.now()
    monkeypatch.setattr(access, "now", lambda: began + timedelta(days=8))
    not_the_same = shop.call("GET", f"/reservations/{held}", headers={
        "If-None-Match": before.headers["etag"]})  # fmt: skip
    assert not_the_same.status_code == 200
    assert not_the_same.json()["state"] == "expired"
    assert not_the_same.headers["etag"] == '"2"'
    stale = shop.call(
        "PATCH",
        f"/reservations/{held}",
        json={"state": "released"},
        headers={
            "If-Match": before.headers["etag"],
            "Content-Type": "application/merge-patch+json",
        },
    )
    problem(stale, 412, "stale-version")
    problem(change(shop, f"/reservations/{held}", {"state": "released"}), 409, "state-conflict")
    shop.make("/reservations", bodies.reservation(part, job, expires_at=(
        began + timedelta(days=9)).isoformat()))  # fmt: skip
    assert shop.get(f"/reservations/{held}").json() == not_the_same.json()


def test_a_donor_says_what_was_taken_from_it_and_does_not_take_it_from_a_body(shop: Shop) -> None:
    part, _ = bodies.shelved_part(shop)
    taken = shop.get(f"/salvaged-parts/{part}").json()
    donor = f"/units/{taken['donor_unit_id']}"
    assert shop.get(donor).json()["taken_position_ids"] == [taken["position_id"]]
    answer = change(shop, donor, {"provenance": "Yard lot, stood in the wet."})
    assert answer.json()["taken_position_ids"] == [taken["position_id"]]
    error_of(change(shop, donor, {"taken_position_ids": []}), "/taken_position_ids")
    assembly = shop.make("/assemblies", bodies.assembly())
    sent = bodies.donor(assembly, taken_position_ids=[])
    error_of(shop.post("/units", sent), "/taken_position_ids")
    back = change(shop, donor, {"kind": "customer", "donor": None})
    assert problem(back, 409, "state-conflict")["allowed_states"] == ["donor", "stock"]


def test_a_change_of_a_donor_tells_only_what_changed(shop: Shop) -> None:
    part, _ = bodies.shelved_part(shop)
    donor = shop.get(f"/salvaged-parts/{part}").json()["donor_unit_id"]
    change(shop, f"/units/{donor}", {"provenance": "Yard lot."})
    entry = shop.get("/audit-entries", record_id=donor).json()["items"][-1]
    assert "Yard lot." in str(entry["detail"])
    assert "taken_position_ids" not in str(entry["detail"])


def test_what_was_discarded_stays_on_record(shop: Shop) -> None:
    part, _ = bodies.shelved_part(shop)
    answer = change(shop, f"/salvaged-parts/{part}", {"state": "discarded"})
    assert answer.json()["state"] == "discarded"
    problem(retire(shop, f"/salvaged-parts/{part}"), 409, "state-conflict")


def test_a_part_recorded_by_mistake_is_retired(shop: Shop) -> None:
    part, _ = bodies.shelved_part(shop)
    donor = shop.get(f"/salvaged-parts/{part}").json()["donor_unit_id"]
    assert retire(shop, f"/salvaged-parts/{part}").status_code == 204
    assert shop.get(f"/units/{donor}").json()["taken_position_ids"] == []


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"inspected_on": None}, "/inspected_on"),
        ({"inspected_by": None}, "/inspected_by"),
        ({"inspected_by": None, "inspected_on": None}, "/inspected_on"),
        ({"state": "uninspected"}, "/inspected_on"),
        ({"inspected_on": "2026-02-17"}, "/inspected_on"),
        ({"lower_hours": "9", "upper_hours": "8"}, "/upper_hours"),
        ({"finding_ids": ["fnd_1", "fnd_1"]}, "/finding_ids/1"),
        ({"removed_on": "2026-02-10"}, "/removed_on"),
        ({"state": "sold"}, "/state"),
        ({"piece": 0}, "/piece"),
    ],
)
def test_what_is_wrong_with_a_salvaged_part_is_named(
    shop: Shop, wrong: dict[str, Any], pointer: str
) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Input bearing"})
    donor = shop.make("/units", bodies.donor(assembly, released_on="2026-02-11"))
    error_of(shop.post("/salvaged-parts", bodies.salvaged_part(donor, position, **wrong)), pointer)


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"part_id": None}, "/part_id"),
        ({"salvaged_part_id": "slv_1"}, "/salvaged_part_id"),
        ({"result_on": "2026-09-01"}, "/result_on"),
        ({"result": "failed", "result_on": "2026-03-05"}, "/result_on"),
        ({"result": "did-not-fit", "hours_run": "4"}, "/hours_run"),
    ],
)
def test_what_is_wrong_with_a_fitment_is_named(
    shop: Shop, wrong: dict[str, Any], pointer: str
) -> None:
    body = bodies.fitment("job_1", "pos_1", **{"part_id": "prt_1", **wrong})
    error_of(shop.post("/fitments", body), pointer)
