"""Options, choices kept for good, replays, and the decision from a snapshot sent whole."""

import json
from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import TypeAdapter

from api.app import Api
from api.demo.load import load_scenario
from api.schemas.decision import DecisionHead, ReplayAnswer
from shared.decision.result import DecisionResult
from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh
from tests.api.conftest import make_shop

AS_OF = "2031-03-04T09:15:00Z"


@pytest.fixture(scope="module")
def yard(app: Api, client: Any) -> Shop:
    """A shop with the whole demo scenario."""
    shop = make_shop(app, client, fresh("Invented timber yard"))
    client.headers.update(shop.headers)
    try:
        load_scenario(client)
    finally:
        client.headers.pop("Authorization")
    return shop


@pytest.fixture(scope="module")
def job_id(yard: Shop) -> str:
    return str(yard.get("/jobs").json()["items"][1]["id"])


@pytest.fixture(scope="module")
def options(yard: Shop, job_id: str) -> dict[str, Any]:
    answer = yard.get(f"/jobs/{job_id}/options", as_of=AS_OF)
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def choice(options: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "plan_id": options["recommended"],
        "decided_by": "service desk",
        "as_of": AS_OF,
        **more,
    }


def other_plan(options: dict[str, Any]) -> str:
    return next(p["id"] for p in options["plans"] if p["id"] != options["recommended"])


def test_the_options_are_what_the_document_says(options: dict[str, Any]) -> None:
    TypeAdapter(DecisionResult).validate_python(options, strict=False)
    assert options["recommended"] in [plan["id"] for plan in options["plans"]]
    assert options["as_of"] == AS_OF


def test_no_number_of_the_answer_has_an_exponent(options: dict[str, Any]) -> None:
    text = json.dumps(options)
    assert "E-" not in text
    assert "E+" not in text


def test_the_options_are_the_same_twice(yard: Shop, job_id: str) -> None:
    first, second = (yard.get(f"/jobs/{job_id}/options", as_of=AS_OF) for _ in range(2))
    assert first.content == second.content


def test_without_a_moment_the_options_are_those_of_now_and_say_so(yard: Shop, job_id: str) -> None:
    before = datetime.now(UTC).replace(microsecond=0)
    answer = yard.get(f"/jobs/{job_id}/options")
    assert answer.status_code == 200, answer.text
    assert before <= datetime.fromisoformat(answer.json()["as_of"]) <= datetime.now(UTC)


def test_the_aim_can_be_the_shops_cost(yard: Shop, job_id: str) -> None:
    answer = yard.get(f"/jobs/{job_id}/options", as_of=AS_OF, aim="cost")
    assert answer.json()["aim"] == "cost"


@pytest.mark.parametrize(
    ("query", "pointer"),
    [({"as_of": "2031-03-04"}, "/as_of"), ({"as_of": AS_OF, "aim": "x"}, "/aim")],
)
def test_options_say_what_is_wrong_with_the_question(
    yard: Shop, job_id: str, query: dict[str, str], pointer: str
) -> None:
    assert error_of(yard.get(f"/jobs/{job_id}/options", **query), pointer)


def test_a_date_required_before_the_question_is_refused(yard: Shop, job_id: str) -> None:
    answer = yard.get(f"/jobs/{job_id}/options", as_of="2031-06-01T08:00:00Z")
    assert error_of(answer, "/job/required_by_on")


def test_another_shops_job_has_no_options_and_takes_no_decision(
    shop: Shop, job_id: str, options: dict[str, Any]
) -> None:
    assert shop.get(f"/jobs/{job_id}/options", as_of=AS_OF).status_code == 404
    assert shop.post(f"/jobs/{job_id}/decisions", choice(options)).status_code == 404


def test_a_choice_is_kept_with_its_result(yard: Shop, job_id: str, options: dict[str, Any]) -> None:
    answer = yard.post(
        f"/jobs/{job_id}/decisions", choice(options, snapshot_hash=options["snapshot_hash"])
    )
    assert answer.status_code == 201, answer.text
    kept = answer.json()
    assert answer.headers["location"] == f"/v1/decisions/{kept['id']}"
    assert kept["result"] == options
    assert kept["is_override"] is False
    assert kept["snapshot_hash"] == options["snapshot_hash"]
    read = yard.get(f"/decisions/{kept['id']}")
    assert read.json() == kept
    assert read.headers["etag"] == answer.headers["etag"]
    head = {name: value for name, value in kept.items() if name not in ("result", "snapshot")}
    assert head in yard.get("/decisions", job_id=job_id, limit="200").json()["items"]
    DecisionHead.model_validate(head)


