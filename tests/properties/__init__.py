"""What must always hold, whatever is entered. A thorough run looks twice as far, `TAWERY_HYPOTHESIS=ci` twenty times."""

import os

from tests.thorough import THOROUGH

FURTHER = 20 if os.environ.get("TAWERY_HYPOTHESIS") == "ci" else 2 if THOROUGH else 1
