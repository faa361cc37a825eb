"""The workshop opened for real in a process of its own, for the tests that knock at its door."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings

from workshop.documents.type import cuts


@contextmanager
def database() -> Iterator[dict[str, str]]:
    """A database of the process's own: a file in its data folder, or a new one beside the tests' on PostgreSQL."""
    url = os.environ.get("DATABASE_URL")
    if not url:
        yield {}
        return
    import psycopg

    name = f"tawery_served_{os.getpid()}_{time.monotonic_ns()}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        try:
            yield {"DATABASE_URL": urlsplit(url)._replace(path=f"/{name}").geturl()}
        finally:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextmanager
def serving(data: Path, *words: str, **more: str) -> Iterator[tuple[int, str]]:
    """A real opened workshop in another process; its port and what it said before serving."""
    shutil.copytree(cuts.folder(), data / "fonts")  # cutting the type anew takes seconds
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with database() as own:
        env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        env |= {"TAWERY_DATA": str(data), "PYTHONUNBUFFERED": "1", **own, **more}
        yield from _served(port, env, words)


def _served(port: int, env: dict[str, str], words: tuple[str, ...]) -> Iterator[tuple[int, str]]:
    manage = str(settings.BASE_DIR / "manage.py")
    start = [sys.executable, manage, "open", "--port", str(port), *words]
    process = subprocess.Popen(start, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    assert process.stdout
    try:
        said = ""
        while f"Open at http://localhost:{port}" not in said:
            line = process.stdout.readline()
            assert line, said
            said += line
        answering(port)
        yield port, said
    finally:
        process.terminate()
        process.wait(30)
        process.stdout.close()


def answering(port: int) -> None:
    """The line is said just before the door opens."""
    for _ in range(600):
        with closing(socket.socket()) as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise AssertionError(f"nothing answers on {port}")
