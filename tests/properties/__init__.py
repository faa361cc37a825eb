"""What must always hold, whatever is entered. A thorough run looks twice as far, `TAWERY_HYPOTHESIS=ci` twenty times."""

import os

from tests.thorough import THOROUGH

FURTHER = 20 if os.environ.get("TAWERY_HYPOTHESIS") == "ci" else 2 if THOROUGH else 1


def few(examples: int) -> int:
    """Of runs that each write weeks of a workshop: half as many between changes."""
    return examples * FURTHER if FURTHER > 1 else -(-examples // 2)
