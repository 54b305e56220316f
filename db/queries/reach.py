"""Which parts of the catalogue may fill the positions of one job.

The parts called for; those that claims, supersessions and generic equals lead to, within the steps
that the shop allows and as far as they lead to something that this shop can buy, has on the shelf,
or could take from a donor; and the kits that hold any of them. What nobody offers can be no source,
and a catalogue may hold thousands.

Every shop writes in the catalogue. What another one claims, well or badly, is no reason for this
shop to be without an answer: it counts only where it leads to what this shop could have, in this
shop's currency and within measure, and what is left out is counted. What a kit inside a kit holds
does not matter here.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_FLOOR, Decimal
from typing import Any, Final

from sqlalchemy import (
    Column,
    ColumnElement,
    Select,
    and_,
    case,
    func,
    or_,
    select,
)
from sqlalchemy.orm import Session

from db.models.assemblies import positions
from db.models.condition import units
from db.models.interchange import (
    claim_companion_lines,
    interchange_claims,
    kit_lines,
    parts,
    supersession_companion_lines,
    supersession_later_lines,
)
from db.queries.access import Principal
from db.queries.having import can_have, is_offered
from db.queries.interchange_edges import NAME, Edge, Kind, Walk, walked
from db.queries.interchange_walk import claims_of, fitment_counts, parts_named, supersessions_of
from db.queries.mapping import in_steps
from shared.assemblies.model import Position
from shared.condition.model import UnitKind
from shared.decision.check.interchange import MOST_PIECES
from shared.decision.settings import ShopSettings
from shared.interchange.model import ClaimSays, FitmentCount, InterchangeClaim, Part, Supersession

MOST_OF_A_PAIR: Final = 10
"""Claims by other shops on the same two parts that are read; the others add nothing."""
MOST_BY_OTHERS: Final = 1_000
"""Claims by other shops that one plan takes in."""
MOST_REWORK_HOURS: Final = 1_000
"""Hours of rework at one position that another shop's claim may ask for."""
MOST_REWORK_MINOR: Final = 10**9
"""Cost of rework at one position that another shop's claim may ask for, in minor units."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Parts and records by rising id; ``sourced_ids`` are the parts whose offers count.

    ``parts`` holds besides them what the kits contain and records name, as single parts.
    ``claims_left_out`` counts claims by other shops on parts that this shop could have, which it
    cannot reckon with; rules of supersession of more pieces than a plan takes in; and steps and
    parts that were not read, for their number. ``by_part``: by part called for the parts that steps
    lead to, itself too.
    """

    parts: tuple[Part, ...]
    claims: tuple[InterchangeClaim, ...]
    sourced_ids: tuple[str, ...]
    claims_left_out: int
    supersessions: tuple[Supersession, ...] = ()
    fitment_counts: tuple[FitmentCount, ...] = ()
    by_part: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def for_places(self, here: Iterable[Position]) -> frozenset[str]:
        """Return the parts that may take the place of one called for at some positions."""
        called_for = {position.part_id or "" for position in here}
        return frozenset[str]().union(*(self.by_part.get(one, ()) for one in called_for))


def reachable(
    session: Session,
    principal: Principal,
    called_for: Mapping[str, int],
    settings: ShopSettings,
    assembly_id: str,
    along: Collection[str] = (),
) -> Reach:
    """Return what may take the places of the parts called for in an assembly.

    ``called_for``: by part id the most pieces that one position holds. ``settings``: the shop's.
    ``along``: parts that are bought along with others, and take nobody's place: for a rework, for
    measuring shims anew.
    """
    measure = _Measure(principal, called_for, settings.currency)
    most_steps = settings.interchange.most_steps
    walk = walked(
        session, principal, called_for.keys(), most_steps, measure.claims_by_others, most_equals=0
    )
    to_be_had = _to_be_had(session, principal, walk.part_ids, assembly_id)
    leading = _leading_there(walk, called_for.keys(), to_be_had)
    measured = _within_measure(session, leading)
    edges = _few_by_others(measured)
    claims = claims_of(session, edges)
    successions = supersessions_of(session, edges)
    kept = Walk(most_steps, edges)
    by_part = {one: frozenset(kept.reached([one])) for one in sorted(called_for)}
    reached = set[str]().union(*by_part.values())
    reached |= walk.of_their_size(reached) & to_be_had
    reached |= _companions(claims, successions) | set(along)
    sourced = reached | _kits(session, principal, reached)
    contents = _where(session, kit_lines.c.part_id, kit_lines.c.kit_id, sourced)
    found = parts_named(session, sourced | contents, claims, successions)
    return Reach(
        tuple(part if part.id in sourced else replace(part, kit_lines=()) for part in found),
        claims,
        tuple(sorted(sourced)),
        _left_out(session, principal, walk.reached(called_for), edges)
        + len({edge.record_id for edge in set(leading).difference(measured)})
        + walk.left_out,
        successions,
        fitment_counts(session, principal, claims, settings.warranty.warranty_hours),
        by_part,
    )


