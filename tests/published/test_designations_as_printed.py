"""Threads as tables and manuals print them: every name is read, with the diameter and pitch beside.

ISO 724 and ASME B1.1 tables of basic dimensions (``threads_metric.csv``, ``threads_inch.csv``),
look-alike pairs from trade pages (``thread_lookalikes.csv``), torque tables of machine manuals
(``torques.csv``), spellings of workshops (``units.csv``). Sources and editions stand in the rows.
"""

import csv
from pathlib import Path

import pytest

from shared.designations.model import Bearing, Fastener, ShaftSeal
from shared.designations.reading import readings_of

DATA = Path(__file__).parent / "data"
HALF_LAST_DIGIT = 0.0006
"""The tables print 0.001 mm, those in inches 0.0001 in turned into mm."""


def table(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def threads_meant(text: str) -> list[Fastener]:
    return [part for part in readings_of(text) if isinstance(part, Fastener)]


@pytest.mark.parametrize("row", table("threads_metric"), ids=lambda row: row["designation"])
def test_a_metric_thread_is_the_one_of_the_table(row):
    (read,) = threads_meant(row["designation"])
    assert read.thread.major == pytest.approx(float(row["major_d_mm"]), abs=1e-9)
    assert read.thread.pitch == pytest.approx(float(row["pitch_mm"]), abs=1e-9)
    assert row["series"] in read.thread.series.value


@pytest.mark.parametrize("row", table("threads_inch"), ids=lambda row: row["designation"])
def test_an_inch_thread_is_among_the_readings_and_alone_with_its_series(row):
    bare = threads_meant(row["designation"])
    (read,) = threads_meant(f"{row['designation']} {row['series']}")
    assert read.canonical in [one.canonical for one in bare]
    assert read.thread.turns_per_inch == float(row["tpi"])
    assert read.thread.major == pytest.approx(float(row["major_mm"]), abs=HALF_LAST_DIGIT)


def test_both_threads_of_a_confused_pair_are_told_apart():
    for row in table("thread_lookalikes"):
        for text, side in ((row["screw_a"], "a"), (row["nut_b"], "b")):
            (read,) = threads_meant(text)
            assert read.thread.pitch == pytest.approx(float(row[f"pitch_{side}_mm"]), abs=6e-5)
        first, second = (threads_meant(row[name])[0] for name in ("screw_a", "nut_b"))
        assert first.thread.designation != second.thread.designation


def test_the_threads_of_torque_tables_are_read_with_their_class():
    for row in table("torques"):
        if row["thread"] == "any" or row["class"] in {"", "8.8/9.8"}:
            continue
        read = threads_meant(f"{row['thread']} {row['class']}")[0]
        assert read.property_class == row["class"]
        assert read.thread.is_metric is (row["thread"][0] == "M")


def test_spellings_that_are_no_quantities_are_designations():
    kinds = {
        text: [type(part) for part in readings_of(text)]
        for text in ("1/2-13", "5/16-18", "M8x1.25", "M8-1.25", "10-32", "6205")
    }
    assert kinds.pop("6205") == [Bearing]
    assert all(set(found) == {Fastener} for found in kinds.values())
    assert ShaftSeal in [type(part) for part in readings_of("25x47x12")]
