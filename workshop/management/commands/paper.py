"""`manage.py paper invoice|credit|receipt NUMBER -o FILE.pdf`: print the paper of a sale, a credit or a payment."""

from argparse import ArgumentParser
from typing import Any

from workshop.documents import printing
from workshop.documents.kit import page
from workshop.documents.records import invoices
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write an invoice, a credit note or a receipt as PDF, as it was issued."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "paper", choices=invoices.PAPERS, help="receipt: of a sale over the counter, or of a payment or deposit"
        )
        parser.add_argument("number", metavar="NUMBER", help="the paper's number")
        parser.add_argument("--sheet", choices=page.SHEETS, default="a4", help="the paper it is printed on")
        parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf", help="where to write it")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, number = options["paper"], options["number"]
        content = printing.numbered(paper, number, options["sheet"])
        target = commands.write(options["output"], content)
        return {"paper": paper, "number": number, "file": str(target), "bytes": str(len(content))}

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} {found['number']} to {found['file']}."]
