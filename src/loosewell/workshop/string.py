"""A string for a bow: what it bears, weighs and costs, how long it must be, what it does when wet.

Hard stops come first. Home-made cordage has no number before pieces of it were broken. Two
rules of the trade stand side by side, ten times and four times the draw weight, and none is
chosen: both are about a string at rest and say nothing of wear.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal, Refusal
from loosewell.records import Bow, BowString, bounds
from loosewell.reference import reader
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.bridge import bow_model, true_draw_in
from loosewell.workshop.bridge.makes import BRACE_IN, STRING_SHORTER_IN, VIRTUAL_MASS_STRING_GR

LEAST_PIECES, BETTER_PIECES = 3, 5
"""Broken pieces before there is a low end, and before it is worth much. Common practice, no
source: five or more, and use the low end. Fewer than three tell no scatter at all."""
PIECES_SHARE, PIECES_CONFIDENCE = 0.90, 0.95
"""The low end is borne by nine of ten such pieces, at 95 % confidence. Modelling choice."""
RULES = (
    ("common practice: ten times for the finished string", 10.0),
    ("an older rule of four", 4.0),
)
"""Strength of the string over the draw weight. Both common practice, no source; the older rule
asks it of the measured strength of the strands, without loops and twist."""
OLDER_RULE = 4.0

PRINTED_LOW, PRINTED_MIDDLE = 0.75, 0.90
"""What is taken for a strand whose strength is a printed or told figure, as a share of it: single
strands scatter by 15 to 25 % (common practice, no source)."""
STRAND_VARIATION = 0.15
"""Spread of single strands where none were broken: the low end of the same."""
HAND_LAID = (0.60, 0.75, 0.90)
"""Strength of hand-laid cordage over the sum of what it is laid from. From memory: more twist,
less strength; light twist has been read to reach 1.0 (Pope 1923; Nagler 1947)."""
LOOP_SHARE = {
    "endless": (0.85, 0.93, 1.0),
    "laid in": (0.85, 0.90, 0.95),
    "bowline": (0.60, 0.65, 0.70),
    "timber hitch": (0.65, 0.70, 0.75),
    "overhand": (0.50, 0.55, 0.60),
}
"""Strength that a loop or knot leaves. Overhand 55 % read in a lesson on rope that cites the
Cordage Institute; bowline, timber hitch and laid-in loops from memory; endless served loops
common practice, no source."""
LOOPS_UNKNOWN = (0.50, 0.75, 1.0)
PACKING = (0.65, 0.92)
"""Share of a round string that is fibre: loose and hardly twisted, and wound tight with wax. From
memory; a waxed linen string of 60 strands read as 1/8 in thick lies at the tight end."""
WAX = (0.05, 0.15)
"""What wax and handling add to the mass of bare yarn. From memory."""
TWISTS_USUAL = (15.0, 25.0, 40.0)
"""Turns in a string with none told. Common practice, no source."""
SERVING_LENGTH_IN = {"endless": 15.0}
SERVING_LENGTH_USUAL_IN = 7.0
SERVING_THREAD_IN = (0.016, 0.020, 0.024)
"""Served stretches and thread where none are told. Common practice, no source."""
SERVING_DENSITY, SERVING_PACKING = 1140.0, 0.70
"""Nylon thread. [kg/m³], [-] The packing from memory."""
TAIL_IN = {"laid in": 8.0, "bowline": 7.0, "timber hitch": 8.0, "overhand": 6.0}
"""What each end needs beyond the loop's bearing point. Common practice, no source."""
LEFT_IN_STRING = (0.25, 1.0)
"""Share of what the arrow leaves behind that the string itself must stop. Modelling choice: the
upper end is all of it, which no string can exceed by this model."""
USUAL_ARROW_GR_PER_LB = 9.0
"""Arrow for the speeds where none is told. Common practice, no source."""
CORD_KG_M = units.POUND / (225.0 * units.FOOT)
"""Type III cord, at least 225 ft a pound. MIL-C-5040H Table II, read second-hand."""
TWINE_36_KG_M, TWINE_TAR = 2520e-6, (0.10, 0.20)
"""Nylon twine of size 36, 108 yarns of 210 denier; what tar adds. Both from memory."""
IMPLAUSIBLE = (0.4, 2.5)
"""Shares of the usual strength of a strand outside which a figure is challenged."""
TWINE_TO_LB, ARTIFICIAL_SINEW_TO_LB, A_HAIR_LB = 60.0, 50.0, 0.05
"""Draw weights up to which two plies of tarred nylon twine of size 36, and waxed artificial sinew,
serve, both common practice, no source; and what no scale tells."""
EIGHTH_IN = 0.125
COUNTED_BY_PLY = ("tarred nylon twine", "parachute cord", "artificial sinew")
"""Bought so that one strand of it is one ply."""


@dataclass(frozen=True)
class Fibre:
    """What is known of a fibre beside the table: rows there, usual strand, wet, settling."""

    rows: tuple[str, ...] = ()
    strand_lb: tuple[float, float] | None = None
    strand_from: str = ""
    wet: tuple[float, float] | None = None
    wet_words: str = "What it does when wet is not known here. Break wet pieces too."
    settles: tuple[float, float] | None = None
    """First lasting stretch in percent, from memory, an order of magnitude only."""
    for_bow: str = "other"
    """The word a bow's record has for it."""
    by_hand: bool = False
    """Made at home as a rule, so that no printed strength exists."""


