"""Every kind of record that may be changed is changed by its reader alone, and lost by nobody."""

import json
from typing import Any

import pytest

from api.app import Api
from tests.api import bodies
from tests.api.bodies import Shop, error_of
from tests.api.test_records import World

MERGE_PATCH = "application/merge-patch+json"
KEPT = ("/serviceability-rulings", "/findings", "/shop-settings")
CHANGES: dict[str, dict[str, Any]] = {
    "/parts": {"name": "Input bearing, open"},
    "/assemblies": {"notes": "Two speeds."},
    "/access-groups": {"name": "Case apart"},
    "/positions": {"renewal_rule": "always", "cautions": []},
    "/position-sets": {"kind": "renewed-together"},
    "/labour-operations": {"p90_hours": "1.4"},
    "/characteristics": {"service_lower": {"value": "19.990"}},
    "/interchange-claims": {"rework_note": "Chamfer the bore.", "rework_p90_hours": "0.5"},
    "/units": {"serial_number": "LF-7"},
    "/suppliers": {"order_cutoff": "15:30"},
    "/offers": {"price": {"amount": "12.40"}},
    "/jobs": {"state": "opened", "cause": "Seal worn."},
}


def change(shop: Shop, path: str, patch: Any, version: int | str | None) -> Any:
    headers = {"Content-Type": MERGE_PATCH}
    if version is not None:
        headers["If-Match"] = f'"{version}"' if isinstance(version, int) else version
    return shop.call("PATCH", path, content=json.dumps(patch), headers=headers)


def retire(shop: Shop, path: str, version: int | None) -> Any:
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    return shop.call("DELETE", path, headers=headers)


@pytest.fixture
def world(shop: Shop) -> World:
    return World(shop)


def test_every_kind_is_changed_member_by_member(shop: Shop, world: World) -> None:
    changeable = {path for path in world.made if path not in KEPT}
    assert set(CHANGES) <= changeable
    for path, patch in CHANGES.items():
        where = f"{path}/{world.made[path][0]}"
        before = shop.get(where).json()
        answer = change(shop, where, patch, before["version"])
        assert answer.status_code == 200, (path, answer.text)
        after = answer.json()
        assert answer.headers["etag"] == f'"{before["version"] + 1}"'
        assert after["version"] == before["version"] + 1
        assert after["updated_at"] > before["updated_at"]
        assert after == shop.get(where).json()
        untouched = before.keys() - patch.keys() - {"version", "updated_at"}
        assert {name: after[name] for name in untouched} == {n: before[n] for n in untouched}
        assert after != {**before, "version": after["version"], "updated_at": after["updated_at"]}


def test_a_patch_that_changes_nothing_keeps_the_version(shop: Shop, world: World) -> None:
    for path in CHANGES:
        where = f"{path}/{world.made[path][0]}"
        before = shop.get(where).json()
        same = {"name": before["name"]} if "name" in before else {}
        for patch in ({}, same):
            answer = change(shop, where, patch, before["version"])
            assert answer.status_code == 200, answer.text
            assert answer.json() == before


def test_every_kind_sent_again_as_it_was_read_is_the_same(shop: Shop, world: World) -> None:
    """What is read can be sent back: nothing of a record is lost on the way out and in."""
    for path in CHANGES:
        where = f"{path}/{world.made[path][0]}"
        before = shop.get(where).json()
        told = {"id", "version", "created_at", "updated_at", "taken_position_ids"}
        patch = {name: value for name, value in before.items() if name not in told}
        answer = change(shop, where, patch, before["version"])
        assert answer.status_code == 200, (path, answer.text)
        assert answer.json() == before


def test_a_quantity_is_kept_as_it_was_entered_last(shop: Shop, world: World) -> None:
    where = f"/characteristics/{world.made['/characteristics'][0]}"
    answer = change(shop, where, {"service_lower": {"value": "19.9950"}}, 1)
    assert answer.json()["version"] == 2
    assert answer.json()["service_lower"]["value"] == "19.9950"


