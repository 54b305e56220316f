"""GET /v1/designations/comparisons."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(shop, **query):
    return shop.call("GET", "/designations/comparisons", params=query)


def test_what_is_gained_lost_and_to_be_looked_at(shop):
    answer = ask(shop, wanted="6205ZZ", offered="6205-2RS").json()
    assert answer["wanted"] == {"canonical": "6205-2Z", "kind": "bearing", "notes": []}
    assert answer["offered"]["canonical"] == "6205-2RS"
    assert answer["outcome"] == "on condition"
    assert answer["gained"] == ["two contact seals"]
    assert len(answer["lost"]) == 1
    assert len(answer["conditions"]) == 3
    assert answer["conflicts"] == []


def test_the_comparison_has_a_direction(shop):
    assert ask(shop, wanted="6205", offered="6205 P6").json()["outcome"] == "serves"
    assert ask(shop, wanted="6205 P6", offered="6205").json()["outcome"] == "on condition"
    assert ask(shop, wanted="6800", offered="61800").json()["outcome"] == "same"


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ({"wanted": "62202RS", "offered": "6205"}, "/wanted", "ambiguous"),
        ({"wanted": "6205", "offered": "62202RS"}, "/offered", "ambiguous"),
        ({"wanted": "6205", "offered": "xyzzy"}, "/offered", "designation-unknown"),
        ({"wanted": "a" * 500, "offered": "6205"}, "/wanted", "text-characters"),
        ({"wanted": "６２０５", "offered": "6205"}, "/wanted", "text-characters"),
    ],
)
def test_what_is_not_one_part_is_refused_at_its_field(shop, query, pointer, code):
    assert error_of(ask(shop, **query), pointer)["code"] == code


def test_two_meanings_are_offered(shop):
    error = error_of(ask(shop, wanted="62202RS", offered="6205"), "/wanted")
    assert [reading.partition(" (")[0] for reading in error["readings"]] == ["62202-RS", "6220-2RS"]
