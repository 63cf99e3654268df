"""What every command shares: the workshop, JSON out, and one way to say no."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.errors import FileRefusal, ImportRefusal, Refusal

if TYPE_CHECKING:
    from loosewell.workshop.keep import Workshop

WorkshopOption = Annotated[
    Path | None,
    typer.Option(
        "--workshop",
        metavar="FILE",
        envvar="LOOSEWELL_WORKSHOP",
        help="Workshop file. Without it: the one in your own data folder.",
    ),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print JSON, with units in the names of the values.")
]


class RefusingGroup(typer.core.TyperGroup):
    """A group of commands in which a refusal is a sentence and exit code 2, never a traceback."""

    def invoke(self, ctx: Any) -> Any:
        """The command's result; a refusal is printed to standard error."""
        try:
            return super().invoke(ctx)
        except Refusal as refusal:
            say_no(refusal)
        except BrokenPipeError:
            raise
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            say_no(FileRefusal(f"The output could not be written: {reason}.", code="output"))
        raise typer.Exit(2)


def say_no(refusal: Refusal) -> None:
    """The sentence of a refusal on standard error, with the lines of a table it is about."""
    print(refusal.message, file=sys.stderr)
    if isinstance(refusal, ImportRefusal):
        for line, sentence in refusal.rows:
            print(f"  line {line}: {sentence}", file=sys.stderr)


def open_workshop(path: Path | None, *, create: bool = False) -> Workshop:
    """The workshop a command was asked to use.

    Without a file named, the person's own is made on first use. A named file
    that is missing is made only by commands that add to it, so that a mistyped
    name does not answer with an empty workshop.
    """
    from loosewell.workshop.keep import Workshop

    return Workshop.open(path, create=create or path is None)


def print_json(value: Any) -> None:
    """A value as indented JSON on standard output."""
    print(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def svg_name(path: Path) -> None:
    """A refusal for a picture whose name is not that of an SVG file."""
    if path.suffix.lower() != ".svg":
        raise FileRefusal(
            f"The picture was to go to {path.name}, and it is written as SVG. Name a file ending "
            "in .svg.",
            code="picture-kind",
        )


def write_picture(path: Path, svg: str) -> None:
    """A drawing as an SVG file of its own, its colours written out."""
    from loosewell.faces.drawing import pen

    svg_name(path)
    try:
        path.write_text(pen.resolved(svg), encoding="utf-8")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileRefusal(
            f"The picture could not be written to {path}: {reason}. Name a file in a folder that "
            "is there.",
            code="picture",
        ) from error
