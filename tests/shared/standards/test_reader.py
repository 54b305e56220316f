"""A table that breaks the rules of the house is not read: file, line and column are named."""

from dataclasses import dataclass

import pytest

from shared.standards import reader
from shared.standards.reader import Basis, BrokenTable, Sourced, rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Row(Sourced):
    name: str
    size: float
    count: int
    depth: float | None


HEAD = "name,size,count,depth,source,edition,basis"
GOOD = "a,1.5,2,,ISO 1,2016,memory"


@pytest.fixture
def stored(monkeypatch):
    """Reads these lines in place of a file."""

    def of(*lines, key=("name",)):
        header, *body = (line.split(",") for line in lines)
        found = []
        for cells in body:
            row = dict(zip(header, cells, strict=False))
            if len(cells) > len(header):
                row[None] = cells[len(header) :]
            row.update(dict.fromkeys(header[len(cells) :]))
            found.append(row)
        monkeypatch.setattr(reader, "table", lambda _: tuple(found))
        return rows.__wrapped__("things", Row, *key)

    return of


def test_rows_are_read_by_the_types_of_their_fields(stored):
    assert stored(HEAD, GOOD, "b,2,3,0.5,ISO 1,2016,formula") == (
        Row(
            name="a", size=1.5, count=2, depth=None, source="ISO 1", edition="2016", basis="memory"
        ),
        Row(
            name="b",
            size=2.0,
            count=3,
            depth=0.5,
            source="ISO 1",
            edition="2016",
            basis=Basis.FORMULA,
        ),
    )


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("b,x,2,,ISO 1,2016,memory", "size"),
        ("b,,2,,ISO 1,2016,memory", "size"),
        ("b,nan,2,,ISO 1,2016,memory", "size"),
        ("b,inf,2,,ISO 1,2016,memory", "size"),
        ("b,1,2.5,,ISO 1,2016,memory", "count"),
        ("b,1,2,-,ISO 1,2016,memory", "depth"),
        ("b,1,2,,ISO 1,2016,hearsay", "basis"),
        (" b,1,2,,ISO 1,2016,memory", "name"),
        ("b,1,2,,,2016,memory", "source"),
        ("b,1,2,,ISO 1,,memory", "edition"),
        ("b,1,2,,ISO 1,2016", "columns"),
        ("b,1,2,,ISO 1,2016,memory,more", "columns"),
        ("a,1,2,,ISO 1,2016,memory", "line 2"),
    ],
)
def test_a_broken_row_is_named_by_file_line_and_column(stored, line, named):
    with pytest.raises(BrokenTable, match=r"things\.csv line 3") as error:
        stored(HEAD, GOOD, line)
    assert named in str(error.value)


def test_a_column_too_many_or_too_few_is_named(stored):
    for head in (HEAD.replace(",depth", ""), HEAD + ",note"):
        with pytest.raises(BrokenTable, match="wanted the columns"):
            stored(head, GOOD)
