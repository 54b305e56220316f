"""The house's walk against plain ones: some thousands of small random catalogues, and larger ones.

Small ones by writing down every path (``plain_walk``), larger ones by networkx' Dijkstra. No part
may be usable that the plain walk does not reach. PAIRS_TIMES makes it so many times more.
"""

import os
from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal

import networkx as nx
import pytest

from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.found import Catalogue, Path, Place, Standing
from shared.interchange.loops import components, loops_among
from shared.interchange.model import InterchangeClaim, Part, PartLine, Supersession
from shared.interchange.rules import InterchangeRules
from tests.shared.interchange.plain_walk import plain_walk, shortest_by_library
from tests.shared.interchange.random_catalogues import (
    Dice,
    completed,
    random_catalogue,
    random_place,
)

TIMES = int(os.environ.get("PAIRS_TIMES", "1"))
SMALL, LARGE, FILLED_IN = 900 * TIMES, 25 * TIMES, 50 * TIMES


def record_names(candidate):
    return tuple(step.record_id or "" for step in candidate.steps)


def compare(place, catalogue):
    """Hold one answer against the plain one; return what standings there were."""
    plain, found = plain_walk(place, catalogue), candidates(place, catalogue)
    itself, others = found.candidates[0], found.candidates[1:]
    assert (itself.part.id, itself.path, itself.confidence) == (place.part_id, Path.ITSELF, 1)
    standings = {one.part.id: one.standing.value for one in others}
    assert len(standings) == len(others)
    assert standings == plain.standing
    for one in others:
        best = plain.best[one.part.id]
        assert one.confidence == pytest.approx(best[0].confidence, abs=1e-9)
        way = next((way for way in best if way.names == record_names(one)), None)
        assert way is not None, "its path is none of the best"
        assert (one.ratio, to_go_along(one)) == (way.ratio, way.companions)
        assert (one.path.value, samenesses(one)) == (way.kind, way.samenesses)
        assert float(one.rework_p50_hours) == pytest.approx(way.hours, abs=0.01)
        assert bool(one.questions) == (one.standing is Standing.CANNOT_BE_TOLD)
    known = {part.id for part in catalogue.parts}
    assert plain.refused & known <= {one.part_id for one in found.refused if one.reason}
    assert found.stopped is None
    return Counter(standings.values()), plain


def samenesses(candidate):
    return candidate.form.value, candidate.fit.value, candidate.function.value


def to_go_along(candidate):
    found = Counter()
    for line in candidate.companions:
        found[line.part_id] += line.quantity
    return found


