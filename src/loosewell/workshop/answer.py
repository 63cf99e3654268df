"""The shape of a match's answer: what every face prints, draws or sends.

All values are in trade units and carry the unit in the name. Positions are in
the archer's own frame and already in the archer's own hand: x forward along
the plane of the bow, left positive as seen from behind the archer.
Plain dataclasses: no computation here, so that any face can be built and
tested against a made-up answer.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

Hand = Literal["right", "left"]


@dataclass(frozen=True)
class Band:
    """A central value with the range it may lie in, and why."""

    middle: float
    low: float
    high: float
    reason: str = ""


@dataclass(frozen=True)
class Notice:
    """A hard stop, a warning or a caution, in plain words.

    ``code`` is a stable name for tests and machines; ``text`` is for people.
    """

    code: str
    text: str


@dataclass(frozen=True)
class ShareAtSpine:
    """Share of clean shots for one spine, with the spread over unknown inputs."""

    spine_lb: float
    share_percent: float
    share_low_percent: float
    share_high_percent: float


@dataclass(frozen=True)
class InputUsed:
    """One input of the answer: its value, its error and what it costs.

    ``share_of_width_percent`` is how much of the width of the spine range this
    input's own error causes.
    """

    name: str
    value: str
    error: str
    assumed: bool
    share_of_width_percent: float
    how_to_measure: str = ""


@dataclass(frozen=True)
class RuleOfThumb:
    """One of the trade's rules beside the engine's answer."""

    name: str
    statement: str
    zero_point: str
    spine_lb: float
    spine_low_lb: float
    spine_high_lb: float
    note: str = ""


@dataclass(frozen=True)
class ShaftChange:
    """The cheapest change that brings a near miss closer, before and after."""

    what: str
    length_in: float
    point_weight_gr: float
    chance_before_percent: float
    chance_after_percent: float


@dataclass(frozen=True)
class RackShaft:
    """One shaft of the rack against this bow and archer.

    ``spine_by_wood_26in_2lb_lb`` is what its wood, size and weight say of one that was not bent:
    eight of ten such shafts, and never a reading. A shaft that nobody looked over is "not
    inspected" and never offered: it has no ``chance_percent``, and what its readings alone would
    make of it stands in ``would_act`` and ``would_chance_percent``.
    """

    shaft: str
    material: str
    spine_26in_2lb_lb: Band | None
    deflection_28in_1_94lb_in: float | None
    weight_gr: float | None
    chance_percent: float | None
    acts: Literal[
        "fits", "acts stiff", "acts weak", "not inspected", "unfit", "too short", "not measured"
    ]
    note: str = ""
    change: ShaftChange | None = None
    spine_by_wood_26in_2lb_lb: Band | None = None
    would_act: Literal["fits", "acts stiff", "acts weak"] | None = None
    would_chance_percent: float | None = None


@dataclass(frozen=True)
class ChosenArrow:
    """The build advised: lengths, masses and what it does."""

    shaft: str
    cut_length_in: float
    cut_length_definition: str
    minimum_length_in: float
    point_weight_gr: float
    fletching: str
    total_weight: Band
    grains_per_pound: Band
    balance_from_nock_throat_in: Band
    foc_percent: Band
    foc_definition: str
    speed_fps: Band
    energy_ftlb: Band
    momentum_slug_fps: Band
    momentum_kg_mps: Band


@dataclass(frozen=True)
class ContactSpell:
    """One spell in which a part of the arrow pressed on the bow."""

    part: Literal["shaft", "fletching"]
    plane: Literal["plate", "shelf"]
    from_ms: float
    to_ms: float
    impulse_mns: float
    after_string: bool


@dataclass(frozen=True)
class LaunchPicture:
    """One arrow leaving the bow and standing in the butt.

    ``path_y_in[frame][station]`` and ``path_z_in`` are the positions of the
    arrow's axis to the left of the plane of the bow and above the shelf line,
    ``nock_x_in[frame]`` the distance of the nock throat ahead of the strike
    plate (negative while behind it). Stations run from the nock throat to the
    front of the shaft. ``stand_nock_left_deg`` is positive when the nock
    stands to the left of the entry hole as seen from behind the archer,
    ``stand_nock_high_deg`` when it stands above it. ``marks`` says which traces
    such a shot leaves to be found; ``straight_after_yd`` how far from the bow its
    bending has rung down to 1 mm at the nock (None: not before the butt), and
    ``bend_left_in`` what is left of it there. ``hit_left_in`` and
    ``hit_high_in`` are relative to where the fitting arrow of the same answer
    lands. ``plate_offset_in`` is where the plate's surface lies to the left of
    the plane of the string (negative for a left-handed archer's plate short of
    centre). ``clean_knock_mns`` is the knock of the tail up to which a shot
    still counts as clean, None when no such limit was used; ``unclean_because`` says
    which limits the one shot shown passes ("" for none).
    """

    label: Literal["fits", "too weak", "too stiff", "no arrow fits well", "this shaft"]
    hand: Hand
    spine_26in_2lb_lb: float
    length_in: float
    point_weight_gr: float
    point_length_in: float
    diameter_in: float
    fletching_rear_in: float
    fletching_front_in: float
    fletching_height_in: float
    fletching_count: int
    plate_offset_in: float
    brace_height_in: float
    draw_in: float
    bow_length_in: float
    time_ms: list[float]
    station_in: list[float]
    nock_x_in: list[float]
    path_y_in: list[list[float]]
    path_z_in: list[list[float]]
    plate_left_ms: float | None
    string_left_ms: float
    nock_past_plate_ms: float
    contacts: list[ContactSpell]
    tail_knock_mns: float
    distance_yd: float
    flight_time_s: float
    strike_speed_fps: float
    hit_left_in: float
    hit_high_in: float
    stand_nock_left_deg: float
    stand_nock_high_deg: float
    stand_low_deg: float
    stand_high_deg: float
    share_clean_percent: float
    acts: str
    clean_knock_mns: float | None = None
    marks: list[str] = field(default_factory=list)
    straight_after_yd: float | None = None
    bend_left_in: float = 0.0
    unclean_because: str = ""


@dataclass(frozen=True)
class MatchAnswer:
    """Everything `loosewell match` has to say."""

    bow: str
    archer: str
    hand: Hand
    purpose: str
    distance_yd: float
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    cautions: list[Notice]
    true_draw_in: Band | None
    draw_weight_lb: Band | None
    clean_definition: str
    share_stated_percent: float
    best_share_percent: float | None
    spine_range_lb: Band | None
    spine_range_text: str
    spine_range_definition: str
    curve: list[ShareAtSpine] = field(default_factory=list)
    inputs: list[InputUsed] = field(default_factory=list)
    narrow_next: str = ""
    rules: list[RuleOfThumb] = field(default_factory=list)
    rules_spread_lb: float | None = None
    rules_against_engine: str = ""
    rack: list[RackShaft] = field(default_factory=list)
    chosen: ChosenArrow | None = None
    next_step: str = ""
    pictures: list[LaunchPicture] = field(default_factory=list)
    launches: int = 0
    seconds: float = 0.0
    engine: str = ""
    weather: str = ""
    forgiveness_lb: float | None = None
    fall_weak_percent_per_lb: float | None = None
    fall_stiff_percent_per_lb: float | None = None

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain dictionaries and lists, ready for JSON."""
        return asdict(self)
