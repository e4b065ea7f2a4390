"""What counts as the same: the tolerances that stages share, each with its reason.

None is a limit of the trade: those are in ``model/limits.py`` and the houses' files. What a single
module alone decides, how sharp a bend or how thin a sliver, stays beside its use.
"""

SAME_SHARE = 1e-9
"""Values that agree to nine digits are the same: they come from decimal text and float sums."""

HAIR_MM = 1e-6
"""A nanometre, the step in which copper is drawn: exactly at a limit passes, boxes that touch do
not meet, and of plain shares it is far less than a micrometre makes of them."""

FLOAT_MM = 1e-9
"""Float noise of millimetres, which decides nothing: the layout asks with so much to spare."""

CHORD_MM = 0.002
"""Kept beyond a limit that arcs, cut into chords, could else touch."""

JOINED_OHM = 1e-9
"""What a network has where two nodes are one: far less than any copper that counts."""

READ_NM = 1_000
"""A micrometre: what re-read places may differ, because lands tabled in mils round differently."""

SLIVER_NM = 1_500.0
"""Pieces thinner than twice this come from chords that stand for arcs: they are no copper."""

ROUNDING_NM = 2
"""What the grid leaves of a distance."""
