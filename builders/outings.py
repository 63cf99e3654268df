"""Simulated outings: how often the reading of the target is right, and as sure as it says.

    .venv/bin/python builders/outings.py            (10 to 20 minutes on two cores)
    .venv/bin/python builders/outings.py --outings 50 --full 4

writes docs/physics/reading_truth.md and out/reading.json. Every outing has a bow and an archer made
anew from the invented camp, right- or left-handed, and a truth drawn from the priors; its shots
come one by one from the engine, with the scatter of the loose, the ruler's error, and calls by an
eye that slips. One bank of worlds a setting is shot once and weighed anew for each outing; where
its weights cannot be trusted the reading goes on with further rounds, as it does at the bench.
What is done is kept in out/reading/ and not done again; ``--anew`` throws that away.
"""

from __future__ import annotations

import argparse
import datetime
import itertools
import json
import math
import shutil
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import Refusal
from loosewell.physics import spine as spines
from loosewell.records import Archer, Bow, Fletching
from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop import bridge, demo
from loosewell.workshop.reading import evidence, faults, step, weigh, worlds
from loosewell.workshop.reading.worlds import Case, Setting, Worlds
from loosewell.workshop.session import Session, silent
from loosewell.workshop.wish import wish_of

Array = NDArray[np.float64]

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "physics" / "reading_truth.md"
KEPT = ROOT / "out" / "reading"
SUMMARY = ROOT / "out" / "reading.json"

SEED = 50_260_501
SETTINGS = 20
BANK = 4096
INPUTS = (
    "draw", "force_scale", "virtual_mass", "plate_offset", "plate_stiffness", "loose_push",
    "nock_height", "nock_path", "fletching_stiffness", "own_stiffness",
)  # fmt: skip
"""Unknowns whose ranks are taken: those the engine answers to most."""
BESIDE = ("aim_scatter", "bare_hit_left", "bare_stand_left", "fletched_hit_high", "model_side")
"""Unknowns that are integrated out and drawn back."""
DERIVED = ("fault's amount", "bare left of fletched", "bare above fletched")
WORDS = {
    "draw": "true draw", "force_scale": "draw force", "virtual_mass": "virtual mass",
    "plate_offset": "plate offset", "plate_stiffness": "give of the plate",
    "loose_push": "push of the fingers", "nock_height": "nocking height",
    "nock_path": "path of the nock", "fletching_stiffness": "stiffness of the fletching",
    "own_stiffness": "error of the spine reading", "aim_scatter": "scatter of the aim",
    "bare_hit_left": "engine's error, bare, where it lands",
    "bare_stand_left": "engine's error, bare, how it stands",
    "fletched_hit_high": "engine's error, fletched, height",
    "model_side": "engine's share of error, sideways",
}  # fmt: skip


# ------------------------------------------------------------------------------ the settings


def setting_of(number: int) -> Setting:
    """A bow, an archer and one arrow made anew from the invented camp; odd ones left-handed."""
    rng = np.random.default_rng((SEED, number))
    hand = "left" if number % 2 else "right"
    known = [one for one in demo.bows() if len(one.draw_readings) >= 3]
    bow: Bow = known[int(rng.integers(len(known)))]
    scale = float(rng.uniform(0.85, 1.15))
    readings = tuple(
        one.model_copy(update={"weight_lb": one.weight_lb * scale}) for one in bow.draw_readings
    )
    offset = (bow.plate_offset_in or 0.0) + float(rng.uniform(-0.05, 0.05))
    bow = bow.model_copy(
        update={
            "draw_readings": readings,
            "hand": hand,
            "plate_offset_in": offset,
            "speed_readings": (),
        }
    )
    draw_in = max(one.draw_in for one in readings) - float(rng.uniform(0.3, 1.5))
    archer = Archer(
        name="Simulated",
        hand=hand,
        draw_length_in=draw_in,
        draw_measured=bow.draw_measured,
        draw_method="marked arrow" if rng.random() < 0.7 else "told",
        loose="steady" if rng.random() < 0.5 else "unsteady",
        hook="split finger" if rng.random() < 0.8 else "three under",
        experience=(None, "experienced", "beginner")[int(rng.integers(3))],
        invented=True,
    )
    distance_yd = (10.0, 15.0, 20.0)[int(rng.integers(3))]
    wish = wish_of(bow, archer, "target", distance_yd, 125.0, None, None, None, None, None, None, 1)
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    job = Session(bow, archer, [], [], wish, loose, draw, silent)
    stiff = job.weight_lb * float(rng.uniform(0.75, 1.15))
    own = bridge.uniform_profile(
        spines.stiffness_from_spine_pounds(stiff),
        job.mass_per_inch * units.GRAIN / units.INCH,
        11.0 / 32.0 * units.INCH,
        (job.length_in + 1.0) * units.INCH,
    )
    profile = replace(own, stiffness_error=0.03, mass_error=0.01)
    length = job.length_in * units.INCH
    parts = bridge.parts(125.0, wish.fletching)
    none = bridge.parts(125.0, Fletching(material="none"))
    return Setting(
        job, [Case("", False, profile, length, parts), Case("", True, profile, length, none)]
    )


