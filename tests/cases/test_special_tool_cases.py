"""Situations from the trade: what stands in for a special tool, and what does not.

Sources: public: an owners' forum, boat-engine forums, an owners' club forum and a builder's diary.
The figures that they leave open (forces, materials, sizes of plate and nut) are filled in.
"""

from typing import Any

import pytest

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored

BENCH: dict[str, Any] = {"is_symmetric": True, "uses": [], "in_the_way": "nothing"}


def mm(value):
    return {"value": str(value), "unit": "mm"}


def inch(value):
    return {"value": str(value), "unit": "in"}


def sized(**sizes):
    return [{"kind": name.replace("_", "-"), "size": size} for name, size in sizes.items()]


@pytest.fixture
def ask(client, headers):
    def post(work, *items, **more):
        body = {
            "requirement": {**BENCH, **work},
            "items": items,
            "include_standard_items": False,
            **more,
        }
        answer = client.post("/v1/calculations/substitutes", json=body, headers=headers)
        assert answer.status_code == 200, answer.text
        return answer.json()

    return post


def by_key(answer, family):
    """The candidates of a family, by the first piece that each takes."""
    found = [one for one in answer["candidates"] if one["family"] == family]
    return {one["items"][0]["key"]: one for one in found}


def screw(key, designation, **more):
    named = {"id": key, "name": f"Hexagon screw, {key}", "kind": "screw", "quantity": 12}
    return {**named, "designation": designation, **more}


def failing(candidate):
    return {check["name"] for check in candidate["checks"] if not check["passes"]}


# --- pusher holes of a brake drum, M8, and a 5/16 screw --------------------------------------

DRUM = {
    "function": "separate",
    "features": [
        {"kind": "thread", "designation": "M8x1.25", "count": 2},
        *sized(plate_thickness=mm(6), reach=mm(6), travel=mm(4), wall=mm(10)),
    ],
    "force": {"value": "1", "unit": "kN"},
    "workpiece_material": "grey cast iron",
    "pushed_material": "S355",
    "lubrication": "oiled",
}


def test_a_5_16_screw_does_not_push_a_drum_off_by_its_m8_holes(ask):
    long_thread = sized(thread_length=mm(36))
    own = screw("own", "M8x1.25x40", property_class="10.9", features=long_thread, tip="flat")
    near = screw("near", "5/16-18 UNC x 1-1/2", features=long_thread, tip="flat")
    answer = ask(DRUM, own, near)
    found = by_key(answer, "jacking screws")
    assert found["near"]["accepted"] is False
    assert "thread" in failing(found["near"])
    (why,) = [one for one in found["near"]["checks"] if one["name"] == "thread"]
    assert "binds" in why["detail"]
    assert found["own"]["accepted"] is True, found["own"]["reasons"]
    assert any("brake" in one or "procedure" in one for one in found["own"]["cautions"])
    # Weaker hole, other plate: the inch screw is no more a yes in any of them.
    for plate in (6, 12, 25):
        thicker = sized(plate_thickness=mm(plate), reach=mm(plate), travel=mm(4), wall=mm(10))
        features = [DRUM["features"][0], *thicker]
        assert ask({**DRUM, "features": features}, near)["accepted_count"] == 0


# --- a flywheel by three 1/4-20 holes in its hub ---------------------------------------------

FLYWHEEL = {
    "function": "pull",
    "features": [
        {"kind": "thread", "designation": "1/4-20 UNC", "count": 3},
        *sized(
            pin_circle=mm(40),
            outside_diameter=mm(18),
            depth=inch("0.4875"),
            reach=mm("0.5"),
            travel=mm("0.5"),
            wall=mm(6),
        ),
    ],
    "workpiece_material": "S355",
    "pushed_material": "C45",
    "lubrication": "oiled",
}
PLATE = {
    "id": "plate",
    "name": "Puller plate",
    "form": "plate",
    "material": "S355",
    "features": sized(length=mm(70), width=mm(70), thickness=inch("0.5")),
}
WASHERS = {
    "id": "washers",
    "name": "1/4 washer",
    "kind": "washer",
    "form": "washer",
    "quantity": 20,
    "designation": "1/4-20 UNC",
    "material": "S235",
    "features": sized(thickness=inch("0.0625"), bore=mm(7), outside_diameter=mm(16)),
}


