"""The main job: which shafts fit this bow and this archer, how sure that is, and what next."""

from __future__ import annotations

import datetime
import time
from collections.abc import Sequence

from loosewell import units
from loosewell.errors import EngineRefusal
from loosewell.records import Archer, Arrow, Bow, Fletching, Jig, Shaft, bounds
from loosewell.workshop import bridge, rules, session, stops
from loosewell.workshop.answer import Band, LaunchPicture, MatchAnswer, Notice, ShareAtSpine
from loosewell.workshop.chosen import choose
from loosewell.workshop.pictures import draw_pictures, one_picture
from loosewell.workshop.rack import judge_rack
from loosewell.workshop.reading.learn import Learned
from loosewell.workshop.session import Progress, Session, silent
from loosewell.workshop.sweep import CLEAR_SHARE, SHARE_OF_BEST, fall, sweep_spines
from loosewell.workshop.wish import PURPOSES, CleanLimits, wish_of
from loosewell.workshop.words import against, inputs_used, narrow_next, next_step

__all__ = ["CLEAR_SHARE", "PURPOSES", "SHARE_OF_BEST", "CleanLimits", "match", "picture_only"]


def match(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft],
    *,
    arrows: Sequence[Arrow] = (),
    jigs: Sequence[Jig] = (),
    purpose: str = "target",
    distance_yd: float | None = None,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    fletching: Fletching | None = None,
    limits: CleanLimits | None = None,
    temperature_f: float | None = None,
    altitude_ft: float | None = None,
    wind_left_fps: float | None = None,
    seed: int = 20260211,
    today: datetime.date | None = None,
    progress: Progress | None = None,
    learned: Learned | None = None,
) -> MatchAnswer:
    """The whole answer for a bow, an archer and a rack.

    Parameters
    ----------
    bow, archer : Bow, Archer
        The bow with a draw reading, the archer with a draw length.
    shafts : sequence of Shaft
        The rack; may be empty.
    arrows : sequence of Arrow
        Builds on shafts of the rack; such a shaft is judged as it is built.
    jigs : sequence of Jig
        Those of the workshop; bench readings that name one are judged by it.
    purpose : str
        One of PURPOSES.
    distance_yd, point_weight_gr, length_in, fletching : optional
        Where given they replace the purpose's own; length is from the nock throat
        to the back of the point.
    limits : CleanLimits, optional
        What counts as clean.
    temperature_f, altitude_ft, wind_left_fps : float, optional
        Of the day; wind pushing to the archer's left is positive.
    seed : int
        Of the samples; the same seed gives the same answer.
    today : date, optional
        For the age of a child's draw.
    progress : callable, optional
        Called with a word and the fraction done.
    learned : Learned, optional
        What outings taught of this bow and this archer; takes the place of what is assumed.

    Returns
    -------
    answer : MatchAnswer
        With stops first; after a stop on bow and archer nothing is computed.

    Raises
    ------
    Refusal
        For records from which no answer can be had, in a sentence.
    """
    started = time.perf_counter()
    tell = progress or silent
    wish = wish_of(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, limits,
        temperature_f, altitude_ft, wind_left_fps, seed,
    )  # fmt: skip
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    draw_in, draw_error_in = draw.middle / units.INCH, draw.spread / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    invented = bow.invented or archer.invented
    found = stops.stops(bow, archer, draw_in, length_in)
    doubts = stops.warnings(bow, archer, draw_in, draw_error_in, today)
    usual = stops.cautions(archer, purpose, [one.material for one in shafts])
    unfit = [notice for shaft in shafts if (notice := stops.unfit(shaft)) is not None]
    draw_band = Band(
        draw_in,
        draw_in - draw_error_in,
        draw_in + draw_error_in,
        f"as recorded, {archer.draw_method or 'method not recorded'}",
    )
    if found:
        return MatchAnswer(
            bow=bow.name,
            archer=archer.name,
            hand=archer.hand,
            purpose=purpose,
            distance_yd=wish.distance_yd,
            invented=invented,
            stops=found + unfit,
            warnings=doubts,
            cautions=usual,
            true_draw_in=draw_band,
            draw_weight_lb=None,
            clean_definition=wish.limits.text(),
            share_stated_percent=0.0,
            best_share_percent=None,
            spine_range_lb=None,
            spine_range_text="Nothing was computed: settle the stop first.",
            spine_range_definition="",
            next_step=found[0].text,
            seconds=time.perf_counter() - started,
        )

    job = Session(bow, archer, shafts, arrows, wish, loose, draw_in, tell, jigs, learned)
    return _answer(job, draw_band, doubts, usual, unfit, invented, started)


