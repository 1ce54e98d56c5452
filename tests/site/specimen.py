"""A small real catalogue with drawn pictures: two trials, all four verdicts, limit samples at another scale."""

import hashlib
from datetime import date
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageDraw

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.terms import SHOP
from portal.pictures.derive import Derived, Want, derive
from portal.problem import Problem
from portal.site.inputs import Page, SiteInput
from portal.site.plan import plan
from portal.site.render import render
from portal.site.static import static
from portal.tasks.gather import gather
from portal.tasks.handed import handed_over, site_input
from tests.treemaker import plant

AS_OF = "2026-03-05"
SIZE = (1600, 1200)
UM = 0.9
SAMPLE_SIZE = (1200, 900)
SAMPLE_UM = 1.35


def stub(height_um: float, *, size: tuple[int, int], um: float) -> bytes:
    """A gate's stub in profile: its base on the middle line, its height exact to a pixel."""
    image = Image.new("RGB", size, (44, 50, 56))
    pen = ImageDraw.Draw(image)
    base, half, middle = size[1] * 0.62, 130 / um, size[0] / 2
    pen.rectangle((0, base, *size), fill=(168, 163, 150))
    pen.rectangle((middle - half, base - height_um / um, middle + half, base), fill=(186, 181, 170))
    return _jpeg(image)


def face(*, speck: tuple[int, int] | None = None, size: tuple[int, int] = SIZE) -> bytes:
    """A ring seen face-on, with a speck or without."""
    image = Image.new("RGB", size, (60, 66, 70))
    pen = ImageDraw.Draw(image)
    middle = (size[0] / 2, size[1] / 2)
    for radius, shade in ((560, 196), (360, 60), (340, 120), (300, 60)):
        pen.ellipse((middle[0] - radius, middle[1] - radius, middle[0] + radius, middle[1] + radius), fill=(shade,) * 3)
    if speck:
        pen.ellipse((speck[0] - 40, speck[1] - 30, speck[0] + 40, speck[1] + 30), fill=(30, 30, 30))
    return _jpeg(image)


def _jpeg(image: Image.Image) -> bytes:
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=85)
    return buffer.getvalue()


def profile_shape(height_um: float, *, size: tuple[int, int] = SIZE, um: float = UM) -> str:
    """The base-and-point shape that measures such a stub."""
    base, middle = size[1] * 0.62, size[0] / 2
    xs = (
        middle - 330 / um,
        middle - 240 / um,
        middle - 180 / um,
        middle + 180 / um,
        middle + 240 / um,
        middle + 330 / um,
    )
    points = " ".join(f"{x:.2f},{base:.2f}" for x in xs)
    return (
        f'{{characteristic: height, shape: base-and-point, base: "{points}", '
        f'point: "{middle:.2f},{base - height_um / um:.2f}", edge: torn, drawn: by hand}}'
    )


def catalogue(root: Path, *, note: str = "Torn on the runner's side.") -> Path:
    """Write the whole catalogue."""
    plant(root, RECORDS)
    sample(root, "LS-0007", "last good", 142, pair="LS-0008")
    sample(root, "LS-0008", "first bad", 163, pair="LS-0007")
    plant(
        root / "parts/PR-20/views", {"gate.jpg": stub(150, size=(800, 600), um=1.8), "top.jpg": face(size=(1600, 1200))}
    )
    picture(
        root,
        "T1",
        "c1_gate.jpg",
        stub(171, size=SIZE, um=UM),
        cavity=1,
        view="gate-profile",
        findings=[vestige("4A01", 171, note=note)],
    )
    picture(
        root,
        "T1",
        "c2_gate.jpg",
        stub(120, size=SIZE, um=UM),
        cavity=2,
        view="gate-profile",
        findings=[vestige("4A02", 120)],
    )
    picture(
        root,
        "T2",
        "c1_gate.jpg",
        stub(148, size=SIZE, um=UM),
        cavity=1,
        view="gate-profile",
        findings=[vestige("7K3F", 148, note=note)],
    )
    picture(
        root,
        "T2",
        "c2_gate.jpg",
        stub(118, size=SIZE, um=UM),
        cavity=2,
        view="gate-profile",
        findings=[vestige("7K3G", 118)],
    )
    picture(
        root,
        "T2",
        "c3_gate #1 %41.jpg",
        stub(190, size=SIZE, um=UM),
        cavity=3,
        view="gate-profile",
        findings=[vestige("7K3H", 190)],
    )
    picture(root, "T2", "c1_top.jpg", face(speck=(1250, 600)), cavity=1, view="top", findings=[SPECK])
    picture(root, "T2", "c2_top.jpg", face(), cavity=2, view="top", setting="unknown-zoom", findings=[SPLAY])
    picture(root, "T2", "c3_top.jpg", face(), cavity=3, view="top", findings=[])
    return root


