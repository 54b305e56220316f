"""Situations from the trade: bearings, asked over HTTP.

Sources: public: a garden-tractor collectors' forum, an oil and garage forum, makers' and learners'
pages on bearing numbers, a workshop owner's rebuild page, an owners' forum archive. What inch
sizes and suffixes mean is partly from memory.
"""

import pytest

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def ask(client, headers, path, **query):
    answer = client.get(f"/v1{path}", params=query, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def compare(client, headers, wanted, offered, **more):
    return ask(client, headers, "/designations/comparisons", wanted=wanted, offered=offered, **more)


def said(notes):
    return " ".join(notes)


def test_a_stamp_of_17_mm_on_a_bore_of_three_quarters_of_an_inch(client, headers):
    answer = ask(
        client, headers, "/identifications/ball-bearings", stamped="6203UL", bore="0.75", unit="in"
    )
    advice = said(answer["advice"])
    assert "Stamp and bore contradict: 6203 is 17 x 40 x 12 mm" in advice
    assert "(2.050 mm apart)" in advice
    assert "Measure the outside diameter and width before ordering" in advice
    assert "0.75 in (19.05 mm) x 40 x 12 mm" in advice
    assert "1630 (19.05 x 41.275 x 12.7 mm) only if" in advice
    assert "differs by 1.275 mm" in advice
    assert not any(item["designation"].startswith("6203") for item in answer["items"])


def test_6203_with_an_outer_ring_slot_against_a_sealed_one(client, headers):
    answer = compare(client, headers, "6203N1", "6203-2RS")
    assert answer["outcome"] == "on condition"
    assert answer["gained"] == ["two contact seals"]
    assert said(answer["lost"]).startswith("outer-ring feature")
    assert "only if the outer-ring feature" in said(answer["conditions"])
    assert "lives on its own grease" in said(answer["conditions"])


@pytest.mark.parametrize(
    ("number", "bore"),
    [
        ("6200", 10), ("6201", 12), ("6202", 15), ("6203", 17), ("6204", 20), ("6222", 110),
        ("62/22", 22), ("62/28", 28), ("63/32", 32),
    ],
)  # fmt: skip
def test_the_bore_of_a_number_keeps_its_slash(client, headers, number, bore):
    (item,) = ask(client, headers, "/designations", text=number)["items"]
    assert float(item["sizes"]["bore"]["value"]) == bore
    assert item["sizes"]["bore"]["unit"] == "mm"
    assert item["canonical"] == number


def test_equal_sizes_with_another_cover_are_not_one_item(client, headers):
    """The sizes found are of no listed bearing; the variants are compared on a listed one."""
    found = ask(client, headers, "/identifications/ball-bearings", outside="62", width="19")
    assert float(found["none_of_these"]) > 0.9
    answer = compare(client, headers, "6206-2Z", "6206-RS")
    assert answer["outcome"] == "no"
    answer = compare(client, headers, "6206-Z", "6206-RS")
    assert answer["outcome"] == "on condition"
    assert "necessary, not sufficient" in said(answer["conditions"])
    assert "bearing and cover of one variant" in said(answer["conditions"])


def test_a_taper_roller_by_its_list_and_a_ball_bearing_by_its_number(client, headers):
    found = ask(
        client,
        headers,
        "/identifications/ball-bearings",
        stamped="306SZZG",
        described="taper roller bearing",
        bore="25",
        outside="62",
        width="17",
    )
    assert found["items"][0]["designation"] == "6305"
    advice = said(found["advice"])
    assert "the type conflicts" in advice
    assert "pushes along its axis" in advice
    assert "Stamp and bore contradict: 6306 is 30 x 72 x 19 mm" in advice
    assert "old form" in advice
    old = ask(client, headers, "/designations", text="305")["items"][0]
    assert old["canonical"] == "6305"
    answer = compare(client, headers, "305", "6305-2Z", described="taper roller bearing")
    assert answer["outcome"] == "cannot be told"
    assert "Stop" in said(answer["conflicts"])
