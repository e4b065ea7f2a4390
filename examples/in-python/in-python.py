"""A cupboard light in three lengths, described in Python instead of a parameter file.

Run it in an environment with boardgen; what it makes goes into the folder given, or `boards`.
"""

import sys

import boardgen

cupboard = boardgen.board(
    title="Cupboard light",
    supply="adapter 12 V",
    light={"led": "warm white 2835", "count": 6, "use": "ambience"},
    form={"kind": "bar", "pitch": "25 mm"},
    board={"date": "2026-11-28"},
)
lengths = boardgen.family(cupboard, vary={"light.count": [6, 9, 12]})

for member in lengths.members:
    built = boardgen.build_board(member.parameters)
    milliamperes = 1000 * built.design.circuit.worst_a
    print(f"{member.name}: {milliamperes:.0f} mA at most")
    print(f"  {built.write(sys.argv[1] if len(sys.argv) > 1 else 'boards')}")
