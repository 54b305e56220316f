"""What may take a place over HTTP: paths, what cannot be told, what is refused, the drawing."""

from decimal import Decimal
from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh, money

TRAITS = ("serial_number", "built_on", "hand", "ratio", "generation", "variant")
AS_OF = "2031-03-04T09:15:00Z"


def part(shop: Shop, **more: Any) -> str:
    return shop.make("/parts", bodies.part(**more))


def claim(shop: Shop, part_id: str, stand_in_id: str, **more: Any) -> str:
    return shop.make(
        "/interchange-claims",
        {
            "part_id": part_id,
            "stand_in_part_id": stand_in_id,
            "evidence_kind": "maker-bulletin",
            "evidence": "Bulletin 7",
            **more,
        },
    )


def of_part(shop: Shop, part_id: str, **query: str) -> Any:
    answer = shop.get(f"/parts/{part_id}/candidates", as_of=AS_OF, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def of_position(shop: Shop, position_id: str, **query: str) -> Any:
    answer = shop.get(f"/positions/{position_id}/candidates", as_of=AS_OF, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def standings(answer: Any) -> dict[str, str]:
    return {one["part"]["id"]: one["standing"] for one in answer["candidates"]}


def one_of(answer: Any, part_id: str) -> Any:
    (found,) = [one for one in answer["candidates"] if one["part"]["id"] == part_id]
    return found


@pytest.fixture
def place(shop: Shop) -> tuple[str, str, str]:
    """An assembly, a position in it, the part called for there."""
    assembly_id = shop.make("/assemblies", bodies.assembly())
    part_id = part(shop)
    position = {"assembly_id": assembly_id, "name": "Input bearing", "part_id": part_id}
    return assembly_id, shop.make("/positions", position), part_id


def test_the_part_called_for_comes_first_and_says_what_is_at_hand(
    shop: Shop, other_shop: Shop, place: tuple[str, str, str]
) -> None:
    assembly_id, position_id, part_id = place
    supplier_id = shop.make("/suppliers", bodies.supplier())
    shop.make("/offers", bodies.offer(supplier_id, part_id=part_id))
    lapsed = bodies.offer(supplier_id, part_id=part_id, valid_from="2031-03-05")
    shop.make("/offers", lapsed)
    answer = of_position(shop, position_id)
    assert answer["place"] == {
        "part_id": part_id,
        "as_of_on": "2031-03-04",
        "assembly_id": assembly_id,
        "position_id": position_id,
        "traits": dict.fromkeys(TRAITS),
    }
    (itself,) = answer["candidates"]
    assert (itself["part"]["id"], itself["path"], itself["steps"]) == (part_id, "itself", [])
    assert itself["confidence"] == itself["confidence_lower"] == "1.00000"
    assert itself["at_hand"]["offers"] == 1
    assert of_position(other_shop, position_id)["candidates"][0]["at_hand"]["offers"] == 0


def test_a_path_tells_each_step_what_it_stands_on_and_what_it_takes(shop: Shop) -> None:
    first, second, third, seal = (part(shop) for _ in range(4))
    one = claim(
        shop,
        first,
        second,
        rework_note="Relieve the bore.",
        rework_p50_hours="0.5",
        rework_p90_hours="0.8",
        rework_cost=money("12.00"),
        companion_lines=[{"part_id": seal, "quantity": 2}],
        to_check=["Length of the keyway."],
        form="differs",
        fit="same",
        function="same",
        differences=[{"aspect": "clearance", "difference": "C3", "effect": "Louder cold."}],
    )
    two = claim(shop, second, third, form="same", fit="same", function="same")
    found = one_of(of_part(shop, first), third)
    assert [step["record_id"] for step in found["steps"]] == [one, two]
    assert [step["from_part_id"] for step in found["steps"]] == [first, second]
    assert found["standing"] == "usable" and found["path"] == "interchange"
    # Worked by hand: two steps of the house's belief in a bulletin, one of them discounted.
    assert Decimal(found["confidence"]) == Decimal("0.98") ** 2 * Decimal("0.95")
    assert Decimal(found["confidence_lower"]) < Decimal(found["confidence"])
    assert (found["pieces"], found["for_pieces"]) == (1, 1)
    assert [(line["part"]["id"], line["quantity"]) for line in found["companions"]] == [(seal, 2)]
    rework = found["rework"]
    assert (Decimal(rework["p50_hours"]), Decimal(rework["p90_hours"])) == (
        Decimal("0.5"),
        Decimal("0.8"),
    )
    assert rework["costs"] == [money("12.00")] and rework["notes"] == ["Relieve the bore."]
    assert (found["form"], found["fit"], found["function"]) == ("differs", "same", "same")
    assert [each["aspect"] for each in found["differences"]] == ["clearance"]
    assert "Length of the keyway." in found["to_check"]


def test_pieces_are_whole_numbers_for_whole_numbers(shop: Shop) -> None:
    wide, narrow = part(shop), part(shop)
    claim(shop, wide, narrow, part_quantity=2, stand_in_quantity=3)
    found = one_of(of_part(shop, wide), narrow)
    assert (found["pieces"], found["for_pieces"]) == (3, 2)


def test_what_cannot_be_told_for_the_unit_is_never_a_yes(
    shop: Shop, place: tuple[str, str, str]
) -> None:
    assembly_id, position_id, part_id = place
    other = part(shop)
    claim(shop, part_id, other, serial_from="100E", serial_to="200E", assembly_id=assembly_id)
    silent = one_of(of_position(shop, position_id), other)
    assert silent["standing"] == "cannot-be-told" and silent["questions"]
    assert standings(of_position(shop, position_id, serial="150E"))[other] == "usable"
    assert standings(of_position(shop, position_id, serial="150"))[other] == "cannot-be-told"
    outside = of_position(shop, position_id, serial="99E")
    assert other not in standings(outside)
    assert other in [one["part"]["id"] for one in outside["refused"]]
    assert standings(of_part(shop, part_id, serial="150E"))[other] == "cannot-be-told"
    here = of_part(shop, part_id, serial="150E", assembly_id=assembly_id)
    assert standings(here)[other] == "usable"


@pytest.mark.parametrize(
    ("condition", "good", "bad"),
    [
        ({"hand": "left"}, {"hand": "left"}, {"hand": "right"}),
        ({"ratio": "3.73"}, {"ratio": "3.727"}, {"ratio": "3.07"}),
        ({"generation": "second"}, {"generation": "Second"}, {"generation": "first"}),
        ({"built_to_on": "2028-12-31"}, {"built_on": "2028-12-31"}, {"built_on": "2029-01-01"}),
    ],
)
def test_conditions_on_the_unit_are_held_against_what_is_said_of_it(
    shop: Shop, condition: dict[str, str], good: dict[str, str], bad: dict[str, str]
) -> None:
    called, other = part(shop), part(shop)
    claim(shop, called, other, **condition)
    assert standings(of_part(shop, called))[other] == "cannot-be-told"
    assert standings(of_part(shop, called, **good))[other] == "usable"
    assert other not in standings(of_part(shop, called, **bad))


def test_a_unit_on_record_is_asked_for_by_its_id(shop: Shop, place: tuple[str, str, str]) -> None:
    assembly_id, position_id, part_id = place
    other = part(shop)
    claim(shop, part_id, other, hand="left", assembly_id=assembly_id)
    unit = {"assembly_id": assembly_id, "kind": "customer", "hand": "left", "ratio": "3.73"}
    unit_id = shop.make("/units", unit)
    answer = of_position(shop, position_id, unit_id=unit_id)
    assert standings(answer)[other] == "usable"
    traits = answer["place"]["traits"]
    assert (traits["hand"], traits["ratio"]) == ("left", "3.73")
    of_the_part = of_part(shop, part_id, unit_id=unit_id)
    assert of_the_part["place"]["assembly_id"] == assembly_id
    assert standings(of_the_part)[other] == "usable"


def test_what_is_claimed_not_to_fit_is_refused_whatever_else_says_yes(shop: Shop) -> None:
    called, other = part(shop), part(shop)
    claim(shop, called, other)
    record_id = claim(
        shop, called, other, says="does-not-fit", evidence="Shaft is 2 mm longer, job 12."
    )
    answer = of_part(shop, called)
    assert list(standings(answer)) == [called]
    assert [(one["part"]["id"], one["record_id"]) for one in answer["refused"]] == [
        (other, record_id)
    ]
    roles = {node["id"]: node["role"] for node in answer["graph"]["nodes"]}
    assert roles == {called: "called-for", other: "refused"}


def test_evidence_that_the_shop_does_not_take_is_shown_and_not_used(shop: Shop) -> None:
    called, other = part(shop), part(shop)
    claim(shop, called, other, evidence_kind="told", evidence="Said at the counter.")
    found = one_of(of_part(shop, called), other)
    assert found["standing"] == "below-threshold"
    assert "told" in " ".join((*found["questions"], *found["cautions"]))


def test_the_shops_own_rules_count(shop: Shop) -> None:
    called, other = part(shop), part(shop)
    claim(shop, called, other)
    house = of_part(shop, called)
    assert house["rule"]["least_confidence"] == "0.8"
    assert standings(house)[other] == "usable"
    rules = {
        "least_confidence": "0.9",
        "beliefs": [{"evidence_kind": "maker-bulletin", "mean": "0.85", "weight": "20"}],
    }
    shop.make("/shop-settings", bodies.settings(interchange=rules))
    own = of_part(shop, called)
    assert own["rule"]["least_confidence"] == "0.9" and "0.9" in own["rule"]["in_words"]
    assert standings(own)[other] == "below-threshold"
    assert one_of(own, other)["confidence"] == "0.850000"


def test_a_circle_is_told_once_and_ends(shop: Shop) -> None:
    """A situation from the trade: a chain with a kit, and a later number listed back."""
    a, b, c, kit = (part(shop) for _ in range(4))
    line = bodies.supersession
    shop.make("/supersessions", line(a, later_lines=[{"part_id": b}]))
    there = line(b, later_lines=[{"part_id": c}], companion_lines=[{"part_id": kit}])
    ids = {shop.make("/supersessions", there)}
    ids.add(shop.make("/supersessions", line(c, later_lines=[{"part_id": b}])))
    answer = of_part(shop, a)
    (loop,) = answer["loops"]
    assert set(loop["part_ids"]) == {b, c} and set(loop["supersession_ids"]) == ids
    found = one_of(answer, c)
    assert [(one["part"]["id"], one["quantity"]) for one in found["companions"]] == [(kit, 1)]
    assert a not in standings(of_part(shop, c))


def test_the_drawing_has_the_parts_told_and_the_steps_among_them(shop: Shop) -> None:
    called, near, far = part(shop), part(shop), part(shop)
    claim(shop, called, near)
    claim(shop, near, far)
    graph = of_part(shop, called)["graph"]
    ends = [(edge["from_part_id"], edge["to_part_id"]) for edge in graph["edges"]]
    assert ends == [(called, near), (near, far)]
    assert {node["id"] for node in graph["nodes"]} == {called, near, far}
    assert all(node["label"].startswith("Oakhollow Drives OH") for node in graph["nodes"])
    cut = of_part(shop, called, limit="2")
    assert cut["candidates_left_out"] == 1 and len(cut["candidates"]) == 2
    assert far not in {node["id"] for node in cut["graph"]["nodes"]}
    assert cut["graph"]["left_out"] == 1


def test_warnings_on_record_travel_with_the_answer(shop: Shop, place: tuple[str, str, str]) -> None:
    _, position_id, part_id = place
    other = part(shop)
    claim(shop, part_id, other)
    at_place, on_part = fresh("Mark both halves"), fresh("Keep it dry")
    shop.make("/cautions", bodies.caution(position_id=position_id, text=at_place))
    shop.make("/cautions", bodies.caution(part_id=other, kind="handling", text=on_part))
    answer = of_position(shop, position_id)
    assert at_place in [one["text"] for one in answer["cautions"]]
    assert one_of(answer, other)["part_cautions"] == [{"kind": "handling", "text": on_part}]
    assert one_of(answer, part_id)["part_cautions"] == []


def test_a_place_that_is_not_there_is_not_found(shop: Shop) -> None:
    assert shop.get("/positions/pos_nowhere/candidates").status_code == 404
    assert shop.get("/parts/prt_nowhere/candidates").status_code == 404


def test_a_position_without_a_part_says_so(shop: Shop) -> None:
    assembly_id = shop.make("/assemblies", bodies.assembly())
    position_id = shop.make("/positions", {"assembly_id": assembly_id, "name": "Bearing"})
    answer = shop.get(f"/positions/{position_id}/candidates")
    assert answer.status_code == 409 and answer.json()["type"] == "/problems/state-conflict"


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"serial": ""}, "/serial"),
        ({"serial": "A" * 201}, "/serial"),
        ({"built_on": "2031-02-30"}, "/built_on"),
        ({"hand": "both"}, "/hand"),
        ({"ratio": "0"}, "/ratio"),
        ({"ratio": "3,73"}, "/ratio"),
        ({"generation": "\u202e"}, "/generation"),
        ({"as_of": "2031-03-04"}, "/as_of"),
        ({"limit": "0"}, "/limit"),
        ({"unit_id": "unt_nowhere"}, "/unit_id"),
        ({"assembly_id": "asm_nowhere"}, "/assembly_id"),
        ({"position_id": "pos_nowhere"}, "/position_id"),
    ],
)
def test_a_bad_question_names_its_parameter(
    shop: Shop, query: dict[str, str], pointer: str
) -> None:
    error_of(shop.get(f"/parts/{part(shop)}/candidates", **query), pointer)


