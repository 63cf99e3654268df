"""A question to the engine as people type it, the same at the command line and on the page."""

from __future__ import annotations

import re
from collections.abc import Mapping

from loosewell.errors import Refusal, UnitRefusal
from loosewell.units import quantity
from loosewell.workshop import ask

FIELDS = (
    "bow",
    "archer",
    "purpose",
    "distance",
    "point",
    "length",
    "temperature",
    "altitude",
    "wind",
)

_SIDED = re.compile(r"^(?P<speed>.*?)[\s,]+(?P<way>to the |from the |from )?(?P<side>left|right)$")


def wind_left_fps(typed: str) -> float:
    """A wind across the line of aim, as typed with the side it pushes to.

    Parameters
    ----------
    typed : str
        Such as "5 mph left", "2 m/s from the left" or "calm". [text]

    Returns
    -------
    wind : float
        Toward the left as seen from behind the archer. [fps]

    Source
    ------
    House style.
    """
    told = " ".join(typed.split()).lower()
    if told in ("calm", "still", "none"):
        return 0.0
    found = _SIDED.match(told)
    if found is None:
        if quantity(typed, "fps", what="Wind") == 0.0:
            return 0.0
        raise UnitRefusal(
            f"Wind was given as '{typed}' without a side. Add the side it pushes the arrow to, "
            "as seen from behind the archer, such as 5 mph left; or type calm.",
            code="wind_side",
        )
    speed = quantity(found["speed"], "fps", what="Wind")
    if speed < 0.0:
        raise UnitRefusal(
            f"Wind was given as '{typed}', with a minus sign and a side. Leave out the sign and "
            "name the side it pushes to, such as 5 mph left.",
            code="wind_side",
        )
    left = (found["side"] == "left") != (found["way"] or "").startswith("from")
    return speed if left else -speed


def question(typed: Mapping[str, str | None]) -> ask.Question:
    """The question in what was typed; a refusal says which field is wrong and how to type it.

    Parameters
    ----------
    typed : mapping of str to str or None
        By the names in FIELDS; what is empty or missing was not said. [text]

    Returns
    -------
    question : Question
        In trade units. [trade units]

    Source
    ------
    House style.
    """
    said = {name: (typed.get(name) or "").strip() for name in FIELDS}
    for name, article in (("bow", "a bow"), ("archer", "an archer")):
        if not said[name]:
            raise Refusal(f"No {name} was chosen. Choose {article} from the list.", code="missing")

    def value(name: str, unit: str, what: str) -> float | None:
        return quantity(said[name], unit, what=what) if said[name] else None

    return ask.Question(
        bow=said["bow"],
        archer=said["archer"],
        purpose=said["purpose"] or "target",
        distance_yd=value("distance", "yd", "Distance"),
        point_weight_gr=value("point", "gr", "Point weight"),
        length_in=value("length", "in", "Arrow length"),
        temperature_f=value("temperature", "degF", "Temperature"),
        altitude_ft=value("altitude", "ft", "Altitude"),
        wind_left_fps=wind_left_fps(said["wind"]) if said["wind"] else None,
    )