def test_the_inputs_of_a_kept_decision_answer_the_same_when_sent_whole(
    yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    kept = yard.post(f"/jobs/{job_id}/decisions", choice(options)).json()
    again = yard.post("/calculations/decision", kept["snapshot"])
    assert again.status_code == 200, again.text
    assert again.json() == kept["result"]


def test_a_repeated_choice_is_kept_once(yard: Shop, job_id: str, options: dict[str, Any]) -> None:
    before = len(yard.get("/decisions", limit="200").json()["items"])
    first = yard.post(f"/jobs/{job_id}/decisions", choice(options), key="choice-1")
    again = yard.post(f"/jobs/{job_id}/decisions", choice(options), key="choice-1")
    assert again.content == first.content
    assert again.headers["answer-repeated"] == "true"
    assert len(yard.get("/decisions", limit="200").json()["items"]) == before + 1


def test_an_override_needs_its_reason(yard: Shop, job_id: str, options: dict[str, Any]) -> None:
    body = choice(options, plan_id=other_plan(options))
    assert error_of(yard.post(f"/jobs/{job_id}/decisions", body), "/reason")
    body["reason"] = "The customer wants new parts."
    kept = yard.post(f"/jobs/{job_id}/decisions", body)
    assert kept.status_code == 201
    assert kept.json()["is_override"] is True
    assert kept.json()["recommended_plan_id"] == options["recommended"]


def test_an_unknown_plan_is_refused_with_the_plans_there_are(
    yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    answer = yard.post(f"/jobs/{job_id}/decisions", choice(options, plan_id="pln_none"))
    error = error_of(answer, "/plan_id")
    for plan in options["plans"]:
        assert plan["id"] in error["fix"]


def test_a_choice_from_records_that_have_changed_is_a_conflict(
    yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    answer = yard.post(f"/jobs/{job_id}/decisions", choice(options, snapshot_hash="0" * 64))
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/state-conflict"
    assert options["snapshot_hash"] in answer.json()["detail"]


def test_a_choice_repeats_what_was_asked(yard: Shop, job_id: str) -> None:
    """How much was asked is part of the snapshot, and so of its hash."""
    asked = {"alternatives": 1, "break_evens": 0, "settlings": 0, "effort": "7.5"}
    query = {name: str(value) for name, value in asked.items()}
    options = yard.get(f"/jobs/{job_id}/options", as_of=AS_OF, **query).json()
    body = choice(options, snapshot_hash=options["snapshot_hash"])
    same = {**body, "asked": {**asked, "effort": "7.50"}}
    assert yard.post(f"/jobs/{job_id}/decisions", same).status_code == 201
    other = {**body, "asked": {**asked, "alternatives": 2}}
    assert yard.post(f"/jobs/{job_id}/decisions", other).status_code == 409
    kept = yard.post(f"/jobs/{job_id}/decisions", {**body, "asked": asked})
    assert kept.status_code == 201, kept.text
    unasked = {"differ_in": 1, "has_risk_axis": False, "has_extras": True}
    assert kept.json()["snapshot"]["asked"] == {**unasked, **asked}


def test_a_replay_agrees_and_stores_nothing(
    yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    kept = yard.post(f"/jobs/{job_id}/decisions", choice(options)).json()
    answer = yard.call("POST", f"/decisions/{kept['id']}/replays")
    assert answer.status_code == 200
    replayed = ReplayAnswer.model_validate(answer.json())
    assert replayed.agrees
    assert replayed.differences == ()
    assert replayed.snapshot_is_intact
    assert replayed.snapshot_hash == kept["snapshot_hash"]
    assert yard.call("POST", f"/decisions/{kept['id']}/replays", json={}).status_code == 200


def test_a_replay_tells_where_it_differs(
    app: Api, yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    from db.models.decision import decisions  # noqa: PLC0415

    kept = yard.post(f"/jobs/{job_id}/decisions", choice(options)).json()
    with app.state.sessions.writing() as session:
        row = session.execute(decisions.select().where(decisions.c.id == kept["id"])).one()
        changed = row.result_json.replace('"confidence":"0.9"', '"confidence":"0.8"')
        assert changed != row.result_json
        session.execute(
            decisions.update().where(decisions.c.id == kept["id"]).values(result_json=changed)
        )
    answer = yard.call("POST", f"/decisions/{kept['id']}/replays").json()
    assert answer["agrees"] is False
    found = next(one for one in answer["differences"] if one["pointer"] == "/confidence")
    assert (found["stored"], found["replayed"]) == ('"0.8"', '"0.9"')


def test_another_shops_decision_is_not_found(
    shop: Shop, yard: Shop, job_id: str, options: dict[str, Any]
) -> None:
    kept = yard.post(f"/jobs/{job_id}/decisions", choice(options)).json()
    assert shop.get(f"/decisions/{kept['id']}").status_code == 404
    assert shop.call("POST", f"/decisions/{kept['id']}/replays").status_code == 404
    assert shop.get("/decisions").json()["items"] == []


# --- a whole snapshot ----------------------------------------------------------------------------


@pytest.fixture
def snapshot(app: Api, yard: Shop, job_id: str, options: dict[str, Any]) -> dict[str, Any]:
    """The stored snapshot of a decision, as a body."""
    from db.models.decision import decisions  # noqa: PLC0415

    kept = yard.post(f"/jobs/{job_id}/decisions", choice(options)).json()
    with app.state.sessions.reading() as session:
        row = session.execute(decisions.select().where(decisions.c.id == kept["id"])).one()
    return dict(json.loads(row.snapshot_json))


def calculate(shop: Shop, snapshot: dict[str, Any]) -> Any:
    return shop.call("POST", "/calculations/decision", json=snapshot)


def test_a_snapshot_sent_whole_answers_as_the_stored_one(
    shop: Shop, snapshot: dict[str, Any], options: dict[str, Any]
) -> None:
    answer = calculate(shop, snapshot)
    assert answer.status_code == 200, answer.text
    assert answer.json() == options
    assert shop.get("/jobs").json()["items"] == []


def test_a_reader_may_calculate(reader: Shop, snapshot: dict[str, Any]) -> None:
    assert calculate(reader, snapshot).status_code == 200


def with_cycle(snapshot: dict[str, Any]) -> str:
    first, second = snapshot["positions"][:2]
    first["parent_id"], second["parent_id"] = second["id"], first["id"]
    return "/positions/0/parent_id"


def with_depth(snapshot: dict[str, Any]) -> str:
    pattern = snapshot["positions"][0]
    for level in range(100):
        parent = f"deep-{level - 1}" if level else None
        snapshot["positions"].append({**pattern, "id": f"deep-{level}", "parent_id": parent})
    return ""


def with_other_currency(snapshot: dict[str, Any]) -> str:
    snapshot["offers"][0]["price"]["currency"] = "USD"
    return "/offers/0/price"


def with_past_date(snapshot: dict[str, Any]) -> str:
    snapshot["job"]["required_by_on"] = "2031-03-01"
    return "/job/required_by_on"


def with_unreleased_donor(snapshot: dict[str, Any]) -> str:
    snapshot["units"].append(
        {"id": "donor-1", **bodies.donor(snapshot["assembly"]["id"], released_on="2031-12-01")}
    )
    return f"/units/{len(snapshot['units']) - 1}/released_on"


def with_foreign_finding(snapshot: dict[str, Any]) -> str:
    snapshot["findings"][0]["characteristic_id"] = "chr-elsewhere"
    return "/findings/0/characteristic_id"


def with_negative_hours(snapshot: dict[str, Any]) -> str:
    snapshot["operations"][0]["p50_hours"] = "-0.5"
    return "/operations/0/p50_hours"


def with_unknown_member(snapshot: dict[str, Any]) -> str:
    snapshot["offers"][0]["colour"] = "red"
    return "/offers/0/colour"


def with_two_of_one_id(snapshot: dict[str, Any]) -> str:
    snapshot["offers"].append(snapshot["offers"][0])
    return ""


def with_no_unit(snapshot: dict[str, Any]) -> str:
    snapshot["units"] = []
    return "/units"


def with_a_piece_that_is_not_there(snapshot: dict[str, Any]) -> str:
    snapshot["findings"][0]["piece"] = 9
    return "/findings/0/piece"


def with_ten_thousand_pieces(snapshot: dict[str, Any]) -> str:
    told = next(f for f in snapshot["findings"] if f["unit_id"] == snapshot["job"]["unit_id"])
    told["piece"] = 1
    for position in snapshot["positions"]:
        if position["id"] == told["position_id"]:
            position["quantity"] = 10000
    return "/findings"


def with_a_finding_that_supersedes_itself(snapshot: dict[str, Any]) -> str:
    snapshot["findings"][0]["supersedes_id"] = snapshot["findings"][0]["id"]
    return "/findings/0/supersedes_id"


def with_a_finding_that_supersedes_another_things(snapshot: dict[str, Any]) -> str:
    first = snapshot["findings"][0]
    other = next(
        f for f in snapshot["findings"] if f["characteristic_id"] != first["characteristic_id"]
    )
    first["supersedes_id"] = other["id"]
    return "/findings/0/supersedes_id"


def with_a_finding_that_supersedes_nothing(snapshot: dict[str, Any]) -> str:
    snapshot["findings"][0]["supersedes_id"] = "fnd-elsewhere"
    return "/findings/0/supersedes_id"


def with_too_many_positions(snapshot: dict[str, Any]) -> str:
    snapshot["positions"] = [
        {**snapshot["positions"][0], "id": f"p-{number}"} for number in range(501)
    ]
    return "/positions"


@pytest.mark.parametrize(
    "spoil",
    [
        with_cycle,
        with_depth,
        with_other_currency,
        with_past_date,
        with_unreleased_donor,
        with_foreign_finding,
        with_negative_hours,
        with_unknown_member,
        with_two_of_one_id,
        with_no_unit,
        with_a_piece_that_is_not_there,
        with_ten_thousand_pieces,
        with_a_finding_that_supersedes_itself,
        with_a_finding_that_supersedes_another_things,
        with_a_finding_that_supersedes_nothing,
        with_too_many_positions,
    ],
    ids=lambda spoil: spoil.__name__,
)
def test_a_snapshot_that_cannot_be_is_refused_by_field(
    shop: Shop, snapshot: dict[str, Any], spoil: Any
) -> None:
    pointer = spoil(snapshot)
    answer = calculate(shop, snapshot)
    assert answer.status_code == 422, answer.text[:500]
    pointers = [error["pointer"] for error in answer.json()["errors"]]
    assert any(found.startswith(pointer) for found in pointers), pointers
