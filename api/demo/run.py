"""The demonstration: a fresh database, the real server, the scenario, and a day at the counter."""

import contextlib
import signal
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import Any

import httpx
from rich.console import Console

from api.demo import show, show_decision
from api.demo.calls import Caller, CallRefused
from api.demo.condition import condition_of_the_drive
from api.demo.load import LoadRefused, count_records, load_scenario
from api.demo.lookups import look_ups
from api.demo.numbers import numbers_and_donors
from api.demo.records import SeedRecord
from api.demo.salvage import parts_from_donors
from api.demo.server import ServerFailed, command_line, running_server
from api.demo.tools import special_tools

AS_OF = "2031-03-03T07:30:00Z"
"""A Monday morning; every date of the scenario lies around it."""
SHOP = "Timber Yard Workshop"
FOLDER = Path("var") / "demo"
_TIMEOUT_SECONDS = 60
_SMALL_JOBS = {
    "j-dosing-pump": "Dosing pump",
    "j-hydraulic-motor": "Hydraulic motor",
    "j-starter-clutch": "Starter clutch",
}

Ids = dict[str, str]
Json = dict[str, Any]


def run_demo() -> int:
    """Run the demonstration from end to end; return the exit code.

    Leaves nothing running; leaves the database in ``var/demo/``, so that a reader can serve it and
    repeat the calls.
    """
    console = show.make_console()
    started = time.monotonic()
    try:
        with _sigterm_as_exit():
            _run(console)
    except (ServerFailed, LoadRefused, CallRefused, httpx.HTTPError) as error:
        print(f"The demo stopped: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped; the demo's server is down.", file=sys.stderr)
        return 130
    show.say(console, f"\nDone in {time.monotonic() - started:.0f} s; the server is down.")
    return 0


def _run(console: Console) -> None:
    show.say(console, "Corewright demo. Every maker, shop, price and figure in it is invented.")
    url = _fresh_database()
    show.say(console, "[1/4] migrating a fresh database and making a key")
    command_line(["migrate"], url)
    key = command_line(["make-key", "--shop", SHOP], url)
    show.say(console, "[2/4] starting the server on a free loopback port")
    with running_server(url, key, FOLDER / "server.log") as base_url:
        headers = {"Authorization": f"Bearer {key}"}
        with httpx.Client(base_url=base_url, headers=headers, timeout=_TIMEOUT_SECONDS) as client:
            ids = _load(client, console)
            show.say(console, "[4/4] the calls of a technician and a service writer")
            _how_to_repeat(console)
            caller = Caller(client, console)
            _technician(caller, console, ids)
            condition_of_the_drive(caller, console, ids)
            numbers_and_donors(caller, console, ids, AS_OF)
            _service_writer(caller, console, ids)
            parts_from_donors(client, console, ids)
            _small_jobs(caller, console, ids)


