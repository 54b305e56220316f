"""What the service should hold, in memory: records of three shops, who may see and change them.

The model takes the words of the API's own conventions and nothing of the service's code: a merge
patch, who sees a record, who may change it, which are in use.
"""

import copy
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

Members = dict[str, Any]

CATALOGUE = ("/parts", "/assemblies", "/positions", "/serviceability-rulings")
PRIVATE = ("/suppliers", "/units", "/offers", "/jobs")
KINDS = (*CATALOGUE, *PRIVATE)
KEPT = ("/serviceability-rulings",)
HEAD = ("id", "version", "created_at", "updated_at")

# What may follow a state of a job, written out by hand.
STEPS = {
    "booked-in": "opened closed",
    "opened": "measured closed",
    "measured": "opened offered closed",
    "offered": "measured agreed closed",
    "agreed": "measured offered supplied closed",
    "supplied": "measured fitted closed",
    "fitted": "measured proved closed",
    "proved": "measured fitted handed-over closed",
    "handed-over": "came-back closed",
    "came-back": "opened closed",
    "closed": "came-back",
}


@dataclass
class Record:
    """One record as it should be read."""

    path: str
    owner: int
    members: Members
    is_live: bool = True

    @property
    def id(self) -> str:
        return str(self.members["id"])

    @property
    def version(self) -> int:
        return int(self.members["version"])


@dataclass
class Model:
    """All records of all shops."""

    records: dict[str, Record] = field(default_factory=dict)
    writes: int = 0
    creations: int = 0

    def add(self, path: str, owner: int, members: Members) -> Record:
        record = Record(path, owner, copy.deepcopy(members))
        self.records[record.id] = record
        return record

    def live(self, *paths: str) -> list[Record]:
        return [one for one in self.records.values() if one.is_live and one.path in paths]

    def seen_by(self, shop: int, path: str) -> dict[str, Members]:
        """What a shop reads in a collection, by id."""
        return {
            one.id: one.members for one in self.live(path) if path in CATALOGUE or one.owner == shop
        }

    def may_see(self, shop: int, record: Record) -> bool:
        return record.is_live and (record.path in CATALOGUE or record.owner == shop)

    def users_of(self, record: Record) -> list[Record]:
        """Live records that point at one; a position's rulings are part of it."""
        return [
            one
            for one in self.records.values()
            if one.is_live
            and one is not record
            and one.path != "/serviceability-rulings"
            and record.id in list(leaves(one.members))
        ]

    def retire(self, record: Record) -> None:
        record.is_live = False
        if record.path == "/positions":
            for ruling in self.live("/serviceability-rulings"):
                if ruling.members["position_id"] == record.id:
                    ruling.is_live = False

    def twin(self, path: str, owner: int, members: Members, own_id: str | None) -> Record | None:
        """The live record that an equal one cannot stand beside."""
        wanted = _identity(path, owner, members)
        for one in self.live(path):
            if one.id != own_id and wanted and _identity(path, one.owner, one.members) == wanted:
                return one
        return None

    def lies_below(self, position_id: str, above: str | None) -> bool:
        """Whether going up from ``above`` one comes to a position: it would lie inside itself."""
        while above is not None:
            if above == position_id:
                return True
            above = self.records[above].members["parent_id"]
        return False


def _identity(path: str, owner: int, members: Members) -> tuple[Any, ...] | None:
    if path == "/parts":
        return (members["maker"].casefold(), members["number"].casefold())
    if path == "/assemblies":
        return (owner, members["maker"].casefold(), members["model"].casefold())
    if path == "/units" and members.get("serial_number") is not None:
        return (owner, members["assembly_id"], members["serial_number"])
    return None


def leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        for item in value.values():
            yield from leaves(item)
    elif isinstance(value, list):
        for item in value:
            yield from leaves(item)
    else:
        yield value


def patched(members: Members, patch: Members) -> Members:
    """Members as a merge patch makes them; what is cleared reads as null."""
    result = copy.deepcopy(members)
    for name, value in patch.items():
        if isinstance(value, dict) and isinstance(result.get(name), dict):
            result[name] = patched(result[name], value)
        else:
            result[name] = copy.deepcopy(value)
    return result
