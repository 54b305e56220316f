"""Who changed what: every write once, in its order, and no shop learns of another's own."""

from itertools import pairwise
from typing import Any

from tests.api import bodies
from tests.api.bodies import Shop, error_of
from tests.api.test_changes import change, retire
from tests.api.test_records import World

Entry = dict[str, Any]


def entries(shop: Shop, **query: str) -> list[Entry]:
    """All entries that a list gives, page by page."""
    found: list[Entry] = []
    answer = shop.get("/audit-entries", **query)
    while True:
        assert answer.status_code == 200, answer.text
        found += answer.json()["items"]
        if "next" not in answer.json():
            return found
        answer = shop.get(answer.json()["next"])


def test_a_record_has_one_entry_for_each_write(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier(name="Millrace Bearings"))
    where = f"/suppliers/{supplier}"
    change(shop, where, {"notes": "Ring first.", "order_cutoff": "15:30"}, 1)
    change(shop, where, {}, 2)
    change(shop, where, {"notes": "Too late."}, 1)
    retire(shop, where, 2)
    made, changed, retired = entries(shop, record_id=supplier)
    for entry in (made, changed, retired):
        assert (entry["kind"], entry["record_id"]) == ("supplier", supplier)
        assert entry["by_own_shop"] is True
        assert entry["key_id"].startswith("key_")
        assert entry["noted_at"].endswith("Z")
    assert (made["action"], made["detail"]) == ("create", None)
    assert changed["action"] == "change"
    assert changed["detail"] == {
        "notes": {"before": None, "after": "Ring first."},
        "order_cutoff": {"before": None, "after": "15:30"},
    }
    assert retired["action"] == "retire"
    assert retired["detail"]["name"] == "Millrace Bearings"
    assert int(made["sequence"]) < int(changed["sequence"]) < int(retired["sequence"])


def test_a_shop_sees_all_that_it_wrote_and_nothing_else(shop: Shop, other_shop: Shop) -> None:
    other_shop.make("/suppliers", bodies.supplier())
    other_shop.make("/parts", bodies.part())
    world = World(shop)
    found = entries(shop, limit="7")
    written = [entry["record_id"] for entry in found if entry["kind"] != "key"]
    assert {record_id for record_id, _ in world.made.values()} <= set(written)
    assert len(written) == len(set(written))
    assert all(entry["by_own_shop"] for entry in found)
    assert all(int(a["sequence"]) < int(b["sequence"]) for a, b in pairwise(found))
    assert found == entries(shop)
    (key,) = (entry for entry in found if entry["kind"] == "key")
    assert key["detail"] == {"note": "role admin"}


def test_another_shops_own_record_has_no_history_for_this_one(shop: Shop, other_shop: Shop) -> None:
    supplier = other_shop.make("/suppliers", bodies.supplier())
    unknown = shop.get("/audit-entries", record_id="sup_none")
    answer = shop.get("/audit-entries", record_id=supplier)
    assert answer.json() == unknown.json() == {"items": [], "limit": 50}
    assert answer.headers.keys() == unknown.headers.keys()


def test_the_history_of_the_catalogue_is_read_by_all_without_the_key(
    shop: Shop, other_shop: Shop
) -> None:
    part = other_shop.make("/parts", bodies.part(name="Bearing"))
    change(other_shop, f"/parts/{part}", {"name": "Bearing, open"}, 1)
    retire(other_shop, f"/parts/{part}", 2)
    found = entries(shop, record_id=part)
    assert [entry["action"] for entry in found] == ["create", "change", "retire"]
    assert {(entry["by_own_shop"], entry["key_id"]) for entry in found} == {(False, None)}
    assert found[1]["detail"] == {"name": {"before": "Bearing", "after": "Bearing, open"}}
    assert {entry["record_id"] for entry in entries(shop)}.isdisjoint({part})


