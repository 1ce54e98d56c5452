"""`portal bench`: serves the inspector's web app until it is stopped: to this machine only, unless told otherwise."""

import secrets
from collections.abc import Callable
from pathlib import Path

from portal.bench.app import bench_app
from portal.bench.pixels import Pixels
from portal.bench.scratch import scratch_folder
from portal.bench.state import Bench
from portal.bench.watching import Watch
from portal.web.door import KEY
from portal.web.serve import LOOPBACK, hosts_of, is_loopback, serve


def run_bench(
    folder: Path, *, port: int = 0, poll: bool = False, address: str = LOOPBACK, ready: Callable[[str], None]
) -> None:
    """Serve the catalogue's bench; `ready` is told its address once it listens.

    `poll` looks into folders again and again instead of waiting to be told of changes. Under an address that other
    machines can reach, nobody gets anything without the key that is in the address which `ready` is told.
    """
    bench = Bench(folder)
    key = None if is_loopback(address) else secrets.token_urlsafe(32)
    with scratch_folder() as beside, Watch(bench, poll=poll).running():
        pixels = Pixels(beside)
        serve(
            lambda chosen: bench_app(bench, pixels, hosts=hosts_of(chosen, address), key=key),
            port=port,
            address=address,
            ready=lambda told: ready(f"{told}?{KEY}={key}" if key else told),
        )
