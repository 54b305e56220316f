"""What is missing, many or long: told, and walked without needless work."""

from dataclasses import replace
from itertools import pairwise, permutations
from random import Random

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
from tests.work import lines_run


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


def grows(work, small, factor=2):
    """How many times the work it is where there is ``factor`` times as much to look at."""
    work(small)()  # Designations are read once in a process.
    return lines_run(work(small * factor)) / lines_run(work(small))


def chained(length):
    names = [f"p{number:04}" for number in range(length + 1)]
    rules = [rule(way, f"s{at:04}", later=(PartLine(way[1]),))
             for at, way in enumerate(pairwise(names))]  # fmt: skip
    return lambda: find(*rules, parts=names, at=place("p0000"))


def succeeded(number):
    names = [f"p{number:04}" for number in range(number)]
    rules = [rule(("a", one), f"s{one}", later=(PartLine(one),)) for one in names]
    return lambda: find(*rules, parts=["a", *names])


def claimed(number):
    names = [f"p{number:04}" for number in range(number)]
    claims = [claim(("a", one), f"c{one}") for one in names]
    return lambda: find(*claims, denial(("a", "p0003"), "z"), parts=["a", *names])


def all_claimed_of_each_other(number):
    names = [f"p{number}" for number in range(number)]
    claims = [claim(way, "-".join(way)) for way in permutations(names, 2)]
    return lambda: find(*claims, parts=names, at=place("p0"))


def equals(number):
    parts = [part(f"p{number:03}", "6205-2RS") for number in range(number)]
    return lambda: find(parts=parts, at=place("p000"))


def test_a_chain_of_a_thousand_later_numbers():
    found = chained(1000)()
    assert len(found.candidates) == 1001
    end = by_id(found)["p1000"]
    assert end.confidence == pytest.approx(0.98**1000)
    assert (len(end.steps), end.standing) == (1000, BELOW)


def test_five_thousand_successors():
    found = succeeded(5000)()
    assert {one.standing for one in found.candidates[1:]} == {OPEN}
    assert (len(found.candidates), found.stopped) == (5001, None)


def test_what_is_beyond_the_limit_is_told_and_never_an_unlooked_at_yes():
    found = claimed(5001)()
    assert found.stopped == "more than 5000 steps lead on from here: the rest was left out"
    assert len(found.candidates) == 5000
    assert "p0003" not in by_id(found)


def test_circles_end():
    found = all_claimed_of_each_other(60)()
    assert len(found.candidates) == 60
    assert all(len(one.steps) == 1 for one in found.candidates[1:])


def test_many_equals_of_one_designation_are_one_step_each():
    found = equals(400)()
    assert (len(found.candidates), found.stopped) == (400, None)
    assert all(len(one.steps) == 1 for one in found.candidates[1:])


@pytest.mark.parametrize("work", [chained, succeeded, claimed, equals])
def test_twice_as_much_to_look_at_is_about_twice_the_work(work):
    """Equals of one designation, too: they are not compared in pairs."""
    assert grows(work, 100) < 2.4


def test_the_work_in_circles_is_that_of_the_steps_not_of_the_ways_round():
    assert grows(all_claimed_of_each_other, 15) < 2.4**2


def shop_of(families):
    """A catalogue of ten parts a family, with thirty records among each family's."""
    dice = Random(7)
    parts = [
        part(f"p{number:03}", None if number % 10 > 2 else f"{25 + number // 10}x90x8")
        for number in range(10 * families)
    ]
    ways = [(one, one - one % 10 + dice.randrange(10)) for one in range(len(parts)) for _ in "abc"]
    records = [
        rule(way, f"r{number}", later=(PartLine(way[1]),))
        if number % 3
        else claim(way, f"r{number}")
        for number, way in enumerate((parts[one].id, parts[other].id) for one, other in ways)
    ]
    return catalogue(*records, parts=parts)


def test_a_walk_is_no_longer_in_a_larger_catalogue():
    work = []
    for families in (10, 40):
        graph = Graph.of(shop_of(families))
        candidates_in(place("p000"), graph)
        work.append(lines_run(lambda graph=graph: candidates_in(place("p000"), graph)))
    assert work[1] < 1.2 * work[0], "what is remembered of designations may differ a little"
    assert grows(lambda families: lambda: Graph.of(shop_of(families)), 10) < 2.4


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
