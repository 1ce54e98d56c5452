"""The application: a page, its pictures, and what it asks and writes; every address looks things up in our index."""

import secrets
from pathlib import Path, PurePosixPath

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from portal.bench import asking, lookingback, scales
from portal.bench.answer import answer
from portal.bench.answering import REFUSALS, language_of, showing, taking, telling
from portal.bench.bodies import (
    Ask,
    Check,
    Edges,
    HoldsToo,
    LookAgain,
    LookBack,
    MarkChecked,
    Note,
    NothingSeen,
    Placed,
    Question,
    Reading,
    Save,
    WriteCalibration,
    WriteCheck,
)  # fmt: skip
from portal.bench.changes import next_version
from portal.bench.checked import mark_checked
from portal.bench.drawing import facts_of
from portal.bench.edges import find_edges
from portal.bench.holding import holds_too
from portal.bench.index import NotThere
from portal.bench.labels import labels
from portal.bench.listing import trial_data, trials
from portal.bench.looked import nothing_seen
from portal.bench.micrometers import candidate
from portal.bench.page import page, static_files
from portal.bench.pixels import Pixels
from portal.bench.previewing import Previewing
from portal.bench.save import save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.model.picture import PictureFacts
from portal.site.words import Speaker
from portal.web.door import Door
from portal.web.files import TYPES
from portal.web.guard import Guard
from portal.web.writes import WriteGuard

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
MOST_BYTES = 1_000_000
"""An outline of ten thousand points has a fifth of that."""


