"""Loading the scenario the way a customer of the API would: call by call, over HTTP."""

import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx

from api.demo import known
from api.demo.records import CHANGES, SeedRecord, read_records, resolve

_NAMESPACE = uuid.UUID("0b6f2c52-9d0c-5f5a-8a51-5d3b6f0e2a11")


class LoadRefused(Exception):
    """The server refused a record of the scenario; says which, and the server's words."""


def idempotency_key(name: str) -> str:
    """The Idempotency-Key of a record of the scenario: always the same for the same name.

    >>> idempotency_key("lf2") == idempotency_key("lf2") != idempotency_key("dp40")
    True
    """
    return f'"{uuid.uuid5(_NAMESPACE, name)}"'


def load_scenario(
    client: httpx.Client,
    folder: Path | None = None,
    on_record: Callable[[SeedRecord], None] | None = None,
) -> dict[str, str]:
    """Post the whole scenario, make its changes, and return the id of each record by its local key.

    ``client`` has the server's base URL and the key's Authorization header. What the shop has of
    it already is used, and every POST carries an Idempotency-Key made from the record's local key,
    so a second load changes nothing and returns the same ids, however late. Raises LoadRefused when
    the server refuses a record.
    """
    ids: dict[str, str] = {}
    now = datetime.now(UTC)
    is_begun = _is_begun(client)
    for record in read_records(folder):
        body = resolve(record.body, ids, now)
        if record.resource == CHANGES:
            ids[record.key] = _change(client, record.key, body)
        else:
            found = known.find(client, record.resource, body) if is_begun else None
            ids[record.key] = (found or _post(client, record, body))["id"]
        if on_record is not None:
            on_record(record)
    return ids


def _is_begun(client: httpx.Client) -> bool:
    """Whether there may be something of the scenario: it begins with the shop's settings."""
    answer = client.get("/v1/shop-settings", params={"limit": "1"})
    if not answer.is_success:
        raise _refused("the list of shop-settings", answer)
    return bool(answer.json()["items"])


def _post(client: httpx.Client, record: SeedRecord, body: dict[str, Any]) -> dict[str, Any]:
    """Post one record, its references resolved in ``body``; return the answer.

    What another shop put into the catalogue is used if it is the same; raises LoadRefused if it is
    not.
    """
    answer = client.post(
        f"/v1/{record.resource}",
        json=body,
        headers={"Idempotency-Key": idempotency_key(record.key)},
    )
    if answer.status_code == httpx.codes.CREATED:
        stored: dict[str, Any] = answer.json()
        return stored
    existing_id = answer.json().get("existing_id")
    if existing_id is not None:
        existing: dict[str, Any] = client.get(f"/v1/{record.resource}/{existing_id}").json()
        if known.says(existing, body):
            return existing
    raise _refused(f"{record.resource} '{record.key}'", answer)


def _change(client: httpx.Client, key: str, body: dict[str, Any]) -> str:
    """Take a record through the steps of a change, or retire it; return its id.

    Steps that are behind the record already are left out. Raises LoadRefused.
    """
    record_id: str = body["record"]
    path = f"/v1/{body['resource']}/{record_id}"
    answer = client.get(path)
    if body.get("is_retired"):
        if answer.status_code == httpx.codes.NOT_FOUND:
            return record_id
        answer = client.delete(path, headers={"If-Match": answer.headers.get("ETag", "")})
    else:
        for step in _steps_ahead(answer.json(), body["steps"]):
            answer = patch(client, path, step, answer.headers.get("ETag", ""))
            if not answer.is_success:
                break
    if not answer.is_success:
        raise _refused(f"change '{key}'", answer)
    return record_id


def patch(client: httpx.Client, path: str, members: object, version: str) -> httpx.Response:
    """Change a record by a merge patch, made for the version that its ETag named."""
    headers = {"If-Match": version, "Content-Type": "application/merge-patch+json"}
    return client.patch(path, json=members, headers=headers)


def _steps_ahead(stored: dict[str, Any], steps: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The steps after the last one of which the record tells; none if it went another way since."""
    behind = [place for place, step in enumerate(steps) if known.says(stored, step)]
    if behind:
        return steps[behind[-1] + 1 :]
    return steps if stored.get("version") == 1 else []


def _refused(what: str, answer: httpx.Response) -> LoadRefused:
    return LoadRefused(f"{what}: {answer.status_code}\n{answer.text[:2000]}")


def count_records(folder: Path | None = None) -> int:
    """How many records and changes of records the scenario has."""
    records: Iterator[SeedRecord] = read_records(folder)
    return sum(1 for _ in records)
