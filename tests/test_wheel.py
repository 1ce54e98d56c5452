"""The wheel, installed away from the checkout, builds the demo; and it names every library that it needs."""

import ast
import os
import re
import subprocess
import sys
import sysconfig
import tomllib
import venv
from importlib.metadata import packages_distributions
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
    """Templates and sample travel in the wheel, the renderer and its truth don't.

    Libraries are those of this environment: a path file names their folder, which doesn't bring the checkout along.
    """
    pip = [sys.executable, "-m", "pip"]
    if subprocess.run([*pip, "--version"], capture_output=True, check=False).returncode != 0:
        pytest.skip("pip is not in this environment, so that no wheel can be made")
    run([*pip, "wheel", "--quiet", "--no-deps", "-w", str(tmp_path), str(TOP)], cwd=tmp_path)
    venv.create(tmp_path / "env", with_pip=False)
    own = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin") / "python"
    wheel = next(tmp_path.glob("*.whl"))
    run([*pip, "--python", str(own), "install", "--quiet", "--no-deps", str(wheel)], cwd=tmp_path)
    asked = "import sysconfig; print(sysconfig.get_path('purelib'))"
    packages = Path(run([str(own), "-c", asked], cwd=tmp_path).strip())
    (packages / "libraries.pth").write_text(sysconfig.get_path("purelib"), encoding="utf-8")
    where = run([str(own), "-c", "import portal; print(portal.__file__)"], cwd=tmp_path)
    assert Path(where).is_relative_to(tmp_path)
    said = run([str(own.with_name("portal")), "demo", "shown", "--build-only"], cwd=tmp_path)
    assert "index.html" in said
    site = tmp_path / "shown/site/shop"
    assert (site / "parts/LC-0440/M-118-T2.html").is_file()
    assert not (tmp_path / "shown/render").exists()


def test_every_library_that_is_imported_is_asked_for() -> None:
    """So that an empty environment gets all it needs with the wheel."""
    text = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
    asked = {_plain(re.split(r"[<>=\[ ]", each)[0]) for each in text["project"]["dependencies"]}
    known = packages_distributions()
    imported = {name for path in (TOP / "portal").rglob("*.py") for name in _imports(path)}
    needed = imported - set(sys.stdlib_module_names) - {"portal", "_typeshed"}  # that one is type checkers' own
    assert "jinja2" in needed
    assert {name for name in needed if not {_plain(each) for each in known[name]} & asked} == set()


def _plain(name: str) -> str:
    return name.lower().replace("_", "-")


def _imports(path: Path) -> set[str]:
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    whole = {each.name.split(".")[0] for node in nodes if isinstance(node, ast.Import) for each in node.names}
    return whole | {node.module.split(".")[0] for node in nodes if isinstance(node, ast.ImportFrom) and node.module}
