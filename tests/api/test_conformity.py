"""POST /v1/calculations/conformity."""

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
PATH = "/calculations/conformity"


def size(value, unit="mm", **doubt):
    return {"value": value, "unit": unit, **doubt}


JOURNAL = size("51.962", standard_uncertainty="0.004")


def judge(shop, **body):
    answer = shop.call("POST", PATH, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_reading_well_inside_its_limits_conforms(shop):
    answer = judge(shop, measured=JOURNAL, lower_limit=size("51.950"), upper_limit=size("52.000"))
    assert answer["verdict"] == "conforming"
    assert answer["probability"] == "0.998650102"
    assert answer["rule"] == "iso-14253-1"
    assert answer["guard_band"] == {"value": "0.00657941451", "unit": "mm"}
    assert answer["acceptance_limits"]["lower"] == {"value": "51.9565794", "unit": "mm"}


def test_a_reading_in_inches_is_held_against_a_limit_in_millimetres(shop):
    answer = judge(
        shop, measured=size("0.008", "in", plus_minus="0.0005"), upper_limit=size("0.20")
    )
    assert (answer["verdict"], answer["distribution"]) == ("indeterminate", "rectangular")
    assert float(answer["probability"]) == pytest.approx(0.0095 / 0.0254, abs=1e-6)
    assert answer["is_within_limits"] is False


def test_an_expanded_uncertainty_is_halved_unless_a_factor_is_given(shop):
    for doubt in (
        {"expanded_uncertainty": "0.008"},
        {"expanded_uncertainty": "0.012", "coverage_factor": "3"},
    ):
        answer = judge(shop, measured=size("51.962", **doubt), lower_limit=size("51.950"))
        assert answer["probability"] == "0.998650102"


def test_a_gauge_too_coarse_for_the_limits_has_no_guard_band(shop):
    answer = judge(
        shop,
        measured=size("10", standard_uncertainty="0.02"),
        lower_limit=size("9.99"),
        upper_limit=size("10.01"),
    )
    assert answer["verdict"] == "indeterminate"
    assert answer["guard_band"] is None
    assert answer["acceptance_limits"] is None


def test_the_asked_probability_and_rule_decide(shop):
    near = {"measured": size("51.952", standard_uncertainty="0.004")}
    near["lower_limit"] = size("51.950")
    assert judge(shop, **near)["verdict"] == "indeterminate"
    assert judge(shop, **near, acceptance_probability="0.6")["verdict"] == "conforming"
    simple = judge(shop, **near, rule="simple-acceptance")
    assert (simple["verdict"], simple["rule"]) == ("conforming", "simple-acceptance")
    assert float(simple["probability"]) == pytest.approx(0.691462, abs=1e-6)


def test_a_temperature_in_fahrenheit_keeps_its_doubt_as_a_difference(shop):
    answer = judge(
        shop,
        measured=size("98", "°F", standard_uncertainty="0.9"),
        upper_limit=size("40", "°C"),
    )
    assert answer["standard_uncertainty"] == {"value": "0.500000000", "unit": "K"}


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"measured": size("51.962")}, "/measured", "uncertainty-missing"),
        ({"measured": None}, "/measured", "measured-missing"),
        ({"at_most": size("52")}, "/measured", "measured-twice"),
        ({"new_lower": size("52"), "new_upper": size("51")}, "/new_upper", "limits-upside-down"),
        ({"measured": size("52"), "gauge_kind": "a ruler"}, "/gauge_kind", "gauge-kind-unknown"),
        ({"common_uncertainty": size("1", "h")}, "/common_uncertainty/unit", None),
        ({"common_uncertainty": size("0")}, "/common_uncertainty/value", "out-of-range"),
        (
            {"measured": None, "at_least": size("52"), "at_most": size("51")},
            "/at_most",
            "interval-upside-down",
        ),
        (
            {"measured": None, "readings": [{"size": size("51", "h", plus_minus="1")}]},
            "/lower_limit/unit",
            None,
        ),
        ({"measured": None, "readings": [{"size": size("51.9")}]}, "/readings/0/size", None),
        ({"lower_limit": size("51", "N·m")}, "/lower_limit/unit", "unit-wrong-dimension"),
        ({"lower_limit": size("51", "mmm")}, "/lower_limit/unit", "unit-unknown"),
        ({"upper_limit": size("51.9")}, "/upper_limit", "limits-upside-down"),
        ({"upper_limit": size("52", plus_minus="1")}, "/upper_limit/plus_minus", None),
        ({"acceptance_probability": "1"}, "/acceptance_probability", "out-of-range"),
        ({"acceptance_probability": "0.3"}, "/acceptance_probability", "out-of-range"),
        ({"acceptance_probability": 0.95}, "/acceptance_probability", "decimal-format"),
        ({"measured": size("NaN", plus_minus="1")}, "/measured/value", "decimal-format"),
        ({"measured": size("1", plus_minus="-1")}, "/measured/plus_minus", "out-of-range"),
        ({"measured": size("1", plus_minus="1", standard_uncertainty="1")}, None, None),
        ({"rule": "as-you-like"}, "/rule", None),
        ({"nominal": size("52")}, "/nominal", None),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused_at_its_member(shop, change, pointer, code):
    body = {"measured": JOURNAL, "lower_limit": size("51.950"), **change}
    answer = shop.call("POST", PATH, json=body)
    assert answer.status_code == 422, answer.text
    if pointer is not None:
        error = error_of(answer, pointer)
        assert code in {None, error["code"]}


