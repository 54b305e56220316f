"""GET /v1/fasteners and the calculations on torque."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def amount(value, unit="mm", **doubt):
    return {"value": value, "unit": unit, **doubt}


SNUG = amount("30", "N·m")
ANGLE = amount("90", "deg")


def ask(shop, name, **body):
    answer = shop.call("POST", f"/calculations/{name}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_fastener_written_as_people_write_it(shop):
    answer = shop.call("GET", "/fasteners", params={"designation": "M8x1.25x40 8.8"})
    assert answer.status_code == 200, answer.text
    found = answer.json()
    assert found["designation"] == "M8x1.25x40 8.8"
    assert found["thread"]["designation"] == "M8x1.25"
    assert found["thread"]["hand"] == "right"
    assert float(found["thread"]["stress_area"]["value"]) == pytest.approx(36.6, abs=0.05)
    assert float(found["length"]["value"]) == 40
    assert float(found["proof_load"]["value"]) == pytest.approx(21_230, abs=5)
    assert float(found["tensile_load"]["value"]) == pytest.approx(29_290, abs=5)
    first = found["tightening"][0]
    assert first["condition"] == "unknown"
    assert (float(first["friction"]), float(first["friction_highest"])) == (0.08, 0.24)
    assert first["torque_as_read"] == {"metric": "17.4 N·m", "customary": "12.8 ft-lb"}
    assert float(first["preload"]["value"]) < 7_000 < 19_000 < float(first["preload_most"]["value"])
    assert max(float(one["torque"]["value"]) for one in found["tightening"]) < 21
    assert float(found["tap_drill"]["value"]) == 6.8
    assert found["cautions"]


def test_an_unmarked_screw_a_pipe_thread_and_a_nut_are_looked_up_too(shop):
    for text, counted in (("M10", "4.6"), ("G 1/4", None), ("M8 nut 8", None)):
        found = shop.call("GET", "/fasteners", params={"designation": text}).json()
        assert found["counted_class"] == counted
        assert found["is_class_assumed"] is (counted is not None)


def test_a_torque_names_what_governs_and_what_was_not_checked(shop):
    answer = ask(shop, "torque", designation="M8 8.8", lubrication="oiled")
    assert answer["governed_by"] == "screw"
    assert answer["is_whole"] is False
    assert float(answer["torque"]["value"]) < float(answer["ceiling"]["value"])
    assert float(answer["preload"]["least"]["value"]) < float(answer["preload"]["most"]["value"])
    unchecked = [check for check in answer["checks"] if not check["is_checked"]]
    assert {check["part"] for check in unchecked} > {"hole thread", "nut", "head seat"}
    with_nut = ask(shop, "torque", designation="M8 12.9", nut_class="5", head_seat_material="C45")
    assert with_nut["governed_by"] in {"nut", "head seat"}
    assert with_nut["is_whole"] is True


def test_angle_and_engagement(shop):
    angle = ask(
        shop,
        "tightening-angle",
        designation="M10x1.5 10.9",
        snug_torque=SNUG,
        angle=ANGLE,
        clamp_length=amount("50"),
    )
    assert float(angle["travel"]["value"]) == 0.375
    depth = ask(shop, "thread-engagement", designation="M8 8.8", hole_material="S355")
    assert depth["hole_strip_load"] is None
    assert 8 < float(depth["engagement_for_full_strength"]["value"]) < 20


SCREW = {"designation": "M8 8.8"}
HOLE = {**SCREW, "hole_material": "S355"}
WRENCH = {"target": SNUG, "wrench_length": amount("300"), "adapter_length": amount("25")}
DRY = {"torque": SNUG, "own_condition": "dry"}
UPSIDE_DOWN = {"designation": "M8", "torque": SNUG, "highest_torque": amount("1", "N·m")}
REFUSED = {
    "torque": [
        ({**SCREW, "lubrication": "butter"}, "/lubrication"),
        ({"designation": "3/8"}, "/designation"),
        ({"designation": "M8 nut 8"}, "/designation"),
        ({"designation": "G 1/4"}, "/designation"),
        ({"designation": "M42 8.8"}, "/designation"),
        ({"designation": "M8 8.8" + "x" * 150}, "/designation"),
        ({**SCREW, "engagement": amount("9")}, "/hole_material"),
        (HOLE, "/engagement"),
        ({**HOLE, "hole_material": "cheese", "engagement": amount("9")}, "/hole_material"),
        ({**HOLE, "engagement": amount("1")}, "/engagement"),
        ({**HOLE, "engagement": amount("-9")}, "/engagement"),
        ({**HOLE, "engagement": amount("9", "N")}, "/engagement/unit"),
        ({**SCREW, "chamfer": amount("1")}, "/engagement"),
        ({**SCREW, "nut_is_older": True}, "/nut_class"),
        ({**HOLE, "engagement": amount("9", plus_minus="1")}, "/engagement/plus_minus"),
        ({**HOLE, "engagement": amount("9"), "chamfer": amount("-1")}, "/chamfer"),
        ({**HOLE, "engagement": amount("9"), "nut_class": "8"}, "/nut_class"),
        ({**SCREW, "friction": {"lowest": "0.2", "highest": "0.1"}}, "/friction/lowest"),
        ({**SCREW, "friction": {"lowest": "0", "highest": "0.1"}}, "/friction/lowest"),
        (
            {**SCREW, "lubrication": "dry", "friction": {"lowest": "0.1", "highest": "0.2"}},
            "/lubrication",
        ),
        ({**SCREW, "nut_class": "77"}, "/nut_class"),
        ({**SCREW, "replaces": "M10 8.8"}, "/replaces"),
        ({**SCREW, "stated_torque": amount("0", "N·m")}, "/stated_torque"),
        ({**SCREW, "tightening_factor": "9"}, "/tightening_factor"),
        ({**SCREW, "tightening_factor": "1e400"}, "/tightening_factor"),
        ({**SCREW, "bearing_face": {"outside": amount("4")}}, "/bearing_face"),
    ],
    "tightening-angle": [
        ({**SCREW, "snug_torque": SNUG, "angle": ANGLE}, "/clamp_length"),
        (
            {
                **SCREW,
                "snug_torque": SNUG,
                "angle": amount("999", "deg"),
                "clamp_length": amount("50"),
            },
            "/angle",
        ),
    ],
    "thread-engagement": [(SCREW, "/hole_material")],
    "wrench-setting": [
        (WRENCH, "/position"),
        ({**WRENCH, "position": "in line", "angle": ANGLE}, "/position"),
        ({**WRENCH, "wrench_length": amount("30"), "position": "backwards"}, "/adapter_length"),
        ({**WRENCH, "wrench_length": amount("0"), "position": "in line"}, "/wrench_length"),
    ],
    "torque-chart": [
        ({}, "/torque"),
        (DRY, "/chart_condition"),
        ({"rows": [{"designation": "M8", "torque": SNUG}], "own_condition": "dry"}, "/torque"),
        ({**DRY, "chart_condition": "dry", "lubricated_share": "0.1"}, "/lubricated_share"),
        ({"rows": [{"designation": "M8 8.9", "torque": SNUG}]}, "/rows/0/designation"),
        ({"rows": [UPSIDE_DOWN]}, "/rows/0/highest_torque"),
        ({"rows": [{"designation": "G 1/4", "torque": SNUG}]}, "/rows/0/designation"),
    ],
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_answered_is_refused_at_its_member(shop, name):
    for body, pointer in REFUSED[name]:
        answer = shop.call("POST", f"/calculations/{name}", json=body)
        assert answer.status_code == 422, (body, answer.text)
        assert error_of(answer, pointer)["fix"]


def test_the_longest_and_the_largest_are_answered_or_refused(shop):
    huge = amount("999999999999999", "m")
    for body in (
        {"designation": "M8", "hole_material": "S355", "engagement": huge},
        {"designation": "M8", "stated_torque": amount("999999999999999", "N·m")},
        {"designation": "M8", "stated_torque": amount("0.000001", "N·m")},
        {"designation": "🔩" * 10},
    ):
        answer = shop.call("POST", "/calculations/torque", json=body)
        assert answer.status_code in {200, 422}, answer.text
