"""The bench attacked: other hosts, other sites, paths for keys, bodies that are none; 4xx, and no trace."""

import hashlib
import json
import random
from pathlib import Path

import pytest
from starlette.routing import Route

from portal.bench import scales
from portal.bench.app import bench_app
from portal.bench.bodies import Reading
from portal.bench.index import key_of
from portal.bench.page import page, static_files
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from tests.bench.conftest import GATE, UNTAGGED, Client
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_shiftcheck import graticule

KEY = key_of(GATE)
PATHS = [
    "../../../secret.jpg",
    "..%2f..%2f..%2fsecret.jpg",
    "%2e%2e/%2e%2e/secret.jpg",
    "/etc/passwd",
    "c1_gate.jpg",
    "moulds%2fM-001%2ftrials%2fT1%2fimages%2fc1_gate.jpg",
    "%00",
    "C:%5csecret.jpg",
    KEY + "%00",
    KEY.upper(),
    "a" * 5000,
]
GETS = [
    "/api/trial/{}",
    "/api/picture/{}",
    "/picture/{}/1",
    "/picture/{}/1/0",
    "/graticule/{}/1/0",
    "/sample/{}/1",
    "/graticule/{}/1",
    "/labels/{}",
    "/preview/{}",
    "/preview/{}/1/index.html",
    "/preview/" + KEY + "/1/{}",
    "/api/changes/{}/1",
    "/picture/" + KEY + "/{}",
    "/static/{}",
    "/{}",
]


def prints(folder: Path) -> dict[str, str]:
    """The digest of every file of a catalogue."""
    files = (each for each in folder.rglob("*") if each.is_file())
    return {each.relative_to(folder).as_posix(): hashlib.sha256(each.read_bytes()).hexdigest() for each in files}


@pytest.mark.parametrize("address", GETS)
def test_a_path_for_a_key_finds_nothing(client: Client, address: str) -> None:
    """In every parameter of every address."""
    for path in PATHS:
        answer = client.ask(address.format(path))
        assert 400 <= answer.status < 500, (path, answer.status)
        assert b"secret" not in answer.content and b"root:" not in answer.content


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", ""])
def test_a_rebound_name_gets_nothing_not_even_the_page(client: Client, host: str) -> None:
    """The page holds the token."""
    answer = client.ask("/", Host=host)
    assert 400 <= answer.status < 500
    assert b"token" not in answer.content


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1.evil.example", "http://[", ""])
def test_another_sites_page_gets_nothing(client: Client, origin: str) -> None:
    """Neither by reading nor by writing, also with a token that leaked."""
    assert client.ask("/api/trials", Origin=origin).status == 421
    assert client.post("/api/save", {}, Origin=origin).status == 421
    assert client.ask("/api/trials", Sec_Fetch_Site="cross-site").status == 403


def test_a_form_of_another_site_cannot_write(client: Client) -> None:
    """It can set neither the token nor the kind of content."""
    body = b'{"trial":"x"}'
    before = prints(client.folder)
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
        assert client.ask("/api/looked", method="POST", body=body, Content_Type=kind).status == 403
        assert client.post("/api/looked", {}, Content_Type=kind).status == 415
    assert client.post("/api/save", {}, X_Portal_Token="x" * 43).status == 403
    assert client.post("/api/save", {}, X_Portal_Token="").status == 403
    assert prints(client.folder) == before


def test_bodies_are_bounded(client: Client) -> None:
    """Refused by what the header says, before anything is read."""
    own = {"Content_Type": "application/json", "X_Portal_Token": client.token}
    assert client.ask("/api/save", method="POST", body=b" " * 1_000_001, **own).status == 413
    assert client.ask("/api/save", method="POST", body=b"{}", Content_Length="1000001", **own).status == 413
    assert client.ask("/api/save", method="POST", body=b"{}", Content_Length="-1", **own).status in {400, 411}


POLICY_WANTED = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)