# --- steps -----------------------------------------------------------------------------------


def _leading_there(walk: Walk, start_ids: Collection[str], to_be_had: set[str]) -> list[Edge]:
    """Return the steps on the way to something that the shop could have, and what forbids them.

    What the shop itself claims of a part called for stays. Rules of supersession of one part stay
    together: one alone would be taken for sure where another rivals it.
    """
    within = walk.reached(start_ids)
    steps = [
        edge
        for edge in walk.edges
        if edge.kind is not Kind.DENIAL
        and all(end in within or end.startswith(NAME) for end in (edge.from_id, edge.to_id))
    ]
    before: dict[str, list[str]] = defaultdict(list)
    for edge in steps:
        before[edge.to_id].append(edge.from_id)
    leading, waiting = set(to_be_had), list(to_be_had)
    while waiting:
        for one in before[waiting.pop()]:
            if one not in leading:
                leading.add(one)
                waiting.append(one)
    starts = set(start_ids)
    on_the_way = [
        edge
        for edge in steps
        if edge.to_id in leading or (edge.kind is Kind.OWN_CLAIM and edge.from_id in starts)
    ]
    nodes = starts.union(*((edge.from_id, edge.to_id) for edge in on_the_way))
    rules = [edge for edge in steps if edge.kind is Kind.LATER and edge.from_id in nodes]
    nodes |= {edge.to_id for edge in rules}
    denials = [
        edge
        for edge in walk.edges
        if edge.kind is Kind.DENIAL and edge.from_id in nodes and edge.to_id in nodes
    ]
    return list(dict.fromkeys((*denials, *on_the_way, *rules)))


def _within_measure(session: Session, edges: Sequence[Edge]) -> list[Edge]:
    """Drop all rules of a part of which one, whoever recorded it, asks for too many pieces.

    One of two rules that rival each other would be taken for sure without the other.
    """
    rules = {edge.record_id for edge in edges if edge.is_supersession}
    beyond: set[str] = set()
    for table in (supersession_later_lines, supersession_companion_lines):
        columns = (table.c.earlier_part_id, table.c.supersession_id)
        beyond |= _where(session, *columns, rules, table.c.quantity > MOST_PIECES)
    return [
        edge
        for edge in edges
        if not edge.is_supersession
        or (edge.to_id if edge.kind is Kind.BACK else edge.from_id) not in beyond
    ]


def _few_by_others(edges: Sequence[Edge]) -> list[Edge]:
    """Drop claims by other shops beyond the number that one plan takes in, the later ones."""
    by_others = sorted(edge.record_id for edge in edges if edge.kind is Kind.CLAIM)
    dropped = set(by_others[MOST_BY_OTHERS:])
    return [edge for edge in edges if edge.kind is not Kind.CLAIM or edge.record_id not in dropped]


def _companions(
    claims: Iterable[InterchangeClaim], successions: Iterable[Supersession]
) -> set[str]:
    """Return the parts that go in along with others: they have to be bought too."""
    found = {line.part_id for claim in claims for line in claim.companion_lines}
    for one in successions:
        found |= {line.part_id for line in (*one.later_lines, *one.companion_lines)}
    return found


