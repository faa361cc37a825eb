"""`manage.py due`: what needs hands in the shed."""

from typing import Any

from workshop.answers import daily as answers, plain
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What is due in the shed, overdue and coming, by place, with what each delay puts at risk."
    takes = {"--on": {"metavar": "DATE", "help": "as it stood on this day (ISO); default: the workshop's today"}}
    lines = staticmethod(answers.due_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.due_answer(plain.day(options["on"]))
