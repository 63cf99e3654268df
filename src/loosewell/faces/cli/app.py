"""The app: every command in its place."""

from __future__ import annotations

import sys
from typing import Annotated, Any

import typer

from loosewell.errors import FileRefusal
from loosewell.faces.cli import (
    aim,
    bench,
    build,
    demo,
    inspect,
    keeping,
    match,
    outing,
    purpose,
    range_,
    read,
    serve,
    sets,
    sheet,
    shoots,
    tap,
    tools,
)
from loosewell.faces.cli.common import RefusingGroup, say_no

_ORDER = (
    *(
        "match",
        "purpose",
        "aim",
        "serve",
        "demo",
        "outing",
        "read",
        "learned",
        "bow",
        "archer",
        "shaft",
        "arrow",
        "sets",
        "set",
        "sheet",
        "string",
        "class",
        "range",
        "jig",
        "inspect",
        "bend",
        "tap",
    ),
    *("along", "ends", "dry", "wood", "build", "scrape", "takedown", "spine", "backup"),
)


class _Street(RefusingGroup):
    """The commands in the order a newcomer needs them."""

    def list_commands(self, ctx: Any) -> list[str]:
        """Names of the commands, the main job first."""
        names = super().list_commands(ctx)
        return sorted(names, key=lambda name: _ORDER.index(name) if name in _ORDER else len(_ORDER))


app = typer.Typer(
    name="loosewell",
    help="From bench readings to the arrow that fits: records of bows, people and shafts, and "
    "what each arrow does when it is loosed. An answer here is no fitness check: inspect every "
    "shaft by hand, and follow local rules, the bow's maker and a qualified instructor.",
    cls=_Street,
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


match.register(app)
outing.register(app)
read.register(app)
serve.register(app)
demo.register(app)
keeping.register(app)
inspect.register(app)
shoots.register(app)
build.register(app)
tap.register(app)
purpose.register(app)
aim.register(app)
range_.register(app)
bench.register(app)
sets.register(app)
sheet.register(app)
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
