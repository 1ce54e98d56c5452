"""Where each card stands in its page is known to the byte, since the next build takes it over from there."""

from datetime import date
from pathlib import Path

from portal.tasks import drawn
from portal.tasks.build import build
from tests.tasks.small import small_catalogue


def test_each_place_holds_one_whole_card(tmp_path: Path) -> None:
    """From where its element begins to where it ends, in a page with letters that take several bytes."""
    out = build(small_catalogue(tmp_path / "c"), out=None, as_of=date(2026, 3, 1), processes=1).out
    seen = 0
    left = drawn.load(out, ())
    for path in left.pages:
        body, cards = (out / path).read_bytes(), [*left.cards_of(path)]
        assert all(left.card(key) == (path, start, length) for key, start, length in cards)
        assert not cards or len(body) > len(body.decode("utf-8"))
        for _, start, length in cards:
            card = body[start : start + length].strip()
            assert card.startswith(b'<article class="card') and card.endswith(b"</article>")
            assert card.count(b"</article>") == 1
            seen += 1
        assert not cards or len(cards) == body.count(b'<article class="card')
    assert seen > 1
