"""`manage.py save FOLDER`: the whole workshop as a folder of plain CSV files."""

from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from workshop import commands
from workshop.exchange.saving import save


class Command(commands.Answer):
    help = "Save the workshop as plain CSV files in a new or empty folder. The files: docs/reference/csv.md."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("folder", metavar="FOLDER", type=Path, help="a folder that is new or empty")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return asdict(save(options["folder"].expanduser()))

    def lines(self, found: dict[str, Any]) -> list[str]:
        lines = [f"{count:6} rows in {file}" for file, count in found["rows"].items()]
        if found["taken_back"]:
            lines.append(
                f"{found['taken_back']} entries that were taken back are left out, so the value of entries written before "
                "they were taken back can come out by cents different. An exact copy is made by `manage.py backup`."
            )
        return [*lines, f"Saved in {found['folder']}."]
