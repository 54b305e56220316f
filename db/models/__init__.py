"""The tables, one module per topic; importing this package makes ``metadata`` complete."""

from db.models import (
    access,
    assemblies,
    condition,
    decision,
    fasteners,
    interchange,
    salvage,
    shims,
    sourcing,
)
from db.models.base import metadata

__all__ = [
    "access",
    "assemblies",
    "condition",
    "decision",
    "fasteners",
    "interchange",
    "metadata",
    "salvage",
    "shims",
    "sourcing",
]