def test_small_catalogues_against_every_path():
    seen = Counter()
    for seed in range(SMALL):
        dice = Dice(f"small {seed}")
        catalogue = random_catalogue(
            dice, dice.randint(6, 9), dice.randint(3, 9), dice.randint(0, 6)
        )
        place = random_place(dice, [part.id for part in catalogue.parts])
        try:
            standings, plain = compare(place, catalogue)
        except Exception as fault:
            fault.add_note(f"seed: small {seed}")
            raise
        seen += standings
        seen["refused"] += len(plain.refused)
        seen["long"] += sum(len(ways[0].edges) > 2 for ways in plain.best.values())
    assert all(seen[one.value] > SMALL // 4 for one in Standing), seen
    assert min(seen["refused"], seen["long"]) > SMALL // 20, seen


def test_a_less_sure_way_in_may_be_the_surer_way_on():
    """A claim leads to C surest, the makers' numbers A, B, C go on to D without another step."""
    kinds = (EvidenceKind.MAKER_BULLETIN, EvidenceKind.PUBLISHED_CROSS_REFERENCE)
    catalogue = Catalogue(
        parts=tuple(Part(name, "Works", name, "part", "part") for name in "ABCD"),
        claims=(InterchangeClaim("claim", "A", "C", kinds[0], "a note"),),
        supersessions=tuple(
            Supersession(start + end, start, kinds[start == "A"], "a note", (PartLine(end),))
            for start, end in ("AB", "BC", "CD")
        ),
        rules=InterchangeRules(hop_discount=Decimal("0.8")),
    )
    place = Place("A", date(2026, 11, 2))
    assert compare(place, catalogue)[0]["usable"] == 3
    found = {one.part.id: one for one in candidates(place, catalogue).candidates}
    assert record_names(found["C"]) == ("claim",)
    assert record_names(found["D"]) == ("AB", "BC", "CD")
    one_step = replace(catalogue, rules=replace(catalogue.rules, most_steps=1))
    assert compare(place, one_step)[0]["usable"] == 3


def test_larger_catalogues_against_the_library():
    for seed in range(LARGE):
        dice = Dice(f"large {seed}")
        catalogue = random_catalogue(dice, 40, 120, 25)
        place = random_place(dice, [part.id for part in catalogue.parts])
        found = {one.part.id: one for one in candidates(place, catalogue).candidates[1:]}
        best = shortest_by_library(place, catalogue)
        least = float(catalogue.rules.least_confidence)
        usable = {part for part, one in found.items() if one.standing is Standing.USABLE}
        assert usable == {part for part, sure in best.items() if sure >= least}, seed
        for part, sure in best.items():
            assert found[part].confidence == pytest.approx(sure, abs=1e-9), (seed, part)
        anything = shortest_by_library(place, catalogue, with_open=True, with_all_evidence=True)
        assert set(found) == set(anything), seed


def test_what_more_is_known_never_takes_a_yes_back():
    """Each unknown fact filled in: what was usable stays so, and nothing new turns up.

    Nothing but what lies beyond a part that was refused before, for what could not be told of it.
    """
    opened = 0
    for seed in range(FILLED_IN):
        dice = Dice(f"filled in {seed}")
        catalogue = random_catalogue(dice, 8, 9, 7)
        place = random_place(dice, [part.id for part in catalogue.parts])
        place = replace(place, traits=replace(place.traits, serial_number=None, hand=None))
        before = candidates(place, catalogue)
        refused = {one.part_id for one in before.refused}
        listed = {one.part.id for one in before.candidates} | refused
        sure = {x.part.id: x for x in before.candidates if x.standing is Standing.USABLE}
        for _ in range(8):
            after = candidates(completed(dice, place), catalogue).candidates
            usable = {one.part.id: one for one in after if one.standing is Standing.USABLE}
            assert set(sure) <= set(usable), seed
            for part in set(usable) - listed:
                assert refused & {step.to_part_id for step in usable[part].steps}, (seed, part)
            for part, one in sure.items():
                assert usable[part].confidence >= one.confidence - 1e-9, (seed, part)
            opened += len(usable) - len(sure)
    assert opened > FILLED_IN // 4


def what_is_usable(place, catalogue):
    return {
        one.part.id: (record_names(one), one.ratio, one.companions, one.rework_p90_hours)
        for one in candidates(place, catalogue).candidates
        if one.standing is Standing.USABLE
    }


def test_what_does_not_count_makes_nothing_usable_and_nothing_unusable():
    seen = Counter()
    for seed in range(SMALL // 4):
        dice = Dice(f"hearsay {seed}")
        catalogue = random_catalogue(dice, 9, 8, 6)
        place = random_place(dice, [part.id for part in catalogue.parts])
        counted = replace(
            catalogue,
            claims=tuple(c for c in catalogue.claims if c.evidence_kind in catalogue.accepted),
            supersessions=tuple(
                s for s in catalogue.supersessions if s.evidence_kind in catalogue.accepted
            ),
        )
        usable = what_is_usable(place, catalogue)
        assert usable == what_is_usable(place, counted), seed
        seen["fewer records"] += counted != catalogue
        seen["usable"] += len(usable) - 1
    assert min(seen.values()) > SMALL // 8, seen


def test_components_and_loops_against_the_library():
    for seed in range(200 * TIMES):
        dice = Dice(f"loops {seed}")
        size = dice.randint(1, 30)
        graph = nx.gnp_random_graph(size, dice.choice([0.5, 1, 2, 4]) / size, seed, directed=True)
        named = nx.relabel_nodes(graph, {n: f"p{n:02}" for n in graph})
        named.add_edges_from([("p00", "p00")] if dice.random() < 0.3 else [])
        right = [tuple(sorted(one)) for one in nx.strongly_connected_components(named)]
        found = components({part: sorted(named[part]) for part in named})
        assert sorted(found) == sorted(right), seed
        place_of = {part: at for at, one in enumerate(found) for part in one}
        assert all(place_of[end] <= place_of[start] for start, end in named.edges), seed
        records = tuple(
            Supersession(
                f"s{n:03}", start, EvidenceKind.MAKER_BULLETIN, "a bulletin", (PartLine(end),)
            )
            for n, (start, end) in enumerate(named.edges)
        )
        loops = loops_among(records)
        is_loop = {one for one in right if len(one) > 1 or named.has_edge(one[0], one[0])}
        assert [one.part_ids for one in loops] == sorted(is_loop), seed
        inside = {
            r.id
            for r in records
            if place_of[r.earlier_part_id] == place_of[r.later_lines[0].part_id]
        }
        assert {id_ for one in loops for id_ in one.supersession_ids} == inside, seed
