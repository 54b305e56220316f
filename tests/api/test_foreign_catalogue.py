"""What another shop records in the catalogue never keeps a shop from its own answers."""

from typing import Any

from tests.api import bodies as b
from tests.api.bodies import Shop


class Bench:
    """A shop with a job on an assembly of its own, whose one position calls for a part."""

    def __init__(self, shop: Shop, **position: Any) -> None:
        self.shop = shop
        shop.make("/shop-settings", b.settings())
        self.part_id = shop.make("/parts", b.part())
        self.assembly_id = shop.make("/assemblies", b.assembly())
        self.position_id = shop.make(
            "/positions",
            {
                "assembly_id": self.assembly_id,
                "name": "Bearing",
                "part_id": self.part_id,
                **position,
            },
        )
        unit_id = shop.make("/units", {"assembly_id": self.assembly_id, "kind": "customer"})
        self.job_id = shop.make(
            "/jobs", {"unit_id": unit_id, "complaint": "Noisy.", "horizon_hours": "1000"}
        )

    def options(self) -> dict[str, Any]:
        answer = self.shop.get(f"/jobs/{self.job_id}/options")
        assert answer.status_code == 200, answer.text
        return dict(answer.json())

    def offered(self, **offer: Any) -> str:
        """A part of the shop's own with an offer for it; its id."""
        part_id = self.shop.make("/parts", b.part())
        supplier_id = self.shop.make("/suppliers", b.supplier())
        self.shop.make("/offers", b.offer(supplier_id, part_id=part_id, **offer))
        return part_id


def claim(part_id: str, stand_in_part_id: str, **more: Any) -> dict[str, Any]:
    return {
        "part_id": part_id,
        "stand_in_part_id": stand_in_part_id,
        "evidence_kind": "fitted-and-run",
        "evidence": "Fitted, ran a year.",
        **more,
    }


def left_out(options: dict[str, Any]) -> list[str]:
    return [told for told in options["assumptions"] if "not reckoned with" in told]


def test_a_claim_by_another_shop_in_another_currency_is_left_out_and_told(
    shop: Shop, other_shop: Shop
) -> None:
    bench = Bench(shop)
    stand_in_id = bench.offered()
    before = bench.options()
    body = claim(bench.part_id, stand_in_id, rework_cost=b.money("5.00", "USD"))
    other_shop.make("/interchange-claims", body)
    after = bench.options()
    assert after["plans"] == before["plans"]
    assert left_out(before) == []
    assert len(left_out(after)) == 1
    assert left_out(after)[0].startswith("1 record on what may stand in ")


def test_a_claim_by_another_shop_in_the_shops_currency_is_a_source(
    shop: Shop, other_shop: Shop
) -> None:
    bench = Bench(shop)
    stand_in_id = bench.offered(description="Bearing of the neighbour's")
    assert "Bearing of the neighbour's" not in str(bench.options())
    body = claim(bench.part_id, stand_in_id, rework_cost=b.money("5.00"))
    other_shop.make("/interchange-claims", body)
    options = bench.options()
    assert "Bearing of the neighbour's" in str(options)
    assert left_out(options) == []


def test_a_kept_decision_replays_with_what_was_left_out(shop: Shop, other_shop: Shop) -> None:
    bench = Bench(shop)
    stand_in_id = bench.offered()
    body = claim(bench.part_id, stand_in_id, rework_cost=b.money("5.00", "USD"))
    other_shop.make("/interchange-claims", body)
    shop.make("/labour-operations", b.operation(bench.assembly_id, position_id=bench.position_id))
    supplier_id = shop.make("/suppliers", b.supplier())
    shop.make("/offers", b.offer(supplier_id, part_id=bench.part_id))
    options = bench.options()
    decision_id = shop.make(
        f"/jobs/{bench.job_id}/decisions",
        {
            "plan_id": options["recommended"],
            "decided_by": "service desk",
            "as_of": options["as_of"],
            "snapshot_hash": options["snapshot_hash"],
        },
    )
    decision = shop.get(f"/decisions/{decision_id}").json()
    assert decision["snapshot"]["claims_left_out"] == 1
    assert shop.call("POST", f"/decisions/{decision_id}/replays").json()["agrees"]
    body = {**decision["snapshot"]}
    again = shop.call("POST", "/calculations/decision", json=body)
    assert again.status_code == 200, again.text
    assert left_out(again.json()) == left_out(options)


