"""`manage.py card BATCH -o FILE.pdf`: the batch card to hang by the tub."""

from typing import Any

from workshop.documents import printing
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write a batch's card as PDF: amounts, a box to tick for each day's work, cautions, hours, readings."
    takes = {"batch": {"metavar": "BATCH", "help": "the batch's number"}, **commands.OUTPUT}

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        batch = options["batch"]
        return commands.written(options["output"], printing.paper("card", batch), batch=batch)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the card of {found['batch']} to {found['file']}."]
