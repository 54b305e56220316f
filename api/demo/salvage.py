"""Parts from donors in the demonstration: traced both ways, promised once, changed once."""

from datetime import date
from typing import Any

import httpx
from rich.console import Console

from api.demo import show
from api.demo.calls import CallRefused
from api.demo.load import idempotency_key, patch

Ids = dict[str, str]
Json = dict[str, Any]
_PARTS = "/v1/salvaged-parts"


def parts_from_donors(client: httpx.Client, console: Console, ids: Ids) -> None:
    """A short paragraph of real calls, told as they are read at the counter.

    Raises CallRefused where the server answers anything else than the paragraph tells.
    """
    show.title(console, "Parts from donors")
    _traced(client, console, ids)
    _promised_once(client, console, ids)
    _changed_once(client, console, ids)


def _traced(client: httpx.Client, console: Console, ids: Ids) -> None:
    trace = _got(client, f"{_PARTS}/{ids['sp-press-rotor']}/trace")
    part, donor, one = trace["salvaged_part"], trace["donor"], trace["fitments"][-1]
    fitment, held = one["fitment"], trace["reservations"][-1]
    show.bullets(
        console,
        [
            f"{part['label']}, {trace['position_name'].lower()}: from donor "
            f"{donor['serial_number']} ({donor['reason_retired']}), taken "
            f"{_on(part['removed_on'])}, inspected {_on(part['inspected_on'])} by "
            f"{part['inspected_by']}; reservation {held['state']}; fitted in unit "
            f"{one['serial_number']} {_on(fitment['fitted_on'])}; "
            f"{fitment['result'].replace('-', ' ')}, {fitment['hours_run']} h.",
        ],
    )
    sources = ", ".join(_sources(client, fitment["job_id"]))
    show.bullets(console, [f"Back from that job: unit {one['serial_number']} has in it {sources}."])


def _sources(client: httpx.Client, job_id: str) -> list[str]:
    """The parts from donors that were fitted in a job, each with its donor."""
    fitted = _got(client, "/v1/fitments", job_id=job_id)["items"]
    traces = [
        _got(client, f"{_PARTS}/{one['salvaged_part_id']}/trace")
        for one in fitted
        if one["salvaged_part_id"] is not None
    ]
    return [
        f"{trace['salvaged_part']['label']} ({trace['position_name'].lower()}) "
        f"from donor {trace['donor']['serial_number']}"
        for trace in traces
    ]


def _promised_once(client: httpx.Client, console: Console, ids: Ids) -> None:
    """The pump on the bench is to have the head that another job holds."""
    part = _got(client, f"{_PARTS}/{ids['sp-pump-head']}")
    held = _got(client, "/v1/reservations", salvaged_part_id=part["id"])["items"][0]
    wanted = {
        "salvaged_part_id": part["id"],
        "job_id": ids["j-dosing-pump"],
        "reserved_by": "counter",
        "expires_at": held["expires_at"],
    }
    key = {"Idempotency-Key": idempotency_key("rs-second-promise")}
    problem = _refused(
        client.post("/v1/reservations", json=wanted, headers=key), 409, "already-reserved"
    )
    holder = _got(client, f"/v1/reservations/{problem['existing_id']}")
    job = _got(client, f"/v1/jobs/{holder['job_id']}")
    unit = _got(client, f"/v1/units/{job['unit_id']}")
    show.bullets(
        console,
        [
            f"{part['label']}, pump head in {part['shelf']}, wanted for the dosing pump on "
            f"the bench too: refused (409), "
            f"held for unit {unit['serial_number']} by the {holder['reserved_by']}. "
            f"{problem['fix']}"
        ],
    )


def _changed_once(client: httpx.Client, console: Console, ids: Ids) -> None:
    """Two people have the same version in front of them; the second one is told."""
    path = f"{_PARTS}/{ids['sp-pump-head']}"
    seen = client.get(path)
    first = patch(client, path, {"shelf": "rack 2, tray 7"}, seen.headers["ETag"])
    if not first.is_success:
        raise CallRefused(f"{first.status_code} {first.text[:2000]}")
    second = patch(client, path, {"shelf": "bench two"}, seen.headers["ETag"])
    problem = _refused(second, 412, "stale-version")
    now = _got(client, path)
    show.bullets(
        console,
        [
            f"{now['label']} is moved to {now['shelf']}. A second change, made from the record as "
            f"it was before: refused (412), it is version {problem['current_version']} by now."
        ],
    )


def _on(text: str) -> str:
    return f"{date.fromisoformat(text):%d %b %Y}"


def _got(client: httpx.Client, path: str, **query: str) -> Json:
    answer = client.get(path, params=query)
    if not answer.is_success:
        raise CallRefused(f"{path}: {answer.status_code} {answer.text[:2000]}")
    found: Json = answer.json()
    return found


def _refused(answer: httpx.Response, status: int, problem: str) -> Json:
    """The problem with which a call was refused; raises CallRefused for any other answer."""
    if answer.status_code != status or answer.json()["type"] != f"/problems/{problem}":
        raise CallRefused(
            f"wanted {status} {problem}, got {answer.status_code} {answer.text[:2000]}"
        )
    found: Json = answer.json()
    return found
