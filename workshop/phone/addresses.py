"""Under which address a phone reaches this workshop: the one the question came by, or this machine's own in its network.

Owns sockets, and nothing else asks the network. Must not make links: an address that no phone reaches gets none.
"""

import ipaddress
import socket
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.conf import settings
from django.http.request import validate_host

# An address for documentation (RFC 5737): nothing answers there, and nothing is sent, for a datagram socket only looks up
# which way it would go.
_ELSEWHERE = ("192.0.2.1", 9)
_PATIENCE = 1


@dataclass(frozen=True)
class Way:
    """`address` begins a link (http://192.168.1.20:8000), empty where no phone comes in. `port`: of this server; `own`: the
    machine's address in its network, where it had to be looked for and there is one."""

    address: str
    port: int
    own: str = ""


def way(asked: str) -> Way:
    """The way in for a phone, from the address that this request came by (scheme, host and port)."""
    parts = urlsplit(asked)
    port = parts.port or (443 if parts.scheme == "https" else 80)
    if not _this_machine(parts.hostname or ""):
        return Way(asked, port)
    own = own_address()
    if not own or not validate_host(own, settings.ALLOWED_HOSTS) or not _answers(own, port):
        return Way("", port, own)
    return Way(f"{parts.scheme}://{own}:{port}", port, own)


def own_address() -> str:
    """This machine's address in its network, empty without one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_ELSEWHERE)
        except OSError:
            return ""
        found = str(probe.getsockname()[0])
    return "" if _this_machine(found) else found


def _this_machine(host: str) -> bool:
    """Whether only this machine itself understands the name."""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
    return address.is_loopback or address.is_unspecified


def _answers(host: str, port: int) -> bool:
    """Whether anything takes a call there: a server that listens to this machine alone does not."""
    try:
        socket.create_connection((host, port), timeout=_PATIENCE).close()
    except OSError:
        return False
    return True
