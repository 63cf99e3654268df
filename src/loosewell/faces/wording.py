"""The words and figures every face prints: units, bands, spine, left and right.

The command line, the page, the report and the drawings all speak through this
module, so that a spine always carries its span and load, a length both unit
systems, and a side always means the archer's own, seen from behind.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any, Literal

from loosewell.workshop.answer import (
    Band,
    ContactSpell,
    InputUsed,
    LaunchPicture,
    MatchAnswer,
    RackShaft,
)

Meeting = Literal["clears", "brushes", "slaps"]

WOOD_STANDARD = "26 in span, 2 lb"
LATER_STANDARD = "28 in span, 1.94 lb"

# Deflection over 28 in under 1.94 lb of a uniform shaft of one pound of spine
# (26 in, 2 lb): 26 · (1.94 · 28³) / (2 · 26³). Exact beam relation.
_LATER_FROM_WOOD = 26.0 * (1.94 * 28.0**3) / (2.0 * 26.0**3)

_MM_PER_INCH = 25.4
_GRAM_PER_GRAIN = 0.06479891
_KG_PER_POUND = 0.45359237
_MPS_PER_FPS = 0.3048
_METRE_PER_YARD = 0.9144
_JOULE_PER_FTLB = 0.3048 * 4.4482216152605

SEEN_FROM = "Left and right are the archer's own, seen from behind the archer."

ACTS_IN_WORDS = {
    "fits": "fits",
    "acts stiff": "acts stiff",
    "acts weak": "acts weak",
    "not inspected": "not inspected: not offered",
    "unfit": "unfit: do not shoot",
    "too short": "too short: do not shoot",
    "not measured": "not measured",
}


def number(value: float, digits: int) -> str:
    """A decimal number with a true minus sign and no minus zero.

    Parameters
    ----------
    value : float
        The number. [any]
    digits : int
        Digits after the point. [1]

    Returns
    -------
    text : str
        The number as printed. [text]

    Source
    ------
    House style.
    """
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def fraction_of_inch(value_in: float, parts: int = 16) -> str:
    """A length to the nearest part of an inch, as a tape shows it.

    Parameters
    ----------
    value_in : float
        Length. [in]
    parts : int
        Smallest division of the tape: 16 for sixteenths. [1]

    Returns
    -------
    text : str
        Such as "28 3/4". [text]

    Source
    ------
    House style.
    """
    steps = round(abs(value_in) * parts)
    whole, rest = divmod(steps, parts)
    sign = "−" if value_in < 0 and steps else ""
    if rest == 0:
        return f"{sign}{whole}"
    common = math.gcd(rest, parts)
    part = f"{rest // common}/{parts // common}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def length(value_in: float, digits: int = 2) -> str:
    """A length in inches with millimetres.

    Parameters
    ----------
    value_in : float
        Length. [in]
    digits : int
        Decimals of the inches. [1]

    Returns
    -------
    text : str
        Such as "28.50 in (724 mm)". [text]

    Source
    ------
    The inch is exactly 25.4 mm.
    """
    return f"{number(value_in, digits)} in ({number(value_in * _MM_PER_INCH, 0)} mm)"


def tape_length(value_in: float) -> str:
    """A length as read from a tape, with millimetres.

    Parameters
    ----------
    value_in : float
        Length. [in]

    Returns
    -------
    text : str
        Such as "28 3/4 in (730 mm)". [text]

    Source
    ------
    The inch is exactly 25.4 mm.
    """
    return f"{fraction_of_inch(value_in)} in ({number(value_in * _MM_PER_INCH, 0)} mm)"


def mass(value_gr: float, digits: int = 0) -> str:
    """A mass in grains with grams.

    Parameters
    ----------
    value_gr : float
        Mass. [gr]
    digits : int
        Decimals of the grains. [1]

    Returns
    -------
    text : str
        Such as "125 gr (8.1 g)". [text]

    Source
    ------
    The grain is exactly 64.79891 mg.
    """
    return f"{number(value_gr, digits)} gr ({number(value_gr * _GRAM_PER_GRAIN, 1)} g)"


def distance(value_yd: float) -> str:
    """A shooting distance in yards with metres.

    Parameters
    ----------
    value_yd : float
        Distance. [yd]

    Returns
    -------
    text : str
        Such as "20 yd (18.3 m)". [text]

    Source
    ------
    The yard is exactly 0.9144 m.
    """
    digits = 0 if abs(value_yd - round(value_yd)) < 0.05 else 1
    return f"{number(value_yd, digits)} yd ({number(value_yd * _METRE_PER_YARD, 1)} m)"


def later_deflection_in(spine_lb: float) -> float:
    """Deflection over 28 in under 1.94 lb of a uniform shaft of a given wood spine.

    Parameters
    ----------
    spine_lb : float
        Spine over 26 in under 2 lb. [lb]

    Returns
    -------
    deflection_in : float
        Mid-span deflection of the later standard. [in]

    Source
    ------
    Ratio of two simply supported beams, F L³ / (48 E I); exact arithmetic.
    """
    return _LATER_FROM_WOOD / spine_lb


def spine(spine_lb: float, digits: int = 0) -> str:
    """One spine in both standards, span and load beside each.

    Parameters
    ----------
    spine_lb : float
        Spine over 26 in under 2 lb. [lb]
    digits : int
        Decimals of the pounds. [1]

    Returns
    -------
    text : str
        Such as "45 lb (26 in span, 2 lb) / 0.700 in (28 in span, 1.94 lb)". [text]

    Source
    ------
    House style.
    """
    return (
        f"{number(spine_lb, digits)} lb ({WOOD_STANDARD}) / "
        f"{number(later_deflection_in(spine_lb), 3)} in ({LATER_STANDARD})"
    )


def spine_range(low_lb: float, high_lb: float, digits: int = 0) -> str:
    """A range of spine in both standards, span and load beside each.

    Parameters
    ----------
    low_lb : float
        Weak end, over 26 in under 2 lb. [lb]
    high_lb : float
        Stiff end, over 26 in under 2 lb. [lb]
    digits : int
        Decimals of the pounds. [1]

    Returns
    -------
    text : str
        The range, with the same range as deflections. [text]

    Source
    ------
    House style.
    """
    return (
        f"{number(low_lb, digits)} to {number(high_lb, digits)} lb ({WOOD_STANDARD}) / "
        f"{number(later_deflection_in(low_lb), 3)} to "
        f"{number(later_deflection_in(high_lb), 3)} in ({LATER_STANDARD})"
    )


def band(value: Band, unit: str, digits: int = 0) -> str:
    """A central value with its range.

    Parameters
    ----------
    value : Band
        Middle, low and high. [unit given]
    unit : str
        Unit printed behind. [text]
    digits : int
        Decimals. [1]

    Returns
    -------
    text : str
        Such as "52 lb (50 to 54 lb)". [text]

    Source
    ------
    House style.
    """
    middle = number(value.middle, digits)
    low, high = number(value.low, digits), number(value.high, digits)
    behind = f" {unit}" if unit else ""
    if low == high:
        return f"{middle}{behind}"
    return f"{middle}{behind} ({low} to {high}{behind})"


def _two_systems(value: Band, unit: str, digits: int, factor: float, other: str, fine: int) -> str:
    low, high = number(value.low * factor, fine), number(value.high * factor, fine)
    if low == high:
        return f"{band(value, unit, digits)}, {low} {other}"
    return f"{band(value, unit, digits)}, {low} to {high} {other}"


def draw_weight(value: Band) -> str:
    """A draw weight with its range, in pounds and kilograms of pull.

    Parameters
    ----------
    value : Band
        Draw weight. [lb]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    The pound is exactly 0.45359237 kg; a scale reads either.
    """
    return _two_systems(value, "lb", 1, _KG_PER_POUND, "kg", 1)


def length_band(value: Band, digits: int = 2) -> str:
    """A length with its range, in inches and millimetres.

    Parameters
    ----------
    value : Band
        Length. [in]
    digits : int
        Decimals of the inches. [1]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    The inch is exactly 25.4 mm.
    """
    return _two_systems(value, "in", digits, _MM_PER_INCH, "mm", 0)


def mass_band(value: Band) -> str:
    """A mass with its range, in grains and grams.

    Parameters
    ----------
    value : Band
        Mass. [gr]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    The grain is exactly 64.79891 mg.
    """
    return _two_systems(value, "gr", 0, _GRAM_PER_GRAIN, "g", 1)


def speed_band(value: Band) -> str:
    """A speed with its range, in feet and metres a second.

    Parameters
    ----------
    value : Band
        Speed. [fps]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    The foot is exactly 0.3048 m.
    """
    return _two_systems(value, "fps", 0, _MPS_PER_FPS, "m/s", 1)


def energy_band(value: Band) -> str:
    """A kinetic energy with its range, in foot-pounds and joules.

    Parameters
    ----------
    value : Band
        Energy. [ft·lb]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    One foot-pound is 0.3048 m times 4.4482216152605 N.
    """
    return _two_systems(value, "ft-lb", 1, _JOULE_PER_FTLB, "J", 1)


def momentum_bands(slugs: Band, si: Band) -> str:
    """A momentum with its range in both unit systems.

    Parameters
    ----------
    slugs : Band
        Momentum. [slug·ft/s]
    si : Band
        The same. [kg·m/s]

    Returns
    -------
    text : str
        Both unit systems. [text]

    Source
    ------
    House style.
    """
    return f"{band(slugs, 'slug·ft/s', 3)}, {band(si, 'kg·m/s', 3)}"


def percent(value: float) -> str:
    """A share in percent without false precision: "under 1 %" and "over 99 %" at the ends.

    Parameters
    ----------
    value : float
        Share. [%]

    Returns
    -------
    text : str
        Such as "84 %". [text]

    Source
    ------
    House style.
    """
    if value < 1.0:
        return "under 1 %"
    if value > 99.0:
        return "over 99 %"
    return f"{number(value, 0)} %"


def degrees(value: float, digits: int = 1) -> str:
    """An angle in degrees.

    Parameters
    ----------
    value : float
        Angle. [deg]
    digits : int
        Decimals. [1]

    Returns
    -------
    text : str
        Such as "1.4°". [text]

    Source
    ------
    House style.
    """
    return f"{number(value, digits)}°"


def side(value_left: float, unit: str, digits: int = 1) -> str:
    """A sideways amount with its side in words.

    Parameters
    ----------
    value_left : float
        Amount, left positive. [unit given]
    unit : str
        Unit, with its own leading space where it wants one. [text]
    digits : int
        Decimals. [1]

    Returns
    -------
    text : str
        Such as "2.1 in left"; "0.0 in" or "straight" when it rounds to nothing. [text]

    Source
    ------
    House style.
    """
    size = number(abs(value_left), digits)
    if float(size) == 0.0:
        return "straight" if unit == "°" else f"{size}{unit}"
    return f"{size}{unit} {'left' if value_left > 0 else 'right'}"


def height(value_high: float, unit: str, digits: int = 1) -> str:
    """An upright amount with its direction in words.

    Parameters
    ----------
    value_high : float
        Amount, high positive. [unit given]
    unit : str
        Unit, with its own leading space where it wants one. [text]
    digits : int
        Decimals. [1]

    Returns
    -------
    text : str
        Such as "1.0 in high"; "0.0 in" or "level" when it rounds to nothing. [text]

    Source
    ------
    House style.
    """
    size = number(abs(value_high), digits)
    if float(size) == 0.0:
        return "level" if unit == "°" else f"{size}{unit}"
    return f"{size}{unit} {'high' if value_high > 0 else 'low'}"


def nock_stands(picture: LaunchPicture) -> str:
    """How the arrow stands in the butt, as one sentence with its range.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [deg]

    Returns
    -------
    text : str
        The sideways angle, its range and the upright angle. [text]

    Source
    ------
    House style.
    """
    return (
        f"Nock {side(picture.stand_nock_left_deg, '°')} "
        f"({side_range(picture.stand_low_deg, picture.stand_high_deg)}), "
        f"{height(picture.stand_nock_high_deg, '°')}."
    )


def side_range(low_left: float, high_left: float) -> str:
    """A range of angles with a side for each end.

    Parameters
    ----------
    low_left : float
        Lower end, left positive. [deg]
    high_left : float
        Upper end, left positive. [deg]

    Returns
    -------
    text : str
        Such as "0.4° right to 1.9° left". [text]

    Source
    ------
    House style.
    """
    if low_left >= 0.0 and high_left >= 0.0:
        return f"{number(low_left, 1)} to {number(high_left, 1)}° left"
    if low_left <= 0.0 and high_left <= 0.0:
        return f"{number(-high_left, 1)} to {number(-low_left, 1)}° right"
    return f"{side(low_left, '°')} to {side(high_left, '°')}"


def lands(picture: LaunchPicture) -> str:
    """Where the arrow lands against the fitting one.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [in]

    Returns
    -------
    text : str
        One phrase. [text]

    Source
    ------
    House style.
    """
    if picture.label == "fits":
        return "The others are measured from where it lands."
    across, up = picture.hit_left_in, picture.hit_high_in
    if abs(across) < 0.05 and abs(up) < 0.05:
        return "Lands with the fitting arrow."
    return f"Lands {side(across, ' in')}, {height(up, ' in')} of the fitting arrow."


def tail_spells(picture: LaunchPicture) -> list[ContactSpell]:
    """The spells in which the tail, not the resting shaft, met the bow.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [ms]

    Returns
    -------
    spells : list of ContactSpell
        Fletching contacts, and shaft contacts after the string has let go. [ms, mN·s]

    Source
    ------
    House style.
    """
    return [c for c in picture.contacts if c.part == "fletching" or c.after_string]


def meeting_kind(picture: LaunchPicture) -> Meeting:
    """How the tail meets the bow: it clears it, brushes it, or slaps it.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [mN·s]

    Returns
    -------
    kind : str
        "clears"; "brushes" up to the knock a clean shot may have; "slaps" above it, or when
        no such limit is known. [text]

    Source
    ------
    House style; the limit is the answer's own.
    """
    knock = picture.tail_knock_mns
    if knock < 0.5:
        return "clears"
    limit = picture.clean_knock_mns
    return "brushes" if limit is not None and knock <= limit else "slaps"


def bow_meeting(picture: LaunchPicture) -> str:
    """What the tail does at the bow, as a short verdict a maker can act on.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [mN·s]

    Returns
    -------
    text : str
        One phrase. [text]

    Source
    ------
    House style.
    """
    kind = meeting_kind(picture)
    if kind == "clears":
        return "Tail clears the bow"
    knock = picture.tail_knock_mns
    return f"Tail {kind} the bow: {number(knock, 1 if knock < 10 else 0)} mN·s"


def shots_like_it(picture: LaunchPicture) -> str:
    """How many shots with this arrow are clean, or whether the one shot shown is.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer, or one tried with the sliders. [%]

    Returns
    -------
    text : str
        One sentence. [text]

    Source
    ------
    House style.
    """
    if picture.label == "this shaft":
        kind = "is" if picture.share_clean_percent >= 50.0 else "is not"
        text = f"This one shot, by the middle of everything known, {kind} clean"
    else:
        text = f"{percent(picture.share_clean_percent)} of such shots are clean"
        if picture.unclean_because:
            text += "; the one shown is not"
    if picture.unclean_because:
        text += f": it {picture.unclean_because}".replace("it tail", "its tail")
    if picture.acts.startswith("the worst"):
        text += f". It is {picture.acts}"
    return f"{text}."


def clean_in_short(picture: LaunchPicture) -> str:
    """The share of clean shots, or the verdict on the one shot shown, for a heading.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer, or one tried with the sliders. [%]

    Returns
    -------
    text : str
        Such as "86 % clean" or "not clean". [text]

    Source
    ------
    House style.
    """
    if picture.label == "this shaft":
        return "clean" if picture.share_clean_percent >= 50.0 else "not clean"
    return f"{percent(picture.share_clean_percent)} clean"


def straightens(picture: LaunchPicture) -> str:
    """Where the bending of the arrow has rung down.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [yd, in]

    Returns
    -------
    text : str
        One sentence. [text]

    Source
    ------
    House style.
    """
    after = picture.straight_after_yd
    if after is None:
        left = picture.bend_left_in
        return (
            f"Still bends {number(left, 2)} in ({number(left * _MM_PER_INCH, 0)} mm) at the nock "
            "when it strikes."
        )
    if after < 0.5:
        return "Hardly bends once it is past the bow."
    return f"Bends no more (1 mm at the nock) after {distance(after)}."


def traces(picture: LaunchPicture) -> str:
    """Which marks such a shot leaves, to be looked for on the arrow.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [text]

    Returns
    -------
    text : str
        One sentence. [text]

    Source
    ------
    House style.
    """
    if not picture.marks:
        return "Marks to look for: none computed behind the string."
    return f"Marks to look for: {'; '.join(m.rstrip('.') for m in picture.marks)}."


def shot_sentences(picture: LaunchPicture) -> list[str]:
    """What one tried shot does, in the order a maker asks.

    Parameters
    ----------
    picture : LaunchPicture
        The arrow tried. [trade units]

    Returns
    -------
    sentences : list of str
        Bow, verdict, butt, bending, marks. [text]

    Source
    ------
    House style.
    """
    return [
        f"{spine(picture.spine_26in_2lb_lb)}.",
        f"{bow_meeting(picture)}.",
        shots_like_it(picture),
        (
            f"Nock {side(picture.stand_nock_left_deg, '°')}, "
            f"{height(picture.stand_nock_high_deg, '°')} at {distance(picture.distance_yd)}."
        ),
        straightens(picture),
        traces(picture),
    ]


def forgiveness(answer: MatchAnswer) -> str:
    """How wide the range is and how fast the share of clean shots falls beside it.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [lb, % a pound]

    Returns
    -------
    text : str
        One or two sentences; nothing where nothing is known. [text]

    Source
    ------
    House style.
    """
    if answer.forgiveness_lb is None:
        return ""
    said = f"The range is {number(answer.forgiveness_lb, 0)} lb wide."
    falls = [
        f"{number(fall, 1)} of 100 for each pound {way}"
        for fall, way in (
            (answer.fall_weak_percent_per_lb, "weaker"),
            (answer.fall_stiff_percent_per_lb, "stiffer"),
        )
        if fall is not None
    ]
    if falls:
        said += f" From the best spine on, clean shots fall by {' and '.join(falls)}."
    return said


def wideners(answer: MatchAnswer, least_percent: float = 1.0) -> list[InputUsed]:
    """The inputs that cause the range's width, largest first.

    Parameters
    ----------
    answer : MatchAnswer
        The answer with its inputs. [%]
    least_percent : float
        Smaller shares are left out. [%]

    Returns
    -------
    inputs : list of InputUsed
        Largest share first. [%]

    Source
    ------
    House style.
    """
    told = [i for i in answer.inputs if i.share_of_width_percent >= least_percent]
    return sorted(told, key=lambda i: -i.share_of_width_percent)


def change_in_short(row: RackShaft) -> str:
    """The cheapest change for a near miss in a few words, beside its chance as it is.

    Parameters
    ----------
    row : RackShaft
        One row of the rack. [%]

    Returns
    -------
    text : str
        Such as "Point 150 gr: then 95 %."; nothing when no change is advised. [text]

    Source
    ------
    House style.
    """
    if row.change is None:
        return ""
    what = row.change.what.rstrip(".")
    after = percent(row.change.chance_after_percent)
    return f"{what[0].upper() + what[1:]}: then {after}."


def by_its_wood(row: RackShaft) -> str:
    """The spine that the wood of an unbent shaft leads to, in short, as a list adds it to a name.

    Parameters
    ----------
    row : RackShaft
        A shaft of the rack. [lb]

    Returns
    -------
    text : str
        " (by its wood 33 to 58 lb, not bent)", or nothing. [text]

    Source
    ------
    House style.
    """
    band = row.spine_by_wood_26in_2lb_lb
    if band is None:
        return ""
    return f" (by its wood {number(band.low, 0)} to {number(band.high, 0)} lb, not bent)"


def contact_sentence(spell: ContactSpell) -> str:
    """One spell of contact as a sentence.

    Parameters
    ----------
    spell : ContactSpell
        The spell. [ms, mN·s]

    Returns
    -------
    text : str
        Which part pressed on what, when and how hard. [text]

    Source
    ------
    House style.
    """
    where = "strike plate" if spell.plane == "plate" else "shelf"
    when = "after the string let go" if spell.after_string else "while the string drives"
    return (
        f"{spell.part.capitalize()} on the {where} from {number(spell.from_ms, 1)} to "
        f"{number(spell.to_ms, 1)} ms, {number(spell.impulse_mns, 1)} mN·s, {when}."
    )


def title_of(picture: LaunchPicture) -> str:
    """The name of a picture, with its spine in the older standard.

    Parameters
    ----------
    picture : LaunchPicture
        One arrow of the answer. [lb]

    Returns
    -------
    text : str
        Such as "Fits: 52 lb". [text]

    Source
    ------
    House style.
    """
    name = picture.label[0].upper() + picture.label[1:]
    return f"{name}: {number(picture.spine_26in_2lb_lb, 0)} lb"


def heading(answer: MatchAnswer) -> str:
    """The heading of an answer.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [text]

    Returns
    -------
    text : str
        Bow, archer and hand in one line. [text]

    Source
    ------
    House style.
    """
    return f"{answer.bow} and {answer.archer}"


def setting(answer: MatchAnswer) -> str:
    """The line below the heading: purpose, distance, hand, invented or not.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [yd]

    Returns
    -------
    text : str
        One line. [text]

    Source
    ------
    House style.
    """
    invented = " Invented example, not a real bow or person." if answer.invented else ""
    return (
        f"{answer.purpose.capitalize()} at {distance(answer.distance_yd)}, "
        f"{answer.hand}-handed.{invented}"
    )


def rack_order(rack: Iterable[RackShaft]) -> list[RackShaft]:
    """The rack with the likeliest first; shafts not to be shot come last.

    Parameters
    ----------
    rack : iterable of RackShaft
        The rows as answered. [text]

    Returns
    -------
    rows : list of RackShaft
        The same rows, ordered. [text]

    Source
    ------
    House style.
    """

    def place(row: RackShaft) -> tuple[int, float, str]:
        last = {"unfit": 4, "too short": 3, "not measured": 2, "not inspected": 1}.get(row.acts, 0)
        would = row.would_chance_percent
        told = would if row.chance_percent is None else row.chance_percent
        chance = -1.0 if told is None else told
        return (last, -chance, row.shaft)

    return sorted(rack, key=place)


def open_range(answer: MatchAnswer) -> bool:
    """Whether an end of the range was not reached, so that its figure is no end.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [lb]

    Returns
    -------
    open : bool
        True when the sentence on the range leaves an end open. [1]

    Source
    ------
    House style.
    """
    opening = r"up to \d+ lb|\d+ lb and stiffer|every spine reckoned"
    return re.match(opening, answer.spine_range_text) is not None


def repeats_range(answer: MatchAnswer) -> bool:
    """Whether the answer's sentence on the range only says its two figures again.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [lb]

    Returns
    -------
    repeats : bool
        True when the sentence begins with the range already printed. [1]

    Source
    ------
    House style.
    """
    return (
        answer.spine_range_lb is not None
        and re.match(r"\d+ to \d+ lb", answer.spine_range_text) is not None
    )


def rules_verdict(answer: MatchAnswer) -> str:
    """How far the rules lie apart and how they stand to the engine, each said once.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [lb]

    Returns
    -------
    text : str
        One or more sentences. [text]

    Source
    ------
    House style.
    """
    if answer.rules_spread_lb is None:
        return answer.rules_against_engine
    apart = f"{number(answer.rules_spread_lb, 0)} lb apart"
    if apart in answer.rules_against_engine:
        return answer.rules_against_engine
    return f"The rules lie {apart}. {answer.rules_against_engine}".strip()


def change_sentence(row: RackShaft) -> str:
    """The cheapest change for a near miss, with its chance before and after.

    Parameters
    ----------
    row : RackShaft
        One row of the rack. [in, gr, %]

    Returns
    -------
    text : str
        One sentence, or nothing when no change is advised. [text]

    Source
    ------
    House style.
    """
    if row.change is None:
        return ""
    change = row.change
    what = change.what.rstrip(".")
    return (
        f"{what[0].upper() + what[1:]}: {percent(change.chance_before_percent)} before, "
        f"{percent(change.chance_after_percent)} after, then "
        f"{tape_length(change.length_in)} long with a point of {mass(change.point_weight_gr)}."
    )


def would_sentence(row: RackShaft) -> str:
    """What the readings of a shaft would make of it, were it looked over and found sound.

    Parameters
    ----------
    row : RackShaft
        One row of the rack. [%]

    Returns
    -------
    text : str
        One sentence, or nothing when the shaft was looked over or not reckoned. [text]

    Source
    ------
    House style.
    """
    if row.would_act is None or row.would_chance_percent is None:
        return ""
    verb = "fit" if row.would_act == "fits" else row.would_act.replace("acts", "act")
    return (
        f"Were it sound, its readings say it would {verb}, chance "
        f"{percent(row.would_chance_percent)}."
    )


def sentence(text: str) -> str:
    """A short note as a sentence: a capital in front, a full stop behind.

    Parameters
    ----------
    text : str
        The note. [text]

    Returns
    -------
    text : str
        The sentence; nothing for nothing. [text]

    Source
    ------
    House style.
    """
    told = text.strip()
    if not told:
        return ""
    told = told[0].upper() + told[1:]
    return told if told.endswith((".", "!", "?")) else told + "."


_STAGES = {
    "engine": "Waking the engine, which is compiled once on each machine",
    "nocking point": "Setting the nocking point",
    "spines": "Shooting arrows of every spine",
    "rack": "Shooting the shafts of the rack",
    "weaker": "Shooting weaker neighbours",
    "stiffer": "Shooting stiffer neighbours",
    "changes": "Trying cuts and points",
    "arrow": "Building the first arrow",
    "both ways round": "Shooting it both ways round",
    "so shaped": "Shooting shafts so shaped of every spine",
    "picture": "Taking a picture",
    "pictures": "Taking the pictures",
    "class": "Shooting every bow for the class",
    "aim": "Shooting at every distance",
    "arrows": "Shooting the arrows of each purpose",
    "bending": "Bending the shaft at the loose",
    "carry": "Finding the farthest carry",
    "choice": "Choosing the sets",
    "far shot": "Holding it against your far shot",
    "if two bows break": "Planning for two broken bows",
    "listening": "Listening to the recording",
    "plan": "Making the plan",
    "shafts as they are": "Shooting the shafts as they are",
    "steadiness": "Watching it fly without feathers",
    "surface": "Shooting a net of stiffness and mass",
    "what is short": "Reckoning what is short",
    "worlds": "Shooting what may lie behind it",
    "scatter of the loose": "Loosing each one again",
    "tackle": "Shooting the tackle without faults",
    "as it is": "Shooting it as it is",
    "tests": "Weighing which test would tell most",
    "done": "Done",
}


def stage(word: str) -> str:
    """A stage of the engine in words for people waiting.

    Parameters
    ----------
    word : str
        The engine's own word. [text]

    Returns
    -------
    text : str
        A phrase; an unknown word as it is. [text]

    Source
    ------
    House style.
    """
    return _STAGES.get(word, word)


_JSON_NAMES = {"total_weight": "total_weight_gr", "seconds": "run_time_s"}


def as_json(answer: MatchAnswer) -> dict[str, Any]:
    """An answer as plain data with a unit in the key of every quantity.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]

    Returns
    -------
    data : dict
        Ready for ``json.dumps``; values that are not finite become null. [trade units]

    Source
    ------
    House style.
    """

    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {_JSON_NAMES.get(k, k): plain(v) for k, v in value.items()}
        if isinstance(value, list | tuple):
            return [plain(v) for v in value]
        if isinstance(value, float) and not math.isfinite(value):
            return None
        return value

    data = plain(answer.as_dict())
    assert isinstance(data, dict)
    return data


def chosen_rows(answer: MatchAnswer) -> list[tuple[str, str]]:
    """The advised build as label and value, in the order a maker works.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]

    Returns
    -------
    rows : list of (str, str)
        Empty when nothing is advised. [text]

    Source
    ------
    House style.
    """
    chosen = answer.chosen
    if chosen is None:
        return []
    return [
        ("Shaft", chosen.shaft),
        ("Cut to", f"{tape_length(chosen.cut_length_in)}, {chosen.cut_length_definition}"),
        ("Never shorter than", tape_length(chosen.minimum_length_in)),
        ("Point", mass(chosen.point_weight_gr)),
        ("Fletching", chosen.fletching),
        ("Whole arrow", mass_band(chosen.total_weight)),
        ("Grains per pound of draw", band(chosen.grains_per_pound, "gr/lb", 1)),
        ("Balance from the nock throat", length_band(chosen.balance_from_nock_throat_in)),
        ("Front of centre", f"{band(chosen.foc_percent, '%', 1)}; {chosen.foc_definition}"),
        ("Speed leaving the bow", speed_band(chosen.speed_fps)),
        ("Energy leaving the bow", energy_band(chosen.energy_ftlb)),
        (
            "Momentum leaving the bow",
            momentum_bands(chosen.momentum_slug_fps, chosen.momentum_kg_mps),
        ),
    ]
