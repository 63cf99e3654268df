"""The options of each kind of record: a record's fields with dashes, unit left to the value.

Written out here, and not read from the records, so that ``loosewell --help``
starts without the validator; a test holds the two together.
"""

from __future__ import annotations

from dataclasses import dataclass

from loosewell.records.bounds import BOUNDS, Bound


@dataclass(frozen=True)
class Field:
    """One option of a record.

    ``path`` is the field, or "field.part" inside a nested record; ``takes`` is
    a trade unit, "text", "choice", "yes-no", "day", "count", "number", or the name
    of a reading that may be given several times; ``said`` is the name people use.
    """

    path: str
    takes: str
    help: str
    choices: tuple[str, ...] = ()
    option: str = ""
    said: str = ""

    @property
    def flag(self) -> str:
        """The option as typed: --brace-height for brace_height_in."""
        return f"--{self.plain}"

    @property
    def plain(self) -> str:
        """The option without its dashes, as --forget takes it."""
        if self.option:
            return self.option
        words = self.path.replace(".", "_")
        if self.takes != "count":
            words = words.removesuffix(f"_{self.takes}")
        return words.replace("_", "-")

    @property
    def repeats(self) -> bool:
        """Whether the option may be given several times."""
        return self.takes in READINGS


READINGS = (
    "draw reading",
    "speed reading",
    "station",
    "bench reading",
    "joint",
    "section",
    "check",
    "weighing",
    "tap",
    "part",
    "member",
    "person",
    "class name",
    "range rule",
    "holding",
    "break sample",
)


def _measured(path: str, key: str) -> Field:
    bound: Bound = BOUNDS[key]
    return Field(
        path,
        bound.unit or ("number" if path.endswith("_factor") else "count"),
        f"{bound.said}, {bound.range_text()}. {bound.advice}",
        said=bound.said,
    )


def _choice(path: str, text: str, *choices: str) -> Field:
    return Field(path, "choice", f"{text}: {', '.join(choices)}.", choices)


_REMARKS = Field("remarks", "text", "Anything else worth keeping.")
_INVENTED = Field("invented", "yes-no", "Whether this is an invented example: yes or no.")
_DRAW_MEASURED = _choice(
    "draw_measured",
    "How draw is measured here (true: string to the deepest part of the grip; "
    "standard: that and 1.75 in more)",
    "true",
    "standard",
)

BOW: tuple[Field, ...] = (
    _choice("hand", "Hand of the archer it is built for; must be said", "right", "left", "either"),
    _choice("make", "Kind of make", "plain wooden", "backed", "reflex-deflex", "recurve"),
    _measured("length_in", "bow.length_in"),
    _measured("brace_height_in", "bow.brace_height_in"),
    _DRAW_MEASURED,
    Field(
        "draw_readings",
        "draw reading",
        'Draw weight at a draw, "50 lb @ 28 in" or "50 lb +- 1 lb @ 28 in". May be given again.',
        option="draw-weight",
    ),
    _measured("drawn_to_limit_in", "bow.drawn_to_limit_in"),
    _measured("plate_offset_in", "bow.plate_offset_in"),
    _measured("plate_offset_error_in", "bow.plate_offset_error_in"),
    Field("plate_material", "text", "What the strike plate is made of."),
    _choice(
        "shelf_material",
        "What the arrow rests on",
        "leather",
        "hide with hair",
        "felt",
        "bare wood",
        "horn or bone",
        "plastic",
    ),
    _measured("nocking_height_in", "bow.nocking_height_in"),
    _choice(
        "string_material",
        "Fibre of the string",
        "polyester",
        "low-stretch",
        "linen",
        "hemp",
        "nylon",
        "sinew",
        "other",
    ),
    _measured("string_mass_gr", "bow.string_mass_gr"),
    Field(
        "speed_readings",
        "speed reading",
        'Speed of an arrow, "150 fps @ 28 in with 500 gr". May be given again.',
        option="speed-reading",
    ),
    _measured("maker_minimum_arrow_gr", "bow.maker_minimum_arrow_gr"),
    Field("loaner", "yes-no", "Whether the bow is lent to others: yes or no."),
    _REMARKS,
    _INVENTED,
)

