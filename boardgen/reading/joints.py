"""Boards that are joined end to end: what cannot be, with what would."""

from boardgen.model.form_section import FORM_KEYS, LINES, ROWS
from boardgen.model.sections import IN_THE_ROUND, JOINT_LANDS, SITES
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile

_KIND = ("connector", "kind")


def check_joint(reader: Reader, sections: ParameterFile) -> None:
    """Refuse what has no two ends, and what would not fit or work from board to board."""
    form, connector = sections.form, sections.connector
    if sections.joint.first == "another" and connector.kind != JOINT_LANDS:
        reader.refuse(
            ("joint", "first"),
            "this board has a connector of its own: it is the one that is fed",
            f'drop it, or write connector.kind = "{JOINT_LANDS}" for the boards behind it',
        )
    if not sections.joint.joined:
        if connector.kind == JOINT_LANDS:
            reader.refuse(
                _KIND,
                f'"{JOINT_LANDS}" are the first end of boards that are joined',
                "write joint.boards = 2, or another connector",
            )
        return
    if form.kind not in (*LINES, "bar") or form.rows > 1 or form.goes_round or form.outlined:
        several = " of several rows" if form.rows > 1 else ""
        closed = " that is closed" if form.kind == "path" else ""
        within = form.named.removeprefix(form.kind)
        reader.refuse(
            ("joint", "boards"),
            f"a {form.kind}{several or closed}{within} has no two ends to join others to",
            "make it a bar of one row, an arc or an open path, or write boards = 1",
        )
        return
    if form.facing not in {None, "along"} and "facing" in FORM_KEYS[form.kind]:
        reader.refuse(
            ("form", "facing"),
            f'LEDs that face "{form.facing}" leave no rail from end to end, on which the next board'
            " hangs",
            'write facing = "along", or joint.boards = 1',
        )
    _check_way_in(reader, sections)
    if form.kind in ROWS:
        _check_bar(reader, sections)


def _check_way_in(reader: Reader, sections: ParameterFile) -> None:
    """Hold the way in against the next board's: the same side, and nothing between the boards."""
    connector, guard = sections.connector, sections.protection
    if connector.side == "bottom" and sections.copper.sides > 1:
        reader.refuse(
            ("connector", "side"),
            "with the connector below, + and − lie the other way round than on the next board",
            'write side = "top"',
        )
    if connector.kind != JOINT_LANDS:
        return
    found = {
        ("protection", "fuse"): guard.fuse,
        ("protection", "reverse"): guard.reverse if guard.reverse != "none" else None,
        ("connector", "switch"): connector.switch,
    }
    if sections.joint.first == "another":  # guards are those of the board that is fed
        found = {("connector", "switch"): connector.switch}
    for where, name in found.items():
        if name:
            reader.refuse(
                where,
                f'"{name}" would stand on each of {sections.joint.boards} boards, in one line',
                "make a first board of another file that has it and another connector; here write"
                ' joint.first = "another": guards are then those of that board, and counted',
            )


def _check_bar(reader: Reader, sections: ParameterFile) -> None:
    """Refuse what belongs to bars that stand alone: ends of their own, screws there."""
    for key, why in (
        ("length", "follows from the pitch, which goes on from board to board"),
        ("corner", "is none where boards meet"),
    ):
        if ("form", key) in reader.lines:
            reader.refuse(("form", key), why, "drop it, or write joint.boards = 1")
    if sections.connector.amid:
        reader.refuse(
            ("connector", "at"),
            "the supply of boards that are joined comes in at an end of their line",
            'write at = "left" for the first end, "right" for the last one',
        )
    at = sections.mounting.at
    if ("mounting", "at") in reader.lines and at not in (*IN_THE_ROUND, SITES, "none"):
        reader.refuse(
            ("mounting", "at"),
            "a bar that is joined to others has no ends of its own for screws",
            'write at = "none", or give the places of its screws',
        )