def test_a_cursor_goes_on_in_the_same_history_alone(shop: Shop, other_shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    for version, note in enumerate(("One.", "Two."), 1):
        change(shop, f"/suppliers/{supplier}", {"notes": note}, version)
    answer = shop.get("/audit-entries", record_id=supplier, limit="1")
    following = answer.json()["next"]
    assert answer.headers["link"] == f'<{following}>; rel="next"'
    assert len(entries(shop, record_id=supplier, limit="1")) == 3
    assert other_shop.get(following).json()["type"] == "/problems/cursor-invalid"
    cursor = following.partition("cursor=")[2]
    other = shop.get(f"/audit-entries?record_id=sup_other&cursor={cursor}")
    assert other.json()["type"] == "/problems/cursor-invalid"


def test_the_audit_is_only_read(shop: Shop, reader: Shop) -> None:
    answer = shop.post("/audit-entries", {})
    assert answer.status_code == 405
    assert answer.json()["allowed"] == ["GET", "HEAD", "OPTIONS"]
    assert shop.get("/audit-entries/1").status_code == 404
    assert reader.get("/audit-entries").status_code == 200
    assert shop.call("GET", "/audit-entries", headers={"Authorization": ""}).status_code == 401


def test_a_question_that_the_audit_does_not_know_is_refused(shop: Shop) -> None:
    answer = shop.get("/audit-entries", kind="supplier")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/unknown-parameter"
    assert error_of(shop.get("/audit-entries", record_id="a/b"), "/record_id")
    assert error_of(shop.get("/audit-entries", limit="201"), "/limit")


# --- rulings ---------------------------------------------------------------------------------


def test_the_rulings_of_a_position_and_who_made_them_can_be_followed(
    shop: Shop, other_shop: Shop
) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    first = {"ruling": "replace-as-assembly", "reason": "Set with a rig."}
    position = shop.make(
        "/positions", {"assembly_id": assembly, "name": "Gear pair", "serviceability": first}
    )
    later = [
        {"ruling": "inspect-only", "reason": "No rig for it.", "ruled_by": "bench two"},
        {"ruling": "serviceable", "evidence": "Job 118: set by shims.", "ruled_by": "foreman"},
    ]
    made = [shop.make("/serviceability-rulings", {"position_id": position, **one}) for one in later]
    for reader, is_own in ((shop, True), (other_shop, False)):
        listed = reader.get("/serviceability-rulings", position_id=position).json()["items"]
        assert [one["ruling"] for one in listed] == [
            "replace-as-assembly", "inspect-only", "serviceable",
        ]  # fmt: skip
        assert [one["version"] for one in listed] == [1, 2, 3]
        assert [one["ruled_by"] for one in listed] == [None, "bench two", "foreman"]
        assert [one["id"] for one in listed[1:]] == made
        for ruling_id in made:
            (entry,) = entries(reader, record_id=ruling_id)
            assert (entry["kind"], entry["action"]) == ("serviceability-ruling", "create")
            assert entry["by_own_shop"] is is_own
            assert (entry["key_id"] is not None) is is_own
        # The first came with its position, and stands in the position's entry.
        (entry,) = entries(reader, record_id=listed[0]["id"])
        assert (entry["kind"], entry["action"]) == ("position", "create")
        assert [one["record_id"] for one in entry["touched"]] == [listed[0]["id"]]
        first_entry, *ruled = entries(reader, record_id=position)
        assert first_entry == entry
        assert [one["record_id"] for one in ruled] == made
        read = reader.get(f"/positions/{position}").json()
        assert read["serviceability"]["ruling"] == "serviceable"
        assert read["version"] == 3


def test_the_rulings_of_a_position_are_read_when_it_is_gone(shop: Shop, other_shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    first = {"ruling": "replace-as-assembly", "reason": "Set with a rig."}
    position = shop.make(
        "/positions", {"assembly_id": assembly, "name": "Gear pair", "serviceability": first}
    )
    later = {"ruling": "inspect-only", "reason": "No rig for it.", "ruled_by": "bench two"}
    shop.make("/serviceability-rulings", {"position_id": position, **later})
    listed = shop.get("/serviceability-rulings", position_id=position).json()["items"]
    assert retire(shop, f"/positions/{position}", 2).status_code == 204
    for reader in (shop, other_shop):
        for ruling in listed:
            assert reader.get(f"/serviceability-rulings/{ruling['id']}").status_code == 404
            *_, last = entries(reader, record_id=ruling["id"])
            assert (last["action"], last["record_id"]) == ("retire", position)
            (told,) = (t for t in last["touched"] if t["record_id"] == ruling["id"])
            for member in ("ruling", "reason", "ruled_by", "version"):
                assert told["detail"][member] == ruling[member]


def test_a_ruling_by_another_shop_leaves_no_trace(shop: Shop, other_shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Gear pair"})
    body = {"position_id": position, "ruling": "inspect-only", "reason": "No rig."}
    before = len(entries(other_shop))
    answer = other_shop.post("/serviceability-rulings", body)
    assert error_of(answer, "/position_id")["code"] == "not-the-author"
    assert len(entries(other_shop)) == before
    listed = shop.get("/serviceability-rulings", position_id=position).json()["items"]
    assert [one["ruling"] for one in listed] == ["serviceable"]
