"""A fault of the machine and not of the program: the disk is full, the database is busy or shut. Said in a sentence, as 503.

Owns the table of faults by their codes (nobody reads an error's text) and the page that tells them. Must not try again by
itself, and asks the database nothing: it may be what is broken. An entry that waits on a device keeps waiting, with the reason.

Codes: SQLite's result codes (sqlite.org/rescode.html), SQLSTATE classes (PostgreSQL's appendix of error codes), POSIX errno.
"""

import errno
import logging
import sqlite3
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.db import DatabaseError, InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template import loader
from django.views.defaults import server_error

from inventory.web import offline

LOG = logging.getLogger(__name__)
SOON, LATER = 5, 60


@dataclass(frozen=True)
class Fault:
    """`why`: what is the matter; `way`: what to do; `after`: seconds until trying again makes sense."""

    why: str
    way: str
    after: int = LATER


FULL = Fault("The disk is full", "Free some room on the machine that keeps the books, then send it again.")
BUSY = Fault("The books are busy", "Something else is being written just now. Wait a moment, then send it again.", SOON)
READ_ONLY = Fault(
    "The books may only be read",
    "The folder or the database cannot be written to. Give the program the right to write there, or look whether the disk was "
    "taken out or has a fault; then send it again.",
)
SHUT = Fault(
    "The books cannot be opened",
    "The database does not answer or its file cannot be opened. Look whether it runs and its disk is there; then try again.",
)
DISK = Fault(
    "The disk has a fault",
    "Reading or writing failed. Stop writing, copy what is there to another disk, and look at the server's log.",
)
DAMAGED = Fault(
    "The database is damaged",
    "Its file cannot be read as one. Stop the program, keep the file as it is, and go back to your last copy.",
)

_SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: SHUT,
    sqlite3.SQLITE_IOERR: DISK,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
}
_PRIMARY = 0xFF  # an extended result code keeps the plain one in its last byte

# Longest first: a whole code stands before its class.
_SQLSTATES = {
    "53100": FULL,
    "53300": BUSY,
    "55P03": BUSY,
    "57P03": SHUT,
    "25006": READ_ONLY,
    "40": BUSY,
    "08": SHUT,
    "57P": SHUT,
    "58": DISK,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
}

_ERRNO = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: DISK,
    errno.EMFILE: BUSY,
    errno.ENFILE: BUSY,
}


def of(exception: BaseException | None) -> Fault | None:
    """Which fault of the machine is behind it, or None: then it is one of the program."""
    return next((fault for each in _behind(exception) if (fault := _named(each))), None)


def _behind(exception: BaseException | None) -> Iterator[BaseException]:
    """The exception and those that it was raised from."""
    seen: set[int] = set()
    while exception is not None and id(exception) not in seen:
        seen.add(id(exception))
        yield exception
        exception = exception.__cause__


def _named(exception: BaseException) -> Fault | None:
    if isinstance(exception, sqlite3.Error):
        return _SQLITE.get(getattr(exception, "sqlite_errorcode", 0) & _PRIMARY)
    if isinstance(exception, OSError):
        return _ERRNO.get(exception.errno or 0)
    if isinstance(exception, OperationalError | InterfaceError | DatabaseError) and exception.__cause__ is not None:
        state = getattr(exception.__cause__, "sqlstate", "")
        if state is None and isinstance(exception, OperationalError | InterfaceError):
            return SHUT  # the connection itself failed: no server was there to give a code
        return next((fault for start, fault in _SQLSTATES.items() if (state or "").startswith(start)), None)
    return None


class Faults:
    """What a view raised: a fault of the machine becomes its page, any other goes on to be the program's own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        fault = of(exception)
        return None if fault is None else told(request, fault, exception)


def uncaught(request: HttpRequest) -> HttpResponse:
    """Django's last resort (`handler500`): what was raised outside a view, as by the session on a full disk, has its reason too."""
    exception = sys.exc_info()[1]
    fault = of(exception)
    return server_error(request) if fault is None or exception is None else told(request, fault, exception)


def told(request: HttpRequest, fault: Fault, exception: BaseException) -> HttpResponse:
    """The fault as a page, or in few words where a page waits with an entry."""
    LOG.error("%s at %s %s: %r", fault.why, request.method, request.path, exception)
    return page(request, fault)


def page(request: HttpRequest, fault: Fault) -> HttpResponse:
    if offline.asked(request):
        answer: HttpResponse = offline.waits(f"{fault.why}. {fault.way}")
    else:
        answer = HttpResponse(loader.get_template("503.html").render({"fault": fault}), status=503)
    answer["Retry-After"] = str(fault.after)
    return answer
