"""What a browser needs of our own templates and styles: the same pages, without what only their writers read.

A page of a thousand findings names each mark of its tables a thousand times. What somebody wrote never comes here: a
template is shortened before it is filled in.
"""

import re

_ENDS = re.compile(r"</(?:td|th|tr|thead|tbody|li|dt|dd)>")
"""End tags that may be left out wherever our templates have them: what follows, or the end of what is around it, ends
the element as well (HTML, 13.1.2.4, optional tags). `p` isn't among them: words may follow it."""
_BLOCK = (
    "p|div|section|article|header|footer|main|nav|figure|figcaption|details|summary|dl|dt|dd|ul|ol|li|table|thead|tbody|"
    "tr|td|th|h[1-6]|(?:svg|path|line|rect|circle|g|use|text|foreignObject)(?! class=.mk)"
)
_IDLE = re.compile(rf"(</?(?:{_BLOCK})\b[^<>]*>)[ \t]*\n[ \t]*|\n[ \t]*(?=</?(?:{_BLOCK})\b)")
"""Line ends beside what stands on lines of its own, or within a drawing, where spaces draw nothing. A mark is a drawing
that stands among words. Each would be a node of the page: a third of all that a long page had."""
_WITHIN_STYLE = re.compile(r"""("[^"\n]*"|'[^'\n]*')|(?:/\*.*?\*/|\s)+""", re.DOTALL)
_LOOSE = re.compile(r"""("[^"\n]*"|'[^'\n]*')|;?\s*([{}])\s*|\s*([;,])\s*|(?<=[\w-]): (?=\S)""")


def lean_template(text: str) -> str:
    """A template of ours without the end tags and the line ends that HTML does without.

    A line end goes by standing in a comment of the template, so that a line's number is what it was.
    """
    return _ENDS.sub("", _IDLE.sub(lambda found: f"{found[1] or ''}{{#\n#}}", text))


def lean_style(text: str) -> str:
    """A style of ours without comments, and without spaces that separate nothing; quoted text stays as it is.

    What is before a colon is a property's name, with no space between, as everywhere in our styles: ` :is(…)` of a
    selector keeps its own.
    """
    one_line = _WITHIN_STYLE.sub(lambda found: found[1] or " ", text)
    return _LOOSE.sub(_tight, one_line).strip()


def _tight(found: re.Match[str]) -> str:
    return found[1] or found[2] or found[3] or ":"
