"""The proxy that may stand before the program: whose word is taken for where a browser comes from, and how much it may send.

One address is trusted (`settings.PROXY`), and of what that says the last only: it is what the proxy saw itself; what stands
before it was said by whoever came.
"""

import ipaddress

from django.conf import settings
from django.http import HttpRequest

from inventory.base import pictures
from inventory.errors import Refused

# The program's own proxy takes TLS on the same machine.
HERE = "127.0.0.1"

# What a server takes in before the program sees it: three times a photo, so that the form can say itself what is too large.
MOST_SENT = 3 * pictures.LARGEST


def client_address(request: HttpRequest) -> str | None:
    """The address of whoever asks; None if it cannot be told."""
    near = _address(request.META.get("REMOTE_ADDR", ""))
    if near is None or near != _address(settings.PROXY):
        return near
    return _address(request.headers.get("x-forwarded-for", "").rpartition(",")[2]) or near


def one_client(request: HttpRequest) -> str:
    """The address of whoever asks, where it is one client's; nothing where it is a proxy's, behind which stands everybody."""
    found = client_address(request) or ""
    return "" if settings.SECURE_SSL_REDIRECT and not settings.PROXY and found == HERE else found


def options() -> dict[str, object]:
    """What the program's own server is told: whose word it takes for address and https, and how much it takes in."""
    if settings.PROXY and _address(settings.PROXY) is None:
        raise Refused(
            f"TAWERY_PROXY is {settings.PROXY!r}, which is no address. Set it to the one address that the proxy calls from, "
            f"such as {HERE}."
        )
    believed = {"x-forwarded-proto"} if settings.SECURE_SSL_REDIRECT else set()
    believed |= {"x-forwarded-for"} if settings.PROXY else set()
    taken: dict[str, object] = {"max_request_body_size": MOST_SENT}
    return {**taken, "trusted_proxy": settings.PROXY or HERE, "trusted_proxy_headers": believed} if believed else taken


def hint() -> str:
    """What is missing where a proxy takes TLS and nobody said which."""
    if not settings.SECURE_SSL_REDIRECT or settings.PROXY:
        return ""
    return (
        "Behind the proxy all browsers are one address, so five wrong passwords for a name shut it for everybody. Let the proxy "
        f"set X-Forwarded-For and set TAWERY_PROXY={HERE}."
    )


def _address(text: str) -> str | None:
    try:
        found = ipaddress.ip_address(text.strip().strip("[]"))
    except ValueError:
        return None
    mapped = found.ipv4_mapped if isinstance(found, ipaddress.IPv6Address) else None
    return str(mapped or found)
