"""`portal bench`: serves the inspector's web app on this machine only, until it is stopped."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from portal.bench.app import bench_app
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from portal.web.serve import serve


def run_bench(folder: Path, *, port: int = 0, ready: Callable[[str], None]) -> None:
    """Serve the catalogue's bench; `ready` is told its address once it listens."""
    bench = Bench(folder)
    with tempfile.TemporaryDirectory(prefix="portal-bench-") as beside:
        pixels = Pixels(Path(beside))
        serve(lambda chosen: bench_app(bench, pixels, port=chosen), port=port, ready=ready)
