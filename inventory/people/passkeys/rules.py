"""Where a passkey may be asked for: only at a host with a name, reached by https. So the browsers want it."""

import ipaddress
from dataclasses import dataclass
from urllib.parse import urlsplit

_OPEN = "open the workshop by a name with https, or on its own machine at localhost."


@dataclass(frozen=True)
class Site:
    """A site as a browser knows it: its scheme, and its host with the port if that is not the usual one.

    >>> Site("https", "Books.example:8443").origin, Site("https", "Books.example:8443").name
    ('https://books.example:8443', 'books.example')
    >>> Site("https", "books.example:443").origin
    'https://books.example'
    """

    scheme: str
    host: str

    @property
    def name(self) -> str:
        """The host without its port: what a passkey is bound to."""
        return urlsplit(f"//{self.host}").hostname or ""

    @property
    def origin(self) -> str:
        """What the browser signs as the page's origin."""
        usual = {"http": ":80", "https": ":443"}.get(self.scheme, "")
        return f"{self.scheme}://{self.host.lower().removesuffix(usual)}"

    @property
    def why_not(self) -> str:
        """Why no browser makes or asks for a passkey here; nothing where it does.

        >>> Site("https", "books.example").why_not, Site("http", "localhost:8000").why_not
        ('', '')
        >>> Site("http", "192.168.1.20:8000").why_not.partition(":")[0]
        'No browser makes a passkey at an address of figures'
        >>> Site("http", "shed").why_not.partition(":")[0]
        'No browser makes a passkey over plain http'
        """
        if _figures(self.name):
            return f"No browser makes a passkey at an address of figures: {_OPEN}"
        here = self.name == "localhost" or self.name.endswith(".localhost")
        if self.scheme != "https" and not here:
            return f"No browser makes a passkey over plain http: {_OPEN}"
        return ""


def _figures(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True