def truths_of(setting: Setting, number: int, each: int) -> Worlds:
    """What is true in the outings of a setting: worlds from the prior, shot."""
    truth = setting.drawn(max(64, 1 << (each - 1).bit_length()), SEED + 77 + number)
    setting.shoot_all(truth, "truths")
    return truth


def bank_of(setting: Setting, number: int, count: int = BANK) -> Worlds:
    """Worlds from the prior, shot: the first round of every outing of a setting."""
    bank = setting.drawn(count, SEED + 1000 * number, None, weigh.FIRST_CHANCES)
    setting.shoot_all(bank, "bank")
    return bank


# ------------------------------------------------------------------------------ the truths


@dataclass(frozen=True)
class Plan:
    """What is shot and looked at in one simulated outing."""

    fletched: int
    bare: int
    eye: bool
    angles: bool
    marks: bool
    speed: bool
    ruler_in: float


def plan_of(rng: np.random.Generator) -> Plan:
    """3 to 12 shots, mostly both kinds, looked at as people do."""
    total = int(rng.integers(3, 13))
    bare = int(np.clip(rng.integers(1, 5), 1, total - 1)) if rng.random() < 0.85 else 0
    how = rng.random()
    return Plan(
        total - bare, bare, how < 0.7, how > 0.9, rng.random() < 0.3, rng.random() < 0.2,
        float(rng.choice((0.25, 0.5, 1.0))),
    )  # fmt: skip


def _called(angle: float, rng: np.random.Generator, words: tuple[str, str, str]) -> str:
    seen = angle + evidence.EYE_ERROR * rng.standard_normal()
    if rng.random() < evidence.SLIP:
        return words[int(rng.integers(3))]
    return words[0] if seen > evidence.EYE_LIMIT else words[2] if seen < -evidence.EYE_LIMIT else (
        words[1]
    )  # fmt: skip


def outing_of(
    setting: Setting,
    truth: Worlds,
    place: int,
    plan: Plan,
    rng: np.random.Generator,
    scatter: list[worlds.Scatter] | None = None,
) -> Outing:
    """The shots that a truth would give: each from the engine with its own loose.

    With ``scatter`` they are drawn as the reading itself takes them instead: normal about the
    middle shot. Only then must ranks be exactly uniform.
    """
    one = weigh.taken(truth, np.array([place]))
    aim = float(one.values["aim_scatter"][0]) * setting.distance
    if scatter is None:
        # At the range the archer aims so that the arrows come near the mark.
        first = one.seen[0 if plan.fletched else 1]
        away = np.array([first.hit_left[0], first.hit_high[0]]) / setting.distance
        off = -away + 0.005 * rng.standard_normal(2)
    else:
        off = np.array([evidence.AIM_OFF_SIDE, evidence.AIM_OFF_HEIGHT]) * rng.standard_normal(2)
    shots: list[ShotSeen] = []
    speed_error = 0.03 * rng.standard_normal()
    for case, own, count in zip(setting.cases, one.seen, (plan.fletched, plan.bare), strict=True):
        if count == 0:
            continue
        k = setting.cases.index(case)
        if scatter is None:
            many = {key: np.repeat(value, count) for key, value in one.values.items()}
            seen = setting.shoot(_scattered(setting, many, rng), case, "truth")
            fine = seen.good
        else:
            wide, fine = scatter[k], np.ones(count, dtype=bool)
            seen = worlds.Seen(
                own.hit_left + wide.hit_left * rng.standard_normal(count),
                own.hit_high + wide.hit_high * rng.standard_normal(count),
                own.stand_left + wide.stand_left * rng.standard_normal(count),
                own.stand_high + wide.stand_high * rng.standard_normal(count),
                np.repeat(own.knock, count), np.repeat(own.speed, count),
                np.repeat(own.swing, count), fine,
            )  # fmt: skip
        said = {}
        for what in ("hit_left", "hit_high", "stand_left", "stand_high"):
            # The engine's own error belongs to the middle shot, the loose comes on top.
            middle = weigh.middle_of(one.values, case, own, what, setting.distance)
            said[what] = middle + getattr(seen, what) - getattr(own, what)
        shots += [
            _shot(
                setting, case, said, seen, int(i), plan, aim, off, speed_error, rng, scatter is None
            )
            for i in np.flatnonzero(fine)
        ]
    return Outing(
        name="simulated", bow="simulated", archer="simulated", on=datetime.date(2026, 5, 1),
        distance_yd=setting.distance / units.YARD, shots=tuple(shots), invented=True,
    )  # fmt: skip


