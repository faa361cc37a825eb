"""`manage.py stock_value`: what everything is worth at book cost."""

from argparse import ArgumentParser
from typing import Any

from costing.report.valuation import report as worth_report
from workshop.answers import plain as answers_plain
from workshop.management import base as commands
from workshop.reports import answers


class Command(commands.Answer):
    help = "What consumables, raw skins, work begun and finished pieces are worth at book cost on a day."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--on", metavar="DATE", help="at the end of this day (ISO); default: the workshop's today")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.shape(worth_report.at(answers_plain.day(options["on"])))

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.worth_lines(found))
