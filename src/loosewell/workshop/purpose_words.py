"""What is said of each purpose: what the arrow is, why so, and what to mind, in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from loosewell.workshop.answer import Notice

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Words:
    """The arrow in words: what is built, and for what reason each part is as it is."""

    title: str
    build: tuple[tuple[str, str], ...]
    why: tuple[str, ...]


WORDS = {
    "target": Words(
        "Target",
        (
            ("Point", "a plain field point"),
            ("Fletching", "three feathers, 4 in, cut low"),
        ),
        (
            "It is the plain arrow that the others are compared with.",
            (
                "Alike matters more than any one figure: the same mass, spine and length all "
                "through "
                "the set."
            ),
        ),
    ),
    "field": Words(
        "Field",
        (
            ("Point", "a plain field point"),
            ("Fletching", "three feathers, 4 in, cut low"),
        ),
        (
            (
                "Distances change from shot to shot, marked ones and unmarked ones: know your "
                "gaps, "
                "and what a misjudged distance costs."
            ),
            "Slopes and stones: carry spares of the same set.",
        ),
    ),
    "3D": Words(
        "3D",
        (
            ("Point", "a plain field point about as wide as the shaft, so that it pulls out"),
            ("Fletching", "three feathers, 4 in, cut low"),
        ),
        (
            "Distances are not marked: what a misjudged distance costs counts most.",
            "Foam holds a point that is wider than its shaft.",
        ),
    ),
    "stumping": Words(
        "Stumping",
        (
            ("Point", "a blunt or a spring-arm point, as heavy as on your other arrows"),
            ("Fletching", "three feathers, 5 in"),
            ("Shaft", "the strongest of the leftovers; a footing pays here"),
        ),
        (
            "A blunt does not bury itself in wood or under grass, so that the arrow is found.",
            "Keep its mass and balance as on your other arrows, so that it trains the same aim.",
        ),
    ),
    "small game": Words(
        "Small game",
        (
            ("Point", "a blunt at least as wide as the shaft"),
            ("Fletching", "three feathers, 5 in"),
        ),
        (
            "A blunt hits with its full face and does not bury itself.",
            "Its flat face brakes: farther out it is slower than a field point of the same mass.",
        ),
    ),
    "flu-flu": Words(
        "Aerial shots and small game with flu-flus",
        (
            ("Point", "a blunt"),
            (
                "Fletching",
                (
                    "four or six feathers of 5 to 5.5 in left at full height (0.9 to 1.2 in), "
                    "or one "
                    f"or two wound round in a spiral ({PRACTICE})"
                ),
            ),
        ),
        (
            (
                "Large feathers brake the arrow, so that a miss comes down nearer. How near "
                "depends on "
                "the feathers, their cut, the bow and the wind, and is measured, not read off a "
                "table."
            ),
            "Feathers wear and are ruffled: a worn flu-flu flies farther than a new one.",
        ),
    ),
    "fishing": Words(
        "Fishing",
        (
            ("Point", "a barbed or springing fish point, heavy"),
            ("Fletching", "none: feathers turn the arrow in the water"),
            (
                "Line",
                "on a slide or at the front of the shaft, so that it runs ahead of the string",
            ),
        ),
        (
            (
                "With so much mass at the front a bare shaft stays point first over a few yards; "
                f"under about 20 ft ({PRACTICE})."
            ),
            (
                "The fish is deeper than it looks, so the aim lies below it; by how much is a "
                "matter of "
                "angle and depth, and is practised."
            ),
        ),
    ),
    "hunting": Words(
        "Hunting",
        (
            ("Point", "a broadhead, sharp; tuned last, after field points of the same mass fly"),
            ("Fletching", "three feathers, 5 in, more when the head is wide"),
        ),
        (
            "A wide head steers from the front: feathers have to hold against it.",
            (
                "The figures below are numbers and nothing more. None of them stands in for a "
                "sharp "
                "head, for where it strikes, or for the rules of the place."
            ),
        ),
    ),
    "long shot": Words(
        "Long shot",
        (
            ("Point", "light and slim"),
            ("Fletching", "three low feathers, 2 1/4 in"),
            ("Shaft", "thin for its spine; never lighter than the bow's maker allows"),
        ),
        (
            "Less mass leaves faster, less surface brakes less: both carry farther.",
            (
                "What is gained in speed is paid in the bow: the lighter the arrow, the nearer "
                "it is to "
                "a dry loose."
            ),
        ),
    ),
}


def cautions(purpose: str) -> list[Notice]:
    """What a purpose asks people to mind, beyond what holds for any arrow.

    Parameters
    ----------
    purpose : str
        Its name. [text]

    Returns
    -------
    notices : list of Notice
        May be empty. [text]

    Source
    ------
    Common practice, no source.
    """
    blunt = Notice(
        "blunts-bounce",
        "Blunts do not stop where they hit: they bounce off wood and stone, sideways and back, and "
        "can kill. Nobody ahead of the line, and nobody beside the thing shot at.",
    )
    by_purpose = {
        "field": [
            Notice(
                "known-stop",
                "Never shoot over a crest, up, or without a known stop behind the target.",
            )
        ],
        "stumping": [
            blunt,
            Notice(
                "stumps",
                "Soft, rotten stumps in front of a bank, no stones, no standing trees beside "
                "paths; "
                "one shoots at a time.",
            ),
        ],
        "small game": [blunt],
        "flu-flu": [
            blunt,
            Notice(
                "flu-flu-far",
                "A flu-flu slows down; that does not make it harmless, and the ground beyond the "
                "distance below is not free of danger. The whole ground under every way the arrow "
                "may be loosed is kept empty.",
            ),
        ],
        "fishing": [
            Notice(
                "skips",
                "An arrow can skip off the water and off stones on the bottom, and a line can pull "
                "it back. Nobody ahead of the bow, and look at what lies beyond the fish.",
            ),
            Notice(
                "know-the-fish",
                "Know the fish and the water's rules before drawing; eyes covered, a knife at hand "
                "to cut the line.",
            ),
        ],
        "hunting": [
            Notice(
                "hunting-rules",
                "Bow weight, arrow mass and head are ruled by the place and its season: read the "
                "rule that holds where you stand. Broadheads are tuned last.",
            ),
            Notice(
                "broadheads-cut",
                "Broadheads cut people: covered until they are nocked, never in an open quiver.",
            ),
        ],
        "long shot": [
            Notice(
                "whole-field",
                "The whole ground as far as the longest figure below, and well to both sides, is "
                "seen and empty before each shot, and somebody watches for walkers.",
            ),
            Notice(
                "never-up",
                "Never straight up, never beyond what you can see to the end.",
            ),
        ],
    }
    by_purpose["3D"] = by_purpose["field"]
    return by_purpose.get(purpose, [])
