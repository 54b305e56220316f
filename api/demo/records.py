"""Reading ``seed_data/``: records in the form that POST takes, with names in place of ids.

``seed_data/<story>/<resource>.json`` is an array of ``{"key": ..., "body": {...}}``. Inside a body
the text ``"@gearbox"`` stands for the id of the record whose key is ``gearbox``, ``"@now+60d"``
for the moment sixty days after loading, ``"@now-3dT12:10"`` for 12:10 UTC three days before,
``"@today-3d"`` for the day three days before.
``changes.json`` tells what becomes of records posted.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

STORIES = (
    "shop",
    "log-feed-drive",
    "dosing-pump",
    "hydraulic-motor",
    "starter-clutch",
    "second-mill",
)
RESOURCES = (
    "shop-settings",
    "suppliers",
    "exchange-rates",
    "number-rules",
    "parts",
    "assemblies",
    "supersessions",
    "access-groups",
    "positions",
    "position-sets",
    "labour-operations",
    "special-tools",
    "cautions",
    "characteristics",
    "shim-places",
    "interchange-claims",
    "stock-items",
    "units",
    "gauges",
    "findings",
    "offers",
    "jobs",
    "shim-packs",
    "salvaged-parts",
    "reservations",
    "deliveries",
    "fitments",
    "outcomes",
)
"""In the order in which they are posted: what is referred to comes first."""
CHANGES = "changes"
"""Beside the resources of a story, made once all its records are posted."""
_FROM_TODAY = re.compile(r"@today([+-][0-9]{1,3})d")
_FROM_NOW = re.compile(r"@now([+-][0-9]{1,3})d(?:T([0-9]{2}):([0-9]{2}))?")


@dataclass(frozen=True, slots=True)
class SeedRecord:
    """One record to post: its resource, its local key, its body with references unresolved.

    Under the resource ``changes`` the body tells what is done to a record that is posted already.
    """

    resource: str
    key: str
    body: dict[str, Any]


def seed_folder() -> Path:
    """Folder of the scenario: beside the package in a clone, inside it once installed."""
    here = Path(__file__).resolve().parent.parent
    inside = here / "seed_data"
    return inside if inside.is_dir() else here.parent / "seed_data"


def read_records(folder: Path | None = None) -> Iterator[SeedRecord]:
    """All records of the scenario and the changes of them, in the order in which they are made."""
    root = folder or seed_folder()
    for story in STORIES:
        for resource in (*RESOURCES, CHANGES):
            path = root / story / f"{resource}.json"
            if path.is_file():
                for row in json.loads(path.read_text(encoding="utf-8")):
                    yield SeedRecord(resource, row["key"], row["body"])


def resolve(value: Any, ids: Mapping[str, str], now: datetime) -> Any:
    """Return a body with every ``"@key"`` replaced by its id, every ``"@now..d"`` by its moment.

    ``now`` is the moment of loading, days are of 24 h. Raises KeyError for an unknown key.

    >>> ids, now = {"wheel": "prt_1", "a": "pos_2"}, datetime(2031, 3, 3, 7, 30, tzinfo=UTC)
    >>> resolve({"part_id": "@wheel", "position_ids": ["@a"]}, ids, now)
    {'part_id': 'prt_1', 'position_ids': ['pos_2']}
    >>> resolve("@now+60d", ids, now)
    '2031-05-02T07:30:00Z'
    >>> resolve("@now-3dT12:10", ids, now)
    '2031-02-28T12:10:00Z'
    >>> resolve("@today-3d", ids, now)
    '2031-02-28'
    """
    if isinstance(value, dict):
        return {name: resolve(member, ids, now) for name, member in value.items()}
    if isinstance(value, list):
        return [resolve(member, ids, now) for member in value]
    if isinstance(value, str) and value.startswith("@"):
        return _moment(value, now) or ids[value[1:]]
    return value


def _moment(text: str, now: datetime) -> str | None:
    """The moment or day that a text stands for, in UTC; None: it stands for a record."""
    days = _FROM_TODAY.fullmatch(text)
    if days is not None:
        return (now + timedelta(days=int(days[1]))).astimezone(UTC).date().isoformat()
    found = _FROM_NOW.fullmatch(text)
    if found is None:
        return None
    moment = (now + timedelta(days=int(found[1]))).astimezone(UTC)
    if found[2] is not None:
        moment = moment.replace(hour=int(found[2]), minute=int(found[3]), second=0)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")
