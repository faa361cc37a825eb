"""Reading the docs as text: pages, sections, tables, links. Knows Markdown as far as our pages use it."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md")])
_FENCE = re.compile(r"^ *```.*?^ *```$", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_TICKED = re.compile(r"`([^`]+)`")


def text(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def one_line(words: str) -> str:
    """Without line breaks and without the signs that only set type, so that a sentence is found however it is wrapped."""
    return " ".join(re.sub(r"^> ?", "", words, flags=re.MULTILINE).replace("**", "").split())


def sections(page: str) -> dict[str, str]:
    """What stands under each heading of the second rank, by heading."""
    parts = re.split(r"^## (.+)$", page, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def rows(part: str) -> list[list[str]]:
    """The cells of every table row in a part of a page, header and rule left out."""
    found: list[list[str]] = []
    lines = part.splitlines()
    for at, line in enumerate(lines):
        ruled = set(line) <= set("|-: ")
        heads = at + 1 < len(lines) and lines[at + 1].startswith("|-")
        if line.startswith("|") and not ruled and not heads:
            found.append([cell.strip() for cell in line.strip("|").split("|")])
    return found


def ticked(part: str) -> list[str]:
    """What stands between single backticks."""
    return _TICKED.findall(_FENCE.sub("", part))


def links(page: Path) -> list[str]:
    """Where a page links to within the project."""
    plain = _FENCE.sub("", page.read_text(encoding="utf-8"))
    return [link for link in _LINK.findall(plain) if "://" not in link]


def anchors(page: Path) -> set[str]:
    """The names under which the headings of a page are reached."""
    headings = re.findall(r"^#+ (.+)$", _FENCE.sub("", page.read_text(encoding="utf-8")), flags=re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}
