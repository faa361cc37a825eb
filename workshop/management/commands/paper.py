"""`manage.py paper invoice|credit|receipt NUMBER -o FILE.pdf`: print the paper of a sale, a credit or a payment."""

from typing import Any

from workshop.documents import printing
from workshop.documents.kit import page
from workshop.documents.records import invoices
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write an invoice, a credit note or a receipt as PDF, as it was issued."
    takes = {
        "paper": {
            "choices": invoices.PAPERS,
            "help": "receipt: of a sale over the counter, or of a payment or deposit",
        },
        "number": {"metavar": "NUMBER", "help": "the paper's number"},
        "--sheet": {
            "choices": page.SHEETS,
            "default": "",
            "help": "the paper it is printed on; left out: the workshop's own",
        },
        **commands.OUTPUT,
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, number = options["paper"], options["number"]
        content = printing.numbered(paper, number, options["sheet"])
        return commands.written(options["output"], content, paper=paper, number=number)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} {found['number']} to {found['file']}."]
