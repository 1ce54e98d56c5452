"""What our pages do without, so that a telephone gets them sooner: and that nothing of what they say goes with it."""

import re
from collections import Counter
from datetime import date
from pathlib import Path

from jinja2 import Environment

from portal.site.lean import lean_style, lean_template
from portal.tasks.build import build
from tests.site.conftest import Built
from tests.tasks.small import SPECK, add_picture, small_catalogue


def test_a_style_loses_comments_and_idle_spaces_alone() -> None:
    """What is quoted stays, and so does a space that means something in a selector or a value."""
    told = """/* it's a note */
a b, a > b { margin: 0 -1px ; content: "/* a : b; { */ '  "; width: calc(1px + 2px); }
.x :is(.y, .z):hover { color: red !important; }
@media (width: 3px) and (height: 4px) { p { top: 0; } }
"""
    assert lean_style(told) == (
        """a b,a > b{margin:0 -1px;content:"/* a : b; { */ '  ";width:calc(1px + 2px)}"""
        ".x :is(.y,.z):hover{color:red !important}@media (width:3px) and (height:4px){p{top:0}}"
    )


def test_a_template_loses_only_what_html_does_without() -> None:
    """End tags, and line ends beside blocks; not the space between two words, nor the number of a line."""
    told = "<ul>\n  <li>{{ a }}</li>\n</ul>\n<p>{{ b }}\n<b>c</b>\n{{ d }}</p>\n"
    told += "{% if e %}\n<td>x</td>\n{% endif %}\n<b>f</b>"
    lean = lean_template(told)
    assert lean.count("\n") == told.count("\n")
    filled = Environment(trim_blocks=True, lstrip_blocks=True).from_string(lean).render(a=1, b=2, d=4, e=True)
    assert filled == "<ul><li>1</ul><p>2\n<b>c</b>\n4</p><td>x<b>f</b>"


def test_all_that_is_drawn_by_reference_is_there_once(built: Built) -> None:
    """On each page of the site, whatever it draws."""
    for path, page in built.pages.items():
        if path.endswith(".html"):
            text = page.body.decode("utf-8")
            ids = Counter(re.findall(r'\bid="([^"]+)"', text))
            named = set(re.findall(r'<use\b[^>]*href="#([^"]+)"', text)) | set(re.findall(r"url\(#([^)]+)\)", text))
            assert {name: ids[name] for name in named} == dict.fromkeys(named, 1), path
            assert max(ids.values()) == 1, path


def test_a_review_of_40_findings_and_120_pictures_stays_small(tmp_path: Path) -> None:
    """Its page and its style as they are sent where nothing is compressed."""
    folder = small_catalogue(tmp_path / "c")
    for number in range(118):
        findings = SPECK.replace(_id_of(SPECK), f"{number + 0x7000:04X}") if number < 37 else ""
        add_picture(folder, f"p{number:03}.jpg", view="top", findings=findings, seed=100 + number)
    out = tmp_path / "site"
    build(folder, out=out, as_of=date(2026, 3, 1), processes=2)
    (page,) = (out / "parts/P-0001").glob("M-001-T1.html")
    text = page.read_text(encoding="utf-8")
    assert text.count('<article class="card') == 40
    (style,) = (out / "assets").glob("style-*.css")
    assert len(page.read_bytes()) + style.stat().st_size < 320_000


def _id_of(findings: str) -> str:
    found = re.search(r"id: (\w+)", findings)
    assert found
    return found[1]