def test_a_body_is_refused_where_none_is_read(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    for method in ("GET", "DELETE"):
        answer = shop.call(method, f"/suppliers/{supplier}", json={}, headers={"If-Match": '"1"'})
        assert answer.status_code == 415
        assert answer.json()["type"] == "/problems/media-type"
    assert shop.get(f"/suppliers/{supplier}").status_code == 200


@pytest.mark.parametrize(
    ("tag", "status", "problem"),
    [
        (None, 428, "precondition-required"),
        ("*", 428, "precondition-required"),
        ('W/"1"', 412, "stale-version"),
        ('"2"', 412, "stale-version"),
        ('"01"', 412, "stale-version"),
        ('""', 412, "stale-version"),
        ("1", 400, "bad-request"),
        ('"1', 400, "bad-request"),
        ('"7", "1"', 200, None),
    ],
)
def test_a_change_says_which_version_it_was_made_for(
    shop: Shop, tag: str | None, status: int, problem: str | None
) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    answer = change(shop, f"/suppliers/{supplier}", {"notes": "Rings back."}, tag)
    assert answer.status_code == status, answer.text
    if problem is not None:
        assert answer.json()["type"] == f"/problems/{problem}"
        assert shop.get(f"/suppliers/{supplier}").json()["notes"] is None
    if problem == "stale-version":
        assert answer.json()["current_version"] == 1


def test_of_two_changes_made_for_one_version_the_second_is_refused(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    assert change(shop, f"/suppliers/{supplier}", {"notes": "First."}, 1).status_code == 200
    assert change(shop, f"/suppliers/{supplier}", {"notes": "Second."}, 1).status_code == 412
    assert shop.get(f"/suppliers/{supplier}").json()["notes"] == "First."


@pytest.mark.parametrize(
    ("patch", "pointer", "code"),
    [
        ({"colour": "red"}, "/colour", "unknown-member"),
        ({"colour": None}, "/colour", "unknown-member"),
        ({"id": "sup_1"}, "/id", "unknown-member"),
        ({"freight": {"amount": 9.5}}, "/freight/amount", "decimal-format"),
        ({"freight": None}, "/freight", "missing"),
        ({"delivery": "by-cart"}, "/delivery", "not-listed"),
        ([], "", "object-type"),
        ("text", "", "object-type"),
    ],
)
def test_a_bad_patch_names_the_member_and_changes_nothing(
    shop: Shop, patch: Any, pointer: str, code: str
) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    answer = change(shop, f"/suppliers/{supplier}", patch, 1)
    assert error_of(answer, pointer)["code"] == code
    assert shop.get(f"/suppliers/{supplier}").json()["version"] == 1


def test_a_patch_is_sent_as_a_merge_patch(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    answer = shop.call("PATCH", f"/suppliers/{supplier}", json={}, headers={"If-Match": '"1"'})
    assert answer.status_code == 415
    assert answer.json()["accepted"] == [MERGE_PATCH]


def test_what_a_record_belongs_to_stays(shop: Shop, world: World) -> None:
    other = shop.make("/assemblies", bodies.assembly())
    position = world.made["/positions"][0]
    version = shop.get(f"/positions/{position}").json()["version"]
    answer = change(shop, f"/positions/{position}", {"assembly_id": other}, version)
    assert error_of(answer, "/assembly_id")["code"] == "fixed-member"
    ruling = {"serviceability": {"ruling": "serviceable"}}
    answer = change(shop, f"/positions/{position}", ruling, version)
    assert "serviceability-rulings" in error_of(answer, "/serviceability")["fix"]


def test_a_position_never_comes_to_lie_inside_itself(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    outer = shop.make("/positions", {"assembly_id": assembly, "name": "Carrier"})
    inner = {"assembly_id": assembly, "name": "Pin", "parent_id": outer}
    pin = shop.make("/positions", inner)
    answer = change(shop, f"/positions/{outer}", {"parent_id": pin}, 1)
    assert error_of(answer, "/parent_id")["code"] == "cycle"
    answer = change(shop, f"/positions/{outer}", {"parent_id": outer}, 1)
    assert error_of(answer, "/parent_id")["code"] == "cycle"


def test_a_tree_never_grows_too_deep_by_moving_a_branch(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())

    def chain(length: int) -> list[str]:
        made: list[str] = []
        for _ in range(length):
            body = {"assembly_id": assembly, "name": "Ring"}
            made.append(shop.make("/positions", {**body, "parent_id": made[-1]} if made else body))
        return made

    upper, lower = chain(11), chain(10)
    answer = change(shop, f"/positions/{lower[0]}", {"parent_id": upper[-1]}, 1)
    assert error_of(answer, "/parent_id")["code"] == "too-deep"
    assert change(shop, f"/positions/{lower[0]}", {"parent_id": upper[-2]}, 1).status_code == 200


def test_a_kit_never_comes_to_hold_itself_by_way_of_another(shop: Shop) -> None:
    inner = shop.make("/parts", bodies.part())
    outer = shop.make("/parts", bodies.part(kit_lines=[{"part_id": inner}]))
    answer = change(shop, f"/parts/{inner}", {"kit_lines": [{"part_id": outer}]}, 1)
    assert error_of(answer, "/kit_lines")["code"] == "cycle"


def test_a_characteristic_with_findings_keeps_what_it_is_judged_by(
    shop: Shop, world: World
) -> None:
    where = f"/characteristics/{world.made['/characteristics'][0]}"
    patch = {"service_lower": None, "worst_acceptable_grade": "light"}
    answer = change(shop, where, patch, 1)
    assert error_of(answer, "/worst_acceptable_grade")["code"] == "fixed-member"


def test_what_another_shop_found_is_kept_to_and_not_told(
    shop: Shop, other_shop: Shop, world: World
) -> None:
    position, characteristic = (world.made[one][0] for one in ("/positions", "/characteristics"))
    fine = shop.make(
        "/characteristics",
        {"position_id": position, "name": "Bore", "service_upper": bodies.mm("20.02")},
    )
    unit = other_shop.make(
        "/units", {"assembly_id": world.made["/assemblies"][0], "kind": "customer"}
    )
    theirs = other_shop.make("/findings", bodies.finding(unit, position, fine))
    patch = {"service_upper": None, "worst_acceptable_grade": "light"}
    answer = change(shop, f"/characteristics/{fine}", patch, 1)
    told = error_of(answer, "/worst_acceptable_grade")["detail"]
    assert "other shops" in told
    assert theirs not in answer.text
    assert characteristic != fine


def test_a_job_takes_only_the_steps_that_lead_on(shop: Shop, world: World) -> None:
    where = f"/jobs/{world.made['/jobs'][0]}"
    answer = change(shop, where, {"state": "fitted"}, 1)
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/state-conflict"
    assert answer.json()["allowed_states"] == ["opened", "closed"]
    version = 1
    steps = "opened measured offered agreed supplied fitted proved handed-over came-back closed"
    for state in steps.split():
        answer = change(shop, where, {"state": state}, version)
        assert answer.status_code == 200, answer.text
        version += 1
    answer = change(shop, where, {"state": "opened"}, version)
    assert answer.json()["allowed_states"] == ["came-back"]


def test_a_customers_unit_is_no_donor_until_released_and_its_job_closed(
    shop: Shop, world: World
) -> None:
    unit, job = (world.made[path][0] for path in ("/units", "/jobs"))
    terms = {"is_owned": True, "undisturbed_worth": bodies.money("90.00")}
    patch = {"kind": "donor", "donor": terms}
    answer = change(shop, f"/units/{unit}", patch, 1)
    assert error_of(answer, "/released_on")
    released = {**patch, "released_on": "2026-02-11"}
    answer = change(shop, f"/units/{unit}", released, 1)
    assert answer.json()["type"] == "/problems/state-conflict", answer.text
    assert job in answer.json()["detail"]
    stock = {**patch, "kind": "stock"}
    assert error_of(change(shop, f"/units/{unit}", stock, 1), "/released_on")
    assert change(shop, f"/jobs/{job}", {"state": "closed"}, 1).status_code == 200
    answer = change(shop, f"/units/{unit}", released, 1)
    assert answer.status_code == 200, answer.text
    assert answer.json()["kind"] == "donor"


def test_what_another_shop_wrote_is_read_and_not_changed(
    shop: Shop, other_shop: Shop, world: World
) -> None:
    for path, patch in CHANGES.items():
        where = f"{path}/{world.made[path][0]}"
        version = shop.get(where).json()["version"]
        is_read = other_shop.get(where).status_code == 200
        for answer in (
            change(other_shop, where, patch, version),
            retire(other_shop, where, version),
        ):
            assert answer.status_code == (403 if is_read else 404), (path, answer.text)
            name = "not-the-author" if is_read else "not-found"
            assert answer.json()["type"] == f"/problems/{name}"
        assert shop.get(where).json()["version"] == version


def test_a_reader_changes_and_retires_nothing(app: Api, reader: Shop) -> None:
    assert change(reader, "/suppliers/sup_1", {}, 1).status_code == 403
    assert retire(reader, "/suppliers/sup_1", 1).status_code == 403


@pytest.mark.parametrize("path", KEPT)
def test_what_is_only_ever_added_has_no_change_and_no_end(
    shop: Shop, world: World, path: str
) -> None:
    where = f"{path}/{world.made[path][0]}"
    for answer in (change(shop, where, {}, 1), retire(shop, where, 1)):
        assert answer.status_code == 405
        assert answer.json()["allowed"] == ["GET", "HEAD", "OPTIONS"]
        assert answer.headers["allow"] == "GET, HEAD, OPTIONS"


# --- retire ----------------------------------------------------------------------------------


def test_a_record_in_use_names_its_users(shop: Shop, world: World) -> None:
    expected = {
        "/assemblies": {"/positions", "/access-groups", "/units", "/labour-operations"},
        "/positions": {"/characteristics", "/position-sets", "/labour-operations"},
        "/units": {"/findings", "/jobs"},
        "/suppliers": {"/offers"},
        "/parts": {"/positions", "/offers", "/interchange-claims"},
    }
    for path, users in expected.items():
        where = f"{path}/{world.made[path][0]}"
        answer = retire(shop, where, shop.get(where).json()["version"])
        assert answer.status_code == 409, (path, answer.text)
        assert answer.json()["type"] == "/problems/in-use"
        named = {user["id"] for user in answer.json()["used_by"]}
        assert {world.made[user][0] for user in users} <= named, path
        assert shop.get(where).status_code == 200


def test_at_most_ten_users_are_named(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    for _ in range(12):
        part = shop.make("/parts", bodies.part())
        shop.make("/offers", bodies.offer(supplier, part_id=part))
    answer = retire(shop, f"/suppliers/{supplier}", 1)
    assert len(answer.json()["used_by"]) == 10
    assert "not listed" in answer.json()["detail"]


def test_another_shops_users_are_not_named(shop: Shop, other_shop: Shop) -> None:
    part = shop.make("/parts", bodies.part())
    supplier = other_shop.make("/suppliers", bodies.supplier())
    offer = other_shop.make("/offers", bodies.offer(supplier, part_id=part))
    answer = retire(shop, f"/parts/{part}", 1)
    assert answer.status_code == 409
    assert answer.json()["used_by"] == []
    assert "other shops" in answer.json()["detail"]
    assert offer not in answer.text


def test_a_retired_record_is_gone_and_its_name_free(shop: Shop) -> None:
    body = bodies.part()
    part = shop.make("/parts", body)
    assert retire(shop, f"/parts/{part}", None).status_code == 428
    assert retire(shop, f"/parts/{part}", 7).status_code == 412
    answer = retire(shop, f"/parts/{part}", 1)
    assert (answer.status_code, answer.content) == (204, b"")
    assert shop.get(f"/parts/{part}").status_code == 404
    assert retire(shop, f"/parts/{part}", 1).status_code == 404
    assert shop.make("/parts", body) != part


def test_a_position_goes_with_its_rulings_and_a_set_with_its_members(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    positions = [
        shop.make("/positions", {"assembly_id": assembly, "name": name}) for name in ("A", "B")
    ]
    body = {"assembly_id": assembly, "kind": "matched", "name": "Pair", "position_ids": positions}
    pair = shop.make("/position-sets", body)
    assert retire(shop, f"/positions/{positions[0]}", 1).status_code == 409
    assert retire(shop, f"/position-sets/{pair}", 1).status_code == 204
    assert retire(shop, f"/positions/{positions[0]}", 1).status_code == 204
    answer = shop.get("/serviceability-rulings", position_id=positions[0])
    assert answer.json()["items"] == []


# --- what changed ----------------------------------------------------------------------------


def test_changes_come_in_their_order_with_what_was_retired(shop: Shop) -> None:
    first, second, third = (shop.make("/suppliers", bodies.supplier()) for _ in range(3))
    start = shop.get("/suppliers", updated_since="0").json()
    assert [item["id"] for item in start["items"]] == [first, second, third]
    assert start["retired_ids"] == []
    change(shop, f"/suppliers/{first}", {"notes": "Rings back."}, 1)
    retire(shop, f"/suppliers/{second}", 1)
    later = shop.get("/suppliers", updated_since=start["sequence"]).json()
    assert [item["id"] for item in later["items"]] == [first]
    assert later["items"][0]["notes"] == "Rings back."
    assert later["retired_ids"] == [second]
    end = shop.get("/suppliers", updated_since=later["sequence"]).json()
    assert (end["items"], end["retired_ids"]) == ([], [])
    assert end["sequence"] == later["sequence"]


def test_changes_are_paged_without_gap_or_repeat(shop: Shop) -> None:
    made = [shop.make("/suppliers", bodies.supplier()) for _ in range(5)]
    retire(shop, f"/suppliers/{made[3]}", 1)
    found: list[str] = []
    following: str | None = "/suppliers?updated_since=0&limit=2"
    while following:
        answer = shop.get(following).json()
        found += [item["id"] for item in answer["items"]] + answer["retired_ids"]
        following = answer.get("next")
    assert sorted(found) == sorted(made)
    assert found[-1] == made[3]


def test_a_sequence_is_told_only_when_all_of_it_is(shop: Shop) -> None:
    """A position that goes takes its rulings with it: one write, several records."""
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Wheel"})
    ruling = {"ruling": "inspect-only", "reason": "No rig for it."}
    rulings = [
        shop.make("/serviceability-rulings", {**ruling, "position_id": position}) for _ in range(3)
    ]
    since = shop.get("/jobs", updated_since="0").json()["sequence"]
    since = str(max(int(since), newest(shop)))
    assert retire(shop, f"/positions/{position}", 4).status_code == 204
    gone: set[str] = set()
    while True:
        page = shop.get("/serviceability-rulings", updated_since=since, limit="2").json()
        gone |= set(page["retired_ids"])
        if "next" not in page:
            break
        assert page["sequence"] == since, "a part of the write was not told yet"
        page = shop.get(page["next"]).json()
        gone |= set(page["retired_ids"])
        assert "next" not in page
        break
    assert gone >= set(rulings)
    assert len(gone) == 4
    told = shop.get("/audit-entries", record_id=position).json()["items"][-1]
    assert {one["record_id"] for one in told["touched"]} == gone
    assert told["touched"][0]["detail"]["ruling"] in ("serviceable", "inspect-only")


def newest(shop: Shop) -> int:
    """The sequence of a write made just now."""
    made = shop.make("/suppliers", bodies.supplier())
    return int(shop.get("/audit-entries", record_id=made).json()["items"][0]["sequence"])


def test_a_sequence_that_was_never_reached_is_refused(shop: Shop) -> None:
    answer = shop.get("/suppliers", updated_since=str(newest(shop) + 1_000_000))
    assert error_of(answer, "/updated_since")["code"] == "out-of-range"


def test_a_ruling_shows_among_the_changes_of_its_position(shop: Shop, world: World) -> None:
    assert shop.get("/positions", updated_since="0").status_code == 200
    position = world.made["/positions"][0]
    since = shop.get("/serviceability-rulings", updated_since="0", limit="200").json()["sequence"]
    body = {"position_id": position, "ruling": "serviceable", "reason": "A rig was made."}
    ruling = shop.make("/serviceability-rulings", body)
    for path, changed in (("/positions", position), ("/serviceability-rulings", ruling)):
        items = shop.get(path, updated_since=since).json()["items"]
        assert changed in [item["id"] for item in items], path


def test_another_shops_changes_are_not_told(shop: Shop, other_shop: Shop) -> None:
    shop.make("/suppliers", bodies.supplier())
    assert other_shop.get("/suppliers", updated_since="0").json()["items"] == []


@pytest.mark.parametrize(
    "query", [{"updated_since": "yesterday"}, {"updated_since": "-1"}, {"updated_since": "1e3"}]
)
def test_a_sequence_is_a_number(shop: Shop, query: dict[str, str]) -> None:
    assert error_of(shop.get("/suppliers", **query), "/updated_since")


def test_changes_are_asked_for_alone(shop: Shop) -> None:
    answer = shop.get("/suppliers", updated_since="0", name="Plain Bearings")
    assert error_of(answer, "/updated_since")["code"] == "not-together"


# --- order and ranges ------------------------------------------------------------------------


def test_a_list_comes_in_the_order_asked_for_over_its_pages(shop: Shop, world: World) -> None:
    unit, position, characteristic = (
        world.made[path][0] for path in ("/units", "/positions", "/characteristics")
    )
    times = ("2026-03-05T08:00:00Z", "2026-03-01T08:00:00Z", "2026-03-05T08:00:00Z")
    for time in times:
        shop.make("/findings", bodies.finding(unit, position, characteristic, found_at=time))
    for sort, backwards in (("found_at", False), ("-found_at", True)):
        found: list[tuple[str, str]] = []
        following: str | None = f"/findings?sort={sort}&limit=1"
        while following:
            answer = shop.get(following).json()
            found += [(item["found_at"], item["id"]) for item in answer["items"]]
            following = answer.get("next")
        assert len(found) == 4
        assert found == sorted(found, reverse=backwards)


def test_a_list_is_narrowed_from_and_up_to_a_value(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    made = {
        hours: shop.make(
            "/units",
            {"assembly_id": assembly, "kind": "customer", "upper_hours": hours},
        )
        for hours in ("900", "450.5", "1200")
    }
    shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
    answer = shop.get("/units", **{"upper_hours.lte": "900"})
    assert [item["id"] for item in answer.json()["items"]] == [made["450.5"], made["900"]]
    answer = shop.get("/units", **{"upper_hours.gte": "450.6", "upper_hours.lte": "1000"})
    assert [item["id"] for item in answer.json()["items"]] == [made["900"]]
    answer = shop.get("/units", **{"upper_hours.gte": "900", "limit": "1"})
    assert [item["id"] for item in answer.json()["items"]] == [made["900"]]
    answer = shop.get(answer.json()["next"])
    assert [item["id"] for item in answer.json()["items"]] == [made["1200"]]
    assert "next" not in answer.json()


def test_a_list_is_narrowed_by_a_count(shop: Shop) -> None:
    made = [
        shop.make("/stock-items", bodies.stock_item(quantity=quantity)) for quantity in (3, 12, 7)
    ]
    answer = shop.get("/stock-items", **{"quantity.gte": "5"})
    assert [item["id"] for item in answer.json()["items"]] == [made[2], made[1]]
    assert error_of(shop.get("/stock-items", **{"quantity.gte": "5.0"}), "/quantity.gte")


def test_a_list_is_narrowed_to_one_of_several_words(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    customer = shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
    donor = shop.make("/units", bodies.donor(assembly))
    answer = shop.get("/units", **{"kind.in": "donor,customer"})
    assert [item["id"] for item in answer.json()["items"]] == [customer, donor]
    answer = shop.get("/units", **{"kind.in": "donor,stock"})
    assert [item["id"] for item in answer.json()["items"]] == [donor]
    assert error_of(shop.get("/units", **{"kind.in": "donor,none"}), "/kind.in")
    assert error_of(shop.get("/units", **{"kind.in": "donor,"}), "/kind.in")


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("sort", "provenance"),
        ("sort", ""),
        ("sort", "--id"),
        ("upper_hours.lte", "many"),
        ("upper_hours.lte", "1e400"),
        ("created_at.gte", "2031-03-04T09:15:00"),
        ("created_at.gte", "2031-02-30T09:15:00Z"),
    ],
)
def test_a_bad_order_or_bound_is_named(shop: Shop, name: str, value: str) -> None:
    assert error_of(shop.get("/units", **{name: value}), f"/{name}")


def test_a_cursor_keeps_to_its_order(shop: Shop) -> None:
    for _ in range(3):
        shop.make("/suppliers", bodies.supplier())
    following = shop.get("/suppliers", sort="-created_at", limit="1").json()["next"]
    assert shop.get(f"{following}&sort=-created_at").status_code == 200
    answer = shop.get(f"{following}&sort=created_at")
    assert answer.json()["type"] == "/problems/cursor-invalid"
