"""`manage.py tax FROM [TO]`: sales and purchases of a period by tax rate, and what is due."""

from typing import Any

from costing.report.tax import report as tax_report
from costing.report.tax.rules import period
from workshop.management import base as commands
from workshop.reports import answers, files


class Command(commands.Answer):
    help = "Sales by tax rate and by reason for none, credits, purchases whose tax is deducted, and what is due."
    takes = {
        "from": {"metavar": "FROM", "help": "a day, month, quarter or year: 2025-03-31, 2025-03, 2025-Q1, 2025"},
        "to": {"metavar": "TO", "nargs": "?", "default": "", "help": "the last one; left out, FROM alone"},
        "--csv": {"metavar": "FILE", "help": "write the sales by rate as CSV too"},
        "--xlsx": {"metavar": "FILE", "help": "write all tables as a workbook too"},
        "--pdf": {"metavar": "FILE", "help": "write it as PDF too"},
    }
    lines = staticmethod(answers.tax_lines)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = tax_report.of(period(options["from"], options["to"]))
        commands.write_asked(
            options, found, csv=lambda report: files.table_csv(report, "sales"), xlsx=files.workbook, pdf=files.paper
        )
        return answers.shape(found)