def test_rework_beyond_all_measure_claimed_by_another_shop_is_left_out(
    shop: Shop, other_shop: Shop
) -> None:
    bench = Bench(shop, quantity=10_000)
    extremes = (
        {"rework_p50_hours": "1", "rework_p90_hours": "1000000"},
        {"rework_cost": b.money("9999999.00")},
        {"rework_cost": b.money("100001.00")},
        {"rework_p50_hours": "200", "rework_p90_hours": "200"},
    )
    for extreme in extremes:
        other_shop.make("/interchange-claims", claim(bench.part_id, bench.offered(), **extreme))
    assert left_out(bench.options())[0].startswith(f"{len(extremes)} records on what may stand in ")


def test_another_shop_cannot_bury_a_part_under_claims(shop: Shop, other_shop: Shop) -> None:
    bench = Bench(shop)
    stand_in_id = bench.offered()
    for _ in range(14):
        other_shop.make("/interchange-claims", claim(bench.part_id, stand_in_id))
    for _ in range(3):  # nothing that the shop could buy: no source, and nothing to tell
        elsewhere = other_shop.make("/parts", b.part())
        other_shop.make("/interchange-claims", claim(bench.part_id, elsewhere))
    assert left_out(bench.options())[0].startswith("4 records on what may stand in ")


def test_a_kit_that_holds_kits_is_planned_with(shop: Shop, other_shop: Shop) -> None:
    bench = Bench(shop)
    inner = other_shop.make("/parts", b.part())
    middle = other_shop.make("/parts", b.part(kit_lines=[{"part_id": inner}]))
    outer = other_shop.make(
        "/parts", b.part(kit_lines=[{"part_id": middle}, {"part_id": bench.part_id}])
    )
    supplier_id = shop.make("/suppliers", b.supplier())
    shop.make("/offers", b.offer(supplier_id, part_id=outer, description="Kit of kits"))
    assert "Kit of kits" in str(bench.options())


def test_a_part_called_for_is_a_kit_of_kits(shop: Shop, other_shop: Shop) -> None:
    bench = Bench(shop)
    inner = other_shop.make("/parts", b.part())
    middle = other_shop.make("/parts", b.part(kit_lines=[{"part_id": inner}]))
    lines = [{"part_id": middle, "quantity": 10_000}]
    theirs = other_shop.make("/parts", b.part(kit_lines=lines))
    tag = {"If-Match": '"1"', "Content-Type": "application/merge-patch+json"}
    patched = shop.call(
        "PATCH", f"/positions/{bench.position_id}", json={"part_id": theirs}, headers=tag
    )
    assert patched.status_code == 200, patched.text
    bench.options()


def test_what_other_shops_warn_of_is_told_once_however_many_positions_call_for_the_part(
    shop: Shop, other_shop: Shop
) -> None:
    bench = Bench(shop)
    for number in range(3):
        shop.make(
            "/positions",
            {
                "assembly_id": bench.assembly_id,
                "name": f"Bearing {number}",
                "part_id": bench.part_id,
            },
        )
    other_shop.make("/cautions", b.caution(part_id=bench.part_id, text="Cage bursts."))
    told = [caution["text"] for caution in bench.options()["cautions"]]
    assert told.count("Cage bursts.") == 1


def test_a_part_that_other_shops_plan_with_keeps_what_it_stands_for(
    shop: Shop, other_shop: Shop
) -> None:
    theirs = other_shop.make("/parts", b.part(generic_designation="6204-2RS"))
    tag = {"If-Match": '"1"', "Content-Type": "application/merge-patch+json"}
    assembly = shop.make("/assemblies", b.assembly())
    shop.make("/positions", {"assembly_id": assembly, "name": "Bearing", "part_id": theirs})
    held = [{"part_id": other_shop.make("/parts", b.part())}]
    for change in ({"generic_designation": "6205-2RS"}, {"kit_lines": held}):
        answer = other_shop.call("PATCH", f"/parts/{theirs}", json=change, headers=tag)
        assert answer.status_code == 409, answer.text
        assert answer.json()["type"] == "/problems/in-use"
    renamed = {"name": "Bearing, shielded"}
    answer = other_shop.call("PATCH", f"/parts/{theirs}", json=renamed, headers=tag)
    assert answer.status_code == 200