def _scattered(
    setting: Setting, many: dict[str, Array], rng: np.random.Generator
) -> dict[str, Array]:
    """Worlds with the loose of one shot each on top."""
    n = len(many["draw"])
    for one in setting.job.loose.shots:
        each = one.at(rng.random(n))
        many[one.key] = many[one.key] + each if one.key in many else each
    return many


def _shot(
    setting: Setting, case: Case, said: dict[str, Array], seen: worlds.Seen, i: int, plan: Plan,
    aim: float, off: Array, speed_error: float, rng: np.random.Generator,
    checked: bool,
) -> ShotSeen:  # fmt: skip
    ruler = plan.ruler_in * units.INCH
    noise = math.hypot(aim, ruler) * rng.standard_normal(2)
    told: dict[str, object] = {
        "bare": case.bare,
        "left_in": float(said["hit_left"][i] + noise[0] + off[0] * setting.distance) / units.INCH,
        "high_in": float(said["hit_high"][i] + noise[1] + off[1] * setting.distance) / units.INCH,
        "place_error_in": plan.ruler_in,
    }
    if plan.eye:
        told["nock_sideways"] = _called(said["stand_left"][i], rng, ("left", "straight", "right"))
        told["nock_upright"] = _called(said["stand_high"][i], rng, ("high", "straight", "low"))
    if plan.angles:
        wide = math.radians(4.0)
        for key, what in (("nock_left_deg", "stand_left"), ("nock_high_deg", "stand_high")):
            read = said[what][i] + wide * rng.standard_normal()
            if rng.random() < evidence.SLIP:
                read = rng.uniform(-1.0, 1.0) * math.radians(60.0)
            told[key] = float(np.clip(np.degrees(read), -80.0, 80.0))
        told["angle_error_deg"] = 4.0
    if plan.marks:
        ratio = max(float(seen.knock[i]), 1e-9) / evidence.MARK_HALF
        miss, false = evidence.MARK_MISS, evidence.MARK_FALSE
        chance = false + (1.0 - miss - false) / (1.0 + ratio**-evidence.MARK_SHARP)
        told["marks"] = ("feather worn",) if rng.random() < chance else ("none",)
    if plan.speed:
        told["speed_fps"] = float(seen.speed[i]) * (1.0 + speed_error) / units.FPS
        told["speed_error_percent"] = 3.0
    if not checked:
        # Drawn as assumed, a place may lie farther out than anybody would write down.
        return ShotSeen.model_construct(**told)  # type: ignore[arg-type]
    return ShotSeen.model_validate(told)


def true_cause(setting: Setting, truth: Worlds, place: int) -> str:
    """The key of the cause that a truth has."""
    one = weigh.taken(truth, np.array([place]))
    fault = faults.FAULTS[int(one.fault[0])]
    if fault.key == faults.NONE:
        return weigh.TACKLE[int(weigh.acts(setting, one)[0])][0]
    if not fault.both_ways:
        return fault.key
    return f"{fault.key} {'+' if one.amount[0] > 0.0 else '-'}"


# ------------------------------------------------------------------------------ one outing read


def rank_of(below: Array, weight: Array, rng: np.random.Generator) -> float:
    """Where the truth lies among weighted samples, ties broken evenly: from 0 to 1."""
    less = float(weight[below < 0.0].sum())
    alike = float(weight[below == 0.0].sum())
    return less + rng.random() * alike


def bare_off(setting: Setting, one: Worlds, what: str) -> Array:
    """Where the bare shaft lands from the fletched ones, engine's error included. [m]"""
    middles = [
        weigh.middle_of(one.values, case, seen, f"hit_{what}", setting.distance)
        for case, seen in zip(setting.cases, one.seen, strict=True)
    ]
    return middles[1] - middles[0]


def read(setting: Setting, bank: Worlds | None, outing: Outing, seed: int) -> weigh.Reading:
    """The reading of an outing, from a bank where there is one."""
    return weigh.weigh(setting, outing, seed, silent, bank)