def flywheel_screw(key, length, grade="SAE 8"):
    full = sized(thread_length=mm(17))
    return screw(key, f"1/4-20 UNC x {length}", property_class=grade, features=full)


@pytest.fixture
def pull(ask):
    def pulled(*screws, force="4", plate=PLATE, **more):
        work = {**FLYWHEEL, "force": {"value": force, "unit": "kN"}, **more}
        return by_key(ask(work, *screws, plate, WASHERS), "bar across screws")

    return pulled


def test_a_flywheel_is_pulled_by_one_inch_screws_with_one_washer(pull):
    lengths = {"short": "3/4", "right": "1", "long": "1-1/4"}
    found = pull(*(flywheel_screw(key, length) for key, length in lengths.items()))
    one_inch = found["right"]
    assert one_inch["accepted"] is True, one_inch["reasons"]
    used = {item["key"]: item["count"] for item in one_inch["items"]}
    assert used == {"right": 3, "plate": 1, "washers": 3}
    for other in ("short", "long"):
        assert found[other]["accepted"] is False
        assert "length" in failing(found[other])


def test_where_grade_8_still_holds_grade_5_does_not(pull):
    screws = (flywheel_screw("five", "1", "SAE 5"), flywheel_screw("eight", "1"))
    plate = {**PLATE, "material": "4140 quenched and tempered"}
    found = pull(*screws, plate=plate, force="18")
    assert found["eight"]["accepted"] is True, found["eight"]["reasons"]
    assert failing(found["five"]) == {"screw strength", "force"}
    # The highest that may be needed counts.
    more = {"force_highest": {"value": "25", "unit": "kN"}}
    assert not pull(*screws, plate=plate, force="18", **more)["eight"]["accepted"]


def test_a_flywheel_of_unknown_make_gets_no_yes(pull):
    eight = flywheel_screw("eight", "1")
    assert pull(eight)["eight"]["accepted"] is True
    for unsaid in ("uses", "is_symmetric", "in_the_way"):
        assert pull(eight, **{unsaid: None})["eight"]["accepted"] is False, unsaid
    for kind in ("depth", "wall", "travel", "reach", "thread"):
        rest = [one for one in FLYWHEEL["features"] if one["kind"] != kind]
        assert not any(one["accepted"] for one in pull(eight, features=rest).values()), kind


# --- a slotted ring nut on a gearbox input shaft ---------------------------------------------

RING_NUT = {
    "function": "turn",
    "features": [
        {"kind": "slot", "size": mm(6), "count": 2},
        *sized(outside_diameter=mm(60), bore=mm(45), depth=mm(5)),
    ],
    "torque": {"value": "60", "unit": "N·m"},
    "workpiece_material": "C45",
}
HOOK = {
    "id": "hook",
    "name": "Hook spanner, adjustable",
    "form": "hook-spanner",
    "features": sized(face_inside=mm(50), face_outside=mm(80), slot=mm("5.5")),
}


def test_a_ring_nut_of_unknown_hand_is_not_turned_until_the_hand_is_seen(ask):
    answer = ask(RING_NUT, HOOK)
    assert answer["accepted_count"] == 0
    assert "hand" in " ".join(one["member"] for one in answer["missing"])
    steps = {}
    for hand in ("left", "right"):
        found = by_key(ask({**RING_NUT, "thread_hand": hand}, HOOK), "hook spanner")["hook"]
        assert found["accepted"] is True, found["reasons"]
        assert failing(found) == set()
        steps[hand] = " ".join(found["steps"])
    assert "Turn clockwise" in steps["left"]
    assert "Turn anticlockwise" in steps["right"]
