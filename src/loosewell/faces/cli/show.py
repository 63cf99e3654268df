"""Records as text for people and as plain values for machines."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from loosewell import units
from loosewell.faces.cli.fields import FIELDS, Field

if TYPE_CHECKING:
    from loosewell.records.arrow import ExtraPart
    from loosewell.records.arrow_set import SetMember
    from loosewell.records.bow import DrawReading, SpeedReading
    from loosewell.records.shaft import (
        BenchReading,
        Check,
        DiameterStation,
        Joint,
        Section,
        Tap,
        Weighing,
    )
    from loosewell.records.string import BreakSample
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.keep import Kept, Version

UNKNOWN = "not known"
_PLACES = {"in": 3, "gr": 1, "lb": 2, "fps": 1, "yd": 1, "ft": 2, "deg_per_ftlb": 2}
_MEASURES = {
    "true": "true draw (string to the deepest part of the grip)",
    "standard": "standard draw (string to the deepest part of the grip, and 1.75 in more)",
}
_LENGTHS = {
    ("arrow", "length_in"): "nock throat to back of point",
    ("arrow", "balance_in"): "from the nock throat",
    ("arrow", "fletching.rear_in"): "from the nock throat",
    ("shaft", "length_in"): "end to end, as cut now",
    ("archer", "cant_deg"): "positive with the top of the bow toward the string hand's side",
    ("arrow", "stiff_side_deg"): "turned from the plate down toward the shelf",
    ("arrow", "point_width_in"): "edge to edge",
    ("arrow", "point_blade_length_in"): "tip to the rear end of the blades",
    ("string", "length_in"): "between the bearing points of its loops",
    ("string", "serving_diameter_in"): "at the nocking point",
    ("bow", "brace_height_in"): "string to the deepest part of the grip",
    ("bow", "plate_offset_in"): "plate from the string plane; positive is short of centre",
}


def with_metric(value: float, unit: str) -> str:
    """A value in its trade unit with its metric twin: "7 in (178 mm)"."""
    if unit in ("deg", "percent", "hz"):
        return units.spoken(value, unit)
    twin, name = units.metric(value, unit)
    # Places a bench can tell apart; a converted value would else show digits nobody measured.
    places = _PLACES[unit] + (1 if abs(value) < 1 else 0)
    shown = "deg/ftlb" if unit == "deg_per_ftlb" else unit
    return f"{round(value, places):.10g} {shown} ({twin:.4g} {name})"


def kept_lines(kind: str, kept: Kept, jigs: Sequence[Any] = ()) -> list[str]:
    """A record as lines of text, every field, the unknown ones said to be so."""
    record = kept.record
    state = f", retired (version {kept.version})" if kept.retired else f" (version {kept.version})"
    rows = [(_words(field.plain), _field_text(kind, record, field)) for field in FIELDS[kind]]
    if kind == "shaft":
        rows += _spine_rows(record, jigs)
    wide = max(len(label) for label, _ in rows)
    lines = [f"{kind.capitalize()} {record.name}{state}"]
    for label, text in rows:
        first, *more = text.split("\n")
        lines.append(f"  {label:<{wide}}  {first}")
        lines += [f"  {'':<{wide}}  {one}" for one in more]
    return lines


def list_lines(
    kind: str, records: list[Kept], retired: bool, jigs: Sequence[Any] = ()
) -> list[str]:
    """A list of records, one a line, with what tells them apart."""
    if not records:
        several = "classes" if kind == "class" else f"{kind}s"
        what = f"retired {several}" if retired else several
        hint = "" if retired else f' Add one with: loosewell {kind} add "A name"'
        return [f"No {what} in this workshop.{hint}"]
    rows = [[kept.record.name, *_summary(kind, kept.record, jigs)] for kept in records]
    wide = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    return [
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, wide, strict=True)).rstrip()
        for row in rows
    ]


def history_lines(kind: str, versions: Iterable[Version]) -> list[str]:
    """Every state a record had: what was done when, and what it then said differently."""
    lines: list[str] = []
    before: Any = None
    for version in versions:
        lines.append(f"{version.version}  {version.at:%Y-%m-%d %H:%M} UTC  {version.what}")
        for field in FIELDS[kind]:
            text = _field_text(kind, version.record, field)
            earlier = UNKNOWN if before is None else _field_text(kind, before, field)
            if text != earlier:
                label = _words(field.plain)
                change = text if before is None else f"{earlier} -> {text}"
                lines.append(f"     {label}: {change}".replace("\n", "; "))
        if before is not None and before.name != version.record.name:
            lines.append(f"     Name: {before.name} -> {version.record.name}")
        before = version.record
    return lines


def kept_json(kind: str, kept: Kept, jigs: Sequence[Any] = ()) -> dict[str, Any]:
    """A record as plain values; the names of the values carry the units."""
    plain = {
        "kind_of_record": kind,
        "version": kept.version,
        "retired": kept.retired,
        "changed_at": kept.changed_at.isoformat(),
        "record": kept.record.model_dump(mode="json"),
    }
    if kind == "shaft":
        from loosewell.workshop.bench import shaft_spine

        spine = shaft_spine(kept.record, jigs)  # type: ignore[arg-type]
        plain["spine"] = None if spine is None else spine_json(spine)
    return plain


def version_json(version: Version) -> dict[str, Any]:
    """One earlier state as plain values."""
    return {
        "version": version.version,
        "at": version.at.isoformat(),
        "what": version.what,
        "record": version.record.model_dump(mode="json"),
    }


def spine_json(spine: Spine) -> dict[str, Any]:
    """A spine as plain values, span and load in the names."""
    return {
        "spine_26in_2lb_lb": spine.spine_26in_2lb_lb,
        "spine_26in_2lb_low_lb": spine.low,
        "spine_26in_2lb_high_lb": spine.high,
        "deflection_28in_1_94lb_in": spine.deflection_28in_1_94lb_in,
        "deflection_28in_1_94lb_low_in": spine.deflection_low_in,
        "deflection_28in_1_94lb_high_in": spine.deflection_high_in,
        "bending_stiffness_nm2": spine.bending_stiffness,
        "relative_error_percent": 100.0 * spine.relative_error,
        "reasons": list(spine.reasons),
    }


def _words(plain: str) -> str:
    return plain.replace("-", " ").capitalize()


def _field_text(kind: str, record: Any, field: Field) -> str:
    head, _, part = field.path.partition(".")
    value = getattr(record, head)
    if part and value is not None:
        value = getattr(value, part)
    if value is None or value == ():
        return UNKNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.date):
        return value.isoformat()
    if field.path == "draw_measured":
        return _MEASURES[value]
    if field.takes == "draw reading":
        return "\n".join(_draw_text(one, record.draw_measured) for one in value)
    if field.takes == "speed reading":
        return "\n".join(_speed_text(one, record.draw_measured) for one in value)
    if field.takes in _TEXTS:
        return "\n".join(_TEXTS[field.takes](one) for one in value)
    if field.takes == "number":
        return f"{value:g}"
    if isinstance(value, float):
        text = with_metric(value, field.takes)
        meaning = _LENGTHS.get((kind, field.path), "")
        if field.path in ("draw_length_in", "drawn_to_limit_in"):
            meaning = f"{record.draw_measured} draw"
        return f"{text}, {meaning}" if meaning else text
    return str(value)


def _draw_text(reading: DrawReading, measured: str) -> str:
    error = reading.weight_error_lb
    said = "error not known" if error is None else f"± {error:g} lb"
    return (
        f"{with_metric(reading.weight_lb, 'lb')} at {with_metric(reading.draw_in, 'in')} "
        f"{measured} draw, {said}"
    )


def _speed_text(reading: SpeedReading, measured: str) -> str:
    return (
        f"{with_metric(reading.speed_fps, 'fps')} at {with_metric(reading.draw_in, 'in')} "
        f"{measured} draw with {with_metric(reading.arrow_weight_gr, 'gr')}"
    )


def _station_text(one: DiameterStation) -> str:
    across = "" if one.across_in is None else f" x {with_metric(one.across_in, 'in')}"
    return (
        f"{with_metric(one.diameter_in, 'in')}{across} at {with_metric(one.station_in, 'in')} "
        "from the nock end"
    )


def _bench_text(one: BenchReading) -> str:
    error = one.deflection_error_in
    said = "error not known" if error is None else f"± {error:.3g} in"
    span, load = with_metric(one.span_in, "in"), with_metric(one.load_lb, "lb")
    told = [f"{with_metric(one.deflection_in, 'in')} over {span} under {load}", said]
    if one.rotation_deg is not None:
        told.append(f"rotation {one.rotation_deg:g} deg")
    if one.turned is not None:
        told.append("turned end for end" if one.turned else "not turned end for end")
    if one.jig is not None:
        told.append(f"on jig {one.jig}")
    if one.on is not None:
        told.append(one.on.isoformat())
    return ", ".join(told)


def _check_text(one: Check) -> str:
    return f"{one.what} {one.finding}" + ("" if one.note is None else f": {one.note}")


def _weighing_text(one: Weighing) -> str:
    error = "" if one.weight_error_gr is None else f" ± {one.weight_error_gr:.3g} gr"
    return f"{with_metric(one.weight_gr, 'gr')}{error} on {one.on.isoformat()}"


def _tap_text(one: Tap) -> str:
    told = [", ".join(f"{frequency:.4g} Hz" for frequency in one.frequencies_hz)]
    told.append(f"{with_metric(one.length_in, 'in')} long, {with_metric(one.weight_gr, 'gr')}")
    if one.damping_ratio is not None:
        told.append(f"damping {100.0 * one.damping_ratio:.3g} % of critical")
    if one.on is not None:
        told.append(one.on.isoformat())
    if one.file is not None:
        told.append(f"file {one.file}")
    return ", ".join(told)


def _part_text(one: ExtraPart) -> str:
    return (
        f"{one.what} {with_metric(one.weight_gr, 'gr')} at {with_metric(one.at_in, 'in')} from the "
        "nock throat"
    )


def _member_text(one: SetMember) -> str:
    angle = "" if one.nock_angle_deg is None else f", nock angle {one.nock_angle_deg:g} deg"
    mark = "" if one.stiff_side_mark is None else f", stiff side marked {one.stiff_side_mark}"
    return f"{one.shaft}{angle}{mark}"


def _sample_text(one: BreakSample) -> str:
    told = [f"one {one.of} broke at {with_metric(one.load_lb, 'lb')}", "wet" if one.wet else "dry"]
    if one.on is not None:
        told.append(one.on.isoformat())
    return ", ".join(told)


def _joint_text(one: Joint) -> str:
    parts = [f"at {with_metric(one.station_in, 'in')} from the nock end"]
    if one.sleeve_length_in is not None:
        parts.append(f"sleeve {with_metric(one.sleeve_length_in, 'in')}")
    if one.sleeve_weight_gr is not None:
        parts.append(f"sleeve mass {with_metric(one.sleeve_weight_gr, 'gr')}")
    parts += _stiffness_text(one.stiffness_percent)
    if one.give_deg_per_ftlb is not None:
        parts.append(f"give {with_metric(one.give_deg_per_ftlb, 'deg_per_ftlb')}")
    if one.play_deg is not None:
        parts.append(f"play {with_metric(one.play_deg, 'deg')}")
    return ", ".join(parts)


def _section_text(one: Section) -> str:
    start, end = with_metric(one.from_in, "in"), with_metric(one.to_in, "in")
    parts = [
        f"{start} to {end} from the nock end",
        one.material or "material not known",
        *_stiffness_text(one.stiffness_percent),
    ]
    if one.weight_gr is not None:
        parts.append(f"mass {with_metric(one.weight_gr, 'gr')}")
    return ", ".join(parts)


def _stiffness_text(stiffness: float | None) -> list[str]:
    if stiffness is None:
        return ["stiffness not known"]
    return [f"stiffness {with_metric(stiffness, 'percent')} of the plain shaft's"]


def _person_text(one: Any) -> str:
    draw = "draw not known"
    if one.draw_length_in is not None:
        how = one.draw_method or "method not told"
        day = "day not told" if one.draw_date is None else f"on {one.draw_date.isoformat()}"
        draw = f"{with_metric(one.draw_length_in, 'in')} {one.draw_measured} draw, {how}, {day}"
    holds = "strength not told"
    if one.strength_lb is not None:
        holds = f"holds {with_metric(one.strength_lb, 'lb')} steadily"
    told = [f"{one.name}: {one.hand} hand", draw, holds, "child" if one.child else "",
            one.experience or "", one.remarks or ""]  # fmt: skip
    return ", ".join(filter(None, told))


def _rule_text(one: Any) -> str:
    figure = "" if one.figure_yd is None else f" ({with_metric(one.figure_yd, 'yd')})"
    return f"{one.what}: {one.text}{figure}; {one.source}, {one.on.isoformat()}"


def _holding_text(one: Any) -> str:
    return f"{one.person} with {one.bow}, turn {one.turn}, arrows {', '.join(one.arrows) or 'none'}"


_TEXTS: dict[str, Callable[[Any], str]] = {
    "station": _station_text,
    "bench reading": _bench_text,
    "joint": _joint_text,
    "section": _section_text,
    "check": _check_text,
    "weighing": _weighing_text,
    "tap": _tap_text,
    "part": _part_text,
    "member": _member_text,
    "break sample": _sample_text,
    "person": _person_text,
    "class name": str,
    "range rule": _rule_text,
    "holding": _holding_text,
}


def _spine_rows(record: Any, jigs: Sequence[Any]) -> list[tuple[str, str]]:
    from loosewell.workshop.bench import shaft_spine

    spine = shaft_spine(record, jigs)
    if spine is None:
        return [("Spine", "not measured")]
    return [("Spine", f"{spine.spine_text()}\n{spine.deflection_text()}")]


def _summary(kind: str, record: Any, jigs: Sequence[Any]) -> list[str]:
    if kind == "bow":
        length = "" if record.length_in is None else with_metric(record.length_in, "in")
        last = max(record.draw_readings, key=lambda one: one.draw_in, default=None)
        weight = ""
        if last is not None:
            weight = f"{last.weight_lb:g} lb at {last.draw_in:g} in {record.draw_measured} draw"
        limit = record.drawn_to_limit_in
        held = "limit not known" if limit is None else f"drawn to {limit:g} in at most"
        return [record.make or "", f"hand: {record.hand}", length, weight, held]
    if kind == "archer":
        draw = "draw not known"
        if record.draw_length_in is not None:
            draw = f"{with_metric(record.draw_length_in, 'in')} {record.draw_measured} draw"
        cant = "" if record.cant_deg is None else f"cant {with_metric(record.cant_deg, 'deg')}"
        return [f"hand: {record.hand}", draw, "child" if record.child else "", cant]
    if kind == "shaft":
        from loosewell.workshop.bench import shaft_spine

        spine = shaft_spine(record, jigs)
        length = "" if record.length_in is None else f"{record.length_in:g} in"
        weight = "" if record.weight_gr is None else f"{record.weight_gr:g} gr"
        seen = "not inspected" if record.inspection is None else record.inspection.result
        measured = "not measured" if spine is None else spine.spine_text()
        made = [_counted(record.joints, "joint"), _counted(record.sections, "section")]
        parts = ", ".join(part for part in made if part)
        return [record.material or record.kind or "", length, weight, measured, seen, parts]
    if kind == "jig":
        span = "span not known" if record.span_in is None else f"{record.span_in:g} in span"
        load = "load not known" if record.load_lb is None else f"{record.load_lb:g} lb"
        factor = record.stiffness_factor
        checked = "not checked against a known rod" if factor is None else f"factor {factor:g}"
        day = "" if record.checked_on is None else f"checked {record.checked_on.isoformat()}"
        return [span, load, record.reads or "", checked, day]
    if kind == "class":
        when = "" if record.on is None else record.on.isoformat()
        people = len(record.people)
        held = "" if not record.held else f"plan kept for {len(record.held)}"
        several = f"{people} people" if people != 1 else "1 person"
        return [when, several, _counted(record.bows, "bow"), held]
    if kind == "string":
        strands = "" if record.strands is None else _counted((0,) * record.strands, "strand")
        broken = _counted(record.samples, "piece")
        tested = f"{broken} broken" if broken else "no piece broken"
        long = "" if record.length_in is None else f"{record.length_in:g} in"
        weight = "" if record.weight_gr is None else f"{record.weight_gr:g} gr"
        bow = "" if record.bow is None else f"bow {record.bow}"
        return [record.fibre or "fibre not known", strands, long, weight, tested, bow]
    if kind == "set":
        code = "" if record.code is None else f"code {record.code}"
        bow = "" if record.bow is None else f"bow {record.bow}"
        day = "" if record.made_on is None else record.made_on.isoformat()
        count = _counted(record.members, "shaft") or "no shafts"
        return [code, count, bow, record.archer or "", record.purpose or "", day]
    length = "" if record.length_in is None else with_metric(record.length_in, "in")
    point = "" if record.point_weight_gr is None else f"{record.point_weight_gr:g} gr point"
    weight = "" if record.weight_gr is None else f"{record.weight_gr:g} gr in all"
    fit = "" if record.nock_fit is None else f"{record.nock_fit} nock"
    return [f"on shaft {record.shaft}", length, point, weight, fit]


def _counted(things: tuple[Any, ...], word: str) -> str:
    if not things:
        return ""
    return f"1 {word}" if len(things) == 1 else f"{len(things)} {word}s"
