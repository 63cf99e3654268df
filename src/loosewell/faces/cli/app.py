"""The app: every command in its place."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from loosewell.errors import FileRefusal
from loosewell.faces.cli import keeping, tools
from loosewell.faces.cli.common import RefusingGroup, say_no

app = typer.Typer(
    name="loosewell",
    help="From bench readings to the arrow that fits: records of bows, people and shafts, and "
    "what each arrow does when it is loosed. An answer here is no fitness check: inspect every "
    "shaft by hand, and follow local rules, the bow's maker and a qualified instructor.",
    cls=RefusingGroup,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        print(f"loosewell {version('loosewell')}")
        raise typer.Exit


@app.callback()
def _street(
    _asked: Annotated[
        bool,
        typer.Option("--version", help="Print the version.", callback=_version, is_eager=True),
    ] = False,
) -> None:
    pass


keeping.register(app)
tools.register(app)


def run() -> None:
    """The command line, from the street door to the exit code."""
    try:
        app()
    except SystemExit:
        try:
            sys.stdout.flush()
        except OSError as error:
            _give_up_on_output(error)
        raise


def _give_up_on_output(error: OSError) -> None:
    """Output that could not be written ends in a sentence, not in a traceback at exit."""
    import os

    # What is still buffered would be tried again, and fail again, when Python ends.
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if not isinstance(error, BrokenPipeError):
        reason = (error.strerror or str(error)).lower()
        say_no(FileRefusal(f"The output could not be written: {reason}.", code="output"))
    sys.exit(2)
