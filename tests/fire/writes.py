"""Every kind of write that the API has, as a table: a new kind joins by one entry.

Each entry prepares what its request points at and gives the request; nothing of it was sent
before, so that each can be made to fail, and then to succeed.
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from api.demo.load import load_scenario
from tests.api import bodies
from tests.api.bodies import Shop, fresh

AS_OF = "2031-03-04T09:15:00Z"
MERGE_PATCH = "application/merge-patch+json"


@dataclass(frozen=True)
class Call:
    """One request that writes, always sent in the same words."""

    method: str
    path: str
    body: Any = None
    headers: dict[str, str] = field(default_factory=dict)
    done: str = "201"
    """The outcome when it is done."""
    done_before: str = "201 repeated"
    """The outcome when it was done before and is sent again."""

    def send(self, shop: Shop) -> Any:
        more = {} if self.body is None else {"json": self.body}
        return shop.call(self.method, self.path, headers=self.headers, **more)


class Ground:
    """What records of most kinds point at, made once."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.assembly = shop.make("/assemblies", bodies.assembly())
        self.positions = [self.position() for _ in range(3)]
        self.part = self.new_part()
        self.parts = [self.new_part() for _ in range(3)]
        about = {"position_id": self.positions[0], "name": "Seat"}
        limit = {"service_lower": {"value": "19.995", "unit": "mm"}}
        self.characteristic = shop.make("/characteristics", {**about, **limit})
        self.unit = shop.make("/units", {"assembly_id": self.assembly, "kind": "customer"})
        self.supplier = shop.make("/suppliers", bodies.supplier())
        self._job: str | None = None
        self._choices: dict[str, Any] = {}

    def position(self) -> str:
        about = {"assembly_id": self.assembly, "name": fresh("Wheel")}
        return self.shop.make("/positions", {**about, "cautions": cautions(3)})

    def job(self) -> str:
        unit = {"assembly_id": self.assembly, "kind": "customer"}
        about = {"unit_id": self.shop.make("/units", unit), "complaint": fresh("Noisy")}
        return self.shop.make("/jobs", about)

    def new_part(self) -> str:
        return self.shop.make("/parts", bodies.part())

    def choice(self) -> tuple[str, dict[str, Any]]:
        """Where a job of the demo scenario is decided, and a choice among its plans."""
        if self._job is None:
            client = self.shop._client
            client.headers.update(self.shop.headers)
            load_scenario(client)
            client.headers.pop("Authorization")
            self._job = self.shop.get("/jobs", limit="200").json()["items"][-1]["id"]
        settings = self.shop.get("/shop-settings", limit="200").json()["items"][-1]["id"]
        if settings not in self._choices:  # other rates, other plans
            options = self.shop.get(f"/jobs/{self._job}/options", as_of=AS_OF)
            plan = {"plan_id": options.json()["recommended"], "as_of": AS_OF}
            self._choices = {settings: {**plan, "decided_by": "service desk"}}
        return f"/jobs/{self._job}/decisions", self._choices[settings]


Prepare = Callable[[Ground], Call]


def cautions(number: int) -> list[dict[str, str]]:
    return [{"kind": "hazard", "text": fresh("Spring under the cover")} for _ in range(number)]


def post(path: str, body: Any) -> Call:
    return Call("POST", path, body, {"Idempotency-Key": str(uuid.uuid4())})


def patch(path: str, record_id: str, members: dict[str, Any], version: int = 1) -> Call:
    headers = {"If-Match": f'"{version}"', "Content-Type": MERGE_PATCH}
    return Call("PATCH", f"{path}/{record_id}", members, headers, "200", "412 stale-version")


def delete(path: str, record_id: str, version: int = 1) -> Call:
    headers = {"If-Match": f'"{version}"'}
    return Call("DELETE", f"{path}/{record_id}", None, headers, "204", "404 not-found")


def kit(ground: Ground) -> dict[str, Any]:
    lines = [{"part_id": one, "quantity": 2} for one in ground.parts]
    return bodies.part(kind="kit", kit_lines=lines)


def position(ground: Ground) -> dict[str, Any]:
    about = {"assembly_id": ground.assembly, "name": fresh("Bearing"), "part_id": ground.part}
    return {**about, "cautions": cautions(3)}


def position_set(ground: Ground) -> dict[str, Any]:
    about = {"assembly_id": ground.assembly, "kind": "renewed-together", "name": fresh("Set")}
    return {**about, "position_ids": ground.positions}


def characteristic(ground: Ground) -> dict[str, Any]:
    limit = {"service_lower": {"value": "19.995", "unit": "mm"}}
    return {"position_id": ground.positions[1], "name": fresh("Seat"), **limit}


def ruling(ground: Ground) -> dict[str, Any]:
    about = {"position_id": ground.positions[2], "ruling": "inspect-only"}
    return {**about, "reason": fresh("No rig for it")}


def claim(ground: Ground) -> dict[str, Any]:
    about = {"part_id": ground.part, "stand_in_part_id": ground.new_part()}
    return {**about, "evidence_kind": "fitted-and-run", "evidence": fresh("Fitted in job")}