ARCHER: tuple[Field, ...] = (
    _choice("hand", "Hand that draws the string; must be said", "right", "left"),
    _measured("draw_length_in", "archer.draw_length_in"),
    _DRAW_MEASURED,
    _choice("draw_method", "How the draw was found", "marked arrow", "arm span", "told"),
    _measured("draw_error_in", "archer.draw_error_in"),
    Field("draw_date", "day", "Day of the draw reading, year-month-day."),
    _choice(
        "hook",
        "How the string is held",
        "split finger",
        "three under",
        "thumb",
        "mechanical",
    ),
    _choice("loose", "How alike the looses are", "steady", "unsteady"),
    _measured("cant_deg", "archer.cant_deg"),
    Field("child", "yes-no", "Whether the archer is a child, still growing: yes or no."),
    _choice("experience", "Experience", "beginner", "experienced"),
    _REMARKS,
    _INVENTED,
)

SHAFT: tuple[Field, ...] = (
    _choice("kind", "Kind of shaft", "solid", "tube", "cane", "shoot", "joined"),
    Field("material", "text", 'Wood or stuff, such as "Port-Orford-cedar" or "aluminium tube".'),
    _measured("length_in", "shaft.length_in"),
    Field(
        "stations",
        "station",
        'Diameter at a station from the nock end, "11/32 in @ 16 in", or both ways round, '
        '"0.344 in x 0.340 in @ 16 in". May be given again.',
        option="diameter-at",
    ),
    _measured("wall_in", "shaft.wall_in"),
    _measured("weight_gr", "shaft.weight_gr"),
    _measured("weight_error_gr", "shaft.weight_error_gr"),
    Field(
        "bench_readings",
        "bench reading",
        'Bench reading, "span 26 in, load 2 lb, deflection 0.52 in", with error, rotation, jig and '
        'day if known, and whether the shaft lay end for end: "..., error 1/64 in, rotation '
        '90 deg, turned, jig two nails, on 2026-10-02". For the load "water 0.907 L, jug 45 g" '
        "will do. May be given again.",
        option="bench-reading",
    ),
    Field(
        "joints",
        "joint",
        'Joint between two parts, "at 10 in" from the nock end, and what is known of it: '
        '"at 10 in, sleeve 2 in, 45 gr, stiffness 150 %, give 0.5 deg/ftlb, play 0.2 deg". '
        "May be given again.",
        option="joint",
    ),
    Field(
        "sections",
        "section",
        "Stretch of another material, such as a footing or a foreshaft, from the nock end: "
        '"from 20 in to 28 in, hickory, stiffness 130 %, weight 90 gr". May be given again.',
        option="section",
    ),
    Field("kept_where", "text", "Where it is kept."),
    _choice("inspection.result", "What the inspection found", "passed", "failed", "incomplete"),
    Field("inspection.on", "day", "Day of the inspection, year-month-day."),
    Field("inspection.by", "text", "Who inspected it."),
    Field("inspection.note", "text", "What was seen."),
    Field(
        "inspection.checks",
        "check",
        'One thing looked at and what was found, "cracks fine" or "knots fault: one at 20 in"; '
        "loosewell inspect asks for them all. May be given again.",
        option="inspection-check",
    ),
    Field(
        "weighings",
        "weighing",
        'Mass on one day, to follow it drying, "355 gr on 2026-10-02" or "23 g +- 0.1 g on '
        '2026-10-02". May be given again.',
        option="weighing",
    ),
    Field(
        "taps",
        "tap",
        'Frequencies heard when it was tapped, the lowest first, "62 Hz, 171 Hz, length 32 in, '
        'mass 368 gr", with damping, day and recording if known: "..., damping 0.4 %, on '
        '2026-10-02, file tap.wav". May be given again.',
        option="tap",
    ),
    _REMARKS,
    _INVENTED,
)

