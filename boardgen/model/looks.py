"""The numbers behind the rules of looks: own choices, no source."""

GRID_NOISE_MM = 1e-4
PITCH_NOISE_MM = 0.001
MIDDLE_MM = 0.5
"""How far the light may lie from the board's middle."""
CORNER_MM = (1.0, 3.0)
CORNER_SHARE = 0.25
"""Radius of the corners, and its most as a share of the width."""
SIDE_MM = 2.0
"""The shortest straight piece of an outline."""
TEXT_SIZES = 3
STROKE_SHARE = (0.13, 0.18)
STROKE_MM = 0.15
BESIDE_MM = 0.1
NAME_GAP_MM = (0.3, 1.0)
"""A reference stands in the middle of its part, and so far from the body."""
NAME_ASKEW_MM = 0.5
"""Upright letters beside a part askew may stand so much further off."""
SIGN_MM = 2.0
SIGN_REACH_MM = 3.0
FACE_MM = 0.5
"""How far a connector's face may stand over the edge."""
PAGE_MM = 1.0
"""How far the back's words may lie from the middle."""
NAME_BOX_MM = (25.0, 6.0)
TRACK_STEP_DEG = 45.0
SPINE_DEG = 10.0
"""How far a track may run askew to the line of its LEDs: links are chords of it."""
BENDS = 2
WIDTHS = 3
DETOUR_RATIO = 2.0
DETOUR_MM = 10.0
DROP_SHARE = 0.7
DROP_LENGTH = 0.5
"""A track narrower than this share of a round land widens for this share of its diameter."""
FILLED_SHARE = 0.6
FILLED_APART = 0.25
POUR_NOISE_MM = 0.001
FINGER_RATIO = 3.0
FINGER_MM = 1.0
HAND_MM = 1.0
"""Bare copper keeps so far from the edges, where fingers hold the board."""
LIT_MM = 2.0
"""So far around an LED nothing but its own branch and marks takes up its light."""
