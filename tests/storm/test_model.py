"""Three shops at random work: after every step the service holds what the model in memory holds.

Creations, changes, retirements, repetitions with the same key, steps of jobs, lists in every order,
and followers that only ask what changed. ``python -m tests.storm --large`` runs many more.
"""

import json
import os
import uuid
from collections import Counter
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from litestar.testing import TestClient
from sqlalchemy import func, select

from api.app import Api
from db.models.access import audit_entries, kept_answers
from tests.api import bodies
from tests.storm.model import (
    CATALOGUE,
    KEPT,
    KINDS,
    STEPS,
    Members,
    Model,
    Record,
    patched,
)
from tests.storm.yard import Yard

LARGE = int(os.environ.get("STORM_LARGE", "0"))
MERGE_PATCH = "application/merge-patch+json"

shops = st.integers(0, 2)
words = st.sampled_from(
    ["Ring", "ring", "Zo\u00eb", "Wheel; --", "\u0414", "two\nlines", "x" * 200]
)
numbers = st.sampled_from(["A-1", "a-1", "B 2", "C3"])
maybe_notes = st.sampled_from([None, "Seen.", "Seen again.", "=1+1"])
amounts = st.sampled_from(["0.00", "1.50", "99.99"])


class Shops(RuleBasedStateMachine):
    """One run; the app and its database are shared with all other runs."""

    app: Api
    client: TestClient[Any]
    told: Counter[str]
    """What was answered, to see that everything came up."""

    def __init__(self) -> None:
        super().__init__()
        self.yards = [Yard(self.app, self.client) for _ in range(3)]
        self.mark = uuid.uuid4().hex
        self.model = Model()
        self.sent: list[tuple[int, str, Members, str, bytes]] = []
        self.began = self._newest_sequence()
        self.copies: dict[tuple[int, str], tuple[str, dict[str, Members]]] = {}
        self.turn = 0

    # --- creations ---------------------------------------------------------------------------

    @initialize()
    def set_out(self) -> None:
        """Something of every kind for two of the shops; the third has to begin by itself."""
        for shop, number in ((0, "A-1"), (1, "B 2")):
            part = self._store(shop, "/parts", self._part(number, "Ring"))
            assembly = self._store(shop, "/assemblies", self._assembly("A-1", None))
            supplier = self._store(
                shop, "/suppliers", bodies.supplier(freight=bodies.money("1.50"))
            )
            assert part is not None and assembly is not None and supplier is not None
            self._store_position(shop, {"assembly_id": assembly.id, "name": "Case", "quantity": 1})
            about = {"assembly_id": assembly.id, "kind": "customer", "serial_number": "1"}
            unit = self._store(shop, "/units", about)
            assert unit is not None
            self._store(shop, "/offers", self._offer(supplier, part, "1.50"))
            self._store(shop, "/jobs", {"unit_id": unit.id, "complaint": "Noisy."})

    @rule(shop=shops, data=st.data(), name=words, number=numbers, notes=maybe_notes, amount=amounts)
    def store(
        self, shop: int, data: Any, name: str, number: str, notes: str | None, amount: str
    ) -> None:
        """Store a record of any kind; it may point at whatever there is, other shops' too."""
        path = data.draw(st.sampled_from(KINDS))
        if path == "/suppliers":
            about = {"name": name, "freight": bodies.money(amount), "notes": notes}
            self._store(shop, path, about)
        if path == "/parts":
            self._store(shop, path, self._part(number, name))
        if path == "/assemblies":
            self._store(shop, path, self._assembly(number, notes))
        if path == "/positions":
            self._draw_position(shop, data, name)
        if path == "/units" and (assembly := self._any(data, "/assemblies")):
            serial = data.draw(st.sampled_from([None, "1", "2"]))
            about = {"assembly_id": assembly.id, "kind": "customer", "serial_number": serial}
            self._store(shop, path, about)
        if path == "/offers" and (supplier := self._any(data, "/suppliers")):
            part = self._any(data, "/parts")
            if part is not None:
                fits = supplier.owner == shop
                self._store(shop, path, self._offer(supplier, part, amount), fits)
        if path == "/jobs" and (unit := self._any(data, "/units")):
            about = {"unit_id": unit.id, "complaint": name}
            self._store(shop, path, about, unit.owner == shop)
        if path == "/serviceability-rulings" and (position := self._any(data, "/positions")):
            word = data.draw(st.sampled_from(["serviceable", "inspect-only"]))
            self._store_ruling(shop, position, word)

    def _part(self, number: str, name: str) -> Members:
        return {"maker": self.mark, "number": number, "name": name, "kind": "ball-bearing"}

    def _assembly(self, model: str, notes: str | None) -> Members:
        return {"maker": self.mark, "model": model, "kind": "reduction drive", "notes": notes}

    def _offer(self, supplier: Record, part: Record, amount: str) -> Members:
        return bodies.offer(supplier.id, part_id=part.id, price=bodies.money(amount))

    def _draw_position(self, shop: int, data: Any, name: str) -> None:
        assembly = self._any(data, "/assemblies")
        if assembly is None:
            return
        quantity = data.draw(st.sampled_from([1, 2, 10_000]))
        body: Members = {"assembly_id": assembly.id, "name": name, "quantity": quantity}
        for member, path in (("part_id", "/parts"), ("parent_id", "/positions")):
            target = self._any(data, path)
            if target is not None and data.draw(st.booleans()):
                body[member] = target.id
        self._store_position(shop, body)

    def _store_position(self, shop: int, body: Members) -> None:
        assembly = self.model.records[body["assembly_id"]]
        above = self.model.records.get(body.get("parent_id", ""))
        fits = above is None or above.members["assembly_id"] == assembly.id
        stored = self._store(shop, "/positions", body, fits and assembly.owner == shop)
        if stored is not None:
            self._first_ruling(shop, stored)

    def _store_ruling(self, shop: int, position: Record, word: str) -> None:
        body = {"position_id": position.id, "ruling": word, "reason": "No rig for it."}
        if not self._store(shop, "/serviceability-rulings", body, position.owner == shop):
            return
        read = self._get(shop, f"/positions/{position.id}").json()
        assert read["version"] == position.version + 1
        about = {"ruling": word, "reason": "No rig for it.", "evidence": None}
        assert read["serviceability"] == about
        for name in ("version", "updated_at", "serviceability"):
            position.members[name] = read[name]

    def _first_ruling(self, shop: int, position: Record) -> None:
        listed = self._get(shop, "/serviceability-rulings", position_id=position.id).json()
        assert len(listed["items"]) == 1
        self.model.add("/serviceability-rulings", shop, listed["items"][0])

    def _store(self, shop: int, path: str, body: Members, fits: bool = True) -> Record | None:
        key = uuid.uuid4().hex
        answer = self.yards[shop].shop.post(path, body, key=key)
        self.told[f"POST {answer.status_code}"] += 1
        twin = self.model.twin(path, shop, body, None)
        if not fits:
            assert answer.status_code == 422, answer.text
            return None
        if twin is not None:
            assert answer.status_code == 409, answer.text
            assert answer.json()["existing_id"] == twin.id
            return None
        assert answer.status_code == 201, answer.text
        members = answer.json()
        assert {name: members[name] for name in body} == body
        assert members["id"] not in self.model.records
        if path not in KEPT:
            assert members["version"] == 1
        assert answer.headers["etag"] == f'"{members["version"]}"'
        assert answer.headers["location"] == f"/v1{path}/{members['id']}"
        self.model.writes += 1
        self.model.creations += 1
        self.sent.append((shop, path, body, key, answer.content))
        return self.model.add(path, shop, members)

    # --- changes -------------------------------------------------------------------------------

    @rule(data=st.data())
    def change_own(self, data: Any) -> None:
        record = self._any(data, *CHANGED)
        if record is not None:
            self._change(record.owner, record, self._patch(data, record), record.version)

    @rule(shop=shops, data=st.data(), beside=st.sampled_from([0, 0, 1, -1, 7]))
    def change(self, shop: int, data: Any, beside: int) -> None:
        """Change any record, also retired ones and other shops', for any version."""
        record = self._any(data, *CHANGED, is_live=None)
        if record is not None and record.version + beside > 0:
            self._change(shop, record, self._patch(data, record), record.version + beside)

    def _patch(self, data: Any, record: Record) -> Members:
        patch: Members = data.draw(PATCHES[record.path])
        for name, path in REFERS.get(record.path, {}).items():
            target = self._any(data, path)
            if target is not None and data.draw(st.integers(0, 2)) == 0:
                patch[name] = target.id
        return patch

    @rule(shop=shops, data=st.data(), state=st.sampled_from(sorted(STEPS)))
    def step(self, shop: int, data: Any, state: str) -> None:
        job = self._any(data, "/jobs")
        if job is not None:
            allowed = STEPS[job.members["state"]].split()
            if data.draw(st.booleans()):
                state, shop = data.draw(st.sampled_from(allowed)), job.owner
            self._change(shop, job, {"state": state}, job.version)

    def _change(self, shop: int, record: Record, patch: Members, version: int) -> None:
        headers = {"If-Match": f'"{version}"', "Content-Type": MERGE_PATCH}
        where = f"{record.path}/{record.id}"
        answer = self.yards[shop].shop.call("PATCH", where, json=patch, headers=headers)
        self.told[f"PATCH {answer.status_code}"] += 1
        refusal = self._refused(shop, record, version)
        after = patched(record.members, patch)
        if refusal is None and after != record.members:
            refusal = self._unfit(record, after)
        if refusal is not None:
            assert answer.status_code == refusal, (refusal, answer.text)
            self._check_refusal(answer, record)
            return
        assert answer.status_code == 200, answer.text
        read = answer.json()
        if after != record.members:
            self.model.writes += 1
            after |= {"version": record.version + 1, "updated_at": read["updated_at"]}
            assert read["updated_at"] >= record.members["updated_at"]
        assert read == after
        assert answer.headers["etag"] == f'"{after["version"]}"'
        record.members = after

    def _refused(self, shop: int, record: Record, version: int) -> int | None:
        if not self.model.may_see(shop, record):
            return 404
        if record.owner != shop:
            return 403
        return 412 if version != record.version else None

    def _unfit(self, record: Record, after: Members) -> int | None:
        """The status that a change of this kind meets, besides those of any record."""
        before = record.members
        if record.path == "/jobs" and after["state"] != before["state"]:
            return None if after["state"] in STEPS[before["state"]].split() else 409
        if record.path == "/offers":
            return None if self.model.records[after["supplier_id"]].owner == record.owner else 422
        if record.path == "/positions" and after["parent_id"] is not None:
            above = self.model.records[after["parent_id"]]
            is_elsewhere = above.members["assembly_id"] != after["assembly_id"]
            if is_elsewhere or self.model.lies_below(record.id, above.id):
                return 422
        twin = self.model.twin(record.path, record.owner, after, record.id)
        return None if twin is None else 409

    def _check_refusal(self, answer: Any, record: Record) -> None:
        if answer.status_code == 412:
            assert answer.json()["current_version"] == record.version
        if answer.status_code == 409 and record.path == "/jobs":
            assert sorted(answer.json()["allowed_states"]) == sorted(
                STEPS[record.members["state"]].split()
            )
        if answer.status_code == 404:
            assert record.members.get("complaint", "\x00") not in answer.text

    # --- retirements, repetitions ----------------------------------------------------------------

    @rule(shop=shops, data=st.data(), stale=st.integers(0, 4))
    def retire(self, shop: int, data: Any, stale: int) -> None:
        unused = [one for one in self.model.live(*CHANGED) if not self.model.users_of(one)]
        record = data.draw(st.sampled_from(unused)) if unused else None
        if record is None or data.draw(st.integers(0, 2)) == 0:
            record = self._any(data, *CHANGED)
        if record is None:
            return
        shop = record.owner if data.draw(st.integers(0, 2)) else shop
        version = record.version if stale else record.version + 1
        answer = self.yards[shop].shop.call(
            "DELETE", f"{record.path}/{record.id}", headers={"If-Match": f'"{version}"'}
        )
        self.told[f"DELETE {answer.status_code}"] += 1
        refusal = self._refused(shop, record, version)
        users = self.model.users_of(record)
        if refusal is not None:
            assert answer.status_code == refusal, answer.text
        elif users:
            assert answer.status_code == 409, answer.text
            self._check_users(shop, answer.json(), users)
        else:
            assert answer.status_code == 204, answer.text
            assert answer.content == b""
            self.model.retire(record)
            self.model.writes += 1

    def _check_users(self, shop: int, problem: Members, users: list[Record]) -> None:
        """Those that the shop may see are named, up to ten; of the others no word."""
        assert problem["type"] == "/problems/in-use"
        named = {one["id"] for one in problem["used_by"]}
        known = {one.id for one in users if self.model.may_see(shop, one)}
        assert named == known or (named < known and len(named) == 10)
        for one in users:
            if one.id not in known:
                assert one.id not in json.dumps(problem)

    @rule(data=st.data(), same=st.booleans())
    def repeat(self, data: Any, same: bool) -> None:
        if not self.sent:
            return
        shop, path, body, key, first = data.draw(st.sampled_from(self.sent))
        if same:
            turned = dict(reversed(body.items()))
            answer = self.yards[shop].shop.post(path, turned, key=key)
            assert answer.status_code == 201, answer.text
            assert answer.content == first
            assert answer.headers["answer-repeated"] == "true"
            self.told["repeated"] += 1
            return
        other = {**body, FREE_TEXT[path]: "Other."}
        answer = self.yards[shop].shop.post(path, other, key=key)
        assert answer.status_code == 422, answer.text
        assert answer.json()["type"] == "/problems/idempotency-key-reused"

    # --- lists ---------------------------------------------------------------------------------

    @rule(
        shop=shops,
        path=st.sampled_from(KINDS),
        limit=st.integers(1, 3),
        sort=st.sampled_from(
            ["id", "-id", "created_at", "-created_at", "updated_at", "-updated_at"]
        ),
    )
    def walk(self, shop: int, path: str, limit: int, sort: str) -> None:
        """Page by page through a list in any order: everything once, in that order."""
        query = self._within(path)
        if query is None:
            return
        found: list[Members] = []
        answer = self._get(shop, path, limit=str(limit), sort=sort, **query).json()
        while True:
            found += answer["items"]
            if "next" not in answer:
                break
            assert len(answer["items"]) == limit
            answer = self._get(shop, answer["next"]).json()
        name = sort.removeprefix("-")
        wanted = sorted(
            self.model.seen_by(shop, path).values(),
            key=lambda one: (one[name], one["id"]),
            reverse=sort.startswith("-"),
        )
        assert found == wanted

    @rule(shop=shops, data=st.data())
    def narrow(self, shop: int, data: Any) -> None:
        """Lists by a member's value, by several, and by a span of time."""
        path = data.draw(st.sampled_from([path for path in KINDS if path != "/assemblies"]))
        known = self.model.seen_by(shop, path)
        query = self._within(path)
        if not known or query is None:
            return
        one = data.draw(st.sampled_from(sorted(known.values(), key=lambda each: each["id"])))
        name = FILTERED_BY[path]
        if one[name] is not None:
            answer = self._get(shop, path, limit="200", **{**query, name: str(one[name])}).json()
            same = {key: each for key, each in known.items() if each[name] == one[name]}
            assert {each["id"]: each for each in answer["items"]} == same
        time = data.draw(st.sampled_from(["created_at", "updated_at"]))
        ending = data.draw(st.sampled_from(["gte", "lte"]))
        bound = {f"{time}.{ending}": one[time]}
        answer = self._get(shop, path, limit="200", **query, **bound).json()
        within = {
            key: each
            for key, each in known.items()
            if (each[time] >= one[time] if ending == "gte" else each[time] <= one[time])
        }
        assert {each["id"]: each for each in answer["items"]} == within

    @rule(shop=shops, path=st.sampled_from(KINDS), limit=st.integers(1, 4))
    def follow(self, shop: int, path: str, limit: int) -> None:
        """Ask only what changed since the last time; what is known then is what there is."""
        start = str(self.began) if path in CATALOGUE else "0"
        sequence, copied = self.copies.get((shop, path), (start, {}))
        query = {"updated_since": sequence, "limit": str(limit)}
        answer = self._get(shop, path, **query).json()
        seen: set[str] = set()
        while True:
            assert not seen & {one["id"] for one in answer["items"]}, "told twice"
            seen |= {one["id"] for one in answer["items"]}
            copied |= {one["id"]: one for one in answer["items"]}
            for one in answer["retired_ids"]:
                copied.pop(one, None)
            assert int(answer["sequence"]) >= int(sequence)
            sequence = answer["sequence"]
            if "next" not in answer:
                break
            answer = self._get(shop, answer["next"]).json()
        assert copied == self.model.seen_by(shop, path)
        self.copies[shop, path] = sequence, copied
        self.told[f"followed {min(len(copied), 1)}"] += 1
        again = self._get(shop, path, updated_since=sequence).json()
        assert (again["items"], again["retired_ids"]) == ([], [])

    @rule(shop=shops, data=st.data())
    def read(self, shop: int, data: Any) -> None:
        record = self._any(data, *KINDS, is_live=None)
        if record is None:
            return
        answer = self._get(shop, f"{record.path}/{record.id}", is_good=None)
        if self.model.may_see(shop, record):
            assert answer.json() == record.members
            assert answer.headers["etag"] == f'"{record.version}"'
        else:
            assert answer.status_code == 404

    # --- after every step ------------------------------------------------------------------------

    @invariant()
    def the_service_holds_what_the_model_holds(self) -> None:
        """In the small run for one shop and one kind in turn; for all of them at the end."""
        self.turn += 1
        if LARGE:
            self.teardown()
        else:
            self._compare(self.turn // len(KINDS) % 3, KINDS[self.turn % len(KINDS)])

    def teardown(self) -> None:
        for shop in range(3):
            for path in KINDS:
                self._compare(shop, path)

    def _compare(self, shop: int, path: str) -> None:
        query = self._within(path)
        if query is not None:
            answer = self._get(shop, path, limit="200", **query).json()
            listed = {one["id"]: one for one in answer["items"]}
            assert listed == self.model.seen_by(shop, path), (shop, path)

    @invariant()
    def every_write_left_one_audit_entry_and_nothing_else_did(self) -> None:
        ids = [yard.principal.shop_id for yard in self.yards]
        with self.app.state.sessions.reading() as session:
            entries, kept = (
                session.execute(
                    select(func.count()).select_from(table).where(table.c.shop_id.in_(ids))
                ).scalar_one()
                for table in (audit_entries, kept_answers)
            )
        assert entries == self.model.writes + len(ids)  # each shop's key is an entry
        assert kept == self.model.creations

    # --- helpers -------------------------------------------------------------------------------

    def _any(self, data: Any, *paths: str, is_live: bool | None = True) -> Record | None:
        found = [
            one
            for one in self.model.records.values()
            if one.path in paths and (is_live is None or one.is_live == is_live)
        ]
        return data.draw(st.sampled_from(found)) if found else None

    def _within(self, path: str) -> dict[str, str] | None:
        """The query that keeps a list of the catalogue to what this run stored."""
        if path in ("/parts", "/assemblies"):
            return {"maker": self.mark}
        inside = {"/positions": "/assemblies", "/serviceability-rulings": "/positions"}.get(path)
        if inside is None:
            return {}
        ids = [one.id for one in self.model.live(inside)]
        name = inside[1:].removesuffix("ies").removesuffix("s")
        name = {"assembl": "assembly"}.get(name, name)
        return {f"{name}_id.in": ",".join(ids)} if 0 < len(ids) <= 50 else None

    def _get(self, shop: int, path: str, is_good: bool | None = True, **query: str) -> Any:
        answer = self.yards[shop].shop.get(path, **query)
        assert not is_good or answer.status_code == 200, answer.text
        return answer

    def _newest_sequence(self) -> int:
        with self.app.state.sessions.reading() as session:
            return session.execute(select(func.max(audit_entries.c.sequence))).scalar_one() or 0


CHANGED = tuple(path for path in KINDS if path not in KEPT)
REFERS = {
    "/positions": {"parent_id": "/positions", "part_id": "/parts"},
    "/offers": {"supplier_id": "/suppliers"},
}
FILTERED_BY = {
    "/parts": "number",
    "/positions": "assembly_id",
    "/serviceability-rulings": "position_id",
    "/suppliers": "name",
    "/units": "assembly_id",
    "/offers": "part_id",
    "/jobs": "state",
}

FREE_TEXT = {
    "/parts": "name",
    "/assemblies": "notes",
    "/positions": "name",
    "/serviceability-rulings": "reason",
    "/suppliers": "name",
    "/units": "variant",
    "/offers": "description",
    "/jobs": "complaint",
}


EVENTS = (
    *(f"POST {status}" for status in (201, 409, 422)),
    *(f"PATCH {status}" for status in (200, 403, 404, 409, 412, 422)),
    *(f"DELETE {status}" for status in (204, 403, 404, 409, 412)),
    "repeated",
    "followed 1",
)
EVENTS_OF_A_SMALL_RUN = ("POST 201", "PATCH 200", "DELETE 204", "repeated", "followed 1")
"""What must have come up in a run for it to say anything."""


def some_of(**members: Any) -> Any:
    """A patch of none, some or all of these members."""
    return st.fixed_dictionaries({}, optional=members)


PATCHES = {
    "/parts": some_of(name=words, number=numbers),
    "/assemblies": some_of(notes=maybe_notes, model=numbers),
    "/positions": some_of(name=words, quantity=st.integers(1, 5), parent_id=st.none()),
    "/suppliers": some_of(
        name=words, notes=maybe_notes, freight=some_of(amount=amounts), delivery=st.just("separate")
    ),
    "/units": some_of(variant=maybe_notes, serial_number=st.sampled_from(["1", "2", "3"])),
    "/offers": some_of(description=words, price=some_of(amount=amounts)),
    "/jobs": some_of(complaint=words, cause=maybe_notes),
}


def test_three_shops_at_random_work_find_what_they_should(
    app: Api, client: TestClient[Any]
) -> None:
    Shops.app, Shops.client, Shops.told = app, client, Counter()
    run_state_machine_as_test(
        Shops,
        settings=settings(
            max_examples=LARGE or 10,
            stateful_step_count=100 if LARGE else 25,
            deadline=None,
            database=None,
            derandomize=not LARGE,
            phases=(Phase.generate, Phase.shrink) if LARGE else (Phase.generate,),
            suppress_health_check=list(HealthCheck),
        ),
    )
    for event in EVENTS if LARGE else EVENTS_OF_A_SMALL_RUN:
        assert Shops.told[event], f"This never happened: {event}; {Shops.told}"
    print(dict(Shops.told))
