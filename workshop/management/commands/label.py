"""`manage.py label PAPER NAME -o FILE.pdf`: print a label of an article, skin, batch, material or place."""

from argparse import ArgumentParser
from decimal import Decimal, InvalidOperation
from typing import Any

from inventory.errors import Refused
from workshop.documents import printing
from workshop.documents.kit import page
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write a label or tag as PDF."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "paper",
            choices=printing.LABELS,
            help="care, ticket: of an article; tag: of a skin; bath, frame: of a batch; jar: of a material; shelf: of a place",
        )
        parser.add_argument(
            "name", metavar="NAME", help="the article's or batch's number, tag, code, or the place's name"
        )
        parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf", help="where to write it")
        parser.add_argument("--copies", type=int, default=1, metavar="N", help="how many; 1 if not given")
        parser.add_argument("--sheet", choices=page.SHEETS, default="", help="laid on sheets to cut apart")
        parser.add_argument("--litres", metavar="N", help="what the jar holds; 1 if not given")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, name = options["paper"], options["name"]
        litres = None if options["litres"] is None else _litres(options["litres"])
        content = printing.label(paper, name, copies=options["copies"], sheet=options["sheet"], litres=litres)
        target = commands.write(options["output"], content)
        about = {"article": name} if paper in printing.ARTICLE_LABELS else {}
        copies = str(options["copies"])
        return {
            "paper": paper,
            "name": name,
            **about,
            "copies": copies,
            "file": str(target),
            "bytes": str(len(content)),
        }

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} paper of {found['name']} to {found['file']}."]


def _litres(text: str) -> Decimal:
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise Refused(f"{text!r} is not a number. Write the litres as 1 or 0.5.", field="litres") from None
