"""Planted faults: files to add to the good catalogue, and where the reader has to see what is wrong with them.

Each fault has files of its own, so that all of them can be planted at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.catalog import good as g
from tests.catalog.reads import Where

BEL = "\a"


@dataclass(frozen=True)
class Fault:
    """Files and links to plant, and the problems that they are."""

    name: str
    files: g.Tree
    seen: frozenset[Where]
    links: dict[str, str] = field(default_factory=dict)
    """From a path to what the link names."""


def swap(text: str, old: str, new: str) -> str:
    """The text with one place changed, and no line more or less."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    assert old.count("\n") == new.count("\n")
    return text.replace(old, new)


def line(text: str, needle: str) -> int:
    """The line on which a needle stands that stands only once."""
    assert text.count(needle) == 1, f"{needle!r} stands {text.count(needle)} times"
    return text[: text.index(needle)].count("\n") + 1


def single(name: str, file: str, content: str | bytes, at: int, where: str = "") -> Fault:
    """A fault in one file."""
    return Fault(name, {file: content}, frozenset({(file, at, where)}))


def changed(name: str, file: str, text: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
    """A fault made by one change, seen on the line of that change, or on another."""
    after = swap(text, old, new)
    return single(name, file, after, line(after, on or new), where)


def a_part(name: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
    """A part of its own with one change."""
    id_ = name.replace(" ", "-")
    planted = changed(name, f"parts/{id_}/part.yaml", g.PART, old, new, where, on=on)
    return Fault(name, {**planted.files, f"parts/{id_}/views/gate.png": g.picture(4)}, planted.seen)


def a_standard(name: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
    """A standard of its own with one change."""
    return changed(name, f"standards/{name.replace(' ', '-')}/1.yaml", g.STANDARD, old, new, where, on=on)


def a_sample(name: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
    """A limit sample of its own with one change."""
    id_ = name.replace(" ", "-")
    text = g.SAMPLE.replace("SHA", g.sha256(g.picture(7))).replace("pair: LS-0008", "x-pair: LS-0008")
    planted = changed(name, f"limit-samples/{id_}/sample.yaml", text, old, new, where, on=on)
    return Fault(name, {**planted.files, f"limit-samples/{id_}/gate.png": g.picture(7)}, planted.seen)


def a_mould(name: str, trial: str = g.TRIAL) -> g.Tree:
    """A mould of its own with one trial."""
    home = f"moulds/{name.replace(' ', '-')}"
    return {f"{home}/mould.yaml": g.MOULD, f"{home}/trials/T2/trial.yaml": trial}


def a_tag(name: str, id_: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
    """A mould of its own with one tagged picture, one thing changed in the tag."""
    shown = g.picture(1)
    text = g.TAG.replace("SHA", g.sha256(shown)).replace("7K3F", id_)
    home = f"moulds/{name.replace(' ', '-')}/trials/T2"
    planted = changed(name, f"{home}/tags/cam-1.png.yaml", text, old, new, where, on=on)
    return Fault(name, {**a_mould(name), f"{home}/images/cam-1.png": shown, **planted.files}, planted.seen)


def faults() -> Iterator[Fault]:
    """All of them."""
    yield from _of_text()
    yield from _of_yaml()
    yield from _of_values()
    yield from _of_ranges()
    yield from _of_folders()
    yield from _of_links()
    yield from _of_tags()
    yield from _of_trials()


def _of_text() -> Iterator[Fault]:
    yield single("empty", "customers/empty.yaml", "", 1)
    yield single("comments only", "customers/comments.yaml", "# nothing\n\n# here\n", 1)
    yield single("utf 16", "customers/utf-16.yaml", g.CUSTOMER.encode("utf-16"), 1)
    yield single("utf 16 without mark", "customers/utf-16-le.yaml", g.CUSTOMER.encode("utf-16-le"), 1)
    cp1252 = g.CUSTOMER.replace("Optics", "Öptics").encode("cp1252")
    yield single("cp1252", "customers/cp1252.yaml", cp1252, 2)
    yield single("nul byte", "customers/nul.yaml", g.CUSTOMER.replace("mm", "m\0"), line(g.CUSTOMER, "unit"))
    yield single("control character", "customers/bel.yaml", g.CUSTOMER.replace("mm", BEL), line(g.CUSTOMER, "unit"))


def _of_yaml() -> Iterator[Fault]:
    twice = g.CUSTOMER + "unit: inch\n"
    yield single("key twice", "customers/twice.yaml", twice, line(twice, "unit: inch"), "unit")
    yield single("anchor", "scopes/anchor.yaml", swap(g.SCOPE, "type: c", "type: &a c"), 2)
    aliased = g.CUSTOMER + "other_names: [*a]\n"
    yield single("alias", "customers/alias.yaml", aliased, line(aliased, "*a"))
    yield single("tag", "customers/tag.yaml", swap(g.CUSTOMER, "unit: mm", "unit: !!python/none mm"), 3)
    yield single("two documents", "customers/two.yaml", g.CUSTOMER + "---\nformat: 1\n", line(g.CUSTOMER, "- {") + 1)
    yield single("a list", "customers/list.yaml", "- format: 1\n- name: x\n", 1)
    yield single("tab", "customers/tab.yaml", swap(g.CUSTOMER, "  - {", "\t- {"), line(g.CUSTOMER, "- {"))
    yield single("never closed", "customers/open.yaml", swap(g.CUSTOMER, "unit: mm", "unit: [mm"), 4)
    yield single("deep", "customers/deep.yaml", "format: " + "[" * 5000, 1)
    yield single("no front matter", "defects/bare.md", "format: 1\n", 1)
    yield single("front matter never ends", "defects/endless.md", "---\nformat: 1\n", 1)


def _of_values() -> Iterator[Fault]:
    yield single("missing", "customers/missing.yaml", swap(g.CUSTOMER, "unit: mm", "#"), 1, "unit")
    yield a_part("missing below", "{shop: LC-0440, customer: 88-1203-04}", "{shop: LC-0440}", "numbers.customer")
    yield single("empty value", "customers/no-unit.yaml", swap(g.CUSTOMER, "unit: mm", "unit:"), 3, "unit")
    yield changed("misspelt", "customers/misspelt.yaml", g.CUSTOMER, "language: en", "langauge: en", "langauge")
    yield changed("not of the set", "customers/set.yaml", g.CUSTOMER, "unit: mm", "unit: cm", "unit")
    yield changed("text for a list", "defects/text.md", g.FLASH, "[flash]", "flash", "terms.en")
    yield a_part("list for text", "material: POM natural", "material: [POM]", "material")
    yield a_standard("bare number", "max: 0.150 mm", "max: 0.150", "criteria.0.limits.0.max")
    yield a_standard("unknown unit", "max: 0.150 mm", "max: 0.150 furlong", "criteria.0.limits.0.max")
    yield a_standard("no number", "magnification: 20", "magnification: 20x", "conditions.stereo-20-ring.magnification")
    yield a_standard("no day", "effective: 2026-01-12", "effective: 2026-13-12", "effective")
    named = g.CUSTOMER + "id: brindelaar\n"
    yield single("id in the file", "customers/id.yaml", named, line(named, "id: b"), "id")
    yield a_part("python's name", "{class: A, kind", "{class_: A, kind", "zones.A.class_")
    yield changed("newer", "customers/newer.yaml", g.CUSTOMER, "format: 1", "format: 2", "format")
    yield changed("format 010", "customers/octal.yaml", g.CUSTOMER, "format: 1", "format: 010", "format")
    yield changed("no format", "customers/format.yaml", g.CUSTOMER, "format: 1", "format: one", "format")


def _of_ranges() -> Iterator[Fault]:
    scale = "settings.zoom-2.calibrations.0"
    yield a_standard("above its max", "min: -0.050 mm", "min: 0.151 mm", "criteria.0.limits.0.min")
    limit = "{characteristic: height, max: 0.150 mm, min: -0.050 mm}"
    yield a_standard("no bound", limit, "{characteristic: height}", "criteria.0.limits.0")
    nothing = "rule: limits\n    x-limits"
    yield a_standard("no limits", "    limits: [" + limit, "    x-limits: [" + limit, "criteria.0.rule", on=nothing)
    yield a_standard("criterion twice", "id: FL-A", "id: GV-B # again", "criteria.1.id")
    yield a_standard("class and zone", "zone_class: A", "x-class: A", "criteria.1", on="id: FL-A")
    band = "criteria.1.count.2"
    yield a_standard("area without square", "from_area: 0.01 mm²", "from_area: 0.01 mm", f"{band}.from_area")
    yield a_standard("areas turned round", "from_area: 0.01 mm²", "from_area: 0.1 mm²", f"{band}.from_area")
    yield a_standard("no area", "from_area: 0.01 mm²", "from_area: 0 mm²", f"{band}.from_area")
    yield a_standard("area and diameter", "{from_area: 0.01 mm²", "{from: 0.01 mm", band)
    yield a_standard("its own class", "[gate-vestige]", "[flash]", f"{band}.together_with.0")
    yield changed("no scale", "scopes/zero.yaml", g.SCOPE, "        x: 0.90 um", "        x: 0 um", f"{scale}.x")
    yield changed("negative u", "scopes/u.yaml", g.SCOPE, "u_y: 0.01 um", "u_y: -0.01 um", f"{scale}.u_y")
    yield changed(
        "ends before", "scopes/ends.yaml", g.SCOPE, "valid_until: 2027", "valid_until: 2025", f"{scale}.valid_until"
    )
    yield a_part("one rank less", "part, shop-standard]", "part]", "precedence")
    yield a_sample("sample ends before", "expires: 2028", "expires: 2025", "expires")
    yield a_sample("sample without pieces", "pieces:\n", "x-pieces:\n", "kind", on="kind: piece")


def _of_folders() -> Iterator[Fault]:
    yield Fault("no part.yaml", {"parts/bare/notes.txt": "x"}, frozenset({("parts/bare/part.yaml", 0, "")}))
    yield single("yml", "customers/short.yml", g.CUSTOMER, 0)
    for name, inner in (("defects/surface", "haze.md"), ("scopes/folder.yaml", "README.txt")):
        yield Fault(f"folder {name}", {f"{name}/{inner}": "x"}, frozenset({(name, 0, "")}))
    yield single("conflict", "customers/brindelaar.conflict-20260304T101112.yaml", g.CUSTOMER, 0)
    twins = {f"parts/{id_}/part.yaml": g.PART for id_ in ("Twin-1", "twin-1")}
    pictures = {f"parts/{id_}/views/gate.png": g.picture(4) for id_ in ("Twin-1", "twin-1")}
    yield Fault("twins", {**twins, **pictures}, frozenset({("parts/Twin-1", 0, ""), ("parts/twin-1", 0, "")}))
    circle = "parts/circle"
    yield Fault("cyclic link", {}, frozenset({(circle, 0, "")}), links={circle: "circle"})
    away = "customers/away.yaml"
    yield Fault("link out", {}, frozenset({(away, 0, "")}), links={away: "/etc/hostname"})
    nowhere = "scopes/nowhere.yaml"
    yield Fault("link to nothing", {}, frozenset({(nowhere, 0, "")}), links={nowhere: "gone.yaml"})


def _of_links() -> Iterator[Fault]:
    yield a_part("no customer", "customer: brindelaar", "customer: brindelar", "customer")
    yield a_part("no standard", "standards: [small-clear]", "standards: [small-claer]", "standards.0")
    yield a_part("no class", "B: {class: B,", "B: {class: C,", "zones.B.class")
    yield a_part("no zone seen", "B: {as: profile", "Q: {as: profile", "views.gate-profile.sees.Q")
    yield a_part("no reference", "views/gate.png", "views/gate.jpg", "views.gate-profile.reference")
    yield a_part("reference out", "views/gate.png", "../../../gate.png", "views.gate-profile.reference")
    yield a_standard("no owner", "owner: shop", "owner: shops", "owner")
    yield a_standard("no defect", "defect: flash", "defect: flesh", "criteria.1.defect")
    yield a_standard("no other class", "[gate-vestige]", "[gate-vestiges]", "criteria.1.count.2.together_with.0")
    yield a_standard("no zone class", "zone_class: A", "zone_class: C", "criteria.1.zone_class")
    second = ("stereo-20-ring\n    severity: major", "stereo-20-rings\n    severity: major")
    yield a_standard("no condition", *second, "criteria.1.condition")
    yield a_standard("no sample", "last_good: LS-0007", "last_good: LS-0070", "criteria.0.limit_samples.last_good")
    other = "criteria.0.limit_samples.last_good"
    yield a_standard("wrong side", "last_good: LS-0007", "last_good: LS-0008", other)
    yield a_standard("sample outside", "max: 0.150 mm", "max: 0.140 mm", other, on="last_good")
    bad = "criteria.0.limit_samples.first_bad"
    yield a_standard("bad sample within", "max: 0.150 mm", "max: 0.190 mm", bad, on="last_good")
    yield a_standard("no party", "party: brindelaar", "party: nobody", "criteria.0.agreed.party")
    yield changed(
        "no calibrator",
        "scopes/who.yaml",
        g.SCOPE,
        "by: k-ammer\n",
        "by: k-amer\n",
        "settings.zoom-2.calibrations.0.by",
    )
    yield changed(
        "no evidence",
        "scopes/proof.yaml",
        g.SCOPE,
        "[bench/graticule.png]",
        "[bench/none.png]",
        "settings.zoom-2.calibrations.0.evidence.0",
    )
    yield a_sample("sample of no part", "part: LC-0440", "part: LC-0444", "part")
    yield a_sample("no sample picture", "file: gate.png", "file: gates.png", "pictures.0.file")
    yield a_sample("no sample scope", "scope: stereo-1", "scope: stereo-2", "pictures.0.scope")
    yield a_sample("no signer", "{by: t-orlevin", "{by: t-orlewin", "agreed.shop.by")
    yield a_sample("no replacement", "expires: 2028-02-11", "replaced_by: LS-1", "replaced_by")
    yield _circle()


def _circle() -> Fault:
    old, both = "expires: 2028-02-11", {}
    for id_, next_ in (("LS-A", "LS-B"), ("LS-B", "LS-A")):
        both[id_] = a_sample(id_, old, f"replaced_by: {next_}", "replaced_by")
    return Fault("circle", {**both["LS-A"].files, **both["LS-B"].files}, both["LS-A"].seen)


def _of_tags() -> Iterator[Fault]:
    yield a_tag("no cavity", "A001", 'cavity: "1"', 'cavity: "9"', "cavity")
    yield a_tag("no shot", "A002", "shot: 12", "shot: 14", "shot")
    yield a_tag("no piece", "A003", "piece: T2-1-12-1", "piece: T2-1-12-2", "piece")
    yield a_tag("no view", "A004", "view: gate-profile", "view: gate-profil", "view")
    yield a_tag("no scope", "A005", "scope: stereo-1", "scope: stereo-2", "scope")
    yield a_tag("no setting", "A006", "setting: zoom-2", "setting: zoom-3", "setting")
    yield a_tag("no feature", "A007", "feature: pin", "feature: bore", "known.feature")
    yield a_tag("no class of defect", "A008", "defect: gate-vestige", "defect: gate", "findings.0.defect")
    yield a_tag("no zone", "A009", "zone: B", "zone: C", "findings.0.zone")
    yield a_tag("no inspector", "A00A", "by: k-ammer", "by: nobody", "findings.0.by")
    yield a_tag("id with an O", "A0OB", "seen: yes", "seen: yes # as read", "findings.0.id", on="id: A0OB")
    yield a_tag("z id of another trial", "7K3F", "seen: yes", "seen: yes # here", "findings.0.id", on="id: 7K3F")
    shape = "findings.0.shapes.0"
    yield a_tag("shape misspelt", "A00C", "shape: base-and-point", "shape: base-and-piont", f"{shape}.shape")
    yield a_tag("shape missing", "A00D", "shape: base-and-point", "#", f"{shape}.shape", on="- characteristic")
    yield a_tag("key of another shape", "A00E", '        point: "2,1"', '        points: "2,1"', f"{shape}.points")
    yield a_tag("base of two", "A00F", '"0,3 2,3 4,3"', '"0,3 2,3"', f"{shape}.base")
    yield a_tag("no point", "A00G", 'point: "2,1"', 'point: "2;1"', f"{shape}.point")
    yield a_tag("seen maybe", "A00H", "seen: yes", "seen: maybe", "findings.0.seen")
    yield a_tag("no digest", "A00J", "sha256: ", "sha256: x", "picture.sha256")
    yield a_tag("gauge below zero", "A00K", "u: 2 um", "u: -2 um", "findings.0.gauge.0.u")
    yield a_tag("gauge without doubt", "A00Z", "u: 2 um", "u: 0 um", "findings.0.gauge.0.u")


def _of_trials() -> Iterator[Fault]:
    def trial(name: str, old: str, new: str, where: str) -> Fault:
        text, file = swap(g.TRIAL, old, new), f"moulds/{name.replace(' ', '-')}/trials/T2/trial.yaml"
        return Fault(name, a_mould(name, text), frozenset({(file, line(text, new), where)}))

    yield trial("no revision", '{small-clear: "3"}', '{small-clear: "2"}', "standards.small-clear")
    yield trial("none in force", '{small-clear: "3"}', "{}", "standards")
    yield trial("no such cavity", 'cavity: "1"', 'cavity: "3"', "pieces.0.cavity")
    yield trial("nobody checked", "by: t-orlevin", "by: t-orlewin", "checked.by")
    yield trial("too many shots", "kept: [12, 13]", "kept: [12, 13], required: 3", "shots.required")
    yield changed(
        "no part", "moulds/no-part/mould.yaml", g.MOULD, '"1": {part: LC-0440', '"1": {part: LC-44', "cavities.1.part"
    )
    why = "reason: worn vent", "x-reason: worn vent", "cavities.2.reason"
    yield changed("no reason", "moulds/no-reason/mould.yaml", g.MOULD, *why)
    home = "moulds/strays/trials/T2"
    shown = g.picture(1)
    tag = g.TAG.replace("SHA", g.sha256(shown)).replace("7K3F", "A00M")
    renamed = {**a_mould("strays"), f"{home}/images/new.png": shown, f"{home}/tags/old.png.yaml": tag}
    yield Fault("renamed", renamed, frozenset({(f"{home}/tags/old.png.yaml", 0, "")}))
    home = "moulds/more/trials/T2"
    lost = g.ALSO.replace("SHA", g.sha256(shown)).replace("7K3F", "A00N")
    more = {**a_mould("more"), f"{home}/images/a.png": shown, f"{home}/tags/a.png.yaml": lost}
    yield Fault("more of nothing", more, frozenset({(f"{home}/tags/a.png.yaml", line(lost, "A00N"), "also.0.finding")}))
    yield from _of_looked()


def _of_looked() -> Iterator[Fault]:
    def looked(name: str, old: str, new: str, where: str) -> Fault:
        text, file = swap(g.LOOKED, old, new), f"moulds/{name.replace(' ', '-')}/trials/T2/looked/1-top-13.yaml"
        return Fault(name, {**a_mould(name), file: text}, frozenset({(file, line(text, new), where)}))

    yield looked("looked by nobody", "by: k-ammer", "by: nobody", "by")
    yield looked("looked at a shot in words", "shot: 13", "shot: thirteen", "shot")
    yield looked("looked under nothing", "stereo-20-ring", "stereo-20", "condition")
    other = a_mould("looked elsewhere")
    file = "moulds/looked-elsewhere/trials/T2/looked/1-top-12.yaml"
    yield Fault("looked elsewhere", {**other, file: g.LOOKED}, frozenset({(file, 1, "")}))
