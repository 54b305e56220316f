"""An id that is not the caller's to use is answered as one that does not exist, in every member.

Another shop's private record, a record of another kind, one that was retired, the record itself:
whatever stands in a body, a query or a path, the answer is the one that a made-up id gets, so that
nobody learns what exists.
"""

import os
import re
import uuid
from collections.abc import Iterator
from typing import Any

import pytest

from tests.conftest import ENGINES
from tests.storm.document import Document, Operation, Steps, at, kind_of, planted, pointer
from tests.storm.yard import Retirement, Yard, is_catalogue, told_apart

LARGE = int(os.environ.get("STORM_LARGE", "0"))
REQUEST_ID = re.compile(r"req_[0-9a-z]+")


def id_members(document: Document, operation: Operation) -> Iterator[Steps]:
    assert operation.body is not None
    for steps, schema in document.members(operation.body[1]):
        names = [step for step in steps if isinstance(step, str)]
        if kind_of(schema) == "id" and names[-1].endswith(("_id", "_ids")):
            yield steps


def made_up(like: str) -> str:
    """An id of the same form that nothing has."""
    prefix, _, rest = like.partition("_")
    return f"{prefix}_{uuid.uuid4().hex[: len(rest)]:0<{len(rest)}}"


def private_ids(yard: Yard) -> dict[str, str]:
    """One private record of each kind, by the path of its collection."""
    return {path: ids[0] for path, ids in yard.made.items() if not is_catalogue(path)}


def suspects(steps: Steps, yard: Yard) -> list[str]:
    """The private records of a shop that a member could mean; one of any kind where none fits."""
    name = [step for step in steps if isinstance(step, str)][-1]
    words = name.removesuffix("_ids").removesuffix("_id").replace("_", "-")
    found = private_ids(yard)
    fitting = [one for path, one in found.items() if words.endswith(path[1:].removesuffix("s"))]
    return fitting or [found["/units"]]


def send(operation: Operation, yard: Yard, body: Any) -> Any:
    """Send a body that is refused: nothing of the yard changes."""
    where = yard.filled(operation.path)
    if operation.method == "post":
        return yard.shop.post(where, body, key=uuid.uuid4().hex)
    assert operation.body is not None
    headers = {
        "If-Match": yard.shop.get(where).headers["etag"],
        "Content-Type": operation.body[0],
    }
    return yard.shop.call("PATCH", where, json=body, headers=headers)


def told(answer: Any, *ids: str) -> tuple[int, str]:
    """What an answer says, but for the ids in it."""
    text = REQUEST_ID.sub("req", answer.text)
    for one in ids:
        text = text.replace(one, "ID")
    return answer.status_code, text


def writers(document: Document) -> list[Operation]:
    return [
        one
        for one in document.operations
        if one.body is not None and (one.takes("Idempotency-Key") or one.takes("If-Match"))
    ]


def base(operation: Operation, yard: Yard) -> Any:
    return yard.bodies[operation.path] if operation.method == "post" else {}


def test_another_shops_record_in_a_body_is_answered_as_one_that_does_not_exist(
    document: Document, owner: Yard, other: Yard
) -> None:
    tried, wrong = 0, []
    for operation in writers(document):
        for steps in id_members(document, operation):
            for foreign in suspects(steps, owner):
                nothing = made_up(foreign)
                answers = [
                    send(operation, other, planted(base(operation, other), steps, one))
                    for one in (foreign, nothing)
                ]
                tried += 1
                seen, unseen = (told(answer, foreign, nothing) for answer in answers)
                if not 400 <= seen[0] < 500 or seen != unseen:
                    wrong.append((operation.name, pointer(steps), seen, unseen))
                elif (
                    seen[0] == 422
                    and at(base(operation, other), steps) is not None
                    and pointer(steps[:1]) not in answers[0].text
                ):
                    wrong.append((operation.name, pointer(steps), "no pointer", seen))
    assert not wrong, wrong
    assert tried > 40
    print(f"{tried} members tried with another shop's record")


def test_a_record_of_another_kind_in_a_body_is_answered_as_one_that_does_not_exist(
    document: Document, other: Yard
) -> None:
    wrong = []
    for operation in writers(document):
        for steps in id_members(document, operation):
            supplier, settings = other["/suppliers"], other["/shop-settings"]
            misfit = settings if "supplier" in pointer(steps) else supplier
            nothing = made_up(misfit)
            seen, unseen = (
                told(
                    send(operation, other, planted(base(operation, other), steps, one)),
                    misfit,
                    nothing,
                )
                for one in (misfit, nothing)
            )
            if not 400 <= seen[0] < 500 or seen != unseen:
                wrong.append((operation.name, pointer(steps), seen, unseen))
    assert not wrong, wrong


