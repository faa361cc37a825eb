"""`manage.py cashbook YEAR`: what moved money, by account and month."""

from typing import Any

from costing.report.cashbook import report as cashbook_report
from costing.report.year import selectors as years
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = "What moved money in a year, by account and month: opening + in - out = closing. Also as CSV and PDF."
    takes = {
        "year": {"metavar": "YEAR", "help": "the calendar year, for example 2025"},
        "--csv": {"metavar": "FILE", "help": "write the entries as CSV too"},
        "--pdf": {"metavar": "FILE", "help": "write it as PDF too"},
    }
    lines = staticmethod(answers.cashbook_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = cashbook_report.at(years.number_of(options["year"]))
        commands.write_asked(options, found, csv=lambda report: files.table_csv(report, "entries"), pdf=files.paper)
        return answers.shape(found)
