"""Records drawn at random, all of them within bounds and in agreement with themselves."""

from __future__ import annotations

import datetime
from typing import Any

from hypothesis import strategies as st

from loosewell.records.archer import Archer
from loosewell.records.arrow import Arrow, ExtraPart, Fletching
from loosewell.records.arrow_set import ArrowSet, SetMember
from loosewell.records.bounds import BOUNDS
from loosewell.records.bow import Bow, DrawReading, SpeedReading
from loosewell.records.class_ import ClassRoster, Holding, Pupil, RangeRule
from loosewell.records.jig import Jig
from loosewell.records.outing import Change, Outing, ShotSeen
from loosewell.records.shaft import (
    BenchReading,
    Check,
    DiameterStation,
    Inspection,
    Joint,
    Section,
    Shaft,
    Tap,
    Weighing,
)
from loosewell.records.string import BowString, BreakSample

words = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zs", "Zl", "Zp")), min_size=1, max_size=30
)
names = words.filter(lambda text: not text.startswith("-"))
yes_no = st.none() | st.booleans()
remarks = st.none() | st.text(
    st.characters(exclude_categories=("Cc", "Cs"), include_characters="\n"), max_size=80
)
some_day = st.dates(datetime.date(1950, 1, 1), datetime.date(2024, 12, 31))
days = st.none() | some_day


def number(key: str) -> st.SearchStrategy[float]:
    """Any number a bound accepts."""
    return st.floats(BOUNDS[key].low, BOUNDS[key].high, allow_nan=False)


def known_or_not(key: str) -> st.SearchStrategy[float | None]:
    return st.none() | number(key)


def one_of(model: Any, field: str) -> st.SearchStrategy[str | None]:
    """One of a field's own choices, or unknown."""
    choices = [
        choice
        for part in (model.model_fields[field].annotation.__args__)
        for choice in getattr(part, "__args__", (part,))
        if isinstance(choice, str)
    ]
    return st.none() | st.sampled_from(choices)


