"""The command line: parse, call, print. Each command imports its work when it runs."""

import errno
import gc
import os
import sys
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from portal.commands import add_to
from portal.commands.words import CatalogArgument

if TYPE_CHECKING:
    from portal.problem import PortalError

app = typer.Typer(
    name="portal",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Agree on how a small moulded part may look: pictures at true scale, judged, asked about, on record.",
)

JobsOption = Annotated[int, typer.Option("--jobs", min=1, max=64, help="How many processes work on pictures")]
DayOption = Annotated[
    datetime | None,
    typer.Option(formats=["%Y-%m-%d"], help="The day that pages take as today", show_default="today"),
]
SELDOM = (50_000, 20, 50)
"""What is loaded and read stays until the end: looking through it for rubbish as often as usual only costs time."""
_ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1"}
"""Of the library below NumPy, for whatever is started from here: outlines have few points, so that a thread for each
core costs its start and gains nothing; and sums are the same on any number of cores."""
_FULL = {errno.ENOSPC, errno.EDQUOT} if hasattr(errno, "EDQUOT") else {errno.ENOSPC}
JOBS = max(1, min(os.cpu_count() or 1, 8))


@app.command(epilog="Example: portal demo my-demo --build-only")
def demo(
    folder: Annotated[Path, typer.Argument(metavar="[DIR]", help="Where the copy goes")] = Path("portal-demo"),
    build_only: Annotated[bool, typer.Option("--build-only", help="Stop after building")] = False,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port on loopback; 0 takes a free one")] = 8118,
) -> None:
    """Copy the sample catalogue, build its site, serve it on this machine only."""
    from portal.tasks.demo import build_demo

    built = build_demo(folder, as_of=date.today(), processes=JOBS)
    print(f"built {built.out / 'index.html'}")
    if built.said:
        print(built.said, file=sys.stderr)
    if not build_only and built.exit_code == 0:
        from portal.web.serve import serve_site

        serve_site(built.out, port=port, ready=lambda address: print(f"open {address} (stop with Ctrl+C)", flush=True))
    raise typer.Exit(built.exit_code)


@app.command(epilog="Example: portal new our-catalogue")
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="A new or empty folder")]) -> None:
    """Write a starter catalogue: defect classes, an empty standard to agree, one scope, part and mould."""
    from portal.tasks.new import new as write_new

    for file in write_new(folder):
        print(folder / file)
    print(f"next: fill in {folder / 'catalog.yaml'}, then `portal check {folder}`")


@app.command(epilog="Example: portal check our-catalogue")
def check(catalog: CatalogArgument = Path(), jobs: JobsOption = JOBS) -> None:
    """Name every problem with its file and line, and every gap in what was looked at."""
    from portal.tasks.check import check as check_folder
    from portal.tasks.telling import counted

    checked = check_folder(catalog, processes=jobs)
    # What has to be mended first isn't hidden among what only warns.
    for problem in sorted(checked.problems, key=lambda each: each.warning):
        print(f"{'warning: ' if problem.warning else ''}{problem}")
    for hint in checked.hints:
        print(f"hint: {hint}")
    for gap in checked.gaps:
        print(f"gap: {gap}")
    wrong = sum(1 for problem in checked.problems if not problem.warning)
    print(f"{checked.summary or catalog}: {counted(wrong, 'problem')}, {counted(len(checked.gaps), 'gap')}")
    raise typer.Exit(checked.exit_code)


@app.command(epilog="Example: portal build our-catalogue --for vellorin --out review-site")
def build(
    catalog: CatalogArgument = Path(),
    out: Annotated[
        Path | None, typer.Option(help="Where the site goes", show_default="CATALOG/site/shop or CATALOG/site/CUSTOMER")
    ] = None,
    customer: Annotated[
        str | None, typer.Option("--for", metavar="CUSTOMER", help="Only what that customer may see")
    ] = None,
    as_of: DayOption = None,
    jobs: JobsOption = JOBS,
) -> None:
    """Build the site: front page, part pages, review pages, picture pages."""
    from portal.model.terms import SHOP
    from portal.tasks.build import build as build_site

    day = as_of.date() if as_of else date.today()
    built = build_site(catalog, out=out, as_of=day, processes=jobs, told=_progress(), audience=customer or SHOP)
    if built.said:
        print(built.said, file=sys.stderr)
    how = "nothing changed" if built.nothing_changed else f"{built.changed} files written"
    print(f"{built.out / 'index.html'}: {how}")
    raise typer.Exit(built.exit_code)


