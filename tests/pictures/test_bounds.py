"""Bounds of time and memory for one picture, each tried in a process of its own."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from portal.pictures.bounds import took_too_long

LINUX = Path("/proc/self/status").exists()


def run(body: str) -> "subprocess.CompletedProcess[str]":
    """A program that does something within bounds."""
    program = f"from portal.pictures.bounds import bounded\n{body}"
    return subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False)


def test_work_that_never_ends_is_ended_though_it_never_lets_go_of_the_interpreter() -> None:
    """A search that takes ages within one call: nothing written in Python could stop it from inside."""
    start = time.monotonic()
    done = run("import re\nwith bounded(seconds=0.3, spare_bytes=1 << 30):\n    re.match('(a*)*b', 'a' * 60)")
    assert done.returncode not in {0, None}
    assert time.monotonic() - start < 30
    assert done.stderr == ""


@pytest.mark.skipif(sys.platform == "win32", reason="there the system counts no seconds of work")
def test_work_that_is_busy_for_too_long_is_ended_and_one_that_waits_is_not(tmp_path: Path) -> None:
    """By the seconds of a processor beside those of before; it leaves word, as does one that takes too long."""
    mark = tmp_path / "mark"
    begin = (
        "import re, time\nfrom pathlib import Path\nfrom portal.pictures.bounds import marked\n"
        "until = time.process_time() + 1.5\nwhile time.process_time() < until: pass\n"
        f"with marked(Path({str(mark)!r})), bounded(seconds=50, spare_bytes=1 << 30, busy=1):\n"
    )
    waiting = run(begin + "    time.sleep(2.5)\nprint('alive')")
    assert waiting.stdout == "alive\n" and not mark.exists()
    busy = run(begin + "    re.match('(a*)*b', 'a' * 60)")
    assert busy.returncode == -signal.SIGXCPU and busy.stderr == ""
    assert took_too_long(mark)
    after = run(begin + "    pass\nuntil += 2\nwhile time.process_time() < until: pass\nprint('alive')")
    assert after.stdout == "alive\n"


@pytest.mark.skipif(not LINUX, reason="the system tells no process how much memory it has")
def test_work_that_wants_all_memory_is_told_there_is_no_more() -> None:
    """Within the bound 200 MB more aren't given; before and after they are."""
    done = run(
        "def want():\n    try:\n        bytearray(200_000_000)\n        print('got it')\n"
        "    except MemoryError:\n        print('refused')\n"
        "want()\nwith bounded(seconds=30, spare_bytes=50_000_000):\n    want()\nwant()"
    )
    assert done.stdout.split("\n")[:3] == ["got it", "refused", "got it"], done.stderr


def test_work_within_its_bounds_isnt_ended_later() -> None:
    """The watchdog is called off."""
    done = run(
        "import time\nwith bounded(seconds=0.2, spare_bytes=1 << 30):\n    pass\ntime.sleep(0.5)\nprint('alive')"
    )
    assert done.stdout == "alive\n"


@pytest.mark.skipif(not LINUX, reason="the system tells no process how much memory it has")
@pytest.mark.parametrize(("own", "spare", "said"), [(None, 200, "got it"), (None, 30, "refused"), (30, 200, "refused")])
def test_what_is_spare_is_given_unless_the_process_had_less_before(own: int | None, spare: int, said: str) -> None:
    """It is counted from what the process holds; a bound that somebody else set still holds, within and after."""
    before = (
        "held = int(next(line.split()[1] for line in open('/proc/self/status') if line.startswith('VmData'))) << 10"
    )
    set_own = f"resource.setrlimit(resource.RLIMIT_DATA, (held + {own} * 1_000_000, -1))" if own else "pass"
    done = run(
        f"import resource\nmuch = bytearray(300_000_000)\n{before}\n{set_own}\n"
        "was = resource.getrlimit(resource.RLIMIT_DATA)\n"
        f"with bounded(seconds=30, spare_bytes={spare}_000_000):\n    try:\n        bytearray(100_000_000)\n"
        "        print('got it')\n    except MemoryError:\n        print('refused')\n"
        "print(was == resource.getrlimit(resource.RLIMIT_DATA))"
    )
    assert done.stdout.split("\n")[:2] == [said, "True"], done.stderr
