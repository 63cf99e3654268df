"""``loosewell demo``: an invented camp, two unlike matches, pictures and reports."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer


def register(app: typer.Typer) -> None:
    """The command ``demo`` on the command line given."""

    @app.command("demo")
    def demo(
        out: Annotated[
            Path, typer.Option("--out", metavar="DIR", help="Folder for the reports.")
        ] = Path("out"),
    ) -> None:
        """Build an invented woodland camp and match two very different pairs of it."""
        from rich.console import Console

        from loosewell.errors import FileRefusal
        from loosewell.faces import report
        from loosewell.faces.cli import match
        from loosewell.workshop import ask
        from loosewell.workshop import demo as camp

        try:
            out.mkdir(parents=True, exist_ok=True)
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) and error.strerror else error
            raise FileRefusal(
                f"The folder {out} cannot be made: {str(reason).lower()}. Name another with --out.",
                code="output",
            ) from None
        path = out / "camp.sqlite"
        if path.exists():
            # What somebody tried on the camp stays: it is a workshop like any other.
            print(f"Using the camp that is already there: {path}")
        else:
            camp.build(path)
            print(f"Built an invented woodland camp: {path}")
        written: list[Path] = []
        for bow, archer in camp.PAIRS:
            with match.Waiting() as waiting:
                question = ask.Question(bow=bow, archer=archer)
                answer = ask.answer(ask.gather(path, question), waiting)
                waiting("Drawing", 1.0)
                written += report.write(answer, out / f"{bow}-{archer}".lower())
            match.print_match(answer, Console(highlight=False))
            sys.stdout.flush()
        print()
        for file in written:
            if file.suffix == ".html":
                print(f"Wrote {file}")
        print(f"Look around in the camp with: loosewell bow list --workshop {path}")
