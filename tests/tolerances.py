"""Tolerances by name, in physical units, so that a test says how close is close.

SI where nothing else is said, since kernels speak SI; names ending in a trade
suffix are in that unit. Relative ones say so. A tolerance is chosen by what
the source states or the method can do, never by what makes a test pass.
"""

# Lengths. [m]
one_millimetre = 1e-3
tenth_millimetre = 1e-4
hundredth_millimetre = 1e-5
one_micrometre = 1e-6

# Masses. [kg]
one_gram = 1e-3
tenth_gram = 1e-4
one_milligram = 1e-6
tenth_grain = 6.479891e-6

# Times. [s]
one_millisecond = 1e-3
one_microsecond = 1e-6

# Angles. [rad]
one_degree = 0.017453292519943295
tenth_degree = 0.0017453292519943295
one_microradian = 1e-6

# Speeds. [m/s]
one_foot_per_second = 0.3048
tenth_metre_per_second = 0.1
one_millimetre_per_second = 1e-3

# Forces, impulses, energies. [N], [N s], [J]
one_newton = 1.0
one_millinewton = 1e-3
one_millinewton_second = 1e-3
one_millijoule = 1e-3

# Trade units, as their names say.
tenth_grain_gr = 0.1
one_grain_gr = 1.0
thousandth_inch_in = 0.001
sixty_fourth_inch_in = 1.0 / 64.0
sixteenth_inch_in = 1.0 / 16.0
hundredth_pound_lb = 0.01
tenth_pound_lb = 0.1
tenth_yard_yd = 0.1
one_pound_lb = 1.0
tenth_fps = 0.1
tenth_percent_percent = 0.1

# On paper. [pt]
half_point_pt = 0.5
hundredth_point_pt = 0.01

# Relative: half a unit in the last figure a source states, at its worst (a first figure of 1).
stated_to_two_figures = 5e-2
stated_to_three_figures = 5e-3
stated_to_four_figures = 5e-4
stated_to_five_figures = 5e-5
stated_to_six_figures = 5e-6

# Relative: what the arithmetic or a method can do.
round_off = 1e-12
exact_factors = 1e-15
# A small set of linear equations solved and put back together.
solved = 1e-9
one_percent = 1e-2
tenth_of_a_percent = 1e-3