def ranks(
    setting: Setting, reading: weigh.Reading, truth: Worlds, place: int, rng: np.random.Generator
) -> dict[str, float]:
    """Ranks of the truth among what the reading holds possible, by the words of the unknown."""
    own = weigh.taken(truth, np.array([place]))
    weight = reading.weighed.weight
    even = np.full(len(reading.kept), 1.0 / len(reading.kept))
    found = {}
    keys = [one.key for one in setting.unknown]
    for key in INPUTS:
        column = keys.index(key)
        off = reading.worlds.z[:, column] - own.z[0, column]
        found[WORDS[key]] = rank_of(off, weight, rng)
    found[DERIVED[0]] = rank_of(reading.worlds.z[:, -1] - own.z[0, -1], weight, rng)
    for key in BESIDE:
        found[WORDS[key]] = rank_of(reading.kept.values[key] - own.values[key][0], even, rng)
    for name, what in zip(DERIVED[1:], ("left", "high"), strict=True):
        off = bare_off(setting, reading.kept, what) - bare_off(setting, own, what)[0]
        found[name] = rank_of(off, even, rng)
    return found


def told_of(reading: weigh.Reading, true: str) -> dict[str, object]:
    """What is kept of a reading."""
    chance = {one.key: one.chance for one in reading.causes}
    return {
        "true": true,
        "named": reading.causes[0].key,
        "said": reading.causes[0].chance,
        "of_true": chance.get(true, 0.0),
        "chances": chance,
        "confident": reading.confident,
        "explained": reading.explained,
        "trusted": reading.weighed.trusted,
        "size": reading.weighed.size,
        "rounds": reading.rounds,
        "launches": reading.launches,
    }


def do_setting(number: int, each: int, kept: Path) -> list[dict[str, object]]:
    """All outings of one setting, kept in a file."""
    file = kept / f"setting_{number:02d}_{each}.json"
    if file.exists():
        return list(json.loads(file.read_text()))
    start = time.time()
    setting = setting_of(number)
    bank = bank_of(setting, number)
    rng = np.random.default_rng((SEED, number, 7))
    truth = truths_of(setting, number, each)
    good = np.all([one.good for one in truth.seen], axis=0)
    scatter = setting.scatter(bank, SEED)
    rows: list[dict[str, object]] = []
    for place in np.flatnonzero(good)[:each]:
        plan = plan_of(rng)
        row: dict[str, object] = {
            "setting": number,
            "hand": setting.job.archer.hand,
            "shots": plan.fletched + plan.bare,
            "bare": plan.bare,
        }
        for kind, wide in (("engine", None), ("own", scatter)):
            try:
                outing = outing_of(setting, truth, int(place), plan, rng, wide)
            except Refusal as error:
                row[kind] = {"refused": str(error)[:200]}
                continue
            reading = read(setting, bank, outing, SEED + 13 * int(place))
            told = told_of(reading, true_cause(setting, truth, int(place)))
            told["ranks"] = ranks(setting, reading, truth, int(place), rng)
            row[kind] = told
            if kind == "engine":
                row["place"] = int(place)
                row["outing"] = outing.model_dump(mode="json")
        rows.append(row)
    kept.mkdir(parents=True, exist_ok=True)
    file.write_text(json.dumps(rows))
    print(f"setting {number} ({setting.job.archer.hand}-handed): {len(rows)} outings, "
          f"{time.time() - start:.0f} s", flush=True)  # fmt: skip
    return rows


# ------------------------------------------------------------------------------ the whole way

JUDGED = 64
"""Shots of the true archer by which an advised change is judged."""


def do_whole(number: int, each: int, count: int, rows: list[dict[str, object]], kept: Path) -> None:
    """Some outings of a setting the whole way, put into their rows; kept in a file."""
    file = kept / f"whole_{number:02d}_{each}_{count}.json"
    if not file.exists():
        setting = setting_of(number)
        truth = truths_of(setting, number, each)
        found = [
            do_full(setting, Outing.model_validate(row["outing"]), truth, int(str(row["place"])))
            for row in [one for one in rows if "outing" in one][:count]
        ]
        file.write_text(json.dumps(found))
        print(f"setting {number}: {len(found)} the whole way", flush=True)
    told = json.loads(file.read_text())
    for row, one in zip([one for one in rows if "outing" in one], told, strict=False):
        row["full"] = one


def do_full(setting: Setting, outing: Outing, truth: Worlds, place: int) -> dict[str, object]:
    """An outing read without the bank, with its next step judged in the true world."""
    started = time.time()
    reading = read(setting, None, outing, SEED + 5 * place)
    told = told_of(reading, true_cause(setting, truth, place))
    told["seconds"] = time.time() - started
    advice = step.next_step(reading, silent)
    told["seconds_step"] = time.time() - started - float(told["seconds"])  # type: ignore[arg-type]
    told["step"], told["words"] = advice.kind, advice.words
    if advice.kind == "change":
        chosen = next(one for one in advice.tried if one.option.words == advice.words)
        told["expected_gain"] = chosen.gain
        one = weigh.taken(truth, np.array([place]))
        rng = np.random.default_rng((SEED, place))
        many = {key: np.repeat(value, JUDGED) for key, value in one.values.items()}
        many = _scattered(setting, many, rng)
        fletched, bare = setting.cases
        shot_bare = bare if any(shot.bare for shot in outing.shots) else None
        before = step._good(setting, many, fletched, shot_bare)
        values, case = chosen.option.apply(many, fletched)
        after = step._good(setting, values, case, shot_bare)
        gain = after.astype(np.float64) - before
        told["true_gain"] = float(gain.mean())
        told["true_gain_error"] = float(gain.std() / math.sqrt(JUDGED))
    return told


