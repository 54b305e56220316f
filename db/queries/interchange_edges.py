"""Steps from part to part as they stand in the catalogue, read level by level by their indexes.

Whether a step holds for a unit is judged by shared; here is only what could be a step. A level
costs a fixed number of statements; how many steps are read in all is bounded, and what is left out
is counted.
"""

from collections import defaultdict, deque
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any, Final, NamedTuple

from sqlalchemy import Select, and_, case, func, literal, select, union_all
from sqlalchemy.orm import Session

from db.models.interchange import (
    interchange_claims,
    parts,
    supersession_later_lines,
    supersessions,
)
from db.queries.access import Principal
from db.queries.having import deals_in
from db.queries.interchange_sizes import MOST_EQUALS, Sizes
from db.queries.mapping import in_steps
from shared.interchange.equals import equal_by_designation
from shared.interchange.model import ClaimSays

MOST_EDGES: Final = 5_000
"""Steps that one walk reads."""
MOST_WALKED_ON: Final = 10
"""Parts that one walk goes on from though only their size brings them in, and not the shop."""
MOST_COUNTED: Final = 10_000
"""Steps of one kind at one level that are counted where not all are read."""
MOST_ROUNDS: Final = 40
"""Levels that one walk goes; a chain of supersession counts as one, but for steps back."""
MOST_IN_A_CHAIN: Final = 2_000
"""Parts of chains of supersession that one level reads."""
NAME: Final = "="
"""What the node of a designation begins with; no id does."""
_AT_ONCE: Final = 1_000
"""Parts that one statement starts from: it names them several times."""


class Kind(IntEnum):
    """What a step stands on; the lesser is read first where not all can be."""

    DENIAL = 0
    """A claim that something does not fit: no step, but what forbids one."""
    LATER = 1
    """To the first later part; of a part that ends, to itself."""
    OWN_CLAIM = 2
    BACK = 3
    CLAIM = 4
    NAMED = 5
    """From a part to its designation: the step that a generic equal is, counted here."""
    EQUAL = 6
    """From a designation to a part that serves for it: no further step."""


class Edge(NamedTuple):
    """One step; ``record_id`` is empty for a generic equal.

    Many parts have one designation: its name stands between them as a node of its own.
    """

    kind: Kind
    record_id: str
    from_id: str
    to_id: str

    @property
    def is_supersession(self) -> bool:
        """Whether it follows the maker's numbers, forward or back."""
        return self.kind in (Kind.LATER, Kind.BACK)

    @property
    def sort(self) -> Kind:
        """The kind, as far as it matters for how a path goes on."""
        if self.is_supersession:
            return Kind.LATER
        return self.kind if self.kind is Kind.EQUAL else Kind.CLAIM


OthersClaims = Callable[[Sequence[str]], Select[Any]]
"""From some parts to the claims by other shops on them: id, part, stand-in."""


@dataclass(slots=True)
class Walk:
    """What a walk has read: steps, parts reached by them, parts of the same size, what was left."""

    most_steps: int
    edges: list[Edge] = field(default_factory=list)
    part_ids: set[str] = field(default_factory=set)
    """Parts that steps lead to, and those of a designation's size that may only be told."""
    left_out: int = 0
    _expanded: set[str] = field(default_factory=set)
    _groups: dict[str, dict[str, str]] = field(default_factory=dict)
    _named: set[tuple[str, str]] = field(default_factory=set)
    _broken: set[str] = field(default_factory=set)
    _keys: dict[str, str] = field(default_factory=dict)

    def reached(self, start_ids: Iterable[str]) -> set[str]:
        """Return the parts within ``most_steps``; a run of steps of supersession counts as one.

        An equal of an equal is no step further: it is an equal of the first, or is none.
        """
        after = defaultdict(list)
        for edge in self.edges:
            if edge.kind is not Kind.DENIAL:
                after[edge.from_id].append(edge)
        least = {(part_id, Kind.CLAIM): 0 for part_id in start_ids}
        waiting = deque(least)
        while waiting:
            part_id, last = state = waiting.popleft()
            for edge in after[part_id]:
                if last is Kind.EQUAL and edge.kind is Kind.NAMED:
                    continue
                is_free = edge.kind is Kind.EQUAL or (last is Kind.LATER and edge.is_supersession)
                steps = least[state] + (0 if is_free else 1)
                then = (edge.to_id, edge.sort)
                if steps > self.most_steps or steps >= least.get(then, steps + 1):
                    continue
                least[then] = steps
                if is_free:
                    waiting.appendleft(then)
                else:
                    waiting.append(then)
        return {part_id for part_id, _ in least if not part_id.startswith(NAME)}

    def of_their_size(self, part_ids: Iterable[str]) -> set[str]:
        """Return the parts read whose designations are of the size of one of some parts."""
        keys = {self._keys[part_id] for part_id in part_ids if part_id in self._keys}
        return {one for key in keys for one in self._groups.get(key, ())}


