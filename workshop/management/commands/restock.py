"""`manage.py restock`: what must be ordered, by when, how much."""

from typing import Any

from workshop.answers import daily as answers, plain
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What runs out, when, by when to order it and how many packs."
    takes = {"--on": {"metavar": "DATE", "help": "as of this day (ISO); default: the workshop's today"}}
    lines = staticmethod(answers.restock_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.restock_answer(plain.day(options["on"]))
