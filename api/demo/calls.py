"""Calls that show themselves: each prints the curl line with which a reader can repeat it."""

import json
import shlex
from typing import Any
from urllib.parse import quote

import httpx
from rich.console import Console

from api.demo.load import idempotency_key

_INLINE_LIMIT = 60


class CallRefused(Exception):
    """The server gave no good answer; carries its words."""


def curl_line(
    method: str,
    path: str,
    query: dict[str, str] | None = None,
    body: object = None,
    repeat_key: str | None = None,
) -> str:
    r"""The call as a shell command, over several lines; $CW_URL and $CW_KEY are the reader's.

    >>> print(curl_line("GET", "/v1/quantities", {"text": "22 ft-lb"}))
    curl -sS "$CW_URL/v1/quantities?text=22%20ft-lb" \
      -H "Authorization: Bearer $CW_KEY"
    """
    suffix = "?" + "&".join(f"{n}={quote(v)}" for n, v in query.items()) if query else ""
    pieces = [f'curl -sS "$CW_URL{path}{suffix}"', '-H "Authorization: Bearer $CW_KEY"']
    if method == "POST":
        pieces.append("-H 'Content-Type: application/json'")
        if repeat_key is not None:
            pieces.append(f"-H 'Idempotency-Key: {repeat_key}'")
        pieces.append(f"-d {shlex.quote(_body_text(body))}")
    return " \\\n  ".join(pieces)


def _body_text(body: object) -> str:
    """JSON that a person can read: on one line if short, else a line for each member."""
    text = json.dumps(body, ensure_ascii=False)
    if not isinstance(body, dict) or len(text) <= _INLINE_LIMIT:
        return text
    members = ",\n".join(f"  {json.dumps(n)}: {_member_text(v)}" for n, v in body.items())
    return f"{{\n{members}\n}}"


def _member_text(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False)
    if not isinstance(value, list) or len(text) <= _INLINE_LIMIT:
        return text
    items = ",\n".join(f"    {json.dumps(item, ensure_ascii=False)}" for item in value)
    return f"[\n{items}\n  ]"


class Caller:
    """Makes calls with a key, prints each one's curl line, and returns the answer's JSON."""

    def __init__(self, client: httpx.Client, console: Console) -> None:
        self._client = client
        self._console = console

    def get(self, path: str, **query: str) -> dict[str, Any]:
        """GET, shown."""
        self._show(curl_line("GET", path, query))
        return self._checked(self._client.get(path, params=query))

    def calculate(self, name: str, body: object) -> dict[str, Any]:
        """POST of a calculation: stores nothing, so it carries no Idempotency-Key."""
        path = f"/v1/calculations/{name}"
        self._show(curl_line("POST", path, body=body))
        return self._checked(self._client.post(path, json=body))

    def create(self, path: str, name: str, body: object) -> dict[str, Any]:
        """POST of a record; ``name`` makes its Idempotency-Key."""
        key = idempotency_key(name)
        self._show(curl_line("POST", path, body=body, repeat_key=key))
        answer = self._client.post(path, json=body, headers={"Idempotency-Key": key})
        return self._checked(answer)

    def repeat(self, path: str) -> dict[str, Any]:
        """POST of a replay: an empty body, and nothing stored."""
        self._show(curl_line("POST", path, body={}))
        return self._checked(self._client.post(path, json={}))

    def _show(self, text: str) -> None:
        self._console.print(text, style="cyan", markup=False, highlight=False, soft_wrap=True)

    @staticmethod
    def _checked(answer: httpx.Response) -> dict[str, Any]:
        if not answer.is_success:
            raise CallRefused(f"{answer.status_code} {answer.text[:2000]}")
        found: dict[str, Any] = answer.json()
        return found
