"""A small catalogue without a problem; tests change one thing in it."""

import hashlib
import struct
import zlib

Tree = dict[str, str | bytes]


def picture(shade: int) -> bytes:
    """A grey PNG of 4 x 3 pixels, a different file for each shade."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    rows = zlib.compress(b"".join(b"\0" + bytes([shade] * 4) for _ in range(3)))
    head = struct.pack(">IIBBBBB", 4, 3, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def sha256(content: bytes) -> str:
    """As a tag names a picture."""
    return hashlib.sha256(content).hexdigest()


CATALOG = """\
format: 1
shop: {name: Halvenast Small Parts}
time_zone: Europe/Vienna
languages: [en, de]
people:
  k-ammer:
    name: K. Ammer
    roles: [inspector]
    trained: [{standard: small-clear, revision: "3", date: 2026-01-19}]
  t-orlevin: {name: T. Orlevin, roles: [inspector, engineer]}
share: [causes]
file_names: "{mould}_{trial}_c{cavity}_s{shot}_{view}"
"""

CUSTOMER = """\
format: 1
name: Brindelaar Optics
unit: mm
language: en
reviewers:
  - {name: K. Ammerlund, role: supplier quality, may: [accept, agree-limit]}
"""

DEFECT = """\
---
format: 1
terms:
  en: [gate vestige, gate mark]
  de: [Angussrest]
edge: torn
---
What is left where the gate was.
"""

FLASH = """\
---
format: 1
terms: {en: [flash]}
---
"""

STANDARD = """\
format: 1
name: Small clear parts
effective: 2026-01-12
owner: shop
zone_classes: {A: seen in use, B: seen when handled, D: hidden}
conditions:
  stereo-20-ring:
    instrument: stereo microscope
    magnification: 20
    light: {kind: ring, angle: 15 deg}
criteria:
  - id: GV-B
    revision: "4"
    defect: gate-vestige
    zone_class: B
    condition: stereo-20-ring
    severity: minor
    rule: limits
    limits: [{characteristic: height, max: 0.150 mm, min: -0.050 mm}]
    limit_samples: {last_good: LS-0007, first_bad: LS-0008}
    source: {document: drawing LC-0440, revision: C}
    agreed: {party: brindelaar, by: K. Ammerlund, date: 2026-02-11}
  - id: FL-A
    revision: "1"
    defect: flash
    zone_class: A
    condition: stereo-20-ring
    severity: major
    rule: limits
    count: [{from: 0.1 mm, to: 0.2 mm, max: 3, per: {circle: 10 mm}}, {max: 5, per: zone},
      {from_area: 0.01 mm², to_area: 0.05 mm2, max: 2, per: part, together_with: [gate-vestige]}]
    source: {document: drawing LC-0440}
"""

SCOPE = """\
format: 1
type: common main objective
camera_path: right
tilt: {angle: 6 deg, u: 1 deg}
settings:
  zoom-2:
    optics: {objective: 1x, zoom: "2", click_stop: true, adapter: 0.5x, camera: CX-5, binning: none}
    calibrations:
      - id: CAL-1
        frame: 4000x3000
        x: 0.90 um
        u_x: 0.01 um
        y: 0.90 um
        u_y: 0.01 um
        artefact: stage micrometer
        certificate: {number: HK-1, u: 0.2 um}
        date: 2026-02-02
        valid_until: 2027-02-01
        by: k-ammer
        evidence: [bench/graticule.png]
    checks:
      - {picture: bench/graticule.png, points: "0,0 4,0", length: 3.6 um, at: 2026-03-01T08:00, by: k-ammer}
    return_u: 0.2 %
"""

SAMPLE = """\
format: 1
kind: piece
part: LC-0440
defect: gate-vestige
zone_class: B
side: last good
pair: LS-0008
condition: stereo-20-ring
value: 0.141 mm
u: 0.006 mm
pieces:
  - {serial: LS-0007-1, cavity: "1", shot: 12, holder: shop, place: cabinet 2}
pictures:
  - {file: gate.png, sha256: SHA, stored: 4x3, scope: stereo-1, setting: zoom-2}
agreed:
  shop: {by: t-orlevin, date: 2026-02-11}
  customer: {by: K. Ammerlund, date: 2026-02-12}