# ------------------------------------------------------------------------------ the page


def uniform_test(ranks_: Array, bins: int = 10) -> tuple[float, float]:
    """Chi-square of ranks against even bins, and its chance."""
    from scipy.stats import chisquare

    counts, _ = np.histogram(ranks_, bins=bins, range=(0.0, 1.0))
    found = chisquare(counts)
    return float(found.statistic), float(found.pvalue)


def _calibration(rows: list[dict[str, object]]) -> list[str]:
    edges = (0.0, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.01)
    lines = [
        "| said | outings | said on average | was the true one |",
        "|---|---|---|---|",
    ]
    said = np.array([float(one["said"]) for one in rows])  # type: ignore[arg-type]
    right = np.array([one["named"] == one["true"] for one in rows])
    for low, high in itertools.pairwise(edges):
        here = (said >= low) & (said < high)
        if here.any():
            n = int(here.sum())
            share = float(right[here].mean())
            error = math.sqrt(max(share * (1.0 - share), 0.25 / n) / n)
            lines.append(
                f"| {100 * low:.0f} to {min(100 * high, 100):.0f} % | {n} "
                f"| {100 * said[here].mean():.0f} % | {100 * share:.0f} ± {100 * error:.0f} % |"
            )
    return lines


def _every_chance(rows: list[dict[str, object]]) -> list[str]:
    """Every chance that was said of every cause, against how often it was the true one."""
    pairs = [
        (float(chance), key == one["true"])
        for one in rows
        for key, chance in dict(one["chances"]).items()  # type: ignore[call-overload]
    ]
    said = np.array([one[0] for one in pairs])
    right = np.array([one[1] for one in pairs])
    lines = ["| said | times | said on average | came true |", "|---|---|---|---|"]
    edges = (0.0, 0.01, 0.03, 0.1, 0.2, 0.4, 0.6, 0.8, 1.01)
    for low, high in itertools.pairwise(edges):
        here = (said >= low) & (said < high)
        if here.any():
            n = int(here.sum())
            share = float(right[here].mean())
            error = math.sqrt(max(share * (1.0 - share), 1.0 / n) / n)
            lines.append(
                f"| {100 * low:.0f} to {min(100 * high, 100):.0f} % | {n} "
                f"| {100 * said[here].mean():.1f} % | {100 * share:.1f} ± {100 * error:.1f} % |"
            )
    return lines


def summary_of(rows: list[dict[str, object]]) -> dict[str, object]:
    """The figures of the page."""
    found: dict[str, object] = {}
    for kind in ("engine", "own"):
        told = [dict(one[kind]) for one in rows if "named" in dict(one[kind])]  # type: ignore[call-overload]
        right = [one["named"] == one["true"] for one in told]
        sure = [one for one in told if one["confident"]]
        wrong = [one for one in sure if one["named"] != one["true"]]
        names = list(told[0]["ranks"])
        tests, coverage = {}, {}
        for name in names:
            u = np.array([one["ranks"][name] for one in told])
            tests[name] = uniform_test(u)
            coverage[name] = [
                float(np.mean(np.abs(u - 0.5) <= half / 2)) for half in (0.5, 0.8, 0.95)
            ]
        every = np.concatenate([[one["ranks"][name] for name in names] for one in told])
        found[kind] = {
            "outings": len(told),
            "right": float(np.mean(right)),
            "said": float(np.mean([one["said"] for one in told])),
            "of_true": float(np.mean([one["of_true"] for one in told])),
            "sure": len(sure),
            "wrong": len(wrong),
            "trusted": float(np.mean([one["trusted"] for one in told])),
            "explained": float(np.mean([one["explained"] for one in told])),
            "tests": tests,
            "all": uniform_test(every, 20),
            "coverage": coverage,
        }
    return found


