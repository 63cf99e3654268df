"""Sheets as printed: text of the PDF against the record, page, ruler, one page, stops first."""

from __future__ import annotations

import datetime
import io
import json
import re
from pathlib import Path
from typing import Any

import pypdf
import pytest
from typer.testing import CliRunner, Result

from loosewell.faces.cli.app import app
from loosewell.faces.sheets import (
    bow_card,
    build_card,
    class_roster,
    content,
    fishing_card,
    gap_card,
    inspection_list,
    link,
    press,
    range_sketch,
    set_tag,
    shopping_list,
    string_recipe,
    tuning_log,
    twin,
)
from loosewell.faces.sheets.content import Grid, Sheet
from loosewell.faces.sheets.shopping_list import Wanted
from loosewell.records import Archer, Arrow, ArrowSet, Bow, Fletching, Shaft
from loosewell.records.arrow_set import SetMember
from loosewell.records.bow import DrawReading
from loosewell.records.class_ import ClassRoster, Holding, Pupil, RangeRule
from loosewell.records.shaft import BenchReading, DiameterStation, Inspection
from loosewell.records.string import BowString, BreakSample
from loosewell.workshop.aim import AimCard, Gap
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.build import BuildWish, build
from loosewell.workshop.keep import Workshop
from tolerances import half_point_pt, hundredth_point_pt

runner = CliRunner()
NEVER = re.compile(r"\b(safe\w*|legal\w*|enough|perfect\w*)\b", re.IGNORECASE)
DAY = datetime.date(2026, 4, 2)
LONG_NAME = "Nine long words about one plain bow and the people who made it in the old barn"
CYRILLIC_NAME = "Лук из вяза для начинающих"
INCH_PT = 72.0  # PostScript point, by definition 1/72 in

BOW = Bow(
    name="Alder",
    hand="left",
    make="plain wooden",
    length_in=66.0,
    brace_height_in=6.25,
    draw_measured="standard",
    draw_readings=(
        DrawReading(draw_in=24.0, weight_lb=31.0, weight_error_lb=1.0),
        DrawReading(draw_in=27.0, weight_lb=38.5, weight_error_lb=1.0),
    ),
    drawn_to_limit_in=27.5,
)
ARCHER = Archer(
    name="Fern",
    hand="left",
    draw_length_in=25.0,
    draw_measured="true",
    draw_method="marked arrow",
    draw_date=DAY,
)
PASSED = Inspection(result="passed", on=DAY, by="Hale")


# Invented rules, two of which disagree.
RULES = (
    RangeRule(
        what="overshoot", figure_yd=25.0, text="25 yd with a stop", source="an invented paper",
        on=DAY, counted_from="target line",
    ),
    RangeRule(
        what="overshoot", figure_yd=50.0, text="50 yd", source="another invented paper", on=DAY,
        counted_from="target line",
    ),
    RangeRule(what="other", text="A flag while arrows fly", source="an invented paper", on=DAY),
)  # fmt: skip


def shaft(name: str, deflection_in: float = 0.5, **more: Any) -> Shaft:
    fields: dict[str, Any] = {
        "kind": "solid",
        "material": "Sitka spruce",
        "length_in": 32.0,
        "stations": (DiameterStation(station_in=16.0, diameter_in=11 / 32),),
        "weight_gr": 360.0,
        "bench_readings": (BenchReading(span_in=26.0, load_lb=2.0, deflection_in=deflection_in),),
        "inspection": PASSED,
    }
    return Shaft(name=name, **(fields | more))


def build_sheet(length_in: float | None = None, **more: Any) -> Sheet:
    one = shaft("S1")
    wish = BuildWish(length_in=length_in, point_weight_gr=125.0, **more)
    return build_card.sheet(build(one, wish, archer=ARCHER, bow=BOW, today=DAY), one, None)


def pupil(name: str, **more: Any) -> Pupil:
    fields: dict[str, Any] = {
        "hand": "left",
        "draw_length_in": 24.0,
        "draw_measured": "true",
        "draw_method": "marked arrow",
        "draw_date": DAY,
        "strength_lb": 45.0,
    }
    return Pupil(name=name, **(fields | more))


