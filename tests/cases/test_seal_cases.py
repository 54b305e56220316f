"""Situations from the trade: worn seal tracks, O-rings cut from cord, seals with arrows.

Sources: public: hole-digger service manual, newspaper motoring column, small-engine forum;
public: O-ring sellers' design pages; public: motorcycle rebuilder's page. Some figures are filled
in on the source's rule.
"""

import pytest

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
DEPTH = {"value": "0.077", "unit": "in"}


def ask(client, headers, name, body):
    answer = client.post(f"/v1/calculations/{name}", json=body, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def mm(value, **doubt):
    return {"value": value, "unit": "mm", **doubt}


def test_a_worn_seal_track_is_held_against_the_limit_in_its_own_unit(client, headers):
    """0.15 mm against a limit printed as 0.010 inch (0.25 mm): the shaft may stay."""
    printed = client.get(
        "/v1/quantities", params={"text": "0.010 inch (0.25 mm)"}, headers=headers
    ).json()
    assert float(printed["value"]["value"]) == pytest.approx(0.254)
    assert not printed["needs_checking"]
    body = {"measured": mm("0.15", plus_minus="0.02")}
    judged = ask(
        client, headers, "conformity", {**body, "upper_limit": {"value": "0.010", "unit": "in"}}
    )
    assert judged["verdict"] == "conforming"
    assert float(judged["measured"]["value"]) / 25.4 == pytest.approx(0.0059, abs=5e-5)
    # Bare figures side by side would have condemned it.
    naive = ask(client, headers, "conformity", {**body, "upper_limit": mm("0.010")})
    assert naive["verdict"] == "nonconforming"


@pytest.mark.parametrize(
    ("cord", "squeeze", "verdict"),
    [("2.62", 25.4, "fits"), ("2.5", 21.8, "marginal"), ("2.4", 18.5, "does not fit")],
)
def test_a_cord_other_than_the_one_cut_for_is_judged_by_its_squeeze(
    client, headers, cord, squeeze, verdict
):
    """A static groove 0.077 in deep cut for 2.62 mm."""
    answer = ask(
        client,
        headers,
        "o-ring-groove",
        {
            "cord": mm(cord, plus_minus="0.08"),
            "groove_depth": DEPTH,
            "squeeze_least_percent": "20",
            "squeeze_most_percent": "30",
        },
    )
    assert float(answer["squeeze"]["nominal_percent"]) == pytest.approx(squeeze, abs=0.05)
    assert answer["verdict"] == verdict
    if cord == "2.5":
        assert float(answer["squeeze"]["least_percent"]) == pytest.approx(19.2, abs=0.05)


@pytest.mark.parametrize(
    ("inside", "stretch", "verdict"), [("24.99", 4.0, "fits"), ("24.0", 8.3, "does not fit")]
)
def test_a_ring_stretched_too_far_does_not_fit(client, headers, inside, stretch, verdict):
    """A groove of 26.0 mm, stretch 1 to 5 %."""
    answer = ask(
        client,
        headers,
        "o-ring-groove",
        {
            "cord": mm("2.62"),
            "groove_depth": DEPTH,
            "groove_diameter": mm("26.0"),
            "ring_inside": mm(inside),
            "stretch_least_percent": "1",
            "stretch_most_percent": "5",
        },
    )
    assert float(answer["stretch"]["nominal_percent"]) == pytest.approx(stretch, abs=0.06)
    assert answer["stretch"]["verdict"] == answer["verdict"] == verdict


def test_an_arrow_on_a_seal_is_no_matter_of_size(client, headers):
    """Equal sizes; what the arrow means is said, its absence is not taken for agreement."""
    parts = []
    for text in ("20x35x7 arrow", "20x35x7"):
        answer = client.get("/v1/designations", params={"text": text}, headers=headers)
        assert answer.status_code == 200, answer.text
        (part,) = answer.json()["items"]
        parts.append(part)
    original, offered = parts
    assert original["sizes"] == offered["sizes"]
    assert original["canonical"] != offered["canonical"]
    assert any("opposite hands" in note for note in original["notes"])
