"""`manage.py backup [FILE]`: a copy of the whole workshop in one file, while people write."""

from pathlib import Path
from typing import Any

from workshop.management import base as commands
from workshop.transfer.copies import services as copies, shelf


class Command(commands.Answer):
    help = "Copy the whole workshop into one file, while people write: database, photos, bills, key. Read back and found good."
    takes = {
        "file": {
            "metavar": "FILE",
            "nargs": "?",
            "help": "a file that is not there yet, or a folder for a dated one; if not given, the folder of copies",
        }
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        wanted = options["file"]
        made = copies.make(target=Path(wanted).expanduser() if wanted else None)
        return {
            "file": str(made.file),
            "made_at": made.made.isoformat(timespec="seconds"),
            "bytes": str(made.size),
            "another_disk": shelf.on_another_disk(made.file),
        }

    def lines(self, found: dict[str, Any]) -> list[str]:
        same = "It lies on the same disk as the workshop: keep one elsewhere too."
        return [
            f"Copied to {found['file']}, {found['bytes']} bytes, and read back.",
            *([] if found["another_disk"] else [same]),
        ]
