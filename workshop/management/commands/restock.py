"""`manage.py restock`: what must be ordered, by when, how much."""

from typing import Any

from workshop.answers import plain, restock as answers
from workshop.management import base as commands


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
    }
    lines = staticmethod(answers.restock_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.restock_answer(
            plain.day(options["on"]),
            material=options["material"],
            service=options["service"],
            everything=options["all"],
            extra_batch=options["extra_batch"],
        )
