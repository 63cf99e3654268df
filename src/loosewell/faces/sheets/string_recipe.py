"""The string recipe: fibre, strands, twist, serving, lengths, and what its pieces broke at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Sheet

if TYPE_CHECKING:
    from loosewell.records import Bow
    from loosewell.records.string import BowString
    from loosewell.workshop.answer import Band
    from loosewell.workshop.string import StringAnswer

WEAK_WET = ("sinew", "gut", "rawhide")
"""They stretch and weaken when wet."""
FRAYED = "A frayed or cut strand: take it off and cut it through."
WOODEN = ("plain wooden", None)


def sheet(string: BowString, bow: Bow | None, told: StringAnswer | None = None) -> Sheet:
    """The recipe of one string; ``bow`` is the one it is for, ``told`` what was reckoned."""
    strands = None if string.strands is None else f"{string.strands} side by side at the middle"
    plies = None if string.plies is None else str(string.plies)
    blocks: list[Block] = [
        Facts(
            "What it is made of",
            (
                ("For the bow", string.bow),
                ("Fibre", _fibre(string)),
                ("Strands", strands),
                ("Plies they are laid up in", plies),
                ("Twist, full turns in all", None if string.twists is None else str(string.twists)),
                ("Loops", string.loops),
                ("One strand breaks at", _pull(string.strand_strength_lb)),
            ),
        ),
        Facts(
            "Lengths and thickness",
            (
                ("Bow, nock to nock",
                 None if bow is None else figures.maybe_length(bow.length_in, 1)),
                ("Brace height wished",
                 None if bow is None else figures.maybe_length(bow.brace_height_in)),
                ("String, loop to loop, twisted", figures.maybe_length(string.length_in)),
                ("Serving, all of it", figures.maybe_length(string.serving_length_in)),
                ("Thickness, bare", figures.maybe_small(string.diameter_in)),
                ("Thickness over the serving", figures.maybe_small(string.serving_diameter_in)),
                ("Slot of the nock", figures.maybe_small(string.nock_slot_in)),
                ("Mass of the whole string", figures.maybe_mass(string.weight_gr)),
                ("Made on", figures.day(string.made_on)),
            ),
        ),
    ]  # fmt: skip
    if told is not None:
        blocks.append(Facts("As reckoned", _reckoned(told)))
    if string.samples or string.home_made:
        blocks.append(
            Grid(
                "Pieces broken",
                ("Piece", "Broke at", "Wet or dry", "Day"),
                tuple(
                    (one.of, _pull(one.load_lb) or "", "wet" if one.wet else "dry",
                     figures.day(one.on) or "")
                    for one in string.samples
                ),
                (1.0, 1.4, 1.0, 1.0),
                blank_rows=4,
            )
        )  # fmt: skip
    blocks.append(
        Grid(
            "Brace height after the first shots, and later",
            ("Day", "Shots", "Brace height, in / mm", "Turns added", "By"),
            (),
            (1.0, 0.8, 1.5, 1.0, 0.8),
            blank_rows=4,
            spare=True,
        )
    )
    blocks.append(
        Lines(
            "Look at it before every stringing",
            (
                (
                    "Every loop, both ends of the serving and the nocking point: a frayed or cut "
                    "strand, or fuzz in one place, ends the string."
                ),
                (
                    "Common practice: a finished string breaks at ten times the draw weight or "
                    "more; an older rule says four. Neither is a promise (no source)."
                ),
            ),
            spare=True,
        )
    )
    return Sheet(
        kind="string recipe",
        title=f"String {string.name}",
        stops=_stops(string, bow, told),
        blocks=tuple(blocks),
        link=link.code("string", string.name),
        back=link.command("string", string.name),
        foot=(figures.NO_FITNESS,),
        invented=string.invented,
    )  # fmt: skip


def _fibre(string: BowString) -> str | None:
    if string.fibre is None:
        return None
    return f"{string.fibre}, home-made cordage" if string.home_made else string.fibre


def _pull(load_lb: float | None) -> str | None:
    return None if load_lb is None else f"{figures.pull(load_lb)} of pull"


def _reckoned(told: StringAnswer) -> tuple[tuple[str, str | None], ...]:
    """Strength, rules, length and mass as the workshop reckons them; None where it cannot."""
    strength = "no number: break pieces first"
    if told.strength_lb is not None:
        strength = f"{_lb(told.strength_lb)}, at rest and dry"
    rows: list[tuple[str, str | None]] = [("Whole string breaks at", strength)]
    if told.draw_weight_lb is not None:
        rows.append(("Draw weight", f"{figures.pull(told.draw_weight_lb)}, {told.draw_words}"))
        rows.append(
            (
                "Times the draw weight",
                None if told.ratio is None else f"{told.ratio.low:.1f} to {told.ratio.high:.1f}",
            )
        )
        rules = (f"{one.times:g} times: {figures.pull(one.asked_lb)}" for one in told.rules)
        rows.append(("What the two rules ask", "; ".join(rules)))
    if told.length is not None:
        rows.append(("Slack, between bearing points", _in(told.length.slack_in)))
        rows.append(("Cut each strand", f"{_in(told.length.cut_in)}; {told.length.cut_words}"))
    if told.mass_gr is not None and not told.mass_measured:
        low, high = told.mass_gr.low, told.mass_gr.high
        rows.append(("Mass", f"{wording.mass(low)} to {wording.mass(high)}"))
    return tuple(rows)


def _lb(band: Band) -> str:
    low, high = band.low * figures.KG, band.high * figures.KG
    return f"{band.low:.0f} to {band.high:.0f} lb ({low:.0f} to {high:.0f} kg)"


def _in(band: Band) -> str:
    low, high = band.low * 25.4, band.high * 25.4
    return f"{band.low:.1f} to {band.high:.1f} in ({low:.0f} to {high:.0f} mm)"


def _stops(string: BowString, bow: Bow | None, told: StringAnswer | None) -> tuple[str, ...]:
    if told is not None and told.stops:
        return (*(one.text for one in told.stops), FRAYED)
    found = []
    wooden = bow is None or bow.make in WOODEN
    if string.fibre == "low-stretch" and wooden and not string.maker_allows_low_stretch:
        on = "a plain wooden bow" if bow is None else f"{bow.name}, taken as a plain wooden bow"
        found.append(
            f"No low-stretch string on {on}: its tips and its maker must be known to bear it."
        )
    if string.home_made and not string.samples:
        found.append(
            "Do not string a bow with it yet: no piece of this cordage was broken, and without "
            "that there is no number for it."
        )
    if string.fibre in WEAK_WET:
        found.append(f"Never wet: {string.fibre} stretches and weakens when it is wet.")
    found.append(FRAYED)
    return tuple(found)