_LINEN_WET = (
    "Common practice says wet natural fibres weaken. A text that was read says linen bears about "
    "half more when wet (Commercial Fisheries Review, December 1957), and it swells and shortens. "
    "No gain is counted, and a string kept wet rots."
)
_HIDE_WET = (
    "Wet, it stretches and weakens (Pope 1923); by how much is not known here. Do not shoot it "
    "damp: let it dry slowly, then break pieces again."
)
_NYLON_WET = "Wet, nylon loses 10 to 15 % (rope-technology paper; UFC 4-159-03, Table 6-8 note)."
_BAST = "bast fibre, nettle or dogbane"
_HMPE = ("HMPE, standard grade", "HMPE, high grade", "HMPE, second table")
_NYLON = ("nylon", "nylon 66, high tenacity")
FIBRES: dict[str, Fibre] = {
    "polyester": Fibre(
        ("polyester", "polyester, high tenacity"),
        (45.0, 60.0),
        "usual bowstring yarn, from memory",
        (1.0, 1.0),
        "Wet, polyester loses next to nothing (from memory).",
        (0.3, 1.0),
        "polyester",
    ),
    "low-stretch": Fibre(
        _HMPE,
        (65.0, 130.0),
        "usual HMPE bowstring yarn, from memory",
        (1.0, 1.0),
        "Wet, it loses next to nothing (from memory); heat creeps it: keep it out of a hot car.",
        (0.05, 0.3),
        "low-stretch",
    ),
    "linen": Fibre(
        ("linen (flax)",), None, "", (1.0, 1.5), _LINEN_WET, (0.2, 0.6), for_bow="linen"
    ),
    "hemp": Fibre(
        ("hemp",),
        wet_words=f"{_LINEN_WET} Whether hemp does as linen does was not read.",
        settles=(0.2, 0.6),
        for_bow="hemp",
    ),
    "nettle": Fibre((_BAST,), by_hand=True),
    "dogbane": Fibre((_BAST,), by_hand=True),
    "cotton": Fibre(("cotton",)),
    "silk": Fibre(
        ("silk",),
        wet=(0.75, 0.85),
        wet_words="Wet, silk loses 15 to 25 % (from memory).",
    ),
    "nylon": Fibre(_NYLON, None, "", (0.85, 0.90), _NYLON_WET, (1.0, 3.0), "nylon"),
    "tarred nylon twine": Fibre(
        _NYLON,
        (309.0, 360.0),
        "size 36 taken: near 360 lb by common practice, 309 to 357 lb estimated from its yarns",
        (0.85, 0.90),
        _NYLON_WET,
        (1.0, 3.0),
        "nylon",
    ),
    "artificial sinew": Fibre(
        ("nylon", "polyester"),
        (50.0, 70.0),
        "full ply, from memory",
        (0.85, 0.90),
        f"{_NYLON_WET} Some of it is polyester, which does not.",
        (2.0, 6.0),
        "nylon",
    ),
    "sinew": Fibre(("sinew",), wet_words=_HIDE_WET, for_bow="sinew", by_hand=True),
    "gut": Fibre(("gut",), wet_words=_HIDE_WET, by_hand=True),
    "rawhide": Fibre(("rawhide",), wet_words=_HIDE_WET, by_hand=True),
    "parachute cord": Fibre(
        _NYLON,
        (550.0, 550.0),
        "type III, at least 550 lb by MIL-C-5040, read in a lesson that cites it",
        (0.85, 0.90),
        _NYLON_WET,
        None,
        "nylon",
    ),
    "other": Fibre(),
}


@dataclass(frozen=True)
class Told:
    """One input: what was taken, whether it was measured, how much of a range it causes."""

    of: str
    """strength, mass or length: which range it widens."""
    name: str
    value: str
    assumed: bool
    share_percent: float
    """Of that range, in logarithms."""


@dataclass(frozen=True)
class Rule:
    """One rule of the trade beside what the string has."""

    name: str
    times: float
    asked_lb: float
    strands_by_low_end: int | None
    strands_by_middle: int | None


@dataclass(frozen=True)
class Pull:
    """A tension in the string, and what it is over the draw weight."""

    name: str
    tension_lb: Band
    times_draw_weight: Band
    note: str


@dataclass(frozen=True)
class Cost:
    """An arrow's speed with a string of this mass, and against the string that is asked about."""

    name: str
    string_gr: float
    speed_fps: float
    against_fps: float


@dataclass(frozen=True)
class LengthPlan:
    """How long, from the bow and the brace height wanted. Lengths between bearing points."""

    brace_height_in: float
    braced_in: Band
    rule_in: float
    slack_in: Band
    straight_in: Band
    """Strands before they are twisted."""
    cut_in: Band
    cut_words: str
    twists: int | None
    turns_for_eighth: Band | None
    """Further turns that raise the brace by 1/8 in."""
    brace_per_inch_in: Band
    """How much the brace falls for each inch the string grows."""
    would_brace_in: Band | None
    """Where a string of the recorded length would brace."""


@dataclass(frozen=True)
class StringAnswer:
    """Everything about one string, stops first."""

    name: str
    made: str
    stops: list[Notice]
    warnings: list[Notice]
    strength_lb: Band | None
    strength_bound_lb: float | None
    """Low end borne by nine of ten at 95 % confidence; None without enough pieces."""
    strength_words: list[str]
    draw_weight_lb: float | None
    draw_words: str
    ratio: Band | None
    rules: list[Rule]
    pulls: list[Pull]
    mass_gr: Band | None
    mass_measured: bool
    mass_words: str
    arrow_gr: float | None
    costs: list[Cost]
    diameter_in: Band | None
    served_in: Band | None
    nock_slot_in: float | None
    nock_words: str
    length: LengthPlan | None
    stretch_words: list[str]
    wet_words: str
    inputs: list[Told] = field(default_factory=list)
    next_step: str = ""
    plies: int | None = None
    strands: int | None = None
    serving_thread_in: float = SERVING_THREAD_IN[1]
    arrow_assumed: bool = True


def answer(
    string: BowString,
    bow: Bow | None = None,
    *,
    draw_in: float | None = None,
    arrow_weight_gr: float | None = None,
) -> StringAnswer:
    """The string held against the bow: stops, strength, tensions, mass, thickness, length.

    Parameters
    ----------
    string : BowString
        As recorded or typed.
    bow : Bow, optional
        With a draw reading for anything about loads; with length and brace for the length.
    draw_in : float, optional
        Draw it is shot at, in the bow's own measure; else its longest draw reading.
    arrow_weight_gr : float, optional
        For the speeds.

    Returns
    -------
    answer : StringAnswer
        What is not known is None, never zero.

    Raises
    ------
    Refusal
        Without a fibre, or for a draw that the bow does not bear.
    """
    if string.fibre is None:
        raise MissingRefusal(
            f"Nothing is known of the fibre of {string.name}, and a count of strands without its "
            "fibre says nothing. Say what it is: --fibre polyester, linen, nettle and so on; "
            "'other' when it is none of those listed.",
            code="missing-fibre",
        )
    if arrow_weight_gr is not None:
        bounds.check(arrow_weight_gr, "speed.arrow_weight_gr")
    work = _Work(string, bow, draw_in, arrow_weight_gr)
    return work.answer()


@dataclass(frozen=True)
class _Strength:
    band: Band | None
    bound: float | None
    words: list[str]
    per_strand: tuple[float, float] | None
    """Of the finished string for each of its strands: low and middle."""
    none_because: str = ""