def _fresh_database() -> str:
    """Remove what an earlier run left, and return the address of a new SQLite file."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for old in FOLDER.glob("corewright.*"):
        old.unlink()
    return f"sqlite:///{(FOLDER / 'corewright.db').as_posix()}"


def _load(client: httpx.Client, console: Console) -> Ids:
    total = count_records()
    show.say(console, f"[3/4] loading the scenario over HTTP: {total} records and changes")
    done: list[str] = []

    def tell(record: SeedRecord) -> None:
        done.append(record.key)
        if len(done) % 100 == 0 or len(done) == total:
            show.say(console, f"      {len(done)} of {total}")

    return load_scenario(client, on_record=tell)


def _how_to_repeat(console: Console) -> None:
    show.say(
        console,
        "\nTo repeat any call below afterwards, serve the same database in another terminal:",
    )
    url = f"sqlite:///{(FOLDER / 'corewright.db').as_posix()}"
    console.print(
        f"  make serve PORT=8123 DATABASE_URL={url}\n"
        "  export CW_URL=http://127.0.0.1:8123\n"
        f"  export CW_KEY=$(DATABASE_URL={url} \\\n"
        f"    .venv/bin/corewright make-key --shop '{SHOP}')",
        style="cyan",
        markup=False,
        highlight=False,
        soft_wrap=True,
    )


def _technician(caller: Caller, console: Console, ids: Ids) -> None:
    show.title(console, "At the bench")
    show.say(console, "What is 22 ft-lb, the tightening torque in the maker's sheet?")
    read = caller.get("/v1/quantities", text="22 ft-lb")
    show.answer(console, f"{read['value']['value']} {read['value']['unit']} ({read['kind']})")
    look_ups(caller, console)
    special_tools(caller, console, ids, AS_OF)

    show.say(
        console,
        "\nThe seal seat of the output shaft, service limit 39.75 mm, first taken with a caliper "
        "in oil: 39.71 mm, standard uncertainty 0.04 mm. Is it good?",
    )
    _judge(caller, console, "39.71", "0.04")
    show.say(console, "\nNo answer yet. Cleaned, and with a micrometer: 39.68 mm, 0.006 mm.")
    _judge(caller, console, "39.68", "0.006")
    show.say(console, "\nThe new finding replaces the first one, which stays on record:")
    found = caller.create(
        "/v1/findings",
        "f-seal-seat-again",
        {
            "unit_id": ids["u-customer"],
            "position_id": ids["p-output-shaft"],
            "characteristic_id": ids["c-seal-seat"],
            "found_by": "bench one",
            "found_at": datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
            "method": "gauge",
            "measured": {"value": "39.68", "unit": "mm", "standard_uncertainty": "0.006"},
            "gauge": "outside micrometer 25-50 mm",
            "is_cleaned": True,
            "location": "groove under the seal lip",
            "supersedes_id": ids["f-seal-seat"],
        },
    )
    show.answer(console, f"finding {found['id']} stored")


def _judge(caller: Caller, console: Console, value: str, uncertainty: str) -> None:
    judged = caller.calculate(
        "conformity",
        {
            "measured": {"value": value, "unit": "mm", "standard_uncertainty": uncertainty},
            "lower_limit": {"value": "39.75", "unit": "mm"},
        },
    )
    chance = show.percent(judged["probability"])
    show.answer(console, f"{judged['verdict']}: conforms with a probability of {chance}")


def _service_writer(caller: Caller, console: Console, ids: Ids) -> None:
    show.title(console, "At the counter")
    _lead_time(caller, console)
    job = ids["j-log-feed"]
    show.say(console, "\nEvery way to get the customer going again, side by side:")
    result = caller.get(f"/v1/jobs/{job}/options", as_of=AS_OF, break_evens="12", settlings="4")
    show_decision.decision(console, result)
    show.title(console, "Keeping the choice")
    show.say(console, "Frozen with its inputs, plans, who and why:")
    body: Json = {"plan_id": result["recommended"], "decided_by": "counter", "as_of": AS_OF}
    kept = caller.create(f"/v1/jobs/{job}/decisions", "decision-log-feed", body)
    show.answer(console, f"decision {kept['id']}, snapshot {kept['snapshot_hash'][:12]}...")
    show.say(console, "\nComputed again from its stored inputs:")
    again = caller.repeat(f"/v1/decisions/{kept['id']}/replays")
    show.answer(console, "agrees" if again["agrees"] else f"differs: {again['differences']}")


def _lead_time(caller: Caller, console: Console) -> None:
    show.say(
        console,
        "When could it be ready if seals come in 2 (at worst 4) working days, bearings in 1 (2), "
        "the sleeve in 2 (4), with 9.5 hours at the bench? Sure nine times in ten:",
    )
    answer = caller.calculate(
        "lead-time",
        {
            "arrivals": [
                {"p50_days": "2", "p90_days": "4", "order_cutoff": "11:00"},
                {"p50_days": "1", "p90_days": "2", "order_cutoff": "14:00"},
                {"p50_days": "2", "p90_days": "4"},
            ],
            "as_of": AS_OF,
            "confidence": "0.9",
            "calendar": {
                "timezone": "Europe/Vilnius",
                "country": "LT",
                "bench_hours_per_day": "6",
            },
            "bench_hours": "9.5",
        },
    )
    show.answer(
        console,
        f"all there by {show.day(answer['arrival_date'])}, "
        f"promise {show.day(answer['promise_date'])}",
    )


def _small_jobs(caller: Caller, console: Console, ids: Ids) -> None:
    show.title(console, "Three smaller jobs, in short")
    for key, name in _SMALL_JOBS.items():
        result = caller.get(f"/v1/jobs/{ids[key]}/options", as_of=AS_OF)
        show.answer(console, show_decision.one_line(result, name))
        show_decision.in_short(console, result)


@contextlib.contextmanager
def _sigterm_as_exit() -> Iterator[None]:
    """Turn SIGTERM into an exit that runs every ``finally``, so that no server is left behind."""

    def leave(number: int, frame: FrameType | None) -> None:
        raise SystemExit(128 + number)

    before = signal.signal(signal.SIGTERM, leave)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
