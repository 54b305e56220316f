"""Every table is in the list, whole, with its sources."""

from importlib.resources import files

import pytest

from shared.standards import catalogue as module
from shared.standards.catalogue import catalogue, load_all, tables
from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Basis, BrokenTable

# Files that are read as part of a table of another name.
PART_OF = {"threads_ba": "threads_british", "threads_npt": "threads_pipe"}


def test_every_file_of_data_is_in_the_list():
    stored = {
        one.name.removesuffix(".csv")
        for one in (files("shared.standards") / "data").iterdir()
        if one.name.endswith(".csv")
    }
    assert {PART_OF.get(name, name) for name in stored} <= {info.name for info in tables()}


def test_every_table_loads_and_names_its_sources():
    summaries = catalogue()
    assert [one.name for one in summaries] == sorted(one.name for one in summaries)
    assert load_all() == sum(one.rows for one in summaries)
    for summary in summaries:
        assert summary.title
        assert summary.rows == sum(summary.basis.values()) > 0
        assert all(source.source for source in summary.sources)
        assert all(source.rows == sum(source.basis.values()) for source in summary.sources)


def test_a_table_without_rows_or_origin_stops_the_service(monkeypatch):
    class Row:
        source, edition, basis = "ISO 1", "", "hearsay"

    for rows in ((), (Row(),)):
        broken = TableInfo("broken", "A table", lambda rows=rows: rows)
        monkeypatch.setattr(module, "tables", lambda broken=broken: (broken,))
        with pytest.raises(BrokenTable, match="broken"):
            module.catalogue.__wrapped__()


def test_a_name_stands_once(monkeypatch):
    double = TableInfo("units", "Units again", tuple)
    monkeypatch.setattr(module, "_of_modules", lambda: iter([double]))
    with pytest.raises(BrokenTable, match="units"):
        module.tables.__wrapped__()


def test_the_words_of_a_units_source_are_told_apart():
    units = next(one for one in catalogue() if one.name == "units")
    assert units.basis == {Basis.MEMORY: units.rows}
    assert all("memory" not in source.source for source in units.sources)
