"""GET /v1/fasteners/look-alikes and POST /v1/calculations/thread-pair."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
PATH = "/fasteners/look-alikes"
PAIR = "/calculations/thread-pair"


def listed(shop, **query):
    answer = shop.call("GET", PATH, params=query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def turned(shop, screw, hole, **more):
    answer = shop.call("POST", PAIR, json={"screw": screw, "hole": hole, **more})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_dangerous_look_alikes_come_first(shop):
    answer = listed(shop, thread="M8 x 1,25")
    assert (answer["thread"], answer["hand"], answer["engagement"]) == ("M8x1.25", "right", None)
    outcomes = [item["outcome"] for item in answer["items"]]
    assert outcomes[0] == "runs fully, holds poorly"
    assert outcomes == sorted(outcomes, reverse=True)
    assert answer["cautions"]


def test_an_item_says_all_about_its_pair(shop):
    items = listed(shop, thread="M8x1.25", engagement="6")["items"]
    (item,) = [one for one in items if (one["screw"], one["hole"]) == ("5/16-18 UNC", "M8x1.25")]
    assert item["pitch_error"] == {"value": "0.161111111", "unit": "mm"}
    assert item["pitch_error_percent"] == "12.8888889"
    assert item["diameter_error"] == {"value": "-0.0625000000", "unit": "mm"}
    assert item["turns_available"] == "4.80000000"
    assert float(item["turns_least"]) < 1 < float(item["turns_most"]) < 2.5
    assert (item["starts"], item["stopped_by"]) == ("always", "pitch")
    assert item["is_one_way"] is True
    assert "ruins both" in item["note"]
    assert len(item["tell_apart"]) >= 2


def test_an_engagement_is_read_as_the_trade_writes_it(shop):
    in_mm = listed(shop, thread="M8x1.25", engagement="11.1125 mm")
    for text in ({"engagement": "7/16 in"}, {"engagement": "7/16", "unit": "in"}):
        assert listed(shop, thread="M8x1.25", **text) == in_mm
    bare = shop.call("GET", PATH, params={"thread": "M8", "engagement": "7/16"})
    assert error_of(bare, "/engagement")["readings"] == ["7/16 in", "7/16 mm"]


def test_left_hand_look_alikes_are_left_hand(shop):
    answer = listed(shop, thread="M8x1-LH")
    assert answer["hand"] == "left"
    assert "left-hand" in answer["cautions"][0]


@pytest.mark.parametrize(
    ("query", "pointer", "code"),
    [
        ({"thread": "1/4-20"}, "/thread", "ambiguous"),
        ({"thread": "M8x1.3"}, "/thread", None),
        ({"thread": "a" * 5_000}, "/thread", None),
        ({"thread": "M8", "engagement": "NaN"}, "/engagement", None),
        ({"thread": "M8", "engagement": "1e400"}, "/engagement", None),
        ({"thread": "M8", "engagement": "1-2 mm"}, "/engagement", None),
        ({"thread": "M8", "engagement": "0"}, "/engagement", None),
        ({"thread": "M8", "engagement": "-6 mm"}, "/engagement", None),
        ({"thread": "M8", "engagement": "3/8"}, "/engagement", "ambiguous"),
        ({"thread": "M8", "engagement": "6 N·m"}, "/engagement", "unit-wrong-dimension"),
        ({"thread": "M8", "engagement": "6" * 200}, "/engagement", None),
        ({"thread": "M8", "engagement": "6", "unit": "kg"}, "/unit", "unit-unknown"),
    ],
    ids=range(12),
)
def test_what_cannot_be_read_is_refused_naming_it(shop, query, pointer, code):
    answer = shop.call("GET", PATH, params=query)
    error = error_of(answer, pointer)
    assert code is None or error["code"] == code


def test_a_pair_fits_only_if_it_is_the_holes_own_thread(shop):
    assert turned(shop, "M8", "8x1.25")["fits"] is True
    for screw, hole in (("10-32 UNF", "M5"), ("1/4 BSW", "1/4-20 UNC"), ("M6", "M8"), ("M8", "M6")):
        assert turned(shop, screw, hole)["fits"] is False
    below_basic = turned(shop, "G 1/2", "Rp 1/2")  # Rp holes may be made 0.142 mm under size
    assert below_basic["fits"] is False
    assert below_basic["pair"]["starts"] == "at the tolerance limits"


def test_threads_of_opposite_hand_do_not_go_together(shop):
    answer = turned(shop, "M8", "M8-LH")
    assert answer["fits"] is False
    assert (answer["pair"]["outcome"], answer["pair"]["stopped_by"]) == ("blocked", "hand")
    assert "helix" in answer["pair"]["note"]


def test_a_pair_has_its_engagement_in_any_unit_of_length(shop):
    inch = turned(shop, "1/4-20 UNC", "1/4-20 UNC", engagement={"value": "0.4375", "unit": "in"})
    assert float(inch["pair"]["turns_available"]) == pytest.approx(8.75)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"screw": "1/8 pipe", "hole": "M8"}, "/screw"),
        ({"screw": "M8", "hole": "3/8"}, "/hole"),
        ({"screw": "Rc 1/8", "hole": "G 1/8"}, "/screw"),
        ({"screw": "G 1/8", "hole": "R 1/8"}, "/hole"),
        ({"screw": "M8", "hole": "M8", "engagement": {"value": "0", "unit": "mm"}}, "/engagement"),
        (
            {"screw": "M8", "hole": "M8", "engagement": {"value": "6", "unit": "N"}},
            "/engagement/unit",
        ),
    ],
    ids=str,
)
def test_a_pair_that_cannot_be_told_is_refused(shop, body, pointer):
    answer = shop.call("POST", PAIR, json=body)
    error_of(answer, pointer)
