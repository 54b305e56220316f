"""Published graphs as catalogues: reach and components, by the walk and by networkx.

Sources: networkx documentation, transitive closure of 1 -> 2 -> 3 (published, recomputed);
Introduction to Algorithms, figures of the transitive closure (four vertices) and of strongly
connected components (eight vertices), both from memory, confirmed by networkx.
"""

from datetime import date

import networkx as nx
import pytest

from shared.interchange.candidates import candidates
from shared.interchange.found import Place
from shared.interchange.loops import components
from shared.interchange.supersession import newest
from tests.shared.interchange.small_catalogues import catalogue, claim, rule

DAY = date(2026, 11, 2)

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


def reached(part, graph):
    found = candidates(Place(part, DAY), graph).candidates
    return "".join(sorted(one.part.id for one in found[1:]))


@pytest.mark.parametrize("figure", [CLOSURE_OF_A_PATH, CLOSURE_FIGURE])
def test_what_a_part_reaches_is_the_closure(figure):
    graph = catalogue(*(claim(edge) for edge in figure["edges"]), parts=figure["reach"])
    closure = nx.transitive_closure(nx.DiGraph([tuple(edge) for edge in figure["edges"]]))
    for part, right in figure["reach"].items():
        assert reached(part, graph) == right
        assert "".join(sorted(set(closure[part]) - {part})) == right


def test_the_closure_is_reached_along_supersessions_too():
    rules = [rule(edge) for edge in CLOSURE_OF_A_PATH["edges"]]
    for part in "123":
        (number,) = newest(Place(part, DAY), rules, None).newest
        assert [line.part_id for line in number.lines] == ["3"]


def test_components_of_the_figure():
    edges = COMPONENTS_FIGURE["edges"]
    after = {x: [edge[1] for edge in edges if edge[0] == x] for x in "abcdefgh"}
    found = sorted("".join(one) for one in components(after))
    assert found == COMPONENTS_FIGURE["components"]
    library = nx.strongly_connected_components(nx.DiGraph([tuple(edge) for edge in edges]))
    assert found == sorted("".join(sorted(one)) for one in library)
    rules = [rule((earlier, *later)) for earlier, later in after.items()]
    loops = newest(Place("a", DAY), rules, frozenset("h")).loops
    assert ["".join(one.part_ids) for one in loops] == COMPONENTS_FIGURE["components"]
    assert ["".join(x.part_ids) for x in newest(Place("g", DAY), rules, None).loops] == ["fg", "h"]
