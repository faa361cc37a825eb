"""The program's own server: no client holds all its connections, and several processes share one door."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from http.client import HTTPConnection, RemoteDisconnected
from io import StringIO
from pathlib import Path
from threading import Thread

import pytest
from django.conf import settings as plain_settings
from django.core.management import CommandError, call_command

from tests.serving import serving as opened
from workshop.management import serving

linux_only = pytest.mark.skipif(
    sys.platform != "linux", reason="only there every 127.x.x.x is an address of this machine"
)


@pytest.fixture
def port() -> Iterator[int]:
    """A server of the workshop's own kind, with a program that says one word."""

    def word(_: object, start: object) -> list[bytes]:
        start("200 OK", [("Content-Length", "4")])  # type: ignore[operator]
        return [b"good"]

    at = serving.door("127.0.0.1", 0)
    server = serving.made(word, at, {"trusted_proxy": "127.0.0.3", "trusted_proxy_headers": {"x-forwarded-for"}})
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    yield at.getsockname()[1]
    server.task_dispatcher.shutdown()
    there = list(server._map.values())
    server._map.clear()  # the loop ends when there is nothing to listen to
    server.pull_trigger()
    thread.join(5)
    for each in (*there, server):
        each.close()


def asks(port: int, address: str) -> str:
    with closing(HTTPConnection("127.0.0.1", port, timeout=10, source_address=(address, 0))) as browser:
        browser.request("GET", "/")
        return browser.getresponse().read().decode()


@linux_only
def test_a_hundred_idle_connections_of_one_client_shut_nobody_else_out(port: int) -> None:
    with ExitStack() as idle:
        for _ in range(110):
            idle.enter_context(socket.create_connection(("127.0.0.1", port), 10, ("127.0.0.2", 0)))
        assert asks(port, "127.0.0.1") == "good"
        with pytest.raises((ConnectionError, RemoteDisconnected)):
            asks(port, "127.0.0.2")


@linux_only
def test_the_proxy_s_connections_are_everybody_s(port: int) -> None:
    with ExitStack() as idle:
        for _ in range(serving.OF_ONE + 5):
            idle.enter_context(socket.create_connection(("127.0.0.1", port), 10, ("127.0.0.3", 0)))
        assert asks(port, "127.0.0.3") == "good"


@pytest.mark.parametrize("number", [0, -1, serving.MOST_WORKERS + 1])
def test_a_number_of_workers_that_is_none_is_refused(number: int) -> None:
    with pytest.raises(CommandError, match=f"--workers {number} is not from 1 to 8"):
        call_command("open", f"--workers={number}", stdout=StringIO())


def test_where_a_door_cannot_be_shared_workers_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork")
    with pytest.raises(CommandError, match="cannot share a door"):
        call_command("open", "--workers=2", stdout=StringIO())


@linux_only
@pytest.mark.thorough
@pytest.mark.slow
def test_a_worker_that_dies_is_replaced_and_none_outlives_the_parent(tmp_path: Path, type_is_cut: None) -> None:
    with opened(tmp_path / "data", "--empty", "--workers", "2") as (port, _):
        parent = int(subprocess.check_output(["pgrep", "-f", f"open --port {port}"]).split()[0])
        workers = children(parent, 2)
        os.kill(workers[0], signal.SIGKILL)
        again = children(parent, 2, without=workers[0])
        with closing(HTTPConnection("localhost", port, timeout=30)) as browser:
            browser.request("GET", "/sign-in/")
            assert browser.getresponse().status == 200
        os.kill(parent, signal.SIGKILL)
        for _ in range(200):
            if not any(Path(f"/proc/{worker}/cmdline").exists() for worker in again):
                return
            time.sleep(0.1)
        raise AssertionError("a worker outlived its parent")


def children(parent: int, many: int, without: int = 0) -> list[int]:
    for _ in range(600):
        found = [int(each) for each in Path(f"/proc/{parent}/task/{parent}/children").read_text().split()]
        if len(found) == many and without not in found:
            return found
        time.sleep(0.1)
    raise AssertionError(f"there are {found}")


def test_turns_leave_hands_free() -> None:
    """Large pages and long ones of one client leave hands free."""
    from workshop import turns

    assert turns.LARGE + turns.OF_ONE < serving.THREADS
    before = plain_settings.MIDDLEWARE[: plain_settings.MIDDLEWARE.index("workshop.turns.Turns")]
    assert not [name for name in before if "Session" in name or "Auth" in name], (
        "who waits is counted before it is asked who"
    )
