"""What outings taught: told once each, shared by bow and archer, forgotten, set aside."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loosewell.chance import carried
from loosewell.chance.carried import Carried
from loosewell.chance.priors import Uncertain
from loosewell.records import Archer, Bow, DrawReading, Outing, ShotSeen
from loosewell.workshop import ask
from loosewell.workshop.keep import Workshop
from loosewell.workshop.reading import known, learn
from tolerances import round_off, solved, stated_to_six_figures

HOLD = Uncertain("string_hold", 1.0, 0.07, "log")
PLATE = Uncertain("plate_offset", 0.01016, 0.0008)
PUSH = Uncertain("loose_push", 0.0077, 0.25, "log")


def ash(**fields: Any) -> Bow:
    return Bow(
        **{
            "name": "Ash",
            "hand": "right",
            "brace_height_in": 6.5,
            "draw_measured": "true",
            "draw_readings": (DrawReading(weight_lb=45.0, draw_in=26.0),),
            "plate_offset_in": 0.4,
            "string_material": "polyester",
            "drawn_to_limit_in": 28.0,
            **fields,
        }
    )


def wren(**fields: Any) -> Archer:
    draw = {"draw_length_in": 25.0, "draw_measured": "true", "draw_method": "marked arrow"}
    return Archer(**{"name": "Wren", "hand": "right", **draw, **fields})


def outing(name: str, **fields: Any) -> Outing:
    return Outing(
        **{
            "name": name,
            "bow": "Ash",
            "archer": "Wren",
            "on": "2024-05-30",
            "distance_yd": 20.0,
            "shots": (ShotSeen(left_in=float(len(name)), high_in=1.0),),
            **fields,
        }
    )


def lesson(bow: Bow, archer: Archer, pull: float = 3.0, tie: float = 1.0) -> dict[str, Any]:
    """A mixture of the bow's string and the archer's push, seen with half an error."""
    way = np.array([1.0, 0.5, tie])
    factor = Carried((HOLD, PLATE, PUSH), 4.0 * np.outer(way, way), pull * way)
    return {
        **factor.plain(),
        "on": "2024-05-30",
        "shots": 7,
        "bow": learn._state(bow, learn._BOW_CHANGES),
        "archer": learn._state(archer, learn._ARCHER_CHANGES),
    }


@pytest.fixture
def kept(workshop_path: Path) -> Any:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([ash(), ash(name="Elm", make="recurve"), wren(), wren(name="Jay")])
        yield workshop


def read(workshop: Workshop, one: Outing, told: dict[str, Any] | None = None) -> None:
    """An outing recorded and read, with what it is to teach."""
    if not any(each.record.name == one.name for each in workshop.list("outing")):
        workshop.add(one)
    bow, archer = workshop.get("bow", one.bow).record, workshop.get("archer", one.archer).record
    assert isinstance(bow, Bow)
    assert isinstance(archer, Archer)
    workshop.keep_answer(one.name, "loosewell 1", 5, {}, told or lesson(bow, archer))


def learned(
    workshop: Workshop, bow: str = "Ash", archer: str = "Wren", leave_out: Any = None
) -> Any:
    one, other = workshop.get("bow", bow).record, workshop.get("archer", archer).record
    assert isinstance(one, Bow)
    assert isinstance(other, Archer)
    return learn.gather(workshop, one, other, leave_out)


def spreads(found: Any) -> dict[str, float]:
    """How much of each assumed error is left."""
    begun = carried.start((HOLD, PLATE, PUSH), found.factor).inputs
    before = {"string_hold": 0.07, "plate_offset": 0.0008, "loose_push": 0.25}
    return {one.key: one.spread / before[one.key] for one in begun}


def test_nothing_read_teaches_nothing(kept: Workshop) -> None:
    kept.add(outing("one"))
    assert learned(kept) is None


def test_every_outing_narrows_and_none_widens(kept: Workshop) -> None:
    read(kept, outing("one"))
    first = spreads(learned(kept))
    assert all(part < 0.95 for key, part in first.items() if key != "plate_offset")
    read(kept, outing("second"), lesson(ash(), wren(), tie=-1.0))
    both = learned(kept)
    second = spreads(both)
    assert all(second[key] < first[key] for key in first)
    assert both.outings == ("one", "second")
    assert both.last.isoformat() == "2024-05-30"


def test_reading_an_outing_again_replaces_what_it_taught(kept: Workshop) -> None:
    read(kept, outing("one"))
    once = spreads(learned(kept))
    for _ in range(3):
        read(kept, outing("one"))
    assert spreads(learned(kept)) == once
    assert len(kept.answers("one")) == 4
    # The last answer counts: one that says another thing takes the place of all before.
    other = lesson(ash(), wren(), pull=-3.0, tie=-1.0)
    read(kept, outing("one"), other)
    np.testing.assert_allclose(
        learned(kept).factor.pull, carried.from_plain(other).pull, atol=solved
    )


def test_an_outing_never_teaches_its_own_reading(kept: Workshop) -> None:
    read(kept, outing("one"))
    assert learned(kept, leave_out="one") is None
    read(kept, outing("second"))
    other = learned(kept, leave_out="one")
    assert other.outings == ("second",)


def test_the_same_shots_under_two_names_teach_once(kept: Workshop) -> None:
    read(kept, outing("one"))
    once = spreads(learned(kept))
    read(kept, outing("two", shots=outing("one").shots))
    assert spreads(learned(kept)) == once
    assert learned(kept, leave_out="two") is None


def test_an_outing_corrected_after_it_was_read_teaches_only_when_read_again(
    kept: Workshop,
) -> None:
    read(kept, outing("one"))
    kept.change("outing", "one", remarks="drizzle")
    assert learned(kept) is not None
    kept.change("bow", "Ash", name="Old ash")
    assert learned(kept, "Old ash") is not None
    kept.change("outing", "one", distance_yd=25.0)
    assert learned(kept, "Old ash") is None
    kept.keep_answer("one", "loosewell 1", 5, {}, lesson(ash(), wren()))
    assert learned(kept, "Old ash") is not None


def test_a_retired_outing_teaches_nothing_and_a_restored_one_again(kept: Workshop) -> None:
    read(kept, outing("one"))
    kept.retire("outing", "one", "wrong archer")
    assert learned(kept) is None
    kept.restore("outing", "one")
    assert learned(kept) is not None


def test_two_bows_of_one_archer_share_the_archer_only(kept: Workshop) -> None:
    read(kept, outing("one"))
    shared = learned(kept, "Elm")
    assert shared.factor.keys == ["loose_push"]
    # Exact: the bow's part of the mixture, variance 1 + 1/4 on 1/4 of error, is integrated out.
    part = shared.factor.precision[0, 0]
    assert part == pytest.approx(1.0 / (0.25 + 1.0 + 0.25), rel=solved)
    assert spreads(shared)["loose_push"] == pytest.approx((1.0 + part) ** -0.5, rel=solved)


def test_outings_of_another_pair_are_joined_before_its_bow_is_left_out(kept: Workshop) -> None:
    """Fifty outings with one bow cannot tell its string from the archer's push."""
    for k in range(50):
        read(kept, outing("o" * (k + 1)), lesson(ash(), wren(), pull=0.0))
    part = learned(kept, "Elm").factor.precision[0, 0]
    # The mixture is known without error in the end, the bow's part of it never is.
    assert part == pytest.approx(1.0 / (0.005 + 1.25), rel=solved)


