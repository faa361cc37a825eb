"""A command of the program in a process of its own, as somebody types it."""

from __future__ import annotations

import subprocess
import sys

from django.conf import settings as plain_settings


def manage(env: dict[str, str], *words: str) -> str:
    """What it says. It must end well."""
    done = subprocess.run(
        [sys.executable, str(plain_settings.BASE_DIR / "manage.py"), *words],
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout
