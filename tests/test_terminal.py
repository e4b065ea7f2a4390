"""What a shell sees: closed pipes, full outputs, the keyboard, and documents that parse."""

import json
import os
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from boardgen.cli import main
from tests.conftest import SHELF, SMALLEST, every, merged

PROGRAM = f"{sys.executable} -m boardgen"
BAD = merged(SMALLEST, {"light": {"count": 900}, "form": {"pitch": "0.1 mm"}})


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "bad.toml"
    path.write_text(BAD, encoding="utf-8")
    return path


def shell(line: str, folder: Path) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        ["/usr/bin/env", "bash", "-o", "pipefail", "-c", line],
        cwd=folder, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip


@pytest.mark.parametrize("reader", every(["head -1", "head -0", "true"], lambda at: at == 0))
def test_a_reader_that_closes_the_pipe_does_not_make_a_bad_board_good(
    bad: Path, reader: str
) -> None:
    alone = shell(f"{PROGRAM} check {bad.name}", bad.parent).returncode
    assert alone in {1, 2}
    piped = shell(f"{PROGRAM} check {bad.name} 2>&1 | {reader}", bad.parent)
    assert piped.returncode == alone, piped.stderr
    assert "Traceback" not in piped.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
@pytest.mark.parametrize(
    "command", ["check lamp.toml", "check lamp.toml --format json", "rules", "schema", "parts"]
)
def test_a_full_output_is_no_fault_of_boardgens(command: str, tmp_path: Path) -> None:
    (tmp_path / "lamp.toml").write_text(SMALLEST, encoding="utf-8")
    done = shell(f"{PROGRAM} {command} > /dev/full", tmp_path)
    assert done.returncode not in {0, 3}
    assert "fault of boardgen" not in done.stderr
    assert "Traceback" not in done.stderr
    assert "cannot be written" in done.stderr


def test_the_keyboard_stops_a_family_with_130_and_a_word_on_what_is_new(tmp_path: Path) -> None:
    counts = list(range(3, 13))
    text = f'{SHELF}[family]\nfile_name = "bar-{{count}}"\n[family.vary]\nlight.count = {counts}\n'
    (tmp_path / "bars.toml").write_text(text, encoding="utf-8")
    running = subprocess.Popen(
        [sys.executable, "-m", "boardgen", "build", "bars.toml", "-o", "out"],
        cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        # A run in the background hands on that the keyboard is not listened to.
        preexec_fn=partial(signal.signal, signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - no threads
    )  # fmt: skip
    for _ in range(600):
        if (tmp_path / "out/bar-3/build.json").exists():
            break
        time.sleep(0.05)
    running.send_signal(signal.SIGINT)
    _, said = running.communicate(timeout=60)
    assert running.returncode == 130, said
    assert "Traceback" not in said
    assert "bar-3" in said
    assert not [path for path in (tmp_path / "out").iterdir() if path.name.startswith(".")]


def run(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, [str(one) for one in arguments])
    return done.exit_code, done.stdout


@pytest.mark.parametrize("command", ["build", "check", "explain"])
def test_a_refusal_is_json_where_json_is_asked_for(command: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(merged(SMALLEST, {"light": {"count": "eight"}}), encoding="utf-8")
    out = ["-o", tmp_path / "out"] if command == "build" else []
    status, said = run(command, path, *out, "--format", "json")
    assert status == 2
    assert "light.count" in json.dumps(json.loads(said))


def test_verify_of_nothing_is_json_too(tmp_path: Path) -> None:
    status, said = run("verify", tmp_path, "--format", "json")
    assert status == 2
    assert json.loads(said)


def test_a_familys_explanations_are_one_document(tmp_path: Path) -> None:
    path = tmp_path / "bars.toml"
    path.write_text(
        SHELF + '[family]\nfile_name = "bar-{count}"\n[family.vary]\nlight.count = [3, 4]\n',
        "utf-8",
    )
    status, said = run("explain", path, "--format", "json")
    assert status == 0
    text = json.dumps(json.loads(said))
    assert "bar-3" in text
    assert "bar-4" in text


@pytest.mark.thorough
def test_a_family_says_a_finding_once_with_the_members_that_have_it(tmp_path: Path) -> None:
    path = tmp_path / "bars.toml"
    path.write_text(
        merged(SHELF, {"light": {"current": "0.3 mA", "use": None}})
        + '[family]\nfile_name = "bar-{count}"\n[family.vary]\nlight.count = [3, 4, 5]\n',
        "utf-8",
    )
    done = CliRunner().invoke(main, ["build", str(path), "-o", str(tmp_path / "out")])
    said = done.stdout + done.stderr
    assert done.exit_code == 0
    assert said.count("light.faint") == 1, said
    assert said.count("warning light.faint") == 1, said
    assert said.count("compare lands and holes") == 1
    assert said.count("Everything here is calculated") == 1
    assert "digest" not in said


def test_parts_are_one_line_each_and_sources_are_asked_for() -> None:
    _, plain = run("parts")
    _, told = run("parts", "--sources")
    assert "source" not in plain.lower().replace("--sources", "")
    assert len(told.splitlines()) > 1.5 * len(plain.splitlines())
    (line,) = [one for one in plain.splitlines() if one.strip().startswith('"white 2835"')]
    assert "2.8 / 3 / 3.3 V" in line


def test_keys_are_told_by_a_pattern() -> None:
    status, said = run("keys", "form.pitch")
    assert status == 0
    assert "form.pitch" in said
    assert "mm" in said
    status, none = run("keys", "zzz")
    assert status == 2
    assert not none
