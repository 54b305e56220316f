"""Stripping areas, engagement lengths, thrust of jacking screws, breaking torques.

``data/strip_and_jacking.csv`` has a source per row: FED-STD-H28/2B areas against a distributor's
sheet and the limits of a public thread library; a fastener maker's trials; the long form computed
by hand; ISO 898-7 from memory. The trials are not recomputed: no length asked for here is shorter.
"""

import csv
import re
from math import pi
from pathlib import Path

import pytest

from shared.fasteners.engagement import engagement_needed
from shared.fasteners.strength import fastening_area, least_breaking_torque, screw_strength
from shared.fasteners.stripping import (
    equal_strength_engagement,
    external_area,
    internal_area,
    shear_areas,
)
from shared.fasteners.turning import (
    PowerScrew,
    locks_above,
    thrust,
    torque_by_nut_factor,
)
from shared.standards.hole_materials import hole_material_of
from tests.published.screws import screw, thread_of

with (Path(__file__).parent / "data" / "strip_and_jacking.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

INCH = 25.4


def of(*topics):
    return [row for row in ROWS if row["topic"] in topics]


def ids(row):
    return f"{row['id']} {row['case'].partition(',')[0]}"


def thread_in(row):
    name = row["case"].split()[0].rstrip(",")
    return thread_of(name.replace("-", "x") if name.startswith("M") else name)


def numbers(row):
    found = re.findall(r"([A-Za-z0-9]+)=([0-9.]+)", row["inputs"])
    return {name: float(value) for name, value in found}


def test_every_row_is_checked_by_one_of_the_tests():
    checked = of(
        "strip_area_internal", "strip_area_external", "min_engagement_equal_strength", "J_factor",
        "min_engagement_table", "min_engagement_rule", "jack_frictionless", "jacking_thrust",
        "self_locking", "square_thread_raise", "min_breaking_torque", "fact",
    )  # fmt: skip
    assert len(checked) == len(ROWS) == 60


@pytest.mark.parametrize("row", of("strip_area_internal", "strip_area_external"), ids=ids)
def test_a_shear_area_by_the_formula_and_by_the_limits_of_the_house(row):
    thread, given = thread_in(row), numbers(row)
    unit = 1.0 if "mm2" in row["unit"] else INCH
    if row["topic"].endswith("internal"):
        formula = internal_area(thread, given["dmin"] * unit, given["D2max"] * unit)
        own = shear_areas(thread).internal
    else:
        formula = external_area(thread, given["D1max"] * unit, given["d2min"] * unit)
        own = shear_areas(thread).external
    assert formula / unit == pytest.approx(float(row["result"]), rel=1e-3)
    # The inch standard rounds the minor diameter of small holes to 0.001 in, the house does not.
    tolerance = 5e-3 if row["topic"].endswith("internal") else 12e-3
    assert own / unit == pytest.approx(float(row["result"]), rel=tolerance)
    if row["published_value"]:
        assert own / unit == pytest.approx(float(row["published_value"]), rel=5e-3)


@pytest.mark.parametrize("row", of("min_engagement_equal_strength"), ids=ids)
def test_the_engagement_at_which_screw_and_hole_are_as_strong(row):
    thread = thread_in(row)
    unit = 1.0 if row["unit"] == "mm" else INCH
    # The row's metric figures use the inch formula for the stress area; by ISO 898-1 it is larger.
    area = pi / 4 * (thread.major - 0.9743 * thread.pitch) ** 2
    engagement = equal_strength_engagement(thread, area) / unit
    assert engagement == pytest.approx(float(row["result"]), rel=13e-3)
    assert equal_strength_engagement(thread, fastening_area(thread)) / unit > engagement * 0.998


def test_a_weaker_hole_lengthens_the_engagement():
    (row,) = of("J_factor")
    given = numbers(row)
    factor = given["ASs"] * 150 / (given["ASn"] * 33)
    assert factor == pytest.approx(float(row["result"]), abs=0.005)
    areas, thread = shear_areas(thread_of("3/4-10")), thread_of("3/4-10")
    assert areas.external / INCH == pytest.approx(given["ASs"], rel=3e-3)
    assert areas.internal / INCH == pytest.approx(given["ASn"], rel=3e-3)
    needed = factor * equal_strength_engagement(thread, fastening_area(thread)) / INCH
    assert needed == pytest.approx(1.765, rel=5e-3)


MATERIAL = {
    "structural steel S235": "S235",
    "steel E285": "S355",
    "heat-treated C45": "42CrMo4+QT",
    "grey iron GJL-250": "EN-GJL-250",
    "aluminium Al99.5": "EN AW-1050A",
}


@pytest.mark.parametrize("row", of("min_engagement_table", "min_engagement_rule"), ids=ids)
def test_no_engagement_for_full_strength_is_shorter_than_in_trials(row):
    """None: no length is promised at all, which is the cautious end of it."""
    published = float(row["result"])
    found = re.search(r"screw ([0-9.]+)", row["case"])
    strength = found[1] if found else ("10.9" if "class 10.9" in row["case"] else "8.8")
    words = next(
        (own for start, own in MATERIAL.items() if row["case"].startswith(start)),
        {
            "S43": "EN AW-6082-T6", "S44": "S355", "S45": "brass rod", "S46": "cast aluminium",
        }.get(row["id"]),
    )  # fmt: skip
    for size in ("M8", "M12", "M16"):
        answer = engagement_needed(screw(size, strength), hole_material_of(words))
        if answer.full_strength is not None:
            assert answer.full_strength >= published * thread_of(size).major * 0.99
    assert answer.full_strength is not None or words not in {
        "S235",
        "S355",
        "42CrMo4+QT",
        "brass rod",
    }


@pytest.mark.parametrize("row", of("jacking_thrust"), ids=ids)
def test_the_thrust_of_a_jacking_screw(row):
    thread = thread_in(row)
    torque = float(re.search(r"([0-9]+) N·m", row["case"])[1])
    mu = float(re.search(r"mu ([0-9.]+)", row["case"])[1])
    is_flat = "flat end" in row["case"]
    push = thrust(torque, thread, mu, has_flat_end=is_flat) / 1000
    assert push == pytest.approx(float(row["result"]), abs=0.06)
    proof = screw_strength(screw(thread.nominal, "8.8")).proof_load / 1000
    assert ("ABOVE" in row["note"]) is (push > proof)


def test_a_jack_without_friction_is_far_from_a_real_one():
    (row,) = of("jack_frictionless")
    thread = thread_of("M24x3")
    without = 225_000 * thread.pitch / (2 * pi) / 1000
    assert without == pytest.approx(float(row["result"]), abs=0.005)
    assert without == pytest.approx(float(row["published_value"]), abs=0.5)
    assert 5 < 225_000 / thrust(without, thread, 0.12, has_flat_end=True) < 7
    assert screw_strength(screw("M24x3", "8.8")).proof_load < 225_000


def test_a_thread_holds_by_itself_above_a_small_friction():
    (row,) = of("self_locking")
    assert locks_above(thread_of("M8x1.25")) == pytest.approx(float(row["result"]), abs=5e-5)


def test_a_square_thread_raises_its_load():
    (row,) = of("square_thread_raise")
    torque = PowerScrew(10, 2).raising(1000, 0.15, 0)
    assert torque == pytest.approx(float(row["result"]), abs=5e-5)


@pytest.mark.parametrize("row", of("min_breaking_torque"), ids=ids)
def test_a_breaking_torque_is_below_what_a_tightening_formula_gives(row):
    property_class = row["case"].split("class ")[1]
    root = re.search(r"([0-9.]+) mm", row["inputs"])[1]
    tensile = re.search(r"Rm=([0-9]+)", row["inputs"])[1]
    torque = least_breaking_torque(float(root), float(tensile), property_class)
    assert torque == pytest.approx(float(row["result"]), abs=0.05)
    half_a_digit = 0.06 if "." in row["published_value"] else 0.5
    assert torque == pytest.approx(float(row["published_value"]), abs=half_a_digit)
    # K F d with K = 0.2 of the tensile load is no breaking torque: half as much again.
    fastener = screw(row["case"].split()[0], property_class)
    wrong = torque_by_nut_factor(screw_strength(fastener).tensile_load, fastener.thread.major, 0.2)
    assert 1.4 < wrong / torque < 1.65


def test_one_turn_of_an_m8_jacking_screw():
    (row,) = of("fact")
    assert thread_of("M8x1.25").pitch == float(row["result"])
