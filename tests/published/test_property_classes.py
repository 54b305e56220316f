"""Property classes, nuts and their loads, against the table of ``data/property_classes.csv``.

Sources of its rows: ISO 898-1:2013, ISO 898-2, ISO 3506-1 and -2, SAE J429 from memory, each beside
public trade pages (distributors, a test house, a fastener maker's design sheet quoting EN 20898-2);
DIN 267-4 loads from one test-house page. Loads are printed in three figures: within 1 per cent.
Rows of type ``conflict`` are misprints and slips found in public: ours must differ from them.
"""

import csv
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from shared.standards.nuts import NutStyle, nut_carries, nut_proof_load, nut_rows
from shared.standards.property_classes import class_names, strength_of
from shared.standards.threads import metric_pitches

with (Path(__file__).parent / "data" / "property_classes.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

PRINTED = 0.01  # three figures, areas rounded to three
KSI_ROUNDED = 0.5  # MPa


def rows(kind):
    return [row for row in ROWS if row["row_type"] == kind]


def named(row):
    return f"SAE {row['class']}" if row["standard"] == "SAE J429" else row["class"]


def label(row):
    return f"{row['standard']} {row['class']} {row['size_max'] or row['thread']}"


def size(row, text):
    if row["size_unit"] != "inch":
        return float(text)
    parts = text.removeprefix("over ").split("-") if "/" in text else [text]
    return 25.4 * float(sum(Fraction(part) for part in parts))


def area(row):
    return metric_pitches(float(row["thread"][1:]))[0].stress_area


def test_every_row_is_of_a_kind_that_is_checked_here():
    assert Counter(row["row_type"] for row in ROWS) == {
        "bolt_class": 21,
        "nut_class": 17,
        "pairing": 1,
        "equivalence": 1,
        "conflict": 5,
        "nut_proof_load": 22,
        "bolt_proof_load": 25,
        "bolt_ultimate_load": 23,
    }


@pytest.mark.parametrize("row", rows("bolt_class"), ids=label)
def test_a_class_promises_what_is_published(row):
    most = size(row, row["size_max"])
    strength = strength_of(named(row), most)
    assert strength_of(named(row), most + 0.1) is None or row["class"] in {"2", "5", "8.8"}
    for column, own in (
        ("proof_stress_MPa", strength.proof),
        ("tensile_nom_MPa", strength.tensile_nominal),
        ("tensile_min_MPa", strength.tensile_least),
        ("yield_min_MPa", strength.yield_least),
        ("hv_min", strength.hv_least),
        ("hv_max", strength.hv_most),
    ):
        if row[column]:
            assert own == pytest.approx(float(row[column]), abs=KSI_ROUNDED), column
    if row["hardness_rockwell"]:
        least, most = strength.rockwell_least, strength.rockwell_most
        assert row["hardness_rockwell"] == f"{strength.rockwell} {least:g}-{most:g}"
    if row["yield_kind"].startswith("R"):
        assert row["yield_kind"].startswith(strength.yield_kind)


@pytest.mark.parametrize("row", rows("bolt_proof_load") + rows("bolt_ultimate_load"), ids=label)
def test_a_load_is_stress_times_area(row):
    strength = strength_of(named(row), float(row["thread"][1:]))
    is_proof = row["row_type"] == "bolt_proof_load"
    stress = strength.proof if is_proof else strength.tensile_least
    assert stress * area(row) / 1000 == pytest.approx(float(row["load_kN"]), rel=PRINTED)


@pytest.mark.parametrize("row", rows("nut_class"), ids=label)
def test_a_nut_bears_the_published_stress(row):
    stress = float(row["proof_stress_MPa"])
    if row["standard"] == "ISO 3506-2":
        strength = row["class"].partition("-")[2]
        found = [nut_proof_load(f"{steel}-{strength}", 8, 1.0) for steel in ("A2", "A4")]
        assert {one.stress for one in found} == {stress}
        return
    most = float(row["size_max"])
    least = float(row["size_min"] or 1.6) + 0.01
    assert nut_proof_load(row["class"], most, 1.0).stress == stress
    assert nut_proof_load(row["class"], least, 1.0).stress == stress
    beyond = nut_proof_load(row["class"], most + 0.01, 1.0)
    assert beyond is None or beyond.stress != stress
    if row["class"] == "05":
        assert nut_proof_load("05", most, 1.0).style is NutStyle.THIN


@pytest.mark.parametrize("row", rows("nut_proof_load"), ids=label)
def test_a_nut_bears_the_published_load(row):
    is_older = row["standard"] == "DIN 267-4"
    found = nut_proof_load(row["class"], float(row["thread"][1:]), area(row), is_older=is_older)
    assert found.stress == float(row["proof_stress_MPa"])
    assert found.load / 1000 == pytest.approx(float(row["load_kN"]), rel=PRINTED)


def test_the_nut_is_at_least_of_the_screws_class():
    (row,) = rows("pairing")
    assert "8.8 bolt with nut 8 or higher, 10.9 with 10, 12.9 with 12" in row["note"]
    assert nut_carries("8", "8.8") and nut_carries("10", "10.9") and nut_carries("12", "12.9")
    assert not nut_carries("8", "10.9") and not nut_carries("10", "12.9")
    assert not nut_carries("05", "4.6")


def test_equivalence_across_families_is_never_rounded_up():
    (row,) = rows("equivalence")
    assert "grade 2 ~ 5.8, grade 5 ~ 8.8, grade 8 ~ 10.9" in row["note"]
    for sae, metric in (("SAE 5", "8.8"), ("SAE 8", "10.9"), ("SAE 2", "5.8")):
        inch, own = strength_of(sae, 12), strength_of(metric, 12)
        assert inch.tensile_least == pytest.approx(own.tensile_least, rel=0.05)
        assert inch.yield_least < own.yield_least
    assert strength_of("SAE 8", 12).proof < strength_of("10.9", 12).proof


def test_misprints_and_slips_are_not_ours():
    proof, hardness, load, package, grade_1 = rows("conflict")
    wrong = {"8.8": proof["proof_stress_MPa"], "10.9": "810", "12.9": "972", "4.6": "216"}
    for name, figure in wrong.items():
        assert strength_of(name, 10).proof != float(figure)
        assert strength_of(name, 20).proof != float(figure)
    assert strength_of("10.9", 10).rockwell_most != float(hardness["hardness_rockwell"][-2:])
    ultimate = strength_of("10.9", 4).tensile_least * metric_pitches(4)[0].stress_area / 1000
    assert ultimate == pytest.approx(float(load["load_calc_kN"]), rel=PRINTED)
    assert ultimate != pytest.approx(float(load["load_kN"]), rel=0.5)
    assert float(package["size_min"]) == 16
    assert all(strength_of("8.8", major) is not None for major in (5, 6, 8, 10, 12, 14))
    assert grade_1["hardness_rockwell"] == "HRB 7-100"
    assert strength_of("SAE 1", 12).rockwell_least == 70


@pytest.mark.parametrize(
    ("name", "most", "proof", "tensile", "yield_least"),
    [
        ("4.6", 36, 225, 400, 240),
        ("4.8", 16, 310, 420, 340),
        ("5.8", 24, 380, 520, 420),
        ("9.8", 16, 650, 900, 720),
        ("10.9", 36, 830, 1040, 940),
        ("12.9", 36, 970, 1220, 1100),
    ],
)
def test_a_library_of_machine_elements_has_the_same(name, most, proof, tensile, yield_least):
    """me_toolbox 0.0.18 (MIT); its class 8.8 from 16 mm only is a row of the table above."""
    strength = strength_of(name, most)
    own = (strength.proof, strength.tensile_least, strength.yield_least)
    assert own == (proof, tensile, yield_least)
    if most < 36:
        assert strength_of(name, most + 0.1) is None


def test_whatever_is_not_checked_here_says_that_it_is_from_memory():
    checked = {named(row) for row in rows("bolt_class")}
    memory = {name for name in class_names() if strength_of(name, 10).basis == "memory"}
    assert checked | memory | {"9.8"} >= set(class_names())
    assert {row.basis for row in nut_rows()} == {"two-sources", "one-source", "memory"}
