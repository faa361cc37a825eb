"""`manage.py paper KIND NUMBER -o FILE.pdf`: print a paper of which a number or a name says all."""

from typing import Any

from inventory.errors import Refused
from workshop.documents import printing
from workshop.documents.kit import page
from workshop.documents.words.rules import LANGUAGES
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write an invoice, a credit note or a receipt as PDF, as it was issued; or another paper of one thing."
    takes = {
        "paper": {
            "choices": printing.NUMBERED,
            "help": "receipt: of a sale over the counter, or of a payment or deposit; card: of a batch; origin: of an article; "
            "grid: of a frame, to count a hide's area on",
        },
        "number": {
            "metavar": "NUMBER",
            "help": "of the sale, payment, job, batch or article; the invoice of a reminder, the customer of a statement, the "
            "gallery; the inside of the frame for the grid, 1200x1500x100mm or 48x60x6in, the last how far apart its cords are",
        },
        "--language": {
            "choices": LANGUAGES,
            "default": "",
            "help": "of the words on it; left out: the customer's, else the workshop's",
        },
        "--sheet": {
            "choices": page.SHEETS,
            "default": "",
            "help": "the paper it is printed on; left out: the workshop's own",
        },
        "--buyer": {"action": "store_true", "help": "name who bought it, on an origin pack"},
        **commands.OUTPUT,
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, number = options["paper"], options["number"]
        asked = {"buyer": True} if options["buyer"] else {}
        if asked and paper != "origin":
            raise Refused("--buyer is asked of an origin pack alone.", field="buyer")
        content = printing.numbered(paper, number, options["sheet"], options["language"], **asked)
        return commands.written(options["output"], content, paper=paper, number=number)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} {found['number']} to {found['file']}."]
