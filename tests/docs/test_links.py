"""Every link of the docs leads somewhere, and every page is led to."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs import pages


@pytest.mark.parametrize("page", pages.PAGES, ids=lambda page: str(page.relative_to(pages.ROOT)))
def test_every_link_within_the_project_resolves(page: Path) -> None:
    for link in pages.links(page):
        target, _, anchor = link.partition("#")
        path = (page.parent / target).resolve() if target else page
        assert path.exists(), f"{link} leads nowhere"
        assert path.is_relative_to(pages.ROOT), f"{link} leaves the project"
        if anchor:
            assert anchor in pages.anchors(path), f"{link} names no heading"


def test_every_page_is_reached_from_the_readme() -> None:
    reached: set[Path] = set()
    ahead = [pages.ROOT / "README.md"]
    while ahead:
        page = ahead.pop()
        if page in reached or page.suffix != ".md" or not page.exists():
            continue
        reached.add(page)
        ahead += [(page.parent / link.partition("#")[0]).resolve() for link in pages.links(page) if link[0] != "#"]
    assert [page for page in pages.PAGES if page not in reached] == []


def test_the_readme_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, commands = (pages.ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")[:3]
    assert title.startswith("# ")
    assert len(job.split()) < 150
    assert commands.splitlines() == [
        "```",
        "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/python manage.py open",
        ".venv/bin/pytest",
        "```",
    ]
