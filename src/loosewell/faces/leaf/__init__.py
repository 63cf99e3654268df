"""One answer laid out as a leaf of HTML, the same on the page and in the report.

The template, the style sheet and the one script that moves the launch lie beside this
module. Drawings stand inside the HTML, so that a leaf needs no file from outside.
"""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from loosewell.faces import drawing, wording
from loosewell.workshop.answer import MatchAnswer

if TYPE_CHECKING:
    from jinja2 import Environment


def part(name: str) -> str:
    """The text of a file of the leaf: ``leaf.css``, ``launch.js`` or ``answer.html``.

    Parameters
    ----------
    name : str
        File name. [text]

    Returns
    -------
    text : str
        Its content. [text]

    Source
    ------
    The installed package.
    """
    return resources.files(__package__).joinpath(name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    from jinja2 import DictLoader, Environment, StrictUndefined

    environment = Environment(
        loader=DictLoader({"answer.html": part("answer.html")}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["say"] = wording
    return environment


def frames(answer: MatchAnswer) -> str:
    """The frames of the moving launch as JSON that may stand inside a page.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [in, ms]

    Returns
    -------
    text : str
        One JSON array; "<" is written as an escape, so that no name can end the script. [text]

    Source
    ------
    House style.
    """
    moving = json.dumps(drawing.motion(answer.pictures), separators=(",", ":"), allow_nan=False)
    return moving.replace("<", "\\u003c")


def lay_out(answer: MatchAnswer, trying: str = "") -> str:
    """The whole answer as HTML, hard stops first.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]
    trying : str
        HTML set after the launch: what a page can do and a sheet of paper cannot. [text]

    Returns
    -------
    html : str
        Everything that stands between the heading and the foot of a page. [text]

    Source
    ------
    House style.
    """
    from markupsafe import Markup

    pictures = answer.pictures

    def safe(sheet: drawing.Sheet) -> Markup:
        return Markup(sheet.svg())

    return (
        _environment()
        .get_template("answer.html")
        .render(
            answer=answer,
            rack=wording.rack_order(answer.rack),
            chosen=wording.chosen_rows(answer),
            launches=[
                safe(drawing.launch_panel(p, pictures, f"launch{i}"))
                for i, p in enumerate(pictures)
            ],
            butts=[
                safe(drawing.butt_panel(p, pictures, f"butt{i}")) for i, p in enumerate(pictures)
            ],
            curve=safe(drawing.curve_chart(answer)) if len(answer.curve) > 1 else None,
            rules=safe(drawing.rules_chart(answer)) if answer.rules else None,
            width=safe(drawing.width_chart(answer)) if answer.inputs else None,
            frames=Markup(frames(answer)),
            trying=Markup(trying),
        )
    )