ARROW: tuple[Field, ...] = (
    Field("shaft", "text", "Name of the shaft it is built on; must be said."),
    _measured("length_in", "arrow.length_in"),
    _choice(
        "point_kind",
        "Kind of point",
        "field",
        "bullet",
        "blunt",
        "broadhead",
        "spring-arm",
        "fishing",
        "stone",
        "bone",
        "other",
    ),
    _measured("point_weight_gr", "arrow.point_weight_gr"),
    _measured("point_width_in", "arrow.point_width_in"),
    _measured("point_blade_length_in", "arrow.point_blade_length_in"),
    _measured("point_blades", "arrow.point_blades"),
    _choice("nock_kind", "Kind of nock", "self", "reinforced self", "plastic", "inserted", "other"),
    _measured("nock_weight_gr", "arrow.nock_weight_gr"),
    _choice(
        "nock_fit",
        "How the nock holds the string (loose: falls off by itself; snug: hangs, and a tap frees "
        "it; tight: a tap does not free it)",
        "loose",
        "snug",
        "tight",
    ),
    _measured("stiff_side_deg", "arrow.stiff_side_deg"),
    _choice("fletching.material", "Fletching", "feather", "vane", "tape", "none"),
    _measured("fletching.length_in", "fletching.length_in"),
    _measured("fletching.height_in", "fletching.height_in"),
    _measured("fletching.count", "fletching.count"),
    _measured("fletching.angle_deg", "fletching.angle_deg"),
    _choice("fletching.wing", "Wing the feathers come from", "left", "right"),
    _measured("fletching.rear_in", "fletching.rear_in"),
    _measured("weight_gr", "arrow.weight_gr"),
    _measured("balance_in", "arrow.balance_in"),
    Field(
        "extra_parts",
        "part",
        "Another part, its mass and where its middle lies from the nock throat, "
        '"sleeve 12 gr @ 0.5 in". May be given again.',
        option="extra-part",
    ),
    _REMARKS,
    _INVENTED,
)

JIG: tuple[Field, ...] = (
    _measured("span_in", "jig.span_in"),
    _measured("span_error_in", "jig.span_error_in"),
    _measured("load_lb", "jig.load_lb"),
    _measured("load_error_percent", "jig.load_error_percent"),
    _choice(
        "reads", "What the deflection is read with", "dial gauge", "fine ruler", "eye and thread"
    ),
    _measured("deflection_error_in", "jig.deflection_error_in"),
    _measured("stiffness_factor", "jig.stiffness_factor"),
    _measured("stiffness_factor_error_percent", "jig.stiffness_factor_error_percent"),
    Field("checked_on", "day", "Day it was checked against a known rod, year-month-day."),
    Field("checked_with", "text", 'Rod it was checked with, such as "steel rod 1/4 in".'),
    _REMARKS,
    _INVENTED,
)

SET: tuple[Field, ...] = (
    Field("code", "text", "What is written on every shaft of the set."),
    Field("bow", "text", "Name of the bow it was chosen for."),
    Field("archer", "text", "Name of the archer it was chosen for."),
    Field(
        "members",
        "member",
        "A shaft of the rack that belongs to it, with the turn from the shaft's mark to the side "
        'that faces the strike plate and what shows its stiff side: "S1, nock angle 90 deg, mark '
        'red dot". May be given again.',
        option="member",
    ),
    Field("made_on", "day", "Day it was put together, year-month-day."),
    Field("purpose", "text", "What it is for."),
    _REMARKS,
    _INVENTED,
)

