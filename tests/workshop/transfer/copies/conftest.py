"""A workshop with a key, a photo and a bill in a data folder of its own, and how one is put back without the long proof."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_django import Settings

from tests.workshop.conftest import copied_from_memory
from workshop.transfer.copies import archive, databases, services, shelf

PHOTO, BILL = f"photos/{'a' * 32}.jpg", f"bills/{'b' * 32}.pdf"
KEY = "k" * 50


@pytest.fixture
def place(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of a workshop whose records are in the tests' database."""
    folder = tmp_path / "shed"
    settings.DATA_DIR, settings.COPIES_DIR = folder, None
    settings.SECRET_FILE = folder / "secret.key"
    fill(folder, "new")
    copied_from_memory(monkeypatch, tmp_path)
    return folder


@pytest.fixture
def unproved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Working the books out in another process is one test's subject; the others need not wait for it."""
    monkeypatch.setattr(databases, "prove", lambda *_, **__: 0)


def fill(folder: Path, word: str) -> None:
    for name in (PHOTO, BILL, "secret.key", "papers/care.pdf"):
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(KEY if name == "secret.key" else f"{word} {name}")


def copied(place: Path) -> shelf.Kept:
    made = services.make()
    assert made.file.parent == place / "copies"
    return made


def names(file: Path) -> set[str]:
    with archive.opened(file) as copy:
        copy.look()
        return set(copy.manifest.files)