def test_every_answer_has_the_headers_that_hold_it(client: Client) -> None:
    """Also a refusal."""
    for path in ("/", "/api/trials", f"/picture/{KEY}/1", "/static/bench.js", "/nothing"):
        headers = client.ask(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["content-security-policy"] == POLICY_WANTED
        assert headers["x-frame-options"] == "SAMEORIGIN" and headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "access-control-allow-origin" not in headers
    assert client.ask(f"/picture/{KEY}/1").headers["content-type"] == "image/jpeg"
    assert client.ask("/static/bench.js").headers["content-type"] == "text/javascript; charset=utf-8"


def test_nothing_of_the_page_comes_from_elsewhere(client: Client) -> None:
    """No address of another host in the page, its styles, its scripts."""
    for path in ("/", *(f"/static/{name}" for name in static_files())):
        text = client.ask(path).content.decode().replace("http://www.w3.org/2000/svg", "")
        assert "http:" not in text and "https:" not in text, path


ODD: list[object] = [
    None, True, 0, -1, 2**70, 1.5, "", "x", "../..", "\0", "<script>", "\ud800", "a" * 3000, [], [[]], {}, {"a": {}},
    "7K3G", KEY, "yes", "1,1 2,2", "NaN,1", "1e999,1", {"$ref": "#"}, ["x"] * 200,
]  # fmt: skip


SHAPE = {"characteristic": "length", "shape": "line", "points": "1,1 2,2", "edge": "sharp", "drawn": "by hand"}
FINDING = {"defect": "black-speck", "zone": "B", "seen": "yes", "shapes": [SHAPE]}
PLACE = dict.fromkeys(("cavity", "shot", "piece", "view", "scope", "setting", "made"), "")
SETTING = {"scope": "bench-1", "setting": "zoom-2-adapter-0.5"}
LOOSE, NOBODY = key_of(UNTAGGED), {"by": "nobody"}
READING: dict[str, object] = {**SETTING, "pictures": [LOOSE], "corners": [], "pitch": "10 um", "u": "0.2 um"}
CHECK: dict[str, object] = {**SETTING, "picture": LOOSE, "pitch": "10 um", "points": "1,1 2,2", "length": "1 mm"}
SAID: dict[str, object] = {"picture": KEY, "finding": "", "spot": "", "words": "x", **NOBODY}
BACK: dict[str, object] = {**SETTING, "kind": "checks", "place": 0, "name": "x", "note": "", **NOBODY}
BODIES: dict[str, dict[str, object]] = {
    "/api/measure": {"number": 1, "picture": KEY, "place": PLACE, "finding": FINDING},
    "/api/edges": {"number": 1, "picture": KEY, "shape": SHAPE},
    "/api/placed": {"picture": KEY, "place": PLACE},
    "/api/save": {
        "number": 1, "picture": KEY, "place": PLACE, "place_seen": "", "finding": FINDING, "id": "", "seen": "",
        **NOBODY,
    },
    "/api/looked": {"trial": KEY, "cavity": "1", "view": "top", "shot": "11", "condition": "x", **NOBODY},
    "/api/look-back": BACK,
    "/api/look-again": {**BACK, "part": "P-0001", "finding": "7K3F", "result": "same"},
    "/api/holds-too": {"picture": KEY, "shown": "0" * 64, **NOBODY},
    "/api/checked": {"trial": KEY, "seen": "", **NOBODY},
    "/api/calibrate": READING,
    "/api/calibrated": {**READING, "artefact": "x", "certificate": "", "valid_until": "2027-01-01", **NOBODY},
    "/api/check": CHECK,
    "/api/check-written": {**CHECK, **NOBODY},
    "/api/ask": {**SAID, "due": "", "in_words": False, "as_it_is": False},
    "/api/note": {**SAID, "shared": False},
}  # fmt: skip
"""A body for each address that takes one, as our own page sends it; those that would write name nobody of the shop."""
ONLY_TELLS = {"/api/measure", "/api/edges", "/api/placed", "/api/check", "/api/calibrate"}


def malformed(rng: random.Random, path: str) -> dict[str, object]:
    """A body that is nearly one of ours: one or two odd values, perhaps under a key of its own, perhaps a key less."""
    body: dict[str, object] = json.loads(json.dumps(BODIES[path]))
    shapes = body.get("finding")
    inner = [body, *(each for each in (body.get("place"), shapes, body.get("shape")) if isinstance(each, dict))]
    for table in rng.choices(inner, k=rng.randint(1, 2)):
        if rng.random() < 0.1:
            table.pop(rng.choice(list(table)))
        else:
            table[rng.choice([*table, "x"])] = rng.choice(ODD)
    return body


def test_every_address_that_takes_a_body_is_attacked(tmp_path: Path) -> None:
    """A new one has to be added above."""
    bench = Bench(small_catalogue(tmp_path / "c"))
    routes = bench_app(bench, Pixels(tmp_path), hosts=("x:1",)).routes
    taken = {each.path for each in routes if isinstance(each, Route) and "POST" in (each.methods or ())}
    assert taken == set(BODIES)
    asked = {each.path for each in routes if isinstance(each, Route) and "GET" in (each.methods or ())}
    keyed = {each.partition("{")[0] for each in asked if "{" in each}
    assert keyed <= {each.partition("{")[0].removesuffix(KEY + "/") for each in GETS}, "one isn't tried with a path"


def test_what_our_own_page_sends_is_understood(client: Client) -> None:
    """Each body is one that the bench reads, so that what is refused below is what was made odd."""
    for path, body in BODIES.items():
        answer = client.post(path, body)
        assert answer.status in {200, 404, 422}, (path, answer.content)
        assert path not in {"/api/measure", "/api/placed"} or answer.status == 200


@pytest.mark.parametrize("seed", [*range(2), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 20))])
def test_malformed_requests_are_refused_and_leave_no_trace(client: Client, seed: int) -> None:
    """Twenty-five of five hundred in each; the bench answers afterwards as before."""
    rng, before = random.Random(seed), prints(client.folder)
    for _ in range(25):
        path = rng.choice(list(BODIES))
        body = malformed(rng, path)
        status = client.post(path, body).status
        assert 400 <= status < 500 or (path in ONLY_TELLS and status == 200), (path, body, status)
    for raw in (b"", b"{", b"[" * 100_000, b"\xff\xfe", b'{"number": NaN}', b"null", b'"x"'):
        own = {"Content_Type": "application/json", "X_Portal_Token": client.token}
        assert client.ask("/api/save", method="POST", body=raw, **own).status == 400
    assert prints(client.folder) == before
    assert client.ask("/api/trials").status == 200


