"""Parts whose generic designations are of one size, as many as a walk through the catalogue reads.

Those that the shop deals in all count; of the others, of which a catalogue may hold thousands, so
many are read, and it is counted that there are more.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from sqlalchemy import Column, Select, func, literal, select, union_all
from sqlalchemy.orm import Session

from db.models.fasteners import stock_items
from db.models.interchange import parts
from db.models.salvage import salvaged_parts
from db.models.sourcing import offers
from db.queries.access import Principal
from db.queries.having import deals_in

MOST_EQUALS: Final = 20
"""Parts of one designation key that are read besides those that the shop deals in."""
MOST_EQUALS_IN_ALL: Final = 200
"""Such parts that one walk reads, of whatever keys; those nearest to its start."""
MOST_ASKED: Final = 2_000
"""Parts of one key of which each is asked whether the shop deals in it."""
_AT_ONCE: Final = 100
"""Keys that one statement asks for, each on its own."""

_COLUMNS: Final = (parts.c.designation_key, parts.c.id, parts.c.generic_designation)


@dataclass(slots=True)
class Sizes:
    """The parts read: by designation key the designations by part.

    ``most``: of one key besides those that the shop deals in. ``left_out``: others that there are,
    one for each key of which there are more.
    """

    session: Session
    principal: Principal
    most: int
    groups: dict[str, dict[str, str]] = field(default_factory=dict)
    dealt_in: set[str] = field(default_factory=set)
    left_out: int = 0
    _others_read: int = 0

    def read(self, keys: Iterable[str]) -> None:
        """Read the parts of some keys, if they are not read yet."""
        fresh = sorted(set(keys) - self.groups.keys())
        self.groups |= {key: {} for key in fresh}
        for start in range(0, len(fresh), _AT_ONCE):
            some = fresh[start : start + _AT_ONCE]
            self._read_dealt_in(some)
            if self.most:
                self._read_others(some)

    def _read_dealt_in(self, keys: Sequence[str]) -> None:
        """Ask each part of a key that few have; of the others go through what the shop deals in."""
        legs = [
            select(
                literal(key).label("key"),
                select(func.count())
                .select_from(_of_key((parts.c.id,), key, MOST_ASKED + 1).subquery())
                .scalar_subquery()
                .label("how_many"),
            )
            for key in keys
        ]
        counts = {row.key: row.how_many for row in self.session.execute(union_all(*legs))}
        common = [key for key in keys if counts[key] > MOST_ASKED]
        few = [key for key in keys if counts[key] <= MOST_ASKED]
        for some, is_own in (
            (few, deals_in(self.principal, parts.c.id)),
            (common, parts.c.id.in_(_all_dealt_in(self.principal))),
        ):
            if some:
                statement = select(*_COLUMNS).where(parts.c.designation_key.in_(some), is_own)
                for key, part_id, name in self.session.execute(statement):
                    self.groups[key][part_id] = name
                    self.dealt_in.add(part_id)

    def _read_others(self, keys: Sequence[str]) -> None:
        legs = [
            select(
                _of_key(_COLUMNS, key, self.most + 1 + len(self.groups[key])).subquery(f"size_{n}")
            )
            for n, key in enumerate(keys)
        ]
        counts: dict[str, int] = defaultdict(int)
        for key, part_id, name in self.session.execute(union_all(*legs)):
            if part_id in self.dealt_in:
                continue
            counts[key] += 1
            if counts[key] <= self.most and self._others_read < MOST_EQUALS_IN_ALL:
                self.groups[key][part_id] = name
                self._others_read += 1
            else:
                self.left_out += 1


def _of_key(columns: Sequence[Column[Any]], key: str, most: int) -> Select[Any]:
    return (
        select(*columns)
        .where(parts.c.designation_key == key)
        .order_by(parts.c.designation_key, parts.c.id)
        .limit(most)
    )


def _all_dealt_in(principal: Principal) -> Any:
    return union_all(
        *(
            select(table.c.part_id).where(
                table.c.shop_id == principal.shop_id, table.c.part_id.is_not(None)
            )
            for table in (offers, stock_items, salvaged_parts)
        )
    )
