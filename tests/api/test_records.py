"""Every kind of record can be stored, read and listed; what is a shop's own is a shop's own."""

from datetime import UTC, datetime
from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh


class World:
    """One assembly with something of every kind on it."""

    def __init__(self, shop: Shop) -> None:
        self.made: dict[str, tuple[str, dict[str, Any]]] = {}
        self.shop = shop
        part = self.make("/parts", bodies.part())
        stand_in = shop.make("/parts", bodies.part())
        assembly = self.make("/assemblies", bodies.assembly())
        group = self.make("/access-groups", {"assembly_id": assembly, "name": "Case parted"})
        position = self.make(
            "/positions",
            {
                "assembly_id": assembly,
                "name": "Input bearing",
                "part_id": part,
                "access_group_id": group,
                "cautions": [{"kind": "hazard", "text": "Spring under the cover."}],
            },
        )
        second = shop.make("/positions", {"assembly_id": assembly, "name": "Wheel"})
        self.make(
            "/position-sets",
            {
                "assembly_id": assembly,
                "kind": "matched",
                "name": "Pair",
                "position_ids": [position, second],
            },
        )
        operation = self.make(
            "/labour-operations", bodies.operation(assembly, position_id=position)
        )
        characteristic = self.make(
            "/characteristics",
            {
                "position_id": position,
                "name": "Seat",
                "service_lower": {"value": "19.995", "unit": "mm"},
            },
        )
        self.make(
            "/serviceability-rulings",
            {"position_id": position, "ruling": "inspect-only", "reason": "No rig for it."},
        )
        self.make(
            "/interchange-claims",
            {
                "part_id": part,
                "stand_in_part_id": stand_in,
                "evidence_kind": "fitted-and-run",
                "evidence": "Fitted in job 118.",
            },
        )
        unit = self.make("/units", {"assembly_id": assembly, "kind": "customer"})
        self.make("/findings", bodies.finding(unit, position, characteristic))
        self.make("/shop-settings", bodies.settings())
        supplier = self.make("/suppliers", bodies.supplier())
        self.make("/offers", bodies.offer(supplier, part_id=part))
        self.make("/exchange-rates", bodies.exchange_rate())
        job = self.make("/jobs", {"unit_id": unit, "complaint": "Noisy."})
        self.bench(
            assembly=assembly,
            position=position,
            operation=operation,
            part=part,
            later=stand_in,
            unit=unit,
            job=job,
            supplier=supplier,
        )
        donor = shop.make("/units", bodies.donor(assembly, released_on="2026-02-11"))
        salvaged = self.make("/salvaged-parts", bodies.salvaged_part(donor, second))
        self.make("/reservations", bodies.reservation(salvaged, job))
        self.make("/fitments", bodies.fitment(job, position, part_id=part))

    def bench(self, **ids: str) -> None:
        """What is recorded at the bench: tools, stock, shims, deliveries, how the job ended."""
        self.make("/special-tools", bodies.special_tool(ids["assembly"], ids["operation"]))
        self.make("/stock-items", bodies.stock_item(part_id=ids["part"]))
        self.make("/cautions", bodies.caution(position_id=ids["position"]))
        self.make("/supersessions", bodies.supersession(ids["part"], ids["later"]))
        places = bodies.shim_place(ids["position"], assortment=[{"part_id": ids["part"]}])
        self.make("/shim-places", places)
        self.make("/gauges", bodies.gauge())
        self.make("/shim-packs", bodies.shim_pack(ids["unit"], position_id=ids["position"]))
        self.make("/deliveries", bodies.delivery(ids["supplier"], ids["part"], job_id=ids["job"]))
        self.make("/outcomes", bodies.outcome(ids["job"], ids["position"]))

    def make(self, path: str, body: dict[str, Any]) -> str:
        record_id = self.shop.make(path, body)
        self.made[path] = (record_id, body)
        return record_id


PRIVATE = (
    "/units",
    "/gauges",
    "/findings",
    "/suppliers",
    "/offers",
    "/exchange-rates",
    "/shop-settings",
    "/jobs",
    "/stock-items",
    "/shim-packs",
    "/deliveries",
    "/outcomes",
    "/salvaged-parts",
    "/reservations",
    "/fitments",
)


@pytest.fixture
def world(shop: Shop) -> World:
    return World(shop)


def in_utc(moment: str) -> str:
    """A moment as it is answered, whatever the offset it was sent with."""
    return datetime.fromisoformat(moment).astimezone(UTC).isoformat().replace("+00:00", "Z")


def includes(stored: Any, sent: Any) -> bool:
    """Whether all that was sent stands in what is stored."""
    if isinstance(sent, dict):
        return all(includes(stored[name], value) for name, value in sent.items())
    if isinstance(sent, list):
        return len(stored) == len(sent) and all(map(includes, stored, sent))
    return bool(stored == sent)


def test_every_kind_reads_back_as_it_was_sent(shop: Shop, world: World) -> None:
    assert len(world.made) == 28
    for path, (record_id, sent) in world.made.items():
        answer = shop.get(f"{path}/{record_id}")
        assert answer.status_code == 200, answer.text
        stored = answer.json()
        assert stored["id"] == record_id
        assert stored["version"] >= 1
        assert stored["created_at"].endswith("Z")
        expected = {
            name: in_utc(value) if name.endswith("_at") else value for name, value in sent.items()
        }
        assert includes(stored, expected), (path, stored)


