"""Printing and its trouble: closed pipes, full disks, interrupts, faults; never a traceback."""

import errno
import os
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import TypeVar

import click

from boardgen import errors

INTERRUPTED = 130
"""What shells give a program that was stopped from the keyboard: 128 and the signal's number."""

_SLOW_S, _AGAIN_S = 2.0, 10.0
"""Work of more seconds says that it goes on, and again after so many."""

Subject = TypeVar("Subject")
Noted = Callable[[str, errors.BoardgenError], None]
"""Takes a name and what was refused or failed under it."""


def echo(text: str = "", *, to_stderr: bool = False, nl: bool = True) -> None:
    """Print; whoever closed the pipe has seen enough, and the work goes on to its own verdict.

    Raises
    ------
    OutputError
        When the output is full.
    """
    try:
        click.echo(text, err=to_stderr, nl=nl)
    except OSError as error:
        _silence(sys.stderr if to_stderr else sys.stdout)
        if error.errno != errno.EPIPE:
            raise errors.OutputError(
                f"the output cannot be written: {error.strerror or error}"
            ) from None


def _silence(stream: object) -> None:
    """Lead a stream that takes no more into nothing, so that closing it is no trouble either."""
    with suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())  # type: ignore[attr-defined] # a test's stream has none
        os.close(nothing)


def say(lines: Iterable[str], *, to_stderr: bool = False) -> None:
    """Print lines."""
    for line in lines:
        echo(line, to_stderr=to_stderr)


def guarded(
    work: Callable[[Subject], int], subject: Subject, name: str, noted: Noted | None = None
) -> int:
    """Do the work and tell its trouble; ``noted`` takes what was refused along."""
    try:
        return work(subject)
    except errors.BoardgenError as error:
        if noted:
            noted(name, error)
        refused = error.exit_status == errors.REFUSED
        tell(f"{name}: {'refused' if refused else 'failed'}\n{error}")
        return error.exit_status
    except Exception as error:  # noqa: BLE001 - whatever it is, it is ours to mend
        if noted:
            noted(name, errors.BoardgenError(f"{type(error).__name__}: a fault of boardgen"))
        tell(
            f"{name}: failed: {type(error).__name__}: {str(error)[:200]}\n"
            "    this is a fault of boardgen: please report it with the parameter file"
        )
        return errors.OUR_FAULT


def tell(text: str) -> None:
    """Say on the error stream, if that still takes anything."""
    with suppress(errors.OutputError):
        echo(text, to_stderr=True)


def each(
    files: Iterable[Subject],
    work: Callable[[Subject], int],
    noted: Noted | None = None,
    interrupted: Callable[[], str] | None = None,
) -> int:
    """Do the work for every file, whatever happens to the others; return the worst status.

    ``interrupted`` says what stands when the keyboard stops the work.
    """
    try:
        return max(guarded(work, path, str(path), noted) for path in files)
    except KeyboardInterrupt:
        said = f": {interrupted()}" if interrupted else ""
        tell(f"\nstopped{said}")
        return INTERRUPTED


@contextmanager
def patience(name: str) -> Iterator[None]:
    """Say on a terminal that work goes on when it takes more than two seconds."""
    if not sys.stderr.isatty():
        yield
        return
    begun, done = time.monotonic(), threading.Event()

    def remind() -> None:
        wait = _SLOW_S
        while not done.wait(wait):
            tell(f"{name}: still at it after {time.monotonic() - begun:.0f} s …")
            wait = _AGAIN_S

    threading.Thread(target=remind, daemon=True).start()
    try:
        yield
    finally:
        done.set()