class _Work:
    """One string and one bow on the bench, and what follows from them step by step."""

    def __init__(
        self,
        string: BowString,
        bow: Bow | None,
        draw_in: float | None,
        arrow_weight_gr: float | None,
    ) -> None:
        assert string.fibre is not None
        if string.strands is None and string.fibre in COUNTED_BY_PLY:
            string = string.model_copy(update={"strands": string.plies})
        self.string, self.bow = string, bow
        self.fibre_name = str(string.fibre)
        self.fibre = FIBRES[self.fibre_name]
        self.home = self.fibre.by_hand if string.home_made is None else string.home_made
        self.rows = [reader.fibre(one) for one in self.fibre.rows]
        self.inputs: list[Told] = []
        self.draw_true_in: float | None = None
        self.draw_weight: float | None = None
        self.arrow_gr = arrow_weight_gr
        if bow is not None and bow.draw_readings:
            self._load(bow, draw_in)
        self.linear = self._linear_density()
        self.diameter = self._diameter()
        self.plied = bool(string.plies and string.plies > 1 and string.loops != "endless")
        # Cordage laid at home holds far more turns than a string of yarn, and nobody counted them.
        usual = 0.0 if self.home else TWISTS_USUAL[1]
        self.turns_known = string.twists is not None or not self.home
        self.twists = usual if string.twists is None else float(string.twists)

    # ---- what is asked of it

    def _load(self, bow: Bow, draw_in: float | None) -> None:
        longest = max(one.draw_in for one in bow.draw_readings)
        at = longest if draw_in is None else draw_in
        bounds.check(at, "reading.draw_in")
        limit = bow.drawn_to_limit_in
        if limit is not None and at > limit + 1e-9:
            raise BoundRefusal(
                f"A draw of {at:g} in was asked for, and {bow.name} was made to be drawn to "
                f"{limit:g} in at most ({bow.draw_measured} draw). No string makes it bear more. "
                "Ask for a draw within the limit.",
                code="draw-beyond-limit",
            )
        if at > longest + 1.0:
            raise BoundRefusal(
                f"A draw of {at:g} in was asked for, and the longest draw weight on record for "
                f"{bow.name} is at {longest:g} in. Read the draw weight there first, if the bow "
                "was made for it.",
                code="draw-beyond-readings",
            )
        self.draw_true_in = true_draw_in(at, bow.draw_measured)
        self.draw_measured_in = at
        # As recorded: speeds on record were shot with the string on record.
        self.model = bow_model(bow, self.draw_true_in)
        self.draw_weight = self.model.weight_at(self.draw_true_in)

    def _bow_with(self, bow: Bow, mass_gr: float | None) -> Bow:
        low, high = (
            bounds.BOUNDS["bow.string_mass_gr"].low,
            bounds.BOUNDS["bow.string_mass_gr"].high,
        )
        mass = None if mass_gr is None else min(max(mass_gr, low), high)
        return bow.model_copy(
            update={"string_material": self.fibre.for_bow, "string_mass_gr": mass}
        )

    # ---- mass and thickness

    def _range(self, low: str, high: str) -> tuple[float, float] | None:
        lows = [value for one in self.rows if (value := getattr(one, low)) is not None]
        highs = [value for one in self.rows if (value := getattr(one, high)) is not None]
        return (min(lows), max(highs)) if lows and highs else None

    def _linear_density(self) -> tuple[float, float] | None:
        """Of one strand with its wax, low and high. [kg/m]"""
        one = self.string
        if one.strand_length_in is not None and one.strand_weight_gr is not None:
            seen = one.strand_weight_gr * units.GRAIN / (one.strand_length_in * units.INCH)
            self._told(
                "mass", "Strand, weighed", f"{self._per_inch(seen)} gr/in ± 2 %", False, 0.04
            )
            return 0.98 * seen, 1.02 * seen
        if self.fibre_name == "parachute cord":
            self._told("mass", "Cord", "at most 31.1 gr/ft (MIL-C-5040H, type III)", True, 0.10)
            return 0.90 * CORD_KG_M, CORD_KG_M
        if self.fibre_name == "tarred nylon twine":
            self._told("mass", "Twine", "size 36, 2,520 tex and 10 to 20 % of tar", True, 0.087)
            return TWINE_36_KG_M * (1.0 + TWINE_TAR[0]), TWINE_36_KG_M * (1.0 + TWINE_TAR[1])
        tenacity = self._range("tenacity_low_n_tex", "tenacity_high_n_tex")
        usual = (
            (one.strand_strength_lb, one.strand_strength_lb)
            if one.strand_strength_lb is not None
            else self.fibre.strand_lb
        )
        if self.home or tenacity is None or usual is None:
            return None
        low = usual[0] * units.POUND_FORCE / tenacity[1] * 1e-6 * (1.0 + WAX[0])
        high = usual[1] * units.POUND_FORCE / tenacity[0] * 1e-6 * (1.0 + WAX[1])
        self._told(
            "mass",
            "Strand, from its strength and the fibre's",
            f"{self._per_inch(low)} to {self._per_inch(high)} gr/in with wax",
            True,
            math.log(high / low),
        )
        return low, high

    @staticmethod
    def _per_inch(linear: float) -> str:
        return f"{linear * units.INCH / units.GRAIN:.3g}"

    def _told(self, of: str, name: str, value: str, assumed: bool, width: float) -> None:
        self.inputs.append(Told(of, name, value, assumed, width))

    def _diameter(self) -> tuple[float, float] | None:
        """Bare, low and high. [m]"""
        from loosewell.physics import bowstring

        one = self.string
        if one.diameter_in is not None:
            seen = one.diameter_in * units.INCH
            return 0.97 * seen, 1.03 * seen
        density = self._range("density_low_g_cm3", "density_high_g_cm3")
        if self.linear is None or one.strands is None or density is None:
            return None
        # The wax fills what the fibre leaves; only the fibre's own mass is packed.
        low = self.linear[0] * one.strands / (1.0 + WAX[0])
        high = self.linear[1] * one.strands / (1.0 + WAX[1])
        return (
            bowstring.bundle_diameter(low, density[1] * 1e3, PACKING[1]),
            bowstring.bundle_diameter(high, density[0] * 1e3, PACKING[0]),
        )

    def _thread_in(self) -> tuple[float, float, float]:
        one = self.string.serving_thread_in
        return SERVING_THREAD_IN if one is None else (0.95 * one, one, 1.05 * one)

    def _served(self) -> Band | None:
        if self.string.serving_diameter_in is not None:
            seen = self.string.serving_diameter_in
            return Band(seen, 0.98 * seen, 1.02 * seen, "measured over the serving")
        if self.diameter is None:
            return None
        thread = self._thread_in()
        low, high = (one / units.INCH for one in self.diameter)
        return Band(
            round(0.5 * (low + high) + 2.0 * thread[1], 4),
            round(low + 2.0 * thread[0], 4),
            round(high + 2.0 * thread[2], 4),
            "the string and two thicknesses of the serving thread",
        )

    def _mass(self, straight_in: float | None) -> tuple[Band | None, bool, str]:
        from loosewell.physics import bowstring

        one = self.string
        if one.weight_gr is not None:
            return Band(one.weight_gr, 0.99 * one.weight_gr, 1.01 * one.weight_gr), True, "weighed"
        length_in = straight_in if straight_in is not None else one.length_in
        if self.linear is None or one.strands is None:
            why = (
                "Not known: weigh the string with its serving."
                if self.home or one.strands is not None
                else "Not known: say how many strands."
            )
            if self.linear is None and one.strands is not None:
                why = (
                    "Not known: weigh the string, or weigh a long piece of one strand "
                    "(--strand-length and --strand-weight)."
                )
            return None, False, why
        if length_in is None:
            return None, False, "Not known: give the bow's length, or the string's."
        tails = 2.0 * TAIL_IN.get(one.loops or "", 0.0) * units.INCH
        served_in = one.serving_length_in
        if served_in is None:
            served_in = SERVING_LENGTH_IN.get(one.loops or "", SERVING_LENGTH_USUAL_IN)
            self._told("mass", "Serving", f"{served_in:g} in of it", True, 0.0)
        thread = self._thread_in()
        core = self.diameter or (0.002, 0.003)
        grains = []
        parts = []
        for linear, wide, size, share in (
            (self.linear[0], core[0], thread[0], 0.8),
            (self.linear[1], core[1], thread[2], 1.2),
        ):
            yarn = linear * one.strands * (length_in * units.INCH + tails)
            serving = served_in * units.INCH * share
            serving *= bowstring.serving_density(
                wide, size * units.INCH, SERVING_DENSITY, SERVING_PACKING
            )
            grains.append((yarn + serving) / units.GRAIN)
            parts.append(serving / units.GRAIN)
        middle = 0.5 * (grains[0] + grains[1])
        words = f"of it {parts[0]:.0f} to {parts[1]:.0f} gr serving"
        if tails:
            words += f", and {0.5 * tails / units.INCH:g} in of tail at each end"
        self._told("mass", "Serving thread and length", words, True, (parts[1] - parts[0]) / middle)
        return Band(round(middle), round(grains[0]), round(grains[1]), words), False, words

    # ---- strength

    def _pieces(self) -> tuple[str, list[float]] | None:
        """The dry pieces that tell most: finished strings first, then plies, then strands."""
        for of in ("string", "ply", "strand"):
            loads = [one.load_lb for one in self.string.samples if one.of == of and not one.wet]
            if len(loads) >= LEAST_PIECES:
                return of, loads
        return None

    def _strength(self) -> _Strength:
        found = self._pieces()
        if found is None and self.home:
            return _Strength(None, None, [], None, self._no_test())
        if found is not None:
            return self._strength_of_pieces(*found)
        return self._strength_as_told()

    def _no_test(self) -> str:
        count = len([one for one in self.string.samples if not one.wet])
        few = ""
        if count:
            broken = "one piece" if count == 1 else f"{count} pieces"
            few = f" Only {broken} of one kind or another broke so far, which tells no scatter."
        told = ""
        if self.string.strand_strength_lb is not None:
            told = " A told strength of a strand is not used for home-made cordage."
        return (
            f"No test, no number: nobody can say what home-made cordage of {self.fibre_name} bears "
            f"before pieces of it were broken.{few}{told} Hang at least {LEAST_PIECES} alike "
            f"pieces, better {BETTER_PIECES}, slowly until they break, stand clear, and record "
            'each: --sample "180 lb, ply".'
        )

    def _strength_as_told(self) -> _Strength:
        one = self.string
        if one.strand_strength_lb is not None:
            printed = one.strand_strength_lb
            strand = (PRINTED_LOW * printed, PRINTED_MIDDLE * printed, printed)
            words = f"{printed:g} lb a strand as told; 75 to 100 % of it is taken"
        elif self.fibre.strand_lb is not None:
            low, high = self.fibre.strand_lb
            strand = (low, 0.5 * (low + high), high)
            words = f"{low:g} to {high:g} lb a strand ({self.fibre.strand_from})"
            if low == high:
                words = f"{low:g} lb a strand ({self.fibre.strand_from})"
        else:
            return _Strength(
                None,
                None,
                [],
                None,
                f"What one strand of this {self.fibre_name} bears was not said, and threads of it "
                f"come in every thickness. Break {BETTER_PIECES} strands and record each "
                '(--sample "6 lb, strand"), or give what is printed on the spool: '
                "--strand-strength.",
            )
        self._told("strength", "Strand", words, True, math.log(strand[2] / strand[0]))
        return self._whole(strand, one.strands, "strand", STRAND_VARIATION, None, [words])

    def _strength_of_pieces(self, of: str, loads: Sequence[float]) -> _Strength:
        from loosewell.physics import bowstring

        one = self.string
        mean, low = float(np.mean(loads)), min(loads)
        variation = float(np.std(loads, ddof=1)) / mean
        bound = bowstring.lower_bound(
            np.asarray(loads, dtype=np.float64), PIECES_SHARE, PIECES_CONFIDENCE
        )
        kind = {"string": "finished string", "ply": "ply", "strand": "strand"}[of]
        told = (
            f"{len(loads)} pieces of {kind} broke at {low:g} to {max(loads):g} lb, mean "
            f"{mean:.3g} lb, spread {100 * variation:.0f} %"
        )
        words = [told]
        words.append(
            f"nine of ten such pieces bear {bound:.3g} lb or more, at 95 % confidence (normal "
            "tolerance bound)"
            if bound > 0.0
            else "so few pieces that differ so much bound nothing from below: break more"
        )
        self._told("strength", "Broken pieces", words[0], False, math.log(mean / low))
        count = {"string": 1, "ply": one.plies, "strand": one.strands}[of]
        return self._whole(
            (low, mean, mean), count, of, variation, bound if bound > 0.0 else None, words
        )

    def _whole(
        self,
        piece: tuple[float, float, float],
        count: int | None,
        of: str,
        variation: float,
        bound: float | None,
        words: list[str],
    ) -> _Strength:
        """The finished string, from what one piece of it bears."""
        makeup, loops = (1.0, 1.0, 1.0), (1.0, 1.0, 1.0)
        if of != "string":
            makeup = self._makeup(variation, count)
            loops = LOOP_SHARE.get(self.string.loops or "", LOOPS_UNKNOWN)
            said = self.string.loops or "loops not told"
            self._told(
                "strength",
                "Loops",
                f"{said}: leave {100 * loops[0]:.0f} to {100 * loops[2]:.0f} %",
                True,
                math.log(loops[2] / loops[0]),
            )
            words = [
                *words,
                f"twist and unequal strands leave {100 * makeup[0]:.0f} to {100 * makeup[2]:.0f} %",
                f"loops ({said}) leave {100 * loops[0]:.0f} to {100 * loops[2]:.0f} %",
            ]
        else:
            words = [*words, "finished strings, broken by their own loops: nothing is taken off"]
        share = [a * b for a, b in zip(makeup, loops, strict=True)]
        each = [a * b for a, b in zip(piece, share, strict=True)]
        if count is None:
            word = "--plies" if of == "ply" else "--strands"
            return _Strength(
                None,
                None,
                words,
                (each[0], each[1]) if of == "strand" else None,
                f"How many there are was not said. Give {word}.",
            )
        band = Band(
            round(count * each[1], 1),
            round(count * each[0], 1),
            round(count * each[2], 1),
            "; ".join(words),
        )
        low = None if bound is None else round(count * bound * share[0], 1)
        strands = self.string.strands
        per = None if not strands or of == "string" else (band.low / strands, band.middle / strands)
        return _Strength(band, low, words, per)

    def _makeup(self, variation: float, count: int | None) -> tuple[float, float, float]:
        from loosewell.physics import bowstring

        if self.home:
            self._told(
                "strength",
                "Hand-laid twist",
                "leaves 60 to 90 % (from memory)",
                True,
                math.log(HAND_LAID[2] / HAND_LAID[0]),
            )
            return HAND_LAID
        angle = self._angle()
        low = bowstring.bundle_share(variation, count or 20) * bowstring.twist_share(angle)
        self._told(
            "strength",
            "Twist and unequal strands",
            f"leave {100 * low:.0f} to 100 %",
            True,
            math.log(1.0 / low),
        )
        return low, 0.5 * (1.0 + low), 1.0

    def _angle(self) -> float:
        """Helix angle at the surface, as far as it is known. [rad]"""
        from loosewell.physics import bowstring

        if self.diameter is None:
            return 0.0
        length_in = self.string.length_in
        if length_in is None and self.bow is not None and self.bow.length_in is not None:
            length_in = self.bow.length_in - STRING_SHORTER_IN
        length = (60.0 if length_in is None else length_in) * units.INCH
        return bowstring.helix_angle(self.twists, length, 0.5 * self.diameter[1])

    # ---- tensions, speed

    def _pulls(self, mass: Band | None) -> list[Pull]:
        """Tension at brace, at full draw, and as the string pulls straight."""
        from loosewell.physics import bow as physics
        from loosewell.physics import bowstring

        if self.bow is None or self.draw_true_in is None or self.draw_weight is None:
            return []
        model = bow_model(
            self._bow_with(self.bow, None if mass is None else mass.middle), self.draw_true_in
        )
        length_in = self.bow.length_in or self._assumed_length_in()
        brace = model.brace
        straight = bowstring.hinged_string(length_in * units.INCH, brace)[0]
        stroke = model.top - brace
        tension = bowstring.draw_tension(model.force, model.string[0], 0.5 * straight, stroke)
        grid = np.linspace(brace, model.top, len(tension))
        at_brace = float(tension[0])
        at_draw = float(np.interp(self.draw_true_in * units.INCH, grid, tension))
        single = 0.25 if model.single_reading else 0.15
        draw = (
            "from the shape taken for a bow of one draw reading"
            if model.single_reading
            else "from the slope of the draw readings near brace"
        )
        found = [
            self._pull("at brace", at_brace, (1.0 - single, 1.0 + 2.0 * single), draw),
            self._pull("at full draw", at_draw, (0.95, 1.05), "from the string's angle"),
        ]
        self.brace_tension, self.draw_tension = at_brace, at_draw
        stiffness = self._stiffness(straight)
        if stiffness is None:
            return found
        energy = self._energy()
        arrow = self._arrow_gr() * units.GRAIN
        virtual = self._virtual(mass)
        speed = physics.launch_speed(energy, arrow, virtual)
        left = 0.5 * virtual * speed**2
        low, high = (
            bowstring.closing_tension(at_brace, k, share * left)
            for k, share in zip(stiffness, LEFT_IN_STRING, strict=True)
        )
        found.append(
            self._pull_band(
                "as the string pulls straight",
                (low, high),
                "what the arrow leaves behind is stopped by the string, a quarter to all of it; "
                "the upper figure is a bound",
            )
        )
        dry = tuple(
            bowstring.closing_tension(at_brace, k, share * energy)
            for k, share in zip(stiffness, LEFT_IN_STRING, strict=True)
        )
        found.append(
            self._pull_band(
                "loosed without an arrow",
                (dry[0], dry[1]),
                "never do this: all that the bow stored goes into limbs and string",
            )
        )
        return found

    def _pull(self, name: str, newton: float, share: tuple[float, float], note: str) -> Pull:
        return self._pull_band(name, (share[0] * newton, share[1] * newton), note, newton)

    def _pull_band(
        self, name: str, ends: tuple[float, float], note: str, middle: float | None = None
    ) -> Pull:
        assert self.draw_weight is not None
        centre = 0.5 * (ends[0] + ends[1]) if middle is None else middle
        pounds = [one / units.POUND_FORCE for one in (centre, *ends)]
        over = [one / self.draw_weight for one in pounds]
        return Pull(
            name,
            Band(round(pounds[0], 1), round(pounds[1], 1), round(pounds[2], 1)),
            Band(round(over[0], 2), round(over[1], 2), round(over[2], 2)),
            note,
        )

    def _stiffness(self, length: float) -> tuple[float, float] | None:
        """Of the whole string, low and high. [N/m]"""
        from loosewell.physics import bowstring

        modulus = self._range("modulus_low_n_tex", "modulus_high_n_tex")
        if modulus is None or self.linear is None or self.string.strands is None:
            return None
        share = bowstring.twist_share(self._angle())
        fibre = self.linear[0] / (1.0 + WAX[0]), self.linear[1] / (1.0 + WAX[1])
        count = self.string.strands
        return (
            bowstring.string_stiffness(share * modulus[0] * 1e6, count * fibre[0], length),
            bowstring.string_stiffness(modulus[1] * 1e6, count * fibre[1], length),
        )

    def _assumed_length_in(self) -> float:
        from loosewell.workshop.bridge import BOW_LENGTH_IN

        assert self.bow is not None
        return BOW_LENGTH_IN.get(self.bow.make or "", BOW_LENGTH_IN["plain wooden"])

    def _energy(self) -> float:
        from loosewell.physics import bow as physics

        assert self.draw_true_in is not None
        brace, top = self.model.brace, self.model.top
        grid = np.linspace(brace, top, len(self.model.force))
        at = self.draw_true_in * units.INCH
        drawn = np.interp(np.linspace(brace, at, physics.TABLE_POINTS), grid, self.model.force)
        return physics.stored_energy(drawn, at - brace)

    def _arrow_gr(self) -> float:
        assert self.draw_weight is not None
        if self.arrow_gr is not None:
            return self.arrow_gr
        return float(round(USUAL_ARROW_GR_PER_LB * self.draw_weight))

    def _virtual(self, mass: Band | None) -> float:
        """Virtual mass with a string of this mass, as the engine's launch takes it. [kg]"""
        own = next(one.middle for one in self.model.inputs if one.key == "virtual_mass")
        usual = VIRTUAL_MASS_STRING_GR
        heavy = usual if mass is None else mass.middle
        return own + (heavy - usual) * units.GRAIN / 3.0

    def _costs(self, mass: Band | None) -> list[Cost]:
        from loosewell.physics import bow as physics

        if mass is None or self.draw_true_in is None or self.bow is None:
            return []
        arrow = self._arrow_gr() * units.GRAIN
        energy = self._energy()

        def speed(grains: float) -> float:
            virtual = self._virtual(Band(grains, grains, grains))
            return physics.launch_speed(energy, arrow, virtual) / units.FPS

        own = speed(mass.middle)
        wanted = [("this string", mass.middle)]
        recorded = self.bow.string_mass_gr
        if recorded is not None and abs(recorded - mass.middle) > 1.0:
            wanted.append(("the string on record with the bow", recorded))
        wanted.append(("50 gr lighter", mass.middle - 50.0))
        wanted.append(("50 gr heavier", mass.middle + 50.0))
        return [
            Cost(name, round(grains, 1), round(speed(grains), 1), round(speed(grains) - own, 1))
            for name, grains in wanted
            if grains >= bounds.BOUNDS["bow.string_mass_gr"].low
        ]

    # ---- length

    def _length(self) -> LengthPlan | None:
        from loosewell.physics import bowstring

        bow = self.bow
        if bow is None or bow.length_in is None:
            return None
        brace_in = bow.brace_height_in
        if brace_in is None:
            brace_in = BRACE_IN.get(bow.make or "", BRACE_IN["plain wooden"])
            self._told("length", "Brace height", f"{brace_in:g} in, usual for the make", True, 0.0)
        size, brace = bow.length_in * units.INCH, brace_in * units.INCH
        told = [bowstring.hinged_string(size, brace), bowstring.arc_string(size, brace)]
        if any(math.isnan(one[0]) for one in told):
            raise ContradictionRefusal(
                f"A brace height of {brace_in:g} in does not fit a bow {bow.length_in:g} in long. "
                "Measure both again: the bow along its back from nock to nock, the brace from the "
                "string to the deepest part of the grip.",
                code="brace-does-not-fit",
            )
        braced = sorted(one[0] for one in told)
        slopes = sorted(-one[1] for one in told)
        stretch = self._stretch_at_brace(braced[0])
        slack = [braced[0] / (1.0 + stretch[1]), braced[1] / (1.0 + stretch[0])]
        self._told("length", "How the bow bends", "like links, or like an arc", True, 1.0)
        straight = [path for one in slack for path in self._path(one)]
        extra, words = self._cut()
        inch = units.INCH
        cut = [(one + extra[0]) * extra[1] / inch for one in straight]
        return LengthPlan(
            brace_in,
            _band([one / inch for one in braced], 2),
            round(bow.length_in - STRING_SHORTER_IN, 2),
            _band([one / inch for one in slack], 2),
            _band([one / inch for one in straight], 2),
            _band(cut, 1),
            words,
            round(self.twists) if self.turns_known else None,
            self._turns_for_eighth(slack, slopes),
            _band(sorted(1.0 / one for one in slopes), 2),
            self._would_brace(brace_in, slack, slopes),
        )

    def _stretch_at_brace(self, length: float) -> tuple[float, float]:
        """Share by which the brace's own pull lengthens the string, low and high."""
        stiffness = self._stiffness(length)
        pull = getattr(self, "brace_tension", None)
        if stiffness is None or pull is None:
            return 0.0, 0.0
        return pull / (stiffness[1] * length), pull / (stiffness[0] * length)

    def _ways(self) -> list[tuple[float, bool]]:
        """How a turn may wind the strands: radius, and whether plies wind about each other. [m]"""
        low, high = self.diameter or (0.06 * units.INCH, 0.14 * units.INCH)
        if not self.plied:
            return [(0.5 * low, False), (0.5 * high, False)]
        assert self.string.plies is not None
        # Plies laid the other way untwist as the whole is twisted: between plies that only wind
        # about each other and one bundle that turns as a whole.
        ply = 0.5 * low / (1.0 + math.sin(math.pi / self.string.plies))
        return [(ply, True), (0.5 * high, False)]

    def _path(self, length: float) -> list[float]:
        from loosewell.physics import bowstring

        return [
            (bowstring.ply_path if plied else bowstring.bundle_path)(length, self.twists, radius)
            for radius, plied in self._ways()
        ]

    def _cut(self) -> tuple[tuple[float, float], str]:
        loops = self.string.loops
        if loops == "endless":
            return (0.0, 1.0), "between the two posts, outside to outside"
        tail = TAIL_IN.get(loops or "", 8.0)
        words = f"each strand, with {tail:g} in for each end"
        if self.home:
            # Cordage laid by hand takes up a fifth to a third of its yarn (common practice).
            return (2.0 * tail * units.INCH, 1.35), f"{words}, and a third more for laying it up"
        return (2.0 * tail * units.INCH, 1.0), words

    def _turns_for_eighth(self, slack: Sequence[float], slopes: Sequence[float]) -> Band | None:
        if self.diameter is None or not self.turns_known:
            return None
        found = []
        for length, slope in zip(slack, slopes, strict=True):
            for (radius, plied), path in zip(self._ways(), self._path(length), strict=True):
                shorter = length - slope * EIGHTH_IN * units.INCH
                found.append(_turns_to(path, shorter, radius, plied) - self.twists)
        return _band(found, 1)

    def _would_brace(
        self, brace_in: float, slack: Sequence[float], slopes: Sequence[float]
    ) -> Band | None:
        if self.string.length_in is None:
            return None
        ends = [
            brace_in - (self.string.length_in - one / units.INCH) / slope
            for one in slack
            for slope in slopes
        ]
        return _band([min(ends), max(ends)], 1)

    def _stretching(self, plan: LengthPlan | None) -> list[str]:
        found = []
        length_in = plan.braced_in.middle if plan is not None else None
        draw = getattr(self, "draw_tension", None)
        if length_in is not None and draw is not None:
            stiffness = self._stiffness(length_in * units.INCH)
            if stiffness is None:
                found.append(
                    "Stretch is not known: the table has no stiffness for this fibre, or the mass "
                    "of a strand or the count is not known. Brace it, and measure the brace height "
                    "again after an hour."
                )
            else:
                per = [
                    sorted(pull / k / (length_in * units.INCH) * 100.0 for k in stiffness)
                    for pull in (self.brace_tension, draw)
                ]
                found.append(
                    f"Under load it stretches by {per[0][0]:.2g} to {per[0][1]:.2g} % at brace and "
                    f"{per[1][0]:.2g} to {per[1][1]:.2g} % at full draw, and comes back."
                )
        settles = self.fibre.settles
        if settles is None:
            found.append("How far it creeps is not known here. Measure the brace height daily.")
        else:
            text = (
                f"New, it grows for good by some {settles[0]:g} to {settles[1]:g} % (from memory, "
                "an order of magnitude only)"
            )
            if plan is not None:
                fall = [
                    one / 100.0 * plan.slack_in.middle * way
                    for one, way in zip(
                        settles,
                        (plan.brace_per_inch_in.low, plan.brace_per_inch_in.high),
                        strict=True,
                    )
                ]
                text += f", so the brace falls by {fall[0]:.2g} to {fall[1]:.2g} in: twist it up"
            found.append(text + ".")
        return found

    # ---- stops and words

    def _notices(
        self, strength: _Strength, pulls: Sequence[Pull]
    ) -> tuple[list[Notice], list[Notice]]:
        stops: list[Notice] = []
        warnings: list[Notice] = []
        weight = self.draw_weight
        if strength.band is None and self.home:
            stops.append(Notice("no-test", f"Do not draw a bow on it. {strength.none_because}"))
        if strength.band is not None and weight is not None:
            low = strength.band.low
            if low < OLDER_RULE * weight:
                stops.append(
                    Notice(
                        "weak-string",
                        f"Do not use this string on this bow: its low end, {low:.0f} lb, is "
                        f"{low / weight:.1f} times the draw weight of {weight:.0f} lb. Even the "
                        "older rule asks for four times, common practice for ten. A string that "
                        "breaks can break the bow and hurt who holds it. Add strands, or make "
                        "another.",
                    )
                )
            closing = next((one for one in pulls if one.name.startswith("as the")), None)
            if closing is not None and closing.tension_lb.high > low:
                warnings.append(
                    Notice(
                        "peak-near-strength",
                        f"As it pulls straight the string may see up to "
                        f"{closing.tension_lb.high:.0f} lb (an upper bound), and its low end is "
                        f"{low:.0f} lb.",
                    )
                )
        self._low_stretch(stops, warnings)
        self._by_practice(stops, warnings)
        if self.fibre_name in ("sinew", "gut", "rawhide"):
            warnings.append(Notice("wet-hide", f"Keep it dry. {self.fibre.wet_words}"))
        pieces = self._pieces()
        if pieces is not None and len(pieces[1]) < BETTER_PIECES:
            warnings.append(
                Notice(
                    "few-pieces",
                    f"Only {len(pieces[1])} pieces were broken; five or more make the low end "
                    "worth something (common practice).",
                )
            )
        told, usual = self.string.strand_strength_lb, self.fibre.strand_lb
        if told is not None and usual is not None and not self.home:
            low, high = usual[0] * IMPLAUSIBLE[0], usual[1] * IMPLAUSIBLE[1]
            if not low <= told <= high:
                warnings.append(
                    Notice(
                        "strand-implausible",
                        f"{told:g} lb for one strand of {self.fibre_name} is far from the usual "
                        f"{usual[0]:g} to {usual[1]:g} lb. Is it pounds and not kilograms, and one "
                        "strand and not several?",
                    )
                )
        return stops, warnings

    def _low_stretch(self, stops: list[Notice], warnings: list[Notice]) -> None:
        if self.fibre_name != "low-stretch":
            return
        where = "Low-stretch string only where tips and design bear it; the bow's maker decides."
        if self.string.loops in ("bowline", "timber hitch", "overhand"):
            warnings.append(
                Notice(
                    "slippery-knot",
                    "Low-stretch fibre is slippery and knots in it slip. Make its loops endless "
                    "or lay them in (common practice).",
                )
            )
        if self.bow is None:
            warnings.append(Notice("low-stretch", where))
            return
        make = self.bow.make
        if self.string.maker_allows_low_stretch:
            warnings.append(
                Notice(
                    "low-stretch",
                    f"{where} It is on record that the maker allows it for this string: be sure "
                    f"that was said of {self.bow.name}.",
                )
            )
        elif make == "plain wooden":
            stops.append(
                Notice(
                    "low-stretch",
                    f"Do not use a low-stretch string on {self.bow.name}: it is a plain wooden "
                    f"bow, and the jolt as the string pulls straight can split its tips. {where} "
                    "If the maker said so, record it: --maker-allows-low-stretch yes.",
                )
            )
        elif make is None:
            stops.append(
                Notice(
                    "low-stretch",
                    f"Do not use a low-stretch string on {self.bow.name} before its make is known. "
                    f"{where}",
                )
            )
        else:
            warnings.append(Notice("low-stretch", f"{self.bow.name} is {make}. {where} Ask."))

    def _by_practice(self, stops: list[Notice], warnings: list[Notice]) -> None:
        weight = self.draw_weight
        name = self.fibre_name
        if name == "parachute cord":
            warnings.append(
                Notice(
                    "cord-in-need",
                    "Cord such as parachute cord only in need (common practice): it stretches by "
                    "30 % or more before it breaks (from memory), is heavy, and what is sold under "
                    "that name need not meet any specification.",
                )
            )
        if weight is None:
            return
        pieces = max(self.string.plies or 0, self.string.strands or 0)
        if name == "tarred nylon twine" and weight > TWINE_TO_LB + A_HAIR_LB and pieces <= 2:
            stops.append(
                Notice(
                    "twine-beyond-practice",
                    "Do not use two plies of tarred nylon twine here: size 36 breaks near 360 lb "
                    "a strand, so two plies serve bows up to about 60 lb, and this one draws "
                    f"{weight:.0f} lb (common practice, no source).",
                )
            )
        if name == "artificial sinew" and weight > ARTIFICIAL_SINEW_TO_LB + A_HAIR_LB:
            stops.append(
                Notice(
                    "artificial-sinew-beyond-practice",
                    "Do not use waxed artificial sinew here: it serves bows up to about 50 lb, "
                    f"and this one draws {weight:.0f} lb (common practice, no source).",
                )
            )

    def _nock(self, served: Band | None) -> str:
        slot = self.string.nock_slot_in
        if served is None:
            return "Not known: measure the string over its serving, strung."
        if slot is None:
            return (
                "Not held against a nock: give the width of its slot (--nock-slot). An arrow that "
                "hangs on the string and comes off with a tap is snug."
            )
        if served.low > slot:
            return (
                f"Too thick: the serving is {served.low - slot:.3f} in or more wider than the "
                f"slot of {slot:.3f} in. A nock forced over a thick serving pinches and can split. "
                "Serve it thinner, or open the slot; try it on the hanging string."
            )
        if served.high < slot:
            return (
                f"Loose: the slot of {slot:.3f} in is {slot - served.high:.3f} in or more wider "
                "than the serving, so the arrow may fall off and be loosed with nothing on the "
                "string. Serve it thicker."
            )
        return (
            f"The slot of {slot:.3f} in lies within what the serving may come to. Try it: snug is "
            "when the arrow hangs on the string and a tap frees it."
        )

    def _ask(self, strength: _Strength, stops: Sequence[Notice]) -> str:
        if stops:
            if strength.band is None and self.home:
                return f"Break {BETTER_PIECES} pieces alike, write each load down, and ask again."
            return "Make another string, and ask again before anything is strung."
        if strength.band is None:
            return strength.none_because
        if self.draw_weight is None:
            return (
                "Say what it must bear: a draw weight at a draw (--draw-weight), or a bow on "
                "record (loosewell string check NAME --bow BOW)."
            )
        if self._pieces() is None:
            return (
                f"Hang {BETTER_PIECES} strands of this very spool until they break and record each "
                '(--sample "52 lb, strand"): a tested low end takes the place of told figures.'
            )
        return (
            "Brace the bow, look at loops, serving and nocking point, leave it an hour, set the "
            "brace again by twists, and draw it slowly to half and back before any arrow."
        )

    def answer(self) -> StringAnswer:
        """Everything, in the order in which one part needs the other."""
        strength = self._strength()
        # The pull at brace lengthens the string, so the loads come before the length.
        mass_first = self._mass_guess()
        pulls = self._pulls(mass_first)
        length = self._length()
        mass, weighed, mass_words = self._mass(
            None if length is None else length.straight_in.middle
        )
        if mass is not None:
            pulls = self._pulls(mass)
        stops, warnings = self._notices(strength, pulls)
        rules = self._rules(strength)
        served = self._served()
        weight, band = self.draw_weight, strength.band
        ratio = None
        if weight is not None and band is not None:
            ratio = _band([band.low / weight, band.high / weight], 1, band.middle / weight)
        draw_words = ""
        if weight is not None and self.bow is not None:
            draw_words = (
                f"{weight:.0f} lb at {self.draw_measured_in:g} in ({self.bow.draw_measured} draw)"
            )
        width = self.diameter
        words = strength.words if band is not None else [strength.none_because]
        return StringAnswer(
            self.string.name,
            self._made(),
            stops,
            warnings,
            band,
            strength.bound,
            words,
            weight,
            draw_words,
            ratio,
            rules,
            pulls,
            mass,
            weighed,
            mass_words,
            self._arrow_gr() if weight is not None else None,
            self._costs(mass),
            None if width is None else _band([one / units.INCH for one in width], 4),
            served,
            self.string.nock_slot_in,
            self._nock(served),
            length,
            self._stretching(length),
            self._wet(),
            _shares(self.inputs),
            self._ask(strength, stops),
            self.string.plies,
            self.string.strands,
            self._thread_in()[1],
            self.arrow_gr is None,
        )

    def _mass_guess(self) -> Band | None:
        """The mass before the length is known exactly, leaving no trace among the inputs."""
        before = list(self.inputs)
        length_in = None
        if self.bow is not None and self.bow.length_in is not None:
            length_in = self.bow.length_in - STRING_SHORTER_IN
        mass = self._mass(length_in)[0]
        self.inputs = before
        return mass

    def _rules(self, strength: _Strength) -> list[Rule]:
        if self.draw_weight is None:
            return []
        found = []
        for name, times in RULES:
            asked = times * self.draw_weight
            strands: list[int | None] = [None, None]
            if strength.per_strand is not None:
                strands = [math.ceil(asked / one - 1e-9) for one in strength.per_strand]
            found.append(Rule(name, times, round(asked, 1), strands[0], strands[1]))
        return found

    def _made(self) -> str:
        one = self.string
        parts = [f"{self.fibre_name}, home-made cordage" if self.home else self.fibre_name]
        if one.strands is not None:
            parts.append("1 strand" if one.strands == 1 else f"{one.strands} strands")
        if one.plies is not None:
            parts.append("1 ply" if one.plies == 1 else f"{one.plies} plies")
        parts.append(f"loops {one.loops}" if one.loops else "loops not told")
        if one.twists is not None:
            parts.append(f"{one.twists} turns")
        elif self.turns_known:
            parts.append(f"about {self.twists:.0f} turns taken")
        return ", ".join(parts)

    def _wet(self) -> str:
        words = self.fibre.wet_words
        wet = [one.load_lb for one in self.string.samples if one.wet]
        pieces = self._pieces()
        if not wet or pieces is None:
            return words
        alike = [one.load_lb for one in self.string.samples if one.wet and one.of == pieces[0]]
        if not alike:
            return words
        share = float(np.mean(alike)) / float(np.mean(pieces[1]))
        count = "1 wet piece" if len(alike) == 1 else f"{len(alike)} wet pieces"
        return f"Yours: {count} bore {100 * share:.0f} % of the dry ones' mean. {words}"


