"""What must always hold, whatever is entered. `TAWERY_HYPOTHESIS=ci` looks ten times further."""

import os

FURTHER = 10 if os.environ.get("TAWERY_HYPOTHESIS") == "ci" else 1
