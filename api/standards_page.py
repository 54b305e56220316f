"""The page that lists the house's tables: plain HTML, nothing in it but text and headings."""

from collections.abc import Iterable, Mapping
from html import escape
from typing import Final

from shared.standards.catalogue import SourceSummary, TableSummary
from shared.standards.reader import Basis

STYLESHEET: Final = """\
:root { color-scheme: light dark; }
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 70rem; margin: 0 auto; padding: 1rem; }
h2 { margin: 2.5rem 0 0.25rem; }
p { max-width: 45rem; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; padding: 0.25rem 0; }
th, td { border-bottom: 1px solid; padding: 0.3rem 1rem 0.3rem 0; text-align: left; }
th, td { vertical-align: top; }
td:first-child { min-width: 12rem; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; }
dt { font-weight: bold; }
.scroll { overflow-x: auto; }
"""

_WORDS: Final[Mapping[Basis, tuple[str, str]]] = {
    Basis.FORMULA: ("formula", "computed from the formula by which the standard defines it"),
    Basis.TWO_SOURCES: (
        "two sources",
        "two origins agree: the authors' memory of the standard and a library or public table, say",
    ),
    Basis.ONE_SOURCE: ("one source", "one public table, page or package"),
    Basis.MEMORY: (
        "memory",
        "the authors' memory of the standard only: compare the printed one before life or money"
        " hangs on it",
    ),
    Basis.COMMON_PRACTICE: (
        "common practice",
        "a rule of the trade without a published source",
    ),
}


def standards_page(summaries: Iterable[TableSummary]) -> str:
    """Return the page as text."""
    tables = tuple(summaries)
    counts = {basis: sum(one.basis.get(basis, 0) for one in tables) for basis in Basis}
    rows = sum(one.rows for one in tables)
    return "\n".join(
        (
            "<!doctype html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            "<title>Tables, sources and editions - Corewright</title>",
            '<link rel="stylesheet" href="/standards.css">',
            "</head>",
            "<body>",
            "<main>",
            "<h1>Tables, sources and editions</h1>",
            f"<p>{len(tables)} tables with {rows} rows stand behind the answers. None was read from"
            " a purchased copy of a current standard: where a row rests on memory, it says so.</p>",
            "<h2>How far the rows are confirmed</h2>",
            "<dl>",
            *(_meaning(basis, counts[basis]) for basis in Basis),
            "</dl>",
            "<h2>Contents</h2>",
            '<nav aria-label="Tables">',
            "<ul>",
            *(_link(one) for one in tables),
            "</ul>",
            "</nav>",
            *(_section(one) for one in tables),
            "</main>",
            "</body>",
            "</html>",
            "",
        )
    )


def _meaning(basis: Basis, count: int) -> str:
    word, about = _WORDS[basis]
    return f"<dt>{escape(word)}</dt>\n<dd>{escape(about)} ({count} rows).</dd>"


def _link(summary: TableSummary) -> str:
    return f'<li><a href="#{escape(summary.name)}">{escape(summary.title)}</a></li>'


def _section(summary: TableSummary) -> str:
    name = escape(summary.name)
    note = f"<p>{escape(summary.note)}</p>\n" if summary.note else ""
    head = (
        '<tr><th scope="col">Source</th><th scope="col">Edition</th>'
        '<th scope="col" class="number">Rows</th><th scope="col">Confirmed by</th></tr>'
    )
    body = "\n".join(_row(source) for source in summary.sources)
    return (
        f'<section aria-labelledby="{name}">\n'
        f'<h2 id="{name}">{escape(summary.title)}</h2>\n'
        f"{note}"
        '<div class="scroll">\n<table>\n'
        f"<caption>{name}: {summary.rows} rows</caption>\n"
        f"<thead>\n{head}\n</thead>\n<tbody>\n{body}\n</tbody>\n"
        "</table>\n</div>\n</section>"
    )


def _row(source: SourceSummary) -> str:
    confirmed = ", ".join(f"{_WORDS[basis][0]} {count}" for basis, count in source.basis.items())
    return (
        f"<tr><td>{escape(source.source)}</td><td>{escape(source.edition)}</td>"
        f'<td class="number">{source.rows}</td><td>{escape(confirmed)}</td></tr>'
    )
