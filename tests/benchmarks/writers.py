"""Eight writers at one material, each a process of its own, against one: `python -m tests.benchmarks.writers [--smoke]`.

The shelf holds less than all of them want, so that some must be refused: what was acknowledged must be exactly what left it.
On the database of DATABASE_URL, which must be empty; on SQLite without it.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from datetime import date
from decimal import Decimal
from multiprocessing import get_context
from multiprocessing.synchronize import Barrier
from pathlib import Path

from tests.benchmarks import table

DAY = date(2025, 6, 2)
WRITERS = 8
AT_LEAST = 0.6  # of one writer's rate
Outcome = tuple[int, int, list[str], float]  # acknowledged, refused for want of stock, anything else, seconds


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.writers", description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="few entries: does it still run?")
    parser.add_argument("--write", action="store_true", help="put what was measured into docs/explanation/speed.md")
    asked = parser.parse_args(words)
    each = 10 if asked.smoke else 150
    with tempfile.TemporaryDirectory(prefix="tawery-bench-") as folder:
        os.environ.update(TAWERY_DATA=str(Path(folder)), DJANGO_SETTINGS_MODULE="workshop.settings")
        vendor = _prepare()
        alone, one_faults = _round("ONE", 1, each * 4, short=0)
        together, faults = _round("SALT", WRITERS, each, short=each)
    what = table.named("eight writers against one", vendor)
    case = table.Case(what, together, alone, "entries of one writer", least=AT_LEAST, unit="/s")
    sys.stdout.write(f"{table.HEAD}\n{case.line()}\n")
    sys.stdout.writelines(f"{fault}\n" for fault in (*one_faults, *faults))
    if one_faults or faults:
        return 1
    if asked.write:
        table.write([case])
    return 0


def _prepare() -> str:
    import django
    from django.core.management import call_command
    from django.db import connection

    django.setup()
    call_command("migrate", verbosity=0)
    vendor = connection.vendor
    connection.close()
    return vendor


def _round(code: str, writers: int, each: int, *, short: int) -> tuple[float, list[str]]:
    """Entries a second, and what went wrong: a lock error, an oversell, an entry that was acknowledged and is not there."""
    from django.db import connection

    from inventory.models import Material, Movement
    from tests import factories

    there = writers * each - short
    factories.receive(factories.material(code, "g"), there, there, on=DAY)
    connection.close()
    spawn = get_context("spawn")
    start = spawn.Barrier(writers)
    with spawn.Pool(writers, initializer=_ready, initargs=[start]) as pool:
        outcomes: list[Outcome] = pool.starmap(_write, [(code, each)] * writers, chunksize=1)
    written, refused = sum(each[0] for each in outcomes), sum(each[1] for each in outcomes)
    faults = [fault for each in outcomes for fault in each[2]]
    left = Material.objects.get(code=code).on_hand
    kept = Movement.objects.filter(material__code=code, kind="use").count()
    if (written, refused, left, kept) != (there, short, 0, there):
        faults.append(f"acknowledged {written}, refused {refused}, {left} left, {kept} in the ledger of {there}")
    return (written + refused) / max(each[3] for each in outcomes), faults


def _ready(start: Barrier) -> None:
    import django

    django.setup()
    global _start
    _start = start


def _write(code: str, times: int) -> Outcome:
    """So many uses of one, each in a transaction of its own."""
    from inventory.errors import Refused
    from inventory.ledger import services as ledger
    from inventory.models import Kind, Material

    material = Material.objects.get(code=code)
    written, refused, faults = 0, 0, []
    _start.wait()
    began = time.perf_counter()
    for _ in range(times):
        try:
            ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(material, Decimal(1))])
            written += 1
        except Refused:
            refused += 1
        except Exception as fault:  # whatever it is, it should not be
            faults.append(f"{type(fault).__name__}: {fault}".replace("\n", " "))
    return written, refused, faults, time.perf_counter() - began


_start: Barrier

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