def _answer(
    job: Session,
    draw_band: Band,
    doubts: list[Notice],
    usual: list[Notice],
    unfit: list[Notice],
    invented: bool,
    started: float,
) -> MatchAnswer:
    sweep = sweep_spines(job)
    rack = judge_rack(job, sweep)
    chosen, model = choose(job, sweep, rack)
    light = stops.mass_warning(job.bow_record, chosen.total_weight.middle, sweep.weight.middle)
    if light is not None:
        doubts = [*doubts, light]
    asked = (
        sweep.weight.middle,
        job.draw_in,
        job.length_in,
        job.point_gr,
        job.bow_record.plate_offset_in,
        job.bow_record.make,
        job.bow_record.string_material,
    )
    thumb, silent_rules = rules.rules_of_thumb(*asked), rules.left_out(*asked)
    assert sweep.band is not None
    pictures = draw_pictures(job, sweep, rack, model, chosen)
    said = [one.spine_lb for one in thumb]
    spread_lb = round(max(said) - min(said), 1) if said else None
    job.tell("done", 1.0)
    return MatchAnswer(
        bow=job.bow_record.name,
        archer=job.archer.name,
        hand=job.archer.hand,
        purpose=job.plan.name,
        distance_yd=job.distance_yd,
        invented=invented,
        stops=unfit,
        warnings=doubts,
        cautions=usual,
        true_draw_in=draw_band,
        draw_weight_lb=sweep.weight,
        clean_definition=job.limits.text(),
        share_stated_percent=round(100.0 * sweep.least, 1),
        best_share_percent=round(100.0 * sweep.best_share, 1),
        spine_range_lb=sweep.band,
        spine_range_text=sweep.text,
        spine_range_definition=sweep.definition,
        curve=[
            ShareAtSpine(
                round(float(s), 2),
                round(100 * float(a), 1),
                round(100 * float(b), 1),
                round(100 * float(c), 1),
            )
            for s, a, b, c in zip(
                sweep.curve.spine,
                sweep.curve.share,
                sweep.curve.low,
                sweep.curve.high,
                strict=True,
            )
        ],
        inputs=inputs_used(job, sweep),
        narrow_next=narrow_next(job, sweep),
        rules=thumb,
        rules_spread_lb=spread_lb,
        rules_against_engine=against(thumb, silent_rules, sweep.band),
        rack=rack,
        chosen=chosen,
        next_step=next_step(job, sweep, rack, chosen),
        pictures=pictures,
        launches=job.launches,
        seconds=round(time.perf_counter() - started, 2),
        weather=job.weather,
        forgiveness_lb=round(sweep.band.high - sweep.band.low, 1),
        fall_weak_percent_per_lb=fall(sweep.curve, -1),
        fall_stiff_percent_per_lb=fall(sweep.curve, 1),
        engine=(
            f"{bridge.ELEMENTS} beam elements, two planes, {session.WORLDS} worlds of "
            f"{session.SHOTS} shots for each of {session.SPINES} spines, seed {job.seed}"
        ),
    )


def picture_only(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft] = (),
    *,
    spine_lb: float,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    purpose: str = "target",
    distance_yd: float | None = None,
    fletching: Fletching | None = None,
) -> LaunchPicture:
    """One shot of a plain parallel shaft by the middle of everything known, for a slider.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shafts : sequence of Shaft
        The rack, for the usual mass of a shaft.
    spine_lb : float
        Of the shaft (26 in span, 2 lb).
    point_weight_gr, length_in, purpose, distance_yd, fletching : optional
        As in match.

    Returns
    -------
    picture : LaunchPicture
        Labelled "this shaft"; its share of clean shots is 100 or 0, for this one shot.

    Raises
    ------
    Refusal
        For a pair that must not shoot, or an arrow the engine cannot follow.
    """
    wish = wish_of(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, None,
        None, None, None, 1,
    )  # fmt: skip
    bounds.check(spine_lb, "shaft.spine_lb")
    loose = bridge.loose_model(archer)
    draw_in = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    if bow.draw_readings:
        found = stops.stops(bow, archer, draw_in, length_in)
        if found:
            raise EngineRefusal(found[0].text, code=found[0].code)
    job = Session(bow, archer, shafts, (), wish, loose, draw_in, silent)
    return one_picture(job, spine_lb)
