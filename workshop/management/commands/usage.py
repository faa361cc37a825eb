"""`manage.py usage YYYY-MM`: the monthly material use."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from workshop.answers import daily as answers
from workshop.management import base as commands
from workshop.reports import material_use as month_csv


class Command(commands.Answer):
    help = "What each material did in a month: opening + in - used - other = closing. Also as CSV and PDF."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("month", metavar="YYYY-MM", help="the month, for example 2025-01")
        parser.add_argument("--csv", metavar="FILE", help="write it as CSV too")
        parser.add_argument("--pdf", metavar="FILE", help="write it as PDF too")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        found = answers.usage_answer(options["month"])
        files = {}
        if options["csv"]:
            files[options["csv"]] = month_csv.write(options["month"])
        if options["pdf"]:
            from workshop.documents import printing  # brings in the drawing library

            files[options["pdf"]] = printing.paper("month", options["month"])
        commands.write_all(files)
        return found

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers.usage_lines(found))
