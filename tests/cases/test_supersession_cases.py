"""Situations from the trade: what took the place of a part, and for which units.

Makers and names are invented. The figures are filled in on the source's rule, or made up on it.
"""

from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import Api
from tests.api import bodies
from tests.api.bodies import Shop, fresh
from tests.api.conftest import make_shop

AS_OF = "2031-03-04T09:15:00Z"


@pytest.fixture(scope="module")
def shop(app: Api, client: TestClient[Any]) -> Shop:
    return make_shop(app, client, fresh("Invented workshop"))


def stored(shop: Shop, maker: str, number: str, **more: Any) -> str:
    return shop.make("/parts", bodies.part(maker=maker, number=number, **more))


def got(shop: Shop, path: str, **query: str) -> Any:
    answer = shop.get(path, as_of=AS_OF, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


# --- a serial break whose halves share a number. Source: public: workshop manual page; figures
#     filled in on the source's rule

FIRST, SECOND = "two countersunk screws", "sealant on the mating face"
BREAK = [
    ("99999E", {FIRST}),
    ("341505E", {FIRST}),
    ("341506E", None),
    ("341507E", {SECOND}),
    ("341506", None),
]


class Cover:
    """A cover that is fastened in one way up to a serial number, and in another from it on."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.maker = maker = fresh("Fernbank Tractors")
        self.assembly_id = shop.make("/assemblies", bodies.assembly(maker=maker))
        self.part_id = stored(shop, maker, "CV-1", name="Cover fastening")
        self.names = {
            stored(shop, maker, "CV-2", name=FIRST): FIRST,
            stored(shop, maker, "CV-3", name=SECOND): SECOND,
        }
        position = {"assembly_id": self.assembly_id, "name": "Cover", "part_id": self.part_id}
        self.position_id = shop.make("/positions", position)
        self.halves = ({"serial_to": "341506E"}, {"serial_from": "341506E"})

    def standings(self, **query: str) -> dict[str, str]:
        """What may take the place, by name, and how sure that is."""
        found = got(self.shop, f"/positions/{self.position_id}/candidates", **query)
        return {
            self.names[one["part"]["id"]]: one["standing"]
            for one in found["candidates"]
            if one["part"]["id"] in self.names
        }

    def newest(self, **query: str) -> dict[str, str]:
        """Where the number leads, by name, and the questions that stand open."""
        at = f"/parts/{self.part_id}/newest-numbers"
        found = got(self.shop, at, assembly_id=self.assembly_id, **query)
        return {
            self.names[one["lines"][0]["part"]["id"]]: " ".join(one["questions"])
            for one in found["newest"]
            if one["lines"][0]["part"]["id"] in self.names
        }


@pytest.fixture(scope="module")
def superseded(shop: Shop) -> Cover:
    """The two ways as two later numbers of one part."""
    cover = Cover(shop)
    for later, half in zip(cover.names, cover.halves, strict=True):
        more = {"later_lines": [{"part_id": later}], "assembly_id": cover.assembly_id, **half}
        shop.make("/supersessions", bodies.supersession(cover.part_id, **more))
    return cover


@pytest.mark.parametrize(("serial", "sure"), BREAK)
def test_a_serial_break_is_compared_in_its_own_series(
    superseded: Cover, serial: str, sure: set[str] | None
) -> None:
    standings, newest = superseded.standings(serial=serial), superseded.newest(serial=serial)
    if sure is not None:
        # As text 99999E comes after 341506E.
        assert standings == dict.fromkeys(sure, "usable")
        assert newest == dict.fromkeys(sure, "")
        return
    assert standings == dict.fromkeys((FIRST, SECOND), "cannot-be-told")
    assert set(newest) == {FIRST, SECOND} and all(newest.values())
    asked = "look at the unit" if serial.endswith("E") else "letters"
    assert all(asked in questions for questions in newest.values())


def test_a_unit_on_record_is_read_as_a_serial_number_told(shop: Shop, superseded: Cover) -> None:
    for serial, sure in BREAK:
        unit = {"assembly_id": superseded.assembly_id, "kind": "customer", "serial_number": serial}
        standings = superseded.standings(unit_id=shop.make("/units", unit))
        usable = {name for name, standing in standings.items() if standing == "usable"}
        assert usable == (sure or set()), serial


def test_claims_that_both_name_the_boundary_are_both_shown(shop: Shop) -> None:
    """Claims are no rivals: each says by itself that its part may go in, so both may."""
    cover = Cover(shop)
    for stand_in, half in zip(cover.names, cover.halves, strict=True):
        claim = {
            "part_id": cover.part_id,
            "stand_in_part_id": stand_in,
            "evidence_kind": "maker-bulletin",
            "evidence": "Workshop manual",
            "assembly_id": cover.assembly_id,
            **half,
        }
        shop.make("/interchange-claims", claim)
    for serial, sure in BREAK:
        either = "usable" if serial == "341506E" else "cannot-be-told"
        standings = dict.fromkeys((FIRST, SECOND), either)
        if sure is not None:
            standings = dict.fromkeys(sure, "usable")
        assert cover.standings(serial=serial) == standings, serial


# --- a chain with a one-way step, a kit and a loop. Source: public: aircraft-parts education page;
#     made up on the source's rule


@pytest.fixture(scope="module")
def chain(shop: Shop) -> dict[str, str]:
    """A, then B, then C with the kit K; C listed back to B; C and K can be had."""
    maker = fresh("Larkfield Air Parts")
    ids = {name: stored(shop, maker, f"LA-{name}", name=f"Valve {name}") for name in "ABCK"}
    for earlier, later, more in (
        ("A", "B", {}),
        ("B", "C", {"companion_lines": [{"part_id": ids["K"]}]}),
        ("C", "B", {}),
    ):
        lines = {"later_lines": [{"part_id": ids[later]}]}
        shop.make("/supersessions", bodies.supersession(ids[earlier], **lines, **more))
    supplier_id = shop.make("/suppliers", bodies.supplier())
    for name in "CK":
        shop.make("/offers", bodies.offer(supplier_id, part_id=ids[name]))
    return ids


@pytest.mark.parametrize(("asked", "along"), [("A", ["K"]), ("B", ["K"]), ("C", [])])
def test_a_chain_ends_at_what_can_be_had_with_its_kit(
    shop: Shop, chain: dict[str, str], asked: str, along: list[str]
) -> None:
    found = got(shop, f"/parts/{chain[asked]}/newest-numbers")
    (one,) = found["newest"]
    assert [line["part"]["id"] for line in one["lines"]] == [chain["C"]]
    companions = [(line["part"]["id"], line["quantity"]) for line in one["companions"]]
    assert companions == [(chain[name], 1) for name in along]
    assert one["is_orderable"] is True and one["questions"] == []
    (loop,) = found["loops"]  # told once, and the walk ended
    assert set(loop["part_ids"]) == {chain["B"], chain["C"]}
    assert found["may_go_back_to"] == [] and found["stopped"] is None


def test_the_chain_runs_one_way(shop: Shop, chain: dict[str, str]) -> None:
    forward = got(shop, f"/parts/{chain['A']}/candidates")
    companions = {
        one["part"]["id"]: [line["part"]["id"] for line in one["companions"]]
        for one in forward["candidates"]
    }
    assert companions == {chain["A"]: [], chain["B"]: [], chain["C"]: [chain["K"]]}
    assert len(forward["loops"]) == 1
    for asked in "BC":
        back = got(shop, f"/parts/{chain[asked]}/candidates")
        assert chain["A"] not in [one["part"]["id"] for one in back["candidates"]], asked
