"""``loosewell tap``: the stiffness of a shaft from a recording of a tap."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from loosewell.records.shaft import Shaft
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.hanging import Hanging
    from loosewell.workshop.keep import Kept
    from loosewell.workshop.sound import Heard
    from loosewell.workshop.tap import Tone


def register(app: typer.Typer) -> None:
    """The command tap, hung into the app."""
    app.command("tap")(tap)


def _inches(text: str | None, what: str) -> float | None:
    from loosewell import units

    return None if text is None else units.quantity(text, "in", what=what)


def _grains(text: str | None, what: str) -> float | None:
    from loosewell import units

    return None if text is None else units.quantity(text, "gr", what=what)


def tap(
    recording: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="Recording of one tap: WAV, FLAC or OGG."),
    ] = None,
    how: Annotated[
        bool, typer.Option("--how", help="Say how to hang, tap and record, for this --length.")
    ] = False,
    shaft: Annotated[
        str | None,
        typer.Option("--shaft", metavar="NAME", help="Shaft of the workshop; the tap is kept."),
    ] = None,
    only_look: Annotated[
        bool, typer.Option("--only-look", help="With --shaft: use it, but keep nothing.")
    ] = False,
    length: Annotated[
        str | None, typer.Option("--length", metavar="IN", help='End to end, "31 in".')
    ] = None,
    weight: Annotated[
        str | None,
        typer.Option("--weight", metavar="GR", help='Of the bare shaft, "355 gr" or "23 g".'),
    ] = None,
    weight_error: Annotated[
        str | None,
        typer.Option("--weight-error", metavar="GR", help="Without it: 1.5 gr (0.1 g)."),
    ] = None,
    length_error: Annotated[
        str | None, typer.Option("--length-error", metavar="IN", help="Without it: 1/16 in.")
    ] = None,
    point_weight: Annotated[
        str | None,
        typer.Option("--point-weight", metavar="GR", help="A point left on the front end."),
    ] = None,
    diameter: Annotated[
        str | None, typer.Option("--diameter", metavar="IN", help='"11/32 in".')
    ] = None,
    wall: Annotated[
        str | None, typer.Option("--wall", metavar="IN", help="Of a tube, its thickness.")
    ] = None,
    kind: Annotated[
        str | None,
        typer.Option("--kind", metavar="WORD", help="solid, tube, cane, shoot or joined."),
    ] = None,
    material: Annotated[
        str | None, typer.Option("--material", metavar="TEXT", help='"spruce", "aluminium".')
    ] = None,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", help="Day of the tap; today without it.")
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE.svg", help="Draw the spectrum, or with --how."),
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Read the stiffness of a shaft from a recording of a tap on it."""
    from loosewell.errors import MissingRefusal

    if how:
        _tell_how(_inches(length, "The length"), picture, as_json)
        return
    if recording is None:
        raise MissingRefusal(
            "No recording was given. Name a WAV, FLAC or OGG file of one tap: loosewell tap "
            'tap.wav --length "31 in" --weight "355 gr". How to hang, tap and record: loosewell '
            'tap --how --length "31 in".',
            code="missing-recording",
        )
    given = {
        "length_in": _inches(length, "The length"),
        "weight_gr": _grains(weight, "The mass of the shaft"),
        "weight_error_gr": _grains(weight_error, "The error of the mass"),
        "wall_in": _inches(wall, "The wall"),
        "kind": kind,
        "material": material,
    }
    across = _inches(diameter, "The diameter")
    point_gr = _point_gr(_grains(point_weight, "The mass of the point"))
    error_in = _inches(length_error, "The error of the length")
    if shaft is None:
        found = _shaft_as_typed("this shaft", given, across)
        _report(_listened(recording, found, point_gr, error_in, None, on, None), picture, as_json)
        return
    from loosewell.workshop.keep import refuse_future_days

    with open_workshop(workshop) as kept:
        before = kept.get("shaft", shaft)
        jigs = [one.record for one in kept.list("jig")]
        found = _shaft_as_tapped(before.record, given, across)
        bench = _bench_alone(before.record, jigs)
        result = _listened(recording, found, point_gr, error_in, bench, on, before)
        result["jigs"] = jigs
        if not only_look:
            _keepable(point_gr)
            changed = before.record.model_copy(update={"taps": (result["tap"],)})
            refuse_future_days(changed, _today())
            taps = (*before.record.taps, result["tap"])  # type: ignore[union-attr]
            result["kept"] = kept.change("shaft", shaft, if_version=before.version, taps=taps)
    _report(result, picture, as_json)