def picture(
    root: Path,
    trial: str,
    name: str,
    data: bytes,
    *,
    cavity: int,
    view: str,
    findings: list[str],
    setting: str = "zoom-2",
) -> None:
    """A picture with its tag."""
    size = "x".join(str(side) for side in SIZE)
    listed = "findings:\n" + "".join(findings) if findings else ""
    plant(
        root / f"moulds/M-7/trials/{trial}",
        {
            f"images/{name}": data,
            f"tags/{name}.yaml": f"""format: 1
picture: {{sha256: {hashlib.sha256(data).hexdigest()}, stored: {size}}}
taken: 2026-03-04T15:12
cavity: "{cavity}"
shot: 14
piece: {trial}-{cavity}-14-1
view: {view}
scope: bench-1
setting: {setting}
{listed}""",
        },
    )


def vestige(name: str, height_um: float, *, note: str | None = None) -> str:
    """A finding of a gate vestige in profile."""
    more = f"\n    note: {note!r}" if note else ""
    return f"""  - id: {name}
    defect: gate-vestige
    zone: B
    seen: yes
    shapes: [{profile_shape(height_um)}]{more}
    by: ann
    at: 2026-03-04T16:05
"""


SPECK = """  - id: 7K3J
    defect: speck
    zone: A
    seen: yes
    shapes:
      - {characteristic: diameter, shape: ellipse, points: "1210,600 1290,600 1250,570", edge: sharp, drawn: edge found}
    by: ann
    at: 2026-03-04T16:07
"""
SPLAY = """  - id: 7K3K
    defect: splay
    zone: A
    seen: not checked
    shapes: [{characteristic: length, shape: line, points: "500,600 560,520 640,500", edge: soft, drawn: by hand}]
    shop_note: "Drying time was **short**."
    by: ann
    at: 2026-03-04T16:09
"""


def sample(root: Path, name: str, side: str, height_um: float, *, pair: str) -> None:
    """A limit sample with a picture at a coarser scale."""
    data = stub(height_um, size=SAMPLE_SIZE, um=SAMPLE_UM)
    plant(
        root / f"limit-samples/{name}",
        {
            "gate.jpg": data,
            "sample.yaml": f"""format: 1
kind: piece
part: PR-20
defect: gate-vestige
zone_class: B
side: {side}
pair: {pair}
condition: ring-20
value: {height_um / 1000:.3f} mm
u: 0.004 mm
pieces: [{{serial: S-{name}, cavity: "1", shot: 3, holder: shop, place: cabinet 2}}]
pictures:
  - {{file: gate.jpg, sha256: {hashlib.sha256(data).hexdigest()}, stored: {SAMPLE_SIZE[0]}x{SAMPLE_SIZE[1]},
     scope: bench-1, setting: zoom-1, shapes: [{profile_shape(height_um, size=SAMPLE_SIZE, um=SAMPLE_UM)}]}}
agreed: {{shop: {{by: ann, date: 2026-02-11}}, customer: {{by: O. Pellister, date: 2026-02-11}}}}
""",
        },
    )


def _calibration(name: str, size: tuple[int, int], um: float) -> str:
    return f"""    optics: {{objective: 1x, zoom: "2", click_stop: true, adapter: 0.5x, camera: any, binning: 1x1}}
    calibrations:
      - {{id: {name}, frame: {size[0]}x{size[1]}, x: {um} um, u_x: 0.001 um, y: {um} um, u_y: 0.001 um,
         artefact: stage micrometer, date: 2026-01-05, valid_until: 2027-01-04, by: ann}}
    return_u: 0.2 %
    distortion: 0.1 %
"""


