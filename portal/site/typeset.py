"""Templates into text: what every template may use, and what it is given to say things with."""

import json
import os
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemBytecodeCache, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context, Macro
from markupsafe import Markup, escape

from portal import resources
from portal.model.say import Say, Value
from portal.site.address import link
from portal.site.bidi import isolated, isolated_say, isolated_value
from portal.site.lean import lean_template
from portal.site.paper import Paper, Writing
from portal.site.prose import prose
from portal.site.unbroken import unbroken
from portal.site.words import Speaker

Place = tuple[int, int]
"""Where a part of a page begins in its bytes, and how long it is."""


def typeset(template: str, speaker: Speaker, *, here: str, **values: object) -> bytes:
    """A template filled in, in the speaker's words; addresses are told from `here`."""
    return typeset_in_parts(template, speaker, here=here, aside=None, **values)[0].read()


def typeset_in_parts(
    template: str, speaker: Speaker, *, here: str, aside: Path | None, **values: object
) -> tuple[Paper, tuple[Place, ...]]:
    """The same, and where each part of it stands that the template gives to `keep`.

    It is written as it comes, where it is long and a folder is named for that to a file `aside`: the page of a
    thousand pictures has 30 MB.
    """
    writing, places = Writing(here, aside), list[Place]()
    filled = _environment().get_template(f"{template}.html.j2").generate(
        t=partial(_text, speaker, {}), speaker=speaker, language=speaker.language, here=here,
        keep=partial(_keep, writing, places), once=partial(_once, {}), **values
    )  # fmt: skip
    writing.take(filled)
    return writing.done(), tuple(places)


def _keep(writing: Writing, places: list[Place], part: str | bytes) -> str:
    """A part that comes next in the page; bytes are put there as they are."""
    at = writing.here()
    if isinstance(part, bytes):
        places.append((at, len(part)))
        writing.put(part)
        return ""
    places.append((at, len(part.encode("utf-8"))))
    return part


def _once(drawn: dict[tuple[str, str], str], macro: Macro, word: str) -> str:
    """What a macro draws of a word and of nothing else, worked out once for a page that shows it a thousand times."""
    known = drawn.get((macro.name, word))
    if known is None:
        known = drawn[macro.name, word] = macro(word)
    return known


def _text(speaker: Speaker, said: dict[str, str], key: str, /, **values: Value) -> str:
    """A message; those without values, which a page says again and again, are in `said`."""
    if not values:
        known = said.get(key)
        if known is None:
            known = said[key] = unbroken(speaker.text(key))
        return known
    return unbroken(speaker.text(key, **{name: isolated_value(value) for name, value in values.items()}))


def _isolated(text: str) -> str:
    return unbroken(isolated(text))


@pass_context
def _say(context: Context, what: Say | str) -> str:
    """A sentence in words, or a person's own text."""
    speaker: Speaker = context["speaker"]
    return unbroken(isolated(what) if isinstance(what, str) else speaker.say(isolated_say(what)))


@pass_context
def _stop(context: Context, what: Say | str) -> str:
    """The same, ended by a full stop unless it ends a sentence already."""
    said = _say(context, what)
    return said if said.endswith((".", "?", "!")) else f"{said}."


def named(text: str) -> Markup:
    """A message about files, in which what stands between backticks is a name as it is written there."""
    parts = text.split("`")
    if len(parts) % 2 == 0:
        return escape(isolated(text))
    return Markup("").join(
        Markup("<code>{}</code>").format(isolated(part)) if number % 2 else escape(isolated(part))
        for number, part in enumerate(parts)
    )


@pass_context
def _link(context: Context, target: str) -> str:
    return link(target, here=str(context["here"]))


@pass_context
def _day(context: Context, day: Any) -> str:
    speaker: Speaker = context["speaker"]
    return speaker.day(day)


@pass_context
def _figure(context: Context, text: str) -> str:
    speaker: Speaker = context["speaker"]
    return speaker.number(text)


def _prose(text: str) -> Markup:
    return Markup(unbroken(prose(text)))


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _percent(share: float) -> str:
    """A share of a width as an SVG percentage: on the widest screen a tenth of a pixel at most is lost."""
    return _number(100 * share) + "%"


def _part(share: float) -> int:
    """The same in ten thousandths of the width."""
    return round(10_000 * share)


@pass_context
def _data(context: Context, data: dict[str, object]) -> Markup:
    """Plain data for a script of type application/json; nothing in it can end the element."""
    sizes = data.get("sizes")
    if isinstance(sizes, list):
        data = {**data, "sizes": [_linked(each, here=str(context["here"])) for each in sizes]}
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _compiled() -> FileSystemBytecodeCache | None:
    """Templates as they were compiled from the very same text; nowhere where nothing can be kept."""
    folder = resources.cache_folder() / "templates"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError:
        return None
    return FileSystemBytecodeCache(str(folder)) if os.access(folder, os.W_OK) else None


def _linked(size: list[Any], *, here: str) -> list[object]:
    """A size of a picture with the addresses of its file or of its tiles as seen from that page."""
    path, *rest = size
    if path is not None:
        return [link(path, here=here), *rest]
    *rest, tiles = rest
    return [None, *rest, [link(each, here=here) for each in tiles]]


class _Lean(FileSystemLoader):
    """Shortens a template as it is read, so that what is kept compiled is that of the shortened one."""

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """Its text, its file, and whether that is as it was."""
        text, file, is_fresh = super().get_source(environment, template)
        return lean_template(text), file, is_fresh


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=_Lean(resources.templates()),
        bytecode_cache=_compiled(),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        say=_say,
        stop=_stop,
        link=_link,
        day=_day,
        n=_number,
        pc=_percent,
        part=_part,
        data=_data,
        prose=_prose,
        isolated=_isolated,
        figure=_figure,
        named=named,
    )
    return environment
