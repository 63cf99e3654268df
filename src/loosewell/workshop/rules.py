"""The trade's rules of thumb for a first spine, side by side.

All of them are common practice without a source. They are shown beside the
engine's own answer so that a person can see how far apart they stand and what
each one takes for granted; nothing is computed from them.
"""

from __future__ import annotations

from dataclasses import dataclass

from loosewell.workshop.answer import RuleOfThumb

STANDARD_DRAW_EXTRA_IN = 1.75
"""Standard draw less true draw. [in]"""
ZERO_LENGTH_IN = 28.0
ZERO_POINT_GR = 125.0
HALF_SPINE_GROUP_LB = 2.5
"""Shafts are sold in groups of 5 lb, so a rule without a range means its group. [lb]"""

LEAST_SPOKEN_LB = 10.0
"""Lightest spine a rule can speak of: no shafts are sorted below it. [lb] Common practice, no
source."""

_NO_SOURCE = "Common practice, no source."
_CENTRE_IN = 1.0 / 32.0


@dataclass(frozen=True)
class _Change:
    """What a rule adds to the draw weight, with the range the trade quotes. [lb]"""

    middle: float
    low: float
    high: float

    def __add__(self, other: _Change) -> _Change:
        return _Change(self.middle + other.middle, self.low + other.low, self.high + other.high)


def _scaled(amount: float, usual: float, least: float, most: float) -> _Change:
    """A change of so many pounds a unit; the range keeps low below high for either sign."""
    ends = (amount * least, amount * most)
    return _Change(amount * usual, min(ends), max(ends))


def _length(length_in: float) -> _Change:
    return _scaled(length_in - ZERO_LENGTH_IN, 5.0, 3.0, 7.0)


def _point(point_weight_gr: float) -> _Change:
    return _scaled((point_weight_gr - ZERO_POINT_GR) / 25.0, 5.0, 3.0, 5.0)


def _string(material: str | None) -> tuple[_Change, str]:
    if material == "low-stretch":
        return _Change(5.0, 3.0, 10.0), "A low-stretch string counts as 5 lb more (3 to 10)."
    if material in ("linen", "hemp", "sinew"):
        return _Change(-2.5, -5.0, 0.0), "A natural string counts as 0 to 5 lb less."
    if material in ("polyester", "nylon"):
        told = "" if material == "polyester" else " Nylon is counted as polyester."
        return _Change(0.0, 0.0, 0.0), "A polyester string is the zero point." + told
    return (
        _Change(2.5, -5.0, 10.0),
        "The string is not known: anything from a natural one to a low-stretch one is allowed for.",
    )


def _shelf(plate_offset_in: float | None) -> tuple[_Change, str]:
    """By the plate's distance from the plane of the string; straight between the rule's steps."""
    if plate_offset_in is None:
        return (
            _Change(-7.5, -15.0, 0.0),
            (
                "The offset of the strike plate is not measured: anything from cut to centre to "
                "no shelf at all is allowed for."
            ),
        )
    if plate_offset_in < -_CENTRE_IN:
        return _Change(5.0, 5.0, 5.0), "Cut past centre: 5 lb more."
    eighths = max(0.0, plate_offset_in) / 0.125
    if eighths <= 1.0:
        change = _Change(-7.5 * eighths, -10.0 * eighths, -5.0 * eighths)
    else:
        over = min(1.0, eighths - 1.0)
        change = _Change(-7.5 - 5.0 * over, -10.0 - 5.0 * over, -5.0 - 5.0 * over)
    return change, f"Strike plate {max(0.0, plate_offset_in):.2f} in short of centre."


def _class(make: str | None) -> tuple[_Change, str]:
    if make == "recurve":
        return _Change(0.0, 0.0, 0.0), "A recurve is the zero point."
    if make in ("backed", "reflex-deflex"):
        return _Change(-5.0, -5.0, -5.0), "A backed or reflex-deflex longbow counts 5 lb less."
    if make == "plain wooden":
        return _Change(-10.0, -10.0, -10.0), "A plain wooden bow counts 10 lb less."
    return _Change(-5.0, -10.0, 0.0), "The make of the bow is not known: 0 to 10 lb less."


def _rule(
    name: str,
    statement: str,
    zero_point: str,
    draw_weight_lb: float,
    change: _Change,
    note: str,
) -> RuleOfThumb:
    """A rule's row; a range narrower than a spine group is widened to the group."""
    middle = draw_weight_lb + change.middle
    return RuleOfThumb(
        name=name,
        statement=statement,
        zero_point=zero_point,
        spine_lb=middle,
        # Below the lightest spine a rule says nothing; its own group stays in.
        spine_low_lb=max(
            min(draw_weight_lb + change.low, middle - HALF_SPINE_GROUP_LB),
            min(LEAST_SPOKEN_LB, middle) - HALF_SPINE_GROUP_LB,
        ),
        spine_high_lb=max(draw_weight_lb + change.high, middle + HALF_SPINE_GROUP_LB),
        note=f"{_NO_SOURCE} {note}".strip(),
    )


