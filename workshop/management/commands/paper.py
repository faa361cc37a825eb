"""`manage.py paper invoice|credit|receipt NUMBER -o FILE.pdf`: print the paper of a sale, a credit, a payment or an article."""

from typing import Any

from inventory.errors import Refused
from workshop.documents import printing
from workshop.documents.kit import page
from workshop.documents.records import invoices
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write an invoice, a credit note or a receipt as PDF, as it was issued."
    takes = {
        "paper": {
            "choices": [*invoices.PAPERS, "origin"],
            "help": "receipt: of a sale over the counter, or of a payment or deposit; origin: of an article",
        },
        "number": {"metavar": "NUMBER", "help": "the paper's number, or the article's"},
        "--sheet": {
            "choices": page.SHEETS,
            "default": "",
            "help": "the paper it is printed on; left out: the workshop's own",
        },
        "--buyer": {"action": "store_true", "help": "name who bought it, on an origin pack"},
        "--language": {"default": "", "metavar": "XX", "help": "of the origin pack: en if not given"},
        **commands.OUTPUT,
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, number = options["paper"], options["number"]
        asked = {name: options[name] for name in ("buyer", "language") if options[name]}
        if asked and paper != "origin":
            raise Refused(f"--{next(iter(asked))} is asked of an origin pack alone.", field=next(iter(asked)))
        content = printing.numbered(paper, number, options["sheet"], **asked)
        return commands.written(options["output"], content, paper=paper, number=number)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} {found['number']} to {found['file']}."]
