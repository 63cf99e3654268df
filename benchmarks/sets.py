"""How long the sets of a large rack take, and whether the choice is proven to be the best.

Invented shafts: spines and masses of an ordinary bundle, read on one jig to ± 0.5 lb and
weighed to 1.5 gr. Six bows of 34 to 56 lb. The whole time is engine, surface and choice together;
the first run on a machine compiles first, and that is told apart. Where the machine has other work
to do, the cpu seconds (of both cores together) tell more than the clock.
"""

from __future__ import annotations

import datetime
import time

import numpy as np

from loosewell.records import (
    Archer,
    BenchReading,
    Bow,
    DiameterStation,
    DrawReading,
    Inspection,
    Shaft,
)
from loosewell.workshop import sets

PASSED = Inspection(result="passed", on=datetime.date(2026, 3, 1))


def rack(count: int, seed: int, thick: bool = False) -> list[Shaft]:
    """An invented bundle: spine and mass go together somewhat, as in any wood.

    Thick ones (23/64 in) are not the plain shaft of the surface: each is shot as it is.
    """
    rng = np.random.default_rng(seed)
    spine = np.clip(rng.normal(44.0, 8.0, count), 24.0, 75.0)
    mass = 355.0 + 2.2 * (spine - 44.0) + rng.normal(0.0, 24.0, count)
    return [
        Shaft(
            name=f"S{k + 1}",
            kind="solid",
            length_in=32.0,
            stations=(DiameterStation(station_in=16.0, diameter_in=23 / 64),) if thick else (),
            weight_gr=round(float(m), 1),
            weight_error_gr=1.5,
            bench_readings=(
                BenchReading(
                    span_in=26.0,
                    load_lb=2.0,
                    deflection_in=round(26.0 / float(s), 3),
                    deflection_error_in=0.005,
                ),
            ),
            inspection=PASSED,
            invented=True,
        )
        for k, (s, m) in enumerate(zip(spine, mass, strict=True))
    ]


def want(number: int) -> sets.Want:
    """An invented bow and archer."""
    weight = (34.0, 38.0, 42.0, 47.0, 51.0, 56.0)[number % 6]
    bow = Bow(
        name=f"Bow {number + 1}",
        hand="right",
        make="plain wooden",
        length_in=68.0,
        brace_height_in=6.5,
        draw_measured="true",
        draw_readings=tuple(
            DrawReading(draw_in=draw, weight_lb=share * weight)
            for draw, share in ((16.0, 0.48), (20.0, 0.68), (24.0, 0.88), (26.5, 1.0))
        ),
        drawn_to_limit_in=27.5,
        plate_offset_in=0.3,
        invented=True,
    )
    archer = Archer(
        name=f"Archer {number + 1}",
        hand="right",
        draw_length_in=26.0,
        draw_measured="true",
        draw_method="marked arrow",
        draw_date=datetime.date(2026, 3, 1),
        loose="steady",
        experience="experienced",
        invented=True,
    )
    return sets.Want(bow, archer)


def main() -> None:
    """The table."""
    began = time.perf_counter()
    sets.choose([want(2)], rack(20, 1), size=3, seconds=30.0)
    print(f"First run, with compiling or loading: {time.perf_counter() - began:.1f} s")
    print()
    print(
        "shafts  bows  size  per bow  filled  whole s    cpu s  choice s  launches  total in"
        "  proven"
    )
    for count, bows, size, per_bow, thick in (
        (60, 2, 6, 1, False),
        (200, 1, 12, 1, False),
        (200, 6, 6, 1, False),
        (200, 6, 6, 1, True),
        (200, 6, 6, 2, False),
        (200, 6, 12, 1, False),
        (200, 6, 6, 4, False),
    ):
        chosen = 0.0

        def tell(stage: str, _: float) -> None:
            nonlocal chosen
            if stage == "choice" and chosen == 0.0:
                chosen = time.perf_counter()

        began, worked = time.perf_counter(), time.process_time()
        found = sets.choose(
            [want(k) for k in range(bows)],
            rack(count, 2, thick),
            size=size,
            per_bow=per_bow,
            seconds=60.0,
            progress=tell,
        )
        ended, worked = time.perf_counter(), time.process_time() - worked
        proven = "yes" if found.proven else f"no, within {found.gap_percent:.1f} %"
        print(
            f"{count:6d}{bows:6d}{size:6d}{per_bow:9d}{len(found.sets):8d}"
            f"{ended - began:9.1f}{worked:9.1f}{ended - chosen:10.1f}{found.launches:10d}"
            f"{found.total_in:10.2f}  {proven}{', each shot as it is' if thick else ''}",
            flush=True,
        )


if __name__ == "__main__":
    main()