def test_what_does_not_go_together_is_refused(
    shop: Shop, other_shop: Shop, place: tuple[str, str, str]
) -> None:
    assembly_id, position_id, part_id = place
    unit_id = shop.make("/units", {"assembly_id": assembly_id, "kind": "customer"})
    elsewhere = shop.make("/assemblies", bodies.assembly())
    stranger = shop.make("/units", {"assembly_id": elsewhere, "kind": "customer"})
    at = f"/positions/{position_id}/candidates"
    assert error_of(shop.get(at, unit_id=unit_id, serial="12"), "/unit_id")["code"] == (
        "not-together"
    )
    assert error_of(shop.get(at, unit_id=stranger), "/unit_id")["code"] == "other-assembly"
    assert error_of(other_shop.get(at, unit_id=unit_id), "/unit_id")["code"] == (
        "reference-unknown"
    )
    both = shop.get(f"/parts/{part_id}/candidates", assembly_id=elsewhere, position_id=position_id)
    assert error_of(both, "/position_id")["code"] == "other-assembly"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"rework_p90_hours": "1"}, "/rework_p90_hours"),
        ({"rework_note": "Cut it."}, "/rework_note"),
        ({"rework_cost": money("1.00")}, "/rework_cost"),
        ({"companion_lines": [{"part_id": "prt_1"}]}, "/companion_lines"),
    ],
)
def test_a_claim_that_says_no_has_no_work(
    shop: Shop, members: dict[str, Any], pointer: str
) -> None:
    body = {
        "part_id": part(shop),
        "stand_in_part_id": part(shop),
        "evidence_kind": "measured-match",
        "evidence": "Measured.",
        "says": "does-not-fit",
        **members,
    }
    assert error_of(shop.post("/interchange-claims", body), pointer)["code"] == "claim-says-no"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"part_quantity": 0}, "/part_quantity"),
        ({"stand_in_quantity": 10001}, "/stand_in_quantity"),
        ({"ratio": "0"}, "/ratio"),
        ({"hand": "both"}, "/hand"),
        ({"built_from_on": "2030-01-02", "built_to_on": "2030-01-01"}, "/built_to_on"),
        ({"serial_from": "LF-500", "serial_to": "LF-100"}, "/serial_to"),
        ({"to_check": ["x"] * 21}, "/to_check"),
        ({"to_check": ["x", "x"]}, "/to_check/1"),
        ({"companion_lines": [{"part_id": "prt_1"}] * 2}, "/companion_lines/1"),
        ({"companion_lines": [{"part_id": "prt_1", "quantity": 0}]}, "/companion_lines/0/quantity"),
        (
            {"differences": [{"aspect": "taste", "difference": "d", "effect": "e"}]},
            "/differences/0/aspect",
        ),
    ],
)
def test_a_claim_is_checked_member_by_member(
    shop: Shop, members: dict[str, Any], pointer: str
) -> None:
    body = {
        "part_id": part(shop),
        "stand_in_part_id": part(shop),
        "evidence_kind": "measured-match",
        "evidence": "Measured.",
        **members,
    }
    error_of(shop.post("/interchange-claims", body), pointer)


@pytest.mark.parametrize(
    ("rules", "pointer"),
    [
        ({"hop_discount": "0"}, "/interchange/hop_discount"),
        ({"least_confidence": "1.1"}, "/interchange/least_confidence"),
        ({"most_steps": 11}, "/interchange/most_steps"),
        (
            {"beliefs": [{"evidence_kind": "told", "mean": "1", "weight": "4"}]},
            "/interchange/beliefs/0/mean",
        ),
        (
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "1000001"}]},
            "/interchange/beliefs/0/weight",
        ),
        (
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "4"}] * 2},
            "/interchange/beliefs/1",
        ),
    ],
)
def test_rules_of_interchange_are_checked(shop: Shop, rules: dict[str, Any], pointer: str) -> None:
    error_of(shop.post("/shop-settings", bodies.settings(interchange=rules)), pointer)
