"""Reading ``seed_data/``: records in the form that POST takes, with names in place of ids.

``seed_data/<story>/<resource>.json`` is an array of ``{"key": ..., "body": {...}}``. Inside a body
the text ``"@gearbox"`` stands for the id of the record whose key is ``gearbox``.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

STORIES = ("shop", "log-feed-drive", "dosing-pump", "hydraulic-motor", "starter-clutch")
RESOURCES = (
    "shop-settings",
    "suppliers",
    "parts",
    "assemblies",
    "access-groups",
    "positions",
    "position-sets",
    "labour-operations",
    "characteristics",
    "interchange-claims",
    "units",
    "findings",
    "offers",
    "jobs",
)
"""In the order in which they are posted: what is referred to comes first."""


@dataclass(frozen=True, slots=True)
class SeedRecord:
    """One record to post: its resource, its local key, its body with references unresolved."""

    resource: str
    key: str
    body: dict[str, Any]


def seed_folder() -> Path:
    """Folder of the scenario: beside the package in a clone, inside it once installed."""
    here = Path(__file__).resolve().parent.parent
    inside = here / "seed_data"
    return inside if inside.is_dir() else here.parent / "seed_data"


def read_records(folder: Path | None = None) -> Iterator[SeedRecord]:
    """All records of the scenario, in posting order."""
    root = folder or seed_folder()
    for story in STORIES:
        for resource in RESOURCES:
            path = root / story / f"{resource}.json"
            if path.is_file():
                for row in json.loads(path.read_text(encoding="utf-8")):
                    yield SeedRecord(resource, row["key"], row["body"])


def resolve(value: Any, ids: Mapping[str, str]) -> Any:
    """Return a body with every ``"@key"`` replaced by its id; raises KeyError for an unknown key.

    >>> resolve({"part_id": "@wheel", "position_ids": ["@a"]}, {"wheel": "prt_1", "a": "pos_2"})
    {'part_id': 'prt_1', 'position_ids': ['pos_2']}
    """
    if isinstance(value, dict):
        return {name: resolve(member, ids) for name, member in value.items()}
    if isinstance(value, list):
        return [resolve(member, ids) for member in value]
    if isinstance(value, str) and value.startswith("@"):
        return ids[value[1:]]
    return value
