"""Where templates and the sample lie, in an editable checkout or installed; where this user's programs keep things."""

import os
import sys
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path


def _folder(name: str) -> Path:
    installed = Path(str(files("portal"))) / "_data" / name
    if installed.is_dir():
        return installed
    return Path(str(files("portal"))).parent / name


def templates() -> Path:
    """The folder of templates, styles, scripts, words and manual pages."""
    return _folder("site_templates")


def sample() -> Path:
    """The folder of the sample catalogue."""
    return _folder("sample_catalog")


def cache_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """Where this user's programs keep what can be made again; `PORTAL_CACHE` names another place."""
    if environment.get("PORTAL_CACHE"):
        return Path(environment["PORTAL_CACHE"])
    home = Path.home()
    if sys.platform == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData/Local") / "portal" / "cache"
    if sys.platform == "darwin":
        return home / "Library/Caches/portal"
    return Path(environment.get("XDG_CACHE_HOME") or home / ".cache") / "portal"
