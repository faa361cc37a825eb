"""docs/tutorial/demo-year.md: its commands run one after another in a loaded demonstration and say what the page says."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.docs import pages

PAGE = pages.text("tutorial/demo-year.md")
PROMPT = "$ manage.py "


def quoted(page: str = PAGE) -> list[tuple[str, list[str]]]:
    """Each command of a page with the lines that the page shows under it."""
    found: list[tuple[str, list[str]]] = []
    for block in re.findall(r"^```console\n(.*?)^```", page, re.MULTILINE | re.DOTALL):
        for line in block.splitlines():
            if line.startswith(PROMPT):
                found.append((line.removeprefix(PROMPT), []))
            else:
                found[-1][1].append(line)
    return found


def test_the_page_asks_the_daily_questions_and_checks_the_books() -> None:
    asked = {command.split()[0] for command, _ in quoted()}
    assert asked >= {"due", "bath", "card", "restock", "price", "label", "usage", "stock_value", "check_books"}


def _of_any_day(line: str) -> str:
    """The check value holds the hour at which each entry was written."""
    return re.sub(r"^Check value [0-9a-f ]{19} after", "Check value after", line)


@pytest.mark.thorough(but=3)
@pytest.mark.slow
@pytest.mark.parametrize(("command", "shown"), quoted(), ids=[command for command, _ in quoted()])
def test_a_command_of_the_page_says_what_the_page_shows(
    command: str, shown: list[str], demo: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    out = StringIO()
    call_command(*command.split(), stdout=out)
    assert [_of_any_day(line) for line in out.getvalue().splitlines()] == [_of_any_day(line) for line in shown]
    files = [word for word in command.split() if re.search(r"\.(pdf|csv)$", word)]
    assert all((tmp_path / file).stat().st_size for file in files)
