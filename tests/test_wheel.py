"""The wheel, installed in an empty environment away from the checkout, builds the demo."""

import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent


def run(command: list[str], *, cwd: Path) -> str:
    """Run a command without this environment's Python settings; its output."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(command, cwd=cwd, env=clean, capture_output=True, text=True, check=False, timeout=900)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_installs_and_builds_the_demo_away_from_the_checkout(tmp_path: Path) -> None:
    """Templates and sample travel in the wheel, the renderer and its truth don't."""
    pip = [sys.executable, "-m", "pip", "--version"]
    if subprocess.run(pip, capture_output=True, check=False).returncode != 0:
        pytest.skip("pip is not in this environment, so that no wheel can be made")
    run([sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(tmp_path), str(TOP)], cwd=tmp_path)
    venv.create(tmp_path / "env", with_pip=True)
    programs = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin")
    wheel = next(tmp_path.glob("*.whl"))
    run([str(programs / "python"), "-m", "pip", "install", "--quiet", str(wheel)], cwd=tmp_path)
    said = run([str(programs / "portal"), "demo", "shown", "--build-only"], cwd=tmp_path)
    assert "index.html" in said
    site = tmp_path / "shown/site/shop"
    assert (site / "parts/LC-0440/M-118-T2.html").is_file()
    assert not (tmp_path / "shown/render").exists()
