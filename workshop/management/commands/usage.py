"""`manage.py usage YYYY-MM`: the monthly material use."""

from argparse import ArgumentParser
from typing import Any

from costing.report.usage import report as usage_report
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = "What each material did in a month: opening + in - used - other = closing. Also as CSV and PDF."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("month", metavar="YYYY-MM", help="the month, for example 2025-01")
        parser.add_argument("--csv", metavar="FILE", help="write it as CSV too")
        parser.add_argument("--pdf", metavar="FILE", help="write it as PDF too")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = usage_report.month(options["month"])
        written = {}
        if options["csv"]:
            written[options["csv"]] = files.table_csv(found, "lines")
        if options["pdf"]:
            written[options["pdf"]] = files.paper(found)
        commands.write_all(written)
        return answers.shape(found)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.month_lines(found))
