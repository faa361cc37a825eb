"""`manage.py results YEAR`: what a year brought in."""

from typing import Any

from costing.report.year import report as year_report
from costing.report.year import selectors as years
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
        wanted = {options["xlsx"]: files.workbook, options["pdf"]: files.paper}
        wanted.pop(None, None)
        found = year_report.at(years.number_of(options["year"]), files=bool(wanted))
        commands.write_all({path: write(found) for path, write in wanted.items()})
        return answers.year_shape(found)
