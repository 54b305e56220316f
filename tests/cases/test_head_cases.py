"""A situation from the trade, over HTTP: reading the pitch off the bolt's head.

Source: a public motorcycle forum's table of heads and pitches, Japanese beside international bolts.
The table's international M12 is the vehicles' fine pitch; coarse M12 has the same head.
"""

import pytest

PATH = "/v1/identifications/hexagon-heads"


def ask(client, headers, **query):
    answer = client.get(PATH, params=query, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_head_tells_the_pitch_where_it_does_and_nowhere_else(client, headers):
    asked = [(10, 14), (10, 16), (12, 17), (8, 12), (8, 13), (6, 10), (14, 19)]
    told = {}
    for major, flats in asked:
        answer = ask(client, headers, across_flats=str(flats), major=str(major))
        assert {item["size"] for item in answer["items"]} == {f"M{major}"}
        told[major, flats] = float(answer["pitch"]["value"])
        assert "pitch gauge" in answer["advice"][0]
    assert told == {
        (10, 14): 1.25,
        (10, 16): 1.5,
        (12, 17): 1.25,
        (8, 12): 1.25,
        (8, 13): 1.25,
        (6, 10): 1.0,
        (14, 19): 1.5,
    }


def test_m10_with_17_is_measured_not_guessed(client, headers):
    answer = ask(client, headers, across_flats="17", major="10")
    assert answer["pitch"] is None
    assert "measure it, do not guess" in answer["advice"][0]
    (item,) = answer["items"]
    assert (item["kind"], item["usual_pitches"]) == ("hexagon, older flats", [])


@pytest.mark.parametrize(("major", "flats", "pitch"), [(12, 18, 1.5), (14, 21, 1.5)])
def test_an_international_head_may_be_coarse_or_the_vehicles_fine(
    client, headers, major, flats, pitch
):
    answer = ask(client, headers, across_flats=str(flats), major=str(major))
    assert answer["pitch"] is None
    (item,) = answer["items"]
    assert pitch in [float(one["value"]) for one in item["usual_pitches"]]


def test_without_the_diameter_14_mm_may_be_an_inch_head_too(client, headers):
    answer = ask(client, headers, across_flats="14")
    assert [item["size"] for item in answer["items"]] == ["M10", "3/8"]
    assert answer["pitch"] is None
    for flats, sizes in (("8", {"M5", "M6"}), ("10", {"M6", "M8"}), ("27", {"M18", "M16"})):
        answer = ask(client, headers, across_flats=flats)  # heads with a flange, structural ones
        assert sizes <= {item["size"] for item in answer["items"]}
        assert answer["pitch"] is None
        assert any("outside diameter too" in one for one in answer["advice"])


@pytest.mark.parametrize("flats", ["12.57", "12.7"])
def test_a_rough_or_worn_head_does_not_pass_for_the_inch_size_below_alone(client, headers, flats):
    answer = ask(client, headers, across_flats=flats, major="7.9")
    assert {item["size"] for item in answer["items"]} == {"M8", "5/16"}


def test_a_width_of_no_standard_is_sent_to_the_gauge(client, headers):
    answer = ask(client, headers, across_flats="11.5", major="10")
    assert answer["items"] == []
    assert "Not in this table" in answer["advice"][0]