# --- claims by others ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Measure:
    """What a claim by another shop may ask for, given what is called for and the currency."""

    principal: Principal
    called_for: Mapping[str, int]
    currency: str

    def claims_by_others(self, some: Sequence[str]) -> Select[Any]:
        """Select the claims on some parts that can be reckoned with: id, part, stand-in.

        A few of a pair of parts; those on what the shop could buy or has on the shelf first.
        """
        table = interchange_claims
        columns = (table.c.id, table.c.part_id, table.c.stand_in_part_id)
        place = func.row_number().over(
            partition_by=(table.c.part_id, table.c.stand_in_part_id), order_by=table.c.id
        )
        is_useful = case((can_have(self.principal, table.c.stand_in_part_id), 0), else_=1)
        ranked = (
            select(*columns, place.label("place"), is_useful.label("rank"))
            .where(
                table.c.part_id.in_(some),
                table.c.author_shop_id != self.principal.shop_id,
                table.c.says == ClaimSays.FITS.value,
                self._is_within(some),
            )
            .subquery("claims_by_others")
        )
        return (
            select(ranked.c.id, ranked.c.part_id, ranked.c.stand_in_part_id)
            .where(ranked.c.place <= MOST_OF_A_PAIR)
            .order_by(ranked.c.rank, ranked.c.part_id, ranked.c.id)
        )

    def _is_within(self, some: Sequence[str]) -> ColumnElement[bool]:
        """Return the condition that all pieces can be planned with, in the shop's currency."""
        table, lines = interchange_claims, claim_companion_lines
        # Deep in a path it is not known for which of the parts called for it counts.
        most = max(self.called_for.values(), default=1)
        ids_by_pieces: dict[int, list[str]] = defaultdict(list)
        for part_id in some:
            ids_by_pieces[self.called_for.get(part_id, most)].append(part_id)
        is_small = (
            and_(
                table.c.part_id.in_(ids),
                table.c.rework_p90_hours <= _share(MOST_REWORK_HOURS, pieces),
                or_(
                    table.c.rework_cost_minor.is_(None),
                    table.c.rework_cost_minor <= MOST_REWORK_MINOR // pieces,
                ),
            )
            for pieces, ids in sorted(ids_by_pieces.items())
        )
        currency = table.c.rework_cost_currency
        many = select(lines.c.claim_id).where(
            lines.c.claim_id == table.c.id, lines.c.quantity > MOST_PIECES
        )
        return and_(
            or_(currency.is_(None), currency == self.currency),
            table.c.part_quantity <= MOST_PIECES,
            table.c.stand_in_quantity <= MOST_PIECES,
            ~many.exists(),
            or_(*is_small),
        )


def _share(whole: int, pieces: int) -> Decimal:
    return (Decimal(whole) / pieces).quantize(Decimal("0.000001"), ROUND_FLOOR)


def _left_out(
    session: Session, principal: Principal, part_ids: Iterable[str], edges: Iterable[Edge]
) -> int:
    """Count the claims by other shops on what the shop could have that are not among some."""
    table = interchange_claims
    count = 0
    for some in in_steps(sorted(part_ids)):
        statement = (
            select(func.count())
            .select_from(table)
            .where(
                table.c.part_id.in_(some),
                table.c.author_shop_id != principal.shop_id,
                table.c.says == ClaimSays.FITS.value,
                can_have(principal, table.c.stand_in_part_id),
            )
        )
        count += session.execute(statement).scalar_one()
    kept = [edge for edge in edges if edge.kind is Kind.CLAIM]
    ends = {edge.to_id for edge in kept}
    having = _where(session, parts.c.id, parts.c.id, ends, can_have(principal, parts.c.id))
    return count - sum(edge.to_id in having for edge in kept)


# --- parts -----------------------------------------------------------------------------------


def _to_be_had(
    session: Session, principal: Principal, part_ids: Iterable[str], assembly_id: str
) -> set[str]:
    """Return those of some parts that the shop can buy, has, or has in another kind of donor."""
    others = select(units.c.assembly_id).where(
        units.c.shop_id == principal.shop_id,
        units.c.kind.in_([UnitKind.DONOR.value, UnitKind.STOCK.value]),
        units.c.assembly_id != assembly_id,
    )
    in_donors = positions.c.assembly_id.in_(others)
    wanted = set(part_ids)
    found = _where(session, parts.c.id, parts.c.id, wanted, can_have(principal, parts.c.id))
    return found | _where(session, positions.c.part_id, positions.c.part_id, wanted, in_donors)


def _kits(session: Session, principal: Principal, reached: set[str]) -> set[str]:
    """Return the offered kits that hold a part reached."""
    offered = is_offered(principal, kit_lines.c.kit_id)
    return _where(session, kit_lines.c.kit_id, kit_lines.c.part_id, reached, offered)


def _where(
    session: Session, wanted: Column[Any], column: Column[Any], values: Iterable[str], *more: Any
) -> set[str]:
    """Return the different values of one column where another is among some."""
    return {
        value
        for some in in_steps(sorted(values))
        for value in session.execute(
            select(wanted).distinct().where(column.in_(some), *more)
        ).scalars()
    }
