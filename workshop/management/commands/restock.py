"""`manage.py restock`: what must be ordered, by when, how much."""

from argparse import ArgumentParser
from typing import Any

from workshop.answers import daily as answers, plain as answers_plain
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What runs out, when, by when to order it and how many packs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--on", metavar="DATE", help="as of this day (ISO); default: the workshop's today")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.restock_answer(answers_plain.day(options["on"]))

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.restock_lines(found))