def test_two_archers_of_one_bow_share_the_bow_only(kept: Workshop) -> None:
    read(kept, outing("one"))
    assert learned(kept, "Ash", "Jay").factor.keys == ["string_hold", "plate_offset"]
    assert learned(kept, "Elm", "Jay") is None


@pytest.mark.parametrize(
    ("change", "word", "gone", "stays"),
    [
        ({"string_material": "linen"}, "string", "string_hold", "loose_push"),
        ({"brace_height_in": 7.0}, "brace height", "string_hold", "loose_push"),
        ({"plate_offset_in": 0.3}, "plate offset", "plate_offset", "loose_push"),
    ],
)
def test_a_change_of_the_bow_takes_back_what_hangs_on_it(
    kept: Workshop, change: dict[str, Any], word: str, gone: str, stays: str
) -> None:
    read(kept, outing("one"), lesson(ash(), wren(), tie=0.0))
    read(kept, outing("second"), lesson(ash(), wren(), tie=5.0))
    before = learned(kept)
    kept.change("bow", "Ash", **change)
    after = learned(kept)
    assert spreads(after)[gone] > spreads(before)[gone]
    assert spreads(after)[stays] < 1.0
    assert before.forgotten == ()
    assert len(after.forgotten) == 2
    assert f"The {word} of Ash changed since one (2024-05-30)" in after.forgotten[0]


def test_a_brace_height_within_an_eighth_is_the_same(kept: Workshop) -> None:
    read(kept, outing("one"))
    before = spreads(learned(kept))
    kept.change("bow", "Ash", brace_height_in=6.625)
    assert spreads(learned(kept)) == before
    kept.change("bow", "Ash", brace_height_in=6.75)
    assert spreads(learned(kept)) != before


def test_what_was_unknown_and_became_known_is_no_change_of_the_bow(kept: Workshop) -> None:
    read(kept, outing("one"))
    kept.change("bow", "Ash", string_mass_gr=160.0, plate_material="hide")
    assert learned(kept).forgotten == ()


def test_another_loose_takes_back_what_was_learned_of_it(kept: Workshop) -> None:
    kept.change("archer", "Wren", loose="unsteady")
    told = lesson(ash(), wren(loose="unsteady"))
    read(kept, outing("one"), told)
    kept.change("archer", "Wren", loose="steady")
    after = learned(kept)
    assert spreads(after)["loose_push"] == pytest.approx(1.0, rel=stated_to_six_figures)
    assert spreads(after)["string_hold"] < 1.0
    assert "The loose of Wren changed" in after.forgotten[0]


