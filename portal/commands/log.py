"""`portal log` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import CatalogArgument, show, warn

CSV_HELP = "Write a CSV file (a spreadsheet drops leading zeros when it opens one; take --xlsx to keep them)"


def log(
    catalog: CatalogArgument = Path(),
    part: Annotated[str | None, typer.Option("--part", metavar="P", help="Only this part's log")] = None,
    verify: Annotated[bool, typer.Option("--verify", help="Name whatever is wrong with the log's files")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print a JSON list")] = False,
    csv: Annotated[Path | None, typer.Option(metavar="FILE", help=CSV_HELP)] = None,
    xlsx: Annotated[Path | None, typer.Option(metavar="FILE", help="Write an XLSX file, all cells as text")] = None,
) -> None:
    """Show who owes what since when, how long each review took, and all that was asked, answered and decided."""
    from portal.problem import PortalError
    from portal.tasks import log as task

    if csv and xlsx:
        raise PortalError("one table at a time: `--csv` or `--xlsx`", code=2)
    logs = task.logs(catalog, part=part, strictly=verify)
    rows = logs.rows()
    if csv:
        csv.write_bytes(task.to_csv(rows))
    if xlsx:
        xlsx.write_bytes(task.to_xlsx(rows))
    warn(logs.problems)
    if as_json:
        print(task.to_json(rows))
    elif verify:
        show(task.verified(logs))
    elif not (csv or xlsx):
        show(task.in_sentences(logs))
    raise typer.Exit(logs.exit_code)