def unit(ground: Ground) -> dict[str, Any]:
    serial = fresh("SN")
    return {"assembly_id": ground.assembly, "kind": "customer", "serial_number": serial}


def finding(ground: Ground) -> dict[str, Any]:
    return bodies.finding(ground.unit, ground.positions[0], ground.characteristic)


def finding_with_readings(ground: Ground) -> dict[str, Any]:
    """A write of two tables."""
    sizes = ({"value": value, "unit": "mm"} for value in ("19.998", "20.001"))
    return {
        **{name: value for name, value in finding(ground).items() if name != "measured"},
        "readings": [{"size": size, "plane": "A"} for size in sizes],
        "client_id": fresh("tablet"),
    }


def findings(ground: Ground) -> dict[str, Any]:
    """A write of several records at once, one of which corrects another."""
    shared = ("unit_id", "found_by", "found_at")
    item = {name: value for name, value in finding(ground).items() if name not in shared}
    first, second = fresh("tablet"), fresh("tablet")
    items = [{**item, "client_id": first}, {**item, "client_id": second}]
    items[1]["supersedes_client_id"] = first
    return {"found_by": "bench two", "found_at": "2026-02-17T09:15:00Z", "items": items}


def offer_with_breaks(ground: Ground) -> dict[str, Any]:
    """A write of two tables."""
    prices = (("10", "10.90"), ("25", "9.80"), ("100", "8.10"))
    breaks = [{"from_quantity": int(n), "price": bodies.money(price)} for n, price in prices]
    return bodies.offer(ground.supplier, part_id=ground.part, price_breaks=breaks)


def exchange_rate(_: Ground) -> dict[str, Any]:
    """Of a day that no other test has used: there is one rate a day."""
    number = int(fresh("rate").split()[-1])
    day = date(2020, 1, 1) + timedelta(days=number)
    return bodies.exchange_rate(holds_from=day.isoformat(), source=fresh("Bank"))


def shelved(ground: Ground) -> tuple[str, str]:
    """A salvaged part on the shelf, its position; each from a donor of its own."""
    released = {"released_on": "2026-02-11"}
    donor = ground.shop.make("/units", bodies.donor(ground.assembly, **released))
    position_id = ground.positions[1]
    body = bodies.salvaged_part(donor, position_id)
    return ground.shop.make("/salvaged-parts", body), position_id


def salvaged_part(ground: Ground) -> dict[str, Any]:
    released = {"released_on": "2026-02-11"}
    donor = ground.shop.make("/units", bodies.donor(ground.assembly, **released))
    return bodies.salvaged_part(donor, ground.positions[1])


def reservation(ground: Ground) -> dict[str, Any]:
    return bodies.reservation(shelved(ground)[0], ground.job())


def fitment(ground: Ground) -> dict[str, Any]:
    """Of a salvaged part that the job holds: a write of three records."""
    part_id, position_id = shelved(ground)
    job_id = ground.job()
    ground.shop.make("/reservations", bodies.reservation(part_id, job_id))
    return bodies.fitment(job_id, position_id, salvaged_part_id=part_id)


def supersession(ground: Ground) -> dict[str, Any]:
    return bodies.supersession(ground.new_part(), *ground.parts)


def numbered(ground: Ground) -> dict[str, Any]:
    """A part with numbers of other kinds: a write of two tables."""
    kinds = ("trade", "casting", "book-position")
    return bodies.part(other_numbers=[{"kind": kind, "text": fresh("N")} for kind in kinds])


def full_claim(ground: Ground) -> dict[str, Any]:
    """A claim with companions, checks and differences: a write of four tables."""
    load = {"aspect": "load", "difference": "one row less", "effect": "shorter life"}
    return {
        **claim(ground),
        "companion_lines": [{"part_id": one, "quantity": 2} for one in ground.parts],
        "to_check": ["End float", "The lip's side"],
        "differences": [load],
    }


def number_rule(_: Ground) -> dict[str, Any]:
    """Of a maker that no other test has used: there is one rule a maker."""
    return {"maker": fresh("Maker"), "source": "Its parts book", "kept_separators": "-"}


def shim_place(ground: Ground) -> dict[str, Any]:
    lines = [{"part_id": one, "quantity": 2} for one in ground.parts]
    return bodies.shim_place(ground.positions[0], assortment=lines)


def delivery(ground: Ground) -> dict[str, Any]:
    return bodies.delivery(ground.supplier, ground.part)


def outcome(ground: Ground) -> dict[str, Any]:
    return bodies.outcome(ground.job(), ground.positions[0])


