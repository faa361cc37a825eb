"""Several hands at the same moment, each on a connection of its own. Use with the `shared_database` fixture."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from django.db import connections


def together(*acts: Callable[[], Any]) -> list[Any]:
    """Run acts at the same moment, each on its own connection; what each answered or raised."""
    answers: list[Any] = [None] * len(acts)
    start = threading.Barrier(len(acts))

    def run(place: int, act: Callable[[], Any]) -> None:
        try:
            start.wait()
            answers[place] = act()
        except Exception as problem:  # handed to the test, which knows what may be raised
            answers[place] = problem
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers
