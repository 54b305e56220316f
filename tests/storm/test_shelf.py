"""Salvaged parts at random: reserved, released, held longer, fitted, taken back as time goes on.

After every step each part and each reservation stands where the model says, no part is held for
two jobs, and every write has left one audit entry. The clock is moved by hand.
"""

import os
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta
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
from db.models.access import audit_entries
from tests.api import bodies
from tests.storm.conftest import Ticking
from tests.storm.yard import Yard

LARGE = int(os.environ.get("STORM_LARGE", "0"))
MERGE_PATCH = "application/merge-patch+json"
places = st.integers(0, 1)


@dataclass
class Held:
    """A reservation as it should be read."""

    id: str
    part: int
    job: int
    expires_at: datetime
    state: str = "held"
    version: int = 1


@dataclass
class Shelf:
    """Two parts of a donor and what became of them."""

    states: list[str] = field(default_factory=lambda: ["shelved", "shelved"])
    reservations: list[Held] = field(default_factory=list)
    fitted: list[tuple[str, int]] = field(default_factory=list)
    """Fitments and the part of each, in order."""

    def lapse(self, moment: datetime) -> None:
        for one in self.reservations:
            if one.state == "held" and one.expires_at <= moment:
                one.state, one.version = "expired", one.version + 1

    def held(self, part: int) -> Held | None:
        found = [one for one in self.reservations if one.part == part and one.state == "held"]
        assert len(found) <= 1
        return found[0] if found else None


