"""How long the plan of a class takes: invented classes of three sizes, and how each was proven.

    python benchmarks/classes.py [--quick]

Times belong to the machine and to what else it does; nothing here passes or fails.
"""

from __future__ import annotations

import argparse
import datetime
import os
import sys
import time
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from loosewell.records import (
    Arrow,
    ArrowSet,
    BenchReading,
    Bow,
    ClassRoster,
    DrawReading,
    Inspection,
    Pupil,
    SetMember,
    Shaft,
)
from loosewell.workshop import classes

DAY = datetime.date(2026, 3, 7)
SIZES = ((14, 7, 90), (30, 15, 200), (60, 30, 400))


def invented(
    people: int, bows: int, arrows: int, seed: int = 1
) -> tuple[ClassRoster, list[Bow], list[ArrowSet], list[Shaft], list[Arrow]]:
    """A made-up class: children and adults, light bows and stronger ones, sets of eight arrows.

    Parameters
    ----------
    people, bows, arrows : int
        How many. [count]
    seed : int
        Of the draws. [-]

    Returns
    -------
    roster, bows, sets, shafts, arrows : ClassRoster and lists
        Everything marked as invented. [trade units]
    """
    rng = np.random.default_rng(seed)
    roster_people = []
    for i in range(people):
        child = i % 3 == 0
        draw = rng.uniform(19.0, 23.5) if child else rng.uniform(23.0, 27.0)
        strength = rng.uniform(14.0, 22.0) if child else rng.uniform(22.0, 45.0)
        roster_people.append(
            Pupil(
                name=f"P{i + 1}",
                hand="left" if rng.random() < 0.12 else "right",
                draw_length_in=round(float(draw) * 4) / 4,
                draw_measured="true",
                draw_method="marked arrow",
                draw_date=DAY - datetime.timedelta(days=20),
                child=child,
                experience="beginner" if rng.random() < 0.8 else "experienced",
                strength_lb=round(float(strength)),
            )
        )
    rack_bows = []
    for i in range(bows):
        weight, limit = float(rng.uniform(11.0, 34.0)), float(rng.uniform(25.0, 28.0))
        draws = (limit - 8.0, limit - 4.0, limit - 0.5)
        rack_bows.append(
            Bow(
                name=f"B{i + 1}",
                make="plain wooden",
                hand="left" if i % 8 == 7 else ("either" if i % 5 == 4 else "right"),
                length_in=62.0,
                brace_height_in=6.0,
                draw_measured="true",
                draw_readings=tuple(
                    DrawReading(
                        draw_in=round(d, 2),
                        weight_lb=round(weight * (d - 5.5) / (limit - 6.0), 1),
                        weight_error_lb=1.0,
                    )
                    for d in draws
                ),
                drawn_to_limit_in=round(limit, 2),
                plate_offset_in=0.35,
                string_material="polyester",
                loaner=True,
                invented=True,
            )
        )
    shafts, built, sets = [], [], []
    for k in range(arrows // 8):
        middle, length = float(rng.uniform(14.0, 40.0)), float(rng.uniform(25.5, 31.5))
        length = round(length * 2) / 2
        members = []
        for m in range(8):
            name = f"S{k + 1}-{m + 1}"
            spine = max(middle + float(rng.normal(0.0, 1.2)), 13.0)
            # A weak shaft takes a lighter load, so that it bends less than a tenth of the span.
            load = 2.0 if spine > 16.0 else 1.0
            shafts.append(
                Shaft(
                    name=name,
                    kind="solid",
                    length_in=length + 0.25,
                    weight_gr=round(9.5 * length),
                    bench_readings=(
                        BenchReading(
                            span_in=26.0,
                            load_lb=load,
                            deflection_in=round(26.0 / spine * load / 2.0, 3),
                        ),
                    ),
                    inspection=Inspection(on=DAY - datetime.timedelta(days=3), result="passed"),
                    invented=True,
                )
            )
            built.append(
                Arrow(
                    name=f"A{k + 1}-{m + 1}",
                    shaft=name,
                    length_in=length,
                    point_weight_gr=70.0 if middle < 28.0 else 100.0,
                    weight_gr=round(9.5 * length) + 110.0,
                    invented=True,
                )
            )
            members.append(SetMember(shaft=name))
        sets.append(ArrowSet(name=f"Set {k + 1}", members=tuple(members), invented=True))
    roster = ClassRoster(name="Invented class", on=DAY, people=tuple(roster_people), invented=True)
    return roster, rack_bows, sets, shafts, built


def main() -> None:
    """The table, on the screen and in out/."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--quick", action="store_true", help="Leave the largest class out.")
    asked = reader.parse_args()
    table = Table(title="Plan of a class (invented)", title_justify="left")
    for word in ("people", "bows", "arrows", "served", "of bows", "launches", "wall s",
                 "processor s", "proven", "misfit", "two bows"):  # fmt: skip
        table.add_column(word, justify="right")
    for size in SIZES[:-1] if asked.quick else SIZES:
        made = invented(*size)
        began, spent = time.perf_counter(), time.process_time()
        plan = classes.plan(*made)
        wall, own = time.perf_counter() - began, time.process_time() - spent
        armed = sum(1 for one in plan.lines if one.arrows)
        reserve = "-" if plan.reserve is None else (
            f"{plan.reserve.served_before}->{plan.reserve.served_after}"
            + ("" if plan.reserve.proven else " (not proven)")
        )  # fmt: skip
        table.add_row(
            *(str(one) for one in size), str(armed), str(len(plan.lines)), str(plan.launches),
            f"{wall:.1f}", f"{own:.1f}", "yes" if plan.exact else "no",
            f"{plan.wishes[-1].value:.1f}", reserve,
        )  # fmt: skip
    console = Console(width=120)
    console.print(table)
    console.print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python "
                  f"{sys.version.split()[0]}")  # fmt: skip
    out = Path(__file__).resolve().parents[1] / "out"
    out.mkdir(exist_ok=True)
    with (out / "bench_classes.txt").open("w", encoding="utf-8") as file:
        Console(file=file, width=120).print(table)


if __name__ == "__main__":
    main()
