"""An answer that does not have its own form is our fault, never the caller's."""

from dataclasses import replace
from typing import Any

import pytest
from litestar.handlers import HTTPRouteHandler
from pydantic import BaseModel, ValidationError

from api.app import Api
from api.errors import as_api_error
from api.schemas.base import Answer, Body, QuantityOut
from api.schemas.salvage import TracedFinding
from shared.condition.marks import shims_by_marks
from tests.api.bodies import Shop, mm

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored

QUESTION = {
    "mark_unit": mm("0.01"),
    "changed": [],
    "places": [{"name": "pinion", "marked_on": "gears"}],
}


def refusal_of(form: type[BaseModel]) -> ValidationError:
    with pytest.raises(ValidationError) as refused:
        form.model_validate({"surely_no_such_member": 1})
    return refused.value


def test_a_broken_answer_is_a_500_that_tells_nothing(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = "/calculations/shims-by-marks"
    assert shop.call("POST", path, json=QUESTION).status_code == 200

    def too_wordy(asked: Any) -> Any:
        return replace(shims_by_marks(asked), reason="secret words " * 100)

    monkeypatch.setattr("api.routes.donor_aids.shims_by_marks", too_wordy)
    answer = shop.call("POST", path, json=QUESTION)
    assert answer.status_code == 500
    body = answer.json()
    assert body["type"] == "/problems/internal" and "errors" not in body
    assert "secret" not in answer.text and "reason" not in answer.text
    # The caller's own fault in the same call stays the caller's.
    answer = shop.call("POST", path, json={**QUESTION, "changed": 1})
    assert answer.status_code == 422


def test_what_handlers_read_is_the_callers_and_what_they_answer_is_ours(app: Api) -> None:
    read, answered = set(), set()
    for handler in (one for route in app.routes for one in getattr(route, "route_handlers", ())):
        if isinstance(handler, HTTPRouteHandler):
            field, told = handler.parsed_data_field, handler.opt
            read |= {field.annotation if field is not None else None, told.get("query")}
            answered |= {handler.parsed_fn_signature.return_type.annotation, told.get("answer")}
    forms = [one for one in read if isinstance(one, type) and issubclass(one, BaseModel)]
    answers = [one for one in answered if isinstance(one, type) and issubclass(one, BaseModel)]
    assert len(forms) > 60 and len(answers) > 60
    for form in forms:
        assert as_api_error(refusal_of(form)).type == "validation", form
    for form in answers:
        assert as_api_error(refusal_of(form)).type == "internal", form


def test_a_record_that_goes_out_with_the_members_of_a_body_is_ours() -> None:
    assert issubclass(TracedFinding, Body)
    for form in (TracedFinding, QuantityOut, Answer):
        assert as_api_error(refusal_of(form)).type == "internal"
