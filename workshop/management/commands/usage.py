"""`manage.py usage YYYY-MM`: the monthly material use."""

from typing import Any

from costing.report.usage import report as usage_report
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = "What each material did in a month: opening + in - used - other = closing. Also as CSV and PDF."
    takes = {
        "month": {"metavar": "YYYY-MM", "help": "the month, for example 2025-01"},
        "--csv": {"metavar": "FILE", "help": "write it as CSV too"},
        "--pdf": {"metavar": "FILE", "help": "write it as PDF too"},
    }
    lines = staticmethod(answers.month_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = usage_report.month(options["month"])
        written = {}
        if options["csv"]:
            written[options["csv"]] = files.table_csv(found, "lines")
        if options["pdf"]:
            written[options["pdf"]] = files.paper(found)
        commands.write_all(written)
        return answers.shape(found)
