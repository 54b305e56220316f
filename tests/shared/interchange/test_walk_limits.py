"""What is missing, many or long: told, and walked in good time."""

from dataclasses import replace
from random import Random
from time import process_time

import pytest

from shared.assemblies.traits import Hand, Traits
from shared.interchange.candidates import candidates, candidates_in
from shared.interchange.found import Place
from shared.interchange.graph import Graph
from shared.interchange.model import PartLine
from tests.shared.interchange.small_catalogues import (
    BELOW,
    OPEN,
    TODAY,
    TOLD,
    USABLE,
    by_id,
    catalogue,
    claim,
    denial,
    find,
    part,
    place,
    refused,
    rule,
    standings,
)


def test_a_part_that_is_not_in_the_catalogue_is_passed_over():
    records = (
        claim("ax"),
        claim("xb"),
        rule("ay"),
        denial("az"),
        claim("ab", companion_lines=(PartLine("x"),)),
    )
    found = find(*records)
    assert list(by_id(found)) == ["a"]
    assert refused(found) == {
        ("b", "ab"): "claim not used: 'x', which goes in with it, is not in the catalogue"
    }


def test_the_order_of_the_records_says_nothing():
    records = [claim("ab"), claim("bc"), rule("ac"), claim("cd"), claim("ad"), denial("de"),
               claim("ce"), rule("db"), claim("ec", evidence=TOLD)]  # fmt: skip
    first = find(*records, parts="abcdek")
    for seed in range(5):
        Random(seed).shuffle(records)
        assert find(*records, parts="kedcba") == first


def test_one_graph_serves_many_places():
    graph = Graph.of(catalogue(claim("ab", hand=Hand.LEFT), claim("bc")))
    left, right = (candidates_in(place(hand=hand), graph) for hand in Hand)
    assert list(by_id(left)) == ["a", "b", "c"]
    assert list(by_id(right)) == ["a"]
    assert candidates_in(place(hand=Hand.LEFT), graph) == left


def test_records_that_were_not_read_are_told():
    assert find(left_out=7).stopped == "7 records were not read, for their number"
    assert find().stopped is None


MOST_SECONDS = 2
"""Of the processor; on a quiet machine none of these takes a quarter of it."""


def in_seconds(call):
    start = process_time()
    found = call()
    return found, process_time() - start


def test_a_chain_of_a_thousand_later_numbers():
    names = [f"p{number:04}" for number in range(1001)]
    rules = [rule((names[at], names[at + 1]), f"s{at:04}", later=(PartLine(names[at + 1]),))
             for at in range(1000)]  # fmt: skip
    found, seconds = in_seconds(lambda: find(*rules, parts=names, at=place("p0000")))
    assert len(found.candidates) == 1001
    end = by_id(found)["p1000"]
    assert end.confidence == pytest.approx(0.98**1000)
    assert (len(end.steps), end.standing) == (1000, BELOW)
    assert seconds < MOST_SECONDS


def test_five_thousand_successors():
    names = [f"p{number:04}" for number in range(5001)]
    rules = [rule(("a", one), f"s{one}", later=(PartLine(one),)) for one in names[:5000]]
    found, seconds = in_seconds(lambda: find(*rules, parts=["a", *names]))
    assert {one.standing for one in found.candidates[1:]} == {OPEN}
    assert (len(found.candidates), found.stopped) == (5001, None)
    assert seconds < MOST_SECONDS


def test_what_is_beyond_the_limit_is_told_and_never_an_unlooked_at_yes():
    names = [f"p{number:04}" for number in range(5001)]
    claims = [claim(("a", one), f"c{one}") for one in names]
    said_no = denial(("a", "p0003"), "z")
    found, seconds = in_seconds(lambda: find(*claims, said_no, parts=["a", *names]))
    assert found.stopped == "more than 5000 steps lead on from here: the rest was left out"
    assert len(found.candidates) == 5000
    assert "p0003" not in by_id(found)
    assert seconds < MOST_SECONDS


def test_circles_end():
    names = [f"p{number}" for number in range(60)]
    ways = [(one, other) for one in names for other in names if one != other]
    claims = [claim(way, f"{way[0]}-{way[1]}") for way in ways]
    found, seconds = in_seconds(lambda: find(*claims, parts=names, at=place("p0")))
    assert len(found.candidates) == 60
    assert all(len(one.steps) == 1 for one in found.candidates[1:])
    assert seconds < MOST_SECONDS


def test_many_equals_of_one_designation_are_not_compared_in_pairs():
    parts = [part(f"p{number:03}", "6205-2RS") for number in range(400)]
    found, seconds = in_seconds(lambda: find(parts=parts, at=place("p000")))
    assert (len(found.candidates), found.stopped) == (400, None)
    assert all(len(one.steps) == 1 for one in found.candidates[1:])
    assert seconds < MOST_SECONDS


def test_a_catalogue_of_a_shop_is_walked_at_once():
    """Five hundred parts in families of ten, with fifteen hundred records among them."""
    dice = Random(7)
    parts = [
        part(f"p{number:03}", None if number % 10 > 2 else f"{25 + number // 10}x90x8")
        for number in range(500)
    ]
    ways = [(one, one - one % 10 + dice.randrange(10)) for one in range(500) for _ in range(3)]
    records = [
        rule(way, f"r{number}", later=(PartLine(way[1]),))
        if number % 3
        else claim(way, f"r{number}")
        for number, way in enumerate((parts[one].id, parts[other].id) for one, other in ways)
    ]
    shop = catalogue(*records, parts=parts)
    candidates_in(place("p000"), Graph.of(shop))  # Designations are read once in a process.
    graph, building = in_seconds(lambda: Graph.of(shop))
    _, walking = in_seconds(lambda: [candidates_in(place(one.id), graph) for one in parts[:50]])
    # Ten times what it takes on a quiet machine.
    assert building < 0.2
    assert walking / 50 < 0.1


def test_knowing_more_never_makes_a_yes_uncertain():
    """Facts of the unit turn questions into yes or no; no yes hangs on a fact that is not given."""
    for seed in range(60):
        dice = Random(seed)
        records = []
        for number in range(12):
            one, other = dice.sample("abcdek", 2)
            facts = dice.choice(
                ({}, {"serial_from": "100"}, {"serial_to": "100"}, {"assembly_id": "drive"})
            )
            kind = dice.choice((claim, claim, denial, rule))
            records.append(kind(one + other, f"r{number}", **facts))
        shop = catalogue(*records)
        unknown = Place("a", TODAY)
        sure = {one for one, told in standings(candidates(unknown, shop)).items() if told is USABLE}
        for assembly in ("drive", "other"):
            for serial in ("99", "100", "101"):
                known = replace(unknown, assembly_id=assembly, traits=Traits(serial_number=serial))
                told = standings(candidates(known, shop))
                assert all(told[one] is USABLE for one in sure)


def test_a_path_whose_pieces_multiply_beyond_use_is_not_followed_and_that_is_told():
    many = 10_000
    up = [claim(step, stand_in_quantity=many) for step in ("ab", "bc", "cd")]
    found = find(*up, claim("ae"))
    assert set(by_id(found)) == {"a", "b", "e"}
    assert found.stopped == "a path of more than 1,000,000 pieces for one was not followed"
    down = [rule("ab"), *(claim(step, part_quantity=many) for step in ("bc", "cd"))]
    assert set(by_id(find(*down))) == {"a", "b", "c"}
    back = find(up[0], claim("bc", part_quantity=many), claim("cd", stand_in_quantity=many))
    assert by_id(back)["d"].ratio == many and back.stopped is None
