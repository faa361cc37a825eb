"""`manage.py einvoice NUMBER --syntax ubl|cii|pdf -o FILE`: an issued invoice or credit note as a program reads it."""

from typing import Any

from workshop.documents.einvoice import files, rules, selectors
from workshop.documents.words.rules import LANGUAGES
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write an invoice or a credit note as an e-invoice after EN 16931."
    takes = {
        "number": {"metavar": "NUMBER", "help": "the paper's number"},
        "--syntax": {"choices": files.SYNTAXES, "default": "pdf", "help": "pdf (with the cii in it) if not given"},
        "--untaxed": {
            "choices": [code.value for code in rules.UNTAXED],
            "default": "",
            "help": "what lines without tax are: "
            + ", ".join(f"{code.value} {says}" for code, says in rules.UNTAXED.items()),
        },
        "--buyer-reference": {"default": "", "metavar": "TEXT", "help": "the buyer's own reference, if they named one"},
        "--language": {"choices": LANGUAGES, "default": "", "help": "of the words in it; English if not given"},
        "-o --output": {"required": True, "metavar": "FILE", "help": "where to write it"},
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        sale = selectors.numbered(options["number"])
        asked = {name: options[name] for name in ("untaxed", "buyer_reference", "language")}
        made = files.made(sale, options["syntax"], **asked)
        return commands.written(options["output"], made.content, number=sale.number, syntax=options["syntax"])

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote {found['number']} as an e-invoice ({found['syntax']}) to {found['file']}."]
