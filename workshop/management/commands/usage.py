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
        commands.write_asked(options, found, csv=lambda report: files.table_csv(report, "lines"), pdf=files.paper)
        return answers.shape(found)
