"""Parts on the shelf among the options of a job: the free one is offered, the promised one not."""

import hashlib
import json
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from api.choice import freeze
from api.replay import replay
from db.queries import access
from db.queries.access import now
from shared.decision.codec import from_builtins
from shared.decision.decide import decide
from shared.decision.snapshot import Snapshot
from tests import snapshots
from tests.api import bodies
from tests.api.bodies import Shop, error_of

REMOVED_ON = "2026-02-11"


@pytest.fixture
def bearing_job(shop: Shop) -> dict[str, str]:
    """A job whose input bearing is beyond use and on sale, and two of them on the shelf."""
    if not shop.get("/shop-settings").json()["items"]:
        shop.make("/shop-settings", bodies.settings())
    assembly = shop.make("/assemblies", bodies.assembly())
    part = shop.make("/parts", bodies.part())
    position = shop.make(
        "/positions", {"assembly_id": assembly, "name": "Input bearing", "part_id": part}
    )
    wear = {"position_id": position, "name": "Wear", "worst_acceptable_grade": "light"}
    characteristic = shop.make("/characteristics", wear)
    supplier = shop.make("/suppliers", bodies.supplier())
    shop.make("/offers", bodies.offer(supplier, part_id=part, price=bodies.money("120.00")))
    made = {"assembly": assembly, "position": position}
    for key, worth in (("one", "30.00"), ("other", "25.00")):
        serial = f"LF-{key}"
        donor = shop.make(
            "/units", bodies.donor(assembly, released_on=REMOVED_ON, serial_number=serial)
        )
        finding = shop.make("/findings", look(donor, position, characteristic, "none"))
        made[key] = shop.make(
            "/salvaged-parts",
            bodies.salvaged_part(
                donor,
                position,
                finding_ids=[finding],
                worth=bodies.money(worth),
                lower_hours="820",
                upper_hours="1100",
            ),
        )
    for key in ("job", "other_job"):
        unit = shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
        shop.make("/findings", look(unit, position, characteristic, "heavy"))
        made[key] = shop.make("/jobs", {"unit_id": unit, "complaint": "Noisy."})
    return made


def look(unit: str, position: str, characteristic: str, grade: str) -> dict[str, Any]:
    return bodies.finding(
        unit, position, characteristic, measured=None, grade=grade, method="by-eye",
        found_at="2026-02-10T09:15:00Z",
    )  # fmt: skip


def offered(shop: Shop, job: str, **query: str) -> tuple[list[str], str]:
    """The shelved parts of the recommended plan, and all that is said of what is not in it."""
    answer = shop.get(f"/jobs/{job}/options", **query)
    assert answer.status_code == 200, answer.text
    options = answer.json()
    plan = next(p for p in options["plans"] if p["id"] == options["recommended"])
    told = " ".join(e["subject"] for e in options["exclusions"])
    return [one for line in plan["lines"] for one in line["salvaged_part_ids"]], told


def test_the_options_offer_the_free_part_and_not_the_one_held_for_another_job(
    shop: Shop, bearing_job: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    label = {key: shop.get(f"/salvaged-parts/{bearing_job[key]}").json()["label"]
             for key in ("one", "other")}  # fmt: skip
    used, told = offered(shop, bearing_job["job"])
    assert used == [bearing_job["other"]]
    assert f"label {label['one']}, out of donor LF-one, 820 to 1100 h" in told

    held = bodies.reservation(bearing_job["other"], bearing_job["other_job"])
    shop.make("/reservations", held)
    used, told = offered(shop, bearing_job["job"])
    assert used == [bearing_job["one"]]
    assert label["other"] not in told
    assert offered(shop, bearing_job["other_job"])[0] == [bearing_job["other"]]

    later = now() + timedelta(days=8)
    lapsed = f"{later:%Y-%m-%dT%H:%M:%SZ}"
    assert offered(shop, bearing_job["job"], as_of=lapsed)[0] == [bearing_job["one"]]
    monkeypatch.setattr(access, "now", lambda: later)
    assert offered(shop, bearing_job["job"], as_of=lapsed)[0] == [bearing_job["other"]]


def test_the_part_of_a_plan_is_reserved_by_the_id_that_the_plan_names(
    shop: Shop, bearing_job: dict[str, str]
) -> None:
    (part,), _ = offered(shop, bearing_job["job"])
    shop.make("/reservations", bodies.reservation(part, bearing_job["job"]))
    assert offered(shop, bearing_job["job"])[0] == [part]


def test_a_kept_decision_holds_what_lay_on_the_shelf_and_can_be_sent_whole_again(
    shop: Shop, bearing_job: dict[str, str]
) -> None:
    as_of = f"{now():%Y-%m-%dT%H:%M:%SZ}"
    options = shop.get(f"/jobs/{bearing_job['job']}/options", as_of=as_of).json()
    chosen = {"plan_id": options["recommended"], "decided_by": "service desk", "as_of": as_of}
    kept = shop.post(f"/jobs/{bearing_job['job']}/decisions", chosen).json()
    on_the_shelf = {one["id"] for one in kept["snapshot"]["salvaged_parts"]}
    assert on_the_shelf == {bearing_job["one"], bearing_job["other"]}
    again = shop.post("/calculations/decision", kept["snapshot"])
    assert again.status_code == 200, again.text
    assert again.json() == kept["result"]
    assert shop.call("POST", f"/decisions/{kept['id']}/replays").json()["agrees"]

    kept["snapshot"]["salvaged_parts"][0]["donor_unit_id"] = "unt_none"
    refused = shop.post("/calculations/decision", kept["snapshot"])
    assert error_of(refused, "/salvaged_parts/0/donor_unit_id")


def test_a_decision_kept_before_there_was_a_shelf_still_agrees() -> None:
    members = snapshots.snapshot(
        parts=[snapshots.part("gear")],
        positions=[snapshots.position("gear")],
        **snapshots.looks(gear="none"),
    )
    snapshot = from_builtins(members, Snapshot)
    result = decide(snapshot)
    frozen = freeze(
        "dec_1", snapshot, result, plan_id=str(result.recommended), decided_by="service desk",
        reason=None, expected_hash=None, today=snapshot.as_of.date(),
    )  # fmt: skip
    old = json.loads(frozen.snapshot_json)
    del old["salvaged_parts"]
    old_text = json.dumps(old)
    old_hash = hashlib.sha256(old_text.encode()).hexdigest()
    answer = json.loads(frozen.result_json)
    answer["snapshot_hash"] = old_hash
    for plan in answer["plans"]:
        for line in plan["lines"]:
            del line["salvaged_part_ids"]
    before = replace(
        frozen,
        snapshot_json=old_text,
        snapshot_hash=old_hash,
        result_json=json.dumps(answer),
    )
    told = replay(before)
    assert told.differences == ()
    assert told.agrees
