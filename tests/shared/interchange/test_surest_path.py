"""The surest path through a constructed graph of substitutes, by the walk and by networkx."""

from decimal import Decimal
from math import exp, log

import networkx as nx
import pytest

from shared.evidence import EvidenceKind
from shared.interchange.model import FitmentCount
from shared.interchange.rules import EvidenceBelief, InterchangeRules
from tests.shared.interchange.small_catalogues import by_id, claim, find, place

SUBSTITUTES = {
    "AB": 0.95,
    "BC": 0.9,
    "AD": 0.7,
    "DC": 0.99,
    "CE": 0.8,
    "EB": 0.6,
}
BEST_FROM_A = {"B": 0.95, "C": 0.855, "D": 0.7, "E": 0.684}
"""Products along the paths, by hand."""


def found_from(part):
    """By the six confidences; nothing is taken off for hops.

    Five kinds of evidence: E to B is of B to C's kind, with ten fitments that failed. Beta(18, 2)
    has the mean 0.9, Beta(18, 12) 0.6.
    """
    kinds = dict(zip([edge for edge in SUBSTITUTES if edge != "EB"], EvidenceKind, strict=True))
    beliefs = (
        EvidenceBelief(kind, Decimal(str(SUBSTITUTES[edge])), Decimal(20))
        for edge, kind in kinds.items()
    )
    claims = [claim(edge, evidence=kind) for edge, kind in (kinds | {"EB": kinds["BC"]}).items()]
    return find(
        *claims,
        at=place(part),
        parts="ABCDE",
        rules=InterchangeRules(Decimal("0.01"), Decimal(1), 20, tuple(beliefs)),
        accepted=tuple(EvidenceKind),
        fitments=(FitmentCount("EB", against=10),),
    )


def test_surest_path_through_a_circle():
    found = by_id(found_from("A"))
    sure = {part: one.confidence for part, one in found.items() if part != "A"}
    assert sure == pytest.approx(BEST_FROM_A, abs=1e-9)
    assert [step.record_id for step in found["E"].steps] == ["AB", "BC", "CE"]
    graph = nx.DiGraph()
    graph.add_weighted_edges_from((*edge, -log(sure)) for edge, sure in SUBSTITUTES.items())
    lengths = nx.single_source_dijkstra_path_length(graph, "A")
    assert {part: exp(-lengths[part]) for part in "BCDE"} == pytest.approx(BEST_FROM_A, abs=1e-9)


def test_nothing_leads_back_to_the_first():
    others = {part: "".join(sorted(set(by_id(found_from(part))) - {part})) for part in "BCDE"}
    assert others == {"B": "CE", "C": "BE", "D": "BCE", "E": "BC"}
