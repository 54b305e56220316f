"""GET /v1/units/{id}/wear-trends."""

import pytest

from tests.api.bodies import assembly, error_of, finding, mm


@pytest.fixture
def seat(shop):
    """A unit with a bore to be watched, in a shop without settings."""
    assembly_id = shop.make("/assemblies", assembly())
    position_id = shop.make("/positions", {"assembly_id": assembly_id, "name": "Housing"})
    seat_id = shop.make(
        "/characteristics",
        {
            "position_id": position_id,
            "name": "bearing seat",
            "new_lower": mm("35.000"),
            "new_upper": mm("35.008"),
            "service_upper": mm("35.030"),
        },
    )
    unit = {"assembly_id": assembly_id, "kind": "customer", "upper_hours": "4200"}
    unit["lower_hours"] = "4100"
    return shop.make("/units", unit), position_id, seat_id


def measure(shop, seat, hours, size, **more):
    more.setdefault("found_at", "2025-01-04T09:15:00Z")
    body = finding(*seat, measured=mm(size, standard_uncertainty="0.002"), unit_hours=hours, **more)
    return shop.make("/findings", body)


def test_a_units_findings_over_its_hours_are_its_wear(shop, seat):
    measure(shop, seat, "2000", "35.010", found_at="2023-01-04T09:15:00Z")
    slip = measure(shop, seat, "4000", "35.081")
    measure(shop, seat, "4000", "35.018", supersedes_id=slip)
    answer = shop.call("GET", f"/units/{seat[0]}/wear-trends")
    assert answer.status_code == 200, answer.text
    found = answer.json()
    assert float(found["hours_now"]) == 4200
    (one,) = found["items"]
    assert (one["position_name"], one["characteristic_name"]) == ("Housing", "bearing seat")
    assert [float(point["hours"]) for point in one["points"]] == [0, 2000, 4000]
    assert (one["wears_towards"], one["has_trend"]) == ("upper", True)
    # 0.012 mm at 0.004 mm in 1000 h, less the 200 h run since.
    assert float(one["hours_to_limit"]["estimate"]) == pytest.approx(2800, abs=0.01)
    surer = shop.call("GET", f"/units/{seat[0]}/wear-trends", params={"confidence": "0.9"}).json()
    lower = [float(each["items"][0]["hours_to_limit"]["lower"]) for each in (found, surer)]
    assert lower[0] < lower[1]


def test_a_unit_without_hours_has_no_items_and_an_unknown_one_is_not_found(shop, seat):
    shop.make("/findings", finding(*seat, found_at="2025-01-04T09:15:00Z"))
    found = shop.call("GET", f"/units/{seat[0]}/wear-trends").json()
    assert found["items"] == []
    assert shop.call("GET", "/units/unt_none/wear-trends").status_code == 404
    refused = shop.call("GET", f"/units/{seat[0]}/wear-trends", params={"confidence": "0.4"})
    assert refused.status_code == 422
    assert error_of(refused, "/confidence")
