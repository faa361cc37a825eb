"""A worker of the web loads what is heavy only when somebody asks for it."""

from __future__ import annotations

import subprocess
import sys

from django.conf import settings

HEAVY = (
    "pandas",
    "numpy",
    "scipy",
    "pint",
    "reportlab",
    "fontTools",
    "openpyxl",
    "PIL",
    "babel",
    "icalendar",
    "segno",
    "lxml",
    "webauthn",
    "cryptography",
    "cbor2",
)


def test_the_start_of_a_worker_loads_nothing_heavy() -> None:
    code = "import sys, workshop.wsgi; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=settings.BASE_DIR
    )
    loaded = done.stdout.split()
    assert "workshop.settings" in loaded
    assert [name for name in HEAVY if name in loaded] == []
