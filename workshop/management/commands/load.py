"""`manage.py load FOLDER`: a folder of plain CSV files into an empty workshop, all or nothing."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from workshop.management import base as commands
from workshop.transfer.loading import load


class Command(commands.Answer):
    help = "Load a folder of plain CSV files into an empty workshop, all or nothing. The files: docs/reference/csv.md."
    takes = {
        "folder": {"metavar": "FOLDER", "type": Path, "help": "the folder that holds the CSV files"},
        "--dry-run": {"action": "store_true", "help": "check everything and write nothing"},
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return asdict(load(options["folder"].expanduser(), dry_run=options["dry_run"]))

    def lines(self, found: dict[str, Any]) -> list[str]:
        counts = [f"{count:6} {noun}" for noun, count in found["written"].items()]
        return [*counts, "All in order. Nothing was written: a dry run." if found["dry_run"] else "Loaded."]