# --- what more may be asked ----------------------------------------------------------------------


def test_without_a_limit_nothing_is_decided_and_none_is_invented(shop):
    """Public: tractor forum thread. More than 1/8 in on one side, 1/16 either way on the other."""
    right = judge(shop, at_least=size("0.125", "in"))
    assert (right["verdict"], right["zone"]) == ("indeterminate", "no-limit")
    assert (right["probability"], right["guard_band"], right["settle"]) == (None, None, None)
    assert "ask for the limit" in right["reason"]
    left = judge(shop, measured=size("0.125", "in"))
    assert left["measured"] == {"value": "3.17500000", "unit": "mm"}
    assert (left["verdict"], left["zone"]) == ("indeterminate", "no-limit")


@pytest.mark.parametrize(
    ("gap", "zone", "verdict"),
    [
        ("1.3", "within-new", "conforming"),
        ("0.9", "within-service", "conforming"),
        ("0.75", "beyond", "nonconforming"),
    ],
)
def test_a_limit_that_works_downwards_tells_three_zones(shop, gap, zone, verdict):
    """Public: pick-up service manual. Standard 1.2 to 1.6 mm, replaced below 0.8 mm."""
    answer = judge(
        shop,
        measured=size(gap, plus_minus="0.02"),
        lower_limit=size("0.8"),
        new_lower=size("1.2"),
        new_upper=size("1.6"),
    )
    assert (answer["zone"], answer["verdict"]) == (zone, verdict)


def test_an_interval_is_judged_by_its_ends(shop):
    blades = {"at_least": size("0.10"), "at_most": size("0.15"), "gauge_kind": "feeler"}
    answer = judge(shop, **blades, upper_limit=size("0.20"))
    assert (answer["verdict"], answer["is_within_limits"]) == ("conforming", True)
    assert (answer["measured"], answer["standard_uncertainty"]) == (None, None)
    bare = {"at_least": size("0.10"), "at_most": size("0.15")}
    near = judge(shop, **bare, upper_limit=size("0.14"))
    assert (near["verdict"], near["is_within_limits"]) == ("indeterminate", False)
    assert float(near["probability"]) == pytest.approx(0.8)
    open_end = judge(shop, at_least=size("0.10"), upper_limit=size("0.20"))
    assert (open_end["verdict"], open_end["probability"]) == ("indeterminate", None)
    assert open_end["is_within_limits"] is None


def test_what_would_settle_it_is_told_and_does(shop):
    """0.005 mm from the limit: u at most 0.005 / 1.645; s^2 / (u^2 - c^2) = 4.25, five readings."""
    near = {"upper_limit": size("0.200"), "common_uncertainty": size("0.001")}
    answer = judge(shop, measured=size("0.195", standard_uncertainty="0.006"), **near)
    assert answer["verdict"] == "indeterminate"
    told = answer["settle"]
    assert float(told["standard_uncertainty_at_most"]["value"]) == pytest.approx(
        0.00303978, abs=1e-8
    )
    assert told["readings_at_least"] == 5
    again = judge(shop, measured=size("0.195", standard_uncertainty="0.003039"), **near)
    assert (again["verdict"], again["settle"]) == ("conforming", None)


