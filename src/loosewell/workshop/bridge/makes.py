"""What is taken for a bow of a make when its own figure was not recorded, and on what grounds."""

from __future__ import annotations

# Assumptions by make. All are common practice, no source, unless a source is named.
BRACE_IN = {"plain wooden": 6.25, "backed": 6.5, "reflex-deflex": 7.0, "recurve": 8.0}
BOW_LENGTH_IN = {"plain wooden": 68.0, "backed": 66.0, "reflex-deflex": 64.0, "recurve": 62.0}
PLATE_OFFSET_IN = {"plain wooden": 0.40, "backed": 0.30, "reflex-deflex": 0.10, "recurve": -0.05}

# Stored energy over full-draw force times stroke: plain wooden 0.50 to 0.55 (common practice, no
# source), recurves 0.58 to 0.60 (Tuijn and Kooi 1992, Eur. J. Phys. 13, Table I).
ENERGY_RATIO = {
    "plain wooden": (0.520, 0.015),
    "backed": (0.530, 0.018),
    "reflex-deflex": (0.555, 0.018),
    "recurve": (0.588, 0.010),
}

# Virtual mass with a light string: 12.2, 15.9 and 12.8 g for three wooden bows (Hickman, Effect of
# String Weight, in Archery: the Technical Side, 1947); 14.2 g from Pope's arrows (restated 1942).
VIRTUAL_MASS = (0.0140, 0.0018)
VIRTUAL_MASS_STRING_GR = 150.0

# Both limbs as if at their tips, for a bow that stores LIMB_ENERGY. No source: about a fifth of the
# mass of each tapered limb of a longbow of 0.6 to 0.7 kg. Smaller bows carry less.
LIMB_MASS = (0.105, 0.10)
LIMB_ENERGY = 55.0

# What the string's tension holds sideways against what it pulls forward: the geometry says 1. The
# error stands for limbs that give sideways and for a braced string tighter than a smooth draw curve
# tells.
STRING_HOLD = (1.0, 0.07)
STRING_MASS_GR = {
    "polyester": 160.0,
    "low-stretch": 110.0,
    "linen": 220.0,
    "hemp": 240.0,
    "nylon": 260.0,
    "sinew": 300.0,
}

# Modulus of the strands over their linear density. [N/tex] Polyester, nylon and low-stretch fibre
# from the fibre table of a rope-technology paper; flax, hemp and sinew from memory.
STRING_MODULUS = {
    "polyester": 10.0,
    "low-stretch": 100.0,
    "linen": 25.0,
    "hemp": 25.0,
    "nylon": 6.0,
    "sinew": 1.2,
}
STRAND_SHARE = 0.8
"""Part of a string's mass that is strands and not serving or loops. Common practice, no source."""
STRING_SHORTER_IN = 3.0
"""A braced string is this much shorter than its bow: trade association of bow makers, 1987."""
NOCKING_HEIGHT_IN = 0.375
"""Usual underside of the arrow above square. [in] Common practice, no source."""

# Strike plate, as a spring: hard against the arrow, so that its figure hardly matters. No
# measurement of a strike plate was found; modelling choices.
PLATE_STIFFNESS = {
    "leather": 50000.0,
    "hide with hair": 25000.0,
    "felt": 25000.0,
    "bare wood": 100000.0,
    "horn or bone": 100000.0,
    "plastic": 70000.0,
}
PLATE_STIFFNESS_UNKNOWN = 50000.0
PLATE_RELAXATION = 0.0004
PLATE_RELAXATION_ERROR = 0.4

NOCK_SERVING = 0.0002
"""Of the string's mass, what moves sideways with the nock at once: the serving under it. [kg]
A sideways wave takes about 4 ms to the limb tips, so the rest acts by its tension only; along the
arrow a third of the string counts, and is in the virtual mass."""
NOCK_SERVING_ERROR = 0.5
"""Its relative error: nobody has measured it. [-] Modelling choice, no source."""
