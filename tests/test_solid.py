"""Solids read back by an outside reader: sizes, holes, parts, marks.

Lengths in metres and y upwards are of glTF 2.0 (Khronos, from memory); what must be
in it is our own.
"""

import io
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner

from boardgen.cli import main
from boardgen.model.board import PartKind
from boardgen.model.design import Design
from boardgen.pages.bodies import BLACK
from boardgen.pages.solid import solid_file
from tests.conftest import RING, ROOT, SHELF, design_of, every

BADGE = (ROOT / "examples/coin-badge/coin-badge.toml").read_text("utf-8")
CORNER = (ROOT / "examples/corner-lamp/corner-lamp.toml").read_text("utf-8")
BOARDS = {"bar": SHELF, "ring": RING, "coin cell": BADGE, "terminal below": CORNER}


def read(design: Design) -> Any:
    return trimesh.load_scene(io.BytesIO(solid_file(design).content), file_type="glb")


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at < 1))
def test_a_solid_is_as_large_as_the_board_and_drilled(name: str) -> None:
    design = design_of(BOARDS[name])
    scene, outline = read(design), design.board.outline
    board = scene.geometry["board"]
    wide, thick, deep = board.extents * 1000
    assert (wide, deep) == pytest.approx((outline.length_mm, outline.width_mm), abs=0.01)
    assert thick == pytest.approx(design.parameters.order.thickness_mm)
    drilled = sum(np.pi * (hole.diameter_nm / 2e6) ** 2 for hole in design.artwork.holes)
    assert board.is_watertight
    assert board.volume * 1e9 == pytest.approx((outline.area_mm2 - drilled) * thick, rel=2e-3)
    assert {part.reference for part in design.board.parts if part.kind.row.bought
            and part.pattern.height_mm} <= set(scene.geometry)  # fmt: skip


@pytest.mark.parametrize("name", every(BOARDS, lambda at: at == 1))
def test_marks_lie_over_the_lands_that_they_mark_and_on_the_parts_side(name: str) -> None:
    design = design_of(BOARDS[name])
    scene, thick = read(design), design.parameters.order.thickness_mm
    dark = trimesh_colour(BLACK)
    for part in design.board.parts:
        if part.kind is not PartKind.LED:
            continue
        marks = [
            mesh
            for mesh_name, mesh in scene.geometry.items()
            if mesh_name.startswith(f"{part.reference}.")
            and tuple(mesh.visual.material.baseColorFactor) == dark
        ]
        (mark,) = marks
        x, up, away = mark.centroid * 1000
        at = {land.name: part.land_place(land) for land in part.pattern.lands}
        nearest = min(at, key=lambda land: np.hypot(at[land][0] - x, at[land][1] + away))
        assert nearest == part.pattern.marked_land
        assert up > thick if part.side.value == "top" else up < 0


def trimesh_colour(colour: str) -> tuple[int, ...]:
    """Give a screen's colour as glTF has it, in bytes."""
    linear = [((b / 255 + 0.055) / 1.055) ** 2.4 for b in bytes.fromhex(colour[1:])]
    return (*(round(255 * share) for share in linear), 255)


def test_the_command_writes_one_file_that_anyone_opens(tmp_path: Path) -> None:
    file = tmp_path / "shelf.toml"
    file.write_text(SHELF, "utf-8")
    done = CliRunner().invoke(main, ["solid", str(file), "-o", str(tmp_path)])
    assert done.exit_code == 0, done.output
    content = (tmp_path / "shelf-solid/board.glb").read_bytes()
    assert content[:8] == b"glTF\x02\0\0\0"
    assert content == solid_file(design_of(SHELF)).content


def test_without_its_library_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("boardgen.commands.solid.find_spec", lambda _: None)
    file = tmp_path / "shelf.toml"
    file.write_text(SHELF, "utf-8")
    done = CliRunner().invoke(main, ["solid", str(file), "-o", str(tmp_path / "out")])
    assert done.exit_code == 2
    assert "boardgen[3d]" in done.output
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(
    "BOARDGEN_GLTF" not in os.environ, reason="BOARDGEN_GLTF names no gltf-validator"
)
@pytest.mark.parametrize("name", BOARDS)
def test_an_outside_validator_finds_no_error(name: str, tmp_path: Path) -> None:
    """Khronos's validator (Apache-2.0, npm's gltf-validator), its folder named by BOARDGEN_GLTF."""
    path = tmp_path / "board.glb"
    path.write_bytes(solid_file(design_of(BOARDS[name])).content)
    script = (
        f"require({os.environ['BOARDGEN_GLTF']!r}).validateBytes(new Uint8Array(require('fs')"
        f".readFileSync({str(path)!r}))).then(r => console.log(JSON.stringify(r.issues)))"
    )
    said = subprocess.run(
        [shutil.which("node") or "node", "-e", script], capture_output=True, text=True, check=True
    ).stdout
    issues = json.loads(said)
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0)
