"""GET /v1/designations."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(shop, text):
    return shop.call("GET", "/designations", params={"text": text})


def test_a_screw_comes_out_under_its_one_name_with_all_that_was_written(shop):
    answer = ask(shop, "M8 x 1,25 x 40 – 8.8 hexagon head")
    assert answer.status_code == 200
    (item,) = answer.json()["items"]
    notes = item.pop("notes")
    assert item == {
        "kind": "fastener",
        "canonical": "M8x1.25x40 8.8 hexagon head",
        "meaning": "ISO metric, coarse pitch",
        "standard": item["standard"],
        "sizes": {
            "major_diameter": {"value": "8.00000000", "unit": "mm"},
            "pitch": {"value": "1.25000000", "unit": "mm"},
        },
        "length": {"value": "40.0000000", "unit": "mm"},
        "form": "screw",
        "hand": "right",
        "property_class": "8.8",
        "tolerance_class": None,
        "marks": [],
        "words": ["hexagon head"],
    }
    assert any("No LH is written" in note for note in notes)


def test_several_meanings_are_several_items(shop):
    answer = ask(shop, "1/4-20 x 1-1/2")
    assert [item["canonical"] for item in answer.json()["items"]] == [
        "1/4-20 UNC x 1 1/2",
        "1/4-20 BSW x 1 1/2",
    ]


@pytest.mark.parametrize(
    ("text", "kind", "sizes"),
    [
        ("6205-2RS C3", "bearing", {"bore": 25, "outside": 52, "width": 15}),
        ("25x47x7 TC", "shaft seal", {"shaft": 25, "housing": 47, "width": 7}),
        ("AS568-214", "O-ring", {"inside": 24.99, "section": 3.53}),
        ("DIN 471 25x1.2", "retaining ring", {"nominal": 25, "thickness": 1.2}),
        ("DIN 6885 A 8x7x40", "parallel key", {"width": 8, "height": 7}),
        ("DIN 988 25x35x0.1", "shim ring", {"inside": 25, "outside": 35, "thickness": 0.1}),
    ],
)
def test_every_kind_of_part_is_answered_with_its_sizes(shop, text, kind, sizes):
    (item,) = ask(shop, text).json()["items"]
    assert item["kind"] == kind
    found = {name: float(size["value"]) for name, size in item["sizes"].items()}
    assert found == pytest.approx(sizes)
    assert item["hand"] is None


@pytest.mark.parametrize(
    ("text", "code", "mend"),
    [
        ("M8x1.3", "designation-unknown", "M8x1.25"),
        ("M8x40 wobbly", "designation-unknown", "M8x1.25x40"),
        ("Tr 20x4", "designation-not-held", "gauge"),
        ("М8", "text-characters", "A to Z"),
        ("M" * 5000, "text-characters", "one designation"),
    ],
)
def test_what_cannot_be_read_is_a_422_with_the_nearest_forms(shop, text, code, mend):
    error = error_of(ask(shop, text), "/text")
    assert error["code"] == code
    assert mend in error["fix"]