def walked(
    session: Session,
    principal: Principal,
    start_ids: Collection[str],
    most_steps: int,
    others: OthersClaims | None = None,
    most_equals: int = MOST_EQUALS,
    most_edges: int | None = None,
) -> Walk:
    """Return the steps within ``most_steps`` of some parts, at most ``most_edges``.

    ``others`` selects among the claims by other shops; without it all of them count. A part that
    only its designation brings in, and that the shop does not deal in, is told; a few are gone on
    from, and the others count among what is left out.
    """
    walk = Walk(most_steps, part_ids=set(start_ids))
    most = MOST_EDGES if most_edges is None else most_edges
    others = others or _every_claim(principal)
    sizes = Sizes(session, principal, most_equals, walk._groups)
    reader = _Reader(session, principal, walk, others, sizes, most)
    for _ in range(MOST_ROUNDS):
        fresh = reader.goes_on_from(walk.reached(start_ids) - walk._expanded)
        if not fresh or len(walk.edges) >= most:
            break
        reader.read(fresh)
    unread = walk.reached(start_ids) - walk._expanded
    walk.left_out += len(unread) + sizes.left_out
    # What else is said of the part that it goes back to was not read: a rival would be unseen.
    unsure = unread | walk._broken
    walk.edges = [e for e in walk.edges if e.kind is not Kind.BACK or e.to_id not in unsure]
    return walk