class App:
    """What each address does."""

    def __init__(self, bench: Bench, pixels: Pixels, token: str) -> None:
        self.bench = bench
        self.pixels = pixels
        self.token = token
        self.static = static_files()
        self.previewing = Previewing(bench, pixels.folder / "preview")

    async def page(self, request: Request) -> Response:
        """The page itself."""
        body = await run_in_threadpool(page, self.bench, self.token, language_of(request))
        return Response(body, media_type="text/html; charset=utf-8")

    async def file(self, request: Request) -> Response:
        """A style or a script of ours."""
        found = self.static.get(request.path_params["name"])
        if found is None:
            raise NotThere("refused.no_file")
        return Response(found[1], headers={"content-type": found[0]})

    def trials(self, request: Request) -> object:
        """Every trial."""
        return trials(self.bench, self._speaker(request))

    def trial(self, request: Request) -> object:
        """One trial, as its folder is now."""
        mould, trial = self.bench.index.trial(request.path_params["key"])
        if not self.bench.is_asked_about(mould.id, trial.id):
            self.bench.refresh(mould.id, trial.id)
        self.bench.ask_about(mould.id, trial.id)
        return trial_data(self.bench, request.path_params["key"], self._speaker(request))

    async def changes(self, request: Request) -> Response:
        """The number of the catalogue's state, once it is another than the page's, or after a while."""
        mould, trial = self.bench.index.trial(request.path_params["key"])
        self.bench.ask_about(mould.id, trial.id)
        return JSONResponse({"version": await next_version(self.bench, request.path_params["version"], request)})

    def sight(self, request: Request) -> object:
        """One picture with what was found on it; it is decoded ahead of the first search for an edge."""
        told = sight(self.bench, request.path_params["key"], self._speaker(request))
        self.pixels.decoding.ahead(*self._spot(request))
        return told

    def pixels_of(self, request: Request) -> Path:
        """A picture's pixels, or a tile of them."""
        return self._pixels(request, *self._spot(request))

    def _spot(self, request: Request) -> tuple[Path, PictureFacts]:
        spot = self.bench.index.spot(request.path_params["key"])
        return self.bench.folder / spot.picture.file, facts_of(spot, self.bench.facts)

    def _pixels(self, request: Request, path: Path, own: PictureFacts) -> Path:
        asked = request.path_params
        if "tile" in asked:
            return self.pixels.tile(path, own, asked["divide"], asked["tile"])
        return self.pixels.file(path, own, asked["divide"])

    def sample_of(self, request: Request) -> Path:
        """The pixels of a limit sample's picture, or a tile of them."""
        file = self.bench.index.sample(request.path_params["key"])
        own = self.bench.facts.get(file)
        if not isinstance(own, PictureFacts):
            raise NotThere("refused.no_picture")
        return self._pixels(request, self.bench.folder / file, own)

    def placed(self, asked: Placed, request: Request) -> object:
        """The same, as the page says it was taken."""
        return sight(self.bench, asked.picture, self._speaker(request), said=asked.place)

    async def preview(self, request: Request) -> Response:
        """The page around a trial's review page."""
        body = await run_in_threadpool(self.previewing.frame, request.path_params["key"], language_of(request))
        return Response(body, media_type="text/html; charset=utf-8")

    async def previewed(self, request: Request) -> Response:
        """The review page, or something that it shows."""
        path = request.path_params["path"]
        picture = await run_in_threadpool(self.previewing.picture, path)
        if picture is not None:
            return FileResponse(picture, headers={"content-type": TYPES[picture.suffix]})
        body = await run_in_threadpool(
            self.previewing.page, request.path_params["key"], request.path_params["place"], path
        )
        return Response(body, headers={"content-type": TYPES[PurePosixPath(path).suffix]})

    def measure(self, asked: Question, request: Request) -> object:
        """A drawn finding's value and verdict; an edge may be looked for next."""
        told = answer(self.bench, asked, language=language_of(request))
        spot = self.bench.index.spot(asked.picture)
        self.pixels.decoding.at_once(self.bench.folder / spot.picture.file, facts_of(spot, self.bench.facts))
        return told

    def edges(self, asked: Edges, request: Request) -> object:
        """A shape moved onto the edges nearby, as a proposal."""
        return find_edges(self.bench, self.pixels.decoding, asked, language=language_of(request))

    def save(self, asked: Save, request: Request) -> object:
        """A finding into its tag file."""
        saved = save(self.bench, asked)
        told = {"number": asked.number, "id": saved.id, "conflict": saved.conflict, "taken": saved.taken}
        return {
            **told,
            "seen": saved.seen,
            "placeSeen": saved.place_seen,
            "picture": sight(self.bench, asked.picture, self._speaker(request)),
        }

    def holds(self, asked: HoldsToo, request: Request) -> object:
        """A replaced picture's tag holds for it too."""
        holds_too(self.bench, asked)
        return sight(self.bench, asked.picture, self._speaker(request))

    def looked(self, asked: NothingSeen, request: Request) -> object:
        """Looked at, nothing seen."""
        nothing_seen(self.bench, asked)
        return trial_data(self.bench, asked.trial, self._speaker(request))

    def checked(self, asked: MarkChecked, request: Request) -> object:
        """A trial is marked checked."""
        mark_checked(self.bench, asked)
        return trial_data(self.bench, asked.trial, self._speaker(request))

    async def labels(self, request: Request) -> Response:
        """Labels for the bags of a trial's pieces, to be printed."""
        body = await run_in_threadpool(labels, self.bench, request.path_params["key"], self._speaker(request))
        return Response(body, media_type="text/html; charset=utf-8")

    def ask(self, asked: Ask, request: Request) -> object:
        """The customer is asked one thing."""
        asking.ask(self.bench, asked)
        return sight(self.bench, asked.picture, self._speaker(request))

    def note(self, asked: Note, request: Request) -> object:
        """Something is noted."""
        asking.note(self.bench, asked)
        return sight(self.bench, asked.picture, self._speaker(request))

    def scales(self, request: Request) -> object:
        """Every setting, and the pictures by which it may be calibrated or checked."""
        return scales.scales(self.bench, self._speaker(request))

    def graticule_of(self, request: Request) -> Path:
        """The pixels of such a picture."""
        each, own = candidate(self.bench, request.path_params["key"])
        return self._pixels(request, self.bench.folder / each.file, own)

    def calibrate(self, asked: Reading, request: Request) -> object:
        """What pictures of a stage micrometer say of a setting."""
        return scales.read_pictures(self.bench, asked, self._speaker(request))

    def calibrated(self, asked: WriteCalibration, request: Request) -> object:
        """A calibration into the scope's file."""
        return scales.write_calibration(self.bench, asked, self._speaker(request))

    def check(self, asked: Check, request: Request) -> object:
        """Whether a setting still measures right."""
        return scales.check(self.bench, asked, self._speaker(request))

    def check_written(self, asked: WriteCheck, request: Request) -> object:
        """A check into the scope's file."""
        return scales.write_check(self.bench, asked, self._speaker(request))

    def look_backs(self, request: Request) -> object:
        """What is to be looked back at."""
        return lookingback.look_backs_of(self.bench, self._speaker(request))

    def look_again(self, asked: LookAgain, request: Request) -> object:
        """A finding was looked at again."""
        return lookingback.look_again(self.bench, asked, self._speaker(request))

    def look_back(self, asked: LookBack, request: Request) -> object:
        """All was gone through."""
        return lookingback.look_back(self.bench, asked, self._speaker(request))

    def _speaker(self, request: Request) -> Speaker:
        return self.bench.speaker(language_of(request))


