"""The pen: a sheet of SVG written by us, with colours a page can change.

Every colour is written as ``var(--name, fallback)``: embedded in a page it follows
the page's look (day, night, sunlight, print); ``resolved`` turns the fallbacks into
plain colours for a file that stands alone. Nothing is told by colour alone: line
style, hatching, marks and words say the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

PAPER = "var(--lw-paper, #fbf6ea)"
INK = "var(--lw-ink, #2a2420)"
SOFT_INK = "var(--lw-soft-ink, #6a5f52)"
FAINT = "var(--lw-faint, #d9cdb6)"
WOOD = "var(--lw-wood, #c79a63)"
WOOD_EDGE = "var(--lw-wood-edge, #6e4a26)"
SHAFT = "var(--lw-shaft, #ead2a4)"
LEATHER = "var(--lw-leather, #6d3f23)"
FEATHER = "var(--lw-feather, #fdfaf3)"
IRON = "var(--lw-iron, #4d4a47)"
STRAW = "var(--lw-straw, #ecdcb2)"
FIT = "var(--lw-fit, #2d6a4a)"
WEAK = "var(--lw-weak, #a9481f)"
STIFF = "var(--lw-stiff, #33578a)"
KNOCK = "var(--lw-knock, #b3261e)"
BAND = "var(--lw-band, #cfe0d0)"

FACE = "Charter, 'Bitstream Charter', 'Iowan Old Style', 'Palatino Linotype', Georgia, serif"
SHEET_FACE = "Libertinus Serif"

_VARIABLE = re.compile(r"var\(--[a-z-]+, (#[0-9a-f]{6})\)")

# Widths in em, wide enough for the broadest common serif face, so that a line
# that fits by this measure fits on any machine.
_NARROW = set("iljtfrI.,:;'|!()[] ·")
_BROAD = set("mwMW@%—")


def text_width(text: str, size: float, bold: bool = False) -> float:
    """A width that a line of text will not exceed in common serif faces.

    Parameters
    ----------
    text : str
        The line. [text]
    size : float
        Font size. [px]
    bold : bool
        Whether the line is bold. [1]

    Returns
    -------
    width : float
        Upper estimate of the width. [px]

    Source
    ------
    Advance widths of a broad serif face, rounded up.
    """
    total = 0.0
    for letter in text:
        if letter in _NARROW:
            total += 0.41
        elif letter in _BROAD:
            total += 0.98
        elif letter.isupper():
            total += 0.75
        else:
            total += 0.64
    return total * size * (1.09 if bold else 1.0)


def wrap(text: str, size: float, width: float, bold: bool = False) -> list[str]:
    """A text broken into lines that fit a width.

    Parameters
    ----------
    text : str
        The text. [text]
    size : float
        Font size. [px]
    width : float
        Width to fit. [px]
    bold : bool
        Whether the text is bold. [1]

    Returns
    -------
    lines : list of str
        At least one line; a single word wider than the width stands alone. [text]

    Source
    ------
    Greedy line filling.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        trial = f"{line} {word}" if line else word
        if line and text_width(trial, size, bold) > width:
            lines.append(line)
            line = word
        else:
            line = trial
    lines.append(line)
    return lines


