"""The program's own server: one door, one or several processes at it, and how many connections of all one client may hold.

Knows addresses and processes, and nothing of what is served. It imports what only a command that serves needs.
"""

import logging
import os
import signal
import socket
import sys
import time
from collections.abc import Callable
from threading import Thread
from typing import Any

from django.db import connection
from waitress.adjustments import Adjustments
from waitress.server import TcpWSGIServer

from inventory.errors import Refused

LOG = logging.getLogger(__name__)

MOST_WORKERS = 8  # PostgreSQL has a hundred connections, and each worker may hold one for each thread
THREADS = 8
CONNECTIONS = 400  # of one process; a system lets it have 1,024 files open
OF_ONE = 40  # of one client; a browser opens six
IDLE = 30  # seconds until a connection that says nothing is shut
HOUR = 3600
MOST_PORTS = 65_535


class Server(TcpWSGIServer):  # type: ignore[misc]  # the server has no types
    """Shuts a connection of a client that has enough of them. The proxy's are everybody's."""

    def accept(self) -> Any:
        taken = super().accept()
        if taken is None or taken[1][0] == self.adj.trusted_proxy:
            return taken
        known = [channel.addr[0] for channel in list(self.active_channels.values())]
        if known.count(taken[1][0]) < OF_ONE:
            return taken
        taken[0].close()
        return None


def door(host: str, port: int) -> socket.socket:
    """The socket that is listened at; whoever comes before the program is ready waits at it."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    if not 0 <= port <= MOST_PORTS:
        raise Refused(
            f"Port {port} on {host} cannot be used: there is none. Choose one from 1 to {MOST_PORTS} with --port."
        )
    try:
        return socket.create_server((host, port), family=family, backlog=1024)
    except OSError as fault:
        raise Refused(
            f"Port {port} on {host} cannot be used ({fault}). Is the workshop open already? Else choose another with --port."
        ) from None


def refuse_workers(number: int) -> None:
    if not 1 <= number <= MOST_WORKERS:
        raise Refused(
            f"--workers {number} is not from 1 to {MOST_WORKERS}. As many as the machine has cores are enough."
        )
    if number > 1 and not hasattr(os, "fork"):
        raise Refused("This system cannot share a door between processes. Open without --workers.")


def serve(at: socket.socket, *, workers: int, chore: Callable[[], object], told: dict[str, Any]) -> None:
    """Until Ctrl+C or the system's word to end. `chore` is done every hour, beside the serving; `told`: options of the server."""
    if workers == 1:
        Thread(target=_hourly, args=[chore], daemon=True).start()
        _work(at, told)
    else:
        _share(at, workers, chore, told)


def _hourly(chore: Callable[[], object]) -> None:
    while True:
        chore()
        connection.close()
        time.sleep(HOUR)


def _work(at: socket.socket, told: dict[str, Any]) -> None:
    from workshop.wsgi import application  # all pages, which a parent of workers does not serve itself

    made(application, at, told).run()


def made(application: Any, at: socket.socket, told: dict[str, Any]) -> Server:
    settings = Adjustments(
        sockets=[at],
        threads=THREADS,
        connection_limit=CONNECTIONS,
        asyncore_use_poll=True,
        channel_timeout=IDLE,
        cleanup_interval=IDLE // 3,
        ident=None,
        **told,
    )
    found = (at.family, at.type, at.proto, at.getsockname())
    return Server(application, _sock=at, bind_socket=False, sockinfo=found, adj=settings)


def _share(at: socket.socket, workers: int, chore: Callable[[], object], told: dict[str, Any]) -> None:
    """Keep so many processes at the door; one that ends by itself is replaced. The parent has no thread, so that it may fork."""
    signal.signal(signal.SIGTERM, _leave)
    ends, mine = os.pipe()  # shut with the parent however that ends: then the workers go too
    running: set[int] = set()
    due = time.monotonic()
    try:
        while True:
            while len(running) < workers:
                running.add(_forked(at, told, ends, mine))
            if time.monotonic() >= due:
                chore()
                connection.close()
                due = time.monotonic() + HOUR
            ended, how = os.waitpid(-1, os.WNOHANG)
            if ended:
                running.discard(ended)
                LOG.error("A worker ended by itself (%s); another takes its place.", how)
            time.sleep(1)
    except (KeyboardInterrupt, SystemExit):
        pass
    finally:
        for worker in running:
            os.kill(worker, signal.SIGTERM)
        for worker in running:
            os.waitpid(worker, 0)


def _forked(at: socket.socket, told: dict[str, Any], ends: int, mine: int) -> int:
    connection.close()
    worker = os.fork()
    if worker:
        return worker
    try:
        os.close(mine)
        Thread(target=_leave_with_parent, args=[ends], daemon=True).start()
        _work(at, told)
    except BaseException:
        LOG.exception("A worker could not serve.")
    finally:
        os._exit(0)


def _leave_with_parent(ends: int) -> None:
    os.read(ends, 1)
    os.kill(os.getpid(), signal.SIGTERM)


def _leave(*_: object) -> None:
    sys.exit(0)