def _point_gr(given: float | None) -> float:
    from loosewell.records import bounds

    return 0.0 if given is None else bounds.check(given, "arrow.point_weight_gr")


def _keepable(point_gr: float) -> None:
    from loosewell.errors import ContradictionRefusal

    if point_gr > 0.0:
        raise ContradictionRefusal(
            "A tap is kept for the bare shaft, and this one had a point on. Take the point off and "
            "tap again, or add --only-look to read it without keeping it.",
            code="tap-with-point",
        )


def _shaft_as_typed(name: str, given: dict[str, Any], across: float | None) -> Shaft:
    from loosewell.records.shaft import Shaft

    fields = {key: value for key, value in given.items() if value is not None}
    if across is not None:
        fields["stations"] = ({"station_in": 0.0, "diameter_in": across},)
    return Shaft.model_validate({"name": name, **fields})


def _shaft_as_tapped(record: Any, given: dict[str, Any], across: float | None) -> Shaft:
    """The shaft of the workshop, with what was typed in place of what is recorded."""
    typed = {key: value for key, value in given.items() if value is not None}
    if across is not None:
        typed["stations"] = ({"station_in": 0.0, "diameter_in": across},)
    if "weight_gr" in typed and "weight_error_gr" not in typed:
        typed["weight_error_gr"] = None
    if not typed:
        return record  # type: ignore[no-any-return]
    return type(record).model_validate({**record.model_dump(), **typed})  # type: ignore[no-any-return]


def _bench_alone(record: Any, jigs: list[Any]) -> Spine | None:
    from loosewell.workshop.bench import shaft_spine

    return shaft_spine(record.model_copy(update={"taps": ()}), jigs)


def _listened(
    recording: Path,
    shaft: Shaft,
    point_gr: float,
    length_error_in: float | None,
    bench: Spine | None,
    on: str | None,
    before: Kept | None,
) -> dict[str, Any]:
    """Everything that is told: the recording, the reading, the tap to keep."""
    from loosewell.faces.cli.match import Waiting
    from loosewell.workshop.sound import listen
    from loosewell.workshop.tap import length_error, read_tone, tap_record

    error_in = length_error(length_error_in)
    # What is wrong with the shaft is said before the recording is worked through.
    _has_length_and_mass(shaft)
    with Waiting() as waiting:
        heard = listen(recording, waiting)
    tone = read_tone(shaft, heard.rings, point_gr=point_gr, length_error_in=error_in, bench=bench)
    record = tap_record(tone, shaft, _today(), recording.name[-200:])
    if on is not None:
        record = type(record).model_validate({**record.model_dump(), "on": on})
    return {
        "file": recording,
        "shaft": shaft,
        "heard": heard,
        "tone": tone,
        "bench": bench,
        "before": before,
        "jigs": [],
        "tap": record,
        "kept": None,
    }


def _today() -> datetime.date:
    return datetime.datetime.now(datetime.UTC).astimezone().date()


def _has_length_and_mass(shaft: Shaft) -> None:
    from loosewell.errors import MissingRefusal

    lacking = [
        what
        for what, value in (("--length", shaft.length_in), ("--weight", shaft.weight_gr))
        if value is None
    ]
    if lacking:
        raise MissingRefusal(
            f"A tone says nothing about stiffness without the length and the mass of the bare "
            f"shaft: {' and '.join(lacking)} {'is' if len(lacking) == 1 else 'are'} missing. "
            'Measure it end to end and weigh it, such as --length "31 in" --weight "355 gr".',
            code="tap-without-length",
        )