def test_every_kind_is_in_its_list(shop: Shop, world: World) -> None:
    for path, (record_id, _) in world.made.items():
        found: list[str] = []
        following = f"{path}?limit=200"
        while following:
            answer = shop.get(following)
            assert answer.status_code == 200, answer.text
            found += [item["id"] for item in answer.json()["items"]]
            following = answer.json().get("next")
        assert record_id in found, path


@pytest.mark.parametrize("path", PRIVATE)
def test_another_shops_record_is_not_found(other_shop: Shop, world: World, path: str) -> None:
    answer = other_shop.get(f"{path}/{world.made[path][0]}")
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/not-found"
    assert other_shop.get(path).json()["items"] == []


def test_the_catalogue_is_read_by_all_shops(other_shop: Shop, world: World) -> None:
    for path in world.made.keys() - set(PRIVATE):
        assert other_shop.get(f"{path}/{world.made[path][0]}").status_code == 200, path


def test_another_shops_unit_cannot_be_referred_to(other_shop: Shop, world: World) -> None:
    unit_id = world.made["/units"][0]
    answer = other_shop.post("/jobs", {"unit_id": unit_id, "complaint": "Noisy."})
    assert error_of(answer, "/unit_id")


def test_a_ruling_changes_what_the_position_says(shop: Shop, world: World) -> None:
    position = shop.get(f"/positions/{world.made['/positions'][0]}").json()
    assert position["serviceability"]["ruling"] == "inspect-only"
    assert position["serviceability"]["reason"] == "No rig for it."


def test_a_position_keeps_the_ruling_it_was_stored_with(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    ruling = {"ruling": "replace-as-assembly", "reason": "Lapped together.", "evidence": None}
    body = {"assembly_id": assembly, "name": "Pair", "serviceability": ruling}
    position_id = shop.make("/positions", body)
    assert shop.get(f"/positions/{position_id}").json()["serviceability"] == ruling


def test_the_positions_of_an_assembly_are_listed_below_it(shop: Shop, world: World) -> None:
    assembly_id = world.made["/assemblies"][0]
    answer = shop.get(f"/assemblies/{assembly_id}/positions", limit="1")
    assert [item["name"] for item in answer.json()["items"]] == ["Input bearing"]
    second = shop.get(answer.json()["next"])
    assert [item["name"] for item in second.json()["items"]] == ["Wheel"]
    assert "next" not in second.json()
    assert shop.get("/assemblies/asm_none/positions").status_code == 404


def test_a_new_record_says_where_it_is_and_its_version(shop: Shop) -> None:
    answer = shop.post("/suppliers", bodies.supplier())
    assert answer.status_code == 201
    assert answer.headers["location"] == f"/v1/suppliers/{answer.json()['id']}"
    assert answer.headers["etag"] == '"1"'
    assert answer.headers["cache-control"] == "private, no-cache"


def test_a_record_that_the_client_has_already_is_not_sent_again(shop: Shop) -> None:
    record = shop.make("/suppliers", bodies.supplier())
    for tag in ('"1"', 'W/"1"', '"7", "1"', "*"):
        answer = shop.call("GET", f"/suppliers/{record}", headers={"If-None-Match": tag})
        assert answer.status_code == 304, tag
        assert answer.content == b""
        assert answer.headers["etag"] == '"1"'
        assert answer.headers["vary"] == "Authorization"
    answer = shop.call("GET", f"/suppliers/{record}", headers={"If-None-Match": '"2"'})
    assert answer.status_code == 200


def test_shop_settings_count_their_versions_and_lose_none(shop: Shop) -> None:
    first = shop.make("/shop-settings", bodies.settings())
    second = shop.post("/shop-settings", bodies.settings())
    assert second.json()["version"] == 2
    assert second.headers["etag"] == '"2"'
    assert shop.get(f"/shop-settings/{first}").json()["version"] == 1


def test_lists_narrow_by_their_filters(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
    donor = shop.make("/units", bodies.donor(assembly))
    answer = shop.get("/units", kind="donor", assembly_id=assembly)
    assert [item["id"] for item in answer.json()["items"]] == [donor]


def test_next_goes_through_the_whole_list_once(shop: Shop) -> None:
    made = [shop.make("/suppliers", bodies.supplier()) for _ in range(5)]
    found: list[str] = []
    following: str | None = "/suppliers?limit=2"
    while following:
        answer = shop.get(following)
        found += [item["id"] for item in answer.json()["items"]]
        following = answer.json().get("next")
        if following:
            assert answer.headers["link"] == f'<{following}>; rel="next"'
            assert "limit" not in following
    assert found == made


def test_a_duplicate_names_the_record_that_exists(shop: Shop) -> None:
    body = bodies.part()
    first = shop.make("/parts", body)
    answer = shop.post("/parts", body)
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/duplicate"
    assert answer.json()["existing_id"] == first


def test_a_reader_reads_but_stores_nothing(reader: Shop) -> None:
    assert reader.get("/suppliers").status_code == 200
    answer = reader.post("/suppliers", bodies.supplier(name=fresh("Never stored")))
    assert answer.status_code == 403
    assert answer.json()["needed_role"] == "admin"
    assert reader.get("/suppliers").json()["items"] == []
