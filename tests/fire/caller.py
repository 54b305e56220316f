"""A caller that writes without pause, whatever happens to the server, and remembers each answer."""

import json
import random
import threading
from collections import defaultdict, deque
from collections.abc import Callable, Iterator
from itertools import count
from typing import Any, Final

import httpx

from tests.fire.ledger import Edit, Known, Ledger, Post

UNSETTLED: Final = frozenset(("busy", "database-away", "storage-full", "idempotency-in-progress"))
"""Problems after which the same request is sent again."""


class Lost(Exception):
    """No answer came: whether the server did the work is not known."""


class Caller:
    """One client with records of its own, and some that it wants as others do."""

    def __init__(self, name: str, seed: str, send: Callable[..., httpx.Response]) -> None:
        self.name = name
        self.ledger = Ledger()
        self._random = random.Random(f"{seed} {name}")
        self._send = send
        self._numbers = count(1)
        self._unsettled: list[Post] = []
        self._recent = defaultdict[str, deque[Known]](lambda: deque(maxlen=12))

    # --- the loop ----------------------------------------------------------------------------

    def run(self, stop: threading.Event, may_edit: bool) -> None:
        """Write until told to stop; what got no answer is sent again at once, or much later."""
        while not stop.is_set():
            if self._unsettled and self._random.random() < 0.5:
                self._settle(self._unsettled[0])
            elif may_edit and self._random.random() < 0.4:
                self._edit_one()
            else:
                self._post(*self._new_body())

    def settle_all(self) -> None:
        """Send again, with its key, every request whose answer was lost."""
        for post in [*self._unsettled]:
            for _ in range(20):
                if not post.is_settled:
                    self._settle(post)
            if not post.is_settled:
                self._find(f"POST {post.path} with key {post.key} gets no answer")
        for known in self.ledger.records.values():
            for _ in range(20):
                if known.lost is not None:
                    self._settle_edit(known, known.lost)
            if known.lost is not None:
                self._find(f"{known.lost} of {known.id} gets no answer")

    # --- creating ----------------------------------------------------------------------------

    def _new_body(self) -> tuple[str, dict[str, Any]]:
        """A body whose references are all acknowledged; the kinds with children come often."""
        assembly = self._some("/assemblies")
        if assembly is None:
            return "/assemblies", self._assembly()
        positions = [
            known.id
            for known in self._recent["/positions"]
            if known.members["assembly_id"] == assembly.id
        ]
        parts = [known.id for known in self._recent["/parts"]]
        choices = ["/assemblies", "/positions", "/parts", "/suppliers", "shared"]
        choices += ["/position-sets"] * 2 if len(positions) >= 3 else ["/positions"] * 2
        choices += ["kit"] * 2 if len(parts) >= 3 else ["/parts"]
        return self._body(self._random.choice(choices), assembly.id, positions, parts)

    def _body(
        self, kind: str, assembly_id: str, positions: list[str], parts: list[str]
    ) -> tuple[str, dict[str, Any]]:
        if kind == "/assemblies":
            return kind, self._assembly()
        if kind == "/suppliers":
            return kind, {"name": self._fresh("Bearings"), "freight": _money(self._amount())}
        if kind == "/positions":
            about = {"assembly_id": assembly_id, "name": self._fresh("Bearing")}
            return kind, {**about, "cautions": self._cautions()}
        if kind == "/position-sets":
            members = self._random.sample(positions, 3)
            about = {"assembly_id": assembly_id, "kind": "renewed-together"}
            return kind, {**about, "name": self._fresh("Set"), "position_ids": members}
        part = {"maker": "Oakhollow Drives", "name": "Ring", "kind": "ring"}
        if kind == "shared":  # the same few numbers that the other callers want
            number = f"OH-S{self._random.randrange(10_000)}"
            return "/parts", {**part, "maker": "Shared works", "number": number}
        body = {**part, "number": self._fresh("OH")}
        if kind == "kit":
            lines = self._random.sample(parts, 3)
            body |= {"name": "Kit", "kind": "kit"}
            body["kit_lines"] = [
                {"part_id": part_id, "quantity": place + 1} for place, part_id in enumerate(lines)
            ]
        return "/parts", body

    def _assembly(self) -> dict[str, Any]:
        about = {"maker": "Oakhollow Drives", "kind": "reduction drive"}
        return {**about, "model": self._fresh("LF"), "cautions": self._cautions()}

    def _cautions(self) -> list[dict[str, str]]:
        kinds = self._random.choices(("hazard", "handling", "legal"), k=self._random.randint(2, 5))
        return [{"kind": kind, "text": self._fresh("Mind")} for kind in kinds]

    def _post(self, path: str, body: dict[str, Any]) -> None:
        post = Post(f"{self.name}-{next(self._numbers)}", path, body)
        self.ledger.posts.append(post)
        self._unsettled.append(post)
        self._settle(post)

    def _settle(self, post: Post) -> None:
        post.times_sent += 1
        headers = {"Idempotency-Key": post.key}
        try:
            answer = self._send("POST", post.path, json=post.body, headers=headers)
        except Lost:
            self.ledger.lost += 1
            return
        if answer.status_code == 201:
            self._take(post, answer)
        elif (word := self._refused(answer)) not in UNSETTLED:
            post.refusal = word
            if word != "duplicate" or post.body.get("maker") != "Shared works":
                self._find(f"POST {post.path} {post.body} was refused: {answer.text}")
        if post.is_settled:
            self._unsettled.remove(post)

    def _take(self, post: Post, answer: httpx.Response) -> None:
        members = answer.json()
        if "answer-repeated" in answer.headers:
            self.ledger.repeated += 1
            if post.times_sent == 1:
                self._find(f"the new key {post.key} was answered as a repeat")
        if not includes(members, post.body):
            self._find(f"POST {post.path}: sent {post.body}, acknowledged {members}")
        if answer.headers["etag"] != f'"{members["version"]}"':
            self._find(f"ETag {answer.headers['etag']} on version {members['version']}")
        post.answer, post.record_id = answer.content, members["id"]
        if members["id"] in self.ledger.records:
            self._find(f"{members['id']} was acknowledged to two keys")
        known = self.ledger.records[members["id"]] = Known(post.path, members)
        self._recent[post.path].append(known)

    # --- changing, deleting --------------------------------------------------------------------

    def _edit_one(self) -> None:
        known = self._some("/suppliers", "/positions", "/assemblies")
        if known is None:
            return
        if known.lost is not None:
            self._settle_edit(known, known.lost)
        elif known.path == "/suppliers" and self._random.random() < 0.3:
            self._edit(known, Edit("DELETE", known.version))
        else:
            self._edit(known, Edit("PATCH", known.version, self._patch_of(known)))

    def _patch_of(self, known: Known) -> dict[str, Any]:
        if known.path == "/suppliers":
            return {"freight": _money(self._amount()), "name": self._fresh("Renamed")}
        if known.path == "/assemblies":
            return {"notes": self._fresh("Seen"), "cautions": self._cautions()}
        return {"name": self._fresh("Wheel"), "cautions": self._cautions()}

    def _edit(self, known: Known, edit: Edit) -> None:
        try:
            answer = self._change(known, edit)
        except Lost:
            self.ledger.lost += 1
            known.lost = edit
            return
        if answer.status_code == 204:
            known.is_deleted, known.writes = True, known.writes + 1
        elif answer.status_code == 200:
            self._changed(known, edit, answer.json())
        elif (word := self._refused(answer)) in UNSETTLED:
            known.lost = edit
        else:
            self._find(f"{edit} of {known.id} was refused ({word}): {answer.text}")

    def _change(self, known: Known, edit: Edit) -> httpx.Response:
        headers = {"If-Match": f'"{edit.version}"'}
        content = None
        if edit.patch is not None:
            headers["Content-Type"] = "application/merge-patch+json"
            content = json.dumps(edit.patch)
        return self._send(edit.method, f"{known.path}/{known.id}", headers=headers, content=content)

    def _changed(self, known: Known, edit: Edit, members: dict[str, Any]) -> None:
        wanted = {**known.members, **(edit.patch or {}), "version": edit.version + 1}
        wanted["updated_at"] = members["updated_at"]
        if members != wanted:
            self._find(f"{edit} of {known.id}: wanted {wanted}, acknowledged {members}")
        known.members, known.writes = members, known.writes + 1

    def _settle_edit(self, known: Known, edit: Edit) -> None:
        """Send a lost change again: it is done now or was done then, never twice."""
        try:
            answer = self._change(known, edit)
        except Lost:
            self.ledger.lost += 1
            return
        if answer.status_code in (200, 204):
            known.lost = None
            if answer.status_code == 204:
                known.is_deleted, known.writes = True, known.writes + 1
            else:
                self._changed(known, edit, answer.json())
            return
        word = self._refused(answer)
        if word in UNSETTLED:
            return
        known.lost = None
        self.ledger.repeated += 1
        if edit.method == "DELETE" and word == "not-found":
            known.is_deleted, known.writes = True, known.writes + 1
        elif edit.method == "PATCH" and word == "stale-version":
            try:
                found = self._send("GET", f"{known.path}/{known.id}")
            except Lost:
                known.lost = edit
                return
            self._changed(known, edit, found.json())
        else:
            self._find(f"{edit} of {known.id}, sent again, was refused: {answer.text}")

    # --- small things --------------------------------------------------------------------------

    def _some(self, *paths: str) -> Known | None:
        found = [known for path in paths for known in self._recent[path] if not known.is_deleted]
        return self._random.choice(found) if found else None

    def _refused(self, answer: httpx.Response) -> str:
        word = str(answer.json()["type"]).removeprefix("/problems/")
        self.ledger.refused[word] = self.ledger.refused.get(word, 0) + 1
        if answer.status_code == 500:
            self._find(f"{answer.request.method} {answer.request.url.path}: {answer.text}")
        return word

    def _find(self, what: str) -> None:
        self.ledger.findings.append(f"{self.name}: {what}")

    def _fresh(self, word: str) -> str:
        return f"{word} {self.name}-{next(self._numbers)}"

    def _amount(self) -> str:
        return f"{self._random.randint(1, 90)}.{self._random.randint(10, 99)}"


def _money(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": "EUR"}


def includes(stored: Any, sent: Any) -> bool:
    """Whether all that was sent stands in what is stored."""
    if isinstance(sent, dict):
        return all(includes(stored[name], value) for name, value in sent.items())
    if isinstance(sent, list):
        return len(stored) == len(sent) and all(map(includes, stored, sent))
    return bool(stored == sent)


def callers(number: int, seed: str, send: Callable[..., httpx.Response]) -> Iterator[Caller]:
    """Give so many callers, each with its own series of choices."""
    for place in range(number):
        yield Caller(f"c{place}", seed, send)
