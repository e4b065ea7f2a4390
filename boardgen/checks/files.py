"""The rule on files: looked at after export, before anything is written."""

from collections.abc import Iterable

from boardgen.model.artwork import Artwork
from boardgen.model.findings import Finding, Severity
from boardgen.model.outputs import OutputFiles

CODE = "file.required"


def check_files(name: str, artwork: Artwork, files: OutputFiles) -> Iterable[Finding]:
    """A file that the house needs is missing or empty.

    Why it matters
        Published sets without a drill file or an outline are the classic failed order.
    How it is measured
        Every layer, and a drill file for each sort of hole, must be there with more than a frame; a
        layer that has nothing to show may be an empty image.
    How to mend it
        This is a fault of the exporters: please report the parameter file.
    """
    wanted = {f"fabrication/{name}_{layer.name}.gbr": len(layer.items) for layer in artwork.layers}
    for part, plated in (("plated", True), ("unplated", False)):
        count = sum(hole.plated is plated for hole in artwork.holes)
        if count:
            wanted[f"fabrication/{name}_{part}.drl"] = count
    contents = {file.path: file.content for file in files}
    for path, objects in wanted.items():
        content = contents.get(path, b"")
        marks = content.count(b"D03*") + content.count(b"D01*") + content.count(b"\nX")
        if not content or (objects and not marks):
            yield Finding(
                code=CODE,
                severity=Severity.ERROR,
                message=f"{path} is {'empty' if path in contents else 'missing'}",
                subjects=(path,),
            )
