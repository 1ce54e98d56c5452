"""Commands of the question-and-disposition log, one module for each: parse, call, print."""

from collections.abc import Callable

import typer

from portal.commands.ask import ask
from portal.commands.calibrate import calibrate
from portal.commands.close import close
from portal.commands.keep import keep
from portal.commands.log import log
from portal.commands.note import note
from portal.commands.pack import pack
from portal.commands.receive import receive
from portal.commands.record import record
from portal.commands.release import release
from portal.commands.withdraw import withdraw

EXAMPLES: dict[Callable[..., None], str] = {
    ask: 'portal ask --part LC-0440 --finding 6M3B --question "Inside or outside?"',
    note: 'portal note --part LC-0440 --finding 6M3B --comment "Seen on three more pieces"',
    pack: "portal pack our-catalogue --part LC-0440 --trial M-118/T2",
    receive: "portal receive our-catalogue reply.eml --by m-vasquell",
    record: "portal record --part LC-0440 --ask 9ede3a6b --letter A"
    ' --decided-by "K. Ammerlund" --how telephone --when 2026-03-05',
    keep: 'portal keep --part LC-0440 --finding 6M3B --as "last good" --expires 2028-03-05'
    ' --holder "Halvenast Small Parts: limit sample drawer 2"',
    release: 'portal release --part LC-0440 --trial M-118/T2 --for "next trial"',
    close: 'portal close --part LC-0440 --closes 9ede3a6b:criterion-3 --why "Entered in revision 4"',
    withdraw: 'portal withdraw --part LC-0440 --finding 6M3B --why "A hair, not a speck"',
    calibrate: 'portal calibrate graticule.jpg turned.jpg --pitch "10 um" --certificate "0.2 um"',
    log: "portal log our-catalogue --part LC-0440 --xlsx log.xlsx",
}


def add_to(app: typer.Typer) -> None:
    """Add them to the program, each with an example in its help."""
    for command, example in EXAMPLES.items():
        app.command(epilog=f"Example: {example}")(command)
