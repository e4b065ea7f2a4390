"""JSON, written the same way everywhere."""

import json


def json_bytes(value: object) -> bytes:
    """Write JSON the same way everywhere: indented, UTF-8, one newline at the end."""
    return (json.dumps(value, indent=1, ensure_ascii=False) + "\n").encode("utf-8")