def test_what_is_set_aside_is_used_no_more_and_stays_in_the_file(kept: Workshop) -> None:
    read(kept, outing("one"))
    kept.put_aside("Ash", None, "new limbs")
    assert learned(kept).factor.keys == ["loose_push"]
    kept.put_aside(None, "Wren", "new glove")
    assert learned(kept) is None
    assert len(kept.answers("one")) == 1
    assert kept.answers("one")[0].learned is not None
    # What is read afterwards teaches anew.
    read(kept, outing("second"))
    assert learned(kept).outings == ("second",)


def test_a_pair_set_aside_leaves_other_pairs_alone(kept: Workshop) -> None:
    read(kept, outing("one"))
    read(kept, outing("second", archer="Jay"))
    kept.put_aside("Ash", "Wren", "tried out")
    assert learned(kept, "Ash", "Jay") is not None
    assert learned(kept, "Elm", "Wren") is None
    assert learned(kept).outings == ("second",)


def test_what_was_learned_is_the_same_after_it_was_written_down(kept: Workshop) -> None:
    read(kept, outing("one"))
    found = learned(kept)
    back = learn.from_plain(found.plain())
    assert back is not None
    assert (back.outings, back.last, back.forgotten) == (found.outings, found.last, ())
    np.testing.assert_array_equal(back.factor.precision, found.factor.precision)


def test_a_match_is_told_what_was_learned_and_is_asked_anew(kept: Workshop) -> None:
    before = ask.gather(kept.path, ask.Question("Ash", "Wren"))
    assert before.learned is None
    read(kept, outing("one"))
    after = ask.gather(kept.path, ask.Question("Ash", "Wren"))
    assert after.learned.outings == ("one",)
    assert after.key != before.key
    told: dict[str, Any] = {}
    ask.answer(after, engine=lambda *_, **given: told.update(given))  # type: ignore[arg-type,return-value]
    assert told["learned"] is after.learned
    told.clear()
    ask.answer(before, engine=lambda *_, **given: told.update(given))  # type: ignore[arg-type,return-value]
    assert "learned" not in told


def test_the_session_starts_from_what_was_learned_and_says_so(kept: Workshop) -> None:
    from loosewell.workshop import bridge, session
    from loosewell.workshop.wish import wish_of

    read(kept, outing("one"))
    bow, archer, found = ash(), wren(), learned(kept)
    loose = bridge.loose_model(archer)
    wish = wish_of(bow, archer, "target", 20.0, None, None, None, None, None, None, None, 1)

    def job(told: Any) -> session.Session:
        return session.Session(
            bow, archer, (), (), wish, loose, 25.0, session.silent, (), told
        )  # fmt: skip

    plain, taught = job(None), job(found)
    before = {one.key: one for one in plain.shared}
    after = {one.key: one for one in taught.shared}
    assert after["loose_push"].spread < before["loose_push"].spread
    assert after["loose_push"].middle > before["loose_push"].middle
    assert after["limb_mass"] == before["limb_mass"]
    assert plain.start is None
    notes = {one.key: one for one in taught.loose.notes}
    assert "learned from 1 outing, the last on 2024-05-30" in notes["loose_push"].error
    assert "assumed before: 7.7 mm" in notes["loose_push"].error
    assert not notes["loose_push"].assumed
    assert notes["loose_travel"] == {one.key: one for one in loose.notes}["loose_travel"]
    # The mixture was seen to half an error: together its parts are narrower than each by itself.
    _, values = taught.values(taught.sweep_inputs, 1024, 1, 3)
    hold = np.log(values["string_hold"]) / 0.07
    push = np.log(values["loose_push"] / 0.0077) / 0.25
    assert np.corrcoef(hold, push)[0, 1] < -0.3
    # The hard stops go by the record and not by what shots seem to say.
    assert taught.minimum_in == pytest.approx(plain.minimum_in, rel=round_off)


def test_what_is_known_of_a_pair_reads_as_sentences(kept: Workshop) -> None:
    assert known.known(kept) == []
    read(kept, outing("one"))
    (one,) = known.known(kept)
    assert (one.bow, one.archer) == ("Ash", "Wren")
    assert one.source == "learned from 1 outing, the last on 2024-05-30"
    assert any("Sideways push of the fingers" in line for line in one.lines)
    (other,) = known.known(kept, "elm", "wren")
    assert other.bow == "Elm"
    assert len(other.lines) == 1
    assert known.known(kept, bow="Elm") == []
    kept.put_aside("Ash", "Wren", "tried out")
    assert known.known(kept) == []
    (line,) = known.set_aside(kept)
    assert "of Ash and Wren (tried out)." in line