def roster(*people: Pupil, bow: str = "Alder") -> ClassRoster:
    held = tuple(
        Holding(person=one.name, bow=bow, arrows=(f"A{k}",)) for k, one in enumerate(people)
    )
    return ClassRoster(name="Saturday", on=DAY, people=people, bows=(bow,), held=held, turns=9)


def gaps(**more: Any) -> AimCard:
    fields: dict[str, Any] = {
        "bow": "Alder",
        "archer": "Fern",
        "hand": "left",
        "invented": False,
        "stops": [],
        "warnings": [],
        "arrow": "a plain arrow",
        "eye_above_in": Band(2.75, 2.5, 3.0),
        "arrow_length_in": 28.5,
        "arrow_weight_gr": 450.0,
        "speed_fps": Band(150.0, 145.0, 155.0),
        "gaps": [
            Gap(20.0, Band(14.0, 14.0, 14.0), Band(0.6, 0.6, 0.6), True, 20.0, None),
            Gap(30.0, Band(-4.0, -9.0, 2.0), Band(-0.2, -0.3, 0.1), False, 44.0, None),
        ],
        "point_on_text": "Computed point-on: 28 yd (26 m).",
    }
    return AimCard(**(fields | more))


def one_of_each(name: str) -> dict[str, Sheet]:
    """A sheet of every kind that carries a name, all with the same name."""
    bow = BOW.model_copy(update={"name": name})
    archer = ARCHER.model_copy(update={"name": name})
    one = shaft(name)
    arrow = Arrow(
        name=name, shaft=name, length_in=28.5, weight_gr=470.0, nock_kind="self",
        fletching=Fletching(material="feather", length_in=5.0, rear_in=1.0),
    )  # fmt: skip
    many = [shaft(f"{k} {name}"[:80]) for k in range(12)]
    the_set = ArrowSet(
        name=name, bow=name, archer=name, members=tuple(SetMember(shaft=s.name) for s in many)
    )
    plan = build(one, BuildWish(), archer=archer, bow=bow, today=DAY)
    string = BowString(
        name=name, bow=name, fibre="linen", home_made=True, strands=12,
        samples=(BreakSample(of="ply", load_lb=90.0, on=DAY),),
    )  # fmt: skip
    klass = roster(pupil(name)).model_copy(update={"name": name})
    wanted = Wanted(12, None, 45.0, 52.0, 31.5, 28.0, whom=name, kind="archer", name=name)
    return {
        "bow card": bow_card.sheet(bow),
        "set tag": set_tag.sheet(the_set, many, [], []),
        "build card": build_card.sheet(plan, one, None),
        "tuning log": tuning_log.sheet(bow, archer),
        "string recipe": string_recipe.sheet(string, bow),
        "inspection list": inspection_list.of_shaft(one, arrow),
        "inspection of a set": inspection_list.of_many(f"Inspection: {name}", many, {}),
        "shopping list": shopping_list.sheet(wanted),
        "gap card": gap_card.sheet(gaps(bow=name, archer=name)),
        "class roster": class_roster.roster(klass, {}, DAY),
        "range sketch": range_sketch.sheet(
            klass.model_copy(update={"rules": RULES}), 20.0, 180.0, "the strongest"
        ),
        "labels": class_roster.labels(klass, {name.casefold(): bow}, DAY),
    }


KINDS = tuple(one_of_each("Alder"))


