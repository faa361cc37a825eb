"""docs/reference/settings.md names every variable that is read from the environment, and no other."""

from __future__ import annotations

import re

from tests.docs import pages

READ = re.compile(r"""environ(?:\.get\(|\[)\s*["']([A-Z_]+)["']""")
SOURCES = [path for app in ("workshop", "costing", "inventory", "tests") for path in (pages.ROOT / app).rglob("*.py")]
TOLD = {name for row in pages.rows(pages.text("reference/settings.md")) for name in re.findall(r"^`([A-Z_]+)`", row[0])}


def read_by_code() -> set[str]:
    found = {name for path in SOURCES for name in READ.findall(path.read_text(encoding="utf-8"))}
    return {name for name in found if name.startswith("TAWERY_") or name == "DATABASE_URL"}


def test_every_variable_read_is_told() -> None:
    assert "TAWERY_DATA" in read_by_code()
    assert read_by_code() - TOLD == set()


def test_every_variable_told_is_used() -> None:
    ci = (pages.ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert {name for name in TOLD - read_by_code() if name not in ci} == set()
