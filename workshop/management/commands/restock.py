"""`manage.py restock`: what must be ordered, by when, how much."""

from collections.abc import Iterable
from typing import Any

from workshop.answers import plain, restock as answers
from workshop.answers.mail import digest
from workshop.management import base as commands, shopping


class Command(commands.Answer):
    help = "What runs out, when, by when to order it and how many packs; with --json the forecast behind it."
    takes = {
        "--on": {"metavar": "DATE", "help": "as of this day (ISO); default: the workshop's today"},
        "--material": {"metavar": "CODE", "default": "", "help": "this material only, whether or not it presses"},
        "--service": {
            "metavar": "SHARE",
            "default": "",
            "help": "how often an order should come in time; default 0.95",
        },
        "--extra-batch": {
            "metavar": "RECIPE:SKINS",
            "default": "",
            "help": "as if one more batch were begun, R1:3 for three skins by R1; nothing is kept",
        },
        "--all": {"action": "store_true", "help": "every material, also those with enough"},
        "--list": {"metavar": "FILE", "help": "write the shopping list instead: FILE.pdf or FILE.csv"},
        "--mail": {
            "nargs": "*",
            "metavar": "ADDRESS",
            "help": "mail it instead, where anything presses; default: TAWERY_MAIL_TO",
        },
    }

    def lines(self, found: dict[str, Any]) -> Iterable[str]:
        said = shopping.lines if "file" in found else digest.lines if "sent" in found else answers.restock_lines
        return said(found)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        if options["mail"] is not None:
            return digest.send(plain.day(options["on"]), options["mail"])
        if options["list"] is not None:
            return shopping.write(plain.day(options["on"]), options["list"])
        return answers.restock_answer(
            plain.day(options["on"]),
            material=options["material"],
            service=options["service"],
            everything=options["all"],
            extra_batch=options["extra_batch"],
        )
