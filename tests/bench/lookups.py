"""The look-ups that a person types against, each with a few questions that take turns.

And what is reckoned of a part's condition, asked as the API's document shows it. They read nothing
of the database but the key: measured on one database only.
"""

import json
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

from tests.bench.load import Request

Query = dict[str, str]

LOOK_UPS: dict[str, tuple[str, tuple[Query, ...]]] = {
    "designation": (
        "/v1/designations",
        tuple(
            {"text": text}
            for text in ("M8x1.25x40 8.8", "1/4-20", "6205-2RS C3", "25x47x7", "AS568-214", "3/8")
        ),
    ),
    "fastener": (
        "/v1/fasteners",
        tuple({"designation": text} for text in ("M8x1.25x40 8.8", "3/8-16 UNC grade 5")),
    ),
    "look-alikes": (
        "/v1/fasteners/look-alikes",
        tuple({"thread": text} for text in ("M8x1.25", "5/16-18 UNC", "1/4-26 BSC")),
    ),
    "equivalents": ("/v1/fasteners/equivalents", ({"designation": "M8x1.25 8.8"},)),
    "identify a ball bearing": (
        "/v1/identifications/ball-bearings",
        (
            {"bore": "20", "outside": "47", "width": "14", "plus_minus": "0.05"},
            {"bore": "3/4", "unit": "in"},
        ),
    ),
    "identify a tapered bearing": (
        "/v1/identifications/tapered-bearings",
        ({"bore": "25", "outside": "52", "width": "16.25"},),
    ),
    "identify a needle bearing": (
        "/v1/identifications/needle-bearings",
        ({"bore": "16", "outside": "22"},),
    ),
    "identify a shaft seal": (
        "/v1/identifications/shaft-seals",
        ({"shaft": "25", "housing": "47", "width": "7"}, {"shaft": "25"}),
    ),
    "identify an O-ring": (
        "/v1/identifications/o-rings",
        ({"inside": "25", "section": "3.5", "state": "used"}, {"section": "3.5"}),
    ),
    "identify a retaining ring": (
        "/v1/identifications/retaining-rings",
        ({"diameter": "25", "thickness": "1.2"},),
    ),
    "identify a key": ("/v1/identifications/keys", ({"width": "8", "height": "7"},)),
    "identify a shim": (
        "/v1/identifications/shims",
        ({"inside": "25.1", "outside": "34.9", "thickness": "0.5"},),
    ),
    "identify a thread": (
        "/v1/identifications/threads",
        ({"major": "6.30", "pitch": "1.0"}, {"major": "7.9"}),
    ),
    "limits and fit": ("/v1/fits", ({"nominal": "25", "classes": "H7,g6"},)),
}


OF_CONDITION = (
    "conformity",
    "form",
    "derived-measure",
    "wear",
    "fit-condition",
    "table-choice",
    "shim-pack",
    "life-fit",
    "bearing-life",
)
"""Calculations by the last word of their path."""


def of_condition(
    key: tuple[tuple[str, str], ...],
) -> dict[str, tuple[Callable[[int], Request], int]]:
    """The calculations on a part's condition, and the status that answers them."""
    document = Path(__file__).parents[2] / "api" / "openapi.json"
    paths = json.loads(document.read_text("utf-8"))["paths"]
    headers = (*key, ("Content-Type", "application/json"))
    made: dict[str, tuple[Callable[[int], Request], int]] = {}
    for name in OF_CONDITION:
        path = f"/v1/calculations/{name}"
        shown = paths[path]["post"]["requestBody"]["content"]["application/json"]["example"]
        request = Request("POST", path, headers, json.dumps(shown).encode())
        made[name] = (lambda _, request=request: request, 200)  # type: ignore[misc]
    return made


def look_ups(
    key: tuple[tuple[str, str], ...],
) -> dict[str, tuple[Callable[[int], Request], int]]:
    """What is asked, and the status that answers it."""
    return {name: (asking(path, queries, key), 200) for name, (path, queries) in LOOK_UPS.items()}


def asking(
    path: str, queries: tuple[Query, ...], key: tuple[tuple[str, str], ...]
) -> Callable[[int], Request]:
    paths = [f"{path}?{urlencode(query)}" for query in queries]
    return lambda number: Request("GET", paths[number // 8 % len(paths)], key)
