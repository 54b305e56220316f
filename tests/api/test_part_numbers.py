"""GET /v1/part-numbers: each number tells how it agrees; near misses are offered, never taken."""

from typing import Any

import pytest

from api.schemas.parts import PartInSnapshot, PartRead
from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh

AT = "2031-03-04T09:15:00Z"


def find(shop: Shop, text: str, **query: str) -> Any:
    answer = shop.get("/part-numbers", text=text, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def told(answer: Any) -> list[tuple[str, str]]:
    return [(one["match"], one["written"]) for one in answer["items"]]


@pytest.fixture
def maker() -> str:
    """A maker of this test alone: all shops and tests read one catalogue."""
    return fresh("Oakhollow Drives")


def make(shop: Shop, maker: str, number: str, **more: Any) -> str:
    return shop.make("/parts", bodies.part(maker=maker, number=number, **more))


def test_three_kinds_of_number_are_told_apart(shop: Shop, maker: str) -> None:
    """A situation from the trade: page position, maker's number, number of the bearing trade."""
    part_id = make(
        shop,
        maker,
        "0417-0263580",
        other_numbers=[
            {"kind": "trade", "text": "306SZZG", "source": "bearing trade"},
            {"kind": "book-position", "text": "3-11-28", "source": "parts book"},
        ],
    )
    for text, kind in (
        ("0417-0263580", "maker"),
        ("306szzg", "trade"),
        ("3-11-28", "book-position"),
    ):
        answer = find(shop, text, maker=maker)
        assert [(one["kind"], one["part_id"]) for one in answer["items"]] == [(kind, part_id)]
        # A line is one of its own book alone.
        assert answer["settled_part_id"] == (None if kind == "book-position" else part_id)
    only = find(shop, "0417-0263580", maker=maker, kind="casting")
    assert told(only) == [] and only["settled_part_id"] is None and only["why_not_settled"]


def test_a_line_of_a_parts_book_is_found_as_it_is_written_anywhere(shop: Shop) -> None:
    assembly_id = shop.make("/assemblies", bodies.assembly(maker=(maker := fresh("Fernbank"))))
    position = {"assembly_id": assembly_id, "name": "Thrust washer", "reference": "03.11.28"}
    position_id = shop.make("/positions", position)
    for text in ("3-11-28", "03/11/28", "3 11 28"):
        (one,) = find(shop, text, maker=maker)["items"]
        assert (one["position_id"], one["assembly_id"]) == (position_id, assembly_id)
        assert (one["kind"], one["part_id"]) == ("book-position", None)
    assert find(shop, "3-11-28", maker=maker)["settled_part_id"] is None
    assert find(shop, "31128", maker=maker)["items"] == []


def test_a_casting_number_that_is_a_makers_number_too_settles_nothing(
    shop: Shop, maker: str
) -> None:
    """A situation from the trade: one casting is machined into two pistons."""
    cast = [{"kind": "casting", "text": "2084176"}]
    one = make(shop, maker, "2084176", name="Piston, one relief", other_numbers=cast)
    two = make(shop, maker, "2417305", name="Piston, two reliefs", other_numbers=cast)
    answer = find(shop, "2084176", maker=maker)
    assert {item["part_id"] for item in answer["items"]} == {one, two}
    assert answer["settled_part_id"] is None
    assert "stamped" in answer["why_not_settled"]


def test_a_suffix_is_left_off_by_the_makers_rule_alone(shop: Shop, maker: str) -> None:
    """A situation from the trade: a bare number means one suffix, with this maker only."""
    shop.make(
        "/number-rules",
        {
            "maker": maker,
            "source": "its list",
            "base_length": 5,
            "default_suffix": "001",
        },
    )
    part_id = make(shop, maker, "12345-001")
    make(shop, maker, "12345-789")
    answer = find(shop, "12345", maker=maker)
    assert told(answer)[0] == ("maker-rule", "12345-001")
    assert answer["settled_part_id"] == part_id
    assert find(shop, "12345001", maker=maker)["items"][0]["match"] == "normal-form"
    other = fresh("Fernbank")
    make(shop, other, "12345-001")
    assert find(shop, "12345", maker=other)["settled_part_id"] is None


def test_look_alikes_are_offered_and_not_taken(shop: Shop, maker: str) -> None:
    """A situation from the trade: letter O for zero, B for 8."""
    part_id = make(shop, maker, "716804")
    for text, words in (("7168O4", "O/0"), ("716B04", "B/8")):
        answer = find(shop, text, maker=maker)
        assert told(answer) == [("look-alike", "716804")]
        note = answer["items"][0]["note"]
        assert words in note or words[::-1] in note
        assert answer["settled_part_id"] is None and answer["why_not_settled"]
    lettered = make(shop, maker, "716B04")
    both = find(shop, "716B04", maker=maker)
    assert told(both) == [("exact", "716B04"), ("look-alike", "716804")]
    assert both["items"][0]["part_id"] == lettered != part_id
    assert both["settled_part_id"] is None and "716804" in both["why_not_settled"]


def test_what_nobody_sees_is_left_out_and_told(shop: Shop, maker: str) -> None:
    part_id = make(shop, maker, "OH-77120")
    answer = find(shop, "\u200foh\u00ad-77120\u200b", maker=maker)
    assert answer["settled_part_id"] == part_id and answer["has_hidden_characters"] is True
    assert find(shop, "ОН-77120", maker=maker)["items"][0]["part_id"] == part_id  # Cyrillic
    assert find(shop, "ＯＨ７７１２０", maker=maker)["items"][0]["match"] == "normal-form"


def test_typing_errors_and_beginnings_are_near_misses(shop: Shop, maker: str) -> None:
    make(shop, maker, "KX771204")
    swapped = find(shop, "KX772104", maker=maker)
    assert told(swapped) == [("typing-error", "KX771204")] and swapped["settled_part_id"] is None
    assert find(shop, "KX772104", maker=maker, has_near="false")["items"] == []
    begun = find(shop, "kx77", maker=maker)
    assert told(begun) == [("prefix", "KX771204")] and begun["settled_part_id"] is None


def test_two_makers_of_one_number_are_asked_about(shop: Shop) -> None:
    number = fresh("ZQ").replace(" ", "-") + "-4410"
    makers = [fresh("Oakhollow Drives"), fresh("Fernbank")]
    ids = {make(shop, maker, number) for maker in makers}
    answer = find(shop, number)
    assert {one["part_id"] for one in answer["items"]} == ids
    assert answer["settled_part_id"] is None and "say whose" in answer["why_not_settled"]
    assert find(shop, number, maker=makers[0])["settled_part_id"] in ids
    assert len(find(shop, number, limit="1")["items"]) == 1
    assert find(shop, number, limit="1")["settled_part_id"] is None


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({}, "/text"),
        ({"text": ""}, "/text"),
        ({"text": " \u200b "}, "/text"),
        ({"text": "A" * 201}, "/text"),
        ({"text": "A\x00B"}, "/text"),
        ({"text": "A", "limit": "0"}, "/limit"),
        ({"text": "A", "limit": "201"}, "/limit"),
        ({"text": "A", "kind": "spelling"}, "/kind"),
        ({"text": "A", "maker": " "}, "/maker"),
        ({"text": "A", "has_near": "yes"}, "/has_near"),
    ],
)
def test_a_bad_question_names_its_parameter(
    shop: Shop, query: dict[str, str], pointer: str
) -> None:
    error_of(shop.get("/part-numbers", **query), pointer)


