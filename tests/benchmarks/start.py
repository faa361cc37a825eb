"""What a worker of the web costs before its first request, against Django with the same libraries and none of our code."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.table import Case

MOST = 1.2
RUNS = 3
# The processor's seconds since the process began, and the memory it holds, in bytes.
TOLD = "\nimport resource, time\nprint(time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)"
OURS = "import workshop.wsgi"
ALONE = """
import sys
from django.conf import settings
from workshop import settings as ours
kept = {name: getattr(ours, name) for name in dir(ours) if name.isupper()}
own = ("inventory", "costing", "workshop")
kept["INSTALLED_APPS"] = [name for name in kept["INSTALLED_APPS"] if name not in own]
kept["MIDDLEWARE"] = [name for name in kept["MIDDLEWARE"] if not name.startswith(own)]
kept["ROOT_URLCONF"] = "django.contrib.auth.urls"
settings.configure(**kept)
from django.core.wsgi import get_wsgi_application
get_wsgi_application()
"""


def worker() -> Iterator[Case]:
    """By turns, the least of several; memory stands in the columns of time, a megabyte as a millisecond."""
    turns = [(_started(OURS), _started(ALONE)) for _ in range(RUNS)]
    (ours, held), (bare, held_bare) = (tuple(map(min, zip(*each, strict=True))) for each in zip(*turns, strict=True))
    yield Case("start of a web worker", ours, bare, "Django and its libraries alone", MOST)
    yield Case(
        "memory of a web worker (MB for ms)", held / 1e9, held_bare / 1e9, "Django and its libraries alone", MOST
    )


def _started(code: str) -> tuple[float, float]:
    top = Path(__file__).resolve().parents[2]
    done = subprocess.run([sys.executable, "-c", code + TOLD], capture_output=True, text=True, check=True, cwd=top)
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory)
