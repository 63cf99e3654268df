"""What a bench can give: the range of every recorded number, and what to do outside it.

The ranges are common practice, no source: wide enough for a toy bow and for a
siege bow, narrow enough that grams typed as grains or millimetres typed as
inches show. They may be widened later; they are never narrowed, so that every
file once written can be read again.
"""

from __future__ import annotations

from dataclasses import dataclass

from loosewell.errors import BoundRefusal


@dataclass(frozen=True)
class Bound:
    """The accepted range of one number and how to measure it again.

    ``said`` is the name people use, ``low`` and ``high`` are in ``unit`` and
    both accepted, ``advice`` is the sentence that follows a refusal.
    """

    said: str
    low: float
    high: float
    unit: str
    advice: str

    def range_text(self) -> str:
        """The accepted range in words: "3 to 12 in"."""
        return f"{self.low:g} to {self.high:g}{_tail(self.unit)}"


def _tail(unit: str) -> str:
    if unit == "":
        return ""
    return {"percent": " %", "deg_per_ftlb": " deg/ftlb", "hz": " Hz"}.get(unit, f" {unit}")


BOUNDS: dict[str, Bound] = {
    # bow
    "bow.length_in": Bound(
        "Bow length", 20, 100, "in", "Measure along the back from string nock to string nock."
    ),
    "bow.brace_height_in": Bound(
        "Brace height",
        3,
        12,
        "in",
        "Measure from the string to the deepest part of the grip, with the bow strung.",
    ),
    "bow.drawn_to_limit_in": Bound(
        "Drawn-to limit",
        8,
        36,
        "in",
        "Give the longest draw the bow was tillered to, in the same measure as its draw readings.",
    ),
    "bow.plate_offset_in": Bound(
        "Plate offset",
        -0.75,
        1.5,
        "in",
        "Measure from the middle of the string to the face of the strike plate at the arrow pass: "
        "positive when the plate stands short of centre, negative when it is cut past centre.",
    ),
    "bow.plate_offset_error_in": Bound(
        "Error of the plate offset",
        0.005,
        0.5,
        "in",
        "A string line and a fine ruler give about 1/32 in (0.031 in).",
    ),
    "bow.nocking_height_in": Bound(
        "Nocking height",
        -0.5,
        1.5,
        "in",
        "Measure the underside of the arrow at the string above a square line from the shelf.",
    ),
    "bow.string_mass_gr": Bound(
        "String mass",
        20,
        700,
        "gr",
        "Weigh the whole string with its serving; grains (gr) are not grams (g).",
    ),
    "bow.maker_minimum_arrow_gr": Bound(
        "Lightest arrow the maker allows",
        50,
        2500,
        "gr",
        "Take it from the bow's maker; leave it out when it is not known.",
    ),
    "reading.draw_in": Bound(
        "Draw of the reading",
        4,
        36,
        "in",
        "Measure the draw at which the weight was read, in the measure stated for this bow.",
    ),
    "reading.weight_lb": Bound(
        "Draw weight",
        0.5,
        250,
        "lb",
        "Read a hanging scale while pulling slowly.",
    ),
    "reading.weight_error_lb": Bound(
        "Error of the draw weight",
        0.05,
        20,
        "lb",
        "A good hanging scale gives about 1 lb, a cheap one about 2 lb.",
    ),
    "speed.arrow_weight_gr": Bound(
        "Mass of the arrow whose speed was read",
        80,
        3000,
        "gr",
        "Weigh the whole arrow with its point; grains (gr) are not grams (g).",
    ),
    "speed.speed_fps": Bound(
        "Arrow speed",
        30,
        350,
        "fps",
        "Read it close to the bow, in feet per second (fps) or metres per second (m/s).",
    ),
    # archer
    "archer.draw_length_in": Bound(
        "Draw length",
        8,
        36,
        "in",
        "Draw a light bow with a marked arrow three times while a helper reads it.",
    ),
    "archer.draw_error_in": Bound(
        "Error of the draw length",
        0.05,
        3,
        "in",
        "A practised archer repeats to about 1/4 in, a beginner to about 1 in.",
    ),
    "archer.cant_deg": Bound(
        "Cant",
        -20,
        45,
        "deg",
        "Give how far the top of the bow leans over at full draw: positive toward the side of the "
        "string hand, negative toward the bow hand.",
    ),
    # shaft
    "shaft.length_in": Bound(
        "Shaft length",
        6,
        60,
        "in",
        "Measure the bare shaft from end to end as it is cut now.",
    ),
    "shaft.wall_in": Bound(
        "Wall of the tube", 0.003, 0.25, "in", "Measure the thickness of the tube's wall."
    ),
    "shaft.weight_gr": Bound(
        "Shaft mass",
        30,
        2500,
        "gr",
        "Weigh the bare shaft; grains (gr) are not grams (g).",
    ),
    "shaft.weight_error_gr": Bound(
        "Error of the shaft mass",
        0.05,
        100,
        "gr",
        "A scale reading to 0.1 g gives about 1.5 gr, a kitchen scale about 15 gr.",
    ),
    "station.station_in": Bound(
        "Station of the diameter",
        0,
        60,
        "in",
        "Measure the station from the nock end of the shaft.",
    ),
    "station.diameter_in": Bound(
        "Diameter",
        0.08,
        1,
        "in",
        "Measure with a caliper or a hole gauge; 11/32 in is about 8.7 mm.",
    ),
    "station.across_in": Bound(
        "Diameter across",
        0.08,
        1,
        "in",
        "Measure a quarter turn from the first diameter at the same station.",
    ),
    "bench.span_in": Bound(
        "Span", 6, 48, "in", "Measure between the two supports under the shaft."
    ),
    "bench.load_lb": Bound(
        "Load",
        0.1,
        25,
        "lb",
        "Weigh what is hung at the middle, its container included.",
    ),
    "bench.deflection_in": Bound(
        "Deflection",
        0.005,
        4.8,
        "in",
        "Read how far the middle of the shaft sinks when the load is hung.",
    ),
    "bench.deflection_error_in": Bound(
        "Error of the deflection",
        0.0002,
        0.25,
        "in",
        "A dial gives about 0.005 in, a fine ruler 1/64 in, eye and thread 1/32 in.",
    ),
    "bench.rotation_deg": Bound(
        "Rotation of the reading",
        0,
        360,
        "deg",
        "Give how far the shaft was turned from its mark.",
    ),
    "weighing.weight_gr": Bound(
        "Mass at the weighing",
        30,
        5000,
        "gr",
        "Weigh the bare shaft or shoot by itself; grains (gr) are not grams (g).",
    ),
    "weighing.weight_error_gr": Bound(
        "Error of the weighing",
        0.05,
        100,
        "gr",
        "A scale reading to 0.1 g gives about 1.5 gr, a kitchen scale about 15 gr.",
    ),
    "tap.frequencies_hz": Bound(
        "Frequency of the tap",
        5,
        20000,
        "hz",
        "A bare shaft held at its nodes rings at tens to hundreds of cycles a second (Hz).",
    ),
    "tap.length_in": Bound(
        "Length of the tapped shaft",
        6,
        60,
        "in",
        "Measure the shaft from end to end as it was when it was tapped.",
    ),
    "tap.weight_gr": Bound(
        "Mass of the tapped shaft",
        30,
        2500,
        "gr",
        "Weigh the shaft as it was when it was tapped; grains (gr) are not grams (g).",
    ),
    "tap.damping_ratio": Bound(
        "Damping of the tap",
        0.00005,
        0.5,
        "",
        "Give the share of critical damping: wood rings at a few thousandths.",
    ),
    "joint.station_in": Bound(
        "Station of the joint",
        0.25,
        59.75,
        "in",
        "Measure from the nock end of the shaft to where the two parts meet.",
    ),
    "joint.sleeve_length_in": Bound(
        "Sleeve length",
        0.1,
        12,
        "in",
        "Measure the sleeve, or the overlap of a spliced joint, along the shaft.",
    ),
    "joint.sleeve_weight_gr": Bound(
        "Sleeve mass",
        0.5,
        500,
        "gr",
        "Weigh the sleeve alone; grains (gr) are not grams (g).",
    ),
    "joint.stiffness_percent": Bound(
        "Stiffness of the jointed stretch",
        10,
        3000,
        "percent",
        "Give the bending stiffness of the jointed stretch over the plain shaft's: 100 % is as "
        "stiff as the shaft beside it.",
    ),
    "joint.give_deg_per_ftlb": Bound(
        "Give of the joint",
        0,
        20,
        "deg_per_ftlb",
        "Give the bend angle the joint adds for each foot-pound of bending; a stiff joint adds "
        "none.",
    ),
    "joint.play_deg": Bound(
        "Play of the joint",
        0,
        10,
        "deg",
        "Hold one part still and give the whole angle through which the other rocks freely.",
    ),
    "section.from_in": Bound(
        "Start of the section",
        0,
        60,
        "in",
        "Measure from the nock end of the shaft.",
    ),
    "section.to_in": Bound(
        "End of the section",
        0.1,
        60,
        "in",
        "Measure from the nock end of the shaft.",
    ),
    "section.stiffness_percent": Bound(
        "Stiffness of the section",
        5,
        3000,
        "percent",
        "Give the bending stiffness of the section over the plain shaft's: 100 % is as stiff as "
        "the rest of the shaft.",
    ),
    "section.weight_gr": Bound(
        "Mass of the section",
        1,
        1500,
        "gr",
        "Weigh the section before it is joined; grains (gr) are not grams (g).",
    ),
    # arrow
    "arrow.length_in": Bound(
        "Arrow length",
        6,
        45,
        "in",
        "Measure from the throat of the nock to the back of the point.",
    ),
    "arrow.point_weight_gr": Bound("Point mass", 5, 800, "gr", "Weigh the point alone."),
    "arrow.nock_weight_gr": Bound("Nock mass", 0.5, 150, "gr", "Weigh the nock alone."),
    "arrow.weight_gr": Bound(
        "Arrow mass",
        80,
        3000,
        "gr",
        "Weigh the whole arrow with its point; grains (gr) are not grams (g).",
    ),
    "arrow.balance_in": Bound(
        "Balance point",
        1,
        45,
        "in",
        "Balance the whole arrow on an edge and measure from the throat of the nock.",
    ),
    "arrow.point_width_in": Bound(
        "Width of the point",
        0.08,
        4,
        "in",
        "Measure the widest place of the point, from edge to edge, square to the arrow.",
    ),
    "arrow.point_blade_length_in": Bound(
        "Length of the blades",
        0.2,
        6,
        "in",
        "Measure along the arrow from the tip to the rear end of the blades.",
    ),
    "arrow.point_blades": Bound(
        "Number of blades", 2, 8, "", "Count the edges around the point; a flat blade has two."
    ),
    "arrow.stiff_side_deg": Bound(
        "Turn of the stiff side",
        0,
        360,
        "deg",
        "Give the turn from the strike plate down toward the shelf and on around: 0 deg with the "
        "stiff side against the plate, 90 deg with it on the shelf.",
    ),
    "fletching.length_in": Bound(
        "Fletching length", 0.5, 12, "in", "Measure along the shaft, front to rear edge."
    ),
    "fletching.height_in": Bound(
        "Fletching height",
        0.05,
        3,
        "in",
        "Measure from the surface of the shaft to the highest edge.",
    ),
    "fletching.count": Bound("Number of feathers or vanes", 1, 8, "", "Count them."),
    "fletching.angle_deg": Bound(
        "Fletching angle", -20, 20, "deg", "Give the angle between the base and the shaft."
    ),
    "fletching.rear_in": Bound(
        "Rear edge of the fletching",
        0,
        10,
        "in",
        "Measure from the throat of the nock to the rear edge.",
    ),
    "part.weight_gr": Bound(
        "Mass of the part", 0.1, 500, "gr", "Weigh the part alone; grains (gr) are not grams (g)."
    ),
    "part.at_in": Bound(
        "Place of the part",
        -1,
        45,
        "in",
        "Measure from the throat of the nock forward to the middle of the part; negative is behind "
        "the throat.",
    ),
    # the jig
    "jig.span_in": Bound(
        "Span of the jig", 6, 48, "in", "Measure between the two supports under the shaft."
    ),
    "jig.span_error_in": Bound(
        "Error of the span",
        0.005,
        2,
        "in",
        "A tape between two nails gives about 1/8 in (0.125 in).",
    ),
    "jig.load_lb": Bound(
        "Load of the jig",
        0.1,
        25,
        "lb",
        "Weigh what is hung at the middle, its container included.",
    ),
    "jig.load_error_percent": Bound(
        "Error of the load",
        0.01,
        20,
        "percent",
        "A weighed bag is known to about 1.5 %, measured water in a jug to about 3 %.",
    ),
    "jig.deflection_error_in": Bound(
        "Error of the jig's deflection",
        0.0002,
        0.25,
        "in",
        "A dial gives about 0.005 in, a fine ruler 1/64 in, eye and thread 1/32 in.",
    ),
    "jig.stiffness_factor": Bound(
        "Factor of the jig",
        0.5,
        2,
        "",
        "Give the stiffness of the known rod over the stiffness this jig read for it; a jig "
        "further out than that has a wrong span or load.",
    ),
    "jig.stiffness_factor_error_percent": Bound(
        "Error of the jig's factor",
        0.01,
        30,
        "percent",
        "Read the known rod several times, end for end and turned, and give how far they scatter.",
    ),
    # the set
    "member.nock_angle_deg": Bound(
        "Nock angle",
        0,
        360,
        "deg",
        "Give the turn from the shaft's own mark to the side that faces the strike plate.",
    ),
    # what a reading would make of a shaft
    "shaft.spine_lb": Bound(
        "Spine that follows from the reading (26 in span, 2 lb)",
        2,
        400,
        "lb",
        "Check the units of span, load and deflection.",
    ),
    # outing
    "outing.distance_yd": Bound(
        "Distance",
        3,
        120,
        "yd",
        "Give the distance from the shooting line to the butt.",
    ),
    "outing.temperature_f": Bound(
        "Temperature", -40, 130, "f", "Give the temperature of the air that day."
    ),
    "outing.wind_left_fps": Bound(
        "Wind to the left", -75, 75, "fps", "Give its speed square to the line of aim."
    ),
    "shot.left_in": Bound(
        "Place to the left",
        -120,
        120,
        "in",
        "Measure with a ruler from the aim to where the arrow entered, left positive from behind.",
    ),
    "shot.high_in": Bound(
        "Place above",
        -120,
        120,
        "in",
        "Measure with a ruler from the aim to where the arrow entered, high positive.",
    ),
    "shot.place_error_in": Bound(
        "Error of a place", 0.05, 24, "in", "A ruler from the aim gives about 1/2 in."
    ),
    "shot.nock_left_deg": Bound(
        "Angle of the nock to the left",
        -90,
        90,
        "deg",
        "Give how far the arrow stands off the line of flight: 0 deg is straight, left positive.",
    ),
    "shot.nock_high_deg": Bound(
        "Angle of the nock upward",
        -90,
        90,
        "deg",
        "Give how far the arrow stands off the line of flight: 0 deg is straight, high positive.",
    ),
    "shot.angle_error_deg": Bound(
        "Error of an angle", 0.2, 30, "deg", "By eye about 4 deg, from a photograph about 2 deg."
    ),
    "shot.speed_fps": Bound(
        "Speed of the arrow", 40, 350, "fps", "Give the speed near the bow in feet per second."
    ),
    "shot.speed_error_percent": Bound(
        "Error of the speed",
        0.2,
        25,
        "percent",
        "A chronograph gives about 1 %, a sound recording of loose and hit about 3 %.",
    ),
    # class
    "class.arrows_each": Bound(
        "Arrows for each person", 1, 48, "", "Count the arrows one person shoots at a time."
    ),
    "class.turns": Bound(
        "Turns at one bow",
        1,
        20,
        "",
        "Say how many people shoot one and the same bow, one after another.",
    ),
    "class.loss_percent": Bound(
        "Arrows lost or broken in the day",
        0,
        95,
        "percent",
        "Count what is left of the arrows at the end of a day like this one.",
    ),
    "pupil.strength_lb": Bound(
        "Strength",
        2,
        150,
        "lb",
        "Give the most draw weight this person holds steadily, as the instructor saw it.",
    ),
    "rule.figure_yd": Bound(
        "Figure of the rule", 0.1, 2000, "yd", "Copy it from the rule, with its unit."
    ),
    "rule.at_yd": Bound(
        "Place down the range",
        0,
        2000,
        "yd",
        "Give how far from the shooting line the width holds.",
    ),
    # string
    "string.strands": Bound(
        "Number of strands", 1, 400, "", "Count the strands side by side at the middle."
    ),
    "string.plies": Bound(
        "Number of plies", 1, 12, "", "Count the parts that the strands are laid up in."
    ),
    "string.twists": Bound(
        "Number of twists",
        0,
        400,
        "",
        "Count the full turns of one loop against the other, over the whole string.",
    ),
    "string.strand_strength_lb": Bound(
        "Strength of one strand",
        0.2,
        800,
        "lb",
        "Take the load one strand breaks at; hang five pieces until they break rather than trust "
        "a figure.",
    ),
    "string.strand_length_in": Bound(
        "Length of the weighed piece of strand",
        10,
        40000,
        "in",
        "Weigh a long piece of one strand, ten yards or so.",
    ),
    "string.strand_weight_gr": Bound(
        "Mass of the weighed piece of strand",
        0.2,
        10000,
        "gr",
        "Weigh a long piece of one strand; grains (gr) are not grams (g).",
    ),
    "string.length_in": Bound(
        "String length",
        15,
        110,
        "in",
        "Measure from loop end to loop end where they bear on the nocks, pulled straight by hand.",
    ),
    "string.weight_gr": Bound(
        "Mass of the string",
        20,
        1500,
        "gr",
        "Weigh the whole string with its serving; grains (gr) are not grams (g).",
    ),
    "string.diameter_in": Bound(
        "Thickness of the string",
        0.02,
        0.4,
        "in",
        "Measure it without serving, strung, with a caliper closed gently.",
    ),
    "string.serving_length_in": Bound(
        "Length of serving",
        0.5,
        60,
        "in",
        "Add up the served stretches, at the middle and at the loops.",
    ),
    "string.serving_thread_in": Bound(
        "Thickness of the serving thread",
        0.004,
        0.06,
        "in",
        "Wind ten turns side by side and take a tenth of their width.",
    ),
    "string.serving_diameter_in": Bound(
        "Thickness over the serving",
        0.04,
        0.45,
        "in",
        "Measure it at the nocking point, strung, with a caliper closed gently.",
    ),
    "string.nock_slot_in": Bound(
        "Width of the nock's slot",
        0.03,
        0.3,
        "in",
        "Measure the slot where the string lies: the shank of a drill that just goes in tells it.",
    ),
    "sample.load_lb": Bound(
        "Breaking load of a piece",
        0.2,
        3000,
        "lb",
        "Add weight to a bucket slowly, stand clear, and weigh bucket and all after it broke.",
    ),
}


def check(value: float, key: str, *, said: str | None = None) -> float:
    """The value itself when it lies within its bound; a refusal that says what to do otherwise.

    Parameters
    ----------
    value : float
        Number to hold against the bound. [unit of the bound]
    key : str
        Name of the bound in ``BOUNDS``. [name]
    said : str, optional
        Another spoken name than the bound's own. [words]

    Returns
    -------
    value : float
        The same number. [unit of the bound]

    Source
    ------
    Common practice, no source.
    """
    bound = BOUNDS[key]
    if bound.low <= value <= bound.high:
        return value
    raise BoundRefusal(
        f"{said or bound.said} {value:.6g}{_tail(bound.unit)} is outside {bound.range_text()}. "
        f"{bound.advice}",
        code=f"bound-{key}",
    )
