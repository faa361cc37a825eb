"""docs/reference/commands.md names every command with every option and every field of its JSON, and no other."""

from __future__ import annotations

import json
import re
from argparse import ArgumentParser
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command, load_command_class
from django.core.management.base import BaseCommand
from django.db import connection

from tests.docs import pages
from workshop.transfer.copies import databases, moving

COMMANDS = sorted(
    path.stem for path in (pages.ROOT / "workshop/management/commands").glob("*.py") if path.stem != "__init__"
)

SECTIONS = pages.sections(pages.text("reference/commands.md"))

COPIES = ("backup", "verify", "restore")

ASKED = {
    "area": [
        *("area", str(pages.ROOT / "docs" / "pictures" / "today-phone.png"), "--frame=300x600"),
        *("--corners=10,10 310,10 310,610 10,610", "--outline=60,60 260,60 260,460 60,460"),
    ],
    "bath": ["bath", "R1", "--litres=18", "--weight=14.2", "--vessel=Taw tub", "--use=BICARB"],
    "bring": ["bring", str(pages.ROOT / "fixtures" / "demo" / "customers.csv"), "--into", "customers", "--dry-run"],
    "restock": ["restock"],
    "due": ["due", "--on", "2025-01-23"],
    "price": ["price", "H03"],
    "usage": ["usage", "2025-01"],
    "stock_value": ["stock_value"],
    "results": ["results", "2025"],
    "cashbook": ["cashbook", "2025"],
    "tax": ["tax", "2025-Q1"],
    "check_books": ["check_books"],
    "card": ["card", "B5", "--output", "card.pdf"],
    "paper": ["paper", "invoice", "INV-001", "--output", "paper.pdf"],
    "einvoice": ["einvoice", "INV-001", "--output", "paper.xml", "--syntax", "ubl"],
    "label": ["label", "care", "H03", "--output", "care.pdf"],
    "save": ["save", "saved"],
    "backup": ["backup", "copy.zip"],
    "verify": ["verify", "copy.zip"],
    "restore": ["restore", "copy.zip", "--into", "there"],
    "move_to": ["move_to", "sqlite"],
    "load": ["load", str(pages.ROOT / "fixtures" / "demo"), "--dry-run"],
}


def options(parser: ArgumentParser) -> set[str]:
    return {word for action in parser._actions for word in action.option_strings}


def own_options(name: str) -> set[str]:
    return options(parser_of(name)) - options(BaseCommand().create_parser("manage.py", name))


def parser_of(name: str) -> ArgumentParser:
    command: BaseCommand = load_command_class("workshop", name)
    return command.create_parser("manage.py", name)


def keys(found: Any) -> Iterator[str]:
    if isinstance(found, dict):
        for key, value in found.items():
            yield key
            yield from keys(value)
    elif isinstance(found, list):
        for value in found:
            yield from keys(value)


def test_every_command_has_its_section_and_every_section_its_command() -> None:
    assert sorted(SECTIONS) == COMMANDS


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_of_a_command_stands_in_its_table_and_no_other(name: str) -> None:
    told = {word for row in pages.rows(SECTIONS[name]) for word in re.findall(r"`(-[\w-]*)`", row[0])}
    assert told == own_options(name)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_usage_line_names_every_argument(name: str) -> None:
    usage = pages.ticked(SECTIONS[name])[0]
    assert usage.split()[0] == name
    for action in parser_of(name)._get_positional_actions():
        words = list(action.choices) if action.choices else [str(action.metavar)]
        assert all(word in usage for word in words), f"{action.dest} is missing in {usage}"


def test_every_command_that_knows_json_is_asked_here() -> None:
    assert sorted(ASKED) == [name for name in COMMANDS if "--json" in own_options(name)]


@pytest.mark.thorough(but=3)
@pytest.mark.slow
# `load` is asked in test_first_week.py: it needs an empty workshop. Copies are asked below, one after the other.
@pytest.mark.parametrize("name", sorted(set(ASKED) - {"load", "move_to", *COPIES}))
def test_every_field_of_the_json_is_explained(
    name: str, demo: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    explain(name)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="a server's database is not in the tests' transaction")
def test_every_field_of_the_json_of_copies_is_explained(
    demo: None, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(databases, "prove", lambda *_, **__: 0)
    monkeypatch.chdir(tmp_path)
    data.mkdir()
    for name in COPIES:
        explain(name)


def test_every_field_of_the_json_of_a_move_is_explained(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The move itself wants a server and a file: tests/workshop/transfer/copies/test_moving.py."""
    monkeypatch.setattr(moving, "move", lambda _: moving.Moved("sqlite", 2, 9, (2025,)))
    explain("move_to")


def explain(name: str) -> None:
    out = StringIO()
    call_command(*ASKED[name], "--json", stdout=out)
    told = {word for span in pages.ticked(SECTIONS[name]) for word in re.findall(r"\w+", span)}
    found = json.loads(out.getvalue())
    if name in ("load", "save"):  # what they count goes by noun or file, which other pages name
        found = dict.fromkeys(found)
    assert set(keys(found)) - told == set()
