"""The day that the environment gives, for files that must be the same every time."""

import os
from datetime import UTC, datetime

from boardgen.errors import Problem, RefusalError


def source_date() -> str | None:
    """Read SOURCE_DATE_EPOCH as a day; None when it is not set.

    Raises
    ------
    RefusalError
        When it is set to something else than a number of seconds.
    """
    seconds = os.environ.get("SOURCE_DATE_EPOCH")
    if not seconds:
        return None
    try:
        return datetime.fromtimestamp(int(seconds), UTC).date().isoformat()
    except (ValueError, OverflowError, OSError):
        raise RefusalError(
            Problem(
                what=f"SOURCE_DATE_EPOCH is {seconds!r}",
                remedy="set it to whole seconds since 1970, or unset it",
            )
        ) from None
