"""`manage.py results YEAR`: what a year brought in."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from workshop.management import base as commands
from workshop.year import answers as answers_results
from workshop.year import files as results_files


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
        found = results_files.look(options["year"])
        files = {}
        if options["xlsx"]:
            files[options["xlsx"]] = results_files.workbook(found)
        if options["pdf"]:
            files[options["pdf"]] = results_files.pdf(found)
        commands.write_all(files)
        return answers_results.results_shape(found)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers_results.results_lines(found))
