"""The rule on files: looked at after export, before anything is written."""

from collections.abc import Iterable

from boardgen.model.artwork import Artwork
from boardgen.model.findings import Finding, Severity
from boardgen.model.outputs import OutputFiles

CODE = "file.required"
_MARKS = (b"D03*", b"D01*", b"\nX", b"\n327", b'"FilesAttributes"', b"\nG01")
"""One of these stands in every file that says something: flash, draw, hit, record, list."""


def check_files(name: str, artwork: Artwork, files: OutputFiles) -> Iterable[Finding]:
    """A file that the house needs is missing or empty.

    Why it matters
        Published sets without a drill file or an outline are the classic failed order.
    How it is measured
        Every layer, a drill file for each sort of hole, test netlist and job file must be there
        with more than a frame; a layer that has nothing to show may be an empty image.
    How to mend it
        This is a fault of the exporters: please report the parameter file.
    """
    wanted = {f"fabrication/{name}_{layer.name}.gbr": len(layer.items) for layer in artwork.layers}
    for part, plated in (("plated", True), ("unplated", False)):
        count = sum(hole.plated is plated for hole in artwork.holes)
        count += 0 if plated else len(artwork.slots)
        if count:
            wanted[f"fabrication/{name}_{part}.drl"] = count
    wanted |= {f"fabrication/{name}_netlist.ipc": 1, f"fabrication/{name}_job.gbrjob": 1}
    contents = {file.path: file.content for file in files}
    for path, objects in wanted.items():
        content = contents.get(path, b"")
        marks = sum(content.count(mark) for mark in _MARKS)
        if not content or (objects and not marks):
            yield Finding(
                code=CODE,
                severity=Severity.ERROR,
                message=f"{path} is {'empty' if path in contents else 'missing'}",
                subjects=(path,),
            )