def _report(result: dict[str, Any], picture: Path | None, as_json: bool) -> None:
    from loosewell.faces.drawing.pen import resolved
    from loosewell.faces.drawing.tap import spectrum_chart

    if picture is not None:
        sheet = spectrum_chart(result["heard"], result["tone"], result["shaft"].name)
        picture.write_text(resolved(sheet.svg()), encoding="utf-8")
    if as_json:
        print_json(_as_json(result, picture))
        return
    for line in _lines(result):
        print(line)
    if picture is not None:
        print(f"Wrote {picture}.")


def _lines(result: dict[str, Any]) -> list[str]:
    from loosewell.faces.cli.show import with_metric

    heard: Heard = result["heard"]
    tone: Tone = result["tone"]
    shaft: Shaft = result["shaft"]
    assert shaft.length_in is not None
    assert shaft.weight_gr is not None
    heading = (
        f"Tap of {shaft.name}: {with_metric(shaft.length_in, 'in')}, "
        f"{with_metric(shaft.weight_gr, 'gr')}; the tap at {heard.tap_at_s:.2f} s, "
        f"{heard.ringing_s:.1f} s of ringing"
    )
    meaning = (
        "That is one stiffness, as a bench would read it. As it rings: "
        f"{tone.ringing_spine_lb:.1f} lb (26 in span, 2 lb). The error is made of:"
    )
    lines = [
        heading,
        "",
        f"  {tone.spine.spine_text()}",
        f"  {tone.spine.deflection_text()}",
        "",
        meaning,
    ]
    lines += [f"  {reason}" for reason in tone.spine.reasons]
    lines += ["", "Tones heard (pounds are of spine, 26 in span, 2 lb):"]
    rows = [("mode", "frequency", "by itself", "damping", "")]
    for one in tone.rings:
        damping = "" if one.damping_ratio is None else f"{100.0 * one.damping_ratio:.2f} %"
        spine = "" if one.spine_lb is None else f"{one.spine_lb:.1f} lb"
        rows.append(
            (
                str(one.mode) if one.mode else "-",
                f"{one.frequency_hz:.2f} Hz ± {max(one.error_hz, 0.01):.2f}",
                spine,
                damping,
                one.side or one.note,
            )
        )
    wide = [max(len(row[i]) for row in rows) for i in range(5)]
    lines += [
        ("  " + "  ".join(f"{cell:<{w}}" for cell, w in zip(row, wide, strict=True))).rstrip()
        for row in rows
    ]
    lines.append("")
    lines += _findings(result)
    return lines


def _findings(result: dict[str, Any]) -> list[str]:
    from loosewell.workshop.tap import agreement, modes_words

    heard: Heard = result["heard"]
    tone: Tone = result["tone"]
    lines = []
    if tone.damping_ratio is not None and tone.damping_error is not None:
        lines.append(
            f"Damping: {100.0 * tone.damping_ratio:.2f} % ± {100.0 * tone.damping_error:.2f} % of "
            f"critical at {tone.damping_hz:.0f} Hz, thread and air included."
        )
    if tone.sides_percent is not None and tone.stiff_lb is not None and tone.weak_lb is not None:
        lines.append(
            f"Two sides were heard: {tone.stiff_lb:.1f} lb and {tone.weak_lb:.1f} lb (26 in span, "
            f"2 lb), {tone.sides_percent:.1f} % ± {tone.sides_error_percent:.1f} % apart. Which "
            "way round is which, a tone does not say: bend it on the bench to mark the stiff side."
        )
    lines += tone.said
    for other in tone.others:
        lines.append(
            f"It could also be read as mode {modes_words(other.modes)}: {other.spine_lb:.0f} lb "
            f"(26 in span, 2 lb); that is {100.0 * other.share:.0f} % likely."
        )
    lines += heard.notes
    if tone.assumed:
        lines.append(f"Assumed: {'; '.join(tone.assumed)}.")
    bench: Spine | None = result["bench"]
    if bench is not None:
        lines.append(agreement(bench, tone.spine.spine_26in_2lb_lb, tone.spine.relative_error))
    elif result["before"] is not None:
        lines.append("There is no bench reading of this shaft to hold it against.")
    kept: Kept | None = result["kept"]
    if kept is not None:
        lines.append(f"Kept with shaft {kept.record.name} (version {kept.version}).")
        lines += _together(kept.record, result["jigs"])
    lines.append("A spine says nothing about whether the shaft is sound: look it over by hand.")
    return lines


