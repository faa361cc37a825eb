"""A sentence of many clauses, each on a line of its own in the template."""

import re

from django import template
from django.template.base import NodeList, Parser, Token
from django.template.context import Context
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

SPACES = re.compile(r"[ \t\r\n]+")  # and none of those that hold a sum and its sign together
BEFORE_A_STOP = re.compile(r"\s+(?=[,.;:](?:\s|$|<))")


class Sentence(template.Node):
    """What stands between the tags, with single spaces, and none before a comma, a full stop, a colon or a semicolon."""

    def __init__(self, clauses: NodeList) -> None:
        self.clauses = clauses

    def render(self, context: Context) -> SafeString:
        joined = SPACES.sub(" ", self.clauses.render(context)).strip(" ")
        return mark_safe(BEFORE_A_STOP.sub("", joined))  # noqa: S308 - rendered already, each value escaped


@register.tag
def sentence(parser: Parser, token: Token) -> Sentence:
    """Join the clauses up to `endsentence`: a clause that begins with a comma can then stand on its own line.

    >>> from django.template import Context, Template
    >>> Template("{% sentence %} sent\\n  {% if 1 %}, by post{% endif %}\\n . {% endsentence %}").render(Context())
    'sent, by post.'
    """
    clauses = parser.parse(("endsentence",))
    parser.delete_first_token()
    return Sentence(clauses)
