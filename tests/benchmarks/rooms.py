"""Every room of a workshop of years in a browser, on a phone: how long until it is all there, and pictures if they are wanted.

`python -m tests.benchmarks --years 10 --keep FOLDER` keeps the workshops as files; this opens one of them for real.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import APIResponse, Page

    from tests.browser.conftest import Workshop

MOST = 300.0  # milliseconds from the call to the last picture
RUNS = 4  # the first warms up
# From the call of the page to the end of its load, as the browser itself counts.
TAKEN = "() => performance.getEntriesByType('navigation')[0].loadEventEnd"
PHONE, DESK, HEIGHT = 390, 1280, 900
# What has the most rows of its kind, where the usual address leads to something new.
LONGEST = (
    *("/batches/B1/", "/batches/B1/variance/", "/batches/B1/steps/", "/skins/H01/", "/shelf/SALT/", "/articles/CUSH1/"),
    *("/skins/?state=all", "/articles/?state=all", "/books/?month=2025-06"),
)


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.rooms", description=__doc__)
    parser.add_argument("database", type=Path, help="an SQLite file that --keep left")
    parser.add_argument("--pictures", type=Path, metavar="FOLDER", help="a picture of each room at both widths")
    asked = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="tawery-rooms-") as name:
        served, own = Path(name) / "served", Path(name) / "own"  # the type is cut in one's own and copied
        for folder in (served, own):
            folder.mkdir()
            shutil.copyfile(asked.database, folder / "workshop.sqlite3")
        os.environ["TAWERY_DATA"] = str(own)
        os.environ["DJANGO_SETTINGS_MODULE"] = "workshop.settings"
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        found = sorted(_times(served, asked.pictures), reverse=True)
    for taken, path in found:
        sys.stdout.write(f"{taken:>7.0f} ms {'over ' if taken > MOST else '     '}{path}\n")
    sys.stdout.write(f"{len(found)} rooms, {sum(taken > MOST for taken, _ in found)} over {MOST:.0f} ms\n")
    return 0 if found and found[0][0] <= MOST else 1


def _times(data: Path, pictures: Path | None) -> Iterator[tuple[float, str]]:
    """The least of several for each room, since what disturbs a run only makes it longer."""
    from tests.browser.conftest import opened

    paths = _addresses()
    with opened(data) as workshop:
        page = _page(workshop, PHONE)
        shown = [path for path in paths if _is_room(page.request.get(path))]
        for path in shown:
            times = []
            for _ in range(RUNS):
                page.goto(path, wait_until="load")
                times.append(page.evaluate(TAKEN))
            yield min(times[1:]), path
        if pictures:
            for width in (PHONE, DESK):
                _draw(_page(workshop, width), shown, pictures / str(width))


def _page(workshop: Workshop, width: int) -> Page:
    made: Page = workshop.page(viewport={"width": width, "height": HEIGHT})
    return made


def _draw(page: Page, shown: list[str], folder: Path) -> None:
    for path in shown:
        page.goto(path, wait_until="load")
        name = re.sub(r"\W+", "-", path).strip("-") or "today"
        page.screenshot(path=folder / f"{name}.png", full_page=True)


def _addresses() -> list[str]:
    """Each once: those of the address table, and the longest of their kind."""
    from tests.benchmarks.pages import APART
    from tests.workshop.test_security import NAMES, OPEN, address

    return list(dict.fromkeys([*(address(name) for name in NAMES if name not in {*APART, *OPEN}), *LONGEST]))


def _is_room(answer: APIResponse) -> bool:
    return answer.ok and answer.headers["content-type"].startswith("text/html")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
