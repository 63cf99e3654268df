"""The bridge between trade units and SI: where a draw weight becomes a force.

Records stay on one side and know no physics, kernels stay on the other and know
no records. A left-handed archer is mirrored here, once, on the way back.

Positions are metres, masses kilograms, angles radians on the far side; the names
without a unit suffix say so.
"""

from loosewell.workshop.bridge.arrow import (
    ELEMENTS,
    FEATHER_GR_PER_IN,
    GLUE_GR,
    NOCK_GR,
    NOCK_PINCH,
    NOCK_PINCH_UNKNOWN,
    VANE_GR_PER_IN,
    ArrowModel,
    Parts,
    arrow_model,
    fitted,
    parts,
    standard_fletching,
    with_point,
)
from loosewell.workshop.bridge.bow import (
    LEAST_READING_IN,
    BowModel,
    bow_model,
)
from loosewell.workshop.bridge.inputs import (
    TRUE_BELOW_STANDARD_IN,
    Assumed,
    inches,
    true_draw_in,
    with_value,
)
from loosewell.workshop.bridge.loose import (
    CHILD_FINGER,
    DRAW_SCATTER_IN,
    HAND_TURN,
    LOOSE_PUSH,
    LOOSE_UNKNOWN,
    PLUCK,
    LooseModel,
    loose_model,
)
from loosewell.workshop.bridge.makes import (
    BOW_LENGTH_IN,
    BRACE_IN,
    ENERGY_RATIO,
    LIMB_ENERGY,
    LIMB_MASS,
    PLATE_OFFSET_IN,
    PLATE_RELAXATION,
    PLATE_RELAXATION_ERROR,
    PLATE_STIFFNESS,
    PLATE_STIFFNESS_UNKNOWN,
    STRING_HOLD,
    STRING_MASS_GR,
    VIRTUAL_MASS,
    VIRTUAL_MASS_STRING_GR,
)
from loosewell.workshop.bridge.profile import (
    DAMPING,
    PIECES,
    Profile,
    shaft_profile,
    uniform_profile,
)
from loosewell.workshop.bridge.shot import (
    DRIVE_STEPS,
    FLETCHING_FOLD,
    NOCK_SERVING,
    PASS_STEPS,
    PENETRATION,
    REACH_BY_COUNT,
    SHELF_WIDTH,
    STATUS_SENTENCES,
    Shots,
    shoot,
)
from loosewell.workshop.bridge.traces import (
    marks,
    spells,
)
from loosewell.workshop.bridge.weather import (
    weather_row,
)

__all__ = [
    "BOW_LENGTH_IN",
    "BRACE_IN",
    "CHILD_FINGER",
    "DAMPING",
    "DRAW_SCATTER_IN",
    "DRIVE_STEPS",
    "ELEMENTS",
    "ENERGY_RATIO",
    "FEATHER_GR_PER_IN",
    "FLETCHING_FOLD",
    "GLUE_GR",
    "HAND_TURN",
    "LEAST_READING_IN",
    "LIMB_ENERGY",
    "LIMB_MASS",
    "LOOSE_PUSH",
    "LOOSE_UNKNOWN",
    "NOCK_GR",
    "NOCK_PINCH",
    "NOCK_PINCH_UNKNOWN",
    "NOCK_SERVING",
    "PASS_STEPS",
    "PENETRATION",
    "PIECES",
    "PLATE_OFFSET_IN",
    "PLATE_RELAXATION",
    "PLATE_RELAXATION_ERROR",
    "PLATE_STIFFNESS",
    "PLATE_STIFFNESS_UNKNOWN",
    "PLUCK",
    "REACH_BY_COUNT",
    "SHELF_WIDTH",
    "STATUS_SENTENCES",
    "STRING_HOLD",
    "STRING_MASS_GR",
    "TRUE_BELOW_STANDARD_IN",
    "VANE_GR_PER_IN",
    "VIRTUAL_MASS",
    "VIRTUAL_MASS_STRING_GR",
    "ArrowModel",
    "Assumed",
    "BowModel",
    "LooseModel",
    "Parts",
    "Profile",
    "Shots",
    "arrow_model",
    "bow_model",
    "fitted",
    "inches",
    "loose_model",
    "marks",
    "parts",
    "shaft_profile",
    "shoot",
    "spells",
    "standard_fletching",
    "true_draw_in",
    "uniform_profile",
    "weather_row",
    "with_point",
    "with_value",
]