HOSTILE = ("<img src=x onerror=alert(1)>.jpg", "'\";--.jpg", "${7*7}{{7*7}}.jpg", "a\u202egpj.exe.jpg", "%2e%2e%2f.jpg")


def test_hostile_names_and_texts_are_only_ever_text(tmp_path: Path) -> None:
    """Of pictures and people; markup that the server makes holds none of it, and data for the page is JSON."""
    folder = small_catalogue(tmp_path / "c")
    for name in HOSTILE:
        graticule(folder / TRIAL / "images" / "x.jpg", 25.0).rename(folder / TRIAL / "images" / name)
    catalog = folder / "catalog.yaml"
    catalog.write_text(
        catalog.read_text(encoding="utf-8").replace("name: F. I", "name: </script><script>alert(1)</script> F. I"),
        encoding="utf-8",
    )
    bench = Bench(folder)
    html = page(bench, "token", None).decode()
    assert "<script>alert" not in html and "alert(1)" in html
    for name in HOSTILE:
        key = key_of(f"{TRIAL}/images/{name}")
        told = scales.read_pictures(
            bench, Reading.model_validate(READING | {"pictures": [key], "pitch": "25 um"}), bench.speaker()
        )
        assert "<img" not in str(told["html"]) and "49" not in str(told["html"]).split("<figcaption>")[1].split(":")[0]
        assert "\u202e" not in str(told["html"]), "a name can't turn the text around it"
