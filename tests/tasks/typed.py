"""The program as a user types it, without a process of its own: its words in, what it printed and its exit code out."""

from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest

from portal.cli import main


@dataclass(frozen=True)
class Typed:
    """What came of a command."""

    code: int
    out: str
    err: str


def typed(*words: str | Path) -> Typed:
    """`portal …`, as on a pipe."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
        main([str(word) for word in words])
    return Typed(int(ended.value.code or 0), out.getvalue(), err.getvalue())
