"""The picture at the top of the README, drawn by the program from the demo camp.

Run it after a change of the engine or of the drawing:

    .venv/bin/python builders/readme_picture.py
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from loosewell.faces import drawing
from loosewell.faces.drawing.pen import resolved
from loosewell.workshop import ask, demo

TARGET = Path(__file__).resolve().parent.parent / "docs" / "pictures" / "launch.svg"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "camp.sqlite"
        demo.build(path)
        bow, archer = demo.PAIRS[0]
        answer = ask.answer(ask.gather(path, ask.Question(bow=bow, archer=archer)))
    sheet = drawing.launch_sheet(answer.pictures, f"{bow} and {archer} (invented)")
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text(resolved(sheet.svg()), encoding="utf-8")
    print(f"Wrote {TARGET}")


if __name__ == "__main__":
    main()
