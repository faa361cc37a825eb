"""The top of the project holds what was agreed and nothing else; no text speaks of what does not belong into it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

from tests.docs import pages

AGREED = {
    *("README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml"),
    *("workshop", "inventory", "costing", "tests", "fixtures", "docs"),
    *(".ci", ".gitignore", ".pre-commit-config.yaml"),
}

IGNORED = (pages.ROOT / ".gitignore").read_text(encoding="utf-8").split()

# Put together from pieces, so that this file holds none of them.
WORDS = ("se" + "ed", "se" + "eds", "se" + "eded", "tran" + "script", "recor" + "dings", "ag" + "ent", "ag" + "ents")

PLACES = (
    "/wo" + "rk/",
    "/ro" + "ot/",
    "/tm" + "p/",
    "py" + "pi.org",
    "python" + "hosted",
    "npm" + "js",
    "/sha" + "red/",
)

UNWANTED = re.compile(rf"\b(?:{'|'.join(WORDS)})\b|{'|'.join(map(re.escape, PLACES))}", re.IGNORECASE)


def ignored(path: Path) -> bool:
    """As git reads the file: a pattern with a leading slash holds at the top only."""
    parts = path.relative_to(pages.ROOT).parts
    return any(
        fnmatch(part, pattern.strip("/"))
        for pattern in IGNORED
        for part in (parts[:1] if pattern.startswith("/") else parts)
    )


def files() -> Iterator[Path]:
    for name in sorted(AGREED):
        top = pages.ROOT / name
        yield from (
            path for path in ([top] if top.is_file() else top.rglob("*")) if path.is_file() and not ignored(path)
        )


def test_the_top_level_holds_exactly_what_was_agreed() -> None:
    there = {path.name for path in pages.ROOT.iterdir() if path.name != ".git" and not ignored(path)}
    assert there == AGREED


def test_no_text_or_name_holds_an_unwanted_word() -> None:
    found = []
    for path in files():
        content = path.read_bytes()
        text = "" if b"\0" in content else content.decode("utf-8")
        found += [f"{path.relative_to(pages.ROOT)}: {hit[0]}" for hit in UNWANTED.finditer(f"{path.name}\n{text}")]
    assert found == []


def test_the_words_looked_for_are_found_where_they_stand() -> None:
    assert all(UNWANTED.search(f"a {word} b") for word in WORDS)
    assert all(UNWANTED.search(f"see {place}x") for place in PLACES)
    assert not UNWANTED.search("linseed oil for the tanner, recorded on the shelf")
