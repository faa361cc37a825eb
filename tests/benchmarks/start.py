"""What a worker of the web costs before its first request, against Django with the same libraries and none of our code."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.table import Case

MOST = 1.2
# The processor's seconds since the process began, and the kilobytes that it holds.
TOLD = """
import re, time
from pathlib import Path
print(time.process_time(), *re.findall(r"VmRSS:\\s+(\\d+)", Path("/proc/self/status").read_text()))
"""
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


def worker(runs: int) -> Iterator[Case]:
    """By turns, the least of several."""
    with tempfile.TemporaryDirectory() as compiled:
        turns = [(_started(OURS, compiled), _started(ALONE, compiled)) for _ in range(runs)]
    (ours, held), (bare, held_bare) = (tuple(map(min, zip(*each, strict=True))) for each in zip(*turns, strict=True))
    yield Case("start of a web worker", ours, bare, "Django and its libraries alone", MOST)
    alone = "Django and its libraries alone"
    yield Case("memory of a web worker", held / 1e3, held_bare / 1e3, alone, MOST, unit="MB")


def _started(code: str, compiled: str) -> tuple[float, float]:
    """With its modules compiled, as they are from the second start on."""
    top = Path(__file__).resolve().parents[2]
    told = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    told["PYTHONPYCACHEPREFIX"] = compiled
    run = [sys.executable, "-c", code + TOLD]
    done = subprocess.run(run, capture_output=True, text=True, check=True, cwd=top, env=told)
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory)
