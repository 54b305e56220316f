"""Loading the scenario the way a customer of the API would: POST by POST, over HTTP."""

import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx

from api.demo.records import SeedRecord, read_records, resolve

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
    """Post the whole scenario and return the id of each record by its local key.

    ``client`` has the server's base URL and the key's Authorization header. Every POST carries an
    Idempotency-Key made from the record's local key, so a second load changes nothing and returns
    the same ids. Raises LoadRefused when the server refuses a record.
    """
    ids: dict[str, str] = {}
    for record in read_records(folder):
        ids[record.key] = post(client, record, ids)["id"]
        if on_record is not None:
            on_record(record)
    return ids


def post(client: httpx.Client, record: SeedRecord, ids: dict[str, str]) -> dict[str, Any]:
    """Post one record, its references resolved; return the answer.

    What is in the catalogue already, put there by another shop or by a load long past, is used if
    it is the same; raises LoadRefused if it is not.
    """
    body = resolve(record.body, ids)
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
        if _says(existing, body):
            return existing
    raise LoadRefused(
        f"{record.resource} '{record.key}': {answer.status_code}\n{answer.text[:2000]}"
    )


def _says(stored: Any, body: Any) -> bool:
    """Whether a stored record says all that a body says; it may say more."""
    if isinstance(body, dict):
        return isinstance(stored, dict) and all(_says(stored.get(n), v) for n, v in body.items())
    if isinstance(body, list):
        return (
            isinstance(stored, list)
            and len(stored) == len(body)
            and all(_says(one, other) for one, other in zip(stored, body, strict=True))
        )
    return bool(stored == body)


def count_records(folder: Path | None = None) -> int:
    """How many records the scenario has."""
    records: Iterator[SeedRecord] = read_records(folder)
    return sum(1 for _ in records)
