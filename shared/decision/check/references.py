"""Every id is one, and every reference leads somewhere."""

import re
from collections.abc import Collection, Iterable, Mapping
from typing import Protocol

from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,63}")


class WithId(Protocol):
    """A record that has an id."""

    @property
    def id(self) -> str:
        """The record's id."""
        ...


def _records(snapshot: Snapshot) -> Mapping[str, Iterable[WithId]]:
    return {
        "positions": snapshot.positions,
        "access_groups": snapshot.access_groups,
        "position_sets": snapshot.position_sets,
        "operations": snapshot.operations,
        "characteristics": snapshot.characteristics,
        "parts": snapshot.parts,
        "claims": snapshot.claims,
        "supersessions": snapshot.supersessions,
        "units": snapshot.units,
        "findings": snapshot.findings,
        "suppliers": snapshot.suppliers,
        "offers": snapshot.offers,
        "salvaged_parts": snapshot.salvaged_parts,
        "exchange_rates": snapshot.exchange_rates,
        "gauges": snapshot.gauges,
        "shim_places": snapshot.shim_places,
        "shim_packs": snapshot.shim_packs,
    }


def check_ids(snapshot: Snapshot) -> None:
    """Refuse ids that are none, and ids that are there twice."""
    for name, records in _records(snapshot).items():
        seen: set[str] = set()
        for index, record in enumerate(records):
            if not _ID.fullmatch(record.id):
                raise InvalidInput(
                    f"/{name}/{index}/id",
                    f"{record.id[:70]!r} is not an id.",
                    "Use letters, digits, '_', '.' and '-', at most 64, a letter or digit first.",
                )
            if record.id in seen:
                raise InvalidInput(
                    f"/{name}/{index}/id",
                    f"The id {record.id} is there twice.",
                    "Give every record an id of its own.",
                    "duplicate",
                )
            seen.add(record.id)


def require(pointer: str, record_id: str | None, known: Iterable[WithId], what: str) -> None:
    """Refuse a reference to a record that is not in the snapshot."""
    if record_id is not None:
        require_among(pointer, record_id, {record.id for record in known}, what)


def require_among(pointer: str, record_id: str, known: Collection[str], what: str) -> None:
    """Refuse a reference to what is not among the ids in the snapshot."""
    if record_id not in known:
        raise InvalidInput(
            pointer,
            f"There is no {what} {record_id}.",
            f"Name a {what} that is in the snapshot, or leave the member out.",
            "reference-unknown",
        )


def require_own(pointer: str, assembly_id: str, snapshot: Snapshot) -> None:
    """Refuse a record of another assembly than the snapshot's."""
    if assembly_id != snapshot.assembly.id:
        raise InvalidInput(
            pointer,
            f"It belongs to assembly {assembly_id}; the snapshot is of {snapshot.assembly.id}.",
            "Leave out what belongs to other assemblies.",
        )
