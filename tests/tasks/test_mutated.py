"""Catalogue files changed at random: problems or a site, never a traceback, and the next sound build is as before."""

import shutil
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from portal.problem import PortalError
from portal.tasks.build import build
from portal.tasks.check import check
from tests.catalog.good import good
from tests.treemaker import plant

DAY = date(2026, 3, 1)
TEXTS = (".yaml", ".md", ".json")

NASTY = (
    *("", "~", "null", "true", "no", "0", "-0", "-1", "1e400", "-1e400", "nan", ".inf", "1e-400", "0x10", "1_000"),
    *("0 mm", "-1 mm", "1e300 mm", "0.15", "0.15 furlong", "1 mm 2", "µm", "5 %", "-5 %", "0 deg", "1e9 deg"),
    *("[]", "{}", "[[]]", "{a: {}}", "[{}]", "- x", "&a x", "*a", "!!int 3", "|", ">", "? x", "'", '"', "{", "]"),
    *("2026-02-30", "0000-00-00", "9999-12-31", "2026-01-01T25:00", "10:00", "1,1 2,2", "1,1 1,1 1,1", "nan,nan"),
    *(
        "../../etc/passwd",
        "CON",
        "a/b",
        "a\\b",
        "x" * 3000,
        "\u202e",
        "\u2028",
        "\U0001f52c",
        "B\u00f6",
        "%s {0} {{x}}",
    ),
    *("<script>", "1", "2", "A", "B", "en", "mm", "yes", "none", "limits", "part", "7K3F", "65535x65535", "0x0"),
)

BYTES = (b"\0", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\t", b"\x1b", b"\xed\xa0\x80", b": ", b"\n---\n", b"#")


@st.composite
def mutation(draw: st.DrawFn, texts: dict[str, bytes]) -> tuple[str, bytes]:
    """A file and what it becomes."""
    file = draw(st.sampled_from(sorted(texts)))
    content = texts[file]
    for _ in range(draw(st.integers(1, 3))):
        content = draw(st.sampled_from(WAYS))(draw, content, texts)
    return file, content


def _value(draw: st.DrawFn, content: bytes, texts: dict[str, bytes]) -> bytes:
    """Another value behind a key."""
    places = [at for at in range(len(content)) if content[at : at + 2] == b": "]
    if not places:
        return content
    at = draw(st.sampled_from(places)) + 2
    ends = [end for stop in b",}]\n" if (end := content.find(bytes([stop]), at)) >= 0]
    return content[:at] + draw(st.sampled_from(NASTY)).encode() + content[min(ends, default=len(content)) :]


def _other_value(draw: st.DrawFn, content: bytes, texts: dict[str, bytes]) -> bytes:
    """A line of another file in the place of one of this."""
    lines = content.splitlines(keepends=True) or [b""]
    others = texts[draw(st.sampled_from(sorted(texts)))].splitlines(keepends=True) or [b""]
    lines[draw(st.integers(0, len(lines) - 1))] = draw(st.sampled_from(others))
    return b"".join(lines)


def _line(draw: st.DrawFn, content: bytes, texts: dict[str, bytes]) -> bytes:
    """A line left out, doubled, or moved in or out."""
    lines = content.splitlines(keepends=True) or [b""]
    at = draw(st.integers(0, len(lines) - 1))
    line = lines[at]
    lines[at : at + 1] = draw(st.sampled_from([[], [line, line], [b"  " + line], [line.lstrip()], [line[::-1]]]))
    return b"".join(lines)


def _bytes(draw: st.DrawFn, content: bytes, texts: dict[str, bytes]) -> bytes:
    """A few bytes put in."""
    at = draw(st.integers(0, len(content)))
    return content[:at] + draw(st.sampled_from(BYTES)) + content[at:]


def _cut(draw: st.DrawFn, content: bytes, texts: dict[str, bytes]) -> bytes:
    """A part left out, often the end."""
    start = draw(st.integers(0, len(content)))
    return content[:start] + content[draw(st.integers(start, len(content))) :]


WAYS = (_value, _value, _value, _other_value, _line, _line, _bytes, _cut)


@pytest.fixture(scope="module")
def whole(answered: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two catalogues in one folder each: one with every kind of file, one with a log and a sent review."""
    top = tmp_path_factory.mktemp("sound")
    plant(top / "every", good())
    shutil.copytree(answered, top / "sent", ignore=shutil.ignore_patterns("site"))
    return top


@pytest.mark.parametrize("which", ["every", "sent"])
@pytest.mark.parametrize("count", [15, pytest.param(150, marks=pytest.mark.long)])
def test_a_changed_file_gives_problems_or_a_site_and_never_a_traceback(count: int, which: str, whole: Path) -> None:
    """Whatever was done to it; what is wrong can be written down."""
    sound = whole / which
    texts = {
        path.relative_to(sound).as_posix(): path.read_bytes()
        for path in sorted(sound.rglob("*"))
        if path.suffix in TEXTS and "schemas" not in path.parts
    }

    @settings(max_examples=count, suppress_health_check=list(HealthCheck), database=None)
    @given(mutation(texts))
    def holds(change: tuple[str, bytes]) -> None:
        file, content = change
        with TemporaryDirectory() as place:
            folder = Path(shutil.copytree(sound, Path(place) / "c"))
            (folder / file).write_bytes(content)
            for problem in check(folder).problems:
                str(problem).encode()
            try:
                built = build(folder, out=Path(place) / "site", as_of=DAY, processes=1)
            except PortalError as refused:
                str(refused).encode()
            else:
                assert (built.out / "index.html").is_file()

    holds()
