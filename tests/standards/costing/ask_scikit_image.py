"""Ask the library for what `test_area` checks of a plane seen at a slant: writes `scikit_image.json`, figures only.

scikit-image 0.26.0 (BSD) brings SciPy and eighty megabytes, so it is not installed with the tests. In an environment of its own:
`pip install scikit-image==0.26.0`, then `python -m tests.standards.costing.ask_scikit_image`. The marks are drawn here, the
same each time; a difference in the file is a difference in the library.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

HERE = Path(__file__).with_name("scikit_image.json")


def main() -> None:
    from skimage.transform import ProjectiveTransform  # installed for this alone

    lot, rows = np.random.default_rng(20_250_304), []
    for many in (4, 4, 4, 4, 5, 5, 8, 8, 12, 12) * 3:
        corners = np.array([(0, 0), (1000, 0), (1000, 1500), (0, 1500)], dtype=float)
        known = np.vstack([corners, lot.uniform(0, 1000, (many - 4, 2))]).round(3)
        slant = np.array([[0.6, 0, 300], [0, 0.6, 100], [0, 0, 1]]) + lot.normal(0, 1, (3, 3)) * [
            [0.08, 0.08, 40],
            [0.08, 0.08, 40],
            [1e-4, 1e-4, 0],
        ]
        seen = np.column_stack([known, np.ones(many)]) @ slant.T
        seen = (seen[:, :2] / seen[:, 2:] + lot.normal(0, 2, (many, 2))).round(3)
        asked = lot.uniform(200, 800, (6, 2)).round(3)
        found = ProjectiveTransform.from_estimate(seen, known)
        rows.append([seen.tolist(), known.tolist(), asked.tolist(), found(asked).round(6).tolist()])
    HERE.write_text("[\n" + ",\n".join(json.dumps(row) for row in rows) + "\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