def fixed(value: float) -> str:
    """A coordinate with at most two decimals.

    Parameters
    ----------
    value : float
        Coordinate. [px]

    Returns
    -------
    text : str
        Shortest such text. [text]

    Source
    ------
    House style.
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def points(pairs: Iterable[tuple[float, float]]) -> str:
    """Path data through points.

    Parameters
    ----------
    pairs : iterable of (float, float)
        Points in order. [px]

    Returns
    -------
    data : str
        Open path. [text]

    Source
    ------
    SVG path grammar.
    """
    return "M" + "L".join(f"{fixed(x)} {fixed(y)}" for x, y in pairs)


class Sheet:
    """One drawing being written; ``svg()`` gives the finished text.

    ``key`` makes the ids inside unique, so that several drawings may stand in one page.
    """

    def __init__(self, width: float, height: float, title: str, words: str, key: str) -> None:
        self.width = width
        self.height = height
        self.title = title
        self.words = words
        self.key = key
        self.lines: list[tuple[str, float, float]] = []
        self._parts: list[str] = []
        self._defs: list[str] = []
        self._shift = (0.0, 0.0)

    def add(self, raw: str) -> None:
        """Raw SVG into the sheet."""
        self._parts.append(raw)

    def define(self, raw: str) -> None:
        """Raw SVG into the definitions of the sheet."""
        self._defs.append(raw)

    def hatch(self, name: str, colour: str, angle: int, gap: float = 6.0, pen: float = 1.2) -> str:
        """A hatching, and the paint that refers to it."""
        identity = f"{self.key}-{name}"
        self.define(
            f'<pattern id="{identity}" width="{fixed(gap)}" height="{fixed(gap)}" '
            f'patternUnits="userSpaceOnUse" patternTransform="rotate({angle})">'
            f'<path d="M0 0V{fixed(gap)}" stroke="{colour}" stroke-width="{fixed(pen)}"/></pattern>'
        )
        return f"url(#{identity})"

    def open(self, x: float, y: float, clip: str | None = None, kind: str = "") -> None:
        """A group shifted by (x, y); nested groups add up."""
        self._shift = (self._shift[0] + x, self._shift[1] + y)
        clipping = f' clip-path="url(#{clip})"' if clip else ""
        naming = f' class="{kind}"' if kind else ""
        self.add(f'<g transform="translate({fixed(x)} {fixed(y)})"{clipping}{naming}>')

    def close(self, x: float, y: float) -> None:
        """The end of a group opened with the same shift."""
        self._shift = (self._shift[0] - x, self._shift[1] - y)
        self.add("</g>")

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        fill: str = "none",
        stroke: str = "none",
        pen: float = 1.0,
        round_: float = 0.0,
        more: str = "",
    ) -> None:
        """A rectangle."""
        corner = f' rx="{fixed(round_)}"' if round_ else ""
        self.add(
            f'<rect x="{fixed(x)}" y="{fixed(y)}" width="{fixed(max(width, 0.0))}" '
            f'height="{fixed(max(height, 0.0))}"{corner} fill="{fill}" stroke="{stroke}" '
            f'stroke-width="{fixed(pen)}"{more}/>'
        )

    def path(
        self,
        data: str,
        fill: str = "none",
        stroke: str = "none",
        pen: float = 1.0,
        dash: str = "",
        more: str = "",
    ) -> None:
        """A path."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.add(
            f'<path d="{data}" fill="{fill}" stroke="{stroke}" stroke-width="{fixed(pen)}"'
            f' stroke-linejoin="round" stroke-linecap="round"{dashes}{more}/>'
        )

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        stroke: str = INK,
        pen: float = 1.0,
        dash: str = "",
    ) -> None:
        """A straight line."""
        self.path(points([(x1, y1), (x2, y2)]), stroke=stroke, pen=pen, dash=dash)

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        fill: str = "none",
        stroke: str = "none",
        pen: float = 1.0,
    ) -> None:
        """A circle."""
        self.add(
            f'<circle cx="{fixed(x)}" cy="{fixed(y)}" r="{fixed(radius)}" fill="{fill}" '
            f'stroke="{stroke}" stroke-width="{fixed(pen)}"/>'
        )

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = 12.5,
        anchor: str = "start",
        fill: str = INK,
        bold: bool = False,
        italic: bool = False,
        halo: bool = False,
    ) -> None:
        """A line of text; ``halo`` puts paper behind it where lines may cross."""
        width = text_width(text, size, bold)
        left = x - {"start": 0.0, "middle": width / 2.0, "end": width}[anchor]
        self.lines.append((text, self._shift[0] + left, self._shift[0] + left + width))
        attributes = f' text-anchor="{anchor}"' if anchor != "start" else ""
        if bold:
            attributes += ' font-weight="bold"'
        if italic:
            attributes += ' font-style="italic"'
        if halo:
            attributes += f' stroke="{PAPER}" stroke-width="4" paint-order="stroke"'
        self.add(
            f'<text x="{fixed(x)}" y="{fixed(y)}" font-size="{fixed(size)}" '
            f'fill="{fill}"{attributes}>{escape(text, quote=False)}</text>'
        )

    def block(
        self,
        x: float,
        y: float,
        text: str,
        width: float,
        size: float = 12.5,
        lead: float = 1.3,
        fill: str = INK,
        bold: bool = False,
        italic: bool = False,
    ) -> float:
        """Wrapped text; returns the height it took."""
        broken = wrap(text, size, width, bold)
        for number, words in enumerate(broken):
            self.text(x, y + number * size * lead, words, size, fill=fill, bold=bold, italic=italic)
        return len(broken) * size * lead

    def overflowing(self) -> list[str]:
        """Lines of text that may reach beyond the sheet."""
        return [t for t, left, right in self.lines if left < -0.5 or right > self.width + 0.5]

    def svg(self) -> str:
        """The finished drawing."""
        width, height = fixed(self.width), fixed(self.height)
        defs = f"<defs>{''.join(self._defs)}</defs>" if self._defs else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
            f'width="{width}" height="{height}" role="img" '
            f'aria-labelledby="{self.key}-t {self.key}-d" font-family="{FACE}">'
            f'<title id="{self.key}-t">{escape(self.title, quote=False)}</title>'
            f'<desc id="{self.key}-d">{escape(self.words, quote=False)}</desc>{defs}'
            f'<rect width="{width}" height="{height}" fill="{PAPER}"/>'
            f"{''.join(self._parts)}</svg>"
        )


