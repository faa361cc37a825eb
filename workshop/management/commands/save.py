"""`manage.py save FOLDER`: the whole workshop as a folder of plain CSV files."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from workshop.management import base as commands
from workshop.transfer.format.album import BILLS, PHOTOS
from workshop.transfer.saving import save


class Command(commands.Answer):
    help = "Save the workshop as plain CSV files in a new or empty folder. The files: docs/reference/csv.md."
    takes = {"folder": {"metavar": "FOLDER", "type": Path, "help": "a folder that is new or empty"}}

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return asdict(save(options["folder"].expanduser()))

    def lines(self, found: dict[str, Any]) -> list[str]:
        lines = [f"{count:6} rows in {file}" for file, count in found["rows"].items()]
        if found["photos"]:
            lines.append(f"{found['photos']:6} photos in {PHOTOS.name}/")
        if found["bills"]:
            lines.append(f"{found['bills']:6} bills in {BILLS.name}/")
        if found["running"]:
            lines.append(
                f"Timers that still run, and are not saved: {found['running']}. Minutes are written when a timer stops; stop "
                "what runs, then save once more into another folder."
            )
        if found["taken_back"]:
            lines.append(
                f"{found['taken_back']} reversed and left out. The value of what was written in between can differ by cents "
                "when this is loaded; for an exact copy, copy the data folder."
            )
        return [*lines, f"Saved in {found['folder']}."]
