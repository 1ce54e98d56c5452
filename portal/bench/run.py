"""`portal bench`: serves the inspector's web app on this machine only, until it is stopped."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from portal.bench.app import bench_app
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from portal.bench.watching import Watch
from portal.web.serve import serve


def run_bench(folder: Path, *, port: int = 0, poll: bool = False, ready: Callable[[str], None]) -> None:
    """Serve the catalogue's bench; `ready` is told its address once it listens.

    `poll` looks into folders again and again instead of waiting to be told of changes.
    """
    bench = Bench(folder)
    with tempfile.TemporaryDirectory(prefix="portal-bench-") as beside, Watch(bench, poll=poll).running():
        pixels = Pixels(Path(beside))
        serve(lambda chosen: bench_app(bench, pixels, port=chosen), port=port, ready=ready)
