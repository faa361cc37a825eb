"""`manage.py results YEAR`: what a year brought in."""

from typing import Any

from costing.report.year import report as year_report, selectors as years
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = (
        "What a year brought in: both profits and the bridge between them, where the stock went, what an hour earned."
    )
    takes = {
        "year": {"metavar": "YEAR", "help": "the calendar year, for example 2025"},
        "--xlsx": {"metavar": "FILE", "help": "write all tables as a workbook too"},
        "--pdf": {"metavar": "FILE", "help": "write it as PDF too"},
    }
    lines = staticmethod(answers.year_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        asked = options["xlsx"] is not None or options["pdf"] is not None
        found = year_report.at(years.number_of(options["year"]), files=asked)
        commands.write_asked(options, found, xlsx=files.workbook, pdf=files.paper)
        return answers.year_shape(found)
