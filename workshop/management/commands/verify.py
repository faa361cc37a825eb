"""`manage.py verify FILE`: whether a copy is good. It is unpacked into a place of its own and its books are worked out anew."""

from pathlib import Path
from typing import Any

from workshop.management import base as commands
from workshop.transfer.copies import services as copies


class Command(commands.Answer):
    help = "Look whether a copy is good: every checksum, the database, and its books worked out anew. Changes nothing."
    takes = {"file": {"metavar": "FILE", "help": "a copy made by backup, open or the page"}}
    at_home = False

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = copies.verify(Path(options["file"]).expanduser())
        return {
            "file": options["file"],
            "made_at": found.made.isoformat(timespec="seconds"),
            "files": str(len(found.files)),
            "rows": str(sum(found.rows.values())),
        }

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [
            f"The copy of {found['made_at']} is good: {found['files']} files, {found['rows']} rows, and its books are clean."
        ]