@st.composite
def bows(draw: st.DrawFn) -> Bow:
    weights = sorted(draw(st.lists(number("reading.weight_lb"), max_size=4)))
    draws = sorted(
        draw(
            st.lists(
                st.floats(15, 30), min_size=len(weights), max_size=len(weights), unique_by=round
            )
        )
    )
    readings = tuple(
        DrawReading(
            draw_in=at,
            weight_lb=weight,
            weight_error_lb=draw(known_or_not("reading.weight_error_lb")),
        )
        # A tape could not tell nearer draws apart, and then their weights must agree.
        for at, weight in zip(draws, weights, strict=True)
        if not any(0 < abs(at - other) < 0.07 for other in draws)
    )
    speeds = draw(
        st.lists(
            st.builds(
                SpeedReading,
                arrow_weight_gr=number("speed.arrow_weight_gr"),
                speed_fps=number("speed.speed_fps"),
                draw_in=st.floats(15, 30),
            ),
            max_size=2,
        )
    )
    offset = draw(known_or_not("bow.plate_offset_in"))
    return Bow(
        name=draw(names),
        make=draw(one_of(Bow, "make")),
        length_in=draw(known_or_not("bow.length_in")),
        brace_height_in=draw(known_or_not("bow.brace_height_in")),
        draw_measured=draw(st.sampled_from(["true", "standard"])),
        draw_readings=readings,
        drawn_to_limit_in=draw(st.none() | st.floats(30, 36)),
        plate_offset_in=offset,
        plate_offset_error_in=(
            None if offset is None else draw(known_or_not("bow.plate_offset_error_in"))
        ),
        plate_material=draw(st.none() | words),
        shelf_material=draw(one_of(Bow, "shelf_material")),
        nocking_height_in=draw(known_or_not("bow.nocking_height_in")),
        string_material=draw(one_of(Bow, "string_material")),
        string_mass_gr=draw(known_or_not("bow.string_mass_gr")),
        hand=draw(st.sampled_from(["right", "left", "either"])),
        speed_readings=tuple(speeds),
        maker_minimum_arrow_gr=draw(known_or_not("bow.maker_minimum_arrow_gr")),
        loaner=draw(yes_no),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


@st.composite
def archers(draw: st.DrawFn) -> Archer:
    length = draw(known_or_not("archer.draw_length_in"))
    return Archer(
        name=draw(names),
        draw_length_in=length,
        draw_measured=draw(st.sampled_from(["true", "standard"])),
        draw_method=draw(one_of(Archer, "draw_method")),
        draw_error_in=None if length is None else draw(known_or_not("archer.draw_error_in")),
        draw_date=draw(days),
        hand=draw(st.sampled_from(["right", "left"])),
        hook=draw(one_of(Archer, "hook")),
        loose=draw(one_of(Archer, "loose")),
        cant_deg=draw(known_or_not("archer.cant_deg")),
        child=draw(yes_no),
        experience=draw(one_of(Archer, "experience")),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


def share_of(whole: float | None, key: str) -> st.SearchStrategy[float | None]:
    """A mass of a part, a twelfth of the whole at most when the whole is known."""
    low, high = BOUNDS[key].low, BOUNDS[key].high
    return st.none() | st.floats(low, high if whole is None else max(low, whole / 12.0))


@st.composite
def some_joints(draw: st.DrawFn, weight: float | None) -> tuple[Joint, ...]:
    """Joints 2 in or more apart on the first 20 in, with sleeves that do not meet."""
    places = sorted(draw(st.lists(st.integers(1, 9), max_size=3, unique=True)))
    return tuple(
        Joint(
            station_in=2.0 * place + draw(st.floats(0.0, 0.5)),
            sleeve_length_in=draw(st.none() | st.floats(0.1, 1.5)),
            sleeve_weight_gr=draw(share_of(weight, "joint.sleeve_weight_gr")),
            stiffness_percent=draw(known_or_not("joint.stiffness_percent")),
            give_deg_per_ftlb=draw(known_or_not("joint.give_deg_per_ftlb")),
            play_deg=draw(known_or_not("joint.play_deg")),
        )
        for place in places
    )


@st.composite
def some_sections(draw: st.DrawFn, weight: float | None) -> tuple[Section, ...]:
    """Sections on the first 19 in that do not overlap; they may touch."""
    edges = sorted(draw(st.lists(st.floats(0.2, 19.0), max_size=6, unique=True)))
    return tuple(
        Section(
            from_in=start,
            to_in=end,
            material=draw(st.none() | words),
            stiffness_percent=draw(known_or_not("section.stiffness_percent")),
            weight_gr=draw(share_of(weight, "section.weight_gr")),
        )
        for start, end in zip(edges[::2], edges[1::2], strict=False)
    )


@st.composite
def inspections(draw: st.DrawFn) -> Inspection:
    """Inspections whose result follows from what was looked at."""
    looked_at = [
        "run-out",
        "straightness",
        "knots",
        "cracks",
        "dents",
        "nock",
        "point",
        "fletching",
        "binding",
        "joint",
    ]
    checks = tuple(
        Check(
            what=what,  # type: ignore[arg-type]
            finding=draw(st.sampled_from(["fine", "fault", "not looked at"])),
            note=draw(st.none() | words),
        )
        for what in draw(st.lists(st.sampled_from(looked_at), max_size=4, unique=True))
    )
    found = {one.finding for one in checks}
    results = ["failed"]
    if "fault" not in found:
        results += ["incomplete"] if "not looked at" in found else ["incomplete", "passed"]
    return Inspection(
        result=draw(st.sampled_from(results)),
        on=draw(some_day),
        by=draw(st.none() | words),
        note=draw(st.none() | words),
        checks=checks,
    )


@st.composite
def some_weighings(draw: st.DrawFn) -> tuple[Weighing, ...]:
    """Weighings from the earliest day on, the heaviest less than five times the lightest."""
    return tuple(
        Weighing(
            on=day,
            weight_gr=draw(st.floats(200.0, 900.0)),
            weight_error_gr=draw(known_or_not("weighing.weight_error_gr")),
        )
        for day in sorted(draw(st.lists(some_day, max_size=3)))
    )


taps = st.builds(
    Tap,
    frequencies_hz=st.lists(number("tap.frequencies_hz"), min_size=1, max_size=4, unique=True)
    .map(sorted)
    .map(tuple),
    length_in=number("tap.length_in"),
    weight_gr=number("tap.weight_gr"),
    damping_ratio=known_or_not("tap.damping_ratio"),
    on=days,
    file=st.none() | words,
)


@st.composite
def shafts(draw: st.DrawFn) -> Shaft:
    length = draw(st.none() | st.floats(20, 40))
    places = draw(st.lists(st.floats(0, 20), max_size=4, unique=True))
    diameter = draw(st.floats(0.25, 0.45))
    density = draw(st.floats(0.3, 0.9))  # g/cm³, what woods weigh
    inches3 = 0.785398 * diameter**2 * (length or 30.0)
    deflection = draw(st.floats(0.2, 0.9))
    weight = draw(st.none() | st.just(density * inches3 * 252.9))
    turns = draw(st.lists(st.floats(0, 359), max_size=3, unique=True))
    return Shaft(
        name=draw(names),
        kind=draw(st.sampled_from([None, "solid", "shoot", "joined", "cane"])),
        material=draw(st.none() | words),
        length_in=length,
        stations=tuple(
            DiameterStation(
                station_in=place,
                diameter_in=diameter,
                across_in=draw(st.none() | st.just(diameter)),
            )
            for place in sorted(places)
        ),
        weight_gr=weight,
        weight_error_gr=None if weight is None else draw(known_or_not("shaft.weight_error_gr")),
        bench_readings=tuple(
            BenchReading(
                span_in=26.0,
                load_lb=2.0,
                deflection_in=deflection,
                deflection_error_in=draw(known_or_not("bench.deflection_error_in")),
                rotation_deg=turn,
                jig=draw(st.none() | words),
                turned=draw(yes_no),
                on=draw(days),
            )
            for turn in turns
        ),
        joints=draw(some_joints(weight)),
        sections=draw(some_sections(weight)),
        kept_where=draw(st.none() | words),
        inspection=draw(st.none() | inspections()),
        weighings=draw(some_weighings()),
        taps=tuple(draw(st.lists(taps, max_size=2))),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


extra_parts = st.builds(
    # Two of the heaviest still leave an arrow its own mass.
    ExtraPart,
    what=words,
    weight_gr=st.floats(BOUNDS["part.weight_gr"].low, 20.0),
    at_in=st.floats(BOUNDS["part.at_in"].low, 20.0),
)


@st.composite
def arrows(draw: st.DrawFn, shaft: str = "the shaft") -> Arrow:
    fletching = draw(
        st.none()
        | st.just(Fletching(material="none"))
        | st.builds(
            Fletching,
            material=st.sampled_from(["feather", "vane", "tape"]),
            length_in=st.none() | st.floats(1, 6),
            height_in=known_or_not("fletching.height_in"),
            count=st.none() | st.integers(1, 8),
            angle_deg=known_or_not("fletching.angle_deg"),
            wing=st.sampled_from([None, "left", "right"]),
            rear_in=st.none() | st.floats(0, 2),
        )
    )
    point = draw(one_of(Arrow, "point_kind"))
    bladed = point not in ("field", "bullet", "blunt")
    return Arrow(
        name=draw(names),
        shaft=shaft,
        length_in=draw(st.none() | st.floats(20, 34)),
        point_kind=point,
        point_width_in=draw(known_or_not("arrow.point_width_in")),
        point_blade_length_in=draw(known_or_not("arrow.point_blade_length_in")) if bladed else None,
        point_blades=draw(st.none() | st.integers(2, 8)) if bladed else None,
        point_weight_gr=draw(known_or_not("arrow.point_weight_gr")),
        nock_kind=draw(one_of(Arrow, "nock_kind")),
        nock_weight_gr=draw(known_or_not("arrow.nock_weight_gr")),
        nock_fit=draw(one_of(Arrow, "nock_fit")),
        stiff_side_deg=draw(known_or_not("arrow.stiff_side_deg")),
        fletching=fletching,
        weight_gr=draw(st.none() | st.floats(1000, 3000)),
        balance_in=draw(st.none() | st.floats(1, 19)),
        extra_parts=tuple(draw(st.lists(extra_parts, max_size=2))),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


@st.composite
def jigs(draw: st.DrawFn) -> Jig:
    factor = draw(known_or_not("jig.stiffness_factor"))
    checked = factor is not None
    return Jig(
        name=draw(names),
        span_in=draw(known_or_not("jig.span_in")),
        span_error_in=draw(known_or_not("jig.span_error_in")),
        load_lb=draw(known_or_not("jig.load_lb")),
        load_error_percent=draw(known_or_not("jig.load_error_percent")),
        reads=draw(one_of(Jig, "reads")),
        deflection_error_in=draw(known_or_not("jig.deflection_error_in")),
        stiffness_factor=factor,
        stiffness_factor_error_percent=(
            draw(known_or_not("jig.stiffness_factor_error_percent")) if checked else None
        ),
        checked_on=draw(days) if checked else None,
        checked_with=draw(st.none() | words) if checked else None,
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


@st.composite
def arrow_sets(draw: st.DrawFn, shaft: str = "the shaft") -> ArrowSet:
    members = st.builds(
        SetMember,
        shaft=st.just(shaft),
        nock_angle_deg=known_or_not("member.nock_angle_deg"),
        stiff_side_mark=st.none() | words,
    )
    return ArrowSet(
        name=draw(names),
        code=draw(st.none() | words),
        members=tuple(draw(st.lists(members, max_size=1))),
        made_on=draw(days),
        purpose=draw(st.none() | words),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


shots_seen = st.builds(
    ShotSeen,
    arrow=st.none() | words,
    bare=st.booleans(),
    left_in=number("shot.left_in"),
    high_in=number("shot.high_in"),
    place_error_in=known_or_not("shot.place_error_in"),
    nock_sideways=one_of(ShotSeen, "nock_sideways"),
    nock_high_deg=known_or_not("shot.nock_high_deg"),
    angle_error_deg=known_or_not("shot.angle_error_deg"),
    called=one_of(ShotSeen, "called"),
    cold=st.booleans(),
    marks=st.sampled_from([(), ("none",), ("feather worn", "knock heard")]),
    speed_fps=known_or_not("shot.speed_fps"),
    speed_error_percent=known_or_not("shot.speed_error_percent"),
)


@st.composite
def outings(draw: st.DrawFn, bow: str = "the bow", archer: str = "the archer") -> Outing:
    return Outing(
        name=draw(names),
        bow=bow,
        archer=archer,
        on=draw(days.filter(lambda day: day is not None)),
        distance_yd=draw(number("outing.distance_yd")),
        shots=tuple(draw(st.lists(shots_seen, min_size=1, max_size=3))),
        arrow=draw(st.none() | words),
        positions_from=draw(st.sampled_from(["aim", "fletched group"])),
        brace_height_in=draw(known_or_not("bow.brace_height_in")),
        nocking_height_in=draw(known_or_not("bow.nocking_height_in")),
        temperature_f=draw(known_or_not("outing.temperature_f")),
        wind_left_fps=draw(known_or_not("outing.wind_left_fps")),
        change=draw(st.none() | st.just(Change(what="point", text="150 gr"))),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


break_samples = st.builds(
    BreakSample,
    of=st.sampled_from(["strand", "ply", "string"]),
    load_lb=number("sample.load_lb"),
    wet=st.booleans(),
    on=days,
)


@st.composite
def bow_strings(draw: st.DrawFn) -> BowString:
    weighed = draw(st.booleans())
    return BowString(
        name=draw(names),
        fibre=draw(one_of(BowString, "fibre")),
        home_made=draw(yes_no),
        loops=draw(one_of(BowString, "loops")),
        strands=draw(st.none() | st.integers(12, 400)),
        plies=draw(st.none() | st.integers(1, 12)),
        twists=draw(st.none() | st.integers(0, 400)),
        strand_strength_lb=draw(known_or_not("string.strand_strength_lb")),
        samples=tuple(draw(st.lists(break_samples, max_size=3))),
        strand_length_in=draw(number("string.strand_length_in")) if weighed else None,
        strand_weight_gr=draw(number("string.strand_weight_gr")) if weighed else None,
        length_in=draw(st.none() | st.floats(60, 110)),
        weight_gr=draw(known_or_not("string.weight_gr")),
        diameter_in=draw(st.none() | st.floats(0.02, 0.1)),
        serving_length_in=draw(st.none() | st.floats(0.5, 20)),
        serving_thread_in=draw(known_or_not("string.serving_thread_in")),
        serving_diameter_in=draw(st.none() | st.floats(0.1, 0.45)),
        nock_slot_in=draw(known_or_not("string.nock_slot_in")),
        maker_allows_low_stretch=draw(yes_no),
        made_on=draw(days),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


@st.composite
def pupils(draw: st.DrawFn, name: str) -> Pupil:
    known = draw(st.booleans())
    return Pupil(
        name=name,
        hand=draw(st.sampled_from(["right", "left"])),
        draw_length_in=draw(number("archer.draw_length_in")) if known else None,
        draw_measured=draw(st.sampled_from(["true", "standard"])),
        draw_method=draw(one_of(Pupil, "draw_method")),
        draw_error_in=draw(known_or_not("archer.draw_error_in")) if known else None,
        draw_date=draw(days),
        child=draw(yes_no),
        experience=draw(one_of(Pupil, "experience")),
        strength_lb=draw(known_or_not("pupil.strength_lb")),
        remarks=draw(remarks),
    )


range_rules = st.builds(
    RangeRule,
    what=st.sampled_from(["lane", "waiting line", "stop", "overshoot", "side", "other"]),
    text=words,
    source=words,
    on=some_day,
    figure_yd=known_or_not("rule.figure_yd"),
    counted_from=st.sampled_from(["shooting line", "target line"]),
)


@st.composite
def class_rosters(draw: st.DrawFn) -> ClassRoster:
    called = draw(
        st.lists(names, max_size=4, unique_by=lambda one: " ".join(one.split()).casefold())
    )
    return ClassRoster(
        name=draw(names),
        on=draw(days),
        people=tuple(draw(pupils(one)) for one in called),
        arrows_each=draw(st.none() | st.integers(1, 48)),
        turns=draw(st.none() | st.integers(1, 20)),
        loss_percent=draw(known_or_not("class.loss_percent")),
        rules=tuple(draw(st.lists(range_rules, max_size=2))),
        held=tuple(Holding(person=one, bow="Ash", arrows=()) for one in called[:2]),
        people_out=tuple(called[2:]),
        remarks=draw(remarks),
        invented=draw(st.booleans()),
    )


BY_KIND: dict[str, st.SearchStrategy[Any]] = {
    "bow": bows(),
    "archer": archers(),
    "shaft": shafts(),
    "arrow": arrows(),
    "jig": jigs(),
    "set": arrow_sets(),
    "outing": outings(),
    "string": bow_strings(),
    "class": class_rosters(),
}
