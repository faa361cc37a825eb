"""Each decision record: numbered without gaps, context, choice and cost, under a page, in the index."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.docs import pages

RECORDS = sorted((pages.DOCS / "decisions").glob("[0-9]*.md"))
INDEX = (pages.DOCS / "decisions" / "README.md").read_text(encoding="utf-8")
A_PAGE = 60


def test_records_are_numbered_without_a_gap() -> None:
    assert len(RECORDS) >= 19
    assert [record.name[:4] for record in RECORDS] == [f"{number:04d}" for number in range(1, len(RECORDS) + 1)]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.stem)
def test_a_record_says_context_choice_and_cost_on_less_than_a_page(record: Path) -> None:
    text = record.read_text(encoding="utf-8")
    assert re.match(rf"# {record.name[:4]} \S", text)
    assert list(pages.sections(text)) == ["Context", "Choice", "Cost"]
    assert all(part.strip() for part in pages.sections(text).values())
    assert len(text.splitlines()) < A_PAGE
    assert f"[{record.name[:4]}]({record.name}) | {text.splitlines()[0][7:]} |" in INDEX


def test_each_dependency_has_its_reason() -> None:
    import tomllib

    project = tomllib.loads((pages.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [
        *project["dependencies"],
        *(name for extra in project["optional-dependencies"].values() for name in extra),
    ]
    names = {re.split(r"[\[=<>~!]", name)[0].lower() for name in wanted} - {project["name"]}
    told = (pages.DOCS / "decisions" / "0015-dependencies.md").read_text(encoding="utf-8").lower()
    assert {name for name in names if f"**{name}**" not in told} == set()
