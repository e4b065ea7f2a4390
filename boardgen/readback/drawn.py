"""What a picture may hold: elements and attributes that boardgen draws, and nothing else."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Collection, Iterator, Mapping


def foreign(
    element: ET.Element, known: Mapping[str, Collection[str]], plain: re.Pattern[str]
) -> Iterator[str]:
    """Tell what boardgen draws nowhere.

    Parameters
    ----------
    known : mapping of str to collection of str
        Each element with its attributes.
    plain : pattern
        What attributes consist of.
    """
    tag = element.tag.rpartition("}")[2]
    if tag not in known:
        yield f"holds a {tag}, which boardgen draws nowhere"
        return
    for key, value in element.attrib.items():
        if key not in known[tag] or not plain.fullmatch(value):
            yield f"holds {key} of a {tag} as boardgen never writes it"
