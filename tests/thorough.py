"""How far the tests look: quickly between changes, thoroughly (TAWERY_THOROUGH=1, as `.ci/run` sets it) before one is taken in."""

import os

THOROUGH = os.environ.get("TAWERY_THOROUGH") == "1"