RECORDS = {
    "catalog.yaml": """format: 1
shop: {name: Tolvanne Mouldings}
time_zone: Europe/Vienna
languages: [en]
people: {ann: {name: A. Dorvik, roles: [inspector, engineer]}}
cautions: ["Handle the collars by their rim only"]
""",
    "customers/orrel.yaml": """format: 1
name: Orrelhaven Instruments
unit: mm
language: en
reviewers: [{name: O. Pellister, role: quality, may: [accept, concession, limit-sample, agree-limit]}]
""",
    "defects/gate-vestige.md": """---
format: 1
terms: {en: [gate vestige, gate mark], de: [Angussrest, Überstand am Anguss], zh: [浇口残留]}
edge: torn
look: A torn stub
causes: A worn gate
hazards: A sharp tip cuts
---
What the gate leaves.
""",
    "defects/speck.md": "---\nformat: 1\nterms: {en: [black speck]}\n---\nA dark particle in the material.\n",
    "defects/splay.md": "---\nformat: 1\nterms: {en: [splay]}\nedge: soft\n---\nSilvery streaks.\n",
    "parts/PR-20/part.yaml": """format: 1
customer: orrel
name: Probe ring
numbers: {shop: PR-20, customer: 0044-17}
drawing: {number: PR-20, revision: D}
material: POM natural
zones:
  A: {class: A, kind: appearance}
  B: {class: B, kind: hidden, depth: 0.03 mm}
views:
  gate-profile:
    picture: always
    reference: views/gate.jpg
    sees: {B: {as: profile, outline: "280,190 520,190 520,400 280,400"}}
  top:
    picture: always
    reference: views/top.jpg
    sees:
      A: {as: face, outline: "240,600 800,40 1360,600 800,1160"}
      B: {as: face, outline: "700,60 900,60 900,180 700,180"}
standards: [rings, house]
precedence: [drawing, customer-standard, part, shop-standard]
""",
    "standards/rings/1.yaml": """format: 1
name: Rings, agreed looks
effective: 2026-02-11
owner: orrel
zone_classes: {A: visible after assembly, B: covered after assembly}
conditions:
  ring-20: {instrument: stereo microscope, magnification: 20, light: {kind: ring}}
criteria:
  - id: GV-B
    revision: "4"
    rank: drawing
    defect: gate-vestige
    zone_class: B
    condition: ring-20
    severity: minor
    rule: limits
    limits: [{characteristic: height, max: 0.150 mm, min: -0.050 mm}]
    limit_samples: {last_good: LS-0007, first_bad: LS-0008}
    prevails: number
    source: {document: drawing PR-20, revision: D, note: "7"}
    agreed: {party: orrel, by: O. Pellister, date: 2026-02-11}
  - id: SP-A
    revision: "1"
    defect: splay
    zone_class: A
    condition: ring-20
    severity: minor
    rule: no-worse-than
    source: {document: agreed looks, revision: "1"}
    agreed: {party: orrel, by: O. Pellister, date: 2026-02-11}
""",
    "standards/house/3.yaml": """format: 1
name: House standard
effective: 2026-01-12
owner: shop
zone_classes: {A: visible after assembly, B: covered after assembly}
conditions:
  ring-20: {instrument: stereo microscope, magnification: 20, light: {kind: ring}}
criteria:
  - id: H-GV
    revision: "2"
    defect: gate-vestige
    zone_class: B
    condition: ring-20
    severity: minor
    rule: limits
    limits: [{characteristic: height, max: 0.200 mm}]
    source: {document: House standard, revision: "3", note: "7"}
    agreed: {party: shop, by: A. Dorvik, date: 2026-01-12}
  - id: H-BS
    revision: "1"
    defect: speck
    zone_class: A
    condition: ring-20
    severity: minor
    rule: limits
    limits: [{characteristic: diameter, max: 0.100 mm}]
    source: {document: House standard, revision: "3", note: "5"}
""",
    "standards/house/2.yaml": """format: 1
name: House standard
effective: 2025-03-01
owner: shop
zone_classes: {A: visible, B: covered after assembly}
conditions:
  ring-20: {instrument: stereo microscope, magnification: 10, light: {kind: ring}}
  eye: {instrument: unaided eye, light: {kind: daylight}, distance: 300 mm, time: 5 s, turn: true}
criteria:
  - id: H-GV
    revision: "1"
    defect: gate-vestige
    zone_class: B
    condition: ring-20
    severity: major
    rule: limits
    limits: [{characteristic: height, max: 0.250 mm}]
    source: {document: House standard, revision: "2", note: "7"}
    agreed: {party: shop, by: A. Dorvik, date: 2025-03-01}
  - id: H-SP
    revision: "1"
    defect: splay
    zone_class: A
    condition: eye
    severity: minor
    rule: none
    source: {document: House standard, revision: "2", note: "6"}
    agreed: {party: shop, by: A. Dorvik, date: 2025-03-01}
""",
    "scopes/bench-1.yaml": f"""format: 1
type: common main objective
camera_path: right
tilt: {{angle: 6 deg, u: 1 deg, direction: 0 deg}}
working_distance: 80 mm
settings:
  zoom-2:
{_calibration("CAL-1", SIZE, UM)}  zoom-1:
{_calibration("CAL-2", SAMPLE_SIZE, SAMPLE_UM)}""",
    "moulds/M-7/mould.yaml": """format: 1
customer_tool_number: T-0093
revision: "3"
cavities:
  "1": {part: PR-20, status: running}
  "2": {part: PR-20, status: running}
  "3": {part: PR-20, status: running}
  "4": {part: PR-20, status: blocked, reason: ejector broken}
""",
    "moulds/M-7/trials/T1/trial.yaml": """format: 1
stage: First shots
date: 2026-02-18
standards: {rings: "1", house: "3"}
shots: {discarded: 10, kept: [12, 14], required: 1}
pieces: [{id: T1-1-14-1, cavity: "1", shot: 14}, {id: T1-2-14-1, cavity: "2", shot: 14}]
""",
    "moulds/M-7/trials/T2/trial.yaml": """format: 1
stage: First-off after gate rework
date: 2026-03-04
standards: {rings: "1", house: "3"}
changed: Gate inserts reworked
press: 25 t, electric
material_lot: 77-0193
shots: {discarded: 10, kept: [12, 14], required: 1}
pieces:
  - {id: T2-1-14-1, cavity: "1", shot: 14, place: "retained, box 14"}
  - {id: T2-2-14-1, cavity: "2", shot: 14, place: "retained, box 14"}
  - {id: T2-3-14-1, cavity: "3", shot: 14}
checked: {by: ann, at: 2026-03-05T09:20}
""",
}


def read_site(folder: Path, *, audience: str = "shop") -> SiteInput:
    """What the site of that folder is made from."""
    whole = handed_over(gather(folder), SHOP)
    problems: tuple[Problem, ...] = tuple(whole.reading.problems)
    return site_input(whole, problems=problems, audience=audience, as_of=date.fromisoformat(AS_OF))


def build_site(folder: Path, out: Path) -> dict[str, Page]:
    """Write the whole site of a folder and give its pages by path."""
    site = read_site(folder)
    derived: dict[str, dict[Want, Derived]] = {}
    unreadable: dict[str, PictureUnreadable] = {}
    assets = out / "assets"
    assets.mkdir(parents=True, exist_ok=True)
    for file, wants in plan(site).items():
        facts = site.facts[file]
        assert isinstance(facts, PictureFacts)
        made = derive(folder / file, facts, wants, assets)
        if isinstance(made, PictureUnreadable):
            unreadable[file] = made
        else:
            derived[file] = {each.want: each for each in made}
    pages = {page.path: page for page in (*static(), *render(site, derived, unreadable))}
    for page in pages.values():
        path = out / page.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(page.body)
    return pages
