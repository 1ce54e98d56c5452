"""Page records into bytes, one page at a time, the front page last."""

import json
from collections.abc import Iterator, Mapping
from functools import cache, partial
from hashlib import sha256
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from portal import resources
from portal.model.picture import PictureUnreadable
from portal.model.say import Say, Value
from portal.pictures.derive import Derived
from portal.site.address import CONTENTS, FRONT, SEARCH, asset, link
from portal.site.bidi import isolated, isolated_say, isolated_value
from portal.site.contents import contents_of
from portal.site.defect import defect_page
from portal.site.desk import Desk, desk_for
from portal.site.front import front_of, unread_trials
from portal.site.index import index_of
from portal.site.inputs import Page, SiteInput
from portal.site.part import part_page
from portal.site.picture import picture_page
from portal.site.prose import prose
from portal.site.review import marking, review_of
from portal.site.sample import sample_page
from portal.site.scope import scope_page
from portal.site.standard import standard_marking, standard_page
from portal.site.unread import unread_page
from portal.site.words import Speaker

CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; "
    "base-uri 'none'; form-action 'none'"
)


_STATIC = {"style.css": ("style.css", "reference.css"), "viewer.js": ("viewer.js",), "search.js": ("search.js",)}
"""What each static file is made of."""


def render(
    site: SiteInput, derived: Mapping[str, tuple[Derived, ...]], unreadable: Mapping[str, PictureUnreadable]
) -> Iterator[Page]:
    """Every page of the site; the front page comes last."""
    desk = desk_for(site, derived, unreadable)
    yield from _pictures(desk)
    yield from _unread(desk)
    for result in site.results:
        path = desk.addresses.review(result.part.id, result.mould, result.trial)
        yield _page(desk, path, "review", review_of(desk, result), customer=result.part.customer)
    for part in site.catalogue.parts.values():
        path = desk.addresses.part(part.id)
        yield _page(desk, path, "part", part_page(desk, part), customer=part.customer)
    yield from _reference(desk)
    yield _page(desk, FRONT, "front", front_of(desk))


def static() -> tuple[Page, ...]:
    """The style and the script, named by their content."""
    return tuple(Page(path, body) for path, body in _static().values())


def _pictures(desk: Desk) -> Iterator[Page]:
    for file, (mould, trial, picture) in desk.pictures.items():
        part = desk.site.catalogue.part_of(mould, picture.tag.cavity if picture.tag else None)
        known = desk.site.catalogue.parts.get(part or "")
        line = marking(desk, known.customer) if known else desk.site.catalogue.shop.marking or ""
        path = desk.addresses.picture(file)
        if path:
            page = picture_page(desk, picture, mould, trial, line)
            yield _page(desk, path, "picture", page, customer=known.customer if known else None)


def _reference(desk: Desk) -> Iterator[Page]:
    """The catalogue as a work of reference: classes, standards, limit samples, microscopes, contents, index."""
    catalogue = desk.site.catalogue
    for defect in catalogue.defects.values():
        yield from _record(desk, "defect", defect.id, defect_page(desk, defect))
    for name, known in catalogue.standards.items():
        for revision, standard in known.items():
            page = standard_page(desk, standard, standard_marking(desk, standard.owner))
            yield from _record(desk, "standard", f"{name}/{revision}", page, customer=standard.owner)
    for sample in catalogue.limit_samples.values():
        part = catalogue.parts.get(sample.part)
        line = marking(desk, part.customer) if part else catalogue.shop.marking or ""
        yield from _record(
            desk, "limit sample", sample.id, sample_page(desk, sample, line), customer=part.customer if part else None
        )
    for scope in catalogue.scopes.values():
        yield from _record(desk, "scope", scope.id, scope_page(desk, scope))
    yield _page(desk, CONTENTS, "contents", contents_of(desk))
    yield _page(desk, SEARCH, "search", index_of(desk))


def _record(desk: Desk, kind: str, name: str, page: object, *, customer: str | None = None) -> Iterator[Page]:
    path = desk.addresses.record(kind, name)
    if path:
        yield _page(desk, path, kind.rpartition(" ")[2], page, customer=customer)


def _unread(desk: Desk) -> Iterator[Page]:
    for kind, name in desk.site.catalogue.broken:
        path = desk.addresses.part(name) if kind == "part" else desk.addresses.record(kind, name)
        if path:
            yield _page(desk, path, "unread", unread_page(desk, kind, name))
    for part in desk.site.catalogue.parts.values():
        for mould, trial, _ in unread_trials(desk, part.id):
            page = unread_page(desk, "trial", f"{mould}/{trial}")
            yield _page(desk, desk.addresses.review(part.id, mould, trial), "unread", page)


def _page(desk: Desk, path: str, template: str, page: object, *, customer: str | None = None) -> Page:
    speaker = desk.speaker(customer)
    text = _environment().get_template(f"{template}.html.j2").render(
        page=page,
        t=partial(_text, speaker),
        speaker=speaker,
        here=path,
        csp=CSP,
        front=FRONT,
        contents=CONTENTS,
        search=SEARCH,
        style=_static()["style.css"][0],
        script=_static()["viewer.js"][0],
        search_script=_static()["search.js"][0],
        shop=desk.site.catalogue.shop.shop.name,
        as_of=desk.site.as_of,
        version=desk.site.version,
        language=speaker.language,
    )  # fmt: skip
    return Page(path, text.encode("utf-8"))


def _text(speaker: Speaker, key: str, /, **values: Value) -> str:
    return speaker.text(key, **{name: isolated_value(value) for name, value in values.items()})


@pass_context
def _say(context: Context, what: Say | str) -> str:
    """A sentence in words, or a person's own text."""
    speaker: Speaker = context["speaker"]
    return isolated(what) if isinstance(what, str) else speaker.say(isolated_say(what))


@pass_context
def _stop(context: Context, what: Say | str) -> str:
    """The same, ended by a full stop unless it ends a sentence already."""
    said = _say(context, what)
    return said if said.endswith((".", "?", "!")) else f"{said}."


@pass_context
def _link(context: Context, target: str) -> str:
    return link(target, here=str(context["here"]))


@pass_context
def _day(context: Context, day: Any) -> str:
    speaker: Speaker = context["speaker"]
    return speaker.day(day)


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _percent(share: float) -> str:
    """A share of a width as an SVG percentage."""
    return f"{100 * share:.3f}".rstrip("0").rstrip(".") + "%"


@pass_context
def _data(context: Context, data: dict[str, object]) -> Markup:
    """Plain data for a script of type application/json; nothing in it can end the element."""
    sizes = data.get("sizes")
    if isinstance(sizes, list):
        data = {**data, "sizes": [[link(each[0], here=str(context["here"])), *each[1:]] for each in sizes]}
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(resources.templates()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        say=_say, stop=_stop, link=_link, day=_day, n=_number, pc=_percent, data=_data, prose=prose, isolated=isolated
    )
    return environment


@cache
def _static() -> dict[str, tuple[str, bytes]]:
    """Path and bytes of each static file, by its name."""
    found = {}
    for name, parts in _STATIC.items():
        body = b"".join((resources.templates() / each).read_bytes() for each in parts)
        stem, _, ending = name.partition(".")
        found[name] = (asset(f"{stem}-{sha256(body).hexdigest()[:12]}.{ending}"), body)
    return found
