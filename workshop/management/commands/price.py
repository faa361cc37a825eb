"""`manage.py price ARTICLE`: what a piece cost and the least to take for it."""

from typing import Any

from workshop.answers import daily as answers
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What an article (or a skin in work) cost, its three floors on a channel, and what it earns an hour."
    takes = {
        "article": {"metavar": "ARTICLE", "help": "an article's number, or the tag of a skin in work"},
        "--channel": {"metavar": "NAME", "help": "where it is sold; default: the usual channel"},
    }
    lines = staticmethod(answers.price_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.price_answer(options["article"], options["channel"])
