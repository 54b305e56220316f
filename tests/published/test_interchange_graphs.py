"""Published graphs as catalogues: reach, components, surest path, by the walk and by networkx.

Sources: networkx documentation, transitive closure of 1 -> 2 -> 3 (published, recomputed);
Introduction to Algorithms, figures of the transitive closure (four vertices) and of strongly
connected components (eight vertices), both from memory, confirmed by networkx. The directed graph
of substitutes is constructed; two independent computations agree on it.
"""

from datetime import date
from decimal import Decimal
from math import exp, log

import networkx as nx
import pytest

from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.found import Catalogue, Place
from shared.interchange.loops import components
from shared.interchange.model import (
    FitmentCount,
    InterchangeClaim,
    Part,
    PartLine,
    Supersession,
)
from shared.interchange.rules import EvidenceBelief, InterchangeRules
from shared.interchange.supersession import newest

DAY = date(2026, 11, 2)
KINDS = tuple(EvidenceKind)

CLOSURE_OF_A_PATH = {
    "edges": ["12", "23"],
    "reach": {"1": "23", "2": "3", "3": ""},
}
CLOSURE_FIGURE = {
    "edges": ["23", "24", "32", "41", "43"],
    "reach": {"1": "", "2": "134", "3": "124", "4": "123"},
}
"""The figure counts each vertex as reached from itself; here the part itself is left out."""
COMPONENTS_FIGURE = {
    "edges": ["ab", "bc", "be", "bf", "cd", "cg", "dc", "dh", "ea", "ef", "fg", "gf", "gh", "hh"],
    "components": ["abe", "cd", "fg", "h"],
}
SUBSTITUTES = {
    ("A", "B"): 0.95,
    ("B", "C"): 0.9,
    ("A", "D"): 0.7,
    ("D", "C"): 0.99,
    ("C", "E"): 0.8,
    ("E", "B"): 0.6,
}
BEST_FROM_A = {"B": 0.95, "C": 0.855, "D": 0.7, "E": 0.684}


def catalogue(edges, beliefs, kinds, fitments=()):
    """A claim for each edge, believed as its kind of evidence is; nothing is taken off for hops."""
    return Catalogue(
        parts=tuple(Part(x, "Works", x, "part", "part") for x in sorted({*"".join(edges)})),
        claims=tuple(
            InterchangeClaim(edge, edge[0], edge[1], kinds[edge], "as published") for edge in edges
        ),
        rules=InterchangeRules(
            least_confidence=Decimal("0.01"),
            hop_discount=Decimal(1),
            most_steps=20,
            beliefs=tuple(EvidenceBelief(k, Decimal(m), Decimal(20)) for k, m in beliefs.items()),
        ),
        fitments=tuple(fitments),
    )


def reached(part, graph):
    found = candidates(Place(part, DAY), graph).candidates
    return "".join(sorted(one.part.id for one in found[1:]))


@pytest.mark.parametrize("figure", [CLOSURE_OF_A_PATH, CLOSURE_FIGURE])
def test_what_a_part_reaches_is_the_closure(figure):
    told = dict.fromkeys(figure["edges"], EvidenceKind.TOLD)
    graph = catalogue(figure["edges"], {EvidenceKind.TOLD: "0.9"}, told)
    closure = nx.transitive_closure(nx.DiGraph([tuple(edge) for edge in figure["edges"]]))
    for part, right in figure["reach"].items():
        assert reached(part, graph) == right
        assert "".join(sorted(set(closure[part]) - {part})) == right


def test_the_closure_is_reached_along_supersessions_too():
    rules = [rule(edge[0], edge[1]) for edge in CLOSURE_OF_A_PATH["edges"]]
    for part in "123":
        (number,) = newest(Place(part, DAY), rules, None).newest
        assert [line.part_id for line in number.lines] == ["3"]


def rule(earlier, *later):
    lines = tuple(PartLine(part) for part in later)
    return Supersession(f"{earlier}-{''.join(later)}", earlier, KINDS[0], "as published", lines)


def test_components_of_the_figure():
    edges = COMPONENTS_FIGURE["edges"]
    after = {x: [edge[1] for edge in edges if edge[0] == x] for x in "abcdefgh"}
    found = sorted("".join(one) for one in components(after))
    assert found == COMPONENTS_FIGURE["components"]
    library = nx.strongly_connected_components(nx.DiGraph([tuple(edge) for edge in edges]))
    assert found == sorted("".join(sorted(one)) for one in library)
    rules = [rule(earlier, *later) for earlier, later in after.items()]
    loops = newest(Place("a", DAY), rules, frozenset("h")).loops
    assert ["".join(one.part_ids) for one in loops] == COMPONENTS_FIGURE["components"]
    assert ["".join(x.part_ids) for x in newest(Place("g", DAY), rules, None).loops] == ["fg", "h"]


def substitutes():
    """Six confidences, five kinds of evidence: E to B is B to C's kind, with ten that failed.

    Beta(18, 2) has the mean 0.9, Beta(18, 12) 0.6.
    """
    kinds, beliefs = {}, {}
    for (start, end), sure in SUBSTITUTES.items():
        if sure != 0.6:
            kinds[start + end] = KINDS[len(beliefs)]
            beliefs[kinds[start + end]] = str(sure)
    kinds["EB"] = kinds["BC"]
    return catalogue(list(kinds), beliefs, kinds, [FitmentCount("EB", against=10)])


def test_surest_path_through_a_circle():
    found = {one.part.id: one for one in candidates(Place("A", DAY), substitutes()).candidates[1:]}
    assert {part: one.confidence for part, one in found.items()} == pytest.approx(
        BEST_FROM_A, abs=1e-9
    )
    assert [step.record_id for step in found["E"].steps] == ["AB", "BC", "CE"]
    graph = nx.DiGraph()
    graph.add_weighted_edges_from((*edge, -log(sure)) for edge, sure in SUBSTITUTES.items())
    lengths = nx.single_source_dijkstra_path_length(graph, "A")
    assert {part: exp(-lengths[part]) for part in "BCDE"} == pytest.approx(BEST_FROM_A, abs=1e-9)


def test_nothing_leads_back_to_the_first():
    graph = substitutes()
    assert [reached(part, graph) for part in "BCDE"] == ["CE", "BE", "BCE", "BC"]