def test_a_number_holds_nothing_invisible(shop: Shop) -> None:
    for number in ("OH\u00ad4417", "OH\u200f4417", "OH\u115f4417", "OH\t4417"):
        error = error_of(shop.post("/parts", bodies.part(number=number)), "/number")
        assert error["code"] == "text-character"
    hidden = [{"kind": "casting", "text": "C\u00ad1"}]
    error_of(shop.post("/parts", bodies.part(other_numbers=hidden)), "/other_numbers/0/text")
    # What older versions took and stored is still read.
    stored = {"id": "prt_1", **bodies.part(number="OH\u00ad4417")}
    assert PartInSnapshot.model_validate(stored).number == "OH\u00ad4417"
    head = {"version": 1, "created_at": AT, "updated_at": AT}
    assert PartRead.model_validate({**stored, **head}).number == "OH\u00ad4417"
    own = [{"kind": "maker", "text": "C1"}]
    error = error_of(shop.post("/parts", bodies.part(other_numbers=own)), "/other_numbers/0/kind")
    assert error["code"] == "number-kind"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"base_length": 5}, "/default_suffix"),
        ({"default_suffix": "001"}, "/base_length"),
        ({"base_length": 5, "default_suffix": "-01"}, "/default_suffix"),
        ({"base_length": 0, "default_suffix": "01"}, "/base_length"),
        ({"kept_separators": "/"}, "/kept_separators"),
        ({"kept_separators": ""}, "/kept_separators"),
    ],
)
def test_a_rule_says_one_thing(
    shop: Shop, maker: str, members: dict[str, Any], pointer: str
) -> None:
    error_of(shop.post("/number-rules", {"maker": maker, "source": "its list", **members}), pointer)


def test_a_kept_separator_tells_two_numbers_apart(shop: Shop, maker: str) -> None:
    rule = {"maker": maker, "source": "its list", "kept_separators": "-"}
    shop.make("/number-rules", rule)
    make(shop, maker, "100-52")
    answer = find(shop, "10-052", maker=maker)
    assert answer["settled_part_id"] is None
    assert all(one["match"] not in ("exact", "normal-form") for one in answer["items"])
    again = shop.post("/number-rules", rule)
    assert again.status_code == 409 and again.json()["type"] == "/problems/duplicate"
