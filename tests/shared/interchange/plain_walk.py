"""Which parts may take a place, worked out plainly: every simple path is written down and judged.

Nothing here is the house's own: conditions, beliefs, steps and their product are all told again.
Only two designations by a standard are compared by the house.
"""

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from math import ceil, exp, log, prod

import networkx as nx

from shared.interchange.equals import equal_by_designation
from shared.interchange.model import ClaimSays
from tests.shared.interchange.plain_records import (
    NO,
    YES,
    belief,
    claim_holds,
    goes_along,
    pairs,
    rules_hold,
)

GENERIC = 0.97
ONE_PIECE = Fraction(1)


@dataclass(frozen=True)
class Edge:
    """One step that may be gone: what it stands on, how sure, what it brings along."""

    name: str
    start: str
    end: str
    holds: str
    mean: float
    is_supersession: bool = False
    is_back: bool = False
    is_accepted: bool = True
    ratio: Fraction = ONE_PIECE
    with_one_called_for: tuple = ()
    with_one_fitted: tuple = ()
    hours: float = 0.0
    """Rework for one piece fitted."""
    samenesses: tuple = ("not-told",) * 3
    """Form, fit, function."""

    @property
    def companions(self):
        return (*self.with_one_called_for, *self.with_one_fitted)

    @property
    def is_generic(self):
        return not self.name


@dataclass(frozen=True)
class Way:
    """A path without a part twice."""

    edges: tuple
    confidence: float

    @property
    def names(self):
        return tuple(edge.name for edge in self.edges)

    @property
    def ratio(self):
        return prod((edge.ratio for edge in self.edges), start=ONE_PIECE)

    @property
    def companions(self):
        pieces, found = ONE_PIECE, Counter()
        for edge in self.edges:
            for part, quantity in edge.with_one_called_for:
                found[part] += quantity * pieces
            pieces *= edge.ratio
            for part, quantity in edge.with_one_fitted:
                found[part] += quantity * pieces
        return Counter({part: ceil(quantity) for part, quantity in found.items()})

    @property
    def hours(self):
        pieces, total = ONE_PIECE, 0.0
        for edge in self.edges:
            pieces *= edge.ratio
            total += edge.hours * float(pieces)
        return total

    @property
    def samenesses(self):
        """Form, fit and function at their worst along the way."""
        worst_first = ("differs", "not-told", "same")
        told = zip(*(edge.samenesses for edge in self.edges), strict=True)
        return tuple(next(one for one in worst_first if one in several) for several in told)

    @property
    def kind(self):
        """The weakest kind of step on it; going back is nobody's later number."""
        if any(not edge.is_supersession and edge.name for edge in self.edges) or any(
            edge.is_back for edge in self.edges
        ):
            return "interchange"
        return "generic" if any(not edge.name for edge in self.edges) else "supersession"


@dataclass
class Plain:
    """By part: its standing and best ways (several where they are equal); and who is refused."""

    standing: dict = field(default_factory=dict)
    best: dict = field(default_factory=dict)
    refused: set = field(default_factory=set)


def edges_of(place, catalogue):
    """Return every step that holds or may hold, and the parts refused at this place."""
    found = []
    barred, refused = set(), set()
    for claim in catalogue.claims:
        holds = claim_holds(claim, place)
        is_accepted = claim.evidence_kind in catalogue.accepted
        if claim.says is ClaimSays.DOES_NOT_FIT:
            if holds != NO and is_accepted:
                barred.add((claim.part_id, claim.stand_in_part_id))
                if claim.part_id == place.part_id:
                    refused.add(claim.stand_in_part_id)
            continue
        found.append(
            Edge(
                claim.id,
                claim.part_id,
                claim.stand_in_part_id,
                holds,
                belief(claim.evidence_kind, catalogue, claim.id),
                is_accepted=is_accepted,
                ratio=Fraction(claim.stand_in_quantity, claim.part_quantity),
                with_one_fitted=pairs(claim.companion_lines),
                hours=float(claim.rework_p50_hours),
                samenesses=(claim.form.value, claim.fit.value, claim.function.value),
            )
        )
    found += supersession_edges(place, catalogue)
    found += generic_edges(catalogue)
    known = {part.id for part in catalogue.parts}
    kept = [
        edge
        for edge in found
        if edge.holds != NO
        and (edge.start, edge.end) not in barred
        and edge.start not in refused
        and edge.end not in refused
        and {edge.start, edge.end, *(part for part, _ in edge.companions)} <= known
    ]
    return kept, refused


