"""`manage.py price ARTICLE`: what a piece cost and the least to take for it."""

from argparse import ArgumentParser
from typing import Any

from workshop.answers import daily as answers
from workshop.management import base as commands


class Command(commands.Answer):
    help = "What an article (or a skin in work) cost, its three floors on a channel, and what it earns an hour."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("article", metavar="ARTICLE", help="an article's number, or the tag of a skin in work")
        parser.add_argument("--channel", metavar="NAME", help="where it is sold; default: the usual channel")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.price_answer(options["article"], options["channel"])

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.price_lines(found))
