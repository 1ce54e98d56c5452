"""The bench attacked: other hosts, other sites, paths for keys, bodies that are none; 4xx, and no trace."""

import hashlib
import random
from pathlib import Path

import pytest

from portal.bench.index import key_of
from portal.bench.page import static_files
from tests.bench.conftest import GATE, Client

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
    "/sample/{}/1",
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


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1.evil.example"])
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


def test_every_answer_has_the_headers_that_hold_it(client: Client) -> None:
    """Also a refusal."""
    for path in ("/", "/api/trials", f"/picture/{KEY}/1", "/static/bench.js", "/nothing"):
        headers = client.ask(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self';")
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


def malformed(rng: random.Random) -> dict[str, object]:
    """A body that is nearly one of ours, with a few odd values and keys."""
    shape = {"characteristic": "length", "shape": "line", "points": "1,1 2,2", "edge": "sharp", "drawn": "by hand"}
    finding = {"defect": "black-speck", "zone": "B", "seen": "yes", "shapes": [shape]}
    place = dict.fromkeys(("cavity", "shot", "piece", "view", "scope", "setting", "made"), "")
    body: dict[str, object] = {
        "number": 1, "picture": KEY, "place": place, "place_seen": "", "finding": finding, "id": "", "seen": "",
        "by": "first-inspector", "trial": KEY, "cavity": "1", "view": "top", "shot": "11", "condition": "x",
    }  # fmt: skip
    for inner in rng.sample([body, place, finding, shape], k=2):
        assert isinstance(inner, dict)
        inner[rng.choice([*inner, "x"])] = rng.choice(ODD)
    return body


@pytest.mark.parametrize("seed", [*range(2), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 20))])
def test_malformed_requests_are_refused_and_leave_no_trace(client: Client, seed: int) -> None:
    """Twenty-five of five hundred in each; the bench answers afterwards as before."""
    rng, before = random.Random(seed), prints(client.folder)
    looked = ("trial", "cavity", "view", "shot", "condition", "by")
    keys = {"/api/measure": ("number", "picture", "place", "finding"), "/api/looked": looked, "/api/save": ()}
    keys["/api/edges"] = ("number", "picture", "finding")
    keys["/api/placed"] = ("picture", "place")
    for _ in range(25):
        path = rng.choice(list(keys))
        body = malformed(rng)
        if rng.random() < 0.5 and keys[path]:
            body = {name: body[name] for name in keys[path]}
        status = client.post(path, body).status
        assert 400 <= status < 500 or (path in {"/api/measure", "/api/placed"} and status == 200), (path, body, status)
    for raw in (b"", b"{", b"[" * 100_000, b"\xff\xfe", b'{"number": NaN}', b"null", b'"x"'):
        own = {"Content_Type": "application/json", "X_Portal_Token": client.token}
        assert client.ask("/api/save", method="POST", body=raw, **own).status == 400
    assert prints(client.folder) == before
    assert client.ask("/api/trials").status == 200
