"""A program killed for real, in a child: just before its n-th change of the disk, or after so many seconds.

The short suite takes every few changes, a thorough one each of them; `tests/kills` kills hundreds of times.
"""

from __future__ import annotations

import os
import signal
import time
import traceback
from collections.abc import Callable
from typing import Any

from tests.thorough import THOROUGH

TOUCHES = ("fsync", "rename", "replace", "mkdir", "rmdir", "unlink", "link", "open")
EVERY = 1 if THOROUGH else 7
MOST = 1000


def killed_at(number: int, act: Callable[[], Any]) -> bool:
    """Run `act` in a child that is killed before its `number`-th touch of the disk; False when it ended before that."""
    child = os.fork()
    if child == 0:
        left = number

        def deadly(touch: Callable[..., Any]) -> Callable[..., Any]:
            def touched(*args: Any, **options: Any) -> Any:
                nonlocal left
                left -= 1
                if left < 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                return touch(*args, **options)

            return touched

        for name in TOUCHES:
            setattr(os, name, deadly(getattr(os, name)))
        try:
            act()
            os._exit(0)
        finally:
            os._exit(3)
    _, ended = os.waitpid(child, 0)
    assert os.WIFSIGNALED(ended) or os.WEXITSTATUS(ended) == 0, f"the child ended by itself: {ended}"
    return os.WIFSIGNALED(ended)


def killed_after(seconds: float | None, act: Callable[[], Any]) -> bool:
    """Run `act` in a child that is killed after so long, wherever it is, within the database's own writing too; False when it had
    ended before. None: it is let go on."""
    child = os.fork()
    if child == 0:
        try:
            act()
            os._exit(0)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(3)
    if seconds is not None:
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)  # who has ended is still to be waited for, so that nobody else has its number
    _, ended = os.waitpid(child, 0)
    assert os.WIFSIGNALED(ended) or os.WEXITSTATUS(ended) == 0, f"the child ended by itself: {ended}"
    return os.WIFSIGNALED(ended)


def each_kill(act: Callable[[], Any], anew: Callable[[], None], look: Callable[[bool], str]) -> list[str]:
    """What is there after each kill, from a fresh start each; the last is what an undisturbed run leaves."""
    found = []
    for number in range(0, MOST, EVERY):
        anew()
        killed = killed_at(number, act)
        found.append(look(killed))
        if not killed:
            return found
    raise AssertionError("it never ended")
