"""`python -m tests.benchmarks [--smoke]`: how far the product is from the bare limit, measured in the same run.

Each row times the product's way and the least work that could give the same answer, and prints their ratio. Times alone say
little on a shared machine; a ratio that jumps says that something was made slow. Uses a database of its own in a temp folder.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable


def _median(work: Callable[[], object], times: int) -> float:
    spent = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return statistics.median(spent)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--smoke", action="store_true", help="a few rounds only: does every benchmark still run?")
    rounds = 3 if parser.parse_args().smoke else 15
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TAWERY_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        from tests.benchmarks import pairs

        entries = 300 if rounds == 3 else 20_000
        pairs.fill(entries)
        print(f"{entries} movements, {rounds} rounds, medians")
        print(f"{'what':<46}{'product':>12}{'bare limit':>12}{'ratio':>8}")
        for name, product, bare in pairs.PAIRS:
            ours, least = _median(product, rounds), _median(bare, rounds)
            if least <= 0:
                print(f"{name}: the bare limit took no time, so there is no ratio", file=sys.stderr)
                return 1
            print(f"{name:<46}{ours * 1000:>9.2f} ms{least * 1000:>9.2f} ms{ours / least:>8.1f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
