"""`manage.py stock_value`: what everything is worth at book cost."""

from typing import Any

from costing.report.valuation import report as worth_report
from workshop.answers import plain
from workshop.management import base as commands
from workshop.reports import answers


class Command(commands.Answer):
    help = "What consumables, raw skins, work begun and finished pieces are worth at book cost on a day."
    takes = {"--on": {"metavar": "DATE", "help": "at the end of this day (ISO); default: the workshop's today"}}
    lines = staticmethod(answers.worth_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers.shape(worth_report.at(plain.day(options["on"])))