def test_the_usual_gauge_serves_where_no_uncertainty_is_stated(shop):
    answer = judge(
        shop, measured=size("51.962"), gauge_kind="Micrometer", lower_limit=size("51.950")
    )
    assert answer["standard_uncertainty"] == {"value": "0.00400000000", "unit": "mm"}


def test_of_several_readings_the_worst_place_counts(shop):
    places = [
        {"size": size("77.005", standard_uncertainty="0.003"), "plane": "top", "direction": "x"},
        {"size": size("77.075", standard_uncertainty="0.003"), "plane": "top", "direction": "y"},
    ]
    answer = judge(shop, readings=places, upper_limit=size("77.06"))
    assert (answer["verdict"], answer["measured"]["value"]) == ("nonconforming", "77.0750000")


# --- form ----------------------------------------------------------------------------------------

# Public: motorcycle service manual, figures filled in on its rule.
_SIZES = ("77.020", "77.018", "77.012", "77.010", "77.005", "77.004")
_PLACES = [(plane, direction) for plane in ("top", "middle", "bottom") for direction in "xy"]
CYLINDER = [
    {"size": size(text), "plane": plane, "direction": direction}
    for text, (plane, direction) in zip(_SIZES, _PLACES, strict=True)
]
FORM = {
    "readings": CYLINDER,
    "feature": "bore",
    "upper_limit": size("77.06"),
    "out_of_round_limit": size("0.005"),
    "out_of_round_by": "overall",
    "taper_limit": size("0.005"),
    "gauge_uncertainty": size("0.003"),
}


def form(shop, **change):
    answer = shop.call("POST", "/calculations/form", json={**FORM, **change})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_bore_within_its_size_fails_by_taper_and_roundness(shop):
    answer = form(shop)
    assert answer["greatest"]["size"]["value"] == "77.0200000"
    assert float(answer["taper"]["value"]["value"]) == pytest.approx(0.015)
    assert float(answer["out_of_round"]["value"]["value"]) == pytest.approx(0.016)
    assert float(answer["mean"]["size"]["value"]) == pytest.approx(77.0115)
    verdicts = [answer[name]["verdict"] for name in ("size", "out_of_round", "taper")]
    assert verdicts == ["conforming", "nonconforming", "nonconforming"]
    assert answer["verdict"] == "nonconforming"


def test_what_the_readings_share_cancels_in_the_form(shop):
    """sqrt(2 (0.005^2 - 0.004^2)) = 0.00424; nothing known of it: 0.00707."""
    known = form(shop, gauge_uncertainty=size("0.005"), common_uncertainty=size("0.004"))
    u = known["taper"]["standard_uncertainty"]["value"]
    assert float(u) == pytest.approx(0.003 * 2**0.5, rel=1e-6)
    unknown = form(shop, gauge_uncertainty=size("0.005"))
    u = unknown["taper"]["standard_uncertainty"]["value"]
    assert float(u) == pytest.approx(0.005 * 2**0.5, rel=1e-6)


def test_one_reading_is_no_form_and_no_limit_no_verdict(shop):
    answer = form(shop, readings=CYLINDER[:1])
    assert answer["out_of_round"]["verdict"] == answer["taper"]["verdict"] == "not-inspected"
    assert "says nothing of roundness" in answer["out_of_round"]["reason"]
    assert answer["verdict"] == "not-inspected"
    bare = shop.call("POST", "/calculations/form", json={"readings": CYLINDER}).json()
    assert bare["verdict"] == bare["taper"]["verdict"] == "indeterminate"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"readings": []}, "/readings"),
        ({"readings": [*CYLINDER, {"size": size("1", "h")}]}, "/readings/6/size/unit"),
        ({"taper_limit": size("1", "N·m")}, "/taper_limit/unit"),
        ({"lower_limit": size("78")}, "/upper_limit"),
        ({"gauge_uncertainty": size("-1")}, "/gauge_uncertainty/value"),
        ({"gauge_kind": "a ruler"}, "/gauge_kind"),
        ({"acceptance_probability": "1"}, "/acceptance_probability"),
    ],
)
def test_a_form_that_cannot_be_asked_is_refused_at_its_member(shop, change, pointer):
    answer = shop.call("POST", "/calculations/form", json={**FORM, **change})
    assert answer.status_code == 422, answer.text
    error_of(answer, pointer)