def _together(record: Any, jigs: list[Any]) -> list[str]:
    from loosewell.workshop.bench import shaft_spine

    spine = shaft_spine(record, jigs)
    if spine is None or (not record.bench_readings and len(record.taps) < 2):
        return []
    return [f"All readings and taps of it together: {spine.spine_text()}."]


def _as_json(result: dict[str, Any], picture: Path | None) -> dict[str, Any]:
    from loosewell.faces.cli.show import spine_json
    from loosewell.workshop.tap import agreement

    heard: Heard = result["heard"]
    tone: Tone = result["tone"]
    bench: Spine | None = result["bench"]
    kept: Kept | None = result["kept"]
    return {
        "file": str(result["file"]),
        "shaft": result["shaft"].name,
        "length_in": result["shaft"].length_in,
        "weight_gr": result["shaft"].weight_gr,
        "spine": spine_json(tone.spine),
        "ringing_spine_26in_2lb_lb": tone.ringing_spine_lb,
        "own_error_percent": 100.0 * tone.own_error,
        "shared_error_percent": 100.0 * tone.shared_error,
        "tones": [
            {
                "mode": one.mode or None,
                "frequency_hz": one.frequency_hz,
                "frequency_error_hz": one.error_hz,
                "damping_ratio": one.damping_ratio,
                "spine_26in_2lb_lb": one.spine_lb,
                "side": one.side or None,
                "note": one.note or None,
            }
            for one in tone.rings
        ],
        "damping_ratio": tone.damping_ratio,
        "damping_error": tone.damping_error,
        "stiff_side_26in_2lb_lb": tone.stiff_lb,
        "weak_side_26in_2lb_lb": tone.weak_lb,
        "sides_apart_percent": tone.sides_percent,
        "other_readings": [
            {
                "modes": list(other.modes),
                "spine_26in_2lb_lb": other.spine_lb,
                "share_percent": 100.0 * other.share,
            }
            for other in tone.others
        ],
        "assumed": list(tone.assumed),
        "notes": [*tone.said, *heard.notes],
        "tap_at_s": heard.tap_at_s,
        "mains_hz": heard.mains_hz,
        "bench_spine": None if bench is None else spine_json(bench),
        "agreement": None
        if bench is None
        else agreement(bench, tone.spine.spine_26in_2lb_lb, tone.spine.relative_error),
        "kept_version": None if kept is None else kept.version,
        "picture": None if picture is None else str(picture),
    }


def _tell_how(length_in: float | None, picture: Path | None, as_json: bool) -> None:
    from loosewell.errors import MissingRefusal
    from loosewell.records import bounds
    from loosewell.workshop.hanging import hanging

    if length_in is None:
        raise MissingRefusal(
            'Where the loops go depends on the length of the shaft. Give it: --length "31 in".',
            code="missing-length",
        )
    how = hanging(bounds.check(length_in, "shaft.length_in"))
    if picture is not None:
        from loosewell.faces.drawing.pen import resolved
        from loosewell.faces.drawing.tap import hanging_drawing

        picture.write_text(resolved(hanging_drawing(how).svg()), encoding="utf-8")
    if as_json:
        print_json(_how_json(how, picture))
        return
    for number, line in enumerate(how.lines(), 1):
        print(f"{number}. {line}")
    print("Which modes ring on:")
    wide = max(len(one.name) for one in how.supports)
    for one in how.supports:
        words = ", ".join(f"{n} {word}" for n, word in enumerate(one.modes, 1))
        print(f"  {one.name:<{wide}}  {words}")
    if picture is not None:
        print(f"Wrote {picture}.")


def _how_json(how: Hanging, picture: Path | None) -> dict[str, Any]:
    return {
        "length_in": how.length_in,
        "loop_from_end_in": how.node_in,
        "tap_from_end_in": how.tap_in,
        "steps": how.lines(),
        "supports": {one.name: list(one.modes) for one in how.supports},
        "picture": None if picture is None else str(picture),
    }
