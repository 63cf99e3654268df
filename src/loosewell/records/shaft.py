"""The shaft on the rack, as the bench can measure it."""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from typing import Annotated, Literal

from pydantic import model_validator

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.records import bounds
from loosewell.records.base import Day, Name, Number, Record, Remarks, ShortText, within

ShaftKind = Literal["solid", "tube", "cane", "shoot", "joined"]
InspectionResult = Literal["passed", "failed", "incomplete"]
CheckWhat = Literal[
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
Finding = Literal["fine", "fault", "not looked at"]

# Usual errors at a home bench (common practice, no source).
USUAL_DEFLECTION_ERROR_IN = 1.0 / 64.0
USUAL_LOAD_ERROR = 0.015
USUAL_SPAN_ERROR_IN = 0.125
# Bending stiffness in lbf·in² over the pounds of spine it stands for, from 2 lb over 26 in.
STIFFNESS_PER_SPINE_POUND = 2.0 * 26.0**3 / 48.0 / 26.0
# Beyond this share of the span a shaft is no longer bent a little (small slopes).
LARGEST_DEFLECTION_SHARE = 0.1
# Two lengths that a ruler could not tell apart count as the same.
HAIR_IN = 1.0 / 64.0
# A kitchen scale errs by about this (common practice, no source).
USUAL_WEIGHT_ERROR_GR = 15.0
# Two faces of one shaft are never further apart than this in stiffness, not even a poor shoot's.
FARTHEST_STIFFNESS_RATIO = 1.8
# Green wood may lose more than half its mass; grams typed as grains lose 15 of 16 parts.
FARTHEST_WEIGHING_RATIO = 5.0


class DiameterStation(Record):
    """Diameter at one station from the nock end; ``across_in`` a quarter turn from it."""

    station_in: Annotated[Number, within("station.station_in")]
    diameter_in: Annotated[Number, within("station.diameter_in")]
    across_in: Annotated[Number, within("station.across_in")] | None = None

    @model_validator(mode="after")
    def _is_one_shaft(self) -> DiameterStation:
        if self.across_in is not None:
            ratio = max(self.across_in, self.diameter_in) / min(self.across_in, self.diameter_in)
            if ratio > 1.5:
                raise ContradictionRefusal(
                    f"At {self.station_in:g} in from the nock end the diameters "
                    f"{self.diameter_in:g} in and {self.across_in:g} in were given for one and "
                    "the same place. Measure both again; no shaft is that flat.",
                    code="diameters-contradict",
                )
        return self

    def mean_in(self) -> float:
        """Mean of the two diameters, or the one that was measured. [in]"""
        if self.across_in is None:
            return self.diameter_in
        return 0.5 * (self.diameter_in + self.across_in)


class BenchReading(Record):
    """Deflection of the shaft at mid-span under a load hung there.

    ``jig`` is the name of the jig it was read on, ``turned`` says that the shaft
    lay end for end, its nock end at the other support.
    """

    span_in: Annotated[Number, within("bench.span_in")]
    load_lb: Annotated[Number, within("bench.load_lb")]
    deflection_in: Number
    deflection_error_in: Annotated[Number, within("bench.deflection_error_in")] | None = None
    rotation_deg: Annotated[Number, within("bench.rotation_deg")] | None = None
    jig: ShortText | None = None
    turned: bool | None = None
    on: Day | None = None

    @model_validator(mode="after")
    def _bends_a_little(self) -> BenchReading:
        if self.deflection_in == 0.0:
            raise ContradictionRefusal(
                f"A deflection of 0 in under {self.load_lb:g} lb over {self.span_in:g} in would "
                "mean a shaft that does not bend at all. Leave the reading out when it was not "
                "taken; otherwise read the middle before and after the load is hung.",
                code="deflection-zero",
            )
        bounds.check(self.deflection_in, "bench.deflection_in")
        largest = LARGEST_DEFLECTION_SHARE * self.span_in
        if self.deflection_in > largest:
            raise BoundRefusal(
                f"A deflection of {self.deflection_in:g} in over a span of {self.span_in:g} in is "
                f"more than a tenth of the span ({largest:g} in), too much to be turned into a "
                "stiffness. Hang a lighter load and read again.",
                code="deflection-too-large",
            )
        bounds.check(self.spine_lb(), "shaft.spine_lb")
        return self

    def spine_lb(self) -> float:
        """Pounds of spine (26 in span, 2 lb) this reading stands for, for the checks here. [lb]"""
        stiffness = self.load_lb * self.span_in**3 / (48.0 * self.deflection_in)
        return stiffness / STIFFNESS_PER_SPINE_POUND

    def relative_error(self) -> float:
        """Error of the stiffness from deflection, load and span, one beside the other. [share]"""
        error = self.deflection_error_in
        deflection = (USUAL_DEFLECTION_ERROR_IN if error is None else error) / self.deflection_in
        span = 3.0 * USUAL_SPAN_ERROR_IN / self.span_in
        return math.sqrt(deflection**2 + USUAL_LOAD_ERROR**2 + span**2)


class Weighing(Record):
    """Mass of the shaft on one day, as it dries or takes up water."""

    on: Day
    weight_gr: Annotated[Number, within("weighing.weight_gr")]
    weight_error_gr: Annotated[Number, within("weighing.weight_error_gr")] | None = None


class Tap(Record):
    """Bending frequencies heard when the shaft was tapped, the lowest first.

    Length and mass are those of the shaft when it was tapped. ``damping_ratio`` is
    the share of critical damping of the lowest frequency heard, ``file`` the
    recording they were found in.
    """

    frequencies_hz: tuple[Annotated[Number, within("tap.frequencies_hz")], ...]
    length_in: Annotated[Number, within("tap.length_in")]
    weight_gr: Annotated[Number, within("tap.weight_gr")]
    damping_ratio: Annotated[Number, within("tap.damping_ratio")] | None = None
    on: Day | None = None
    file: ShortText | None = None

    @model_validator(mode="after")
    def _frequencies_rise(self) -> Tap:
        if not self.frequencies_hz:
            raise MissingRefusal(
                "A tap was given without a frequency. Give at least one, in cycles a second (Hz).",
                code="tap-without-frequency",
            )
        for before, after in pairwise(self.frequencies_hz):
            if after <= before:
                raise ContradictionRefusal(
                    f"The frequencies of a tap do not rise: {after:g} Hz was given after "
                    f"{before:g} Hz. Give them from the lowest up, each once.",
                    code="frequencies-not-rising",
                )
        return self


class Check(Record):
    """One look at one thing of the shaft or of the arrow built on it."""

    what: CheckWhat
    finding: Finding
    note: ShortText | None = None


class Inspection(Record):
    """What a person found when looking the shaft over: never decided by a computation.

    ``incomplete`` is an inspection without a fault in which not everything was
    looked at; it does not pass. Without ``checks`` only the result was recorded.
    """

    result: InspectionResult
    on: Day
    by: ShortText | None = None
    note: ShortText | None = None
    checks: tuple[Check, ...] = ()

    @model_validator(mode="after")
    def _result_follows_the_checks(self) -> Inspection:
        for one, other in combinations(self.checks, 2):
            if one.what == other.what:
                raise ContradictionRefusal(
                    f"The check of {one.what} was given twice in one inspection. Give it once, "
                    "with the worse finding.",
                    code="check-twice",
                )
        faults = [one.what for one in self.checks if one.finding == "fault"]
        missed = [one.what for one in self.checks if one.finding == "not looked at"]
        if faults and self.result != "failed":
            raise ContradictionRefusal(
                f"The inspection was called {self.result}, and a fault was found in: "
                f"{', '.join(faults)}. A shaft with a fault has failed: say failed, or mend it "
                "and look again.",
                code="fault-not-failed",
            )
        if missed and self.result == "passed":
            raise ContradictionRefusal(
                f"The inspection was called passed, and this was not looked at: "
                f"{', '.join(missed)}. Look at it, or call the inspection incomplete.",
                code="passed-not-looked-at",
            )
        return self


class Joint(Record):
    """Where two parts of a shaft meet; everything but the place may be unknown.

    ``stiffness_percent`` is the bending stiffness of the jointed stretch over that
    of the plain shaft, ``give_deg_per_ftlb`` the bend angle the joint adds for each
    foot-pound, ``play_deg`` the whole angle through which it rocks freely. The
    sleeve lies half to either side of the station.
    """

    station_in: Annotated[Number, within("joint.station_in")]
    sleeve_length_in: Annotated[Number, within("joint.sleeve_length_in")] | None = None
    sleeve_weight_gr: Annotated[Number, within("joint.sleeve_weight_gr")] | None = None
    stiffness_percent: Annotated[Number, within("joint.stiffness_percent")] | None = None
    give_deg_per_ftlb: Annotated[Number, within("joint.give_deg_per_ftlb")] | None = None
    play_deg: Annotated[Number, within("joint.play_deg")] | None = None

    def rear_in(self) -> float:
        """Where the sleeve begins, or the joint itself when its sleeve is not known. [in]"""
        return self.station_in - 0.5 * (self.sleeve_length_in or 0.0)

    def front_in(self) -> float:
        """Where the sleeve ends, or the joint itself when its sleeve is not known. [in]"""
        return self.station_in + 0.5 * (self.sleeve_length_in or 0.0)


class Section(Record):
    """A stretch of a shaft made of something else: a footing, a foreshaft, a plug.

    ``stiffness_percent`` is its bending stiffness over that of the plain shaft.
    """

    from_in: Annotated[Number, within("section.from_in")]
    to_in: Annotated[Number, within("section.to_in")]
    material: ShortText | None = None
    stiffness_percent: Annotated[Number, within("section.stiffness_percent")] | None = None
    weight_gr: Annotated[Number, within("section.weight_gr")] | None = None

    @model_validator(mode="after")
    def _runs_forward(self) -> Section:
        if self.to_in <= self.from_in:
            raise ContradictionRefusal(
                f"A section was given from {self.from_in:g} in to {self.to_in:g} in, which ends "
                "where it begins or before. Give both from the nock end, the nearer one first.",
                code="section-backwards",
            )
        return self


class Shaft(Record):
    """A shaft: everything but its name may be unknown.

    ``weight_gr`` is the whole shaft, its joints and sections included.
    """

    name: Name
    kind: ShaftKind | None = None
    material: ShortText | None = None
    length_in: Annotated[Number, within("shaft.length_in")] | None = None
    stations: tuple[DiameterStation, ...] = ()
    wall_in: Annotated[Number, within("shaft.wall_in")] | None = None
    weight_gr: Annotated[Number, within("shaft.weight_gr")] | None = None
    weight_error_gr: Annotated[Number, within("shaft.weight_error_gr")] | None = None
    bench_readings: tuple[BenchReading, ...] = ()
    joints: tuple[Joint, ...] = ()
    sections: tuple[Section, ...] = ()
    kept_where: ShortText | None = None
    inspection: Inspection | None = None
    weighings: tuple[Weighing, ...] = ()
    taps: tuple[Tap, ...] = ()
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> Shaft:
        self._stations_lie_in_order()
        self._wall_fits()
        self._readings_agree()
        self._mass_is_plausible()
        self._joints_lie_inside()
        self._sections_lie_inside()
        self._parts_weigh_less()
        self._weighings_agree()
        if self.weight_error_gr is not None and self.weight_gr is None:
            raise MissingRefusal(
                f"An error of the mass of shaft {self.name} was given without the mass itself. "
                "Give --weight too.",
                code="missing-weight",
            )
        return self

    def _stations_lie_in_order(self) -> None:
        places = [one.station_in for one in self.stations]
        for before, after in pairwise(places):
            if after <= before:
                raise ContradictionRefusal(
                    f"The stations of shaft {self.name} are out of order: {after:g} in was given "
                    f"after {before:g} in. Give them from the nock end forward, each once.",
                    code="stations-out-of-order",
                )
        if self.length_in is not None and places and places[-1] > self.length_in:
            raise ContradictionRefusal(
                f"A diameter of shaft {self.name} was given at {places[-1]:g} in from the nock "
                f"end, but the shaft is only {self.length_in:g} in long. Check both lengths.",
                code="station-beyond-end",
            )

    def _wall_fits(self) -> None:
        if self.wall_in is None:
            return
        if self.kind in ("solid", "shoot"):
            raise ContradictionRefusal(
                f"Shaft {self.name} was called {self.kind}, and a wall of {self.wall_in:g} in was "
                "given, which only a tube has. Say --kind tube or leave the wall out.",
                code="wall-of-solid",
            )
        for one in self.stations:
            radius = 0.5 * min(one.diameter_in, one.across_in or one.diameter_in)
            if self.wall_in >= radius:
                raise ContradictionRefusal(
                    f"The wall of shaft {self.name}, {self.wall_in:g} in, is not thinner than the "
                    f"radius of {radius:g} in at {one.station_in:g} in from the nock end. "
                    "Measure both again, or call the shaft solid.",
                    code="wall-too-thick",
                )

    def _readings_agree(self) -> None:
        for one, other in combinations(self.bench_readings, 2):
            apart = abs(math.log(one.spine_lb() / other.spine_lb()))
            same_way = one.rotation_deg is not None and one.rotation_deg == other.rotation_deg
            same_span = abs(one.span_in - other.span_in) <= USUAL_SPAN_ERROR_IN
            allowed = math.log(FARTHEST_STIFFNESS_RATIO)
            if same_way and same_span:
                allowed = 3.0 * math.hypot(one.relative_error(), other.relative_error())
            if apart > allowed:
                raise ContradictionRefusal(
                    f"Two bench readings of shaft {self.name} contradict each other: "
                    f"{one.deflection_in:g} in over {one.span_in:g} in under {one.load_lb:g} lb "
                    f"makes {one.spine_lb():.0f} lb of spine (26 in span, 2 lb), "
                    f"{other.deflection_in:g} in over {other.span_in:g} in under "
                    f"{other.load_lb:g} lb makes {other.spine_lb():.0f} lb. Read both again and "
                    "keep the one you trust.",
                    code="readings-contradict",
                )

    def _joints_lie_inside(self) -> None:
        for one in self.joints:
            if self.length_in is not None and one.station_in >= self.length_in:
                raise ContradictionRefusal(
                    f"A joint of shaft {self.name} was given at {one.station_in:g} in from the "
                    f"nock end, but the shaft is only {self.length_in:g} in long. Check both "
                    "lengths; leave out a joint that was cut away.",
                    code="joint-outside",
                )
            beyond = self.length_in is not None and one.front_in() > self.length_in + HAIR_IN
            if one.rear_in() < -HAIR_IN or beyond:
                raise ContradictionRefusal(
                    f"The sleeve of the joint at {one.station_in:g} in on shaft {self.name} would "
                    f"reach from {one.rear_in():g} in to {one.front_in():g} in, beyond the end of "
                    "the shaft. A sleeve lies half to either side of its joint: check its length "
                    "and where the joint is.",
                    code="sleeve-outside",
                )
        for one, other in pairwise(self.joints):
            if other.station_in <= one.station_in:
                raise ContradictionRefusal(
                    f"The joints of shaft {self.name} are out of order: {other.station_in:g} in "
                    f"was given after {one.station_in:g} in. Give them from the nock end forward, "
                    "each once.",
                    code="joints-out-of-order",
                )
            if other.rear_in() < one.front_in() - HAIR_IN:
                raise ContradictionRefusal(
                    f"The sleeves of the joints at {one.station_in:g} in and "
                    f"{other.station_in:g} in on shaft {self.name} would overlap. Check their "
                    "lengths and where the joints are.",
                    code="sleeves-overlap",
                )

    def _sections_lie_inside(self) -> None:
        for one in self.sections:
            if self.length_in is not None and one.to_in > self.length_in + HAIR_IN:
                raise ContradictionRefusal(
                    f"A section of shaft {self.name} was given up to {one.to_in:g} in from the "
                    f"nock end, but the shaft is only {self.length_in:g} in long. Check both "
                    "lengths; give the section as long as it still is.",
                    code="section-outside",
                )
        for one, other in pairwise(self.sections):
            if other.from_in < one.from_in:
                raise ContradictionRefusal(
                    f"The sections of shaft {self.name} are out of order: one from "
                    f"{other.from_in:g} in was given after one from {one.from_in:g} in. Give them "
                    "from the nock end forward, each once.",
                    code="sections-out-of-order",
                )
            if other.from_in < one.to_in - HAIR_IN:
                raise ContradictionRefusal(
                    f"Two sections of shaft {self.name} overlap: one runs from {one.from_in:g} in "
                    f"to {one.to_in:g} in, the next from {other.from_in:g} in to "
                    f"{other.to_in:g} in. Let one end where the other begins.",
                    code="sections-overlap",
                )
        if self.length_in is None or all(one.stiffness_percent is None for one in self.sections):
            return
        if sum(one.to_in - one.from_in for one in self.sections) >= self.length_in - HAIR_IN:
            raise ContradictionRefusal(
                f"The sections of shaft {self.name} cover it from end to end, so that no plain "
                "shaft is left to give their stiffness in percent of. Leave out the section that "
                "is the shaft itself.",
                code="sections-cover-all",
            )

    def _parts_weigh_less(self) -> None:
        parts = sum(one.sleeve_weight_gr or 0.0 for one in self.joints)
        parts += sum(one.weight_gr or 0.0 for one in self.sections)
        if self.weight_gr is None or parts == 0.0:
            return
        error = self.weight_error_gr
        if parts > self.weight_gr + (USUAL_WEIGHT_ERROR_GR if error is None else error):
            raise ContradictionRefusal(
                f"The sleeves and sections of shaft {self.name} weigh {parts:.6g} gr together, "
                f"more than the whole shaft ({self.weight_gr:.6g} gr). Weigh the whole shaft with "
                "all its parts, and check grains against grams.",
                code="parts-heavier-than-shaft",
            )

    def _weighings_agree(self) -> None:
        for before, after in pairwise(self.weighings):
            if after.on < before.on:
                raise ContradictionRefusal(
                    f"The weighings of shaft {self.name} are out of order: {after.on.isoformat()} "
                    f"was given after {before.on.isoformat()}. Give them from the earliest day "
                    "on.",
                    code="weighings-out-of-order",
                )
        if not self.weighings:
            return
        light = min(self.weighings, key=lambda one: one.weight_gr)
        heavy = max(self.weighings, key=lambda one: one.weight_gr)
        if heavy.weight_gr > FARTHEST_WEIGHING_RATIO * light.weight_gr:
            raise ContradictionRefusal(
                f"Two weighings of shaft {self.name} cannot both be true: "
                f"{light.weight_gr:.6g} gr on {light.on.isoformat()} and {heavy.weight_gr:.6g} gr "
                f"on {heavy.on.isoformat()}. Check whether grams (g) were typed as grains (gr).",
                code="weighings-contradict",
            )

    def _mass_is_plausible(self) -> None:
        """Grams typed as grains make a shaft heavier than iron or lighter than cork."""
        if self.weight_gr is None or self.length_in is None or not self.stations:
            return
        diameter = sum(one.mean_in() for one in self.stations) / len(self.stations)
        inner = diameter - 2.0 * self.wall_in if self.wall_in is not None else 0.0
        area = 0.25 * math.pi * (diameter**2 - inner**2)
        volume_cm3 = area * self.length_in * (units.INCH * 100.0) ** 3
        density = self.weight_gr * units.GRAIN * 1000.0 / volume_cm3
        lightest, heaviest = 0.1, 1.6
        if self.wall_in is not None:
            lightest, heaviest = 0.3, 9.0
        elif self.kind in (None, "tube"):
            lightest, heaviest = 0.03, 9.0
        if not lightest <= density <= heaviest:
            raise ContradictionRefusal(
                f"Mass, length and diameter of shaft {self.name} do not go together: "
                f"{self.weight_gr:.6g} gr over {self.length_in:g} in at {diameter:.3g} in would "
                f"be {density:.2g} g/cm³, and {lightest:g} to {heaviest:g} g/cm³ is accepted. "
                "Check whether grams (g) were typed as grains (gr) or the other way round.",
                code="mass-implausible",
            )