def supersession_edges(place, catalogue):
    rules, accepted = catalogue.supersessions, catalogue.accepted
    holds = rules_hold(rules, place, accepted)
    found = []
    for rule in catalogue.supersessions:
        if not rule.later_lines:
            continue
        first, *others = rule.later_lines
        facts = {
            "holds": holds[rule.id],
            "mean": belief(rule.evidence_kind, catalogue),
            "is_supersession": True,
            "is_accepted": rule.evidence_kind in catalogue.accepted,
        }
        found.append(
            Edge(
                rule.id,
                rule.earlier_part_id,
                first.part_id,
                **facts,
                ratio=Fraction(first.quantity),
                with_one_called_for=(
                    *pairs(others),
                    *goes_along(rule, rules, place, accepted),
                ),
            )
        )
        if rule.may_go_back and not others:
            back = Fraction(1, first.quantity)
            found.append(
                Edge(
                    rule.id,
                    first.part_id,
                    rule.earlier_part_id,
                    **facts,
                    is_back=True,
                    ratio=back,
                )
            )
    return found


compared = cache(equal_by_designation)


def generic_edges(catalogue):
    named = [part for part in catalogue.parts if part.generic_designation]
    for one in named:
        for other in named:
            if one.id == other.id:
                continue
            equal = compared(one.generic_designation, other.generic_designation)
            if equal is not None and equal.is_candidate:
                # Bearings leave load, speed and clearance open whatever their names say.
                samenesses = ("same", "same", "not-told")
                yield Edge("", one.id, other.id, YES, GENERIC, samenesses=samenesses)


def counted(edges):
    """How many steps a path counts: supersessions in a row are one."""
    return sum(
        not (edge.is_supersession and at > 0 and edges[at - 1].is_supersession)
        for at, edge in enumerate(edges)
    )


def ways_from(start, edges, rules):
    """Return every path without a part twice, too many steps, or an equal of an equal.

    By a standard a part is an equal of the first by its own designation, or not at all.
    """
    by_start = {}
    for edge in edges:
        by_start.setdefault(edge.start, []).append(edge)
    found, waiting = [], [()]
    while waiting:
        way = waiting.pop()
        been = {start, *(edge.end for edge in way)}
        for edge in by_start.get(way[-1].end if way else start, ()):
            longer = (*way, edge)
            steps = counted(longer)
            is_equal_of_equal = way and way[-1].is_generic and edge.is_generic
            if edge.end in been or steps > rules.most_steps or is_equal_of_equal:
                continue
            decay = float(rules.hop_discount) ** (steps - 1)
            found.append(Way(longer, prod(one.mean for one in longer) * decay))
            waiting.append(longer)
    return found


def plain_walk(place, catalogue):
    """Judge every part of the catalogue by every path that leads to it."""
    edges, refused = edges_of(place, catalogue)
    plain = Plain(refused=refused)
    ways = ways_from(place.part_id, edges, catalogue.rules)
    least = float(catalogue.rules.least_confidence)
    for part in {way.edges[-1].end for way in ways}:
        to_it = [way for way in ways if way.edges[-1].end == part]
        sure = [way for way in to_it if all(edge.holds == YES for edge in way.edges)]
        accepted = [way for way in sure if all(edge.is_accepted for edge in way.edges)]
        shown = [way for way in to_it if all(edge.is_accepted for edge in way.edges)]
        counts = accepted or sure or shown or to_it
        best = max(way.confidence for way in counts)
        plain.best[part] = [way for way in counts if way.confidence > best * (1 - 1e-9)]
        if accepted:
            plain.standing[part] = "usable" if best >= least else "below-threshold"
        else:
            plain.standing[part] = "below-threshold" if sure else "cannot-be-told"
    return plain


def shortest_by_library(place, catalogue, *, with_open=False, with_all_evidence=False):
    """Best confidence of each part by networkx: Dijkstra on -ln over parts, steps, last kind."""
    by_start = {}
    for edge in edges_of(place, catalogue)[0]:
        if (edge.holds == YES or with_open) and (edge.is_accepted or with_all_evidence):
            by_start.setdefault(edge.start, []).append(edge)
    rules = catalogue.rules
    graph = nx.DiGraph()
    origin = (place.part_id, 0, False, False)
    graph.add_node(origin)
    waiting = [origin]
    while waiting:
        state = waiting.pop()
        part, steps, was_supersession, was_generic = state
        for edge in by_start.get(part, ()):
            runs_on = was_supersession and edge.is_supersession
            after = (edge.end, steps + (not runs_on), edge.is_supersession, edge.is_generic)
            if after[1] > rules.most_steps or (was_generic and edge.is_generic):
                continue
            decay = float(rules.hop_discount) if steps and not runs_on else 1.0
            weight = -log(edge.mean * decay)
            if after not in graph:
                waiting.append(after)
            if not graph.has_edge(state, after) or graph[state][after]["weight"] > weight:
                graph.add_edge(state, after, weight=weight)
    lengths = nx.single_source_dijkstra_path_length(graph, origin)
    best = {}
    for (part, *_), length in lengths.items():
        best[part] = max(best.get(part, 0.0), exp(-length))
    del best[place.part_id]
    return best