UPRIGHT_IN = (-0.375, -0.25, -0.125, -0.0625, 0.0, 0.0625, 0.125, 0.25, 0.375)
STIFFER = (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
OUTWARD_IN = (-0.125, -0.0625, 0.0, 0.0625, 0.125)


def camp_setting(bow: Bow, archer: Archer, hand: str) -> Setting:
    """A pair of the camp in either hand, with a shaft of as many pounds as the bow draws."""
    bow, archer = (one.model_copy(update={"hand": hand}) for one in (bow, archer))
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    wish = wish_of(bow, archer, "target", 20.0, 125.0, None, None, None, None, None, None, 1)
    job = Session(bow, archer, [], [], wish, loose, draw, silent)
    own = bridge.uniform_profile(
        spines.stiffness_from_spine_pounds(job.weight_lb),
        job.mass_per_inch * units.GRAIN / units.INCH,
        11.0 / 32.0 * units.INCH,
        (job.length_in + 1.0) * units.INCH,
    )
    length = job.length_in * units.INCH
    parts = bridge.parts(125.0, wish.fletching)
    none = bridge.parts(125.0, Fletching(material="none"))
    return Setting(job, [Case("", False, own, length, parts), Case("", True, own, length, none)])


def middles_of(setting: Setting, count: int) -> dict[str, Array]:
    """Every input at its middle, so many times, without a fault."""
    world = setting.drawn(2, 1)
    found = {one.key: np.full(count, one.middle) for one in setting.unknown}
    for key in ("nock_pinch", "pluck", "hand_turn", "mass_scale", "reach_scale"):
        usual = {"mass_scale": 1.0, "reach_scale": 1.0}.get(key, 0.0)
        found[key] = np.full(count, usual)
    found["stiffness_scale"] = np.ones(count)
    found["nock_pinch"] = np.full(count, setting.cases[0].model.parts.nock_pinch)
    missing = set(world.values) - set(found) - {one.key for one in setting.beside}
    assert not missing, missing
    return found


def _apart(setting: Setting, values: dict[str, Array]) -> tuple[worlds.Seen, Array, Array]:
    """The bare shot, and how far left and high of the fletched one it lands. [in]"""
    fletched, bare = (setting.shoot(values, case, "table") for case in setting.cases)
    return (
        bare,
        (bare.hit_left - fletched.hit_left) / units.INCH,
        (bare.hit_high - fletched.hit_high) / units.INCH,
    )


def _table(
    settings: dict[str, Setting], name: str, steps: tuple[float, ...], key: str
) -> tuple[list[str], float]:
    """Bare against fletched over one change; and the most that the hands differ but for sign."""
    told: dict[str, tuple[worlds.Seen, Array, Array]] = {}
    for word, setting in settings.items():
        values = middles_of(setting, len(steps))
        change = np.array(steps)
        if key == "nocking":
            values["nock_height"] = values["nock_height"] + change * units.INCH
            values["nock_path"] = values["nock_path"] + change * units.INCH / setting.draw
        elif key == "stiffness":
            values["stiffness_scale"] = np.exp(change)
        else:
            values["plate_offset"] = values["plate_offset"] + change * units.INCH
        told[word] = _apart(setting, values)
    right, left = told["right"], told["left"]
    apart = max(
        float(np.max(np.abs(right[1] + left[1]))),
        float(np.max(np.abs(right[2] - left[2]))),
        float(np.degrees(np.max(np.abs(right[0].stand_left + left[0].stand_left)))),
    )
    lines = [
        f"| {name} | lands left | lands high | nock left | nock high | tail knock |",
        "|---|---|---|---|---|---|",
    ]
    bare = right[0]
    for k, step_ in enumerate(steps):
        lines.append(
            f"| {step_:+.3g} | {right[1][k]:+.1f} in | {right[2][k]:+.1f} in "
            f"| {np.degrees(bare.stand_left[k]):+.0f}° | {np.degrees(bare.stand_high[k]):+.0f}° "
            f"| {bare.knock[k]:.0f} mN s |"
        )
    return lines, apart


def upright_lines() -> list[str]:
    """Where bare shafts land and how they stand, against what the trade says."""
    lines = [
        "## Bare against fletched in the engine, and what the trade says",
        "",
        "Two pairs of the camp at 20 yd, everything else at its middle and no scatter; a bare",
        "shaft against the fletched one of the same make, right-handed. Trade (common practice, no",
        "source): bare low tells of a nocking point too high, bare high of one too low; left acts",
        "stiff, right acts weak (right-handed); a tail nocked too low can bounce and read high.",
        "",
    ]
    apart = 0.0
    for bow_name, archer_name in demo.PAIRS:
        bow = next(one for one in demo.bows() if one.name == bow_name)
        archer = next(one for one in demo.archers() if one.name == archer_name)
        settings = {hand: camp_setting(bow, archer, hand) for hand in ("right", "left")}
        lines += [f"**{bow_name} and {archer_name}**", ""]
        for name, steps, key in (
            ("nocking point, in above tuned", UPRIGHT_IN, "nocking"),
            ("shaft stiffer, ln", STIFFER, "stiffness"),
            ("plate farther out, in", OUTWARD_IN, "plate"),
        ):
            rows, off = _table(settings, name, steps, key)
            lines += [*rows, ""]
            apart = max(apart, off)
    same = (
        f"Left-handed the same with left and right exchanged: they differ by {apart:.1g} at most."
    )
    return [*lines, same, "", *UPRIGHT_TOLD.splitlines(), ""]


UPRIGHT_TOLD = """\
What agrees: the higher the nocking point above the tuned one, the lower the bare shaft lands, and
a stiffer shaft moves it to the left (right-handed) for as long as it bends round the bow; far too
stiff it knocks and comes back.

What agrees with the trade's caution but not with its rule: below the tuned point the tail strikes
the shelf at once, and the bare shaft lands low again, lower than from a point too high by as much.
*Bare high* is only seen within about 1/16 in of the tuned point. The reason is plain: an arrow
pushed exactly along its own line slides on the shelf to its end, so that one nocked lower has no
room there. Bare low alone does not tell the two apart; the knock does, and so does raising the
nocking point once. The reading therefore names both, and advises that test instead of a change
until one way is three times as likely as the other. Whether real shelves, which give and are
rounded, throw the tail up as hard as the engine's is not known: no measurement was found.

How the nock stands changes its sign more often than the place and is the worse evidence."""


def page_of(rows: list[dict[str, object]]) -> str:
    """The whole page."""
    found = summary_of(rows)
    lines = [
        "# Simulated outings: is the reading of the target as right as it says?",
        "",
        "Written by `builders/outings.py`; run it again for the same page. Every outing has a bow",
        "and an archer made anew from the invented camp, one in two left-handed, and a truth drawn",
        "from the priors of [inference.md](inference.md): so this asks whether the reckoning is",
        "honest about what it assumes, not whether the assumptions hold at your range. *Shot by",
        "the engine*: every shot comes from the engine with its own loose, the ruler errs, the eye",
        "slips; the reading takes the loose as normal and alike in all worlds, and may be off by",
        "that. *As assumed*: shots are drawn as the reading takes them; then ranks must be even",
        "(simulation-based calibration: Talts et al. 2018, arXiv 1804.06788).",
        "",
    ]
    words = {"engine": "shot by the engine", "own": "as assumed"}
    lines += ["| | " + " | ".join(words.values()) + " |", "|---|---|---|"]

    def both(name: str, text: str) -> str:
        return f"| {name} | " + " | ".join(text.format(**dict(found[k])) for k in words) + " |"  # type: ignore[call-overload]

    lines += [
        both("outings", "{outings}"),
        both("named cause is the true one", "{right:.0%}"),
        both("chance said of the named cause, on average", "{said:.0%}"),
        both("chance said of the true cause, on average", "{of_true:.0%}"),
        both("sure (80 % or more)", "{sure}"),
        both("sure and wrong", "{wrong}"),
        both("weights trusted", "{trusted:.1%}"),
        both("taken as explained by the engine", "{explained:.1%}"),
    ]
    for kind, name in words.items():
        n = int(dict(found[kind])["outings"])  # type: ignore[call-overload]
        wrong = int(dict(found[kind])["wrong"])  # type: ignore[call-overload]
        lines += [
            "",
            (
                f"Wrong and sure, {name}: {wrong} of {n} outings, {100 * wrong / n:.1f} % "
                f"(wanted: under 3 %)."
            ),
        ]
    engine = [dict(one["engine"]) for one in rows if "named" in dict(one["engine"])]  # type: ignore[call-overload]
    lines += ["", "## The named cause, shot by the engine", "", *_calibration(engine)]
    lines += ["", "## Every chance said of every cause, shot by the engine", ""]
    lines += _every_chance(engine)
    lines += ["", "## By hand and by what was shot, shot by the engine", ""]
    lines += ["| | outings | named right | said | sure and wrong |", "|---|---|---|---|---|"]
    for word, pick in (
        ("right-handed", lambda one: one["hand"] == "right"),
        ("left-handed", lambda one: one["hand"] == "left"),
        ("with bare shafts", lambda one: int(one["bare"]) > 0),
        ("fletched only", lambda one: int(one["bare"]) == 0),
        ("3 to 5 shots", lambda one: int(one["shots"]) <= 5),
        ("9 to 12 shots", lambda one: int(one["shots"]) >= 9),
    ):
        some = [dict(one["engine"]) for one in rows if pick(one) and "named" in dict(one["engine"])]  # type: ignore[call-overload,no-untyped-call]
        if some:
            right = np.mean([one["named"] == one["true"] for one in some])
            said = np.mean([one["said"] for one in some])
            bad = sum(bool(one["confident"]) and one["named"] != one["true"] for one in some)
            lines.append(f"| {word} | {len(some)} | {right:.0%} | {said:.0%} | {bad} |")
    lines += [
        "",
        "## Ranks and intervals",
        "",
        "Chi-square over 10 even bins of the rank with its chance p, and how often the interval",
        "said to hold so much held the truth. A small p in the right half would be a fault of the",
        "reckoning.",
        "",
        "| unknown | engine: p | 50 % | 80 % | 95 % | as assumed: p | 50 % | 80 % | 95 % |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    tests = {kind: dict(dict(found[kind])["tests"]) for kind in words}  # type: ignore[call-overload]
    cover = {kind: dict(dict(found[kind])["coverage"]) for kind in words}  # type: ignore[call-overload]
    for name in tests["own"]:
        cells = []
        for kind in words:
            cells.append(f"{tests[kind][name][1]:.3f}")
            cells += [f"{100 * one:.0f} %" for one in cover[kind][name]]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    count = len(tests["own"])
    failed = [name for name, one in tests["own"].items() if one[1] < 0.05 / count]
    off = [name for name, one in tests["engine"].items() if one[1] < 0.05 / count]
    lines += [
        "",
        (
            f"Below 0.05 over {count} unknowns (Bonferroni) fall, as assumed: "
            f"{', '.join(failed) or 'none'}; shot by the engine: {', '.join(off) or 'none'}."
        ),
        "",
    ]
    for kind, name in words.items():
        stat, p = dict(found[kind])["all"]  # type: ignore[call-overload]
        lines.append(f"All ranks together, {name}: chi-square {stat:.1f} over 20 bins, p {p:.3f} "
                     "(unknowns of one outing are not quite independent).")  # fmt: skip
        lines.append("")
    lines += _full_lines(rows)
    lines += upright_lines()
    return "\n".join(lines) + "\n"


def _full_lines(rows: list[dict[str, object]]) -> list[str]:
    full = [(dict(one["engine"]), dict(one["full"])) for one in rows if "full" in one]  # type: ignore[call-overload]
    full = [one for one in full if "named" in one[0]]
    if not full:
        return []
    gaps = np.array([
        abs(float(a["chances"][key]) - float(b["chances"].get(key, 0.0)))
        for a, b in full
        for key in a["chances"]
    ])  # fmt: skip
    same = np.mean([a["named"] == b["named"] for a, b in full])
    seconds = np.array([float(b["seconds"]) for _, b in full])
    launches = np.array([float(b["launches"]) for _, b in full])
    change = [b for _, b in full if b["step"] == "change"]
    worse = [b for b in change if float(b["true_gain"]) < -2.0 * float(b["true_gain_error"]) - 0.02]
    sure = [b for b in change if b["confident"]]
    kinds = {k: sum(b["step"] == k for _, b in full) for k in sorted({b["step"] for _, b in full})}
    gain = np.mean([float(b["true_gain"]) for b in change]) if change else 0.0
    hoped = np.mean([float(b["expected_gain"]) for b in change]) if change else 0.0
    kinds_told = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    told = [
        f"{len(full)} outings were read without a bank, and their next step was judged by {JUDGED}",
        "shots of the true archer before and after.",
        f"Bank and whole way name the same cause in {same:.0%}; their chances differ by",
        f"{gaps.mean():.3f} on average and {gaps.max():.2f} at most.",
        f"Launches: {launches.mean():.0f} on average, {launches.max():.0f} at most;",
        f"{np.median(seconds):.0f} s by median, {seconds.max():.0f} s at most for the causes, on",
        "the busy machine where this was run.",
        "",
        f"Steps: {kinds_told}. Advised changes were expected to bring {100 * hoped:.0f} more clean",
        f"shots of 100 and brought {100 * gain:.0f}.",
        f"{len(worse)} of {len(change)} made the truth worse beyond its error,",
        f"{sum(b in worse for b in sure)} of the {len(sure)} advised while sure of the cause.",
    ]
    return ["## The whole way, without the bank", "", *told, ""]


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--outings", type=int, default=500)
    parser.add_argument("--full", type=int, default=40)
    parser.add_argument("--settings", type=int, default=SETTINGS)
    parser.add_argument("--anew", action="store_true")
    chosen = parser.parse_args()
    if chosen.anew:
        shutil.rmtree(KEPT, ignore_errors=True)
    each = math.ceil(chosen.outings / chosen.settings)
    rows: list[dict[str, object]] = []
    for number in range(chosen.settings):
        full = math.ceil(chosen.full * (number + 1) / chosen.settings) - math.ceil(
            chosen.full * number / chosen.settings
        )
        own = do_setting(number, each, KEPT)
        if full:
            do_whole(number, each, full, own, KEPT)
        rows += own
    rows = rows[: chosen.outings]
    SUMMARY.write_text(json.dumps(summary_of(rows), indent=1))
    PAGE.write_text(page_of(rows))
    print(PAGE)


if __name__ == "__main__":
    main()