def read(pdf: bytes) -> tuple[pypdf.PdfReader, str]:
    """The reader and the text of the page, with plain blanks."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    text = " ".join(page.extract_text() for page in reader.pages)
    return reader, " ".join(text.replace("\u00a0", " ").split())


def printed(sheet: Sheet, paper: press.Paper = "a4") -> str:
    return read(press.press(sheet, paper).page)[1]


def lines_of(pdf: bytes) -> list[tuple[float, float, float, float]]:
    """Straight strokes of a page in points from its lower left corner: x1, y1, x2, y2."""
    found: list[tuple[float, float, float, float]] = []
    pen = [0.0, 0.0]

    def placed(x: float, y: float, m: list[float]) -> list[float]:
        return [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]]

    def visit(operator: bytes, operands: Any, matrix: Any, _text: Any) -> None:
        nonlocal pen
        if operator in (b"m", b"l"):
            to = placed(float(operands[0]), float(operands[1]), list(matrix))
            if operator == b"l":
                found.append((pen[0], pen[1], to[0], to[1]))
            pen = to

    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    page.extract_text(visitor_operand_before=visit)
    return found


# ---- the page


@pytest.mark.parametrize(
    ("paper", "wide_mm", "tall_mm"),
    [
        ("a4", 210.0, 297.0),  # ISO 216
        ("letter", 8.5 * 25.4, 11.0 * 25.4),  # ANSI/ASME Y14.1, size A
    ],
)
def test_the_page_is_as_large_as_its_paper(
    paper: press.Paper, wide_mm: float, tall_mm: float
) -> None:
    reader, _ = read(press.press(bow_card.sheet(BOW), paper).page)
    box = reader.pages[0].mediabox
    assert float(box.width) == pytest.approx(wide_mm / 25.4 * INCH_PT, abs=hundredth_point_pt)
    assert float(box.height) == pytest.approx(tall_mm / 25.4 * INCH_PT, abs=hundredth_point_pt)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["Alder", LONG_NAME, CYRILLIC_NAME, "x" * 80])
def test_every_sheet_is_one_page_whatever_the_name(paper: press.Paper, name: str) -> None:
    for kind, sheet in one_of_each(name).items():
        pressed = press.press(sheet, paper)
        reader, text = read(pressed.page)
        assert len(reader.pages) == 1, kind
        assert name.replace(" ", "") in text.replace(" ", "").replace("-", ""), kind


def test_a_name_in_another_script_comes_out_of_the_pdf_as_it_went_in() -> None:
    assert CYRILLIC_NAME in printed(bow_card.sheet(BOW.model_copy(update={"name": CYRILLIC_NAME})))


def test_letters_the_faces_do_not_hold_are_named_as_a_doubt() -> None:
    plain = bow_card.sheet(BOW)
    assert press.covered(plain)
    kanji = bow_card.sheet(BOW.model_copy(update={"name": "弓"}))
    assert not press.covered(kanji)
    assert any("look at the page" in words for words in press.press(kanji).words)


def test_no_letter_is_smaller_than_eleven_points_and_headings_are_larger() -> None:
    for kind, sheet in one_of_each("Alder").items():
        sizes: list[float] = []
        page = pypdf.PdfReader(io.BytesIO(press.press(sheet).page)).pages[0]

        def visit(
            text: str, matrix: Any, text_matrix: Any, _font: Any, size: float,
            sizes: list[float] = sizes,
        ) -> None:  # fmt: skip
            if text.strip():
                sizes.append(size * abs(float(matrix[0]) * float(text_matrix[0])))

        page.extract_text(visitor_text=visit)
        assert min(sizes) > 11.0 - hundredth_point_pt, kind
        assert max(sizes) > 16.0 - hundredth_point_pt, kind


def test_everything_is_black_white_or_grey() -> None:
    for kind, sheet in one_of_each("Alder").items():
        page = pypdf.PdfReader(io.BytesIO(press.press(sheet).page)).pages[0]
        contents = page.get_contents()
        assert contents is not None
        for operands, operator in contents.operations:
            if operator in (b"rg", b"RG", b"sc", b"SC", b"scn", b"SCN") and len(operands) == 3:
                assert len({round(float(one), 4) for one in operands}) == 1, kind
            assert operator not in (b"k", b"K"), kind


def test_the_same_sheet_gives_the_same_bytes() -> None:
    one, other = press.press(build_sheet()).page, press.press(build_sheet()).page
    assert one == other
    assert one.startswith(b"%PDF")
    # A clock in the file would change it from one second to the next.
    assert (read(one)[0].metadata or {})["/CreationDate"].startswith("D:19700101")
    assert press.press(build_sheet(), as_picture=True).page.startswith(b"\x89PNG")


# ---- the ruler and the true scale


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_printed_ruler_is_a_hundred_millimetres_and_four_inches(paper: press.Paper) -> None:
    """100 mm are 283.46 pt, 4 in are 288 pt: both by definition of inch and point."""
    strokes = lines_of(press.press(build_sheet(), paper).page)
    base = [one for one in strokes if abs(one[1] - one[3]) < 1e-6]
    long = [abs(x2 - x1) for x1, _, x2, _ in base]
    assert min(abs(one - 283.4646) for one in long) < half_point_pt
    (rule,) = [one for one in base if abs(abs(one[2] - one[0]) - 283.4646) < half_point_pt]
    left, level = min(rule[0], rule[2]), rule[1]
    uprights = [(x1, min(y1, y2), max(y1, y2)) for x1, y1, x2, y2 in strokes if abs(x1 - x2) < 1e-6]
    above = sorted(x - left for x, low, _ in uprights if abs(low - level) < half_point_pt)
    below = sorted(x - left for x, _, high in uprights if abs(high - level) < half_point_pt)
    assert len(above) == 101
    assert above[-1] == pytest.approx(283.4646, abs=half_point_pt)
    assert above[37] == pytest.approx(37.0 / 25.4 * INCH_PT, abs=half_point_pt)
    assert len(below) == 33
    assert below[-1] == pytest.approx(288.0, abs=half_point_pt)


def test_tapers_and_cuts_are_drawn_at_true_scale() -> None:
    one = shaft("S1")
    plan = build(one, BuildWish(point_weight_gr=125.0), archer=ARCHER, bow=BOW, today=DAY)
    strokes = lines_of(press.press(build_card.sheet(plan, one, None)).page)
    thick = plan.diameter_point_in * INCH_PT
    for taper in plan.tapers:
        run = taper.length_in * INCH_PT
        rise = 0.5 * (taper.from_diameter_in - taper.to_diameter_in) * INCH_PT
        slanted = [
            one
            for one in strokes
            if abs(abs(one[2] - one[0]) - run) < half_point_pt
            and abs(abs(one[3] - one[1]) - rise) < half_point_pt
        ]
        assert len(slanted) == 2, taper.what
        apart = abs(slanted[0][3] - slanted[1][3]), abs(slanted[0][1] - slanted[1][1])
        assert max(apart) == pytest.approx(thick, abs=half_point_pt)
    spare = (plan.first_cut_in - plan.cut_in) * INCH_PT
    text = [abs(x2 - x1) for x1, y1, x2, y2 in strokes if abs(y1 - y2) < 1e-6]
    assert min(abs(one - spare) for one in text) < half_point_pt


def test_the_build_card_prints_the_lengths_of_the_plan() -> None:
    one = shaft("S1")
    plan = build(one, BuildWish(point_weight_gr=125.0), archer=ARCHER, bow=BOW, today=DAY)
    text = printed(build_card.sheet(plan, one, None))
    for value in (plan.cut_in, plan.first_cut_in, plan.length_in, plan.minimum_length_in):
        assert value is not None
        assert f"{value:.2f} in ({value * 25.4:.0f} mm)" in text
    assert text.startswith("STOP. Never shorter than 27.75 in (705 mm)")
    assert "not bent yet" in text


def test_a_build_card_without_an_archer_says_that_no_least_is_known() -> None:
    one = shaft("S1")
    plan = build(one, BuildWish(length_in=29.0), today=DAY)
    assert printed(build_card.sheet(plan, one, None)).startswith("STOP. No archer was named")


def test_a_stop_leaves_nothing_to_cut_on_the_build_card() -> None:
    sheet = build_sheet(length_in=26.0)
    text = printed(sheet)
    assert text.startswith("STOP. Do not shoot: an arrow of 26.00 in")
    assert "true scale" not in text
    assert "First cut" not in text


# ---- the words


def test_stops_come_first_and_are_as_large_as_the_title() -> None:
    for kind, sheet in one_of_each("Alder").items():
        assert sheet.stops, kind
        seen: list[tuple[str, float]] = []
        page = pypdf.PdfReader(io.BytesIO(press.press(sheet).page)).pages[0]

        def visit(
            text: str, matrix: Any, text_matrix: Any, _font: Any, size: float,
            seen: list[tuple[str, float]] = seen,
        ) -> None:  # fmt: skip
            if text.strip():
                seen.append((text, size * abs(float(matrix[0]) * float(text_matrix[0]))))

        page.extract_text(visitor_text=visit)
        assert seen[0][0].startswith("STOP."), kind
        largest = max(size for text, size in seen if inspection_list.BOX not in text)
        title = next(size for text, size in seen if text.strip().startswith(sheet.title[:5]))
        assert seen[0][1] == pytest.approx(title, abs=hundredth_point_pt), kind
        assert seen[0][1] == pytest.approx(largest, abs=hundredth_point_pt)
        assert twin.text(sheet).startswith("STOP. "), kind


def test_both_unit_systems_stand_on_every_sheet() -> None:
    for kind, sheet in one_of_each("Alder").items():
        text = printed(sheet)
        if kind == "inspection of a set" or kind == "inspection list":
            continue  # nothing is measured there
        assert re.search(r"\b(in|lb|gr|yd)\b", text), kind
        assert re.search(r"\b(mm|cm|kg|g|m)\b", text), kind


def test_no_sheet_gives_a_verdict_and_none_names_a_brand() -> None:
    for kind, sheet in one_of_each("Alder").items():
        for text in (printed(sheet), twin.text(sheet)):
            assert not NEVER.search(text), kind
            assert not re.search("[®™©]", text), kind


def test_the_twin_says_what_the_paper_says() -> None:
    """Every word of a paper from which nothing was left out stands in the plain text too."""
    for kind, sheet in one_of_each("Alder").items():
        pressed = press.press(sheet)
        if pressed.sheet.cut:
            continue
        words = set(re.findall(r"[A-Za-z]{4,}", read(pressed.page)[1].casefold()))
        told = twin.text(sheet).casefold()
        off = {one for one in words if one not in told}
        only_paper = {"your", "ruler", "these", "print", "again", "without", "fitting", "page"}
        assert off <= only_paper, kind


def test_blanks_are_lines_in_the_plain_text_and_never_zero() -> None:
    bare = Bow(name="Bare", hand="right")
    text = twin.text(bow_card.sheet(bare))
    assert re.search(r"Brace height: +_{8,}", text)
    assert re.search(r"Lightest arrow its maker allows: +_{8,}", text)
    assert not re.search(r"\b0(\.0+)? (in|lb|gr)\b", text)
    assert text.startswith("STOP. Do not lend: how far this bow may be drawn is not recorded.")


def test_the_bow_card_prints_the_record_with_which_draw_beside_every_draw() -> None:
    """Standard is true and 1.75 in more: the card of a bow kept in standard draws."""
    text = printed(bow_card.sheet(BOW))
    assert text.startswith(
        "STOP. Never draw it past 25.75 in true draw (654 mm), 27.50 in standard"
    )
    assert "STOP. Only for left-handed archers." in text
    assert "22.25 in true draw (565 mm), 24.00 in standard draw (610 mm)" in text
    assert "38.5 lb ± 1 lb (17.5 kg)" in text
    assert "6.25 in (159 mm)" in text
    assert "loosewell:bow/Alder" in text


def test_span_and_load_stand_beside_every_spine_of_a_set() -> None:
    """26 over the deflection: 52.0 lb from 0.5 in, 40.0 lb from 0.65 in, over 26 in under 2 lb."""
    shafts = [shaft("S1", 0.5), shaft("S2", 0.65)]
    kept = ArrowSet(
        name="AF-1", bow="Alder", archer="Fern",
        members=tuple(SetMember(shaft=one.name, nock_angle_deg=40.0) for one in shafts),
    )  # fmt: skip
    text = printed(set_tag.sheet(kept, shafts, [], []))
    assert re.search(r"S1 52\.\d lb ± \d\.\d lb", text)
    assert re.search(r"S2 40\.\d lb ± \d\.\d lb", text)
    assert "(26 in span, 2 lb)" in text
    assert "(28 in span, 1.94 lb)" in text
    assert text.count("360 gr (23.3 g)") == 2
    assert "40 deg" in text


def test_a_failed_or_unseen_shaft_is_a_stop_on_the_tag() -> None:
    failed = Inspection(result="failed", on=DAY, by="Hale")
    shafts = [shaft("S1", inspection=failed), shaft("S2", inspection=None)]
    kept = ArrowSet(
        name="AF-1", members=tuple(SetMember(shaft=name) for name in ("S1", "S2", "S3"))
    )
    stops = set_tag.sheet(kept, shafts, [], []).stops
    assert stops[0].startswith("Do not shoot shaft S1")
    assert stops[1] == "Do not shoot yet: look over S2 first."
    assert stops[2].startswith("No longer on the rack: S3.")
    assert stops[3].startswith("Not for any bow yet")


def test_the_inspection_list_holds_every_look_with_two_boxes() -> None:
    from loosewell.workshop import inspection

    one = shaft("S1")
    sheet = inspection_list.of_shaft(one, None)
    text = printed(sheet)
    looks = inspection.checklist(one)
    for look in looks:
        assert look.what in text
        assert look.look_for[1:40] in text
    assert text.count(inspection_list.BOX) == 2 * len(looks)


def test_a_wrong_hand_is_a_stop_on_the_tuning_log() -> None:
    other = ARCHER.model_copy(update={"hand": "right"})
    assert tuning_log.sheet(BOW, other).stops[0].startswith("Do not shoot: Alder is built for")
    assert not any("Do not shoot" in one for one in tuning_log.sheet(BOW, ARCHER).stops)


def test_a_string_that_nobody_broke_has_no_number_and_says_so() -> None:
    cord = BowString(name="C1", fibre="nettle", home_made=True)
    assert "no piece of this cordage was broken" in string_recipe.sheet(cord, BOW).stops[0]
    low = BowString(name="L1", fibre="low-stretch")
    assert "No low-stretch string on Alder" in string_recipe.sheet(low, BOW).stops[0]
    sinew = BowString(name="N1", fibre="sinew")
    assert "Never wet" in string_recipe.sheet(sinew, BOW).stops[0]


def test_only_gaps_that_were_shot_are_called_shot() -> None:
    text = printed(gap_card.sheet(gaps()))
    assert "20 yd (18.3 m) SHOT 14 in below (36 cm) –" in text
    assert "30 yd (27.4 m) computed 4 in above (10 cm) 9 in above to 2 in below" in text
    stopped = gap_card.sheet(gaps(stops=[Notice("hand", "Do not shoot: the wrong hand.")], gaps=[]))
    assert stopped.stops == ("Do not shoot: the wrong hand.",)
    assert stopped.blocks == ()


def test_the_line_comes_first_on_the_fishing_card() -> None:
    for words in ("ahead of the string", "never tied at the nock", "never round a hand"):
        assert words in fishing_card.STOPS[0]


def test_a_person_with_a_stop_gets_no_bow_on_the_roster_and_no_label() -> None:
    """Weight at a true draw of 24 in is about 35 lb here: too much for 20 lb of strength."""
    held = roster(pupil("Ada"), pupil("Ben", strength_lb=20.0), pupil("Cyd", draw_length_in=26.5))
    bows = {"alder": BOW}
    sheet = class_roster.roster(held, bows, DAY)
    assert sheet.stops[0] == "No bow for Ben, Cyd: the reason stands below."
    (table,) = [one for one in sheet.blocks if isinstance(one, Grid)]
    given = {row[0]: row[3] for row in table.rows}
    assert given == {"Ada": "Alder", "Ben": "none", "Cyd": "none"}
    text = printed(sheet)
    assert "Do not lend Alder to Ben" in text
    assert "drawn to 25.75 in at most" in text
    labels = twin.text(class_roster.labels(held, bows, DAY))
    assert "| Ada" in labels
    assert "| Ben" not in labels
    assert "Limit, true draw: 25.75 in (654 mm)" in labels


def test_the_range_is_drawn_to_scale_and_no_rule_is_chosen() -> None:
    """Target line at 20 yd, so the rules stand at 45 and 70 yd; distances keep their ratios."""
    kept = roster(pupil("Ada")).model_copy(update={"rules": RULES})
    sheet = range_sketch.sheet(kept, 20.0, 180.0, "Ada with Alder")
    pdf = press.press(sheet).page
    long = [
        one for one in lines_of(pdf)
        if abs(one[1] - one[3]) < 1e-6 and 180.0 < abs(one[2] - one[0]) < 190.0
    ]  # fmt: skip
    levels = sorted({round(one[1], 2) for one in long})
    away = [level - levels[0] for level in levels]
    assert [one / away[-1] * 180.0 for one in away] == pytest.approx(
        [0.0, 20.0, 45.0, 70.0, 180.0], abs=0.2
    )
    text = read(pdf)[1]
    assert "none is chosen" in text
    assert "25 yd (22.9 m) from the target line = 45 yd (41.1 m)" in text
    assert "another invented paper, 2026-04-02" in text
    assert "Not drawn: rule 3" in text
    assert "180 yd (164.6 m), Ada with Alder" in text


def test_an_unknown_reach_is_a_stop_and_an_unknown_target_line_draws_no_rule_from_it() -> None:
    kept = roster(pupil("Ada")).model_copy(update={"rules": RULES})
    sheet = range_sketch.sheet(kept, None, None)
    assert sheet.stops == (range_sketch.STOP, range_sketch.UNKNOWN)
    text = printed(sheet)
    assert "Not drawn: rule 1, 2, 3" in text
    assert "rule 1: overshoot" not in text


def test_a_class_of_sixty_fits_on_one_page_and_says_what_was_left_out() -> None:
    people = tuple(pupil(f"Person {k}") for k in range(60))
    pressed = press.press(class_roster.roster(roster(*people), {"alder": BOW}, DAY))
    reader, text = read(pressed.page)
    assert len(reader.pages) == 1
    (table,) = [one for one in pressed.sheet.blocks if isinstance(one, Grid)]
    assert len(table.rows) + table.left_out == 60
    assert f"{table.left_out} more: see the plain text." in text
    assert "rows of Who shoots what" in pressed.words[0]


def test_a_sheet_that_cannot_fit_is_refused_in_a_sentence() -> None:
    from loosewell.errors import ContradictionRefusal

    endless = Sheet("x", "Endless", ("A stop of many words. " * 300,), ())
    with pytest.raises(ContradictionRefusal, match="does not fit on one page"):
        press.press(endless)


def test_making_a_sheet_shorter_never_takes_a_stop() -> None:
    for kind, sheet in one_of_each("Alder").items():
        stops = sheet.stops
        while (less := content.shorter(sheet)) is not None:
            sheet = less
            assert sheet.stops == stops, kind


# ---- the code


def test_the_code_leads_back_to_the_record() -> None:
    assert link.code("shaft", "S1") == "loosewell:shaft/S1"
    assert link.name_of("loosewell:shaft/S1", "shaft") == "S1"
    assert link.name_of("S1", "shaft") == "S1"
    drawn = link.qr("loosewell:shaft/S1")
    # ISO/IEC 18004: a version 2 symbol is 25 modules wide, and 4 on each side stay white.
    assert 'viewBox="0 0 33 33"' in drawn


# ---- the command


@pytest.fixture
def path(workshop_path: Path) -> Path:
    with Workshop.open(workshop_path) as kept:
        for one in (BOW, ARCHER, shaft("S1"), shaft("S2", 0.6)):
            kept.add(one)
        kept.add(
            ArrowSet(
                name="AF", bow="Alder", archer="Fern",
                members=(SetMember(shaft="S1"), SetMember(shaft="S2")),
            )
        )  # fmt: skip
        kept.add(BowString(name="Spare", bow="Alder", fibre="polyester", strands=14))
    return workshop_path


def typed(path: Path, *words: str) -> Result:
    return runner.invoke(app, ["sheet", *words, "--workshop", str(path)])


@pytest.mark.parametrize(
    "words",
    [
        ("bow-card", "alder"),
        ("bow-card", "loosewell:bow/Alder"),
        ("set-tag", "AF"),
        ("build-card", "S1", "--archer", "Fern", "--point", "125 gr"),
        ("tuning-log", "--bow", "Alder", "--archer", "Fern"),
        ("tuning-log",),
        ("string-recipe", "Spare"),
        ("inspection-list", "S1"),
        ("inspection-list", "S1", "S2"),
        ("inspection-list", "AF"),
        ("shopping-list", "AF", "--count", "6"),
        ("shopping-list", "--spine", "45 to 52 lb", "--archer", "Fern"),
    ],
    ids=" ".join,
)
def test_every_sheet_comes_by_command_as_pdf_and_text(
    path: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    pdf = tmp_path / "sheet.pdf"
    told = typed(path, *words, "--out", str(pdf), "--paper", "letter")
    assert told.exit_code == 0, told.output
    reader, text = read(pdf.read_bytes())
    assert len(reader.pages) == 1
    assert text.startswith("STOP.")
    plain = typed(path, *words, "--text")
    assert plain.exit_code == 0
    assert plain.stdout.startswith("STOP.")
    machine = json.loads(typed(path, *words, "--json").stdout)
    assert machine["stops"]
    assert machine["parts"]
    again = typed(path, *words, "--out", str(pdf))
    assert again.exit_code == 2
    assert "is there already and is not written over" in again.output


def test_the_shopping_list_of_a_set_asks_for_its_weakest_to_stiffest(path: Path) -> None:
    """26 over 0.6 in is 43.3 lb, over 0.5 in 52.0 lb (26 in span, 2 lb)."""
    text = typed(path, "shopping-list", "AF", "--text").stdout
    assert "43 to 52 lb (26 in span, 2 lb)" in text
    assert "How many:" in text
    assert "Sitka spruce" in text
    assert "27.75 in (705 mm)" in text


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("bow-cards", "Alder"), "There is no sheet 'bow-cards'"),
        (("bow-card",), "Name the bow"),
        (("bow-card", "Alder", "Elm"), "Give one"),
        (("bow-card", "loosewell:shaft/S1"), "where a bow is wanted"),
        (("bow-card", "Elm"), "Elm"),
        (("bow-card", "Alder", "--paper", "a5"), "Accepted are a4 and letter"),
        (("bow-card", "Alder", "--out", "x.doc"), "ends in '.doc'"),
        (("bow-card", "Alder", "--text", "--out", "x.pdf"), "leave --text out"),
        (("gap-card", "--bow", "Alder"), "one bow and one archer"),
        (("inspection-list", "S1", "S9"), "No shaft, arrow or set in use is called 'S9'"),
        (("shopping-list", "--spine", "52 to 45 lb"), "the stiffer first"),
        (("shopping-list", "--spine", "45"), "unit"),
        (("build-card",), "Name the shaft"),
    ],
    ids=lambda one: " ".join(one) if isinstance(one, tuple) else "",
)
def test_what_cannot_be_is_refused_in_a_sentence(
    path: Path, words: tuple[str, ...], sentence: str
) -> None:
    told = typed(path, *words)
    assert told.exit_code == 2
    assert sentence in " ".join(told.output.split())
    assert "Traceback" not in told.output
