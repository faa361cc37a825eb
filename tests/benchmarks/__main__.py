"""Runs the benchmarks on a database of their own, in a folder that is gone afterwards, and prints the table."""

from __future__ import annotations

import argparse
import math
import os
import sys
import tempfile
from pathlib import Path


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="small amounts, under 20 seconds: does it still run?")
    parser.add_argument(
        "--movements", type=int, metavar="N", help="how large the ledger is (200,000; with --smoke 5,000)"
    )
    asked = parser.parse_args(words)
    movements = asked.movements or (5_000 if asked.smoke else 200_000)
    with tempfile.TemporaryDirectory(prefix="tawery-bench-") as folder:
        _prepare(Path(folder))
        from tests.benchmarks import cases

        ratios = [_say(case) for case in cases.run(Path(folder), smoke=asked.smoke, movements=movements)]
    # A ratio that is no number means that something was measured over nothing.
    return 0 if ratios and all(math.isfinite(ratio) and ratio > 0 for ratio in ratios) else 1


def _prepare(folder: Path) -> None:
    """Settings are read at the first import, so the folder must stand in the environment before Django starts. Of a database that
    DATABASE_URL names only postings are measured, in one that is made for it beside."""
    os.environ["TAWERY_DATA"] = str(folder)
    os.environ["DJANGO_SETTINGS_MODULE"] = "workshop.settings"
    import django
    from django.core.management import call_command
    from django.db import connection

    django.setup()
    if "DATABASE_URL" in os.environ:
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    else:
        call_command("migrate", verbosity=0)
    sys.stdout.write(f"{'what':<52}{'ours':>10}{'bare':>10}{'ratio':>8}{'at most':>15}  bare limit\n")


def _say(case: tuple[str, float, float, str, str]) -> float:
    what, ours, bare, limit, at_most = case
    ratio = ours / bare if bare else math.inf
    sys.stdout.write(f"{what:<52}{ours * 1000:>8.2f}ms{bare * 1000:>8.2f}ms{ratio:>8.2f}{at_most:>15}  {limit}\n")
    sys.stdout.flush()
    return ratio


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
