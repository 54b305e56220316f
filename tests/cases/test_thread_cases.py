"""Situations from the trade: threads taken for others, asked over HTTP.

Sources: public: owners' forums, a boat forum, machinists' forums, boat-engine forums, a restorer's
note, an encyclopaedia entry, an owners' club forum. In some the figures are filled in on the
source's rule.
"""

import pytest

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(client, headers, path, **query):
    answer = client.get(f"/v1{path}", params=query, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def turn(client, headers, screw, hole, **more):
    body = {"screw": screw, "hole": hole, **more}
    answer = client.post("/v1/calculations/thread-pair", json=body, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def mm(value):
    return {"value": value, "unit": "mm"}


def test_a_5_16_screw_does_not_clean_up_an_m8_pusher_hole(client, headers):
    answer = turn(client, headers, "5/16-18 UNC", "M8x1.25", engagement=mm("6.0"))
    pair = answer["pair"]
    assert answer["fits"] is False
    assert pair["outcome"] == "binds"
    assert float(pair["pitch_error"]["value"]) == pytest.approx(0.1611, abs=5e-5)
    assert float(pair["turns_to_half_pitch"]) == pytest.approx(3.88, abs=0.005)
    assert float(pair["diameter_error"]["value"]) == pytest.approx(-0.0625)
    assert float(pair["turns_available"]) == pytest.approx(4.8)
    assert float(pair["turns_most"]) < 4
    for word in ("tap of its own thread", "insert", "larger size"):
        assert word in pair["note"]


def test_a_1_8_american_taper_is_not_a_1_8_british_one(client, headers):
    answer = turn(client, headers, "1/8 NPT", "Rc 1/8")
    pair = answer["pair"]
    assert answer["fits"] is False
    assert (pair["starts"], pair["outcome"]) == ("at the tolerance limits", "binds")
    assert (pair["turns_least"], pair["turns_most"]) == (None, None)
    assert 6 * float(pair["pitch_error"]["value"]) == pytest.approx(0.202, abs=0.0005)
    assert "leaks" in pair["note"]
    assert any("55°" in how for how in pair["tell_apart"])
    assert turn(client, headers, "R 1/8", "Rc 1/8")["fits"] is True
    # To be ruled out besides: a metric port of a like size.
    metric = turn(client, headers, "R 1/8", "M10x1")
    assert metric["fits"] is False
    names = {
        item["hole"]
        for item in ask(client, headers, "/fasteners/look-alikes", thread="R 1/8")["items"]
    }
    assert "M10x1" in names


def test_1_8_pipe_is_several_threads(client, headers):
    answer = client.get("/v1/fasteners/look-alikes", params={"thread": "1/8 pipe"}, headers=headers)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["code"] == "ambiguous"
    readings = " ".join(error["readings"])
    for name in ("G 1/8", "R 1/8", "1/8-27 NPT"):
        assert name in readings


@pytest.mark.parametrize("size", ["1/4-20", "5/16-18", "3/8-16"])
def test_whitworth_and_unified_coarse_run_but_are_not_mixed_under_load(client, headers, size):
    for screw, hole in ((f"{size} BSW", f"{size} UNC"), (f"{size} UNC", f"{size} BSW")):
        answer = turn(client, headers, screw, hole)
        pair = answer["pair"]
        assert answer["fits"] is False
        assert (pair["outcome"], pair["stopped_by"]) == ("runs fully, holds poorly", "nothing")
        assert "do not mix them under load" in pair["note"]
        assert abs(float(pair["flank_angle_error"]["value"])) == 5
        assert float(pair["pitch_error"]["value"]) == 0


def test_the_half_inch_is_the_exception(client, headers):
    pair = turn(client, headers, "1/2 BSW", "1/2-13 UNC")["pair"]
    assert pair["outcome"] == "binds"
    assert float(pair["pitch_error"]["value"]) == pytest.approx(0.1628, abs=5e-5)


def test_a_bolt_of_6_30_mm_is_no_m6_though_the_1_mm_leaf_nearly_fits(client, headers):
    query = {"major": "6.30", "pitch": "1.0", "plus_minus": "0.02", "state": "used"}
    answer = ask(client, headers, "/identifications/threads", **query)
    found = {item["designation"]: item for item in answer["items"]}
    assert {"1/4-26 BSC", "1/4-26 BSF"} == set(list(found)[:2])
    assert "M6x1" not in found or float(found["M6x1"]["probability"]) < 1e-6
    both = sum(float(found[name]["probability"]) for name in ("1/4-26 BSC", "1/4-26 BSF"))
    assert both > 0.5
    sizes = found["1/4-26 BSC"]["sizes"]
    assert float(sizes["pitch"]["value"]) == pytest.approx(0.9769, abs=5e-5)
    assert float(sizes["major"]["value"]) == 6.35
    assert any("1/4-26 BSF (Whitworth)" in note for note in found["1/4-26 BSC"]["notes"])


def test_the_two_quarter_inch_26_go_together_and_5_16_with_m8x1_one_way_only(client, headers):
    for screw, hole in (("1/4 BSF", "1/4-26 BSC"), ("1/4-26 BSC", "1/4 BSF")):
        pair = turn(client, headers, screw, hole)["pair"]
        assert (pair["starts"] != "never", float(pair["pitch_error"]["value"])) == (True, 0)
        assert pair["turns_most"] is None
    there = turn(client, headers, "M8x1", "5/16-26 BSC")["pair"]
    back = turn(client, headers, "5/16-26 BSC", "M8x1")["pair"]
    assert (there["outcome"], there["is_one_way"]) == ("runs fully, holds poorly", True)
    assert back["outcome"] == "binds"
    assert abs(float(there["pitch_error_percent"])) == pytest.approx(2.3, abs=0.07)


def test_puller_holes_of_1_4_20_are_not_tapped_larger(client, headers):
    asked = client.post(
        "/v1/calculations/thread-pair",
        json={"screw": "1/4-20", "hole": "1/4-20 UNC"},
        headers=headers,
    )
    assert asked.json()["errors"][0]["code"] == "ambiguous"
    engagement = {"value": "0.4375", "unit": "in"}
    own = turn(client, headers, "1/4-20 UNC", "1/4-20 UNC", engagement=engagement)
    assert own["fits"] is True
    assert float(own["pair"]["turns_available"]) == pytest.approx(8.75)
    # What is bolted there beside the puller no longer holds in a larger thread.
    larger = turn(client, headers, "1/4-20 UNC", "5/16-18 UNC", engagement=engagement)
    assert larger["fits"] is False
    assert larger["pair"]["outcome"] == "slips through"


def test_the_hand_of_a_thread_is_never_taken_for_granted(client, headers):
    right = ask(client, headers, "/fasteners/look-alikes", thread="M35x1.5")
    assert right["hand"] == "right"
    assert any("helix" in caution for caution in right["cautions"])
    pair = turn(client, headers, "M35x1.5", "M35x1.5-LH")["pair"]
    assert (pair["outcome"], pair["stopped_by"]) == ("blocked", "hand")
    answer = ask(client, headers, "/identifications/threads", major="34.9", pitch="1.5")
    assert any("helix" in advice for advice in answer["advice"])
