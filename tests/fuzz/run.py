"""Random bytes into verify's readers: every answer is a judgement or a clear error.

Hypothesis draws how good files are changed (bytes flipped, cut, repeated, spliced in, lines moved;
digests made right again half of the time, so that what lies behind them is reached) and how zips
are. Run by hand: `python tests/fuzz/run.py [SECONDS]`, ten minutes without; it prints the count.
"""

import sys
import tempfile
import time
import zipfile
from collections import Counter
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from boardgen.errors import PackageError  # noqa: E402 - needs the path above
from boardgen.readback.package import load_files  # noqa: E402
from boardgen.readback.prove import prove  # noqa: E402
from tests.conftest import SMALLEST, built_of, merged  # noqa: E402
from tests.readback.damage import sealed  # noqa: E402
from tests.readback.test_proof import files_of  # noqa: E402

BOARDS = (SMALLEST, merged(SMALLEST, {"order": {"house": "home-etched"}}))
WORDS = (
    b"%", b"*", b"\n", b"D01*", b"D03*", b"G36*", b"G37*", b"%LPC*%", b"%LPD*%", b"M02*", b"X0Y0",
    b"-", b"0", b"99999999999", b"1e9", b"\x00", b"\xff", b"T01", b"M30", b"999", b"317", b"{",
    b"}", b"[", b"null", b"NaN", b"1e999", b'"Size"', b"%AB", b"%SR", b"G74*",
)  # fmt: skip


def with_another_digit(draw: st.DrawFn, content: bytes) -> bytes:
    """Change one digit of the body: the form stays sound, the meaning does not."""
    places = [at for at, letter in enumerate(content) if chr(letter).isdigit()]
    if not places:
        return content
    at = places[draw(st.integers(0, len(places) - 1))]
    return content[:at] + str(draw(st.integers(0, 9))).encode() + content[at + 1 :]


@st.composite
def changed(draw: st.DrawFn) -> tuple[int, str, bytes]:
    """Change one file of a good package."""
    board = draw(st.integers(0, len(BOARDS) - 1))
    files = files_of(built_of(BOARDS[board]))
    name = draw(st.sampled_from(sorted(files)))
    content = files[name]
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(content)))
        end = min(len(content), at + draw(st.integers(0, 40)))
        way = draw(st.integers(0, 7))
        piece = draw(st.one_of(st.sampled_from(WORDS), st.binary(max_size=12)))
        if way == 0:
            content = content[:at] + piece + content[end:]
        elif way == 1:
            content = content[:at] + content[end:]
        elif way == 2:
            content = content[:end] + content[at:]
        elif way == 3:
            lines = content.split(b"\n")
            one, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
            lines[one], lines[other] = lines[other], lines[one]
            content = b"\n".join(lines)
        elif way == 4:
            content = content[:at] + piece + content[at:]
        else:
            content = with_another_digit(draw, content)
    if name.endswith(".gbr") and draw(st.booleans()):
        content = sealed(content.decode("utf-8", "surrogateescape"))
    return board, name, content


@st.composite
def zips(draw: st.DrawFn) -> bytes:
    """Change the bytes of a good zip."""
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", draw(st.sampled_from([0, 8]))) as archive:
        for name, content in files_of(built_of(BOARDS[0])).items():
            archive.writestr(name, content[:300])
    changed = bytearray(buffer.getvalue())
    for _ in range(draw(st.integers(1, 6))):
        changed[draw(st.integers(0, len(changed) - 1))] = draw(st.integers(0, 255))
    return bytes(changed[: draw(st.integers(0, len(changed)))] if draw(st.booleans()) else changed)


SEEN: Counter[str] = Counter()


def judge(files: dict[str, bytes]) -> None:
    """Judge; anything but a judgement is raised."""
    proof = prove(files)
    SEEN["holds" if proof.holds else proof.differences[0].kind.value] += 1


def laws() -> tuple[Callable[[], None], Callable[[], None]]:
    """Make the two laws anew: each run has a seed of its own."""

    @given(changed())
    def of_files(drawn: tuple[int, str, bytes]) -> None:
        board, name, content = drawn
        judge({**files_of(built_of(BOARDS[board])), name: content})

    @given(zips())
    def of_zips(content: bytes) -> None:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "fuzz.zip"
            path.write_bytes(content)
            try:
                load_files(path)
                SEEN["read"] += 1
            except PackageError:
                SEEN["refused"] += 1

    return of_files, of_zips


def main() -> None:
    """Fuzz for some minutes and tell how much."""
    until = time.monotonic() + float(sys.argv[1] if len(sys.argv) > 1 else 600)
    number = int(time.time())
    calm = settings(
        max_examples=400, database=None, deadline=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck), print_blob=True,
    )  # fmt: skip
    while time.monotonic() < until:
        number += 1
        for law in laws():
            seed(number)(calm(law))()
    print(sum(SEEN.values()), "inputs:", dict(SEEN.most_common()))  # noqa: T201


if __name__ == "__main__":
    main()