class Bench(RuleBasedStateMachine):
    """One shop with two jobs and two parts on the shelf."""

    app: Api
    client: TestClient[Any]
    ticking: Ticking
    told: Counter[str]

    @initialize()
    def set_out(self) -> None:
        self.yard = Yard(self.app, self.client)
        self.stranger = Yard(self.app, self.client)
        make = self.yard.shop.make
        assembly = make("/assemblies", bodies.assembly())
        self.position = make("/positions", {"assembly_id": assembly, "name": "Bearing"})
        donor = make("/units", bodies.donor(assembly))
        self.jobs, self.parts = [], []
        for number in range(2):
            unit = make("/units", {"assembly_id": assembly, "kind": "customer"})
            self.jobs.append(make("/jobs", {"unit_id": unit, "complaint": "Noisy."}))
            about = {"donor_unit_id": donor, "label": f"S-{number}", "state": "shelved"}
            who = {"inspected_by": "bench one", "inspected_on": "2031-02-19"}
            place = (
                self.position
                if number == 0
                else make("/positions", {"assembly_id": assembly, "name": "Other"})
            )
            taken = {"removed_on": "2031-02-18", "removed_by": "bench two", "position_id": place}
            self.parts.append(make("/salvaged-parts", {**about, **who, **taken}))
        self.shelf = Shelf()
        self.writes = self._audited()

    # --- reservations --------------------------------------------------------------------------

    @rule(part=places, job=places, hours=st.sampled_from([-1, 0, 1, 5, 400 * 24]))
    def reserve(self, part: int, job: int, hours: int) -> None:
        ends = self._now() + timedelta(hours=hours)
        body = {
            "salvaged_part_id": self.parts[part],
            "job_id": self.jobs[job],
            "reserved_by": "service desk",
            "expires_at": ends.isoformat(),
        }
        answer = self.yard.shop.post("/reservations", body)
        self.told[f"reserve {answer.status_code}"] += 1
        if not 0 < hours < 400 * 24:
            assert answer.status_code == 422, answer.text
        elif self.shelf.states[part] != "shelved":
            assert answer.status_code == 409, answer.text
        elif (held := self.shelf.held(part)) is not None:
            assert answer.status_code == 409, answer.text
            assert answer.json()["type"] == "/problems/already-reserved"
            assert held.id in answer.text
        else:
            assert answer.status_code == 201, answer.text
            self.writes += 1
            self.shelf.reservations.append(Held(answer.json()["id"], part, job, ends))

    @rule(data=st.data())
    def release(self, data: Any) -> None:
        if self.shelf.reservations:
            one = data.draw(st.sampled_from(self.shelf.reservations[-4:]))
            self._change(one, {"state": "released"}, one.state == "held")

    @rule(data=st.data(), hours=st.sampled_from([2, 6]))
    def hold_longer(self, data: Any, hours: int) -> None:
        if self.shelf.reservations:
            one = data.draw(st.sampled_from(self.shelf.reservations[-4:]))
            ends = one.expires_at + timedelta(hours=hours)
            good = one.state == "held"
            self._change(one, {"expires_at": ends.isoformat()}, good)
            if good:
                one.expires_at = ends

    def _change(self, one: Held, patch: dict[str, str], is_good: bool) -> None:
        headers = {"If-Match": f'"{one.version}"', "Content-Type": MERGE_PATCH}
        where = f"/reservations/{one.id}"
        answer = self.yard.shop.call("PATCH", where, json=patch, headers=headers)
        self.told[f"change {answer.status_code}"] += 1
        if is_good:
            assert answer.status_code == 200, answer.text
            one.version, one.state = one.version + 1, patch.get("state", one.state)
            self.writes += 1
        elif patch.get("state") == one.state:
            assert answer.status_code == 200, answer.text  # it says nothing new
        else:
            assert answer.status_code == 409, answer.text

    # --- fitments ------------------------------------------------------------------------------

    @rule(part=places, job=places)
    def fit(self, part: int, job: int) -> None:
        body = {
            "job_id": self.jobs[job],
            "position_id": self.position,
            "salvaged_part_id": self.parts[part],
            "fitted_on": self._now().date().isoformat(),
            "fitted_by": "bench two",
        }
        answer = self.yard.shop.post("/fitments", body)
        self.told[f"fit {answer.status_code}"] += 1
        held = self.shelf.held(part)
        if self.shelf.states[part] != "shelved":
            assert answer.status_code == 409, answer.text
        elif held is not None and held.job != job:
            assert answer.status_code == 409, answer.text
            assert answer.json()["type"] == "/problems/already-reserved"
        else:
            assert answer.status_code == 201, answer.text
            self.writes += 1
            self.shelf.states[part] = "fitted"
            self.shelf.fitted.append((answer.json()["id"], part))
            if held is not None:
                held.state, held.version = "taken", held.version + 1

    @rule(part=places)
    def take_back(self, part: int) -> None:
        """The part did not fit: it comes back as nobody knows it."""
        newest = [one for one, fitted in self.shelf.fitted if fitted == part][-1:]
        if newest and self.shelf.states[part] == "fitted":
            self._patch(f"/fitments/{newest[0]}", {"result": "did-not-fit"})
            self.shelf.states[part] = "uninspected"

    @rule(part=places)
    def shelve(self, part: int) -> None:
        if self.shelf.states[part] == "uninspected":
            day = self._now().date().isoformat()
            seen = {"inspected_by": "bench one", "inspected_on": day}
            self._patch(f"/salvaged-parts/{self.parts[part]}", {"state": "shelved", **seen})
            self.shelf.states[part] = "shelved"

    def _patch(self, where: str, patch: dict[str, Any]) -> None:
        headers = {
            "If-Match": self.yard.shop.get(where).headers["etag"],
            "Content-Type": MERGE_PATCH,
        }
        answer = self.yard.shop.call("PATCH", where, json=patch, headers=headers)
        assert answer.status_code == 200, answer.text
        self.writes += 1

    @rule(hours=st.sampled_from([0.5, 2, 7]))
    def wait(self, hours: float) -> None:
        self.ticking.ahead += timedelta(hours=hours)

    # --- after every step ------------------------------------------------------------------------

    @invariant()
    def everything_stands_where_the_model_says(self) -> None:
        self.shelf.lapse(self._now())
        for number, part in enumerate(self.parts):
            read = self.yard.shop.get(f"/salvaged-parts/{part}").json()
            assert read["state"] == self.shelf.states[number]
            self.shelf.held(number)
        for one in self.shelf.reservations[-4:]:
            read = self.yard.shop.get(f"/reservations/{one.id}")
            assert read.json()["state"] == one.state
            assert read.headers["etag"] == f'"{one.version}"'
            assert self.stranger.shop.get(f"/reservations/{one.id}").status_code == 404
        assert self._audited() == self.writes

    def teardown(self) -> None:
        if hasattr(self, "shelf"):
            listed = self.yard.shop.get("/reservations", limit="200").json()["items"]
            found = {one["id"]: (one["state"], one["version"]) for one in listed}
            assert found == {one.id: (one.state, one.version) for one in self.shelf.reservations}
            assert self.stranger.shop.get("/reservations").json()["items"] == []

    def _now(self) -> datetime:
        return self.ticking.now()

    def _audited(self) -> int:
        own = audit_entries.c.shop_id == self.yard.principal.shop_id
        with self.app.state.sessions.reading() as session:
            count: int = session.execute(select(func.count()).where(own)).scalar_one()
        return count


def test_a_salvaged_part_is_held_for_one_job_and_goes_where_it_should(
    app: Api, client: TestClient[Any], ticking: Ticking
) -> None:
    Bench.app, Bench.client, Bench.ticking, Bench.told = app, client, ticking, Counter()
    try:
        run_state_machine_as_test(
            Bench,
            settings=settings(
                max_examples=LARGE or 10,
                stateful_step_count=60 if LARGE else 25,
                deadline=None,
                database=None,
                derandomize=not LARGE,
                phases=(Phase.generate, Phase.shrink) if LARGE else (Phase.generate,),
                suppress_health_check=list(HealthCheck),
            ),
        )
    finally:
        ticking.ahead = timedelta()
    print(dict(Bench.told))
    assert Bench.told["reserve 201"]
    assert Bench.told["reserve 409"]
    assert Bench.told["fit 201"]
