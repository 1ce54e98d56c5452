"""More planted faults: so many that each message of reading is caused by one; those of `catalog.yaml` stand alone."""

from collections.abc import Iterator

from portal.catalog.text import LARGEST
from portal.catalog.tree import MOST_NODES
from tests.catalog import good as g
from tests.catalog.faults import Fault, a_mould, a_part, a_sample, a_standard, a_tag, changed, line, single, swap

SCALE = "settings.zoom-2"
CHECK = 'points: "0,0 4,0", length: 3.6 um'


def more_faults() -> Iterator[Fault]:
    """Those that can be planted beside all others."""
    yield from _of_text()
    yield from _of_folders()
    yield from _of_values()
    yield from _of_customers_and_defects()
    yield from _of_standards()
    yield from _of_scopes()
    yield from _of_parts()
    yield from _of_samples()
    yield from _of_moulds()
    yield from _of_tags()


def shop_faults() -> Iterator[Fault]:
    """Those of `catalog.yaml`, of which there is only one."""

    def shop(name: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
        return changed(name, "catalog.yaml", g.CATALOG, old, new, where, on=on)

    yield shop("no time zone", "Europe/Vienna", "Europe/Wien", "time_zone")
    yield shop("no language", "languages: [en, de]", "languages: []", "languages")
    yield shop("language twice", "languages: [en, de]", "languages: [en, en]", "languages.1")
    yield shop("no part of a name", "c{cavity}", "c{cave}", "file_names")
    yield shop("no such training", 'revision: "3"', 'revision: "4"', "people.k-ammer.trained.0.standard")
    yield shop("no such role", "roles: [inspector]", "roles: [inspectress]", "people.k-ammer.roles.0")
    yield shop("shared what", "share: [causes]", "share: [cause]", "share.0")
    yield shop("day of another kind", "date: 2026-01-19", "date: 19.1.2026", "people.k-ammer.trained.0.date")
    yield shop("nobody", "people:\n", "peoples:\n", "peoples")
    yield shop("no name", "    name: K. Ammer\n", "    x-name: K. Ammer\n", "people.k-ammer.name", on="  k-ammer:")


def zone_fault() -> Fault:
    """A zone that no part has; not surely a fault where a part is broken, so that it stands alone too."""
    old, new = "    zone_class: A\n", "    zone: Z\n"
    return changed("zone of no part", "standards/small-clear/3.yaml", g.STANDARD, old, new, "criteria.1.zone")


def _of_text() -> Iterator[Fault]:
    yield single("too large", "customers/large.yaml", g.CUSTOMER + "#" * LARGEST, 1)
    yield single("no encoding", "customers/bytes.yaml", g.CUSTOMER.encode() + b"# \x81\n", 7)
    yield single("a list as key", "customers/key.yaml", g.CUSTOMER + "? [a, b]\n: c\n", 7)
    yield single("too many values", "customers/many.yaml", f"x-many: [{'a, ' * MOST_NODES}]\n", 1)


def _of_folders() -> Iterator[Fault]:
    turned = "customers/line\nend.yaml"
    yield Fault("line end in a name", {turned: g.CUSTOMER}, frozenset({("customers/line end.yaml", 0, "")}))
    odd = "customers/odd-\udcff.yaml"
    yield Fault("name in another encoding", {odd: g.CUSTOMER}, frozenset({("customers/odd-\\udcff.yaml", 0, "")}))
    yield Fault("no revision at all", {"standards/bare/notes.txt": "x"}, frozenset({("standards/bare", 0, "")}))
    yield single("part beside the folders", "parts/loose.yaml", g.PART, 0)
    nested = "moulds/nested/trials/T2/images/more"
    files = {**a_mould("nested"), f"{nested}/a.png": g.picture(3)}
    yield Fault("pictures too deep", files, frozenset({(nested, 0, "")}))


def _of_values() -> Iterator[Fault]:
    limit = "criteria.0.limits.0.max"
    yield a_standard("about a length", "max: 0.150 mm", "max: about 0.15 mm", limit)
    yield a_standard("a list of keys", "source: {document: drawing LC-0440}\n", "source: [a]\n", "criteria.1.source")
    listed = "[{characteristic: height, max: 0.150 mm, min: -0.050 mm}]"
    yield a_standard("keys for a list", f"limits: {listed}", "limits: {a: b}", "criteria.0.limits")
    yield changed("list for names", "defects/names.md", g.FLASH, "terms: {en: [flash]}", "terms: [flash]", "terms")
    yield single("an empty item", "customers/item.yaml", g.CUSTOMER + "other_names: [a, '']\n", 7, "other_names.1")
    nameless = swap(g.FLASH, "terms: {en: [flash]}", "terms: {en: [flash], '': [x]}")
    yield single("no name before the colon", "defects/colon.md", nameless, 3, "terms.")
    long = swap(g.CUSTOMER, "name: Brindelaar Optics", f"name: {'x' * 20_001}")
    yield single("endless name", "customers/endless.yaml", long, 2, "name")


def _of_customers_and_defects() -> Iterator[Fault]:
    yield single("a customer called shop", "customers/Shop.yaml", g.CUSTOMER, 1)
    yield single("three names", "customers/three.yaml", g.CUSTOMER + "names_needed: 3\n", 7, "names_needed")
    again = g.CUSTOMER + "  - {name: K. Ammerlund, role: quality, may: []}\n"
    yield single("a reviewer twice", "customers/reviewer.yaml", again, 7, "reviewers.1.name")
    yield changed("may what", "customers/may.yaml", g.CUSTOMER, "[accept, agree", "[acept, agree", "reviewers.0.may.0")
    yield changed("language of no site", "customers/fr.yaml", g.CUSTOMER, "language: en", "language: fr", "language")
    yield changed("no term", "defects/none.md", g.FLASH, "{en: [flash]}", "{}", "terms")
    yield changed("no term in English", "defects/english.md", g.FLASH, "{en: [flash]}", "{en: []}", "terms.en")
    yield changed("no such edge", "defects/edge.md", g.DEFECT, "edge: torn", "edge: ragged", "edge")


def _of_standards() -> Iterator[Fault]:
    classes = "zone_classes: {A: seen in use, B: seen when handled, D: hidden}"
    bare = swap(g.STANDARD, classes, "zone_classes: {}").partition("criteria:\n")[0] + "criteria: []\n"
    yield single("no zone class at all", "standards/classless/1.yaml", bare, 5, "zone_classes")
    light = "conditions.stereo-20-ring.light.angle"
    yield a_standard("light from below", "angle: 15 deg", "angle: 190 deg", light)
    yield a_standard("angle without unit", "angle: 15 deg", "angle: 15", light)
    at = "conditions.stereo-20-ring.magnification"
    yield a_standard("no magnification", "magnification: 20", "magnification: 0", at)
    yield a_standard("turned maybe", "    magnification: 20", "    turn: maybe", "conditions.stereo-20-ring.turn")
    allowed = "rule: allowed\n    limits"
    yield a_standard("allowed within", "rule: limits\n    limits", allowed, "criteria.0.rule", on="rule: allowed")
    height = "{characteristic: height, max"
    yield a_standard("count as a length", height, "{characteristic: count, max", "criteria.0.limits.0.characteristic")
    yield a_standard("area as a length", height, "{characteristic: area, max", "criteria.0.limits.0.characteristic")
    yield a_standard("counted per cavity", "{max: 5, per: zone}", "{max: 5, per: cavity}", "criteria.1.count.1.per")
    square = "{max: 3, per: {square: 10 mm}}"
    was = "{from: 0.1 mm, to: 0.2 mm, max: 3, per: {circle: 10 mm}}"
    yield a_standard("counted in a square", was, square, "criteria.1.count.0.per")
    yield a_standard("sizes turned round", "{from: 0.1 mm, to", "{from: 0.3 mm, to", "criteria.1.count.0.from")
    yield _smallest()
    yield _spaced_twice()
    yield _equal_rank()
    yield _other_class()


def _smallest() -> Fault:
    text = g.STANDARD + "    smallest_counted: -1 um\n"
    file, at = "standards/negative/1.yaml", line(text, "-1 um")
    return single("negative counted", file, text, at, "criteria.1.smallest_counted")


def _spaced_twice() -> Fault:
    text = g.STANDARD + "    spacing: 1 mm\n    limits: [{characteristic: spacing, min: 2 mm}]\n"
    file, at = "standards/twice/1.yaml", line(text, "    spacing: 1 mm")
    return single("spacing limited twice", file, text, at, "criteria.1.spacing")


def _equal_rank() -> Fault:
    again = "  - id: GV-C\n" + g.STANDARD[g.STANDARD.index('    revision: "4"') : g.STANDARD.index("  - id: FL-A")]
    text = g.STANDARD + again
    return single("two of equal rank", "standards/equal/1.yaml", text, line(text, "id: GV-C"), "criteria.2")


def _other_class() -> Fault:
    fault = a_sample("flash", "defect: gate-vestige", "defect: flash", "")
    text = swap(g.STANDARD, "last_good: LS-0007", "last_good: flash")
    file = "standards/other-class/1.yaml"
    seen = frozenset({(file, line(text, "last_good: flash"), "criteria.0.limit_samples.last_good")})
    return Fault("sample of another class", {**fault.files, file: text}, seen)


def _of_scopes() -> Iterator[Fault]:
    def scope(name: str, old: str, new: str, where: str, *, on: str | None = None) -> Fault:
        return changed(name, f"scopes/{name.replace(' ', '-')}.yaml", g.SCOPE, old, new, where, on=on)

    yield scope("tilt of a right angle", "angle: 6 deg", "angle: 90 deg", "tilt.angle")
    yield scope("doubtful tilt", "u: 1 deg}", "u: 95 deg}", "tilt.u")
    yield scope("return without percent", "return_u: 0.2 %", "return_u: 0.2", f"{SCALE}.return_u")
    yield scope("negative return", "return_u: 0.2 %", "return_u: -0.2 %", f"{SCALE}.return_u")
    yield scope("frame in words", "frame: 4000x3000", "frame: 4000 by 3000", f"{SCALE}.calibrations.0.frame")
    yield scope("check of three", CHECK, CHECK.replace("4,0", "4,0 5,0"), f"{SCALE}.checks.0.points")
    yield scope("check of one place", CHECK, CHECK.replace("4,0", "0,0"), f"{SCALE}.checks.0.points")
    yield scope("check of nothing", CHECK, CHECK.replace("3.6 um", "0 um"), f"{SCALE}.checks.0.length")
    picture = "{picture: bench/graticule"
    yield scope("check without picture", picture, "{picture: bench/none", f"{SCALE}.checks.0.picture")
    yield scope("click stop perhaps", "click_stop: true", "click_stop: perhaps", f"{SCALE}.optics.click_stop")
    yield scope("check one morning", "at: 2026-03-01T08:00", "at: 1 March 8 h", f"{SCALE}.checks.0.at")
    yield scope("kind of scope", "type: common main objective", "type: common", "type")


def _of_parts() -> Iterator[Fault]:
    zones = g.PART[g.PART.index("zones:\n") : g.PART.index("standards:")]
    bare = g.PART.replace(zones, "zones: {}\nviews: {}\n")
    yield single("no zone at all", "parts/zoneless/part.yaml", bare, 7, "zones")
    yield a_part("views alike", "  top:\n", "  Gate-profile:\n", "views.Gate-profile")
    yield a_part("backslash", "views/gate.png", "views\\gate.png", "views.gate-profile.reference")
    yield _component()
    yield a_part("negative depth", "depth: 0.4 mm", "depth: -0.4 mm", "zones.B.depth")
    yield a_part("outline of two", '"0,0 4,0 4,3"', '"0,0 4,0"', "views.gate-profile.sees.B.outline")
    yield a_part("standard twice", "standards: [small-clear]", "standards: [small-clear, small-clear]", "standards.1")
    feature = "views.gate-profile.known_feature"
    yield a_part("feature of nothing", "length: 0.500 mm", "length: 0 mm", f"{feature}.length")
    yield a_part("feature without doubt", ", u: 0.002 mm", "", f"{feature}.u", on="name: pin")
    yield a_part("picture sometimes", "picture: if found", "picture: sometimes", "views.top.picture")
    link = "parts/link-out/views/gate.png"
    planted = a_part("link out", "views/gate.png", "views/gate.png # a link", "views.gate-profile.reference")
    files = {path: content for path, content in planted.files.items() if path != link}
    yield Fault("picture by a link out", {**files, f"{link}.txt": "x"}, planted.seen, links={link: "/etc/hostname"})


def _component() -> Fault:
    text = swap(g.PART, "kind: appearance, depth: 0.4 mm}", "kind: appearance, component: lid}") + "components: [cap]\n"
    files: g.Tree = {"parts/component/part.yaml": text, "parts/component/views/gate.png": g.picture(4)}
    file = "parts/component/part.yaml"
    return Fault("no such component", files, frozenset({(file, line(text, "component: lid"), "zones.B.component")}))


def _of_samples() -> Iterator[Fault]:
    yield a_sample("itself", "expires: 2028-02-11", "replaced_by: itself", "replaced_by")
    yield a_sample("paired elsewhere", "x-pair: LS-0008", "pair: LS-0008", "pair")
    pictures = "pictures:\n  - {file"
    only = a_sample("no picture at all", "kind: piece", "kind: picture only", "kind")
    file = "limit-samples/no-picture-at-all/sample.yaml"
    content = only.files[file]
    assert isinstance(content, str) and pictures in content
    yield Fault(only.name, {**only.files, file: content.replace("pictures:", "x-pictures:")}, only.seen)
    yield _both_good()
    yield a_sample("side of neither", "side: last good", "side: last", "side")
    yield a_sample("negative doubt", "u: 0.006 mm", "u: -0.006 mm", "u")
    yield a_sample("under no light", "condition: stereo-20-ring", "condition: stereo-20", "condition")


def _both_good() -> Fault:
    files: g.Tree = {}
    for id_, other in (("good-a", "good-b"), ("good-b", "good-a")):
        files |= a_sample(id_, "x-pair: LS-0008", f"pair: {other}", "pair").files
    file = "limit-samples/good-a/sample.yaml"
    text = files[file]
    assert isinstance(text, str)
    return Fault("two last good", files, frozenset({(file, line(text, "pair: good-b"), "pair")}))


def _of_moulds() -> Iterator[Fault]:
    def mould(name: str, old: str, new: str, where: str) -> Fault:
        return changed(name, f"moulds/{name.replace(' ', '-')}/mould.yaml", g.MOULD, old, new, where)

    def trial(name: str, old: str, new: str, where: str) -> Fault:
        text, file = swap(g.TRIAL, old, new), f"moulds/{name.replace(' ', '-')}/trials/T2/trial.yaml"
        return Fault(name, a_mould(name, text), frozenset({(file, line(text, new), where)}))

    bare = g.MOULD.partition("cavities:")[0] + "cavities: {}\n"
    yield single("no cavity at all", "moulds/hollow/mould.yaml", bare, 4, "cavities")
    alike = g.MOULD.replace('"1"', '"a"').replace('"2"', '"A"')
    yield single("cavities alike", "moulds/alike/mould.yaml", alike, line(alike, '"A"'), "cavities.A")
    yield mould("running perhaps", "status: running", "status: run", "cavities.1.status")
    yield trial("no shot required", "kept: [12, 13]", "kept: [12, 13], required: 0", "shots.required")
    yield trial("half a shot", "kept: [12, 13]", "kept: [12, 12.5]", "shots.kept.1")
    yield trial("a shot twice", "kept: [12, 13]", "kept: [12, 12, 13]", "shots.kept.1")
    yield _hours()
    yield _loose()
    yield trial("piece of no shot", 'cavity: "1", shot: 12', 'cavity: "1", shot: 14', "pieces.0.shot")


def _hours() -> Fault:
    text, file = g.TRIAL + "hours_to_inspection: -1\n", "moulds/early/trials/T2/trial.yaml"
    seen = frozenset({(file, line(text, "hours"), "hours_to_inspection")})
    return Fault("inspected before", a_mould("early", text), seen)


def _loose() -> Fault:
    """A standard that is there, and by which no part of the mould goes."""
    text = swap(g.TRIAL, '{small-clear: "3"}', '{small-clear: "3", loose: "1"}')
    file = "moulds/loose/trials/T2/trial.yaml"
    files = {**a_mould("loose", text), "standards/loose/1.yaml": g.STANDARD}
    return Fault("standard of nobody", files, frozenset({(file, line(text, "loose"), "standards.loose")}))


def _of_tags() -> Iterator[Fault]:
    yield a_tag("setting of no scope", "B001", "scope: stereo-1", "x-scope: stereo-1", "setting", on="setting: zoom-2")
    yield a_tag("native of one", "B002", "setting: zoom-2", "native: 4x3 # one", "native")
    yield a_tag("nothing read", "B003", "readings: [12 um, 14 um]", "readings: []", "findings.0.gauge.0.readings")
    yield a_tag("known of no view", "B004", "view: gate-profile", "x-view: gate-profile", "known", on="known:")
    yield a_tag("piece of another cavity", "B005", 'cavity: "1"', 'cavity: "2"', "piece", on="piece:")
    yield a_tag("piece of another shot", "B006", "shot: 12", "shot: 13", "piece", on="piece:")
    yield a_tag("known by one end", "B007", '"0,0 4,0"', '"0,0"', "known.points")
    yield a_tag("known nowhere", "B008", '"0,0 4,0"', '"  "', "known.points")
    yield a_tag("made by hand", "B009", 'known: {feature: pin, points: "0,0 4,0"}', "made: by hand", "made")
    yield a_tag("found by nobody", "B00A", "    by: k-ammer\n", "    x-by: k-ammer\n", "findings.0.by", on="- id:")
    yield a_tag("poster at no time", "B00D", "setting: zoom-2", "movie: {poster: half way}", "movie.poster")
    yield from _of_more()


def _of_more() -> Iterator[Fault]:
    shown, other = g.picture(1), g.picture(2)

    def both(name: str, id_: str, second: str, at: int) -> Fault:
        home = f"moulds/{name.replace(' ', '-')}/trials/T2"
        files: g.Tree = {**a_mould(name), f"{home}/images/a.png": shown, f"{home}/images/b.png": other}
        files[f"{home}/tags/a.png.yaml"] = g.TAG.replace("SHA", g.sha256(shown)).replace("7K3F", id_)
        files[f"{home}/tags/b.png.yaml"] = second.replace("SHA", g.sha256(other)).replace("7K3F", id_)
        return Fault(name, files, frozenset({(f"{home}/tags/b.png.yaml", at, "also.0.finding")}))

    elsewhere = g.ALSO.replace('cavity: "1"', 'cavity: "2"')
    yield both("more of another cavity", "B00B", elsewhere, line(g.ALSO, "7K3F"))
    home = "moulds/more-of-itself/trials/T2"
    itself = g.TAG + g.ALSO[g.ALSO.index("also:") :].replace("7K3F", "7K3F # here").replace("width", "height")
    itself = itself.replace("SHA", g.sha256(shown)).replace("7K3F", "B00C")
    file = f"{home}/tags/a.png.yaml"
    seen = frozenset({(file, line(itself, "# here"), "also.0.finding")})
    yield Fault("more of itself", {**a_mould("more-of-itself"), f"{home}/images/a.png": shown, file: itself}, seen)
