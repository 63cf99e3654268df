"""The pictures: one shot that fits, one too weak, one too stiff, and one for a slider."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from loosewell import units
from loosewell.errors import EngineRefusal
from loosewell.workshop import bridge, session
from loosewell.workshop.answer import ChosenArrow, LaunchPicture, RackShaft
from loosewell.workshop.session import Array, Session
from loosewell.workshop.sweep import CLEAR_SHARE, Sweep
from loosewell.workshop.wish import CleanLimits

PICTURE_STEPS = 6


HALF = 0.5
"""A picture of too weak or too stiff shows at most this part of the best share."""
FARTHEST_WEAK, FARTHEST_STIFF = 0.3, 2.2
"""How far such a spine is looked for, as shares of the draw weight."""
LEAST_LB = 8.0
"""Weakest spine reckoned. [lb]"""
MORE_STEPS = 5
YET = "yet clean more than half as often as the best"
MORE_WORLDS, MORE_SHOTS = 32, 2


@dataclass(frozen=True)
class Outside:
    """One spine on one side of the range: how often it is clean, and how it stands."""

    spine_lb: float
    share: float
    stand_range: tuple[float, float]


def _stands(stand_left: Array) -> tuple[float, float]:
    """The stretch of eight of ten shots. [deg]"""
    stand = np.degrees(stand_left[np.isfinite(stand_left)])
    if not len(stand):
        return 0.0, 0.0
    return float(np.quantile(stand, 0.1)), float(np.quantile(stand, 0.9))


def _of_sweep(sweep: Sweep, at: int) -> Outside:
    n = session.WORLDS * session.SHOTS
    return Outside(
        float(sweep.curve.spine[at]),
        float(sweep.curve.share[at]),
        _stands(sweep.shots.stand_left[at * n : (at + 1) * n]),
    )


def _outside(job: Session, sweep: Sweep, edge_lb: float, side: int) -> Outside:
    """The spine to show on one side (-1 weak, 1 stiff): the least clean one of the sweep.

    Where even that one is clean more than half as often as the best, spines beyond the sweep are
    shot one after another until one is not; failing that the least clean of all is shown.
    """
    found = [
        _of_sweep(sweep, at)
        for at, spine in enumerate(job.spine)
        if side * (float(spine) - edge_lb) > 0.0
    ]
    worst = min(found, key=lambda one: one.share, default=None)
    enough = HALF * sweep.best_share
    if worst is not None and worst.share <= enough:
        return worst
    end = float(job.spine[0] if side < 0 else job.spine[-1])
    end = min(end, edge_lb) if side < 0 else max(end, edge_lb)
    last = FARTHEST_STIFF * job.weight_lb
    if side < 0:
        last = max(FARTHEST_WEAK * job.weight_lb, LEAST_LB)
    if side * (last - end) <= 0.0:
        last = end * (1.2 if side > 0 else 0.8)
    for spine_lb in np.linspace(end, last, MORE_STEPS + 1)[1:]:
        _, values = job.values(job.sweep_inputs, MORE_WORLDS, MORE_SHOTS, job.seed)
        count = MORE_WORLDS * MORE_SHOTS
        values["stiffness_scale"] = np.full(count, float(spine_lb) / 50.0)
        shots = job.shoot([sweep.model], np.zeros(count, dtype=np.int64), values, "pictures")
        one = Outside(float(spine_lb), float(job.clean(shots).mean()), _stands(shots.stand_left))
        if worst is None or one.share < worst.share:
            worst = one
        if worst.share <= enough:
            break
    assert worst is not None
    return worst


def _unclean_because(shots: bridge.Shots, n: int, limits: CleanLimits) -> str:
    """What of one shot passes the limits of a clean one, the worst first."""
    if shots.status[n] != 0:
        return "cannot be followed to the butt"
    over = [
        (value / limit, words.format(f"{value:.{int(round(value) <= limit)}f}"))
        for value, limit, words in (
            (float(shots.swing_deg[n]), limits.swing_deg, "swings {}° off its path"),
            (float(shots.knock_mns[n]), limits.knock_mns, "tail knocks {} mN·s"),
            (float(shots.stand_off_deg[n]), limits.stand_deg, "stands {}° off"),
        )
        if value > limit
    ]
    return ", ".join(words for _, words in sorted(over, reverse=True))


def draw_pictures(
    job: Session,
    sweep: Sweep,
    rack: list[RackShaft],
    chosen: tuple[bridge.ArrowModel, bridge.Profile | None],
    arrow: ChosenArrow | None,
) -> list[LaunchPicture]:
    """Three recorded shots: one that fits, one too weak, one too stiff."""
    assert sweep.band is not None
    model, profile = chosen
    fits_lb = sweep.band.middle
    fits_share = float(np.interp(fits_lb, sweep.curve.spine, sweep.curve.share))
    if profile is not None:
        row = next(
            k for k, one in enumerate(job.shafts) if arrow is not None and one.name == arrow.shaft
        )
        spine = job.spines[row]
        assert spine is not None
        fits_lb = spine.spine_26in_2lb_lb
        fits_share = next(
            (row.chance_percent or 0.0) / 100.0
            for row in rack
            if arrow is not None and row.shaft == arrow.shaft
        )
    weak = _outside(job, sweep, min(sweep.band.low, fits_lb), -1)
    stiff = _outside(job, sweep, max(sweep.band.high, fits_lb), 1)
    best = "fits" if sweep.best_share >= CLEAR_SHARE else "no arrow fits well"
    wanted: list[tuple[str, float, bridge.ArrowModel, float]] = [
        (best, fits_lb, model, 1.0 if profile is not None else fits_lb / 50.0),
        ("too weak", weak.spine_lb, sweep.model, weak.spine_lb / 50.0),
        ("too stiff", stiff.spine_lb, sweep.model, stiff.spine_lb / 50.0),
    ]
    middle = {one.key: np.full(3, one.middle) for one in job.sweep_inputs}
    middle["stiffness_scale"] = np.array([one[3] for one in wanted])
    models = [model, sweep.model]
    index = np.array([0, 1, 1], dtype=np.int64)
    shots = job.shoot(models, index, middle, "pictures", frame_every=1)
    out = []
    for k, (label, lb, own, _) in enumerate(wanted):
        at = int(np.argmin(np.abs(job.spine - lb)))
        one = (_of_sweep(sweep, at), weak, stiff)[k]
        drawn = picture(
            label,
            lb,
            own,
            shots,
            k,
            hand=job.archer.hand,
            plate_offset=float(middle["plate_offset"][0]),
            brace=job.bow.brace,
            draw=float(middle["draw"][0]),
            bow_length_in=job.bow_record.length_in
            or bridge.BOW_LENGTH_IN[job.bow_record.make or "plain wooden"],
            distance_yd=job.distance_yd,
            point_gr=job.point_gr if k else own.parts.point_mass / units.GRAIN,
            stand_range=one.stand_range,
            share=one.share if k else fits_share,
            limits=job.limits,
        )
        if k and one.share > HALF * sweep.best_share:
            side = "weaker" if k == 1 else "stiffer"
            drawn = replace(drawn, acts=f"the worst of the {side} spines reckoned, {YET}")
        out.append(drawn)
    return out


def one_picture(job: Session, spine_lb: float) -> LaunchPicture:
    """One shot of a plain shaft of that spine, by the middle of every input."""
    model = job.generic()
    values = {one.key: np.full(1, one.middle) for one in job.sweep_inputs}
    values["stiffness_scale"] = np.full(1, spine_lb / 50.0)
    shots = job.shoot([model], np.zeros(1, dtype=np.int64), values, "picture", frame_every=1)
    if shots.status[0] != 0:
        raise refuse_status(int(shots.status[0]))
    stand = math.degrees(float(shots.stand_left[0]))
    return picture(
        "this shaft",
        spine_lb,
        model,
        shots,
        0,
        hand=job.archer.hand,
        plate_offset=float(values["plate_offset"][0]),
        brace=job.bow.brace,
        draw=float(values["draw"][0]),
        bow_length_in=job.bow_record.length_in
        or bridge.BOW_LENGTH_IN[job.bow_record.make or "plain wooden"],
        distance_yd=job.distance_yd,
        point_gr=job.point_gr,
        stand_range=(stand, stand),
        share=float(job.clean(shots)[0]),
        limits=job.limits,
    )


def picture(
    label: str,
    spine_lb: float,
    model: bridge.ArrowModel,
    shots: bridge.Shots,
    n: int,
    *,
    hand: str,
    plate_offset: float,
    brace: float,
    draw: float,
    bow_length_in: float,
    distance_yd: float,
    point_gr: float,
    stand_range: tuple[float, float],
    share: float,
    limits: CleanLimits,
) -> LaunchPicture:
    """One recorded shot as the drawing takes it, in inches and the archer's own hand.

    Parameters
    ----------
    label : str
        What the arrow is in this answer.
    spine_lb : float
        26 in span, 2 lb.
    model : ArrowModel
        The arrow.
    shots : Shots
        With a frame for each step; the first shot is the one hits are told against.
    n : int
        Which shot.
    hand : str
        "right" or "left".
    plate_offset, brace, draw : float
        Metres.
    bow_length_in, distance_yd, point_gr : float
        Trade units.
    stand_range : tuple of float
        Degrees, eight of ten shots.
    share : float
        Of clean shots, 0 to 1.
    limits : CleanLimits
        What a clean shot stays within.

    Returns
    -------
    picture : LaunchPicture
        See its own description for axes and signs.
    """
    from loosewell.physics import flight
    from loosewell.physics import launch as kernel

    frame, out = shots.frame[n], shots.launch[n]
    used = frame[:, 0] > 0.0
    frame = frame[used]
    contacts = bridge.spells(frame, float(out[kernel.STRING_LEFT]))
    front = model.parts.rear + model.parts.chord if model.parts.count else 0.0
    traces = bridge.marks(frame, float(out[kernel.STRING_LEFT]), front, hand)
    last = len(frame) - 1
    frame = frame[np.unique(np.append(np.arange(0, last, PICTURE_STEPS), last))]
    nodes = (frame.shape[1] - kernel.FRAME_HEAD) // 2
    mirror = 1.0 if hand == "right" else -1.0
    side = mirror * frame[:, kernel.FRAME_HEAD : kernel.FRAME_HEAD + nodes] / units.INCH
    high = frame[:, kernel.FRAME_HEAD + nodes :] / units.INCH
    part = model.parts
    left = out[kernel.PLATE_LEFT]
    touches_at_end = left >= out[kernel.STRING_LEFT] * 0.999
    return LaunchPicture(
        label=label,  # type: ignore[arg-type]
        hand=hand,  # type: ignore[arg-type]
        spine_26in_2lb_lb=round(spine_lb, 1),
        length_in=round(model.length / units.INCH, 2),
        point_weight_gr=round(point_gr, 1),
        point_length_in=round(part.point_length / units.INCH, 3),
        diameter_in=round(model.diameter / units.INCH, 4),
        fletching_rear_in=round(part.rear / units.INCH, 3) if part.count else 0.0,
        fletching_front_in=round((part.rear + part.chord) / units.INCH, 3) if part.count else 0.0,
        fletching_height_in=round(part.height / units.INCH, 3),
        fletching_count=part.count,
        plate_offset_in=round(mirror * plate_offset / units.INCH, 4),
        brace_height_in=round(brace / units.INCH, 3),
        draw_in=round(draw / units.INCH, 3),
        bow_length_in=bow_length_in,
        time_ms=[round(float(t) * 1e3, 4) for t in frame[:, 0]],
        station_in=[round(float(s) / units.INCH, 4) for s in np.linspace(0.0, model.length, nodes)],
        nock_x_in=[round(float(x) / units.INCH, 4) for x in frame[:, 1]],
        path_y_in=[[round(float(y), 4) for y in row] for row in side],
        path_z_in=[[round(float(z), 4) for z in row] for row in high],
        plate_left_ms=None if left <= 0.0 or touches_at_end else round(float(left) * 1e3, 3),
        string_left_ms=round(float(out[kernel.STRING_LEFT]) * 1e3, 3),
        nock_past_plate_ms=round(float(out[kernel.PASSED]) * 1e3, 3),
        contacts=contacts,
        tail_knock_mns=round(float(shots.knock_mns[n]), 2),
        distance_yd=distance_yd,
        flight_time_s=round(float(shots.flight[n, flight.TIME]), 4),
        strike_speed_fps=round(float(shots.flight[n, flight.END_SPEED]) / units.FPS, 1),
        hit_left_in=round(float(shots.hit_left[n] - shots.hit_left[0]) / units.INCH, 2),
        hit_high_in=round(float(shots.hit_high[n] - shots.hit_high[0]) / units.INCH, 2),
        stand_nock_left_deg=round(math.degrees(float(shots.stand_left[n])), 2),
        stand_nock_high_deg=round(math.degrees(float(shots.stand_high[n])), 2),
        stand_low_deg=round(min(stand_range[0], math.degrees(float(shots.stand_left[n]))), 2),
        stand_high_deg=round(max(stand_range[1], math.degrees(float(shots.stand_left[n]))), 2),
        share_clean_percent=round(100.0 * share, 1),
        acts={"fits": "fits", "too weak": "acts weak", "too stiff": "acts stiff"}.get(label, label),
        clean_knock_mns=limits.knock_mns,
        unclean_because=_unclean_because(shots, n, limits),
        marks=traces,
        straight_after_yd=_straight_after(model, shots, n, distance_yd),
        bend_left_in=round(float(shots.flight[n, flight.BEND]) / units.INCH, 3),
    )


STRAIGHT = 0.001
"""Swing of the nock by bending below which an arrow counts as straightened. [m]"""


def _straight_after(
    model: bridge.ArrowModel, shots: bridge.Shots, n: int, distance_yd: float
) -> float | None:
    """How far from the bow the bending of one shot has rung down, if before the butt. [yd]"""
    from loosewell.physics import aero, flight

    left = float(shots.flight[n, flight.BEND])
    time = float(shots.flight[n, flight.TIME])
    decay = 2.0 * math.pi * float(model.aero[aero.BEND_FREQUENCY] * model.aero[aero.BEND_DAMPING])
    if left > STRAIGHT or decay <= 0.0 or time <= 0.0:
        return None
    start = left * math.exp(decay * time)
    if start <= STRAIGHT:
        return 0.0
    return round(distance_yd * min(math.log(start / STRAIGHT) / decay / time, 1.0), 1)


def refuse_status(status: int) -> EngineRefusal:
    """The refusal that belongs to a status of the engine.

    Parameters
    ----------
    status : int
        Not 0.

    Returns
    -------
    refusal : EngineRefusal
        With a sentence for people.
    """
    why = bridge.STATUS_SENTENCES.get(status, f"status {status}")
    return EngineRefusal(f"The engine refused this shot: {why}.")
