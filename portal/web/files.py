"""Serves the files of one folder from an index made beforehand; a client's text never becomes a path."""

from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".jpg": "image/jpeg",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".mp4": "video/mp4",
    ".webm": "video/webm",
    ".mkv": "video/x-matroska",
}
"""Fixed, since a machine's own table may call a script plain text."""


class Files:
    """An application that answers with the files of a folder, by the paths it knew at the start."""

    def __init__(self, folder: Path) -> None:
        self.known = {
            path.relative_to(folder).as_posix(): path
            for path in folder.rglob("*")
            if path.suffix in TYPES and path.is_file() and not path.name.startswith(".")
        }

    async def __call__(self, request: Request) -> Response:
        """The file of that address, whole or in ranges; 404 where the index has none."""
        wanted = request.path_params["path"]
        path = self.known.get(wanted) or self.known.get(f"{wanted.rstrip('/')}/index.html".lstrip("/"))
        if path is None:
            return PlainTextResponse("no such page", status_code=404)
        return FileResponse(path, media_type=TYPES[path.suffix])
