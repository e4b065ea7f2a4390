"""Two folders exchange their names in one step, where the system knows how."""

import ctypes
import os
from pathlib import Path

_HERE = -100
"""AT_FDCWD: paths count from the current folder."""

_LINUX_EXCHANGE, _MAC_SWAP = 2, 2


def exchange(first: Path, second: Path) -> bool:
    """Exchange two names that exist; False where the system cannot, and then nothing is changed.

    Linux has ``renameat2`` with RENAME_EXCHANGE since 3.15, macOS ``renamex_np`` with RENAME_SWAP
    since 10.12; not every file system knows them.
    """
    try:
        library = ctypes.CDLL(None, use_errno=True)
    except (OSError, TypeError):
        return False
    one, other = os.fsencode(first), os.fsencode(second)
    if hasattr(library, "renameat2"):
        return bool(library.renameat2(_HERE, one, _HERE, other, _LINUX_EXCHANGE) == 0)
    if hasattr(library, "renamex_np"):
        return bool(library.renamex_np(one, other, _MAC_SWAP) == 0)
    return False
