"""Measures made of others, against a general library for uncertainty (GTC) and plain identities."""

import random

import pytest
from GTC import set_correlation, uncertainty, ureal, value

from shared.condition.doubt import Doubt
from shared.condition.form import out_of_round, out_of_round_overall, taper
from shared.condition.measures import Sharing, Term, combine
from shared.condition.readings import Point


def test_budgets_agree_with_a_general_library():
    chance = random.Random(11)
    for _ in range(40):
        inputs = [
            (chance.uniform(1, 90), chance.uniform(-2, 2), chance.uniform(0.001, 0.01))
            for _ in range(chance.randint(2, 5))
        ]
        commons = [chance.uniform(0.1, 0.9) * u for _, _, u in inputs]
        gauges = [chance.choice("AB") for _ in inputs]
        terms = [
            Term(str(n), x, f, u, c, gauge=g)
            for n, ((x, f, u), c, g) in enumerate(zip(inputs, commons, gauges, strict=True))
        ]
        reals = [ureal(x, u, independent=False) for x, _, u in inputs]
        for i, first in enumerate(reals):
            for j in range(i):
                if gauges[i] == gauges[j]:
                    r = commons[i] * commons[j] / (inputs[i][2] * inputs[j][2])
                    set_correlation(r, first, reals[j])
        expected = 1.5 + sum(f * real for (_, f, _), real in zip(inputs, reals, strict=True))
        found = combine(terms, 1.5)
        assert found.value == pytest.approx(value(expected), rel=1e-12)
        assert found.u == pytest.approx(uncertainty(expected), rel=1e-9)


def test_a_common_part_cancels_in_a_difference_and_adds_in_a_sum():
    def both(sign):
        return [
            Term("bore", 50.045, 1, 0.005, 0.004, gauge="g"),
            Term("shaft", 49.985, sign, 0.005, 0.004, gauge="g"),
        ]

    assert combine(both(-1)).u == pytest.approx(0.003 * 2**0.5)
    assert combine(both(+1)).u == pytest.approx((0.003**2 * 2 + 0.008**2) ** 0.5)


def test_gauges_of_one_master_share_and_others_do_not():
    bore = Term("bore", 50.045, 1, 0.005, 0.004, gauge="bore gauge", master="ring 50")
    shaft = Term("shaft", 49.985, -1, 0.005, 0.004, gauge="micrometer", master="ring 50")
    alone = Term("shaft", 49.985, -1, 0.005, 0.004, gauge="micrometer", master="ring 40")
    assert combine([bore, shaft]).u == pytest.approx(0.003 * 2**0.5)
    assert combine([bore, alone]).u == pytest.approx(0.005 * 2**0.5)
    assert combine([bore, alone]).pairs == ()


@pytest.mark.parametrize(
    ("sign", "u", "sharing"),
    [(-1, 0.005, Sharing.TAKEN_AS_NONE), (1, 0.007, Sharing.TAKEN_AS_ALL)],
)
def test_where_the_shared_part_is_not_known_the_greater_doubt_counts(sign, u, sharing):
    found = combine(
        [Term("depth", 30, 1, 0.004, gauge="g"), Term("height", 10, sign, 0.003, gauge="g")]
    )
    assert found.u == pytest.approx(u)
    assert [pair.sharing for pair in found.pairs] == [sharing]
    assert "not known" in found.pairs[0].text


def test_what_cancels_to_nothing_is_no_certainty():
    same = [Term("a", 5, 1, 0.004, 0.004, "g"), Term("b", 4.9, -1, 0.004, 0.004, "g")]
    found = combine(same)
    assert (found.u, found.value) == (None, pytest.approx(0.1))
    assert "cancel to nothing" in found.why_no_u


def test_one_input_without_known_doubt_leaves_the_measure_without():
    found = combine([Term("a", 5, 1, 0.004), Term("b", 4.9, -1)])
    assert (found.u, found.why_no_u) == (None, "no uncertainty known of b")


def test_an_offset_adds_its_own_doubt():
    assert combine([Term("a", 5, 1, 0.003)], 0.1, 0.004).u == pytest.approx(0.005)


# --- form ----------------------------------------------------------------------------------------


def place(size, plane=None, direction=None, u=0.003, common=None):
    return Point(size, None if u is None else Doubt(u, common=common), plane, direction)


# Public: motorcycle service manual. Three levels, two directions (figures filled in on its rule).
BORE = [
    place(77.020, "top", "x"),
    place(77.018, "top", "y"),
    place(77.012, "middle", "x"),
    place(77.010, "middle", "y"),
    place(77.005, "bottom", "x"),
    place(77.004, "bottom", "y"),
]


def test_a_manuals_rule_for_taper_and_roundness():
    """T = max(D1, D2) - max(D5, D6) = 0.015; R = max(D1, D3, D5) - min(D2, D4, D6) = 0.016."""
    assert taper(BORE).value == pytest.approx(0.015)
    assert out_of_round_overall(BORE).value == pytest.approx(0.016)
    assert out_of_round(BORE).value == pytest.approx(0.002)


def test_roundness_within_one_plane_takes_the_worst_plane():
    planes = [*BORE, place(77.001, "top", "z")]
    found = out_of_round(planes)
    assert found.value == pytest.approx(0.019)
    assert (found.greater.plane, found.lesser.plane) == ("top", "top")


def test_the_doubt_of_a_form_keeps_out_what_the_readings_share():
    """sqrt(2 (0.005^2 - 0.004^2)) = 0.00424; nothing known of it: sqrt(2) 0.005."""
    shared = [place(1.0, "a", "x", 0.005, 0.004), place(1.1, "a", "y", 0.005, 0.004)]
    assert out_of_round(shared).u == pytest.approx(2**0.5 * 0.003)
    apart = [place(1.0, "a", "x", 0.005), place(1.1, "a", "y", 0.005)]
    assert out_of_round(apart).u == pytest.approx(2**0.5 * 0.005)
    unknown = [place(1.0, "a", "x", None), place(1.1, "a", "y", 0.005)]
    assert out_of_round(unknown).u is None


def test_one_reading_says_nothing_of_roundness_and_one_plane_nothing_of_taper():
    assert "says nothing of roundness" in out_of_round([place(77, "top", "x")])
    assert "says nothing of roundness" in out_of_round(
        [place(77, "top", "x"), place(77.1, "bottom", "y")]
    )
    assert "says nothing of roundness" in out_of_round([place(77), place(77.1)])
    assert "says nothing of roundness" in out_of_round_overall(
        [place(77, "top", "x"), place(77.1, "bottom", "x")]
    )
    assert "says nothing of taper" in taper([place(77, "top", "x"), place(77.1, "top", "y")])
