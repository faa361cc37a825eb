"""What axe-core finds on an open page against WCAG 2.2, levels A and AA.

Owns the question only. axe is read into the page through the browser's debugger, so the content policy stays as served.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import axe_playwright_python

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
COLOURS, TARGETS = "color-contrast", "target-size"

_RUN = """([kind, names]) => axe.run(document, {runOnly: {type: kind, values: names}, resultTypes: ["violations"], preload: false})
  .then((found) => found.violations.flatMap((fault) => fault.nodes.map((node) => [fault.id, node.html, node.failureSummary])))"""


@cache
def _source() -> str:
    return (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text("utf-8")


def faults(page: Any, *, rules: list[str] | None = None) -> list[str]:
    """Each violation on the page as it stands: the rule, the element, what to do. `rules`: only these."""
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(_source())
    asked = ["rule", rules] if rules else ["tag", LEVELS]
    return [f"{rule}: {html[:120]} ({' '.join(said.split())})" for rule, html, said in page.evaluate(_RUN, asked)]