STRING: tuple[Field, ...] = (
    Field("bow", "text", "Name of the bow it is for."),
    _choice(
        "fibre",
        "What it is made of",
        "polyester",
        "low-stretch",
        "linen",
        "hemp",
        "nettle",
        "dogbane",
        "cotton",
        "silk",
        "nylon",
        "tarred nylon twine",
        "artificial sinew",
        "sinew",
        "gut",
        "rawhide",
        "parachute cord",
        "other",
    ),
    Field("home_made", "yes-no", "Whether its cordage was laid at home: yes or no."),
    _choice(
        "loops",
        "How its loops are made (the weaker one when they differ)",
        "endless",
        "laid in",
        "bowline",
        "timber hitch",
        "overhand",
    ),
    _measured("strands", "string.strands"),
    _measured("plies", "string.plies"),
    _measured("twists", "string.twists"),
    _measured("strand_strength_lb", "string.strand_strength_lb"),
    Field(
        "samples",
        "break sample",
        'A piece that was broken, and of what: "52 lb, strand", "180 lb, ply" or, loops and all, '
        '"310 lb, string"; with day and whether it was wet: "170 lb, ply, wet, on 2026-11-01". '
        "May be given again.",
        option="sample",
    ),
    _measured("strand_length_in", "string.strand_length_in"),
    _measured("strand_weight_gr", "string.strand_weight_gr"),
    _measured("length_in", "string.length_in"),
    _measured("weight_gr", "string.weight_gr"),
    _measured("diameter_in", "string.diameter_in"),
    _measured("serving_length_in", "string.serving_length_in"),
    _measured("serving_thread_in", "string.serving_thread_in"),
    _measured("serving_diameter_in", "string.serving_diameter_in"),
    _measured("nock_slot_in", "string.nock_slot_in"),
    Field(
        "maker_allows_low_stretch",
        "yes-no",
        "Whether the bow's maker said it bears low-stretch string: yes or no.",
    ),
    Field("made_on", "day", "Day it was made, year-month-day."),
    _REMARKS,
    _INVENTED,
)

CLASS: tuple[Field, ...] = (
    Field("on", "day", "Day of the class, year-month-day."),
    Field(
        "people",
        "person",
        "A person, by name or initials: hand, measured draw with its method and day, strength (the "
        "most draw weight this person holds steadily, as the instructor saw it), child or grown, "
        'beginner or experienced: "A.B., left, draw 24 in true, marked arrow, on 2026-03-02, '
        'child, beginner, strength 20 lb". May be given again.',
        option="person",
    ),
    Field(
        "bows",
        "class name",
        "A bow of the workshop; without any, every loaner. May be given again.",
        option="bow",
    ),
    Field("sets", "class name", "A set of the workshop. May be given again.", option="set"),
    Field(
        "arrows",
        "class name",
        "A single arrow of the workshop; without sets and arrows, all of them. May be given again.",
        option="arrow",
    ),
    _measured("arrows_each", "class.arrows_each"),
    _measured("turns", "class.turns"),
    _measured("loss_percent", "class.loss_percent"),
    Field(
        "rules",
        "range rule",
        "A rule about the range, with its source and the day it was read: lane, waiting line, "
        'stop, overshoot, side or other: "overshoot 110 yd from the shooting line, source the '
        "club's handbook, on 2026-03-01\". May be given again.",
        option="rule",
    ),
    Field(
        "held",
        "holding",
        'Who holds what, as plan --keep writes it: "A.B. with Ash, turn 1, arrows A1, A2". May be '
        "given again.",
        option="holds",
    ),
    Field("people_out", "class name", "A person who left. May be given again.", option="left"),
    Field("bows_out", "class name", "A bow that broke. May be given again.", option="broke"),
    Field(
        "arrows_out", "class name", "An arrow lost or broken. May be given again.", option="lost"
    ),
    _REMARKS,
    _INVENTED,
)

FIELDS: dict[str, tuple[Field, ...]] = {
    "bow": BOW,
    "archer": ARCHER,
    "shaft": SHAFT,
    "arrow": ARROW,
    "jig": JIG,
    "set": SET,
    "string": STRING,
    "class": CLASS,
}