def resolved(svg: str, face: str | None = None) -> str:
    """A drawing that stands alone: plain colours in place of the page's variables.

    Parameters
    ----------
    svg : str
        A drawing from ``Sheet.svg``. [text]
    face : str or None
        Type face in place of the page's, or None to keep it. [text]

    Returns
    -------
    svg : str
        The same drawing without variables. [text]

    Source
    ------
    House style.
    """
    plain = _VARIABLE.sub(r"\1", svg)
    return plain if face is None else plain.replace(f'"{FACE}"', f'"{face}"')


def png(svg: str, pixels_per_unit: float = 2.0) -> bytes:
    """A drawing as a PNG, set in a face that travels with the typesetter.

    Parameters
    ----------
    svg : str
        A drawing from ``Sheet.svg``. [text]
    pixels_per_unit : float
        Pixels for each unit of the drawing. [1]

    Returns
    -------
    picture : bytes
        PNG file. [bytes]

    Holds
    -----
    The machine's own fonts are left out, so that the same drawing gives the same picture
    on every machine.

    Source
    ------
    House style.
    """
    import typst

    match = re.search(r'viewBox="0 0 ([0-9.]+) ', svg)
    if match is None:
        raise ValueError("a drawing without a viewBox")
    width = float(match.group(1))
    page = (
        "#set page(width: auto, height: auto, margin: 0pt)\n"
        f'#image(bytes(sys.inputs.drawing), format: "svg", width: {width}pt)'
    )
    made = typst.compile(
        page.encode(),
        format="png",
        ppi=72.0 * pixels_per_unit,
        sys_inputs={"drawing": resolved(svg, SHEET_FACE)},
        ignore_system_fonts=True,
    )
    if isinstance(made, bytes):
        return made
    raise ValueError("the drawing came out as more than one page")


def nice_step(span: float, wanted: int) -> float:
    """A round step that divides a span into about so many parts.

    Parameters
    ----------
    span : float
        The span. [any]
    wanted : int
        Parts wanted. [1]

    Returns
    -------
    step : float
        1, 2 or 5 times a power of ten. [any]

    Source
    ------
    House style.
    """
    raw = max(span, 1e-9) / wanted
    power = 1.0
    while power * 10.0 <= raw:
        power *= 10.0
    while power > raw:
        power /= 10.0
    steps: Sequence[float] = (1.0, 2.0, 5.0, 10.0)
    return min((s * power for s in steps), key=lambda step: abs(step - raw))
