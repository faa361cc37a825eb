"""`manage.py card BATCH -o FILE.pdf`: the batch card to hang by the tub."""

from argparse import ArgumentParser
from typing import Any

from workshop.documents import printing
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write a batch's card as PDF: amounts, a box to tick for each day's work, cautions, hours, readings."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("batch", metavar="BATCH", help="the batch's number")
        parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf", help="where to write it")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        content = printing.paper("card", options["batch"])
        target = commands.write(options["output"], content)
        return {"batch": options["batch"], "file": str(target), "bytes": str(len(content))}

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the card of {found['batch']} to {found['file']}."]