@dataclass(slots=True)
class _Reader:
    session: Session
    principal: Principal
    walk: Walk
    others: OthersClaims
    sizes: Sizes
    most_edges: int
    walked_on: set[str] = field(default_factory=set)

    def goes_on_from(self, fresh: set[str]) -> set[str]:
        """Return those of some parts whose own steps are to be read: not of every equal."""
        walk = self.walk
        by_record = {edge.to_id for edge in walk.edges if edge.kind is not Kind.EQUAL}
        by_size = {
            edge.to_id for edge in walk.edges if edge.kind is Kind.EQUAL and edge.to_id in fresh
        }
        only_told = by_size - by_record - self.sizes.dealt_in
        room = MOST_WALKED_ON - len(self.walked_on)
        some = set(sorted(only_told - self.walked_on)[: max(0, room)])
        self.walked_on |= some
        return fresh - only_told | some

    def read(self, fresh: set[str]) -> None:
        """Read the steps from some parts, and from those that chains of supersession lead to."""
        chained = fresh | self._chains(fresh)
        self.walk._expanded |= chained
        read = dict.fromkeys(
            edge for some in in_steps(sorted(chained), _AT_ONCE) for edge in self._edges(some)
        )
        # Of one kind in the order of its select: what matters more comes first.
        found = sorted(read, key=lambda edge: edge.kind)
        room = max(0, self.most_edges - len(self.walk.edges))
        self.walk.left_out += max(0, len(found) - room)
        self._take(self._whole(found[:room], found[room:]))
        self._take(self._equals(chained))

    def _take(self, found: Iterable[Edge]) -> None:
        for edge in found:
            self.walk.edges.append(edge)
            self.walk.part_ids |= {one for one in edge[2:] if not one.startswith(NAME)}

    def _whole(self, kept: Sequence[Edge], cut: Sequence[Edge]) -> list[Edge]:
        """Return the steps kept, but none of a part of which not all that forbids one was read.

        Of two rules that rival each other one alone would be taken for sure.
        """
        broken = {edge.from_id for edge in cut if edge.kind <= Kind.LATER}
        self.walk._broken |= broken
        return [e for e in kept if e.kind is Kind.DENIAL or e.from_id not in broken]

    def _chains(self, fresh: set[str]) -> set[str]:
        """Return the parts that first later lines lead to, however far: in one statement."""
        lines = supersession_later_lines
        found: set[str] = set()
        for some in in_steps(sorted(fresh), _AT_ONCE):
            first = select(lines.c.part_id.label("id")).where(
                lines.c.earlier_part_id.in_(some), lines.c.place == 0
            )
            chain = first.cte("chain", recursive=True)
            further = select(lines.c.part_id).where(
                lines.c.earlier_part_id == chain.c.id, lines.c.place == 0
            )
            chain = chain.union(further)
            statement = select(chain.c.id).limit(MOST_IN_A_CHAIN)
            found |= set(self.session.execute(statement).scalars())
        return found - self.walk._expanded

    def _edges(self, some: Sequence[str]) -> list[Edge]:
        room = max(0, self.most_edges - len(self.walk.edges)) + 1
        legs = self._legs(some)
        statement = union_all(
            *(
                select(literal(int(kind)).label("kind"), leg.limit(room).subquery(f"leg_{kind}"))
                for kind, leg in legs.items()
            )
        )
        found = [Edge(Kind(kind), *ids) for kind, *ids in self.session.execute(statement)]
        for kind, leg in legs.items():
            read = sum(edge.kind is kind for edge in found)
            if read == room:
                counted = leg.order_by(None).limit(MOST_COUNTED).subquery()
                count = self.session.execute(select(func.count()).select_from(counted))
                self.walk.left_out += max(0, count.scalar_one() - read)
        return self._whole(found, [*_unread(found, some, room)])

    def _legs(self, some: Sequence[str]) -> dict[Kind, Select[Any]]:
        """Select the steps from some parts, by kind: record, from, to."""
        claims, lines = interchange_claims, supersession_later_lines
        # Joined to nothing: an index on the author would read all that the shop ever claimed.
        is_own = claims.c.author_shop_id.concat("") == self.principal.shop_id
        denies = claims.c.says == ClaimSays.DOES_NOT_FIT.value
        of_claim = select(claims.c.id, claims.c.part_id, claims.c.stand_in_part_id).order_by(
            claims.c.part_id, claims.c.id
        )
        first_line = and_(lines.c.supersession_id == supersessions.c.id, lines.c.place == 0)
        return {
            Kind.DENIAL: of_claim.where(claims.c.part_id.in_(some), denies),
            Kind.LATER: select(
                supersessions.c.id,
                supersessions.c.earlier_part_id,
                func.coalesce(lines.c.part_id, supersessions.c.earlier_part_id),
            )
            .outerjoin(lines, first_line)
            .where(supersessions.c.earlier_part_id.in_(some))
            .order_by(supersessions.c.earlier_part_id, supersessions.c.id),
            Kind.OWN_CLAIM: of_claim.where(claims.c.part_id.in_(some), is_own, ~denies),
            Kind.BACK: select(lines.c.supersession_id, lines.c.part_id, lines.c.earlier_part_id)
            .join(supersessions, and_(first_line, supersessions.c.may_go_back))
            .where(lines.c.part_id.in_(some), lines.c.place == 0)
            .order_by(lines.c.part_id, lines.c.supersession_id),
            Kind.CLAIM: self.others(some),
        }

    # --- generic equals ----------------------------------------------------------------------

    def _equals(self, chained: set[str]) -> list[Edge]:
        """Return the steps to parts that serve by their designations; keep those of the size."""
        walk = self.walk
        own = {
            part_id: (key, name)
            for some in in_steps(sorted(chained), _AT_ONCE)
            for part_id, key, name in self.session.execute(
                select(parts.c.id, parts.c.designation_key, parts.c.generic_designation).where(
                    parts.c.id.in_(some), parts.c.designation_key.is_not(None)
                )
            )
        }
        walk._keys |= {part_id: key for part_id, (key, _) in own.items()}
        self.sizes.read(key for key, _ in own.values())
        edges = [Edge(Kind.NAMED, "", part_id, NAME + name) for part_id, (_, name) in own.items()]
        for key, name in sorted(set(own.values()) - walk._named):
            for other_id, offered in sorted(self.sizes.groups[key].items()):
                equal = equal_by_designation(name, offered)
                if equal is None:
                    continue
                walk.part_ids.add(other_id)
                if equal.is_candidate:
                    edges.append(Edge(Kind.EQUAL, "", NAME + name, other_id))
        walk._named |= set(own.values())
        return edges


def _unread(found: Sequence[Edge], some: Sequence[str], room: int) -> Iterator[Edge]:
    """Yield a stand-in for what a leg that is full may have left unread, by the part it is of."""
    for kind in (Kind.DENIAL, Kind.LATER):
        of_kind = [edge for edge in found if edge.kind is kind]
        if len(of_kind) >= room:
            last = of_kind[-1].from_id
            yield from (Edge(kind, "", one, one) for one in some if one >= last)


def _every_claim(principal: Principal) -> OthersClaims:
    """Select all claims by other shops that something fits; what the shop deals in first."""

    def of_parts(some: Sequence[str]) -> Select[Any]:
        table = interchange_claims
        is_useful = case((deals_in(principal, table.c.stand_in_part_id), 0), else_=1)
        return (
            select(table.c.id, table.c.part_id, table.c.stand_in_part_id)
            .where(
                table.c.part_id.in_(some),
                table.c.author_shop_id != principal.shop_id,
                table.c.says == ClaimSays.FITS.value,
            )
            .order_by(is_useful, table.c.part_id, table.c.id)
        )

    return of_parts
