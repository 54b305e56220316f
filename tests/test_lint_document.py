"""The lists that the linters of the API's document are installed from."""

import json
from pathlib import Path

FOLDER = Path(__file__).parent.parent / ".ci"


def test_the_lists_name_no_address() -> None:
    for name in ("package.json", "package-lock.json", ".npmrc", "client.in", "client.txt"):
        text = (FOLDER / name).read_text("utf-8")
        assert "://" not in text, name
        assert "resolved" not in text.replace("omit-lockfile-registry-resolved", ""), name


def test_every_package_is_held_by_its_hash() -> None:
    packages = json.loads((FOLDER / "package-lock.json").read_text("utf-8"))["packages"]
    assert all(one["integrity"].startswith("sha512-") for name, one in packages.items() if name)
    pinned = (FOLDER / "client.txt").read_text("utf-8").split("\n    --hash=")[:-1]
    assert len(pinned) > 20
