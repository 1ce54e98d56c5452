"""Where templates and the sample lie: beside an editable checkout, or in the installed package."""

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