def test_no_record_comes_to_point_at_itself(document: Document, other: Yard) -> None:
    wrong = []
    for operation in writers(document):
        if operation.method != "patch":
            continue
        itself = other.filled(operation.path).rsplit("/", 1)[1]
        for steps in id_members(document, operation):
            answer = send(operation, other, planted({}, steps, itself))
            if not 400 <= answer.status_code < 500:
                wrong.append((operation.name, pointer(steps), answer.text))
    assert not wrong, wrong


def test_a_filter_by_another_shops_record_finds_nothing(
    document: Document, owner: Yard, other: Yard
) -> None:
    tried = 0
    for operation in document.operations:
        if operation.method != "get" or operation.has_id:
            continue
        for parameter in operation.told["parameters"]:
            if parameter["in"] != "query" or not parameter["name"].endswith("_id"):
                continue
            known = {one["name"] for one in operation.told["parameters"]}
            for foreign in suspects((parameter["name"],), owner):
                for name in {parameter["name"], parameter["name"] + ".in"} & known:
                    nobodys = made_up(foreign)
                    seen = other.shop.get(operation.path, **{name: foreign})
                    unseen = other.shop.get(operation.path, **{name: nobodys})
                    # What a list is narrowed for has to be there: the same refusal for both.
                    is_refused = name == "gives_position_id"
                    assert seen.status_code == (422 if is_refused else 200), seen.text
                    assert told(seen, foreign) == told(unseen, nobodys), (operation.name, name)
                    tried += 1
    assert tried > 10


@pytest.mark.parametrize(
    "bad",
    [
        "x" * 10_000,
        "a%2Fb",
        "a%2e%2e",
        "%FF",
        "%00",
        "..%2f..%2fetc",
        "%F0%9F%98%80",
        "%D0%B0sm_1",
        "'%3B--",
        "sup_00000000000000000000000000",
    ],
    ids=lambda bad: bad[:12],
)
def test_an_address_of_nothing_is_not_found(
    document: Document, owner: Yard, bad: str, engine_name: str
) -> None:
    for operation in document.operations:
        if not operation.has_id:
            continue
        where = re.sub(r"\{\w+\}", bad, operation.path)
        more: dict[str, Any] = {"headers": {"If-Match": '"1"', "Idempotency-Key": uuid.uuid4().hex}}
        if operation.body is not None:
            body = owner.bodies.get(operation.path, {})
            more |= {"json": body}
            more["headers"]["Content-Type"] = operation.body[0]
        answer = owner.shop.call(operation.method.upper(), where, **more)
        assert answer.status_code == 404, (operation.name, answer.text[:200])
        assert answer.json()["type"] == "/problems/not-found"


@pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
def test_what_was_retired_is_gone_from_every_address(
    retirements: dict[str, Retirement],
) -> None:
    gone = {path: done for path, done in retirements.items() if done.answer.status_code == 204}
    assert retirements.keys() == gone.keys()
    for collection, done in gone.items():
        shop, retired = done.yard.shop, done.path.rsplit("/", 1)[1]
        match = {"If-Match": done.etag}
        patch = {**match, "Content-Type": "application/merge-patch+json"}
        again = [
            shop.get(done.path),
            shop.call("DELETE", done.path, headers=match),
            shop.call("PATCH", done.path, json={}, headers=patch),
        ]
        assert {answer.status_code for answer in again} == {404}, collection
        listed = shop.get(f"/v1{collection}", limit="200").json()["items"]
        assert retired not in {one["id"] for one in listed}, collection


@pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
def test_nothing_comes_to_point_at_what_was_retired(
    document: Document, retirements: dict[str, Retirement], other: Yard
) -> None:
    wrong, tried = [], 0
    for collection in retirements:
        retired = retired_again(other, collection)
        for operation in writers(document) if retired is not None else ():
            for steps in id_members(document, operation):
                if LARGE or may_mean(steps, collection):
                    answer = send(operation, other, planted(base(operation, other), steps, retired))
                    tried += 1
                    if not 400 <= answer.status_code < 500:
                        wrong.append((operation.name, pointer(steps), answer.text[:300]))
    assert not wrong, wrong
    assert tried > 20


def retired_again(yard: Yard, collection: str) -> str | None:
    """The id of one more record like the example, retired at once; None where one alone may be."""
    body = told_apart(yard.bodies["/v1" + collection])
    made = yard.shop.post(collection, body)
    if made.status_code != 201:
        return None
    record_id = str(made.json()["id"])
    where, match = f"{collection}/{record_id}", {"If-Match": made.headers["etag"]}
    gone = yard.shop.call("DELETE", where, headers=match).status_code == 204
    return record_id if gone else None


def may_mean(steps: Steps, collection: str) -> bool:
    """Whether a member may by its name hold the id of a record of a collection."""
    word = collection[1:].removesuffix("ies").removesuffix("s").rsplit("-", 1)[-1]
    return word in str([step for step in steps if isinstance(step, str)][-1])
