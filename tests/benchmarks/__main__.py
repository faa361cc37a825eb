"""Runs the benchmarks on databases of their own, in a folder that is gone afterwards, and prints the table."""

from __future__ import annotations

import argparse
import logging
import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.benchmarks.table import Case

COPIES = 5


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="small amounts, under 25 seconds: does it still run?")
    parser.add_argument("--movements", type=int, metavar="N", help="only the ledger, of so many movements (200,000)")
    parser.add_argument("--years", type=int, metavar="N", help="only the pages of a workshop of so many years (10)")
    parser.add_argument("--profile", action="store_true", help="where each page of over 50 ms spends its time")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="keep the workshops of years as SQLite files there")
    parser.add_argument("--write", action="store_true", help="put what was measured into docs/explanation/speed.md")
    asked = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="tawery-bench-") as name:
        empty = _prepare(folder := Path(name))
        both = not asked.movements and not asked.years
        cases: list[Case] = []
        if asked.movements or both:
            cases += _ledger(folder, asked.movements or (5_000 if asked.smoke else 200_000), smoke=asked.smoke)
        if asked.years or (both and "DATABASE_URL" not in os.environ):
            cases += _years(folder, empty, asked, asked.years or (2 if asked.smoke else 10))
        if asked.write:
            _write(cases)
    return 0 if cases and all(case.measured for case in cases) else 1


def _write(cases: list[Case]) -> None:
    from tests.benchmarks import table

    table.write(cases)


def _prepare(folder: Path) -> Path:
    """Settings are read at the first import, so the folder must stand in the environment before Django starts.

    Gives a database without a row, to be copied. Of one that DATABASE_URL names only postings are measured, in a database that is
    made for it beside.
    """
    os.environ["TAWERY_DATA"] = str(folder)
    os.environ["DJANGO_SETTINGS_MODULE"] = "workshop.settings"
    import django
    from django.core.management import call_command
    from django.db import connection

    django.setup()
    from tests.benchmarks.table import HEAD

    sys.stdout.write(HEAD + "\n")
    if "DATABASE_URL" in os.environ:
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
        return folder
    call_command("migrate", verbosity=0)
    connection.close()  # what is still beside the file goes into it
    # Addresses that lead nowhere are asked for too.
    logging.getLogger("django.request").setLevel(logging.CRITICAL)
    return Path(shutil.copyfile(connection.settings_dict["NAME"], folder / "empty.sqlite3"))


def _ledger(folder: Path, movements: int, *, smoke: bool) -> list[Case]:
    from tests.benchmarks import cases

    measured = []
    for case in cases.run(folder, smoke=smoke, movements=movements):
        _say(case.line())
        measured.append(case)
    return measured


def _years(folder: Path, empty: Path, asked: argparse.Namespace, length: int) -> list[Case]:
    from tests.benchmarks import pages, workshops

    place = asked.keep or folder / "years"
    place.mkdir(parents=True, exist_ok=True)
    long, short = workshops.of_years(place, empty, length=length, copies=1 if asked.smoke else COPIES)
    measured = [workshops.loading(long)]
    _say(measured[0].line())
    for case, path in pages.compare(long, short, every=not asked.smoke):
        _say(case.line())
        measured.append(case)
        if asked.profile and not case.unit and case.ours > pages.SLOW:
            for line in pages.profiled(long, path):
                _say(line)
    return measured


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