def _every_rule(
    draw_weight_lb: float,
    true_draw_in: float,
    length_in: float,
    point_weight_gr: float,
    plate_offset_in: float | None,
    make: str | None,
    string_material: str | None,
) -> list[RuleOfThumb]:
    """Every rule, whatever comes out of it."""
    standard = true_draw_in + STANDARD_DRAW_EXTRA_IN
    drawn = (
        f"{draw_weight_lb:.0f} lb at {true_draw_in:.2f} in true draw "
        f"({standard:.2f} in standard draw)"
    )
    usual = f"{ZERO_LENGTH_IN:.0f} in arrow, {ZERO_POINT_GR:.0f} gr point, polyester string"
    none = _Change(0.0, 0.0, 0.0)
    string, string_told = _string(string_material)
    shelf, shelf_told = _shelf(plate_offset_in)
    kind, kind_told = _class(make)
    length_point = _length(length_in) + _point(point_weight_gr)
    gentle_point = _scaled(point_weight_gr - ZERO_POINT_GR, 5.0 / 60.0, 5.0 / 75.0, 5.0 / 50.0)
    if plate_offset_in is None:
        tenths = _Change(-7.5, -15.0, 0.0)
        tenths_told = "The offset is not measured: 0 to 0.5 in is allowed for."
    else:
        tenths = _scaled(max(0.0, plate_offset_in), -30.0, -30.0, -30.0)
        tenths_told = (
            "The rule does not speak of bows cut past centre."
            if plate_offset_in < 0.0
            else f"Strike plate {plate_offset_in:.2f} in short of centre."
        )
    return [
        _rule(
            "Weight as it is",
            "Take the spine that equals the draw weight.",
            "Not stated; usually a bow cut to centre and " + usual + ".",
            draw_weight_lb,
            none,
            f"Weight taken at this archer's draw: {drawn}.",
        ),
        _rule(
            "Ten pounds less",
            "For a longbow take 10 lb less than the draw weight.",
            "Not stated; a longbow with a narrow shelf and " + usual + ".",
            draw_weight_lb,
            _Change(-10.0, -10.0, -10.0),
            "",
        ),
        _rule(
            "Three pounds a tenth",
            "Take 3 lb less than the draw weight for each tenth of an inch from strike plate to "
            "the plane of the string.",
            "A plate in the plane of the string.",
            draw_weight_lb,
            tenths,
            tenths_told,
        ),
        _rule(
            "A third less",
            "For a bow without a shelf take two thirds of the draw weight.",
            "Not stated; an arrow passing a full-width handle.",
            draw_weight_lb,
            _scaled(draw_weight_lb, -1.0 / 3.0, -1.0 / 3.0, -1.0 / 3.0),
            "",
        ),
        _rule(
            "Length and point",
            "Start from the draw weight; 5 lb more for each inch longer (3 to 7) and for each "
            "25 gr more point (3 to 5), less the other way.",
            usual.capitalize() + ", bow cut to centre.",
            draw_weight_lb,
            length_point,
            f"Arrow {length_in:.2f} in to the back of the point, point {point_weight_gr:.0f} gr.",
        ),
        _rule(
            "Length and point, the gentle way",
            "Start from the draw weight; 5 lb more for each inch longer (3 to 7) and for each "
            "50 to 75 gr more point, less the other way.",
            usual.capitalize() + ", bow cut to centre.",
            draw_weight_lb,
            _length(length_in) + gentle_point,
            f"Arrow {length_in:.2f} in to the back of the point, point {point_weight_gr:.0f} gr.",
        ),
        _rule(
            "How the shelf is cut",
            "Start from the draw weight; 5 to 10 lb less at 1/8 in short of centre, 10 to 15 lb "
            "less without a shelf, 5 lb more past centre.",
            "A bow cut to centre, " + usual + ".",
            draw_weight_lb,
            shelf,
            shelf_told,
        ),
        _rule(
            "The make of the bow",
            "Start from the draw weight; a recurve as it is, a backed or reflex-deflex longbow "
            "5 lb less, a plain wooden bow 10 lb less.",
            "A recurve, " + usual + ".",
            draw_weight_lb,
            kind,
            kind_told + " Counts much of what the shelf rule counts: never add the two.",
        ),
        _rule(
            "All corrections together",
            "Start from the draw weight; add the corrections for length, point, string and shelf.",
            usual.capitalize() + ", bow cut to centre.",
            draw_weight_lb,
            length_point + string + shelf,
            f"{string_told} {shelf_told}",
        ),
    ]


def rules_of_thumb(
    draw_weight_lb: float,
    true_draw_in: float,
    length_in: float,
    point_weight_gr: float,
    plate_offset_in: float | None,
    make: str | None,
    string_material: str | None,
) -> list[RuleOfThumb]:
    """The trade's rules for a first spine (26 in span, 2 lb), each with its zero point.

    ``draw_weight_lb`` is the weight at this archer's own draw, ``length_in`` runs
    from the nock throat to the back of the point, ``plate_offset_in`` is positive
    short of centre. An offset, make or string that is not known widens the rules
    that ask for it; it is never taken as zero.
    A rule that leaves the spines it can speak of is left out; ``left_out`` names it.
    """
    every = _every_rule(
        draw_weight_lb,
        true_draw_in,
        length_in,
        point_weight_gr,
        plate_offset_in,
        make,
        string_material,
    )
    return [one for one in every if one.spine_lb >= LEAST_SPOKEN_LB]


def left_out(
    draw_weight_lb: float,
    true_draw_in: float,
    length_in: float,
    point_weight_gr: float,
    plate_offset_in: float | None,
    make: str | None,
    string_material: str | None,
) -> list[str]:
    """Names of the rules whose result lies below any spine they can speak of."""
    every = _every_rule(
        draw_weight_lb,
        true_draw_in,
        length_in,
        point_weight_gr,
        plate_offset_in,
        make,
        string_material,
    )
    return [one.name for one in every if one.spine_lb < LEAST_SPOKEN_LB]
