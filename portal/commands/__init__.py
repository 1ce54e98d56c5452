"""Commands of the question-and-disposition log, one module for each: parse, call, print."""

import typer

from portal.commands.ask import ask
from portal.commands.log import log


def add_to(app: typer.Typer) -> None:
    """Add them to the program, each with an example in its help."""
    app.command(epilog='Example: portal ask --part LC-0440 --finding 6M3B --question "Inside or outside?"')(ask)
    app.command(epilog="Example: portal log our-catalogue --part LC-0440 --xlsx log.xlsx")(log)
