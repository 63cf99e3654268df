"""Draw the jig of two nails and a jug for docs/bench/jig.md: python builders/jig_picture.py."""

from __future__ import annotations

from pathlib import Path

from loosewell.faces.drawing.bend import two_nail_jig
from loosewell.faces.drawing.pen import resolved

PICTURE = Path(__file__).resolve().parents[1] / "docs" / "pictures" / "two-nail-jig.svg"

if __name__ == "__main__":
    PICTURE.write_text(resolved(two_nail_jig().svg()) + "\n", encoding="utf-8")
    print(f"Wrote {PICTURE}")
