"""How a tag or code stands in an address. Import this module in a `urls.py` and write `<code:tag>`.

Codes may hold a slash (`H01/2`), and a word that names a page of its own (`new`) may be somebody's code; neither may make
a page unreachable. A slash is written `~`, which no code can hold, and a reserved word gets a `~` in front.
"""

from django.urls import register_converter

RESERVED = frozenset({"new", "finish"})


class CodeConverter:
    """`<code:tag>` in a path.

    >>> CodeConverter().to_url("H01/2"), CodeConverter().to_url("new")
    ('H01~2', '~new')
    >>> CodeConverter().to_python("H01~2"), CodeConverter().to_python("~new")
    ('H01/2', 'new')
    """

    # What codes are made of and no more: a NUL byte in an address would be a fault of the database, not a page not found.
    regex = "[A-Za-z0-9._~-]+"

    def to_python(self, value: str) -> str:
        return value.removeprefix("~").replace("~", "/")

    def to_url(self, value: str) -> str:
        quoted = value.replace("/", "~")
        return f"~{quoted}" if quoted in RESERVED else quoted


register_converter(CodeConverter, "code")