CREATIONS: dict[str, Callable[[Ground], tuple[str, dict[str, Any]]]] = {
    "assembly": lambda ground: ("/assemblies", bodies.assembly(cautions=cautions(3))),
    "access group": lambda ground: (
        "/access-groups",
        {"assembly_id": ground.assembly, "name": fresh("Case parted")},
    ),
    "part": lambda ground: ("/parts", bodies.part()),
    "kit": lambda ground: ("/parts", kit(ground)),
    "part with numbers": lambda ground: ("/parts", numbered(ground)),
    "number rule": lambda ground: ("/number-rules", number_rule(ground)),
    "position": lambda ground: ("/positions", position(ground)),
    "position set": lambda ground: ("/position-sets", position_set(ground)),
    "labour operation": lambda ground: ("/labour-operations", bodies.operation(ground.assembly)),
    "characteristic": lambda ground: ("/characteristics", characteristic(ground)),
    "ruling": lambda ground: ("/serviceability-rulings", ruling(ground)),
    "claim": lambda ground: ("/interchange-claims", claim(ground)),
    "full claim": lambda ground: ("/interchange-claims", full_claim(ground)),
    "unit": lambda ground: ("/units", unit(ground)),
    "gauge": lambda ground: ("/gauges", bodies.gauge()),
    "finding": lambda ground: ("/findings", finding(ground)),
    "finding with readings": lambda ground: ("/findings", finding_with_readings(ground)),
    "findings of a unit": lambda ground: (f"/units/{ground.unit}/findings", findings(ground)),
    "shop settings": lambda ground: ("/shop-settings", bodies.settings()),
    "supplier": lambda ground: ("/suppliers", bodies.supplier()),
    "offer": lambda ground: ("/offers", bodies.offer(ground.supplier, part_id=ground.part)),
    "offer with breaks": lambda ground: ("/offers", offer_with_breaks(ground)),
    "exchange rate": lambda ground: ("/exchange-rates", exchange_rate(ground)),
    "job": lambda ground: ("/jobs", {"unit_id": ground.unit, "complaint": fresh("Noisy")}),
    "salvaged part": lambda ground: ("/salvaged-parts", salvaged_part(ground)),
    "reservation": lambda ground: ("/reservations", reservation(ground)),
    "fitment": lambda ground: ("/fitments", fitment(ground)),
    "caution": lambda ground: ("/cautions", bodies.caution(position_id=ground.position())),
    "supersession": lambda ground: ("/supersessions", supersession(ground)),
    "special tool": lambda ground: ("/special-tools", bodies.special_tool(ground.assembly)),
    "stock item": lambda ground: ("/stock-items", bodies.stock_item()),
    "shim place": lambda ground: ("/shim-places", shim_place(ground)),
    "shim pack": lambda ground: ("/shim-packs", bodies.shim_pack(ground.unit)),
    "delivery": lambda ground: ("/deliveries", delivery(ground)),
    "outcome": lambda ground: ("/outcomes", outcome(ground)),
}
"""What POST stores, by kind: its path and a body."""

CHANGES: dict[str, dict[str, Any]] = {
    "assembly": {"notes": "Seen on the bench.", "cautions": cautions(2)},
    "kit": {"name": "Kit with more in it"},
    "part with numbers": {"other_numbers": []},
    "number rule": {"note": "Since 1981."},
    "full claim": {"companion_lines": [], "to_check": ["End float"]},
    "position": {"name": "Wheel", "cautions": cautions(2)},
    "position set": {"name": "Other set"},
    "unit": {"serial_number": None},
    "supplier": {"freight": bodies.money("12.00")},
    "offer": {"price": bodies.money("13.00")},
    "offer with breaks": {"price_breaks": []},
    "exchange rate": {"rate": "0.0931"},
    "job": {"complaint": "Louder."},
    "salvaged part": {"state": "discarded"},
    "reservation": {"state": "released"},
    "fitment": {"result": "did-not-fit"},
    "caution": {"text": "Hot oil, and under pressure."},
    "supersession": {"later_lines": []},
    "special tool": {"features": [], "uses": ["lifting", "impact"]},
    "stock item": {"quantity": 11, "features": []},
    "shim place": {"sizes": [], "rule": None},
    "shim pack": {"shims": []},
    "gauge": {"calibrated_on": "2026-02-02"},
    "delivery": {"arrived_on": None},
    "outcome": {"comebacks": []},
}
"""What PATCH sends to a fresh record of the kind."""

RETIRED = (
    "assembly",
    "kit",
    "part with numbers",
    "number rule",
    "full claim",
    "position",
    "position set",
    "unit",
    "supplier",
    "offer",
    "offer with breaks",
    "job",
    "reservation",
    "caution",
    "supersession",
    "special tool",
    "stock item",
    "shim place",
    "shim pack",
    "gauge",
    "delivery",
    "outcome",
)
"""Kinds of which a fresh record is taken out again."""


def _creation(name: str) -> Prepare:
    return lambda ground: post(*CREATIONS[name](ground))


def _change(name: str) -> Prepare:
    def prepare(ground: Ground) -> Call:
        path, body = CREATIONS[name](ground)
        return patch(path, ground.shop.make(path, body), CHANGES[name])

    return prepare


def _retirement(name: str) -> Prepare:
    def prepare(ground: Ground) -> Call:
        path, body = CREATIONS[name](ground)
        return delete(path, ground.shop.make(path, body))

    return prepare


WRITES: dict[str, Prepare] = {
    "create decision": lambda ground: post(*ground.choice()),
    **{f"create {name}": _creation(name) for name in CREATIONS},
    **{f"change {name}": _change(name) for name in CHANGES},
    **{f"retire {name}": _retirement(name) for name in RETIRED},
}
