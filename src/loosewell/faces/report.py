"""The report: one HTML file that needs nothing from outside, for screen and paper."""

from __future__ import annotations

from html import escape
from pathlib import Path

from loosewell.faces import drawing, leaf, wording
from loosewell.workshop.answer import MatchAnswer

_PAGE = """<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
{style}
</style>
</head>
<body>
<main>
{body}
</main>
<script type="module">
{script}
</script>
</body>
</html>
"""


def report(answer: MatchAnswer) -> str:
    """An answer as one HTML file: hard stops, answer, pictures, rules, rack, arrow, inputs.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]

    Returns
    -------
    html : str
        A whole page; style, script and drawings stand inside it. [text]

    Source
    ------
    House style.
    """
    return _PAGE.format(
        title=escape(wording.heading(answer)),
        style=leaf.part("leaf.css"),
        body=leaf.lay_out(answer),
        script=leaf.part("launch.js"),
    )


def drawings(answer: MatchAnswer) -> dict[str, drawing.Sheet]:
    """The drawings of an answer by file name, without those it has nothing for.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]

    Returns
    -------
    sheets : dict of str to Sheet
        Name without ending to drawing. [px]

    Source
    ------
    House style.
    """
    heading = wording.heading(answer)
    sheets: dict[str, drawing.Sheet] = {}
    if answer.pictures:
        sheets["launch"] = drawing.launch_sheet(answer.pictures, heading)
        sheets["butt"] = drawing.butt_sheet(answer.pictures, heading)
    if len(answer.curve) > 1:
        sheets["curve"] = drawing.curve_chart(answer)
    if answer.rules:
        sheets["rules"] = drawing.rules_chart(answer)
    if answer.inputs:
        sheets["width"] = drawing.width_chart(answer)
    return sheets


def write(answer: MatchAnswer, folder: Path) -> list[Path]:
    """The report and its drawings as files: SVG, PNG and ``report.html``.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]
    folder : Path
        Where to write; made when missing. [path]

    Returns
    -------
    files : list of Path
        What was written, the report first. [path]

    Source
    ------
    House style.
    """
    from loosewell.errors import FileRefusal

    try:
        folder.mkdir(parents=True, exist_ok=True)
        page = folder / "report.html"
        page.write_text(report(answer), encoding="utf-8")
        files = [page]
        for name, sheet in drawings(answer).items():
            svg = sheet.svg()
            for ending, content in (
                ("svg", drawing.resolved(svg).encode()),
                ("png", drawing.png(svg)),
            ):
                file = folder / f"{name}.{ending}"
                file.write_bytes(content)
                files.append(file)
    except OSError as error:
        raise FileRefusal(
            f"The report could not be written to {folder}: {error.strerror or error}. "
            "Name a folder you may write to, with room on its disk."
        ) from error
    return files
