"""``loosewell sheet``: printed pages from what is on record, as PDF or as plain text."""

from __future__ import annotations

import datetime
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, cast

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from loosewell.faces.sheets.content import Sheet
    from loosewell.faces.sheets.shopping_list import Wanted
    from loosewell.records import Archer, Arrow, Bow, Shaft
    from loosewell.workshop.keep import Kind, Workshop


def register(app: typer.Typer) -> None:
    """The command sheet, hung into the app."""
    app.command("sheet")(sheet)


@dataclass(frozen=True)
class _Wish:
    """What was typed beside the kind."""

    names: tuple[str, ...]
    bow: str | None
    archer: str | None
    arrow: str | None
    length: str | None
    point: str | None
    spine: str | None
    count: int | None
    material: str | None
    shots: tuple[str, ...]
    eye_above: str | None
    anchor: str | None
    eye_height: str | None
    distance: str | None
    workshop: Path | None
    quiet: bool


def sheet(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND",
            help="bow-card, set-tag, build-card, tuning-log, gap-card, string-recipe, "
            "class-roster, labels, range-sketch, fishing-card, shopping-list or inspection-list.",
        ),
    ],
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[NAME...]", help="Of the record it is about, or the code of an older sheet."
        ),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="a4 or letter.")] = "a4",
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE", help="New file: .pdf, .png, or .txt for the plain text."
        ),
    ] = None,
    as_text: Annotated[
        bool, typer.Option("--text", help="The plain text, printed or to the file.")
    ] = False,
    bow: Annotated[str | None, typer.Option("--bow", metavar="NAME", help="The bow.")] = None,
    archer: Annotated[
        str | None, typer.Option("--archer", metavar="NAME", help="The archer.")
    ] = None,
    arrow: Annotated[
        str | None,
        typer.Option("--arrow", metavar="NAME", help="For a build card: an arrow on record."),
    ] = None,
    length: Annotated[
        str | None,
        typer.Option("--length", metavar="IN", help="For a build card: throat to back of point."),
    ] = None,
    point: Annotated[
        str | None, typer.Option("--point", metavar="GR", help="Mass of the point.")
    ] = None,
    spine: Annotated[
        str | None,
        typer.Option(
            "--spine",
            metavar="LB",
            help='For a shopping list, "45 to 52 lb" (26 in span, 2 lb), in place of a match.',
        ),
    ] = None,
    count: Annotated[
        int | None, typer.Option("--count", min=1, max=999, help="For a shopping list: how many.")
    ] = None,
    material: Annotated[
        str | None, typer.Option("--material", help="For a shopping list: what of.")
    ] = None,
    shot: Annotated[
        list[str] | None,
        typer.Option(
            "--shot", metavar="TEXT", help='For a gap card: a gap you shot, "20 yd gap 14 in".'
        ),
    ] = None,
    eye_above: Annotated[
        str | None,
        typer.Option("--eye-above", metavar="IN", help="For a gap card: eye above the arrow."),
    ] = None,
    anchor: Annotated[
        str | None, typer.Option("--anchor", metavar="TEXT", help="For a gap card: in words.")
    ] = None,
    eye_height: Annotated[
        str | None,
        typer.Option("--eye-height", metavar="FT", help="For a fishing card: eye above the water."),
    ] = None,
    distance: Annotated[
        str | None,
        typer.Option("--distance", metavar="YD", help="For a range sketch: the target line."),
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """One printed page: a card, a tag, a list or a log, with blanks for a pencil.

    bow-card BOW; set-tag SET; build-card SHAFT --archer NAME; tuning-log --bow NAME --archer NAME;
    string-recipe STRING; inspection-list SHAFT, ARROW, SET or several; shopping-list --bow NAME
    --archer NAME (runs the match), or SET (more of the same), or --spine; gap-card and
    fishing-card --bow NAME --archer NAME (half a minute each); class-roster, labels and
    range-sketch CLASS.
    """
    from loosewell.errors import BoundRefusal

    plain = kind.strip().lower().replace(" ", "-").replace("_", "-")
    if plain not in _MAKERS:
        raise BoundRefusal(
            f"There is no sheet '{kind[:40]}'. Sheets are {', '.join(_MAKERS)}.",
            code="sheet-kind",
        )
    size = paper.strip().lower()
    if size not in ("a4", "letter"):
        raise BoundRefusal(
            f"The paper was given as '{paper[:40]}'. Accepted are a4 and letter.", code="paper"
        )
    suffix = "" if out is None else out.suffix.lower()
    if out is not None and suffix not in (".pdf", ".png", ".txt"):
        raise BoundRefusal(
            f"The file {out} ends in '{suffix}'. Name a new .pdf, a .png, or a .txt for the plain "
            "text.",
            code="sheet-file",
        )
    if as_text and suffix in (".pdf", ".png"):
        raise BoundRefusal(
            f"--text writes plain text and {out} ends in '{suffix}'. Name a .txt, or leave --text "
            "out.",
            code="sheet-file",
        )
    wish = _Wish(
        tuple(names or ()),
        bow,
        archer,
        arrow,
        length,
        point,
        spine,
        count,
        material,
        tuple(shot or ()),
        eye_above,
        anchor,
        eye_height,
        distance,
        workshop,
        as_json,
    )
    made = _MAKERS[plain](wish)
    as_text = as_text or suffix == ".txt"
    if as_text:
        from loosewell.faces.sheets import twin

        if out is not None:
            _write(out, twin.text(made).encode("utf-8"))
        elif not as_json:
            print(twin.text(made), end="")
    elif out is not None or not as_json:
        from loosewell.faces.sheets.press import press

        file = out if out is not None else Path(_file_name(plain, wish, made))
        if file.exists():
            _there_already(file)
        pressed = press(made, cast(Literal["a4", "letter"], size), suffix == ".png")
        _write(file, pressed.page)
        made = pressed.sheet
        for words in pressed.words:
            print(words, file=sys.stderr)
        print(f"Print it at 100 %, without fitting to the page ({size}).", file=sys.stderr)
    if as_json:
        print_json({**made.as_dict(), "paper": size, "file": None if out is None else str(out)})


def _file_name(kind: str, wish: _Wish, made: Sheet) -> str:
    name = made.link.partition("/")[2] or "-".join(wish.names)
    tidy = re.sub(r"[^\w]+", "-", name).strip("-")[:60]
    return f"{kind}-{tidy}.pdf" if tidy else f"{kind}.pdf"


def _there_already(path: Path) -> None:
    from loosewell.errors import FileRefusal

    raise FileRefusal(
        f"The file {path} is there already and is not written over. Name a new one with --out.",
        code="file-exists",
    )


def _write(path: Path, page: bytes) -> None:
    from loosewell.errors import FileRefusal

    try:
        with path.open("xb") as file:
            file.write(page)
    except FileExistsError:
        _there_already(path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileRefusal(f"The file {path} cannot be written: {reason}.", code="file") from None
    print(f"Wrote {path}", file=sys.stderr)


# ---- what each kind needs


def _one_name(wish: _Wish, sheet_kind: str, *kinds: str) -> str:
    from loosewell.errors import BoundRefusal, MissingRefusal
    from loosewell.faces.sheets import link

    if not wish.names:
        raise MissingRefusal(
            f"Name the {kinds[0]}: loosewell sheet {sheet_kind} {kinds[0].upper()}.",
            code="missing-name",
        )
    if len(wish.names) > 1:
        raise BoundRefusal(
            f"{len(wish.names)} names were given for one {sheet_kind}: "
            f"{', '.join(wish.names)[:200]}. Give one, in quotation marks if it has spaces.",
            code="one-name",
        )
    return link.name_of(wish.names[0], *kinds)


def _records(kept: Workshop, kind: Kind) -> list[Any]:
    return [one.record for one in kept.list(kind)]


def _maybe(kept: Workshop, kind: Kind, name: str | None) -> Any:
    from loosewell.errors import ContradictionRefusal
    from loosewell.faces.sheets import link

    if name is None:
        return None
    found = kept.get(kind, link.name_of(name, kind))
    if found.retired:
        raise ContradictionRefusal(
            f"The {kind} {found.record.name} is retired. Restore it first, or choose another "
            f"{kind}.",
            code="retired",
        )
    return found.record


def _bow_card(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import bow_card

    name = wish.bow if wish.bow and not wish.names else _one_name(wish, "bow-card", "bow")
    with open_workshop(wish.workshop) as kept:
        return bow_card.sheet(_maybe(kept, "bow", name))


def _set_tag(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import set_tag

    name = _one_name(wish, "set-tag", "set")
    with open_workshop(wish.workshop) as kept:
        the_set = _maybe(kept, "set", name)
        members = {one.shaft.casefold() for one in the_set.members}
        shafts = [one for one in _records(kept, "shaft") if one.name.casefold() in members]
        return set_tag.sheet(the_set, shafts, _records(kept, "arrow"), kept.jigs())


def _build_card(wish: _Wish) -> Sheet:
    from loosewell.errors import MissingRefusal
    from loosewell.faces.sheets import build_card, figures
    from loosewell.workshop.build import BuildWish, build

    with open_workshop(wish.workshop) as kept:
        the_arrow: Arrow | None = _maybe(kept, "arrow", wish.arrow)
        if the_arrow is not None and not wish.names:
            name = the_arrow.shaft
        elif wish.names:
            name = _one_name(wish, "build-card", "shaft")
        else:
            raise MissingRefusal(
                "Name the shaft, loosewell sheet build-card SHAFT --archer NAME, or an arrow on "
                "record with --arrow.",
                code="missing-name",
            )
        shaft: Shaft = _maybe(kept, "shaft", name)
        archer: Archer | None = _maybe(kept, "archer", wish.archer)
        bow: Bow | None = _maybe(kept, "bow", wish.bow)
        spine = figures.spines([shaft], kept.jigs())[shaft.name]
    asked = BuildWish(
        length_in=_length_in(wish),
        point_weight_gr=_point_gr(wish),
    )
    plan = build(shaft, asked, arrow=the_arrow, archer=archer, bow=bow)
    return build_card.sheet(plan, shaft, spine)


def _tuning_log(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import tuning_log

    bow_name = wish.bow
    if bow_name is None and wish.names:
        bow_name = _one_name(wish, "tuning-log", "bow")
    if bow_name is None and wish.archer is None:
        return tuning_log.sheet(None, None)
    with open_workshop(wish.workshop) as kept:
        return tuning_log.sheet(_maybe(kept, "bow", bow_name), _maybe(kept, "archer", wish.archer))


def _string_recipe(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import string_recipe

    name = _one_name(wish, "string-recipe", "string")
    with open_workshop(wish.workshop) as kept:
        string = _maybe(kept, "string", name)
        bow = None if string.bow is None else kept.get("bow", string.bow).record
    told = None
    if string.fibre is not None:
        from loosewell.workshop.string import answer

        told = answer(string, cast("Bow | None", bow))
    return string_recipe.sheet(string, cast("Bow | None", bow), told)


def _inspection_list(wish: _Wish) -> Sheet:
    from loosewell.errors import MissingRefusal, NotFoundRefusal
    from loosewell.faces.sheets import inspection_list, link

    if not wish.names:
        raise MissingRefusal(
            "Name what is looked over: loosewell sheet inspection-list SHAFT, the name of an arrow "
            "or a set, or several shafts.",
            code="missing-name",
        )
    with open_workshop(wish.workshop) as kept:
        arrows = {one.shaft: one for one in _records(kept, "arrow")}
        by_arrow = {one.name.casefold(): one.shaft for one in arrows.values()}
        by_shaft = {one.name.casefold(): one for one in _records(kept, "shaft")}
        by_set = {one.name.casefold(): one for one in _records(kept, "set")}
        title, code, back = "Inspection", "", ""
        found: list[Shaft] = []
        for typed in wish.names:
            name = " ".join(link.name_of(typed, "shaft", "arrow", "set").split()).casefold()
            if name in by_shaft:
                found.append(by_shaft[name])
            elif name in by_arrow:
                found.append(by_shaft[by_arrow[name].casefold()])
            elif name in by_set:
                the_set = by_set[name]
                members = [one.shaft.casefold() for one in the_set.members]
                found += [by_shaft[one] for one in members if one in by_shaft]
                if len(wish.names) == 1:
                    title = f"Inspection: set {the_set.name}"
                    code = link.code("set", the_set.name)
                    back = link.command("set", the_set.name)
            else:
                raise NotFoundRefusal(
                    f"No shaft, arrow or set in use is called '{typed[:80]}'. See loosewell shaft "
                    "list, arrow list and set list.",
                    code="not-found",
                )
        if len(found) == 1 and not code:
            return inspection_list.of_shaft(found[0], arrows.get(found[0].name))
        return inspection_list.of_many(title, found, arrows, code, back)


def _shopping_list(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import shopping_list

    if wish.names:
        return shopping_list.sheet(_like_set(wish))
    if wish.bow is not None and wish.archer is not None and wish.spine is None:
        return shopping_list.sheet(_by_match(wish))
    return shopping_list.sheet(_by_hand(wish))


def _point_gr(wish: _Wish) -> float | None:
    from loosewell import units

    if wish.point is None:
        return None
    return units.quantity(wish.point, "gr", what="The point weight")


def _length_in(wish: _Wish) -> float | None:
    from loosewell import units

    if wish.length is None:
        return None
    return units.quantity(wish.length, "in", what="The arrow length")


def _blank_in(least_in: float) -> float:
    """Bare shaft to ask for: the least arrow with the spare and what squaring and tapers take."""
    import math

    from loosewell.workshop.build import SPARE_IN, SQUARING_IN

    seat_in = 1.0
    return math.ceil(4.0 * (least_in + seat_in + SQUARING_IN + SPARE_IN)) / 4.0


_LEFT_LONG = (
    "The length leaves an inch for the seat of the point, an eighth for squaring, and two inches "
    "long until it has been shot (common practice, no source)."
)


def _like_set(wish: _Wish) -> Wanted:
    from loosewell.errors import MissingRefusal
    from loosewell.faces.sheets import figures
    from loosewell.faces.sheets.shopping_list import Wanted
    from loosewell.workshop import stops

    name = _one_name(wish, "shopping-list", "set")
    with open_workshop(wish.workshop) as kept:
        the_set = _maybe(kept, "set", name)
        members = {one.shaft.casefold() for one in the_set.members}
        shafts = [one for one in _records(kept, "shaft") if one.name.casefold() in members]
        told = [
            one.spine_26in_2lb_lb
            for one in figures.spines(shafts, kept.jigs()).values()
            if one is not None
        ]
        if not told:
            raise MissingRefusal(
                f"No shaft of the set {the_set.name} has a bench reading, so there is no spine to "
                'ask for. Bend one, or say --spine "45 to 52 lb".',
                code="missing-spine",
            )
        archer = _maybe(kept, "archer", the_set.archer)
    masses = [one.weight_gr for one in shafts if one.weight_gr is not None]
    least = None
    if archer is not None and archer.draw_length_in is not None:
        least = stops.minimum_length_in(archer)
    materials = {one.material for one in shafts if one.material}
    return Wanted(
        wish.count or len(the_set.members),
        wish.material or (materials.pop() if len(materials) == 1 else None),
        min(told),
        max(told),
        None if least is None else _blank_in(least),
        least,
        min(masses) if masses else None,
        max(masses) if masses else None,
        _point_gr(wish),
        f"like the set {the_set.name}",
        "Spine and mass are the lowest and the highest of the set as read. " + _LEFT_LONG,
        "set",
        the_set.name,
        the_set.invented,
    )


def _by_match(wish: _Wish) -> Wanted:
    from loosewell.errors import ContradictionRefusal
    from loosewell.faces.cli.match import Waiting
    from loosewell.faces.sheets.shopping_list import Wanted
    from loosewell.workshop import ask, stops

    assert wish.bow is not None
    assert wish.archer is not None
    question = ask.Question(bow=wish.bow, archer=wish.archer, point_weight_gr=_point_gr(wish))
    gathered = ask.gather(wish.workshop, question)
    with Waiting() as waiting:
        answer = ask.answer(gathered, waiting)
    if answer.stops or answer.spine_range_lb is None:
        why = answer.stops[0].text if answer.stops else "no spine range was found."
        raise ContradictionRefusal(
            f"Nothing is bought for {wish.archer} with {wish.bow}: {why}", code="nothing-to-buy"
        )
    band = answer.spine_range_lb
    least = stops.minimum_length_in(gathered.archer)
    point = _point_gr(wish)
    if point is None and answer.chosen is not None:
        point = answer.chosen.point_weight_gr
    return Wanted(
        wish.count,
        wish.material,
        band.low,
        band.high,
        _blank_in(least),
        least,
        None,
        None,
        point,
        f"for {answer.archer} with {answer.bow}",
        f"The spines are those of loosewell match: {answer.spine_range_definition} A range this "
        "wide is what is known today; better readings narrow it. " + _LEFT_LONG,
        "bow",
        answer.bow,
        answer.invented,
    )


_RANGE = re.compile(r"(?P<low>[^a-z]*?)\s*(?:to|–|-)\s*(?P<high>.+)", re.IGNORECASE)


def _by_hand(wish: _Wish) -> Wanted:
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.faces.sheets.shopping_list import Wanted
    from loosewell.records import bounds
    from loosewell.workshop import stops

    low = high = None
    if wish.spine is not None:
        pair = _RANGE.fullmatch(wish.spine.strip())
        if pair is None:
            low = high = units.quantity(wish.spine, "lb", what="The spine")
        else:
            unit = re.sub(r"[0-9.,/ ]", "", pair["high"])
            low = units.quantity(f"{pair['low']} {unit}", "lb", what="The lower spine")
            high = units.quantity(pair["high"], "lb", what="The higher spine")
        for one in (low, high):
            bounds.check(one, "shaft.spine_lb")
        if low > high:
            raise BoundRefusal(
                f"The spines were given as '{wish.spine[:40]}', the stiffer first. Give the weaker "
                'one first: --spine "45 to 52 lb".',
                code="range-turned",
            )
    archer: Archer | None = None
    if wish.archer is not None:
        with open_workshop(wish.workshop) as kept:
            archer = _maybe(kept, "archer", wish.archer)
    least = None
    if archer is not None and archer.draw_length_in is not None:
        least = stops.minimum_length_in(archer)
    why = "The spines are as typed, not from a match. " if wish.spine is not None else ""
    return Wanted(
        wish.count,
        wish.material,
        low,
        high,
        None if least is None else _blank_in(least),
        least,
        None,
        None,
        _point_gr(wish),
        "" if archer is None else f"for {archer.name}",
        (why + ("" if least is None else _LEFT_LONG)).strip(),
        "" if archer is None else "archer",
        "" if archer is None else archer.name,
        archer is not None and archer.invented,
    )


def _pair(wish: _Wish, kind: str) -> tuple[str, str]:
    from loosewell.errors import MissingRefusal

    if wish.bow is None or wish.archer is None:
        raise MissingRefusal(
            f"A {kind} is for one bow and one archer: loosewell sheet {kind} --bow NAME --archer "
            "NAME.",
            code="missing-pair",
        )
    return wish.bow, wish.archer


def _gap_card(wish: _Wish) -> Sheet:
    from loosewell import units
    from loosewell.faces.cli.aim import _shot
    from loosewell.faces.cli.purpose import progress_bar
    from loosewell.faces.sheets import gap_card
    from loosewell.workshop.aim import aim

    bow, archer = _pair(wish, "gap-card")
    shots = [_shot(one) for one in wish.shots]
    eye = wish.eye_above
    with open_workshop(wish.workshop) as kept, progress_bar(wish.quiet) as tell:
        card = aim(
            _maybe(kept, "bow", bow),
            _maybe(kept, "archer", archer),
            _records(kept, "shaft"),
            arrow=_maybe(kept, "arrow", wish.arrow),
            eye_above_in=None
            if eye is None
            else units.quantity(eye, "in", what="The eye above the arrow"),
            anchor=wish.anchor,
            shots=shots,
            point_weight_gr=_point_gr(wish),
            length_in=_length_in(wish),
            jigs=kept.jigs(),
            progress=tell,
        )
    return gap_card.sheet(card)


def _fishing_card(wish: _Wish) -> Sheet:
    from loosewell import units
    from loosewell.faces.cli.purpose import progress_bar
    from loosewell.faces.sheets import fishing_card
    from loosewell.workshop.fishing import Water
    from loosewell.workshop.purposes import Asked, purpose

    bow, archer = _pair(wish, "fishing-card")
    eye = wish.eye_height
    water = Water(None if eye is None else units.quantity(eye, "ft", what="The eye height"))
    asked = Asked(point_weight_gr=_point_gr(wish), length_in=_length_in(wish), water=water)
    with open_workshop(wish.workshop) as kept, progress_bar(wish.quiet) as tell:
        answer = purpose(
            _maybe(kept, "bow", bow),
            _maybe(kept, "archer", archer),
            _records(kept, "shaft"),
            "fishing",
            asked,
            arrow=_maybe(kept, "arrow", wish.arrow),
            jigs=kept.jigs(),
            progress=tell,
        )
    return fishing_card.sheet(answer)


def _class(wish: _Wish, sheet_kind: str) -> tuple[Any, dict[str, Bow], datetime.date]:
    name = _one_name(wish, sheet_kind, "class")
    with open_workshop(wish.workshop) as kept:
        roster = _maybe(kept, "class", name)
        bows = {one.name.casefold(): one for one in _records(kept, "bow")}
    return roster, bows, datetime.datetime.now(datetime.UTC).astimezone().date()


def _class_roster(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import class_roster

    return class_roster.roster(*_class(wish, "class-roster"))


def _labels(wish: _Wish) -> Sheet:
    from loosewell.faces.sheets import class_roster

    return class_roster.labels(*_class(wish, "labels"))


def _range_sketch(wish: _Wish) -> Sheet:
    from loosewell import units
    from loosewell.faces.cli.purpose import progress_bar
    from loosewell.faces.sheets import range_sketch

    roster, _, _ = _class(wish, "range-sketch")
    target = None
    if wish.distance is not None:
        target = units.quantity(wish.distance, "yd", what="The distance of the target line")
    if wish.bow is None and wish.archer is None:
        return range_sketch.sheet(roster, target, None)
    from loosewell.errors import ContradictionRefusal
    from loosewell.workshop.purposes import Asked, purpose

    bow, archer = _pair(wish, "range-sketch")
    asked = Asked(point_weight_gr=_point_gr(wish), length_in=_length_in(wish))
    with open_workshop(wish.workshop) as kept, progress_bar(wish.quiet) as tell:
        answer = purpose(
            _maybe(kept, "bow", bow),
            _maybe(kept, "archer", archer),
            _records(kept, "shaft"),
            "long shot",
            asked,
            arrow=_maybe(kept, "arrow", wish.arrow),
            jigs=kept.jigs(),
            progress=tell,
        )
    if answer.stops or answer.reach is None:
        why = answer.stops[0].text if answer.stops else "no reach was found."
        raise ContradictionRefusal(
            f"The reach of {archer} with {bow} was not reckoned: {why}", code="no-reach"
        )
    whose = f"{answer.archer} with {answer.bow}, the longest reckoned"
    return range_sketch.sheet(roster, target, answer.reach.longest_yd, whose)


_MAKERS: dict[str, Callable[[_Wish], Sheet]] = {
    "bow-card": _bow_card,
    "set-tag": _set_tag,
    "build-card": _build_card,
    "tuning-log": _tuning_log,
    "gap-card": _gap_card,
    "string-recipe": _string_recipe,
    "class-roster": _class_roster,
    "labels": _labels,
    "range-sketch": _range_sketch,
    "fishing-card": _fishing_card,
    "shopping-list": _shopping_list,
    "inspection-list": _inspection_list,
}
