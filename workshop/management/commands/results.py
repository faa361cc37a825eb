"""`manage.py results YEAR`: what a year brought in."""

from argparse import ArgumentParser
from typing import Any

from costing.report.year import report as year_report, selectors as years
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = (
        "What a year brought in: both profits and the bridge between them, where the stock went, what an hour earned."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("year", metavar="YEAR", help="the calendar year, for example 2025")
        parser.add_argument("--xlsx", metavar="FILE", help="write all tables as a workbook too")
        parser.add_argument("--pdf", metavar="FILE", help="write it as PDF too")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        wanted = {options["xlsx"]: files.workbook, options["pdf"]: files.paper}
        wanted.pop(None, None)
        found = year_report.at(years.number_of(options["year"]), files=bool(wanted))
        commands.write_all({path: write(found) for path, write in wanted.items()})
        return answers.year_shape(found)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.year_lines(found))
