"""Reading the target: from what was seen to what lies behind it, the next step, what was learned.

faults    what may be wrong beyond the usual errors, and how the engine shoots it
worlds    samples of bow, archer, arrow and faults, and what each would show
evidence  how well a world explains what was seen; what can be integrated out is
weigh     evidence against the worlds: how probable each cause is
step      the one next change or test
groups    group size, fliers, bare against fletched, without the engine
"""