# --- measures made of others ---------------------------------------------------------------------

BORE = {"name": "bore", "measured": size("50.045", standard_uncertainty="0.004")}
SHAFT = {"name": "shaft", "measured": size("49.985", standard_uncertainty="0.003"), "factor": "-1"}


def measure(shop, *terms, **more):
    answer = shop.call(
        "POST", "/calculations/derived-measure", json={"terms": terms or (BORE, SHAFT), **more}
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_running_clearance_from_two_instruments(shop):
    """Constructed: 0.060 mm, u = 0.005 mm, against 0.070 mm: p = 0.97725."""
    answer = measure(shop, upper_limit=size("0.070"))
    assert float(answer["value"]["value"]) == pytest.approx(0.06)
    assert float(answer["standard_uncertainty"]["value"]) == pytest.approx(0.005)
    assert (answer["verdict"], answer["correlations"]) == ("conforming", [])
    assert float(answer["probability"]) == pytest.approx(0.97725, abs=1e-5)
    assert [line["share"]["value"] for line in answer["budget"]] == [
        "0.00400000000",
        "-0.00300000000",
    ]


def test_one_gauge_for_both_is_told_and_reckoned(shop):
    common = {"gauge": "micrometer 4", "common_uncertainty": size("0.003")}
    answer = measure(shop, {**BORE, **common}, {**SHAFT, **common})
    assert answer["correlations"][0]["sharing"] == "common-part"
    expected = (0.004**2 + 0.003**2 - 2 * 0.003 * 0.003) ** 0.5
    assert float(answer["standard_uncertainty"]["value"]) == pytest.approx(expected, rel=1e-6)
    assert (answer["verdict"], answer["zone"]) == ("indeterminate", "no-limit")


def test_marks_and_an_offset_count_by_their_signs(shop):
    marks = [
        {"name": "case", "mark": "8", "unit": size("0.01"), "larger_mark": "adds"},
        {"name": "gear", "mark": "-3", "unit": size("0.01"), "larger_mark": "subtracts"},
    ]
    answer = measure(shop, marks=marks, offset=size("-0.25"))
    assert [one["share"]["value"] for one in answer["marks"]] == ["0.0800000000", "0.0300000000"]
    assert float(answer["value"]["value"]) == pytest.approx(0.06 + 0.08 + 0.03 - 0.25)


def test_an_input_without_known_doubt_leaves_all_undecided(shop):
    answer = measure(shop, BORE, {**SHAFT, "measured": size("49.985")}, upper_limit=size("0.070"))
    assert (answer["standard_uncertainty"], answer["verdict"]) == (None, "indeterminate")
    assert "no uncertainty known of shaft" in answer["reason"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"terms": []}, "/terms"),
        ({"terms": [BORE, {**SHAFT, "factor": "0"}]}, "/terms/1/factor"),
        ({"terms": [BORE, {**SHAFT, "measured": size("5", "h")}]}, "/terms/1/measured/unit"),
        (
            {"terms": [BORE, {**SHAFT, "common_uncertainty": size("0.0031")}]},
            "/terms/1/common_uncertainty",
        ),
        ({"offset": size("1", "h")}, "/offset/unit"),
        ({"lower_limit": size("2"), "upper_limit": size("1")}, "/upper_limit"),
        (
            {
                "marks": [
                    {
                        "name": "m",
                        "mark": "1",
                        "unit": size("0.01", plus_minus="0.01"),
                        "larger_mark": "adds",
                    }
                ]
            },
            "/marks/0/unit/plus_minus",
        ),
    ],
)
def test_a_measure_that_cannot_be_asked_is_refused_at_its_member(shop, change, pointer):
    body = {"terms": [BORE, SHAFT], **change}
    answer = shop.call("POST", "/calculations/derived-measure", json=body)
    assert answer.status_code == 422, answer.text
    error_of(answer, pointer)
