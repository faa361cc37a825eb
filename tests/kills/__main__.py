"""Kills each case so often, at moments spread over how long it takes, and prints what was found after. Exit 1 for anything half."""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.kills", description=__doc__)
    parser.add_argument("--times", type=int, default=24, metavar="N", help="so many kills in all (24)")
    asked = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="tawery-kills-") as name:
        folder = Path(name)
        # Settings are read at the first import, so the folder must stand in the environment before Django starts.
        os.environ.pop("DATABASE_URL", None)
        os.environ.update(TAWERY_DATA=str(folder / "shed"), DJANGO_SETTINGS_MODULE="workshop.settings")
        import django

        django.setup()
        from tests.kills import cases

        made = cases.every(folder)
        shares = sum(case.share for case in made)
        return 1 if sum([_run(case, max(1, asked.times * case.share // shares)) for case in made]) else 0


def _run(case: object, times: int) -> int:
    """So many kills of one case; how many left something half. First it runs undisturbed, which says how long it takes."""
    from tests.kills.cases import Case
    from tests.workshop.transfer.copies.killing import killed_after

    assert isinstance(case, Case)
    case.anew()
    began = time.perf_counter()
    killed_after(case.lasts, case.act)
    lasts = time.perf_counter() - began
    found = Counter({case.looked(): 1})
    assert set(found) == {"new"}, f"{case.name} undisturbed left {dict(found)}"
    found.clear()
    kills = 0
    for _ in range(times):
        case.anew()
        kills += killed_after(random.uniform(0, lasts), case.act)  # noqa: S311 - any moment will do
        found[case.looked()] += 1
    half = times - found["old"] - found["new"]
    sys.stdout.write(
        f"{case.name:<12}{times:>5} runs of {lasts:.1f} s, {kills} killed: old {found['old']}, new {found['new']}, half {half}\n"
    )
    sys.stdout.writelines(f"  {said}\n" for said in found if said not in ("old", "new"))
    sys.stdout.flush()
    return half


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
