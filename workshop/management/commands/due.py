"""`manage.py due`: what needs hands in the shed."""

from argparse import ArgumentParser
from typing import Any

from workshop.answers import daily as answers, plain as answers_plain
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What is due in the shed, overdue and coming, by place, with what each delay puts at risk."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--on", metavar="DATE", help="as it stood on this day (ISO); default: the workshop's today")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.due_answer(answers_plain.day(options["on"]))

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.due_lines(found))
