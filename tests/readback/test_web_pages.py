"""Pages in which something runs, or that lead elsewhere, are no pages of ours.

What browsers make of broken markup is from the HTML standard's parsing rules (WHATWG), from memory,
and was tried in a browser for the first three.
"""

import pytest

from boardgen.readback.web_pages import web_page_faults
from tests.conftest import RING, ROOT, SHELF, built_of, every

SHED = (ROOT / "examples/shed-lamp/shed-lamp.toml").read_text("utf-8")


def pages(text: str) -> dict[str, str]:
    return {file.path: file.content.decode() for file in built_of(text).files
            if file.path.endswith(".html")}  # fmt: skip


@pytest.mark.parametrize("text", every([SHELF, SHED, RING], lambda at: at == 0))
def test_pages_as_they_are_written_hold(text: str) -> None:
    for name, page in pages(text).items():
        assert not list(web_page_faults(page.encode())), name


HOSTILE = {
    "a script": "<script>alert(1)</script>",
    "a script inside a picture's style": "<svg><style><script>alert(1)</script></style></svg>",
    "a script after a comment that is none": "<!--><script>alert(1)</script>-->",
    "a comment": "<!-- anything -->",
    "a handler": '<p onclick="alert(1)">x</p>',
    "a handler without quotes": "<p onclick=alert(1)>x</p>",
    "an address": '<p style="background: url(https://x.invalid)">x</p>',
    "an address behind an escape": '<p style="background: u\\72l(x)">x</p>',
    "an image": '<img src="x.png">',
    "a link": '<a href="x">x</a>',
    "a frame": "<iframe></iframe>",
    "a form": '<form action="x"></form>',
    "a second style": "<style>p { color: red }</style>",
    "a tag in capitals": "<SCRIPT>alert(1)</SCRIPT>",
    "an open bracket": "a < b",
    "a processing instruction": "<?xml-stylesheet href='x'?>",
    "a section of raw text": "<![CDATA[x]]>",
    "an animation": '<svg><set attributeName="x"/></svg>',
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_runs_or_leads_out_is_named(name: str) -> None:
    page = pages(SHELF)["report.html"]
    for before in ("</main>", "</footer>"):
        changed = page.replace(before, HOSTILE[name] + before, 1)
        assert changed != page
        assert list(web_page_faults(changed.encode())), name


@pytest.mark.parametrize(
    "style",
    ["@import 'x';", "p { background: url(x) }", "p { background: u\\72l(x) }",
     "@\\69mport 'x';", "p { background: image-set('x') }", "</style><script>x</script>"],
)  # fmt: skip
def test_a_style_that_leads_out_is_named(style: str) -> None:
    page = pages(SHELF)["report.html"]
    assert list(web_page_faults(page.replace("</style>", style + "</style>", 1).encode()))


def test_a_title_that_ends_early_is_named() -> None:
    page = pages(SHELF)["report.html"]
    changed = page.replace("<title>", "<title><!-- </title><script>alert(1)</script> -->", 1)
    assert list(web_page_faults(changed.encode()))


def test_another_kind_of_file_is_named() -> None:
    assert list(web_page_faults(b"<html></html>"))
