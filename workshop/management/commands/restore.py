"""`manage.py restore FILE`: a copy put back, proved before it takes the place of what is there."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from workshop.management import base as commands
from workshop.transfer.copies.restoring import restore


class Command(commands.Answer):
    help = "Put a copy back. It is proved beside before it takes the place of what is there, which keeps a dated name."
    takes = {
        "file": {"metavar": "FILE", "help": "a copy made by backup, open or the page"},
        "--into": {"metavar": "DIR", "help": "the data folder to put it in; the workshop's own if not given"},
        "--although-books-differ": {
            "action": "store_true",
            "help": "put it back although its books do not agree, where it is the only copy",
        },
    }
    at_home = False

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        into = Path(options["into"]).expanduser() if options["into"] else None
        found = asdict(restore(Path(options["file"]).expanduser(), into=into, differ=options["although_books_differ"]))
        return {**found, "rows": str(found["rows"]), "differences": str(found["differences"])}

    def lines(self, found: dict[str, Any]) -> list[str]:
        before = [f"What stood there is in {found['before']}."] if found["before"] else []
        books = "books clean"
        if found["differences"] != "0":
            books = f"and its books differ in {found['differences']} places: `check_books` lists them"
        return [f"The workshop of {found['made_at']} is in {found['folder']}: {found['rows']} rows, {books}.", *before]
