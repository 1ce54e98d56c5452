"""Labels of a ruler keep apart and stay on the paper, at the least width and at every larger one."""

from hypothesis import given
from hypothesis import strategies as st

from portal.site.labels import GAP, Placed, Wish, place, text_width

LEAST, MARGIN = 250.0, 28.0
TEXTS = st.sampled_from(
    ["at most 0.150 mm", "at least −0.050 mm", "0.148 mm ± 0.006 mm", "calls conforming up to 0.145 mm"]
)
WISHES = st.lists(
    st.builds(
        Wish,
        TEXTS,
        st.floats(0, 1),
        st.just("value"),
        clear=st.floats(0, 40),
        anchors=st.permutations(("start", "end", "middle")).map(tuple),
        row=st.integers(0, 1),
    ),
    min_size=1,
    max_size=4,
)


def apart(placed: tuple[Placed, ...], width: float) -> bool:
    """Whether no two labels of a row meet."""
    spans = sorted((each.row, *each.span(width)) for each in placed)
    return all(a[0] != b[0] or a[2] + GAP <= b[1] + 1e-6 for a, b in zip(spans, spans[1:], strict=False))


@given(wishes=WISHES, lines=st.lists(st.floats(0, 1), max_size=2), grown=st.floats(1, 6))
def test_labels_keep_apart_and_inside_at_every_width(wishes: list[Wish], lines: list[float], grown: float) -> None:
    """What fits at the least width fits at any larger one."""
    placed = place(wishes, least=LEAST, margin=MARGIN, rows=2, lines=lines)
    assert [each.text for each in placed] == [wish.text for wish in wishes]
    for width in (LEAST, LEAST * grown):
        assert apart(placed, width)
        for each in placed:
            left, right = each.span(width)
            assert left >= -MARGIN - 1e-6 and right <= width + MARGIN + 1e-6


@given(at=st.floats(0, 1), line=st.floats(0, 1), grown=st.floats(1, 6))
def test_a_label_in_the_rows_of_limits_crosses_no_limit(at: float, line: float, grown: float) -> None:
    """The value's text stands on one side of the limit's line, or in a row of its own."""
    (placed,) = place([Wish("0.148 mm", at, "value")], least=LEAST, margin=MARGIN, rows=2, lines=[line])
    if placed.row < 2:
        left, right = placed.span(LEAST * grown)
        assert not left < line * LEAST * grown < right


def test_a_text_needs_more_room_the_longer_it_is() -> None:
    """Widths are sums over letters."""
    assert 0 < text_width("0.1") < text_width("0.15") < text_width("0.15 mm")
