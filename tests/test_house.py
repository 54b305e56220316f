"""The house itself: its rooms, its contracts, what is checked in beside the code."""

from pathlib import Path

from importlinter.cli import lint_imports

from api.document import PATH, document_text

HOUSE = Path(__file__).parent.parent


def test_the_import_contracts_hold(monkeypatch):
    monkeypatch.chdir(HOUSE)
    assert lint_imports(no_cache=True) == 0


def test_the_migrations_folder_does_not_hide_the_library():
    assert not list((HOUSE / "alembic").rglob("__init__.py"))


def test_the_api_document_that_is_checked_in_is_the_one_served():
    assert PATH.read_text(encoding="utf-8") == document_text(), "run: make document"


def test_no_file_outside_the_tests_imports_the_solver_twice():
    naming = [
        path.name
        for room in ("shared", "db", "api")
        for path in (HOUSE / room).rglob("*.py")
        if "import cp_model" in path.read_text(encoding="utf-8")
    ]
    assert naming == ["search.py"]