@app.command(epilog="Example: portal findings our-catalogue --csv findings.csv")
def findings(
    catalog: CatalogArgument = Path(),
    as_json: Annotated[bool, typer.Option("--json", help="Print a JSON list")] = False,
    csv: Annotated[
        Path | None, typer.Option(help="Write a CSV file (a spreadsheet drops leading zeros when it opens one)")
    ] = None,
    jobs: JobsOption = JOBS,
) -> None:
    """List every finding: one row per finding and characteristic, measured and judged."""
    from portal.tasks.findings import findings as list_findings
    from portal.tasks.findings import to_csv, to_json

    found = list_findings(catalog, processes=jobs)
    if csv:
        csv.write_bytes(to_csv(found.rows))
    if as_json:
        print(to_json(found.rows))
    elif not csv:
        for row in found.rows:
            measured = f"{row.characteristic} {row.value} ± {row.expanded_uncertainty} {row.unit}" if row.value else ""
            where = f"{row.part} {row.mould} {row.trial} cavity {row.cavity}"
            print(f"{row.id}  {where}  {row.defect}, zone {row.zone}  {measured}  {row.verdict}: {row.reason}")
    for problem in found.problems:
        print(problem, file=sys.stderr)
    raise typer.Exit(found.exit_code)


@app.command(epilog="Example: portal bench our-catalogue")
def bench(
    catalog: CatalogArgument = Path(),
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 takes a free one")] = 8119,
    poll: Annotated[bool, typer.Option("--poll", help="Look into the folders all the time, not when told")] = False,
    listen: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS", help="Let others reach it under this address of this machine", show_default="no"
        ),
    ] = None,
) -> None:
    """Open the inspector's bench in the browser, on this machine only: pictures, drawing, measuring, judging."""
    from portal.bench.run import run_bench
    from portal.web.serve import LOOPBACK, is_loopback

    if listen and not is_loopback(listen):
        print(
            "warning: other machines of the network can reach this bench. Whoever has the address below can read the"
            " catalogue and write in it, and what is sent can be read on the way; use it in a network that you trust",
            file=sys.stderr,
        )

    def ready(address: str) -> None:
        print(f"open {address} (stop with Ctrl+C)", flush=True)

    run_bench(catalog, port=port, poll=poll, address=listen or LOOPBACK, ready=ready)


add_to(app)


def _progress() -> "_Progress | None":
    return _Progress() if sys.stderr.isatty() else None


class _Progress:
    """Shows how far long work is, on a terminal only."""

    def __call__(self, what: str, done: int, of: int) -> None:
        print(f"\r{what}: {done} of {of}", end="\n" if done == of else "", file=sys.stderr, flush=True)


def _refused(error: "PortalError") -> NoReturn:
    print(f"portal: {error}", file=sys.stderr)
    for problem in error.problems:
        print(problem, file=sys.stderr)
    if error.hint:
        print(f"    {error.hint}", file=sys.stderr)
    raise SystemExit(error.code)


def main(words: Sequence[str] | None = None) -> None:
    """Run the program; what a user can cause ends in a sentence, never in a traceback.

    `words` are those of the command line unless others are given.
    """
    gc.set_threshold(*SELDOM)
    os.environ.update(_ONE_THREAD)
    from portal.problem import PortalError

    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8")
    try:
        app(args=words)
    except PortalError as error:
        _refused(error)
    except OSError as error:
        where = error.filename2 or error.filename  # of a file that gets another name, that one
        why = error.strerror or error
        print(f"portal: {where}: {why}" if where else f"portal: {why}", file=sys.stderr)
        if error.errno in _FULL:
            print("    make room on that disk, then do the same again", file=sys.stderr)
        raise SystemExit(3) from None


if __name__ == "__main__":
    main()
