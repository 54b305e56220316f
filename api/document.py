"""The API document as a file: ``python -m api.document`` writes it, a test holds it current."""

import json
from pathlib import Path
from typing import Final

from api.app import create_app
from api.settings import Settings

PATH: Final = Path(__file__).with_name("openapi.json")


def document_text() -> str:
    """Return the API document, indented, as it is kept in the repository."""
    app = create_app(Settings("sqlite:///unused.db"))
    return (
        json.dumps(json.loads(app.state.openapi_json), indent=1, ensure_ascii=False, sort_keys=True)
        + "\n"
    )


if __name__ == "__main__":
    PATH.write_text(document_text(), encoding="utf-8")