def bench_app(bench: Bench, pixels: Pixels, *, hosts: tuple[str, ...], key: str | None = None) -> Starlette:
    """The application for a bench that is asked under these names, with a key where other machines can reach it."""
    token = secrets.token_urlsafe(32)
    app = App(bench, pixels, token)
    get, post = ["GET", "HEAD"], ["POST"]
    made = Starlette(
        routes=[
            Route("/", app.page, methods=get),
            Route("/static/{name}", app.file, methods=get),
            Route("/picture/{key}/{divide:int}", showing(app.pixels_of), methods=get),
            Route("/picture/{key}/{divide:int}/{tile:int}", showing(app.pixels_of), methods=get),
            Route("/sample/{key}/{divide:int}", showing(app.sample_of), methods=get),
            Route("/sample/{key}/{divide:int}/{tile:int}", showing(app.sample_of), methods=get),
            Route("/preview/{key}", app.preview, methods=get),
            Route("/preview/{key}/{place:int}/{path:path}", app.previewed, methods=get),
            Route("/api/trials", telling(app.trials), methods=get),
            Route("/api/trial/{key}", telling(app.trial), methods=get),
            Route("/api/changes/{key}/{version:int}", app.changes, methods=get),
            Route("/api/picture/{key}", telling(app.sight), methods=get),
            Route("/api/placed", taking(Placed, app.placed), methods=post),
            Route("/api/measure", taking(Question, app.measure), methods=post),
            Route("/api/edges", taking(Edges, app.edges), methods=post),
            Route("/api/save", taking(Save, app.save), methods=post),
            Route("/api/holds-too", taking(HoldsToo, app.holds), methods=post),
            Route("/api/checked", taking(MarkChecked, app.checked), methods=post),
            Route("/graticule/{key}/{divide:int}", showing(app.graticule_of), methods=get),
            Route("/graticule/{key}/{divide:int}/{tile:int}", showing(app.graticule_of), methods=get),
            Route("/labels/{key}", app.labels, methods=get),
            Route("/api/ask", taking(Ask, app.ask), methods=post),
            Route("/api/note", taking(Note, app.note), methods=post),
            Route("/api/scales", telling(app.scales), methods=get),
            Route("/api/calibrate", taking(Reading, app.calibrate), methods=post),
            Route("/api/calibrated", taking(WriteCalibration, app.calibrated), methods=post),
            Route("/api/check", taking(Check, app.check), methods=post),
            Route("/api/check-written", taking(WriteCheck, app.check_written), methods=post),
            Route("/api/look-backs", telling(app.look_backs), methods=get),
            Route("/api/look-again", taking(LookAgain, app.look_again), methods=post),
            Route("/api/look-back", taking(LookBack, app.look_back), methods=post),
            Route("/api/looked", taking(NothingSeen, app.looked), methods=post),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts, policy=POLICY, own_frames=True),
            *([Middleware(Door, key=key, name=_cookie(hosts))] if key else []),
            Middleware(WriteGuard, token=token, most_bytes=MOST_BYTES),
        ],
        exception_handlers=REFUSALS,
    )
    made.state.speaker = bench.speaker
    return made


def _cookie(hosts: tuple[str, ...]) -> str:
    """The name of the cookie: cookies know no ports, and two benches may run on one machine."""
    return f"portal-bench-{hosts[0].rpartition(':')[2]}"
