"""The zip that is uploaded: a closed list, stored, sorted, the same bytes everywhere."""

import io
import zipfile

from boardgen.model.outputs import OutputFile, OutputFiles

_EARLIEST = (1980, 1, 1, 0, 0, 0)
_UNIX, _PLAIN_FILE = 3, 0o100644 << 16


def package(name: str, files: OutputFiles) -> OutputFile:
    """Pack all files of ``fabrication/`` flat into ``<board>-fabrication.zip``."""
    inside = sorted(
        (file.path.removeprefix("fabrication/"), file.content)
        for file in files
        if file.path.startswith("fabrication/")
    )
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for path, content in inside:
            entry = zipfile.ZipInfo(path, _EARLIEST)
            entry.create_system = _UNIX
            entry.external_attr = _PLAIN_FILE
            archive.writestr(entry, content)
    return OutputFile(path=f"{name}-fabrication.zip", content=buffer.getvalue())
