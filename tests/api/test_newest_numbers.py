"""Where a part number leads over HTTP: chains, splits, dead ends, circles."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, supersession

AS_OF = "2031-03-04T09:15:00Z"


def part(shop: Shop) -> str:
    return shop.make("/parts", bodies.part())


def newest(shop: Shop, part_id: str, **query: str) -> Any:
    answer = shop.get(f"/parts/{part_id}/newest-numbers", as_of=AS_OF, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def follows(shop: Shop, earlier: str, *later: tuple[str, int], **more: Any) -> str:
    lines = [{"part_id": part_id, "quantity": quantity} for part_id, quantity in later]
    return shop.make("/supersessions", supersession(earlier, later_lines=lines, **more))


def lines(one: Any, name: str = "lines") -> list[tuple[str, int]]:
    return [(line["part"]["id"], line["quantity"]) for line in one[name]]


def offered(shop: Shop, *part_ids: str) -> None:
    supplier_id = shop.make("/suppliers", bodies.supplier())
    for part_id in part_ids:
        shop.make("/offers", bodies.offer(supplier_id, part_id=part_id))


def test_a_chain_with_a_kit_and_a_number_listed_back(shop: Shop) -> None:
    """A situation from the trade: A -> B, B -> C with kit K, C listed back to B; C, K in stock."""
    a, b, c, k = (part(shop) for _ in range(4))
    first = follows(shop, a, (b, 1))
    second = follows(shop, b, (c, 1), companion_lines=[{"part_id": k, "quantity": 1}])
    back = follows(shop, c, (b, 1))
    offered(shop, c, k)
    of_a = newest(shop, a)
    (one,) = of_a["newest"]
    assert (lines(one), lines(one, "companions")) == ([(c, 1)], [(k, 1)])
    assert one["supersession_ids"] == [first, second] and one["is_orderable"] is True
    assert one["questions"] == [] and one["not_orderable"] == []
    (loop,) = of_a["loops"]
    assert set(loop["part_ids"]) == {b, c} and set(loop["supersession_ids"]) == {second, back}
    (own,) = newest(shop, c)["newest"]
    assert (lines(own), own["supersession_ids"]) == ([(c, 1)], [])
    assert newest(shop, c)["may_go_back_to"] == []


def test_quantities_multiply_and_splits_go_in_together(shop: Shop) -> None:
    a, b, c, d = (part(shop) for _ in range(4))
    follows(shop, a, (b, 2))
    follows(shop, b, (c, 3), (d, 1))
    (one,) = newest(shop, a)["newest"]
    assert sorted(lines(one)) == sorted([(c, 6), (d, 2)])
    assert one["is_orderable"] is False
    assert {part["id"] for part in one["not_orderable"]} == {c, d}
    assert all(part["number"].startswith("OH") for part in one["not_orderable"])


def test_a_dead_end_is_told_with_the_last_number_to_be_had(shop: Shop) -> None:
    a, b = part(shop), part(shop)
    follows(shop, a, (b, 1))
    follows(shop, b)
    offered(shop, a)
    (one,) = newest(shop, a)["newest"]
    assert [part["id"] for part in one["dead_ends"]] == [b]
    assert one["last_orderable"]["id"] == a


def test_what_holds_for_some_units_only_is_asked_about(shop: Shop) -> None:
    a, b = part(shop), part(shop)
    record_id = follows(shop, a, (b, 1), serial_from="100", serial_to="200")
    silent = newest(shop, a)
    asked = {tuple(lines(one)): bool(one["questions"]) for one in silent["newest"]}
    assert asked == {((a, 1),): True, ((b, 1),): True}
    (inside,) = newest(shop, a, serial="150")["newest"]
    assert lines(inside) == [(b, 1)] and inside["questions"] == []
    outside = newest(shop, a, serial="250")
    assert [lines(one) for one in outside["newest"]] == [[(a, 1)]]
    assert [one["record_id"] for one in outside["refused"]] == [record_id]


def test_what_takes_effect_later_does_not_hold_yet(shop: Shop) -> None:
    a, b = part(shop), part(shop)
    follows(shop, a, (b, 1), effective_on="2031-03-05")
    (one,) = newest(shop, a)["newest"]
    assert lines(one) == [(a, 1)]


def test_the_way_back_is_open_only_where_a_record_says_so(shop: Shop) -> None:
    a, b = part(shop), part(shop)
    record_id = follows(shop, a, (b, 2), may_go_back=True)
    (one,) = newest(shop, b)["may_go_back_to"]
    assert (one["part"]["id"], one["supersession_id"]) == (a, record_id)
    assert (one["pieces"], one["for_pieces"]) == (1, 2)


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"serial": " "}, "/serial"),
        ({"built_on": "yesterday"}, "/built_on"),
        ({"as_of": "2031-03-04T25:00:00Z"}, "/as_of"),
        ({"assembly_id": "asm_nowhere"}, "/assembly_id"),
    ],
)
def test_a_bad_question_names_its_parameter(
    shop: Shop, query: dict[str, str], pointer: str
) -> None:
    error_of(shop.get(f"/parts/{part(shop)}/newest-numbers", **query), pointer)


def test_a_part_that_is_not_there_is_not_found(shop: Shop) -> None:
    assert shop.get("/parts/prt_nowhere/newest-numbers").status_code == 404


def test_a_later_number_that_is_recorded_not_to_fit_is_no_sure_answer(shop: Shop) -> None:
    a, b, c = (part(shop) for _ in range(3))
    follows(shop, a, (b, 1))
    follows(shop, b, (c, 1))
    offered(shop, c)
    claim = {
        "part_id": a,
        "stand_in_part_id": c,
        "says": "does-not-fit",
        "evidence": "The flange is 3 mm wider.",
        "serial_from": "100",
    }
    shop.make("/interchange-claims", {**claim, "evidence_kind": "told"})
    (sure,) = newest(shop, a)["newest"]
    assert (lines(sure), sure["questions"]) == ([(c, 1)], [])
    claim_id = shop.make("/interchange-claims", {**claim, "evidence_kind": "measured-match"})
    (one,) = newest(shop, a)["newest"]
    (question,) = one["questions"]
    assert lines(one) == [(c, 1)] and claim_id in question and "3 mm wider" in question
    assert "serial number not given" in question
    assert newest(shop, a, serial="99")["newest"][0]["questions"] == []
    assert len(newest(shop, a, serial="150")["newest"][0]["questions"]) == 1
    assert newest(shop, b)["newest"][0]["questions"] == []