def _turns_to(path: float, length: float, radius: float, plied: bool) -> float:
    """Turns that leave just so much length of strands so long."""
    from loosewell.physics import bowstring

    low, high = 0.0, 4000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        left = bowstring.twisted_length(path, middle, radius, plied)
        if math.isnan(left) or left < length:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def _band(ends: Sequence[float], digits: int, middle: float | None = None) -> Band:
    low, high = min(ends), max(ends)
    centre = 0.5 * (low + high) if middle is None else middle
    return Band(round(centre, digits), round(low, digits), round(high, digits))


def _shares(inputs: Sequence[Told]) -> list[Told]:
    """The inputs with their widths turned into shares of the whole width."""
    whole: dict[str, float] = {}
    for one in inputs:
        whole[one.of] = whole.get(one.of, 0.0) + one.share_percent
    seen: dict[tuple[str, str], Told] = {}
    for one in inputs:
        part = 100.0 * one.share_percent / whole[one.of] if whole[one.of] > 0.0 else 0.0
        seen[one.of, one.name] = Told(one.of, one.name, one.value, one.assumed, round(part))
    return list(seen.values())


def typed_bow(
    draw_readings: Sequence[dict[str, float]],
    draw_measured: str | None,
    length_in: float | None,
    brace_height_in: float | None,
    make: str | None,
) -> Bow | None:
    """A bow as typed with ``string plan``; None where nothing of it was said.

    Parameters
    ----------
    draw_readings : sequence of dict
        Fields of draw readings.
    draw_measured, make : str or None
        As in the record.
    length_in, brace_height_in : float or None
        As in the record.

    Returns
    -------
    bow : Bow or None
        Built for either hand: a string does not know hands.
    """
    if not draw_readings and length_in is None and make is None and brace_height_in is None:
        return None
    fields: dict[str, object] = {
        "name": "this bow",
        "hand": "either",
        "draw_readings": tuple(draw_readings),
        "draw_measured": draw_measured,
        "length_in": length_in,
        "brace_height_in": brace_height_in,
        "make": make,
    }
    try:
        return Bow.model_validate(fields)
    except Refusal as refusal:
        if refusal.code == "missing-draw-measured":
            raise MissingRefusal(
                "A draw weight was given, but not how its draw was measured. Say --draw-measured "
                "true (string to the deepest part of the grip) or --draw-measured standard (that "
                "and 1.75 in more).",
                code="missing-draw-measured",
            ) from None
        raise