expires: 2028-02-11
"""

PART = """\
format: 1
customer: brindelaar
name: Lens collar
numbers: {shop: LC-0440, customer: 88-1203-04}
drawing: {number: LC-0440, revision: C}
material: POM natural
zones:
  A: {class: A, kind: functional}
  B: {class: B, kind: appearance, depth: 0.4 mm}
views:
  gate-profile:
    picture: always
    reference: views/gate.png
    sees:
      B: {as: profile, outline: "0,0 4,0 4,3"}
    known_feature: {name: pin, length: 0.500 mm, u: 0.002 mm}
  top:
    picture: if found
    sees:
      A: {as: face}
standards: [small-clear]
precedence: [drawing, customer-standard, part, shop-standard]
"""

MOULD = """\
format: 1
customer_tool_number: BT-0093
revision: "3"
cavities:
  "1": {part: LC-0440, insert: A, status: running}
  "2": {part: LC-0440, status: blocked, reason: worn vent}
"""

TRIAL = """\
format: 1
stage: First-off
date: 2026-03-04
standards: {small-clear: "3"}
shots: {discarded: 10, kept: [12, 13]}
pieces:
  - {id: T2-1-12-1, cavity: "1", shot: 12}
checked: {by: t-orlevin, at: 2026-03-05T09:20}
"""

TAG = """\
format: 1
picture: {sha256: SHA, stored: 4x3}
cavity: "1"
shot: 12
piece: T2-1-12-1
view: gate-profile
scope: stereo-1
setting: zoom-2
known: {feature: pin, points: "0,0 4,0"}
findings:
  - id: 7K3F
    defect: gate-vestige
    zone: B
    seen: yes
    shapes:
      - characteristic: height
        shape: base-and-point
        base: "0,3 2,3 4,3"
        point: "2,1"
        edge: torn
        drawn: by hand
    gauge:
      - {characteristic: height, readings: [12 um, 14 um], instrument: dial gauge, u: 2 um}
    by: k-ammer
    at: 2026-03-04T15:12
"""

ALSO = """\
format: 1
picture: {sha256: SHA, stored: 4x3}
cavity: "1"
view: top
also:
  - finding: 7K3F
    shapes:
      - {characteristic: width, shape: line, points: "0,0 4,0", edge: sharp, drawn: by hand}
    by: k-ammer
    at: 2026-03-04T15:14
"""

LOOKED = """\
format: 1
cavity: "1"
view: top
shot: 13
condition: stereo-20-ring
by: k-ammer
at: 2026-03-04T15:20
"""

T2 = "moulds/M-118/trials/T2"


def _named(text: str, content: bytes) -> str:
    return text.replace("SHA", sha256(content))


def good() -> Tree:
    """Every kind of file, all of them right."""
    second = SAMPLE.replace("last good", "first bad").replace("LS-0008", "LS-0007").replace("0.141", "0.183")
    return {
        "catalog.yaml": CATALOG,
        "customers/brindelaar.yaml": CUSTOMER,
        "defects/gate-vestige.md": DEFECT,
        "defects/flash.md": FLASH,
        "standards/small-clear/3.yaml": STANDARD,
        "scopes/stereo-1.yaml": SCOPE,
        "scopes/bench/graticule.png": picture(9),
        "limit-samples/LS-0007/sample.yaml": _named(SAMPLE, picture(7)),
        "limit-samples/LS-0007/gate.png": picture(7),
        "limit-samples/LS-0008/sample.yaml": _named(second, picture(8)),
        "limit-samples/LS-0008/gate.png": picture(8),
        "parts/LC-0440/part.yaml": PART,
        "parts/LC-0440/views/gate.png": picture(4),
        "moulds/M-118/mould.yaml": MOULD,
        f"{T2}/trial.yaml": TRIAL,
        f"{T2}/images/cam-1.png": picture(1),
        f"{T2}/images/cam-2.png": picture(2),
        f"{T2}/images/cam-10.png": picture(10),
        f"{T2}/tags/cam-1.png.yaml": _named(TAG, picture(1)),
        f"{T2}/tags/cam-2.png.yaml": _named(ALSO, picture(2)),
        f"{T2}/looked/1-top-13.yaml": LOOKED,
        "notes/anything.yaml": "not: [ours",
        f"{T2}/images/._cam-1.png": b"junk",
        "parts/Thumbs.db": b"junk",
    }
